//! From a duct system in a set-up to a network.

use petgraph::graph::{EdgeIndex, NodeIndex};

use super::branch_law::BranchLaw;
use super::builder::{AbstractNetwork, NodeId, SeamAtNode};
use super::element::DuctShape;
use super::error::FlowError;
use super::network::Network;
use super::setup::{Boundary, LeakAt, MASK_EXPONENT, boundary};
use super::types::FlowSettings;
use crate::air::{Air, standard_pressure};
use crate::quantity::{Length, Temperature};
use crate::system::{Piece, PieceKind, Seam, SeamAt, Setup, System};

/// Readies a system in a set-up for solving.
///
/// Pieces and seams behind plugs and barriers take no part; every masked register leaks a little. Pieces longer
/// than [`FlowSettings::longest_segment_m`] are cut at the joints along them, and each seam leaks at the nearest
/// node. The filter is out: its piece loses nothing unless it holds a coil.
///
/// # Errors
/// [`FlowError`] names the piece or place: ducts that hang on nothing, a fan or tap behind a barrier, a figure
/// out of range, too many loops.
pub fn assemble(
    system: &System,
    setup: &Setup,
    settings: &FlowSettings,
) -> Result<Network, FlowError> {
    check_settings(settings)?;
    let found = boundary(system, setup)?;
    let mut builder = Builder::new(system, &found);
    for edge in system.graph.edge_indices() {
        if found.pieces[edge.index()] {
            builder.add_piece(edge, settings.longest_segment_m);
        }
    }
    for (seam, &part) in system.seams.iter().zip(&found.seam_part) {
        builder.add_seam(seam, part);
    }
    for mask in &found.masks {
        let node = match mask.at {
            LeakAt::Junction(junction) => builder.junction(junction),
            LeakAt::CutTail(edge) => builder.ends[edge.index()].0,
        };
        builder.network.mask(node, 1.0, mask.q25, MASK_EXPONENT);
    }
    let (fan, tap) = (builder.junction(found.fan), builder.junction(found.tap));
    builder.network.hold(fan, tap, found.hold_pa);
    builder.network.house(found.house_pa);
    builder.network.build(settings)
}

fn check_settings(settings: &FlowSettings) -> Result<(), FlowError> {
    let longest = settings.longest_segment_m;
    if longest > 0.0 {
        return Ok(());
    }
    Err(FlowError::BadFigure {
        name: "longest segment".to_owned(),
        needs: "a length above zero",
        found: longest.to_string(),
    })
}

/// Network under construction, with the nodes along each piece.
struct Builder<'a> {
    system: &'a System,
    found: &'a Boundary,
    network: AbstractNetwork,
    junctions: Vec<NodeId>,
    /// First and last node of each piece that takes part.
    ends: Vec<(NodeId, NodeId)>,
    /// Nodes along each piece with their part of the length, tail and head included.
    along: Vec<Vec<(f64, NodeId)>>,
    /// Parts of the length at which each piece has seams, rising.
    joints: Vec<Vec<f64>>,
}

impl<'a> Builder<'a> {
    fn new(system: &'a System, found: &'a Boundary) -> Self {
        let mut network = AbstractNetwork::new(air_at(system.elevation_m));
        let junctions: Vec<NodeId> = system
            .graph
            .node_weights()
            .map(|junction| network.node(junction.id.clone()))
            .collect();
        let mut joints = vec![Vec::new(); system.graph.edge_count()];
        for seam in &system.seams {
            if let SeamAt::Piece(edge, part) = seam.at
                && part > 0.0
                && part < 1.0
            {
                joints[edge.index()].push(part);
            }
        }
        for list in &mut joints {
            list.sort_by(f64::total_cmp);
        }
        let nowhere = NodeId::default();
        Builder {
            system,
            found,
            network,
            junctions,
            ends: vec![(nowhere, nowhere); system.graph.edge_count()],
            along: vec![Vec::new(); system.graph.edge_count()],
            joints,
        }
    }

    fn junction(&self, junction: NodeIndex) -> NodeId {
        self.junctions[junction.index()]
    }

    /// Adds the branches of a piece, cut where joints lie if it is long.
    fn add_piece(&mut self, edge: EdgeIndex, longest: f64) {
        let Some((tail, head)) = self.system.graph.edge_endpoints(edge) else {
            return;
        };
        let piece = &self.system.graph[edge];
        let mut at = if self.found.cut_tails.contains(&edge) {
            self.network.node(format!("plug of {}", piece.id))
        } else {
            self.junction(tail)
        };
        let end = self.junction(head);
        self.ends[edge.index()] = (at, end);
        let mut along = vec![(0.0, at)];
        let mut from = 0.0;
        for part in cuts(&self.joints[edge.index()], piece.length_m, longest) {
            let next = self
                .network
                .node(format!("{} at {:.2} m", piece.id, part * piece.length_m));
            self.add_segment(piece, at, next, part - from, false);
            along.push((part, next));
            (at, from) = (next, part);
        }
        // Local losses sit in the last segment.
        self.add_segment(piece, at, end, 1.0 - from, true);
        along.push((1.0, end));
        self.along[edge.index()] = along;
    }

    fn add_segment(&mut self, piece: &Piece, tail: NodeId, head: NodeId, part: f64, last: bool) {
        let law = segment_law(piece, part, last);
        self.network.branch(piece.id.clone(), tail, head, law);
    }

    fn add_seam(&mut self, seam: &Seam, part: f64) {
        if part > 0.0 {
            let node = self.node_of_seam(seam);
            self.network.seam(SeamAtNode {
                node,
                house_share: self.system.places[seam.place].house_share,
                fixed_pa: 0.0,
                part,
            });
        } else {
            self.network.absent_seam();
        }
    }

    fn node_of_seam(&self, seam: &Seam) -> NodeId {
        match seam.at {
            SeamAt::Junction(junction) => {
                let own_side = self.found.junctions[junction.index()];
                if own_side {
                    return self.junction(junction);
                }
                // Only a seam at the plugged start of the run under test is left.
                let cut = self.found.cut_tails.iter().find(|&&edge| {
                    let tail = self.system.graph.edge_endpoints(edge).map(|(tail, _)| tail);
                    tail == Some(junction) && self.found.pieces[edge.index()]
                });
                cut.map_or_else(|| self.junction(junction), |edge| self.ends[edge.index()].0)
            }
            SeamAt::Piece(edge, part) => {
                let along = &self.along[edge.index()];
                let distance = |at: f64| (at - part).abs();
                along
                    .iter()
                    .min_by(|a, b| distance(a.0).total_cmp(&distance(b.0)))
                    .map_or(self.ends[edge.index()].0, |&(_, node)| node)
            }
        }
    }
}

/// Loss of a part of a piece. Caps, links and the filter's place lose nothing.
fn segment_law(piece: &Piece, part: f64, last: bool) -> BranchLaw {
    if let Some(component) = piece.component {
        return BranchLaw::Component {
            dp_pa: component.dp_pa,
            q_m3_s: component.q_m3_s,
            m: component.m,
        };
    }
    match piece.kind {
        PieceKind::Cap | PieceKind::Link | PieceKind::Filter => BranchLaw::Lossless,
        PieceKind::Plenum
        | PieceKind::Straight
        | PieceKind::Elbow
        | PieceKind::Takeoff
        | PieceKind::Reducer
        | PieceKind::Boot
        | PieceKind::Inline
        | PieceKind::Blower
        | PieceKind::Coil => BranchLaw::Duct(DuctShape {
            area_m2: piece.section.area().si(),
            hydraulic_diameter_m: piece.section.hydraulic_diameter().si(),
            length_m: part * piece.length_m,
            roughness_m: piece.roughness_m,
            friction_factor: piece.friction_factor,
            loss: if last { piece.loss } else { 0.0 },
        }),
    }
}

/// Parts of a piece's length at which it is cut: joints nearest to an even division.
fn cuts(joints: &[f64], length: f64, longest: f64) -> Vec<f64> {
    let segments = (length / longest).ceil();
    let mut cuts: Vec<f64> = Vec::new();
    if joints.is_empty() || segments < 2.0 {
        return cuts;
    }
    for k in 1..segments as usize {
        let even = k as f64 / segments;
        let nearest = joints
            .iter()
            .copied()
            .min_by(|a, b| (a - even).abs().total_cmp(&(b - even).abs()));
        if let Some(at) = nearest
            && cuts.last().is_none_or(|&last| at > last + 1e-9)
        {
            cuts.push(at);
        }
    }
    cuts
}

/// Dry air at 20 °C and the standard pressure of a height.
fn air_at(elevation_m: f64) -> Air {
    let pressure = standard_pressure(Length::new(elevation_m));
    Air::dry(Temperature::from_celsius(20.0), pressure)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_or_jointless_pieces_are_not_cut() {
        assert!(cuts(&[0.2, 0.5], 2.0, 3.0).is_empty());
        assert!(cuts(&[], 20.0, 3.0).is_empty());
    }

    #[test]
    fn long_pieces_are_cut_at_the_joints_nearest_an_even_division() {
        // 7.2 m in three: 1/3 and 2/3; joints every 1.2 m.
        let joints: Vec<f64> = (1..6).map(|k| f64::from(k) / 6.0).collect();
        let got = cuts(&joints, 7.2, 3.0);
        assert_eq!(got.len(), 2);
        assert!((got[0] - 2.0 / 6.0).abs() < 1e-12 && (got[1] - 4.0 / 6.0).abs() < 1e-12);
    }

    #[test]
    fn one_joint_is_cut_once() {
        assert_eq!(cuts(&[0.5], 30.0, 3.0).len(), 1);
    }
}
