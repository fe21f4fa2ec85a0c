//! Where the parts of a system went in its network.

use super::builder::{BranchId, NodeId};
use super::junction::JunctionLaw;
use super::network::{Network, Workspace};
use super::probe::{Section, read};
use super::reading::Reading;
use super::types::Outcome;
use crate::system::Side;

/// A system ready to be solved in one set-up.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// The network.
    pub network: Network,
    /// Where everything went.
    pub map: Map,
    /// What the set-up reads.
    pub reads: Reading,
    /// Whether a test fan runs.
    pub(super) has_fan: bool,
    /// ½ρ₀²/ρ of each branch's air, kg/m³.
    pub(super) half_density: Vec<f64>,
}

/// Nodes and branches of a system's parts.
#[derive(Debug, Clone, Default)]
pub struct Map {
    /// Node of each junction of the graph; those outside the part under test have no pressure.
    pub junctions: Vec<NodeId>,
    /// First and last branch of each piece of the graph that takes part.
    pub pieces: Vec<Option<(BranchId, BranchId)>>,
    /// Node at the tail of each piece that takes part; behind a plug it is not its junction's.
    pub tails: Vec<Option<NodeId>>,
    /// Branch through each opening that stands open, from behind the grille to what lies before it.
    pub openings: Vec<Option<BranchId>>,
    /// Stream in the supply and in the return plenum, where it is known.
    pub plenums: [Option<Section>; 2],
    /// The running blower.
    pub blower: Option<BranchId>,
    /// The house, where it is a node.
    pub house: Option<NodeId>,
    /// Outdoors, where it is a node.
    pub outdoors: Option<NodeId>,
    /// Node of each closed room.
    pub rooms: Vec<Option<NodeId>>,
    /// Node of each place that is one.
    pub places: Vec<Option<NodeId>>,
    /// Takeoffs whose losses hang on the division of flow.
    pub takeoffs: Vec<TakeoffAt>,
}

/// A takeoff in the network.
#[derive(Debug, Clone)]
pub struct TakeoffAt {
    /// Piece, as number of the graph's edge.
    pub piece: usize,
    /// Loss law.
    pub law: JunctionLaw,
    /// Branch leg.
    pub branch: BranchId,
    /// Common leg.
    pub common: BranchId,
    /// −1 where branches run against the air.
    pub sign: f64,
}

impl Map {
    /// Stream in the plenum of a side.
    pub(super) fn plenum(&self, side: Side) -> Option<Section> {
        match side {
            Side::Supply => self.plenums[0],
            Side::Return => self.plenums[1],
        }
    }
}

impl Prepared {
    /// A section of a branch of this network.
    pub fn section(&self, branch: BranchId, area_m2: f64) -> Section {
        Section {
            branch,
            area_m2,
            half_density: self.half_density[branch.index()],
        }
    }

    /// Value of what the set-up reads: m³/s at 1.204 kg/m³, or Pa for a pan. `None` where it cannot be read.
    pub fn reading(&self, ws: &Workspace, outcome: &Outcome) -> Option<f64> {
        match self.reads {
            Reading::FanFlow => Some(outcome.fan_flow_m3_s),
            Reading::Probe(probe) => read(&self.network, ws, probe),
        }
    }
}
