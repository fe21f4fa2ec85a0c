//! A network by name: nodes, branches, seams and what holds them.

use super::branch_law::{BranchLaw, check, element, positive};
use super::error::FlowError;
use super::junction::JunctionLaw;
use super::network::{Element, Network};
use super::number::Numbering;
use super::probe::Section;
use super::types::FlowSettings;
use crate::air::{Air, STANDARD_DENSITY};

/// A node of an [`AbstractNetwork`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct NodeId(pub(super) usize);

impl NodeId {
    /// Number for [`Workspace::node_pressure`](super::Workspace::node_pressure).
    pub fn index(self) -> usize {
        self.0
    }
}

/// A branch of an [`AbstractNetwork`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct BranchId(pub(super) usize);

impl BranchId {
    /// Number in order of adding.
    pub fn index(self) -> usize {
        self.0
    }
}

/// A seam of an [`AbstractNetwork`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamAtNode {
    /// Where it leaks from.
    pub node: NodeId,
    /// Part of the house's pressure at which its surroundings are.
    pub house_share: f64,
    /// Added to that pressure, Pa.
    pub fixed_pa: f64,
    /// Part of the seam that takes part, 0 to 1.
    pub part: f64,
}

/// A takeoff whose losses depend on how the flow divides or joins there.
#[derive(Debug, Clone)]
pub struct Takeoff {
    /// Losses.
    pub law: JunctionLaw,
    /// Leg that leaves the main.
    pub branch: BranchId,
    /// Main on the side of the whole flow.
    pub common: BranchId,
    /// Main on the other side, if it goes on.
    pub straight: Option<BranchId>,
    /// Whether branches run against the air (returns, walked away from the unit).
    pub against: bool,
}

/// A network described by nodes, branches and seams alone, without a duct system behind it.
///
/// [`assemble`](super::assemble) goes through it. It is public for checks: random networks, hand-worked cases and
/// data of other solvers can be fed straight to [`solve`](super::solve).
#[derive(Debug, Clone)]
pub struct AbstractNetwork {
    pub(super) air: Air,
    pub(super) names: Vec<String>,
    pub(super) branches: Vec<Given>,
    pub(super) seams: Vec<Option<GivenSeam>>,
    pub(super) masks: Vec<Mask>,
    pub(super) held: Vec<(NodeId, f64, f64)>,
    pub(super) takeoffs: Vec<Takeoff>,
    pub(super) tap_stream: Option<Section>,
    pub(super) fan: NodeId,
    pub(super) tap: NodeId,
    pub(super) hold_pa: f64,
    pub(super) house_pa: f64,
}

#[derive(Debug, Clone)]
pub(super) struct Given {
    pub(super) name: String,
    pub(super) tail: NodeId,
    pub(super) head: NodeId,
    law: BranchLaw,
    pub(super) air: Air,
}

/// A seam with what may be added to it.
#[derive(Debug, Clone, Copy)]
pub(super) struct GivenSeam {
    pub(super) at: SeamAtNode,
    pub(super) zone: Option<NodeId>,
    pub(super) stream: Option<Section>,
    pub(super) air: Air,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Mask {
    pub(super) node: NodeId,
    pub(super) zone: Option<NodeId>,
    pub(super) house_share: f64,
    pub(super) q25: f64,
    pub(super) n: f64,
}

impl AbstractNetwork {
    /// An empty network in the given air; fan and tap at the first node, held at 25 Pa, house at 0.
    pub fn new(air: Air) -> Self {
        AbstractNetwork {
            air,
            names: Vec::new(),
            branches: Vec::new(),
            seams: Vec::new(),
            masks: Vec::new(),
            held: Vec::new(),
            takeoffs: Vec::new(),
            tap_stream: None,
            fan: NodeId(0),
            tap: NodeId(0),
            hold_pa: 25.0,
            house_pa: 0.0,
        }
    }

    /// Adds a node.
    pub fn node(&mut self, name: impl Into<String>) -> NodeId {
        self.names.push(name.into());
        NodeId(self.names.len() - 1)
    }

    /// Adds a branch in the network's air.
    pub fn branch(
        &mut self,
        name: impl Into<String>,
        tail: NodeId,
        head: NodeId,
        law: BranchLaw,
    ) -> BranchId {
        self.branch_in(name, tail, head, law, self.air)
    }

    /// Adds a branch with air of its own, for instance the heated air of the supply side.
    pub fn branch_in(
        &mut self,
        name: impl Into<String>,
        tail: NodeId,
        head: NodeId,
        law: BranchLaw,
        air: Air,
    ) -> BranchId {
        self.branches.push(Given {
            name: name.into(),
            tail,
            head,
            law,
            air,
        });
        BranchId(self.branches.len() - 1)
    }

    /// Adds a seam and returns its index in [`SeamLaws`](super::SeamLaws).
    pub fn seam(&mut self, seam: SeamAtNode) -> usize {
        let takes_part = seam.part > 0.0;
        self.seams.push(takes_part.then_some(GivenSeam {
            at: seam,
            zone: None,
            stream: None,
            air: self.air,
        }));
        self.seams.len() - 1
    }

    /// Keeps a place in [`SeamLaws`](super::SeamLaws) for a seam that takes no part.
    pub fn absent_seam(&mut self) -> usize {
        self.seams.push(None);
        self.seams.len() - 1
    }

    /// Lets the last seam added leak into a node instead of a zone of given pressure: a room, an attic, the house.
    pub fn seam_into(&mut self, zone: NodeId) {
        if let Some(Some(seam)) = self.seams.last_mut() {
            seam.zone = Some(zone);
        }
    }

    /// Puts the last seam added beside a stream: its static pressure drives the leak, not its total pressure.
    pub fn seam_beside(&mut self, stream: Section) {
        if let Some(Some(seam)) = self.seams.last_mut() {
            seam.stream = Some(stream);
        }
    }

    /// Lets other air than the network's leak through the last seam added.
    pub fn seam_air(&mut self, air: Air) {
        if let Some(Some(seam)) = self.seams.last_mut() {
            seam.air = air;
        }
    }

    /// Section with its stream in a branch, for [`seam_beside`](Self::seam_beside) and probes.
    ///
    /// # Panics
    /// If there is no such branch.
    pub fn stream(&self, branch: BranchId, area_m2: f64) -> Section {
        Section {
            branch,
            area_m2,
            half_density: half_density(self.branches[branch.0].air),
        }
    }

    /// Whether a branch is given as a link without loss.
    pub(super) fn is_lossless(&self, branch: BranchId) -> bool {
        matches!(self.branches[branch.0].law, BranchLaw::Lossless)
    }

    /// ½ρ₀²/ρ of each branch's air, kg/m³.
    pub(super) fn half_densities(&self) -> Vec<f64> {
        self.branches.iter().map(|b| half_density(b.air)).collect()
    }

    /// Adds a takeoff whose losses depend on the division of flow. The branch leg must be a duct: the part of its
    /// loss that goes with its own velocity alone is added to it.
    pub fn takeoff(&mut self, takeoff: Takeoff) {
        self.takeoffs.push(takeoff);
    }

    /// Takes away the local loss of a duct branch, for a takeoff that brings its own.
    pub(super) fn drop_own_loss(&mut self, branch: BranchId) {
        if let BranchLaw::Duct(shape) = &mut self.branches[branch.0].law {
            shape.loss = 0.0;
        }
    }

    /// Adds a leak with a fixed law that is no seam: a mask, a plug, a barrier. `q25` in m³/s at 25 Pa.
    pub fn mask(&mut self, node: NodeId, house_share: f64, q25: f64, n: f64) {
        self.masks.push(Mask {
            node,
            zone: None,
            house_share,
            q25,
            n,
        });
    }

    /// As [`mask`](Self::mask), into a node.
    pub fn mask_into(&mut self, node: NodeId, zone: NodeId, q25: f64, n: f64) {
        self.masks.push(Mask {
            node,
            zone: Some(zone),
            house_share: 0.0,
            q25,
            n,
        });
    }

    /// Puts the fan and the tap at nodes and holds a gauge pressure at the tap, Pa; below zero pulls down. Where no
    /// test fan runs, any held node may stand here: outdoors at 0.
    pub fn hold(&mut self, fan: NodeId, tap: NodeId, pressure_pa: f64) {
        (self.fan, self.tap, self.hold_pa) = (fan, tap, pressure_pa);
    }

    /// Lets the tap show static pressure: the velocity pressure of this stream is taken off.
    pub fn tap_beside(&mut self, stream: Section) {
        self.tap_stream = Some(stream);
    }

    /// Opens a node to a held gauge pressure, Pa: an unmasked register. Its flow counts as fan flow.
    pub fn open_to(&mut self, node: NodeId, pressure_pa: f64) {
        self.held.push((node, 0.0, pressure_pa));
    }

    /// Holds a node at the house's pressure.
    pub fn open_to_house(&mut self, node: NodeId) {
        self.held.push((node, 1.0, 0.0));
    }

    /// Holds the house at a gauge pressure, Pa.
    pub fn house(&mut self, pressure_pa: f64) {
        self.house_pa = pressure_pa;
    }

    /// Checks the network and readies it: lossless links merged, dead ends without leaks dropped, order of
    /// elimination found.
    ///
    /// # Errors
    /// [`FlowError::Island`] for a part that no branch joins to a held pressure, [`FlowError::BadFigure`],
    /// [`FlowError::TapOutside`], [`FlowError::TooMeshed`].
    pub fn build(&self, settings: &FlowSettings) -> Result<Network, FlowError> {
        self.check_boundary()?;
        let elements = self.elements(settings)?;
        Numbering::new(self, elements)?.network(settings)
    }

    fn check_boundary(&self) -> Result<(), FlowError> {
        let finite = [
            ("pressure at the tap", self.hold_pa),
            ("house pressure", self.house_pa),
        ];
        for (name, value) in finite {
            check(name, value, "a finite figure", value.is_finite())?;
        }
        let seams = self.seams.iter().flatten();
        let airs = self.branches.iter().map(|branch| branch.air);
        for air in airs.chain(seams.map(|seam| seam.air)).chain([self.air]) {
            for (name, value) in [
                ("air density", air.density),
                ("air viscosity", air.viscosity),
            ] {
                check(name, value, "a figure above zero", positive(value))?;
            }
        }
        for &(node, share, pressure) in &self.held {
            let fine = share.is_finite() && pressure.is_finite();
            check(&self.names[node.0], pressure, "a finite pressure", fine)?;
        }
        for seam in self.seams.iter().flatten() {
            let at = seam.at;
            let name = &self.names[at.node.0];
            let fine = at.house_share.is_finite() && at.fixed_pa.is_finite() && at.part <= 1.0;
            check(name, at.part, "a seam's part between 0 and 1", fine)?;
            if let Some(stream) = seam.stream {
                check_stream(name, stream)?;
            }
        }
        if let Some(stream) = self.tap_stream {
            check_stream(&self.names[self.tap.0], stream)?;
        }
        for mask in &self.masks {
            let fine = positive(mask.q25) && mask.n > 0.0 && mask.n <= 1.0;
            check(
                &self.names[mask.node.0],
                mask.q25,
                "a mask leak above zero",
                fine,
            )?;
        }
        Ok(())
    }

    /// Element of each branch; `None` for a lossless link.
    fn elements(&self, settings: &FlowSettings) -> Result<Vec<Option<Element>>, FlowError> {
        let mut own = vec![0.0; self.branches.len()];
        for takeoff in &self.takeoffs {
            own[takeoff.branch.0] += takeoff.law.own_branch_loss();
        }
        self.branches
            .iter()
            .zip(own)
            .map(|(given, own)| {
                let mut law = given.law.clone();
                if let BranchLaw::Duct(shape) = &mut law {
                    shape.loss += own;
                }
                element(&given.name, &law, given.air, settings.lossless_pa)
            })
            .collect()
    }
}

fn half_density(air: Air) -> f64 {
    0.5 * STANDARD_DENSITY * STANDARD_DENSITY / air.density
}

fn check_stream(name: &str, stream: Section) -> Result<(), FlowError> {
    let area = stream.area_m2;
    check(name, area, "an area above zero", positive(area))
}
