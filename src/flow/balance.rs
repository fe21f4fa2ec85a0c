//! Flows, slopes and imbalances at given pressures, and the one test of convergence.

use super::batch_exp::exp_all;
use super::element::Response;
use super::network::{Group, NONE, Network, Workspace};
use super::seam_law::{LN_SWITCH, PowerLaw, SWITCH_PA};
use super::types::Status;
use crate::math::ln;

/// How a solve stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Verdict {
    pub(super) status: Status,
    pub(super) worst_imbalance: f64,
}

/// Fills `ws.balance` with flows and slopes at the pressures `ws.trial`.
pub(super) fn evaluate(net: &Network, ws: &mut Workspace) {
    let elements = net.branches.iter().zip(&mut ws.balance.branches);
    let given = ws.warm.iter_mut().zip(&ws.lagged.source);
    for ((branch, response), (warm, source)) in elements.zip(given) {
        let dp = ws.trial[branch.tail as usize] - ws.trial[branch.head as usize];
        *response = branch.law.response(dp + source, warm);
    }
    evaluate_leaks(net, ws);
}

/// Gives zones that are nodes their pressure at `ws.trial`.
pub(super) fn zones_at_trial(net: &Network, ws: &mut Workspace) {
    if !net.floating {
        return;
    }
    for (zone, pressure) in net.zones.iter().zip(&mut ws.zone_pa) {
        if zone.node != NONE {
            *pressure = ws.trial[zone.node as usize];
        }
    }
}

/// As [`evaluate`] where the branches' flows are those of `ws.trial` already.
pub(super) fn evaluate_leaks(net: &Network, ws: &mut Workspace) {
    zones_at_trial(net, ws);
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
    let drive = Drive {
        pressure: &ws.trial,
        offset: &ws.lagged.offset,
        zone_pa: &ws.zone_pa,
    };
    leak_flows_at_their_pressures(net, &drive, &ws.laws, &mut balance.leaks);
    for (at, (group, response)) in net.groups.iter().zip(&mut balance.groups).enumerate() {
        let node = group.node as usize;
        let dp = drive.of(at, group);
        let range = group.start as usize..group.end as usize;
        *response = group_response(&ws.laws[range.clone()], dp, &mut balance.leaks[range]);
        balance.out[node] += response.flow;
        balance.slopes[node] += response.slope;
        if group.zone_node != NONE {
            let zone = group.zone_node as usize;
            balance.out[zone] -= response.flow;
            balance.slopes[zone] += response.slope;
        }
    }
}

/// What drives each group of leaks.
struct Drive<'a> {
    pressure: &'a [f64],
    offset: &'a [f64],
    zone_pa: &'a [f64],
}

impl Drive<'_> {
    /// Pressure difference across a group, Pa.
    fn of(&self, at: usize, group: &Group) -> f64 {
        self.pressure[group.node as usize] - self.offset[at] - self.zone_pa[group.zone as usize]
    }
}

/// Pressure difference across a group at the pressures `ws.trial`, Pa.
pub(super) fn group_dp(ws: &Workspace, at: usize, group: &Group) -> f64 {
    let drive = Drive {
        pressure: &ws.trial,
        offset: &ws.lagged.offset,
        zone_pa: &ws.zone_pa,
    };
    drive.of(at, group)
}

/// Fills `flows` with each leak's flow at the size of its pressure difference, or at [`SWITCH_PA`] below that.
///
/// One logarithm serves all leaks of a group, and the exponentials of all leaks are taken in one sweep.
fn leak_flows_at_their_pressures(
    net: &Network,
    drive: &Drive<'_>,
    laws: &[PowerLaw],
    flows: &mut [f64],
) {
    for (at, group) in net.groups.iter().enumerate() {
        let dp = drive.of(at, group);
        // Written so that NaN stays NaN.
        let ln = if dp.abs() < SWITCH_PA {
            LN_SWITCH
        } else {
            ln(dp.abs())
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
///
/// Lagged pressures are held where they are.
pub(super) fn content_at_trial(net: &Network, ws: &mut Workspace) -> f64 {
    zones_at_trial(net, ws);
    let branches: f64 = net
        .branches
        .iter()
        .zip(&ws.lagged.source)
        .map(|(b, source)| {
            b.law
                .content(ws.trial[b.tail as usize] - ws.trial[b.head as usize] + source)
        })
        .sum();
    let leaks: f64 = net
        .groups
        .iter()
        .enumerate()
        .map(|(at, group)| {
            let dp = group_dp(ws, at, group);
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

/// Most that the tap may be off its pressure for rounding, as a part of it or of 1 Pa.
const MOST_TAP_GAP: f64 = 1e-11;

/// Whether the tap is at its pressure: within a hundredth of the imbalance allowed (1e-12 of it by default), or
/// within rounding.
pub(super) fn tap_holds(net: &Network, ws: &Workspace) -> bool {
    let gap = (ws.target - ws.trial[net.tap]).abs();
    let rounding = 8.0 * f64::EPSILON * largest_pressure(ws);
    // However far the fan's pressure is above the tap's: the tap's own digits do not suffer from that.
    let most = MOST_TAP_GAP * ws.target.abs().max(1.0);
    gap <= 0.01 * ws.imbalance_rel * ws.target.abs() || gap <= rounding.min(most)
}

pub(super) fn largest_pressure(ws: &Workspace) -> f64 {
    ws.trial
        .iter()
        .chain(&ws.zone_pa)
        .fold(0.0, |most: f64, p| most.max(p.abs()))
}
