//! A network ready to be solved, and the memory of a solve.

use super::element::{DuctLaw, Response, Warm};
use super::matrix::{Numbers, Pattern};
use super::seam_law::{PowerLaw, REFERENCE_PA};
use super::types::{Disturbance, FlowSettings, SeamLaws};

/// Marks a leak that is a mask or plug rather than a seam, and an absent slot.
pub(super) const NONE: u32 = u32::MAX;

/// One system in one set-up: elements, boundary and the pattern of the Newton matrix.
///
/// Made by [`assemble`](super::assemble) or [`AbstractNetwork::build`](super::AbstractNetwork::build); never
/// changes afterwards, so that threads share it, each with its own [`Workspace`].
#[derive(Debug, Clone)]
pub struct Network {
    pub(super) settings: FlowSettings,
    /// Nodes with unknown pressure, numbered in the order of elimination. The fan's node comes after them,
    /// then the nodes of `open`.
    pub(super) free: usize,
    /// Pressures of the nodes that stand open to a held pressure, Pa.
    pub(super) open: Vec<f64>,
    pub(super) branches: Vec<Branch>,
    pub(super) groups: Vec<Group>,
    pub(super) leaks: Vec<Leak>,
    pub(super) zones: Vec<Zone>,
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
    pub(super) ln_density_ratio: f64,
    pub(super) ln_viscosity_ratio: f64,
    pub(super) names: Vec<String>,
    /// Number of each node given to the builder.
    pub(super) node_of: Vec<u32>,
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
}

impl Element {
    pub(super) fn response(&self, dp: f64, warm: &mut Warm) -> Response {
        match self {
            Element::Duct(law) => law.response(dp, warm),
            Element::Power(law) => {
                let (flow, slope) = law.flow_and_slope(dp);
                Response { flow, slope }
            }
        }
    }

    pub(super) fn content(&self, dp: f64) -> f64 {
        match self {
            Element::Duct(law) => law.content(dp),
            Element::Power(law) => law.content(dp),
        }
    }

    /// Pressure difference at a flow; for a power law the cubic part is passed over.
    pub(super) fn pressure_drop(&self, flow: f64) -> f64 {
        match self {
            Element::Duct(law) => law.pressure_drop(flow),
            Element::Power(law) => ((flow.abs().ln() - law.ln_c) / law.n).exp().copysign(flow),
        }
    }
}

/// Leaks of one node to one zone: they feel the same pressure difference.
#[derive(Debug, Clone)]
pub(super) struct Group {
    pub(super) node: u32,
    pub(super) zone: u32,
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
}

/// A zone round the ducts: pressure = share·house + fixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Zone {
    pub(super) house_share: f64,
    pub(super) fixed_pa: f64,
}

impl Network {
    /// Memory for solving this network.
    pub fn workspace(&self) -> Workspace {
        let (nodes, leaks) = (self.free + 1 + self.open.len(), self.leaks.len());
        Workspace {
            started: false,
            settled: false,
            pressure: vec![0.0; nodes],
            trial: vec![0.0; nodes],
            step: vec![0.0; self.free],
            border: vec![0.0; self.free],
            zone_pa: vec![0.0; self.zones.len()],
            target: 0.0,
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
        self.free + 1 + self.open.len()
    }

    /// Branches of the solved network.
    pub fn branch_count(&self) -> usize {
        self.branches.len()
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
    pub(super) target: f64,
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

    /// Pressure at a node as numbered by the builder, Pa; a dead end has that of the node it hangs on.
    /// `None` for a node outside the part under test.
    pub fn node_pressure(&self, node: usize) -> Option<f64> {
        let at = *self.node_of.get(node)?;
        self.pressure.get(at as usize).copied()
    }

    /// Forgets the last solution, so that the next solve starts cold.
    pub fn clear_start(&mut self) {
        self.started = false;
        self.settled = false;
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
    }

    /// Takes in the laws and the boundary of one solve.
    pub(super) fn prepare(&mut self, net: &Network, laws: SeamLaws<'_>, disturbance: Disturbance) {
        self.target = net.hold_pa + disturbance.tap_pa;
        self.pressure[net.free + 1..].copy_from_slice(&net.open);
        let house = net.house_pa + disturbance.house_pa;
        for (zone, pressure) in net.zones.iter().zip(&mut self.zone_pa) {
            *pressure = zone.house_share * house + zone.fixed_pa;
        }
        let per_n = net.ln_density_ratio - 2.0 * net.ln_viscosity_ratio - REFERENCE_PA.ln();
        for (leak, law) in net.leaks.iter().zip(&mut self.laws) {
            let (ln_q25, n) = if leak.seam == NONE {
                leak.mask
            } else {
                let seam = leak.seam as usize;
                (laws.ln_q25[seam], laws.n[seam])
            };
            *law = PowerLaw {
                ln_c: ln_q25 + leak.ln_part + net.ln_viscosity_ratio + n * per_n,
                n,
            };
        }
    }
}
