//! Where a solve starts.

use super::balance::{evaluate, group_dp, zones_at_trial};
use super::element::Response;
use super::network::{Element, NONE, Network, Workspace};
use super::newton::factor;
use super::seam_law::SWITCH_PA;

/// Pressure at which leaks between nodes of unknown pressure are first taken, Pa.
const GUESS_PA: f64 = 5.0;

/// Moves a warm start along with the pressure held at the tap.
///
/// All ducts keep their pressure differences and only the leaks feel the move. Moving the held node alone would
/// put the whole move across the first pieces: where these hardly lose pressure, their square-root laws then
/// stand thousands of times too steep or too flat, and steps swing about zero.
pub(super) fn move_start(net: &Network, ws: &mut Workspace, by: f64) {
    if by.abs() > 0.0 {
        if !net.floating {
            for pressure in &mut ws.pressure[..=net.free] {
                *pressure += by;
            }
        }
        ws.settled = false;
    }
}

/// First guess of all pressures.
///
/// Leaks are taken straight through their flow at the fan's pressure, ducts straight through a guessed point,
/// a blower along its tangent at half its rise; one linear solve gives flows that balance. Each duct is then taken
/// straight through its own loss at that flow and the linear system solved again: on a tree only the leaks'
/// reaction to the fall of pressure remains.
pub(super) fn start_cold(net: &Network, ws: &mut Workspace) {
    let fan = ws.target;
    ws.settled = false;
    ws.pressure[..=net.free].fill(fan);
    ws.trial.copy_from_slice(&ws.pressure);
    ws.warm.fill(Default::default());
    evaluate(net, ws);
    chords_of_leaks(
        net,
        ws,
        |dp| {
            if dp.abs() >= SWITCH_PA { dp } else { GUESS_PA }
        },
    );
    for (branch, response) in net.branches.iter().zip(&mut ws.balance.branches) {
        *response = match &branch.law {
            Element::Blower(law) => tangent(&branch.law, -0.5 * law.highest_point_rise_pa()),
            law => through_origin(law.response(1.0, &mut Default::default()).flow),
        };
    }
    linear_solve(net, ws);
    let rounds = if net.driven { 4 } else { 1 };
    for _ in 0..rounds {
        for (at, branch) in net.branches.iter().enumerate() {
            let dp = ws.trial[branch.tail as usize] - ws.trial[branch.head as usize]
                + ws.lagged.source[at];
            let response = ws.balance.branches[at];
            ws.balance.branches[at] = match &branch.law {
                Element::Blower(law) => {
                    let most = law.highest_point_rise_pa();
                    tangent(&branch.law, dp.clamp(-most, 0.0))
                }
                law => chord(law, response.slope * dp),
            };
        }
        if net.driven {
            chords_of_leaks(net, ws, |dp| dp.signum() * dp.abs().max(0.1));
        }
        linear_solve(net, ws);
    }
    if ws.trial.iter().all(|p| p.is_finite()) {
        ws.pressure.copy_from_slice(&ws.trial);
    }
    ws.warm.fill(Default::default());
}

fn through_origin(slope: f64) -> Response {
    Response { flow: 0.0, slope }
}

/// Straight line through the origin and the point of an element at a flow.
fn chord(law: &Element, flow: f64) -> Response {
    let drop = law.pressure_drop(flow);
    through_origin(if drop.abs() > 1e-9 {
        flow / drop
    } else {
        law.response(1e-9, &mut Default::default()).slope
    })
}

/// Tangent of an element: `flow` is what it passes at no pressure difference.
fn tangent(law: &Element, dp: f64) -> Response {
    let at = law.response(dp, &mut Default::default());
    Response {
        flow: at.flow - at.slope * dp,
        slope: at.slope,
    }
}

/// Takes every group of leaks straight through its flow at the pressure difference that `at` makes of its own.
fn chords_of_leaks(net: &Network, ws: &mut Workspace, at: impl Fn(f64) -> f64) {
    zones_at_trial(net, ws);
    for (index, group) in net.groups.iter().enumerate() {
        let dp = at(group_dp(ws, index, group));
        let laws = &ws.laws[group.start as usize..group.end as usize];
        let flow: f64 = laws.iter().map(|law| law.flow(dp)).sum();
        ws.balance.groups[index] = through_origin(flow / dp);
    }
}

/// Solves the network with every element straight at its slope, into `ws.trial`.
fn linear_solve(net: &Network, ws: &mut Workspace) {
    factor(net, ws);
    // Relative to the fan's pressure: zones, other held nodes, blowers and sources drive flow.
    ws.step.fill(0.0);
    let mut inflow = |node: usize, flow: f64| {
        if node < net.free {
            ws.step[node] += flow;
        }
    };
    for (at, (group, response)) in net.groups.iter().zip(&ws.balance.groups).enumerate() {
        let node = group.node as usize;
        let base = |held: usize| {
            if held > net.free {
                ws.trial[held] - ws.target
            } else {
                0.0
            }
        };
        if group.zone_node == NONE {
            let zone = ws.zone_pa[group.zone as usize] - ws.target;
            inflow(node, response.slope * (zone + ws.lagged.offset[at]));
        } else {
            let zone = group.zone_node as usize;
            let own = base(node) - base(zone) - ws.lagged.offset[at];
            inflow(node, -response.slope * own);
            inflow(zone, response.slope * own);
        }
    }
    for (at, (branch, response)) in net.branches.iter().zip(&ws.balance.branches).enumerate() {
        let (tail, head) = (branch.tail as usize, branch.head as usize);
        let mut dp = ws.lagged.source[at];
        if tail > net.free {
            dp += ws.trial[tail] - ws.target;
        }
        if head > net.free {
            dp -= ws.trial[head] - ws.target;
        }
        let flow = response.flow + response.slope * dp;
        inflow(tail, -flow);
        inflow(head, flow);
    }
    net.pattern.solve(&ws.numbers, &mut ws.step);
    for (trial, step) in ws.trial.iter_mut().zip(&ws.step) {
        *trial = ws.target + step;
    }
}
