//! Newton's method on the node pressures.

use super::balance::{Verdict, content_at_trial, evaluate, evaluate_leaks, tap_holds, verdict};
use super::network::{NONE, Network, Workspace};
use super::seam_law::SWITCH_PA;
use super::types::{Disturbance, Outcome, SeamLaws, Status, TraceStep};

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

/// As [`solve`], only to a worst imbalance of `imbalance_rel` of the largest flow.
///
/// For a caller on its way to other laws, who will solve fully where it ends. The slopes that follow belong to the
/// pressures reached.
pub(crate) fn solve_roughly(
    net: &Network,
    laws: SeamLaws<'_>,
    disturbance: Disturbance,
    ws: &mut Workspace,
    imbalance_rel: f64,
) -> Outcome {
    let rough = imbalance_rel.max(net.settings.imbalance_rel);
    run(net, laws, disturbance, ws, rough, None)
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

type Trace<'a> = Option<&'a mut Vec<TraceStep>>;

fn run(
    net: &Network,
    laws: SeamLaws<'_>,
    disturbance: Disturbance,
    ws: &mut Workspace,
    imbalance_rel: f64,
    mut trace: Trace<'_>,
) -> Outcome {
    let held_before = ws.target;
    ws.prepare(net, laws, disturbance);
    ws.imbalance_rel = imbalance_rel;
    let moved = ws.target - held_before;
    if ws.started && moved.abs() <= 0.5 * ws.target.abs() {
        move_start(net, ws, moved);
    } else {
        start_cold(net, ws);
    }
    let mut iterations = 0;
    let found = if net.tap == net.free {
        if (ws.pressure[net.free] - ws.target).abs() > 0.0 {
            ws.settled = false;
            ws.pressure[net.free] = ws.target;
        }
        descend(net, ws, &mut iterations, &mut trace)
    } else {
        hold_tap(net, ws, &mut iterations).unwrap_or_else(|| {
            let near = search_fan_pressure(net, ws, &mut iterations, &mut trace);
            hold_tap(net, ws, &mut iterations).unwrap_or(near)
        })
    };
    ws.started = found.status.is_solved();
    ws.settled = ws.started;
    if !ws.settled {
        ws.trial.copy_from_slice(&ws.pressure);
        evaluate(net, ws);
    }
    report(net, ws, found, iterations)
}

/// Moves a warm start along with the pressure held at the tap.
///
/// All ducts keep their pressure differences and only the leaks feel the move. Moving the held node alone would
/// put the whole move across the first pieces: where these hardly lose pressure, their square-root laws then
/// stand thousands of times too steep or too flat, and steps swing about zero.
fn move_start(net: &Network, ws: &mut Workspace, by: f64) {
    if by.abs() > 0.0 {
        for pressure in &mut ws.pressure[..=net.free] {
            *pressure += by;
        }
        ws.settled = false;
    }
}

/// Newton with the fan's node held at `ws.pressure[free]`.
fn descend(
    net: &Network,
    ws: &mut Workspace,
    iterations: &mut u32,
    trace: &mut Trace<'_>,
) -> Verdict {
    begin(net, ws);
    loop {
        let found = verdict(net, ws);
        if found.status.is_solved() || *iterations as usize >= net.settings.max_iterations {
            return found;
        }
        factor(net, ws);
        newton_step(net, ws);
        *iterations += 1;
        let Some(taken) = line_search(net, ws) else {
            return verdict(net, ws);
        };
        ws.pressure.copy_from_slice(&ws.trial);
        if let Some(trace) = trace {
            trace.push(TraceStep {
                taken,
                content: content_at_trial(net, ws),
                worst_imbalance: verdict(net, ws).worst_imbalance,
            });
        }
    }
}

/// Balance at `ws.pressure`; branches that have just been taken there are not taken again.
fn begin(net: &Network, ws: &mut Workspace) {
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
        if (group.node as usize) < net.free {
            ws.numbers.ground[group.node as usize] += response.slope;
        }
    }
    net.pattern.factor(&mut ws.numbers);
}

/// Newton step at a held fan pressure, into `ws.step`.
fn newton_step(net: &Network, ws: &mut Workspace) {
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
    net.pattern.solve(&ws.numbers, &mut ws.border);
}

/// d(fan flow)/d(fan pressure) from `ws.border`.
pub(super) fn whole_slope(net: &Network, ws: &Workspace) -> f64 {
    let groups = net.groups.iter().zip(&ws.balance.groups);
    let leaks: f64 = groups
        .map(|(group, response)| response.slope * ws.weight(group.node as usize))
        .sum();
    let branches = net.branches.iter().zip(&ws.balance.branches);
    let openings: f64 = branches
        .filter(|(branch, _)| branch.tail.max(branch.head) as usize > net.free)
        .map(|(branch, response)| response.slope * ws.weight(branch.tail.min(branch.head) as usize))
        .sum();
    leaks + openings
}

/// Goes along `ws.step` from `ws.pressure` to a point where the content is lower; leaves it in `ws.trial`.
///
/// The slope of the content along the step is −imbalance·step, exact at both ends. If it is still downhill at
/// the end, or nearly flat, convexity says the content fell and no integral is needed; else the content itself
/// decides (Armijo), and the slope must not be steeply uphill. The next try is where the slope would be zero
/// by a secant.
/// `None` when nothing shorter helps.
fn line_search(net: &Network, ws: &mut Workspace) -> Option<f64> {
    let start_slope = slope_along(net, ws);
    let mut start_content = None;
    let mut part = 1.0;
    for _ in 0..40 {
        for node in 0..net.free {
            ws.trial[node] = ws.pressure[node] + part * ws.step[node];
        }
        evaluate(net, ws);
        let slope = slope_along(net, ws);
        if slope <= -0.05 * start_slope {
            return Some(part);
        }
        let reached = content_at_trial(net, ws);
        let from = *start_content.get_or_insert_with(|| content_at_pressure(net, ws));
        let (fall, rounding) = (from - reached, 4.0 * f64::EPSILON * from.abs());
        let enough = fall >= -1e-4 * part * start_slope - rounding;
        // Just beyond a valley as steep on both sides (a square root near zero) steps would swing for ever.
        let swings = slope > -0.5 * start_slope && fall > rounding;
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

/// dW/d(part) along `ws.step` at the point that `ws.balance` was filled for.
fn slope_along(net: &Network, ws: &Workspace) -> f64 {
    let out = &ws.balance.out[..net.free];
    out.iter().zip(&ws.step).map(|(out, step)| out * step).sum()
}

fn content_at_pressure(net: &Network, ws: &mut Workspace) -> f64 {
    std::mem::swap(&mut ws.pressure, &mut ws.trial);
    let content = content_at_trial(net, ws);
    std::mem::swap(&mut ws.pressure, &mut ws.trial);
    content
}

/// Newton with the fan's pressure as one more unknown. `None` when its steps stop helping.
///
/// There is no content to fall here, so a step counts if the sum of imbalances, with the tap's gap turned into
/// a flow, falls.
fn hold_tap(net: &Network, ws: &mut Workspace, iterations: &mut u32) -> Option<Verdict> {
    begin(net, ws);
    for _ in 0..net.settings.max_iterations / 2 {
        let found = verdict(net, ws);
        if found.status.is_solved() && tap_holds(net, ws) {
            return Some(found);
        }
        factor(net, ws);
        newton_step(net, ws);
        fan_influence(net, ws);
        *iterations += 1;
        let per_pascal = whole_slope(net, ws) / ws.border[net.tap];
        let gap = ws.target - ws.pressure[net.tap];
        let fan_step = (gap - ws.step[net.tap]) / ws.border[net.tap];
        for (step, influence) in ws.step.iter_mut().zip(&ws.border) {
            *step += fan_step * influence;
        }
        let before = merit(net, ws, per_pascal);
        let mut part = 1.0;
        loop {
            for node in 0..net.free {
                ws.trial[node] = ws.pressure[node] + part * ws.step[node];
            }
            ws.trial[net.free] = ws.pressure[net.free] + part * fan_step;
            evaluate(net, ws);
            if merit(net, ws, per_pascal) <= (1.0 - 1e-4 * part) * before {
                break;
            }
            let found = verdict(net, ws);
            if found.status.is_solved() && tap_holds(net, ws) {
                break;
            }
            part *= 0.5;
            if part < 1e-3 {
                return None;
            }
        }
        ws.pressure.copy_from_slice(&ws.trial);
    }
    None
}

fn merit(net: &Network, ws: &Workspace, per_pascal: f64) -> f64 {
    let gap = (ws.target - ws.trial[net.tap]).abs();
    let imbalance: f64 = ws.balance.out[..net.free].iter().map(|f| f.abs()).sum();
    imbalance + per_pascal * gap
}

/// Fan pressure at which the tap is within 1e-7 of its own, by bracketed Newton with a full solve at each try.
///
/// The inner solves stop at their own tolerance, so the last digits are left to [`hold_tap`].
fn search_fan_pressure(
    net: &Network,
    ws: &mut Workspace,
    iterations: &mut u32,
    trace: &mut Trace<'_>,
) -> Verdict {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let spent_before = *iterations;
    let mut spent = 0;
    loop {
        *iterations = 0;
        let found = descend(net, ws, iterations, trace);
        spent += *iterations;
        *iterations = spent_before + spent;
        ws.trial.copy_from_slice(&ws.pressure);
        let closed = high - low <= 4.0 * f64::EPSILON * (high.abs() + low.abs());
        let off = (ws.target - ws.pressure[net.tap]).abs();
        let near = off <= 1e-7 * ws.target.abs() || tap_holds(net, ws);
        let spent_up = spent as usize > 20 * net.settings.max_iterations;
        if !found.status.is_solved() || near || closed || spent_up {
            // Near is not there: the caller goes on from here.
            return Verdict {
                status: Status::NotConverged { node: net.tap },
                ..found
            };
        }
        factor(net, ws);
        fan_influence(net, ws);
        let (now, gap) = (ws.pressure[net.free], ws.target - ws.pressure[net.tap]);
        if gap > 0.0 {
            low = now
        } else {
            high = now
        }
        let mut next = now + gap / ws.border[net.tap];
        if !(next > low && next < high) {
            next = 0.5 * (low + high);
        }
        ws.pressure[net.free] = next;
    }
}

/// First guess of all pressures.
///
/// Leaks are taken straight through their flow at the fan's pressure, ducts straight through a guessed point;
/// one linear solve gives flows that balance. Each duct is then taken straight through its own loss at that
/// flow and the linear system solved again: on a tree only the leaks' reaction to the fall of pressure remains.
fn start_cold(net: &Network, ws: &mut Workspace) {
    let fan = ws.target;
    ws.settled = false;
    ws.pressure[..=net.free].fill(fan);
    ws.trial.copy_from_slice(&ws.pressure);
    ws.warm.fill(Default::default());
    evaluate(net, ws);
    for (group, response) in net.groups.iter().zip(&mut ws.balance.groups) {
        let dp = fan - ws.zone_pa[group.zone as usize];
        if dp.abs() >= SWITCH_PA {
            response.slope = response.flow / dp;
        }
    }
    for (branch, response) in net.branches.iter().zip(&mut ws.balance.branches) {
        response.slope = branch.law.response(1.0, &mut Default::default()).flow;
    }
    linear_solve(net, ws);
    for (branch, response) in net.branches.iter().zip(&mut ws.balance.branches) {
        let dp = ws.trial[branch.tail as usize] - ws.trial[branch.head as usize];
        let flow = response.slope * dp;
        let drop = branch.law.pressure_drop(flow);
        response.slope = if drop.abs() > 1e-9 {
            flow / drop
        } else {
            branch.law.response(1e-9, &mut Default::default()).slope
        };
    }
    linear_solve(net, ws);
    if ws.trial.iter().all(|p| p.is_finite()) {
        ws.pressure.copy_from_slice(&ws.trial);
    }
    ws.warm.fill(Default::default());
}

/// Solves the network with every element straight through the origin at its slope, into `ws.trial`.
fn linear_solve(net: &Network, ws: &mut Workspace) {
    factor(net, ws);
    // Relative to the fan's pressure: only the zones drive flow.
    ws.step.fill(0.0);
    for (group, response) in net.groups.iter().zip(&ws.balance.groups) {
        let node = group.node as usize;
        if node < net.free {
            ws.step[node] -= response.slope * (ws.target - ws.zone_pa[group.zone as usize]);
        }
    }
    for (branch, response) in net.branches.iter().zip(&ws.balance.branches) {
        let node = branch.tail.min(branch.head) as usize;
        let other = branch.tail.max(branch.head) as usize;
        if node < net.free && other > net.free {
            ws.step[node] -= response.slope * (ws.target - ws.trial[other]);
        }
    }
    net.pattern.solve(&ws.numbers, &mut ws.step);
    for (trial, step) in ws.trial.iter_mut().zip(&ws.step) {
        *trial = ws.target + step;
    }
}

/// Seam flows and the fan's flow at the solution.
fn report(net: &Network, ws: &mut Workspace, found: Verdict, iterations: u32) -> Outcome {
    let (mut whole, mut masks) = (0.0, 0.0);
    for group in &net.groups {
        let dp = ws.pressure[group.node as usize] - ws.zone_pa[group.zone as usize];
        for leak in group.start as usize..group.end as usize {
            let flow = ws.balance.leaks[leak];
            whole += flow;
            let seam = net.leaks[leak].seam;
            if seam == NONE {
                masks += flow;
            } else {
                ws.seam_dp[seam as usize] = dp;
                ws.seam_flow[seam as usize] = flow;
            }
        }
    }
    // What leaves through openings to held pressures.
    whole -= ws.balance.out[net.free + 1..].iter().sum::<f64>();
    Outcome {
        status: found.status,
        fan_flow_m3_s: net.sense * whole,
        mask_leak_m3_s: net.sense * masks,
        iterations,
        worst_imbalance: found.worst_imbalance,
    }
}
