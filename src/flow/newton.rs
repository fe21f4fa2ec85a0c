//! Newton's method on the node pressures.

use super::balance::{
    Verdict, content_at_trial, evaluate, evaluate_leaks, group_dp, verdict, zones_at_trial,
};
use super::lag;
use super::network::{NONE, Network, Workspace};
use super::start::{move_start, start_cold};
use super::tap::{hold_tap, search_fan_pressure};
use super::types::{Disturbance, Outcome, SeamLaws, Status, TraceStep};
use super::whole;

/// Pressures and flows of a network with the given seam laws.
///
/// Starts from the workspace's last solution if it has one. Nothing is allocated.
///
/// # Method
/// With the fan's node held, the node balances are the gradient of the content function
/// W(p) = Σ∫q dΔp, which is strictly convex: one solution exists whatever the loops. Newton steps with the
/// exact slopes, solved by elimination without subtraction, are cut back until W falls.
///
/// With the tap elsewhere the fan's pressure is one more unknown, which moves so that the tap stays at its
/// pressure: a second right-hand side per step gives dp/d(fan pressure). If such steps stop helping, the fan's
/// pressure is found on its own (the tap's pressure rises with it), each time with a full inner solve.
///
/// Velocity pressures at leaks and taps and losses by flow ratio are held during all that, and then moved until
/// they agree with the flows: see [`LagMethod`](super::LagMethod).
///
/// # Panics
/// If the slices of `laws` are shorter than the system's seams.
pub fn solve(
    net: &Network,
    laws: SeamLaws<'_>,
    disturbance: Disturbance,
    ws: &mut Workspace,
) -> Outcome {
    run(net, laws, disturbance, ws, net.settings.imbalance_rel, None)
}

/// As [`solve`], recording every accepted step.
pub fn solve_traced(
    net: &Network,
    laws: SeamLaws<'_>,
    disturbance: Disturbance,
    ws: &mut Workspace,
    trace: &mut Vec<TraceStep>,
) -> Outcome {
    let fully = net.settings.imbalance_rel;
    run(net, laws, disturbance, ws, fully, Some(trace))
}

/// Content function at the last solution, Pa·m³/s; for checks.
pub fn content(net: &Network, ws: &mut Workspace) -> f64 {
    ws.trial.copy_from_slice(&ws.pressure);
    content_at_trial(net, ws)
}

/// Pressure that no fan makes, Pa: a hundred atmospheres.
const NO_FAN_PA: f64 = 1e7;

/// Steps taken and, if asked for, what they did.
pub(super) struct Effort<'a> {
    pub(super) iterations: u32,
    /// Times that the lagged pressures were moved.
    pub(super) rounds: u32,
    /// Largest gap left between a lagged pressure and its flows, Pa.
    pub(super) lag_gap_pa: f64,
    pub(super) trace: Option<&'a mut Vec<TraceStep>>,
}

fn run(
    net: &Network,
    laws: SeamLaws<'_>,
    disturbance: Disturbance,
    ws: &mut Workspace,
    imbalance_rel: f64,
    trace: Option<&mut Vec<TraceStep>>,
) -> Outcome {
    let held_before = ws.target;
    ws.prepare(net, laws, disturbance);
    lag::spread(net, ws);
    ws.imbalance_rel = imbalance_rel;
    let moved = ws.target - held_before;
    if ws.started && moved.abs() <= 0.5 * ws.target.abs() {
        move_start(net, ws, moved);
    } else {
        start_cold(net, ws);
    }
    let mut effort = Effort {
        iterations: 0,
        rounds: 0,
        lag_gap_pa: 0.0,
        trace,
    };
    let found = if net.lags.is_empty() {
        settle(net, ws, &mut effort)
    } else {
        whole::settle(net, ws, &mut effort)
    };
    ws.started = found.status.is_solved();
    ws.settled = ws.started;
    if !ws.settled {
        ws.trial.copy_from_slice(&ws.pressure);
        evaluate(net, ws);
    }
    report(net, ws, found, &effort)
}

/// Solves with the lagged pressures as they are.
pub(super) fn settle(net: &Network, ws: &mut Workspace, effort: &mut Effort<'_>) -> Verdict {
    if net.tap == net.free {
        if (ws.pressure[net.free] - ws.target).abs() > 0.0 {
            ws.settled = false;
            ws.pressure[net.free] = ws.target;
        }
        return descend(net, ws, effort);
    }
    let found = hold_tap(net, ws, effort).unwrap_or_else(|| {
        let near = search_fan_pressure(net, ws, effort);
        hold_tap(net, ws, effort).unwrap_or(near)
    });
    if !found.status.is_solved() && ws.pressure[net.free].abs() > NO_FAN_PA {
        return Verdict {
            status: Status::OutOfReach { node: net.tap },
            ..found
        };
    }
    found
}

/// Newton with the fan's node held at `ws.pressure[free]`.
pub(super) fn descend(net: &Network, ws: &mut Workspace, effort: &mut Effort<'_>) -> Verdict {
    begin(net, ws);
    for spent in 0.. {
        let found = verdict(net, ws);
        if found.status.is_solved() || spent >= net.settings.max_iterations {
            return found;
        }
        factor(net, ws);
        newton_step(net, ws);
        effort.iterations += 1;
        let Some(taken) = line_search(net, ws) else {
            let found = verdict(net, ws);
            if found.status.is_solved() {
                // The last try is good enough; pressures and flows have to belong together.
                ws.pressure.copy_from_slice(&ws.trial);
                return found;
            }
            begin(net, ws);
            return verdict(net, ws);
        };
        ws.pressure.copy_from_slice(&ws.trial);
        if let Some(trace) = effort.trace.as_deref_mut() {
            trace.push(TraceStep {
                taken,
                content: content_at_trial(net, ws),
                worst_imbalance: verdict(net, ws).worst_imbalance,
            });
        }
    }
    unreachable!("the loop ends by itself")
}

/// Balance at `ws.pressure`; branches that have just been taken there are not taken again.
pub(super) fn begin(net: &Network, ws: &mut Workspace) {
    ws.trial.copy_from_slice(&ws.pressure);
    if ws.settled {
        evaluate_leaks(net, ws);
    } else {
        evaluate(net, ws);
    }
    ws.settled = false;
}

/// Fills and factors the Newton matrix from the slopes in `ws.balance`.
pub(super) fn factor(net: &Network, ws: &mut Workspace) {
    ws.numbers.g.fill(0.0);
    ws.numbers.ground.fill(0.0);
    for (branch, response) in net.branches.iter().zip(&ws.balance.branches) {
        if branch.slot == NONE {
            // Towards a held node a branch acts like a leak.
            let node = branch.tail.min(branch.head) as usize;
            if node < net.free {
                ws.numbers.ground[node] += response.slope;
            }
        } else {
            ws.numbers.g[branch.slot as usize] += response.slope;
        }
    }
    for (group, response) in net.groups.iter().zip(&ws.balance.groups) {
        if group.slot != NONE {
            ws.numbers.g[group.slot as usize] += response.slope;
            continue;
        }
        let node = group.node.min(group.zone_node) as usize;
        if node < net.free {
            ws.numbers.ground[node] += response.slope;
        }
    }
    net.pattern.factor(&mut ws.numbers);
}

/// Newton step at a held fan pressure, into `ws.step`.
pub(super) fn newton_step(net: &Network, ws: &mut Workspace) {
    for (step, out) in ws.step.iter_mut().zip(&ws.balance.out) {
        *step = -out;
    }
    net.pattern.solve(&ws.numbers, &mut ws.step);
}

/// d(pressure)/d(fan pressure) at every free node, into `ws.border`; each between 0 and 1.
pub(super) fn fan_influence(net: &Network, ws: &mut Workspace) {
    ws.border.fill(0.0);
    for (branch, response) in net.branches.iter().zip(&ws.balance.branches) {
        let (node, other) = (
            branch.tail.min(branch.head) as usize,
            branch.tail.max(branch.head) as usize,
        );
        if other == net.free {
            ws.border[node] += response.slope;
        }
    }
    for (group, response) in net.groups.iter().zip(&ws.balance.groups) {
        if group.zone_node != NONE && group.node.max(group.zone_node) as usize == net.free {
            ws.border[group.node.min(group.zone_node) as usize] += response.slope;
        }
    }
    net.pattern.solve(&ws.numbers, &mut ws.border);
}

/// d(fan flow)/d(fan pressure) from `ws.border`.
pub(super) fn whole_slope(net: &Network, ws: &Workspace) -> f64 {
    let ends = |a: u32, b: u32| (a.min(b) as usize, a.max(b) as usize);
    let mut whole = 0.0;
    for (group, response) in net.groups.iter().zip(&ws.balance.groups) {
        if group.zone_node == NONE {
            whole += response.slope * ws.weight(group.node as usize);
        } else {
            let (node, other) = ends(group.node, group.zone_node);
            if other > net.free {
                whole += response.slope * ws.weight(node);
            }
        }
    }
    for (branch, response) in net.branches.iter().zip(&ws.balance.branches) {
        let (node, other) = ends(branch.tail, branch.head);
        if other > net.free {
            whole += response.slope * ws.weight(node);
        }
    }
    whole
}

/// Shorter steps tried on the slope alone where rounding hides the fall of the content.
const MOST_BLIND_TRIES: usize = 6;

/// Goes along `ws.step` from `ws.pressure` to a point where the content is lower; leaves it in `ws.trial`.
///
/// The slope of the content along the step is −imbalance·step, exact at both ends. If it is still downhill at
/// the end, or nearly flat, or downhill enough half way, convexity says the content fell and no integral is needed;
/// else the content itself decides (Armijo), and the slope must not be steeply uphill. The next try is where the
/// slope would be zero by a secant.
/// `None` when nothing shorter helps.
fn line_search(net: &Network, ws: &mut Workspace) -> Option<f64> {
    let start_slope = slope_along(net, ws);
    let mut start_content = None;
    let mut part = 1.0;
    for tried in 0..40 {
        let slope = go_along(net, ws, part);
        if slope <= -0.05 * start_slope {
            return Some(part);
        }
        if slope <= -0.5 * start_slope {
            // The slope only rises, so ½·part·(slope half way + slope at the end) is the least that the content falls.
            let half = go_along(net, ws, 0.5 * part);
            if half + slope <= 2e-4 * start_slope {
                if half <= 0.0 && half.abs() <= slope {
                    return Some(0.5 * part);
                }
                go_along(net, ws, part);
                return Some(part);
            }
            go_along(net, ws, part);
        }
        let reached = content_at_trial(net, ws);
        let from = *start_content.get_or_insert_with(|| content_at_pressure(net, ws));
        let (fall, rounding) = (from - reached, 4.0 * f64::EPSILON * from.abs());
        let enough = fall >= -1e-4 * part * start_slope - rounding;
        // Just beyond a valley as steep on both sides (a square root near zero) steps would swing for ever. Where
        // rounding hides the fall the slope may be rounding as well: not too many tries then.
        let seen = fall > rounding || tried < MOST_BLIND_TRIES;
        let swings = slope > -0.5 * start_slope && seen;
        if enough && !swings {
            return Some(part);
        }
        let secant = start_slope / (start_slope - slope);
        part *= if secant.is_finite() {
            secant.clamp(0.1, 0.7)
        } else {
            0.1
        };
    }
    None
}

/// Takes balances at a part of `ws.step`; returns the slope of the content along it there.
fn go_along(net: &Network, ws: &mut Workspace, part: f64) -> f64 {
    for node in 0..net.free {
        ws.trial[node] = ws.pressure[node] + part * ws.step[node];
    }
    evaluate(net, ws);
    slope_along(net, ws)
}

/// dW/d(part) along `ws.step` at the point that `ws.balance` was filled for.
fn slope_along(net: &Network, ws: &Workspace) -> f64 {
    let out = &ws.balance.out[..net.free];
    out.iter().zip(&ws.step).map(|(out, step)| out * step).sum()
}

fn content_at_pressure(net: &Network, ws: &mut Workspace) -> f64 {
    std::mem::swap(&mut ws.pressure, &mut ws.trial);
    let content = content_at_trial(net, ws);
    std::mem::swap(&mut ws.pressure, &mut ws.trial);
    // The flows at hand are those of the trial: so must the zones be.
    zones_at_trial(net, ws);
    content
}

/// Seam flows and the fan's flow at the solution.
fn report(net: &Network, ws: &mut Workspace, found: Verdict, effort: &Effort<'_>) -> Outcome {
    let (mut whole, mut masks) = (0.0, 0.0);
    for (at, group) in net.groups.iter().enumerate() {
        let dp = group_dp(ws, at, group);
        for leak in group.start as usize..group.end as usize {
            let flow = ws.balance.leaks[leak];
            if group.zone_node == NONE {
                whole += flow;
            }
            let seam = net.leaks[leak].seam;
            if seam == NONE {
                masks += flow;
            } else {
                ws.seam_dp[seam as usize] = dp;
                ws.seam_flow[seam as usize] = flow;
            }
        }
    }
    // What leaves through nodes held at other pressures.
    whole -= ws.balance.out[net.free + 1..].iter().sum::<f64>();
    Outcome {
        status: found.status,
        fan_flow_m3_s: net.sense * whole,
        mask_leak_m3_s: net.sense * masks,
        iterations: effort.iterations,
        worst_imbalance: found.worst_imbalance,
        lag_rounds: effort.rounds,
        lag_gap_pa: effort.lag_gap_pa,
    }
}
