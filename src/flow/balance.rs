//! Flows, slopes and imbalances at given pressures, and the one test of convergence.

use super::batch_exp::exp_all;
use super::element::Response;
use super::network::{Network, Workspace};
use super::seam_law::{LN_SWITCH, PowerLaw, SWITCH_PA};
use super::types::Status;

/// How a solve stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Verdict {
    pub(super) status: Status,
    pub(super) worst_imbalance: f64,
}

/// Fills `ws.balance` with flows and slopes at the pressures `ws.trial`.
pub(super) fn evaluate(net: &Network, ws: &mut Workspace) {
    let elements = net.branches.iter().zip(&mut ws.balance.branches);
    for ((branch, response), warm) in elements.zip(&mut ws.warm) {
        let dp = ws.trial[branch.tail as usize] - ws.trial[branch.head as usize];
        *response = branch.law.response(dp, warm);
    }
    evaluate_leaks(net, ws);
}

/// As [`evaluate`] where the branches' flows are those of `ws.trial` already.
pub(super) fn evaluate_leaks(net: &Network, ws: &mut Workspace) {
    let balance = &mut ws.balance;
    balance.out.fill(0.0);
    balance.slopes.fill(0.0);
    for (branch, response) in net.branches.iter().zip(&balance.branches) {
        let (tail, head) = (branch.tail as usize, branch.head as usize);
        balance.out[tail] += response.flow;
        balance.out[head] -= response.flow;
        balance.slopes[tail] += response.slope;
        balance.slopes[head] += response.slope;
    }
    leak_flows_at_their_pressures(net, &ws.trial, &ws.zone_pa, &ws.laws, &mut balance.leaks);
    for (group, response) in net.groups.iter().zip(&mut balance.groups) {
        let node = group.node as usize;
        let dp = ws.trial[node] - ws.zone_pa[group.zone as usize];
        let range = group.start as usize..group.end as usize;
        *response = group_response(&ws.laws[range.clone()], dp, &mut balance.leaks[range]);
        balance.out[node] += response.flow;
        balance.slopes[node] += response.slope;
    }
}

/// Fills `flows` with each leak's flow at the size of its pressure difference, or at [`SWITCH_PA`] below that.
///
/// One logarithm serves all leaks of a group, and the exponentials of all leaks are taken in one sweep.
fn leak_flows_at_their_pressures(
    net: &Network,
    pressure: &[f64],
    zone_pa: &[f64],
    laws: &[PowerLaw],
    flows: &mut [f64],
) {
    for group in &net.groups {
        let dp = pressure[group.node as usize] - zone_pa[group.zone as usize];
        // Written so that NaN stays NaN.
        let ln = if dp.abs() < SWITCH_PA {
            LN_SWITCH
        } else {
            dp.abs().ln()
        };
        let range = group.start as usize..group.end as usize;
        for (law, flow) in laws[range.clone()].iter().zip(&mut flows[range]) {
            *flow = law.ln_c + law.n * ln;
        }
    }
    exp_all(flows);
}

/// Sum and slope of the leaks of one group; gives each flow its sign and, below the switch, the cubic.
fn group_response(laws: &[PowerLaw], dp: f64, flows: &mut [f64]) -> Response {
    let size = dp.abs();
    let (mut flow, mut slope) = (0.0, 0.0);
    if size >= SWITCH_PA {
        for (law, each) in laws.iter().zip(flows) {
            flow += *each;
            slope += law.n * *each;
            *each = each.copysign(dp);
        }
        Response {
            flow: flow.copysign(dp),
            slope: slope / size,
        }
    } else {
        for (law, each) in laws.iter().zip(flows) {
            let (q, s) = law.below_switch(*each, dp);
            flow += q;
            slope += s;
            *each = q;
        }
        Response { flow, slope }
    }
}

/// Content function W = Σ∫q dΔp over branches and leaks at the pressures `ws.trial`, Pa·m³/s.
pub(super) fn content_at_trial(net: &Network, ws: &Workspace) -> f64 {
    let branches: f64 = net
        .branches
        .iter()
        .map(|b| {
            b.law
                .content(ws.trial[b.tail as usize] - ws.trial[b.head as usize])
        })
        .sum();
    let leaks: f64 = net
        .groups
        .iter()
        .map(|group| {
            let dp = ws.trial[group.node as usize] - ws.zone_pa[group.zone as usize];
            ws.laws[group.start as usize..group.end as usize]
                .iter()
                .map(|law| law.content(dp))
                .sum::<f64>()
        })
        .sum();
    branches + leaks
}

/// Decides whether the flows in `ws.balance` balance: the only place where that is decided.
///
/// Each free node must balance within `imbalance_rel` of the largest flow, or else within what rounding of the
/// pressures allows: 8 units in the last place of the largest pressure, times the slopes at the node.
pub(super) fn verdict(net: &Network, ws: &Workspace) -> Verdict {
    let flows = ws.balance.branches.iter().chain(&ws.balance.groups);
    let largest = flows.fold(0.0, |most: f64, r| most.max(r.flow.abs()));
    let by_flow = ws.imbalance_rel * largest;
    let ulps = 8.0 * f64::EPSILON * largest_pressure(ws);
    let (mut worst, mut worst_node) = (0.0, 0);
    let mut status = Status::Converged;
    for node in 0..net.free {
        let off = ws.balance.out[node].abs();
        // Written so that NaN fails.
        let within_flow = off <= by_flow;
        let within_rounding = off <= ulps * ws.balance.slopes[node];
        if !within_flow && !within_rounding {
            status = Status::NotConverged { node };
        } else if !within_flow && status == Status::Converged {
            status = Status::RoundingLimited;
        }
        if off > worst || off.is_nan() {
            (worst, worst_node) = (off, node);
        }
    }
    if matches!(status, Status::NotConverged { .. }) {
        status = Status::NotConverged { node: worst_node };
    }
    Verdict {
        status,
        worst_imbalance: worst,
    }
}

/// Whether the tap is at its pressure: within a hundredth of the imbalance allowed (1e-12 of it by default), or
/// within rounding.
pub(super) fn tap_holds(net: &Network, ws: &Workspace) -> bool {
    let gap = (ws.target - ws.trial[net.tap]).abs();
    gap <= 0.01 * ws.imbalance_rel * ws.target.abs()
        || gap <= 8.0 * f64::EPSILON * largest_pressure(ws)
}

fn largest_pressure(ws: &Workspace) -> f64 {
    ws.trial
        .iter()
        .chain(&ws.zone_pa)
        .fold(0.0, |most: f64, p| most.max(p.abs()))
}
