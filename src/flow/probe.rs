//! What can be read off a solved network, and how it answers to each seam.

use super::adjoint::{Sensitivity, house_slope, seam_slopes};
use super::builder::{BranchId, NodeId};
use super::network::{NONE, Network, Workspace};
use super::types::SeamLaws;
use super::whole::{add_flows_of, close, pull, ready};
use crate::math::square;

/// Something to read at the solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Probe {
    /// Pressure at a node less that at another place, Pa.
    Pressure {
        /// Where the probe is.
        at: NodeId,
        /// What it is read against.
        against: Against,
        /// Section whose velocity pressure a static probe does not show.
        still: Option<Section>,
    },
    /// Flow through a branch from tail to head, m³/s at 1.204 kg/m³.
    Flow(BranchId),
    /// Flow that a held node gives to the network, m³/s at 1.204 kg/m³: what a fan there has to bring.
    Given(NodeId),
}

/// What a pressure is read against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// Outdoors: zero.
    Outdoors,
    /// A node.
    Node(NodeId),
    /// A static probe at a node, beside a stream.
    Still(NodeId, Section),
}

/// A section with the air in it: the velocity there is the branch's flow over the area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Branch.
    pub branch: BranchId,
    /// Area of the section, m².
    pub area_m2: f64,
    /// ½ρ(ρ₀/ρ)², kg/m³: velocity pressure is this times (flow/area)².
    pub half_density: f64,
}

impl Section {
    pub(super) fn factor(self) -> f64 {
        self.half_density / (self.area_m2 * self.area_m2)
    }
}

/// Value of a probe at the solution in `ws`; `None` where the place takes no part or its flow is not known (a
/// lossless link).
pub fn read(net: &Network, ws: &Workspace, probe: Probe) -> Option<f64> {
    match probe {
        Probe::Pressure { at, against, still } => {
            let shown = |at: NodeId, still: Option<Section>| {
                let total = ws.node_pressure(at.index())?;
                let velocity = match still {
                    Some(stream) => stream.factor() * square(net.branch_flow(ws, stream.branch)?),
                    None => 0.0,
                };
                Some(total - velocity)
            };
            let reference = match against {
                Against::Outdoors => 0.0,
                Against::Node(node) => shown(node, None)?,
                Against::Still(node, stream) => shown(node, Some(stream))?,
            };
            Some(shown(at, still)? - reference)
        }
        Probe::Flow(branch) => net.branch_flow(ws, branch),
        Probe::Given(node) => {
            let at = *net.node_of.get(node.index())? as usize;
            (at >= net.free)
                .then(|| ws.balance.out.get(at).copied())
                .flatten()
        }
    }
}

/// d(probe)/d(ln q25) and d(probe)/d(n) of every seam at the solution that `ws` holds, as
/// [`sensitivities`](super::sensitivities) gives them for the fan flow, velocity pressures and losses by flow ratio
/// followed through the whole fixed point.
///
/// `None` where [`read`] gives none.
///
/// # Panics
/// If a slice is shorter than the system's seams.
pub fn probe_sensitivities(
    net: &Network,
    laws: SeamLaws<'_>,
    ws: &mut Workspace,
    probe: Probe,
    d_ln_q25: &mut [f64],
    d_n: &mut [f64],
) -> Option<Sensitivity> {
    assert!(
        laws.n.len() >= net.seams && laws.ln_q25.len() >= net.seams,
        "laws of all seams are given"
    );
    read(net, ws, probe)?;
    ready(net, ws);
    let mut house_direct = 0.0;
    set_goal(net, ws, probe, &mut house_direct);
    let mut pulled = pull(net, ws);
    if !net.lags.is_empty() {
        close(net, ws);
        let v = std::mem::take(&mut ws.lagged.step);
        set_goal(net, ws, probe, &mut 0.0);
        add_flows_of(ws, &v);
        ws.lagged.step = v;
        pulled = pull(net, ws);
    }
    let lagged = &mut ws.lagged;
    for (weight, x) in lagged.weights.iter_mut().zip(&lagged.nodes) {
        *weight = -x;
    }
    let house_pa = house_direct + house_slope(net, ws);
    seam_slopes(net, ws, d_ln_q25, d_n);
    Some(Sensitivity {
        house_pa,
        tap_pa: pulled.tap,
    })
}

/// How one probe answers to every seam, see [`probe_sensitivities`].
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Answer to the pressures held.
    pub held: Sensitivity,
    /// d(probe)/d(ln q25) of each seam.
    pub d_ln_q25: Vec<f64>,
    /// d(probe)/d(n) of each seam.
    pub d_n: Vec<f64>,
}

/// Answers of many probes at one solution, side by side on the threads at hand; the same figures on any number of
/// them. `None` for a probe that cannot be read.
///
/// # Panics
/// If the slices of `laws` are shorter than the system's seams.
pub fn answers(
    net: &Network,
    laws: SeamLaws<'_>,
    ws: &Workspace,
    probes: &[Probe],
) -> Vec<Option<Answer>> {
    let one = |ws: &mut Workspace, probe: &Probe| {
        let (mut d_ln_q25, mut d_n) = (vec![0.0; net.seams], vec![0.0; net.seams]);
        let held = probe_sensitivities(net, laws, ws, *probe, &mut d_ln_q25, &mut d_n)?;
        Some(Answer {
            held,
            d_ln_q25,
            d_n,
        })
    };
    #[cfg(feature = "parallel")]
    {
        use rayon::prelude::*;
        probes
            .par_iter()
            .map_init(|| ws.clone(), |ws, probe| one(ws, probe))
            .collect()
    }
    #[cfg(not(feature = "parallel"))]
    {
        let mut ws = ws.clone();
        probes.iter().map(|probe| one(&mut ws, probe)).collect()
    }
}

/// Slopes of the probe to pressures, flows and leaks with the lagged pressures held.
fn set_goal(net: &Network, ws: &mut Workspace, probe: Probe, house: &mut f64) {
    let lagged = &mut ws.lagged;
    lagged.q_bar.fill(0.0);
    lagged.l_bar.fill(0.0);
    lagged.nodes.fill(0.0);
    let share = |at: usize| {
        let held = at.checked_sub(net.free + 1);
        held.map_or(0.0, |held| net.held[held].house_share)
    };
    match probe {
        Probe::Pressure { at, against, still } => {
            let mut show = |at: NodeId, still: Option<Section>, sign: f64| {
                let at = net.node_of[at.index()] as usize;
                lagged.nodes[at] += sign;
                *house += sign * share(at);
                if let Some(stream) = still {
                    let branch = net.branch_of[stream.branch.index()];
                    if branch != NONE {
                        let flow = ws.balance.branches[branch as usize].flow;
                        lagged.q_bar[branch as usize] -= sign * 2.0 * stream.factor() * flow;
                    }
                }
            };
            show(at, still, 1.0);
            match against {
                Against::Outdoors => {}
                Against::Node(node) => show(node, None, -1.0),
                Against::Still(node, stream) => show(node, Some(stream), -1.0),
            }
        }
        Probe::Flow(branch) => {
            let branch = net.branch_of[branch.index()];
            if branch != NONE {
                lagged.q_bar[branch as usize] += 1.0;
            }
        }
        Probe::Given(node) => {
            let at = net.node_of[node.index()];
            for (sum, branch) in lagged.q_bar.iter_mut().zip(&net.branches) {
                *sum +=
                    f64::from(u8::from(branch.tail == at)) - f64::from(u8::from(branch.head == at));
            }
            for (sum, group) in lagged.l_bar.iter_mut().zip(&net.groups) {
                *sum += f64::from(u8::from(group.node == at))
                    - f64::from(u8::from(group.zone_node == at));
            }
        }
    }
}
