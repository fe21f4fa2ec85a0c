//! Terms that depend on flows found by the same solve: velocity pressures at leaks and taps, losses by flow ratio.
//!
//! With these terms frozen the balances are the gradient of a convex function. They are therefore kept as a vector
//! z of pressures beside the node pressures, and [`whole`](super::whole) finds the z that agrees with its flows.

use super::junction::JunctionLaw;
use super::network::{NONE, Network, Workspace};

/// One lagged pressure: how it follows from flows, and where it acts.
#[derive(Debug, Clone)]
pub(super) struct Lag {
    pub(super) law: LagLaw,
    pub(super) acts: Vec<Act>,
}

/// How a lagged pressure follows from branch flows.
#[derive(Debug, Clone)]
pub(super) enum LagLaw {
    /// Velocity pressure `factor`·q².
    Velocity { branch: u32, factor: f64 },
    /// Pressure source in a leg of a takeoff; `sign` turns branch flows into the ordinary direction.
    Leg {
        law: JunctionLaw,
        straight: bool,
        branch: u32,
        common: u32,
        sign: f64,
    },
}

/// Where a lagged pressure acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Act {
    /// Taken off the pressure that drives a group of leaks.
    Group(u32),
    /// Added to the pressure difference of a branch.
    Branch(u32),
    /// Taken off the total pressure at the tap: a gauge on a static probe shows the rest.
    Tap,
}

/// A lagged pressure's value and its slopes to at most two branch flows.
#[derive(Debug, Clone, Copy)]
pub(super) struct LagValue {
    pub(super) value: f64,
    pub(super) by: [(u32, f64); 2],
}

impl LagLaw {
    /// Value and slopes at the flows of `ws`.
    pub(super) fn at(&self, ws: &Workspace) -> LagValue {
        let flow = |branch: u32| ws.balance.branches[branch as usize].flow;
        match self {
            LagLaw::Velocity { branch, factor } => {
                let q = flow(*branch);
                LagValue {
                    value: factor * q * q,
                    by: [(*branch, 2.0 * factor * q), (NONE, 0.0)],
                }
            }
            LagLaw::Leg {
                law,
                straight,
                branch,
                common,
                sign,
            } => {
                let (q_b, q_c) = (sign * flow(*branch), sign * flow(*common));
                let source = if *straight {
                    law.straight_source(q_b, q_c)
                } else {
                    law.branch_source(q_b, q_c)
                };
                // A source that drives along the ordinary direction drives `sign` times along the branch.
                LagValue {
                    value: sign * source.pa,
                    by: [
                        (*branch, source.per_branch_flow),
                        (*common, source.per_common_flow),
                    ],
                }
            }
        }
    }
}

/// Lagged pressures of one solve.
#[derive(Debug, Clone, Default)]
pub(super) struct Lagged {
    /// Value of each lag, Pa.
    pub(super) z: Vec<f64>,
    /// What each lag should be at the flows reached, less `z`.
    pub(super) gap: Vec<f64>,
    /// Slopes of each lag to branch flows.
    pub(super) by: Vec<[(u32, f64); 2]>,
    /// Pressure taken off each group's.
    pub(super) offset: Vec<f64>,
    /// Pressure added to each branch's difference.
    pub(super) source: Vec<f64>,
    /// Taken off the tap's total pressure.
    pub(super) tap: f64,
    pub(super) step: Vec<f64>,
    pub(super) kept: Vec<f64>,
    /// Slopes to flows and leaks while a change is followed through the network.
    pub(super) q_bar: Vec<f64>,
    pub(super) l_bar: Vec<f64>,
    pub(super) z_bar: Vec<f64>,
    pub(super) nodes: Vec<f64>,
    /// Column of the inverse for the tap; nothing where the fan itself is held.
    pub(super) column: Vec<f64>,
    /// Weights of a goal that has been followed already.
    pub(super) weights: Vec<f64>,
    pub(super) krylov: super::krylov::Space,
    /// Largest gap of each round of the last solve.
    pub(super) gaps: Vec<f64>,
}

impl Lagged {
    pub(super) fn new(net: &Network) -> Self {
        let lags = net.lags.len();
        let (branches, groups) = (net.branches.len(), net.groups.len());
        Lagged {
            z: vec![0.0; lags],
            gap: vec![0.0; lags],
            by: vec![[(NONE, 0.0); 2]; lags],
            offset: vec![0.0; groups],
            source: vec![0.0; branches],
            tap: 0.0,
            step: vec![0.0; lags],
            kept: vec![0.0; lags],
            q_bar: vec![0.0; branches],
            l_bar: vec![0.0; groups],
            z_bar: vec![0.0; lags],
            nodes: vec![0.0; net.node_count()],
            column: vec![0.0; net.free],
            weights: vec![0.0; net.node_count()],
            krylov: Default::default(),
            gaps: Vec::new(),
        }
    }

    pub(super) fn forget(&mut self) {
        self.z.fill(0.0);
        self.offset.fill(0.0);
        self.source.fill(0.0);
        self.tap = 0.0;
    }

    pub(super) fn copy_from(&mut self, other: &Lagged) {
        self.z.copy_from_slice(&other.z);
        self.offset.copy_from_slice(&other.offset);
        self.source.copy_from_slice(&other.source);
        self.tap = other.tap;
    }
}

/// Carries `z` to the groups, branches and the tap on which it acts.
pub(super) fn spread(net: &Network, ws: &mut Workspace) {
    if net.lags.is_empty() {
        ws.target = ws.nominal_target;
        return;
    }
    let lagged = &mut ws.lagged;
    lagged.offset.fill(0.0);
    lagged.source.fill(0.0);
    lagged.tap = 0.0;
    for (lag, &z) in net.lags.iter().zip(&lagged.z) {
        for act in &lag.acts {
            match *act {
                Act::Group(group) => lagged.offset[group as usize] += z,
                Act::Branch(branch) => lagged.source[branch as usize] += z,
                Act::Tap => lagged.tap += z,
            }
        }
    }
    ws.target = ws.nominal_target + ws.lagged.tap;
}

/// Fills `gap` and `by` at the flows reached; returns the largest gap, Pa.
pub(super) fn measure(net: &Network, ws: &mut Workspace) -> f64 {
    let mut worst = 0.0f64;
    for (at, lag) in net.lags.iter().enumerate() {
        let value = lag.law.at(ws);
        let gap = value.value - ws.lagged.z[at];
        ws.lagged.gap[at] = gap;
        ws.lagged.by[at] = value.by;
        // Written so that NaN stays.
        worst = if gap.abs() > worst || gap.is_nan() {
            gap.abs()
        } else {
            worst
        };
    }
    worst
}
