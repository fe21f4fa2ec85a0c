//! A network ready to be solved, and the memory of a solve.

use super::blower::BlowerLaw;
use super::builder::BranchId;
use super::element::{DuctLaw, Response, Warm};
use super::lag::{Lag, Lagged};
use super::matrix::{Numbers, Pattern};
use super::seam_law::{PowerLaw, REFERENCE_PA};
use super::types::{Disturbance, FlowSettings, SeamLaws};
use crate::air::{Air, STANDARD_DENSITY};
use crate::math::{exp, ln};

/// Marks a leak that is a mask or plug rather than a seam, and an absent slot, node or branch.
pub(super) const NONE: u32 = u32::MAX;

/// One system in one set-up: elements, boundary and the pattern of the Newton matrix.
///
/// Made by [`assemble`](super::assemble) or [`AbstractNetwork::build`](super::AbstractNetwork::build); never
/// changes afterwards, so that threads share it, each with its own [`Workspace`].
#[derive(Debug, Clone)]
pub struct Network {
    pub(super) settings: FlowSettings,
    /// Nodes with unknown pressure, numbered in the order of elimination. The fan's node comes after them,
    /// then the nodes of `held`.
    pub(super) free: usize,
    /// Nodes other than the fan's whose pressure is held: share·house + fixed.
    pub(super) held: Vec<Zone>,
    pub(super) branches: Vec<Branch>,
    pub(super) groups: Vec<Group>,
    pub(super) leaks: Vec<Leak>,
    pub(super) zones: Vec<Zone>,
    /// Whether any zone is a node.
    pub(super) floating: bool,
    /// Whether a blower drives air round.
    pub(super) driven: bool,
    /// Whether any lagged pressure acts on a branch.
    pub(super) has_sources: bool,
    pub(super) pattern: Pattern,
    /// Node at which the pressure is held; `free` when that is the fan's own.
    pub(super) tap: usize,
    /// Pressure held there, Pa.
    pub(super) hold_pa: f64,
    /// Pressure of the house, Pa.
    pub(super) house_pa: f64,
    /// +1 when blown up, −1 when pulled down.
    pub(super) sense: f64,
    pub(super) seams: usize,
    /// Seams that take part.
    pub(super) counted: Vec<bool>,
    /// Airs of the leaks.
    pub(super) airs: Vec<AirRatio>,
    /// What depends on flows found by the same solve: velocity pressures and losses by flow ratio.
    pub(super) lags: Vec<Lag>,
    pub(super) names: Vec<String>,
    /// Number of each node given to the builder.
    pub(super) node_of: Vec<u32>,
    /// Number of each branch given to the builder; `NONE` for a lossless link or a dead end.
    pub(super) branch_of: Vec<u32>,
    /// Branches given to the builder that were dropped because no air can move in them.
    pub(super) dead_end: Vec<bool>,
}

/// Air against the air that leak coefficients are stated in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AirRatio {
    pub(super) ln_density: f64,
    pub(super) ln_viscosity: f64,
}

impl AirRatio {
    pub(super) fn of(air: Air) -> Self {
        AirRatio {
            ln_density: ln(air.density / STANDARD_DENSITY),
            ln_viscosity: ln(air.viscosity / Air::standard().viscosity),
        }
    }

    /// ln(C in this air/C in standard air), flows at 1.204 kg/m³: by dimensions (μ/μ₀)^(1−2n)·(ρ/ρ₀)ⁿ.
    pub(super) fn ln_factor(self, n: f64) -> f64 {
        self.ln_viscosity + n * (self.ln_density - 2.0 * self.ln_viscosity)
    }

    /// Logarithm of the pressure at which a leak's flow does not change with its exponent when its flow at 25 Pa in
    /// standard air is kept.
    pub(super) fn ln_pivot(self) -> f64 {
        ln(REFERENCE_PA) - self.ln_density + 2.0 * self.ln_viscosity
    }
}

/// A branch between two nodes.
#[derive(Debug, Clone)]
pub(super) struct Branch {
    pub(super) tail: u32,
    pub(super) head: u32,
    /// Entry of the matrix; `NONE` for a branch at a held node.
    pub(super) slot: u32,
    pub(super) law: Element,
}

/// Law of a branch.
#[derive(Debug, Clone)]
pub(super) enum Element {
    Duct(DuctLaw),
    Power(PowerLaw),
    Blower(BlowerLaw),
}

impl Element {
    pub(super) fn response(&self, dp: f64, warm: &mut Warm) -> Response {
        match self {
            Element::Duct(law) => law.response(dp, warm),
            Element::Power(law) => {
                let (flow, slope) = law.flow_and_slope(dp);
                Response { flow, slope }
            }
            Element::Blower(law) => law.response(dp),
        }
    }

    pub(super) fn content(&self, dp: f64) -> f64 {
        match self {
            Element::Duct(law) => law.content(dp),
            Element::Power(law) => law.content(dp),
            Element::Blower(law) => law.content(dp),
        }
    }

    /// Pressure difference at a flow; for a power law the cubic part is passed over.
    pub(super) fn pressure_drop(&self, flow: f64) -> f64 {
        match self {
            Element::Duct(law) => law.pressure_drop(flow),
            Element::Power(law) => exp((ln(flow.abs()) - law.ln_c) / law.n).copysign(flow),
            Element::Blower(law) => law.pressure_drop(flow),
        }
    }
}

/// Leaks of one node to one zone that lie in the same stream: they feel the same pressure difference.
#[derive(Debug, Clone)]
pub(super) struct Group {
    pub(super) node: u32,
    pub(super) zone: u32,
    /// Node of the zone; `NONE` where the zone's pressure is given.
    pub(super) zone_node: u32,
    /// Entry of the matrix between node and zone; `NONE` unless both are free.
    pub(super) slot: u32,
    pub(super) start: u32,
    pub(super) end: u32,
}

/// One leak.
#[derive(Debug, Clone)]
pub(super) struct Leak {
    /// Seam, or `NONE` for a mask.
    pub(super) seam: u32,
    /// Logarithm of the part of the seam that counts.
    pub(super) ln_part: f64,
    /// Law of a mask, as logarithm of the flow at 25 Pa and exponent.
    pub(super) mask: (f64, f64),
    /// Air that leaks, in `Network::airs`.
    pub(super) air: u32,
}

/// A zone round the ducts: pressure = share·house + fixed, or that of a node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Zone {
    pub(super) house_share: f64,
    pub(super) fixed_pa: f64,
    /// Node whose pressure it has; `NONE` where the two figures above say it.
    pub(super) node: u32,
}

impl Network {
    /// Memory for solving this network.
    pub fn workspace(&self) -> Workspace {
        let (nodes, leaks) = (self.node_count(), self.leaks.len());
        Workspace {
            started: false,
            settled: false,
            pressure: vec![0.0; nodes],
            trial: vec![0.0; nodes],
            step: vec![0.0; self.free],
            border: vec![0.0; self.free],
            zone_pa: vec![0.0; self.zones.len()],
            target: 0.0,
            nominal_target: 0.0,
            house: 0.0,
            lagged: Lagged::new(self),
            imbalance_rel: self.settings.imbalance_rel,
            laws: vec![PowerLaw { ln_c: 0.0, n: 0.5 }; leaks],
            balance: Balance {
                out: vec![0.0; nodes],
                slopes: vec![0.0; nodes],
                branches: vec![Response::default(); self.branches.len()],
                groups: vec![Response::default(); self.groups.len()],
                leaks: vec![0.0; leaks],
            },
            warm: vec![Warm::default(); self.branches.len()],
            numbers: self.pattern.numbers(),
            seam_dp: vec![0.0; self.seams],
            seam_flow: vec![0.0; self.seams],
            node_of: self.node_of.clone(),
        }
    }

    /// Whether a seam takes part in this set-up.
    ///
    /// # Panics
    /// If there is no such seam.
    pub fn seam_counts(&self, seam: usize) -> bool {
        self.counted[seam]
    }

    /// Number of seams of the system, counted or not.
    pub fn seam_count(&self) -> usize {
        self.seams
    }

    /// Nodes of the solved network, merged links and dead ends left out.
    pub fn node_count(&self) -> usize {
        self.free + 1 + self.held.len()
    }

    /// Branches of the solved network.
    pub fn branch_count(&self) -> usize {
        self.branches.len()
    }

    /// Flow of a branch given to the builder, tail to head, at the solution in `ws`, m³/s at 1.204 kg/m³: 0 at a dead
    /// end, `None` for a lossless link.
    pub fn branch_flow(&self, ws: &Workspace, branch: BranchId) -> Option<f64> {
        match *self.branch_of.get(branch.index())? {
            NONE if self.dead_end[branch.index()] => Some(0.0),
            NONE => None,
            at => Some(ws.balance.branches[at as usize].flow),
        }
    }

    /// Multiplies all flows of the running blowers by a factor above zero. A workspace that holds a solution must be
    /// told: [`Workspace::clear_start`].
    pub fn scale_blower(&mut self, factor: f64) {
        for branch in &mut self.branches {
            if let Element::Blower(law) = &mut branch.law {
                *law = law.scaled(factor);
            }
        }
    }

    /// Lowest and highest rise of the points of the (first) running blower's curve, Pa.
    pub fn blower_range(&self) -> Option<(f64, f64)> {
        self.branches.iter().find_map(|branch| match &branch.law {
            Element::Blower(law) => Some((law.lowest_point_rise_pa(), law.highest_point_rise_pa())),
            Element::Duct(_) | Element::Power(_) => None,
        })
    }

    /// How many pressures and losses depend on flows found by the same solve.
    pub fn lag_count(&self) -> usize {
        self.lags.len()
    }

    /// Name of a node as numbered in [`Status::NotConverged`](super::Status::NotConverged).
    ///
    /// # Panics
    /// If there is no such node.
    pub fn node_name(&self, node: usize) -> &str {
        &self.names[node]
    }
}

/// Memory of a solve: scratch, the last solution as a warm start, and what the last solve found.
#[derive(Debug, Clone)]
pub struct Workspace {
    pub(super) started: bool,
    /// `balance` belongs to `pressure`: always for the branches, for leaks until the laws change.
    pub(super) settled: bool,
    pub(super) pressure: Vec<f64>,
    pub(super) trial: Vec<f64>,
    pub(super) step: Vec<f64>,
    pub(super) border: Vec<f64>,
    pub(super) zone_pa: Vec<f64>,
    /// Total pressure that the tap has to reach, Pa.
    pub(super) target: f64,
    /// Pressure that its gauge has to show, Pa.
    pub(super) nominal_target: f64,
    /// Pressure of the house where it is held, Pa.
    pub(super) house: f64,
    pub(super) lagged: Lagged,
    /// Worst imbalance that counts as solved in this solve, part of the largest flow.
    pub(super) imbalance_rel: f64,
    pub(super) laws: Vec<PowerLaw>,
    pub(super) balance: Balance,
    pub(super) warm: Vec<Warm>,
    pub(super) numbers: Numbers,
    pub(super) seam_dp: Vec<f64>,
    pub(super) seam_flow: Vec<f64>,
    node_of: Vec<u32>,
}

/// Flows and slopes at one set of pressures.
#[derive(Debug, Clone)]
pub(super) struct Balance {
    /// Flow out of each node through branches and leaks, m³/s: zero at the solution except at the fan.
    pub(super) out: Vec<f64>,
    /// Sum of slopes at each node.
    pub(super) slopes: Vec<f64>,
    pub(super) branches: Vec<Response>,
    pub(super) groups: Vec<Response>,
    /// Flow of each leak.
    pub(super) leaks: Vec<f64>,
}

impl Balance {
    fn copy_from(&mut self, other: &Balance) {
        self.out.copy_from_slice(&other.out);
        self.slopes.copy_from_slice(&other.slopes);
        self.branches.copy_from_slice(&other.branches);
        self.groups.copy_from_slice(&other.groups);
        self.leaks.copy_from_slice(&other.leaks);
    }
}

impl Workspace {
    /// What `ws.border` says of a node: 1 at the fan, 0 where another pressure is held.
    pub(super) fn weight(&self, node: usize) -> f64 {
        let at_fan = if node == self.border.len() { 1.0 } else { 0.0 };
        self.border.get(node).copied().unwrap_or(at_fan)
    }

    /// Pressure difference across each seam, duct minus place, Pa; 0 where a seam takes no part.
    pub fn seam_dp(&self) -> &[f64] {
        &self.seam_dp
    }

    /// Flow through each seam, positive out of the duct, m³/s at 1.204 kg/m³; 0 where a seam takes no part.
    pub fn seam_flow(&self) -> &[f64] {
        &self.seam_flow
    }

    /// Total pressure at a node as numbered by the builder, Pa; a dead end has that of the node it hangs on.
    /// `None` for a node outside the part under test.
    pub fn node_pressure(&self, node: usize) -> Option<f64> {
        let at = *self.node_of.get(node)?;
        self.pressure.get(at as usize).copied()
    }

    /// Largest gap between a lagged pressure (a velocity pressure, a loss by flow ratio) and its flows before each
    /// round of the last solve and after the last, Pa; for checks.
    pub fn lag_gaps_pa(&self) -> &[f64] {
        &self.lagged.gaps
    }

    /// Forgets the last solution, so that the next solve starts cold.
    pub fn clear_start(&mut self) {
        self.started = false;
        self.settled = false;
        self.lagged.forget();
    }

    /// Starts the next solve from another workspace's last solution; both must be of the same network.
    pub fn copy_start_from(&mut self, other: &Workspace) {
        self.started = other.started;
        self.settled = other.settled;
        self.target = other.target;
        self.laws.copy_from_slice(&other.laws);
        self.zone_pa.copy_from_slice(&other.zone_pa);
        self.balance.copy_from(&other.balance);
        self.pressure.copy_from_slice(&other.pressure);
        self.warm.copy_from_slice(&other.warm);
        self.lagged.copy_from(&other.lagged);
    }

    /// Takes in the laws and the boundary of one solve.
    pub(super) fn prepare(&mut self, net: &Network, laws: SeamLaws<'_>, disturbance: Disturbance) {
        let house = net.house_pa + disturbance.house_pa;
        for (held, pressure) in net.held.iter().zip(&mut self.pressure[net.free + 1..]) {
            *pressure = held.house_share * house + held.fixed_pa;
        }
        for (zone, pressure) in net.zones.iter().zip(&mut self.zone_pa) {
            if zone.node == NONE {
                *pressure = zone.house_share * house + zone.fixed_pa;
            }
        }
        self.house = house;
        self.nominal_target = net.hold_pa + disturbance.tap_pa;
        for (leak, law) in net.leaks.iter().zip(&mut self.laws) {
            let (ln_q25, n) = if leak.seam == NONE {
                leak.mask
            } else {
                let seam = leak.seam as usize;
                (laws.ln_q25[seam], laws.n[seam])
            };
            let air = net.airs[leak.air as usize];
            *law = PowerLaw {
                ln_c: ln_q25 + leak.ln_part + air.ln_viscosity - n * air.ln_pivot(),
                n,
            };
        }
    }
}
