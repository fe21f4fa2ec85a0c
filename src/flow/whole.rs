//! Lagged pressures made to agree with the flows, and changes followed through the whole fixed point.
//!
//! For given lagged pressures z the network settles at pressures p(z) and flows q(z). Wanted is z = g(q(z)).

use super::balance::{Verdict, evaluate, largest_pressure};
use super::lag::{Act, LagLaw, measure, spread};
use super::network::{NONE, Network, Workspace};
use super::newton::{Effort, factor, fan_influence, settle as settle_inner};
use super::types::{LagMethod, Status};

/// Most rounds of moving the lagged pressures.
const MOST_ROUNDS: u32 = 80;
/// The same where relaxed steps alone are asked for: they are many.
const MOST_RELAXED_ROUNDS: u32 = 2000;
/// A static pressure below this part of the velocity pressure counts as that much in a relaxed step: leaks near no
/// pressure difference would hold it up for ever.
const LEAST_STATIC_PART: f64 = 0.05;
/// Shares of a Newton step tried before a relaxed step is taken instead.
const MOST_HALVINGS: u32 = 6;
/// Part of its size to which the linear system of a Newton step is solved.
const LINEAR_TOLERANCE: f64 = 1e-8;
/// Relaxation of a loss by flow ratio in a relaxed step.
const LEG_RELAXATION: f64 = 0.5;
/// Slope of ln flow to ln pressure taken for leaks in a relaxed step.
const USUAL_EXPONENT: f64 = 0.6;

/// Solves for pressures and lagged pressures together.
///
/// Newton on the whole: with the network settled at z, the gap r = g(q(z)) − z is taken away by (I − A)·δ = r,
/// A = dg/dz along the settled network; a step that does not shrink the gap is halved. From a cold start, and
/// where halving does not help, a relaxed step is taken: δ = r/(1 + f), f = 2n·p_v/p_s at leaks.
pub(super) fn settle(net: &Network, ws: &mut Workspace, effort: &mut Effort<'_>) -> Verdict {
    let cold = !ws.started;
    let newton = net.settings.lag_method == LagMethod::Newton;
    let most_rounds = if newton {
        MOST_ROUNDS
    } else {
        MOST_RELAXED_ROUNDS
    };
    let mut smallest = f64::INFINITY;
    let mut halvings = 0;
    ws.lagged.gaps.clear();
    loop {
        let found = settle_inner(net, ws, effort);
        if !found.status.is_solved() {
            return found;
        }
        let gap = measure(net, ws);
        effort.lag_gap_pa = gap;
        ws.lagged.gaps.push(gap);
        let scale = largest_pressure(ws);
        if gap <= ws.imbalance_rel.max(1e-12) * scale {
            return found;
        }
        if effort.rounds >= most_rounds || gap.is_nan() {
            return Verdict {
                status: Status::NotConverged {
                    node: worst_lag_node(net, ws),
                },
                ..found
            };
        }
        let shrank = gap < 0.9 * smallest;
        if newton && !shrank && smallest.is_finite() && halvings < MOST_HALVINGS {
            halvings += 1;
            for (step, (z, kept)) in
                (ws.lagged.step.iter_mut()).zip(ws.lagged.z.iter_mut().zip(&ws.lagged.kept))
            {
                *step *= 0.5;
                *z = kept + *step;
            }
        } else {
            let relaxed = !newton || (cold && effort.rounds == 0) || halvings >= MOST_HALVINGS;
            if halvings >= MOST_HALVINGS {
                // Whatever comes next is measured afresh.
                smallest = f64::INFINITY;
            } else {
                smallest = gap;
            }
            halvings = 0;
            ws.lagged.kept.copy_from_slice(&ws.lagged.z);
            factor(net, ws);
            fan_influence(net, ws);
            if relaxed || !newton_step(net, ws) {
                relaxed_step(net, ws);
            }
            for (z, step) in ws.lagged.z.iter_mut().zip(&ws.lagged.step) {
                *z += step;
            }
            foresee(net, ws);
        }
        effort.rounds += 1;
        spread(net, ws);
        ws.settled = false;
    }
}

/// Moves the pressures along with the lagged ones, as far as slopes tell: flows then hardly change, while sources moved
/// alone would throw each branch far off its point. Needs the factor and the fan's influence.
fn foresee(net: &Network, ws: &mut Workspace) {
    let step = std::mem::take(&mut ws.lagged.step);
    let mut unused = std::mem::take(&mut ws.lagged.gap);
    push(net, ws, &step, &mut unused);
    ws.lagged.step = step;
    ws.lagged.gap = unused;
    let moved = &ws.lagged.nodes[..=net.free];
    if moved.iter().all(|by| by.is_finite()) {
        for (pressure, by) in ws.pressure.iter_mut().zip(moved) {
            *pressure += by;
        }
    }
}

/// A node at the lag with the largest gap.
fn worst_lag_node(net: &Network, ws: &Workspace) -> usize {
    let gaps = ws.lagged.gap.iter().enumerate();
    let worst = gaps.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    worst.map_or(0, |(at, _)| {
        let branch = match net.lags[at].law {
            LagLaw::Velocity { branch, .. } | LagLaw::Leg { branch, .. } => branch,
        };
        net.branches[branch as usize].head as usize
    })
}

fn relaxed_step(net: &Network, ws: &mut Workspace) {
    for (at, lag) in net.lags.iter().enumerate() {
        let part = match lag.law {
            LagLaw::Leg { .. } => LEG_RELAXATION,
            LagLaw::Velocity { .. } => {
                let velocity = ws.lagged.z[at] + ws.lagged.gap[at];
                let least = lag.acts.iter().filter_map(|act| match act {
                    Act::Group(group) => {
                        let group_at = *group as usize;
                        Some(super::balance::group_dp(ws, group_at, &net.groups[group_at]).abs())
                    }
                    Act::Branch(_) | Act::Tap => None,
                });
                let least = least
                    .fold(f64::INFINITY, f64::min)
                    .max(LEAST_STATIC_PART * velocity)
                    .max(f64::MIN_POSITIVE);
                1.0 / (1.0 + 2.0 * USUAL_EXPONENT * velocity / least)
            }
        };
        ws.lagged.step[at] = part * ws.lagged.gap[at];
    }
}

/// Newton step into `ws.lagged.step`; `false` when the linear system was not solved. Needs the factor and the fan's
/// influence.
fn newton_step(net: &Network, ws: &mut Workspace) -> bool {
    let mut space = std::mem::take(&mut ws.lagged.krylov);
    let mut step = std::mem::take(&mut ws.lagged.step);
    let gap = std::mem::take(&mut ws.lagged.gap);
    let left = space.solve(&gap, &mut step, LINEAR_TOLERANCE, |v, out| {
        push(net, ws, v, out);
        for (out, v) in out.iter_mut().zip(v) {
            *out = v - *out;
        }
    });
    ws.lagged.krylov = space;
    ws.lagged.step = step;
    ws.lagged.gap = gap;
    left < 0.5 && ws.lagged.step.iter().all(|s| s.is_finite())
}

/// A·v: how the lagged pressures' own values answer when the lagged pressures move by v and the network follows.
///
/// Needs the factor and the fan's influence at the settled pressures.
fn push(net: &Network, ws: &mut Workspace, v: &[f64], out: &mut [f64]) {
    let lagged = &mut ws.lagged;
    lagged.q_bar.fill(0.0);
    lagged.l_bar.fill(0.0);
    let mut tap = 0.0;
    for (lag, &by) in net.lags.iter().zip(v) {
        for act in &lag.acts {
            match *act {
                Act::Group(group) => lagged.l_bar[group as usize] += by,
                Act::Branch(branch) => lagged.q_bar[branch as usize] += by,
                Act::Tap => tap += by,
            }
        }
    }
    ws.step.fill(0.0);
    let mut inflow = |node: u32, flow: f64| {
        if let Some(step) = ws.step.get_mut(node as usize) {
            *step += flow;
        }
    };
    if net.has_sources {
        for (at, branch) in net.branches.iter().enumerate() {
            let flow = ws.balance.branches[at].slope * ws.lagged.q_bar[at];
            inflow(branch.tail, -flow);
            inflow(branch.head, flow);
        }
    }
    for (at, group) in net.groups.iter().enumerate() {
        let flow = ws.balance.groups[at].slope * ws.lagged.l_bar[at];
        inflow(group.node, flow);
        if group.zone_node != NONE {
            inflow(group.zone_node, -flow);
        }
    }
    net.pattern.solve(&ws.numbers, &mut ws.step);
    let fan = if net.tap == net.free {
        tap
    } else {
        (tap - ws.step[net.tap]) / ws.border[net.tap]
    };
    let nodes = &mut ws.lagged.nodes;
    nodes.fill(0.0);
    for (node, (step, border)) in nodes.iter_mut().zip(ws.step.iter().zip(&ws.border)) {
        *node = step + border * fan;
    }
    nodes[net.free] = fan;
    for (out, by) in out.iter_mut().zip(&ws.lagged.by) {
        *out = by
            .iter()
            .filter(|(branch, _)| *branch != NONE)
            .map(|&(branch, slope)| {
                let at = branch as usize;
                let ends = &net.branches[at];
                let dp = ws.lagged.nodes[ends.tail as usize] - ws.lagged.nodes[ends.head as usize]
                    + ws.lagged.q_bar[at];
                slope * ws.balance.branches[at].slope * dp
            })
            .sum();
    }
}

/// Slopes of a goal to what acts on the settled network, see [`pull`].
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Pulled {
    /// d(goal)/d(total pressure held at the tap).
    pub(super) tap: f64,
}

/// Turns slopes of a goal to branch flows (`q_bar`), leak flows of groups (`l_bar`) and node pressures (`nodes`) into
/// weights of the balances (`nodes`: a leak that lets c more out at node i changes the goal by −xᵢ·c) and slopes
/// to the lagged pressures (`z_bar`), the network following.
///
/// Needs the factor and the fan's influence. With the tap elsewhere than the fan, `ws.lagged.column` must hold the
/// column of the inverse for the tap: see [`ready`].
pub(super) fn pull(net: &Network, ws: &mut Workspace) -> Pulled {
    let lagged = &mut ws.lagged;
    for (at, branch) in net.branches.iter().enumerate() {
        let by = lagged.q_bar[at] * ws.balance.branches[at].slope;
        lagged.nodes[branch.tail as usize] += by;
        lagged.nodes[branch.head as usize] -= by;
    }
    for (at, group) in net.groups.iter().enumerate() {
        let by = lagged.l_bar[at] * ws.balance.groups[at].slope;
        lagged.nodes[group.node as usize] += by;
        if group.zone_node != NONE {
            lagged.nodes[group.zone_node as usize] -= by;
        }
    }
    let inner = &mut lagged.nodes[..net.free];
    let along: f64 = inner.iter().zip(&ws.border).map(|(a, b)| a * b).sum();
    ws.step.copy_from_slice(inner);
    net.pattern.solve(&ws.numbers, &mut ws.step);
    let fan = lagged.nodes[net.free] + along;
    let tap = if net.tap == net.free {
        fan
    } else {
        fan / ws.border[net.tap]
    };
    lagged.nodes.fill(0.0);
    for (node, (x, column)) in lagged
        .nodes
        .iter_mut()
        .zip(ws.step.iter().zip(&lagged.column))
    {
        *node = x - tap * column;
    }
    let nodes = &lagged.nodes;
    for (z_bar, lag) in lagged.z_bar.iter_mut().zip(&net.lags) {
        *z_bar = lag
            .acts
            .iter()
            .map(|act| match *act {
                Act::Branch(branch) => {
                    let at = branch as usize;
                    let ends = &net.branches[at];
                    let x = nodes[ends.tail as usize] - nodes[ends.head as usize];
                    ws.balance.branches[at].slope * (lagged.q_bar[at] - x)
                }
                Act::Group(group) => {
                    let at = group as usize;
                    let ends = &net.groups[at];
                    let mut x = nodes[ends.node as usize];
                    if ends.zone_node != NONE {
                        x -= nodes[ends.zone_node as usize];
                    }
                    ws.balance.groups[at].slope * (x - lagged.l_bar[at])
                }
                Act::Tap => tap,
            })
            .sum();
    }
    Pulled { tap }
}

/// Factors at the settled pressures and keeps what [`pull`] and [`close`] need.
pub(super) fn ready(net: &Network, ws: &mut Workspace) {
    if !ws.settled {
        ws.trial.copy_from_slice(&ws.pressure);
        evaluate(net, ws);
    }
    factor(net, ws);
    fan_influence(net, ws);
    measure(net, ws);
    let mut column = std::mem::take(&mut ws.lagged.column);
    column.fill(0.0);
    if net.tap != net.free {
        column[net.tap] = 1.0;
        net.pattern.solve(&ws.numbers, &mut column);
    }
    ws.lagged.column = column;
}

/// Closes the loop over the lagged pressures: from `z_bar`, slopes of a goal with the lagged pressures held, to the
/// slopes v of the goal to the lags' own values, left in `ws.lagged.step`: (I − A)ᵀ·v = z_bar.
///
/// Returns the residual as part of `z_bar`.
pub(super) fn close(net: &Network, ws: &mut Workspace) -> f64 {
    let mut space = std::mem::take(&mut ws.lagged.krylov);
    let mut v = std::mem::take(&mut ws.lagged.step);
    let mut target = std::mem::take(&mut ws.lagged.kept);
    target.copy_from_slice(&ws.lagged.z_bar);
    let left = space.solve(&target, &mut v, 1e-12, |v, out| {
        flows_of(ws, v);
        ws.lagged.l_bar.fill(0.0);
        ws.lagged.nodes.fill(0.0);
        pull(net, ws);
        for ((out, v), back) in out.iter_mut().zip(v).zip(&ws.lagged.z_bar) {
            *out = v - back;
        }
    });
    ws.lagged.krylov = space;
    ws.lagged.step = v;
    ws.lagged.kept = target;
    left
}

/// Fills `q_bar` with the slopes of Σ vₖ·gₖ to the branch flows.
pub(super) fn flows_of(ws: &mut Workspace, v: &[f64]) {
    ws.lagged.q_bar.fill(0.0);
    add_flows_of(ws, v);
}

/// As [`flows_of`], on top of what is there.
pub(super) fn add_flows_of(ws: &mut Workspace, v: &[f64]) {
    for (by, v) in ws.lagged.by.iter().zip(v) {
        for &(branch, slope) in by {
            if branch != NONE {
                ws.lagged.q_bar[branch as usize] += v * slope;
            }
        }
    }
}
