//! From a duct system in a set-up to a network.

use std::collections::BTreeMap;

use petgraph::graph::{EdgeIndex, NodeIndex};

use super::blower::BlowerCurve;
use super::branch_law::BranchLaw;
use super::builder::{AbstractNetwork, BranchId, NodeId, SeamAtNode};
use super::element::DuctShape;
use super::error::FlowError;
use super::map::{Map, Prepared};
use super::network::Network;
use super::reading::Reading;
use super::setup::{Boundary, LeakAt, MASK_EXPONENT, boundary};
use super::surroundings::{Surroundings, Zone};
use super::types::{FlowSettings, SeamPressure};
use crate::air::{Air, standard_pressure};
use crate::quantity::{Length, Temperature};
use crate::system::{
    ComponentLoss, Mover, Opening, Part, Piece, PieceKind, Seam, SeamAt, Setup, Side, System,
    TapPlace,
};

/// Readies a system in a set-up for solving: [`prepare`] without its map.
///
/// # Errors
/// As [`prepare`].
pub fn assemble(
    system: &System,
    setup: &Setup,
    settings: &FlowSettings,
) -> Result<Network, FlowError> {
    Ok(prepare(system, setup, settings)?.network)
}

/// Readies a system in a set-up for solving, and keeps where everything went.
///
/// What the set-up means is said by its [`Recipe`](crate::system::Recipe). Pieces and seams behind plugs and
/// barriers take no part; every masked register leaks a little. Pieces longer than
/// [`FlowSettings::longest_segment_m`] are cut at the joints along them, and each seam leaks at the nearest node.
/// Where a blower or a house fan moves air, the house, closed rooms and buffer zones are nodes of their own;
/// in a test of the ducts they have the pressure that the sketch's shares give them.
///
/// # Errors
/// [`FlowError`] names the piece or place: ducts that hang on nothing, a fan or tap behind a barrier, a figure
/// out of range, too many loops.
pub fn prepare(
    system: &System,
    setup: &Setup,
    settings: &FlowSettings,
) -> Result<Prepared, FlowError> {
    check_settings(settings)?;
    let found = boundary(system, setup)?;
    let mut builder = Builder::new(system, &found, settings);
    for edge in system.graph.edge_indices() {
        if found.pieces[edge.index()] {
            builder.add_piece(edge)?;
        }
    }
    let around = Surroundings::new(system, &found, &mut builder.network);
    for &opening in &found.open {
        builder.open(opening, &around);
    }
    if found.recipe.mover.runs_blower() {
        super::takeoffs::add(&mut builder);
    }
    builder.map.plenums = [Side::Supply, Side::Return].map(|side| builder.plenum_section(side));
    for (seam, &part) in system.seams.iter().zip(&found.seam_part) {
        builder.add_seam(seam, part, &around);
    }
    for mask in &found.masks {
        let node = match mask.at {
            LeakAt::Junction(junction) => builder.junction(junction),
            LeakAt::CutTail(edge) => builder.ends[edge.index()].0,
        };
        let (zone, share) = if mask.to_outdoors {
            (around.outdoors, 0.0)
        } else {
            (around.house, 1.0)
        };
        match zone {
            Some(zone) => builder
                .network
                .mask_into(node, zone, mask.q25, MASK_EXPONENT),
            None => builder.network.mask(node, share, mask.q25, MASK_EXPONENT),
        }
    }
    builder.hold(setup, &around);
    let network = builder.network.build(settings)?;
    let half_density = builder.network.half_densities();
    let mut prepared = Prepared {
        network,
        map: Map {
            house: around.house,
            outdoors: around.outdoors,
            rooms: around.rooms,
            places: around.places,
            ..builder.map
        },
        reads: Reading::FanFlow,
        has_fan: found.recipe.mover != Mover::Blower,
        half_density,
    };
    let read = super::reading::usual(setup.kind);
    if let Some(reading) = prepared.reading_of(system, read) {
        prepared.reads = reading;
    }
    Ok(prepared)
}

fn check_settings(settings: &FlowSettings) -> Result<(), FlowError> {
    let checks = [
        (
            "longest segment",
            settings.longest_segment_m,
            "a length above zero",
        ),
        (
            "supply air temperature",
            settings.supply_air_k,
            "a temperature above absolute zero",
        ),
    ];
    for (name, value, needs) in checks {
        if value.is_nan() || value <= 0.0 {
            return Err(FlowError::BadFigure {
                name: name.to_owned(),
                needs,
                found: value.to_string(),
            });
        }
    }
    Ok(())
}

/// Network under construction, with the nodes along each piece.
pub(super) struct Builder<'a> {
    pub(super) system: &'a System,
    pub(super) found: &'a Boundary,
    settings: &'a FlowSettings,
    pub(super) network: AbstractNetwork,
    pub(super) map: Map,
    /// First and last node of each piece that takes part.
    ends: Vec<(NodeId, NodeId)>,
    /// Nodes along each piece with their part of the length, tail and head included.
    along: Vec<Vec<(f64, NodeId)>>,
    /// Parts of the length at which each piece has seams, rising.
    joints: Vec<Vec<f64>>,
    /// Air of the return and of the supply side.
    airs: [Air; 2],
    pub(super) by_id: BTreeMap<&'a str, EdgeIndex>,
}

impl<'a> Builder<'a> {
    fn new(system: &'a System, found: &'a Boundary, settings: &'a FlowSettings) -> Self {
        let room = air_at(system.elevation_m, Temperature::from_celsius(20.0));
        let supply = air_at(system.elevation_m, Temperature::new(settings.supply_air_k));
        let runs = found.recipe.mover.runs_blower();
        let mut network = AbstractNetwork::new(room);
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
        let edges = system.graph.edge_indices();
        Builder {
            system,
            found,
            settings,
            network,
            map: Map {
                junctions,
                pieces: vec![None; system.graph.edge_count()],
                tails: vec![None; system.graph.edge_count()],
                openings: vec![None; system.openings.len()],
                ..Map::default()
            },
            ends: vec![(nowhere, nowhere); system.graph.edge_count()],
            along: vec![Vec::new(); system.graph.edge_count()],
            joints,
            airs: [room, if runs { supply } else { room }],
            by_id: edges
                .map(|edge| (system.graph[edge].id.as_str(), edge))
                .collect(),
        }
    }

    pub(super) fn air(&self, side: Side) -> Air {
        match side {
            Side::Return => self.airs[0],
            Side::Supply => self.airs[1],
        }
    }

    fn junction(&self, junction: NodeIndex) -> NodeId {
        self.map.junctions[junction.index()]
    }

    /// Adds the branches of a piece, cut where joints lie if it is long.
    fn add_piece(&mut self, edge: EdgeIndex) -> Result<(), FlowError> {
        let Some((tail, head)) = self.system.graph.edge_endpoints(edge) else {
            return Ok(());
        };
        let piece = &self.system.graph[edge];
        let mut at = if self.found.cut_tails.contains(&edge) {
            self.network.node(format!("plug of {}", piece.id))
        } else {
            self.junction(tail)
        };
        let end = self.junction(head);
        self.ends[edge.index()] = (at, end);
        self.map.tails[edge.index()] = Some(at);
        let mut along = vec![(0.0, at)];
        let mut from = 0.0;
        let mut first = None;
        let longest = self.settings.longest_segment_m;
        for part in cuts(&self.joints[edge.index()], piece.length_m, longest) {
            let next = self
                .network
                .node(format!("{} at {:.2} m", piece.id, part * piece.length_m));
            let branch = self.add_segment(piece, at, next, segment_law(piece, part - from, false));
            first = first.or(Some(branch));
            along.push((part, next));
            (at, from) = (next, part);
        }
        let last = if self.is_unit(edge) {
            self.unit_piece(edge, at, end)?
        } else {
            // Local losses sit in the last segment.
            self.add_segment(piece, at, end, segment_law(piece, 1.0 - from, true))
        };
        along.push((1.0, end));
        self.along[edge.index()] = along;
        self.map.pieces[edge.index()] = Some((first.unwrap_or(last), last));
        Ok(())
    }

    fn add_segment(
        &mut self,
        piece: &Piece,
        tail: NodeId,
        head: NodeId,
        law: BranchLaw,
    ) -> BranchId {
        let air = self.air(piece.side);
        self.network
            .branch_in(piece.id.clone(), tail, head, law, air)
    }

    pub(super) fn is_unit(&self, edge: EdgeIndex) -> bool {
        let unit = &self.system.unit;
        [unit.inlet_piece, unit.blower_piece, unit.outlet_piece].contains(&edge)
    }

    /// A piece of the air handler. The filter joins the inlet piece where it is in place.
    fn unit_piece(
        &mut self,
        edge: EdgeIndex,
        tail: NodeId,
        head: NodeId,
    ) -> Result<BranchId, FlowError> {
        let system = self.system;
        let (unit, recipe) = (&system.unit, self.found.recipe);
        let piece = &system.graph[edge];
        if recipe.part == Part::RoughIn {
            return Ok(self.add_segment(piece, tail, head, BranchLaw::Lossless));
        }
        if edge == unit.blower_piece && recipe.mover.runs_blower() {
            let curve = BlowerCurve::new(&unit.blower.points)?;
            let branch = self.add_segment(piece, tail, head, BranchLaw::Blower(curve));
            self.map.blower = Some(branch);
            return Ok(branch);
        }
        let own = segment_law(piece, 1.0, true);
        let law = match unit
            .filter
            .filter(|_| edge == unit.inlet_piece && recipe.filter_in)
        {
            Some(filter) if matches!(own, BranchLaw::Lossless) => component(filter),
            Some(filter) => {
                // The coil stands in the same piece, behind the filter.
                let between = self.network.node(format!("{} behind the filter", piece.id));
                self.add_segment(piece, tail, between, component(filter));
                let branch = self.add_segment(piece, between, head, own);
                return Ok(branch);
            }
            None => own,
        };
        Ok(self.add_segment(piece, tail, head, law))
    }

    /// Opens a register, grille or intake.
    fn open(&mut self, opening: usize, around: &Surroundings) {
        let found: &Opening = &self.system.openings[opening];
        let behind = self.junction(found.node);
        let outside = around.before(found);
        let mut at = behind;
        if let Some(filter) = found.filter.filter(|_| self.found.recipe.filter_in) {
            let face = self.network.node(format!("{} at the filter", found.id));
            let name = format!("{} filter", found.id);
            let air = self.air(found.side);
            self.network
                .branch_in(name, at, face, component(filter), air);
            at = face;
        }
        let diameter = found.size.hydraulic_diameter().si();
        let law = BranchLaw::Duct(DuctShape {
            area_m2: found.size.area().si(),
            hydraulic_diameter_m: diameter,
            length_m: 0.0,
            roughness_m: 0.0,
            friction_factor: 1.0,
            loss: found.loss,
        });
        let name = format!("{} opening", found.id);
        let air = self.air(found.side);
        let branch = self.network.branch_in(name, at, outside, law, air);
        self.map.openings[opening] = Some(branch);
    }

    fn add_seam(&mut self, seam: &Seam, part: f64, around: &Surroundings) {
        if part <= 0.0 {
            self.network.absent_seam();
            return;
        }
        let node = self.node_of_seam(seam);
        let zone = around.zone(self.system, seam.place);
        let (house_share, fixed_pa) = match zone {
            Zone::Share(share) => (share, 0.0),
            Zone::Node(_) => (0.0, 0.0),
        };
        self.network.seam(SeamAtNode {
            node,
            house_share,
            fixed_pa,
            part,
        });
        if let Zone::Node(zone) = zone {
            self.network.seam_into(zone);
        }
        self.network.seam_air(self.air(seam.side));
        if self.settings.seam_pressure == SeamPressure::Static
            && let Some(section) = self.section_of(seam)
        {
            self.network.seam_beside(section);
        }
    }

    /// Holds what the set-up holds.
    fn hold(&mut self, setup: &Setup, around: &Surroundings) {
        let held = self.found.hold_pa;
        match (self.found.recipe.mover, around.house, around.outdoors) {
            (Mover::DuctFan, ..) | (_, None, _) | (_, _, None) => {
                let (fan, tap) = (self.junction(self.found.fan), self.junction(self.found.tap));
                self.network.hold(fan, tap, held);
                self.network.house(self.found.house_pa);
                let side = match setup.tap {
                    TapPlace::SupplyPlenum => Some(Side::Supply),
                    TapPlace::ReturnPlenum => Some(Side::Return),
                    // Masked: no stream passes there.
                    TapPlace::Opening(_) => None,
                };
                if self.settings.seam_pressure == SeamPressure::Static
                    && let Some(section) = side.and_then(|side| self.map.plenum(side))
                {
                    self.network.tap_beside(section);
                }
            }
            (Mover::Blower, Some(house), Some(outdoors)) => {
                let ground = if around.grounded { outdoors } else { house };
                self.network.hold(ground, ground, 0.0);
                if !around.grounded {
                    self.network.open_to(outdoors, 0.0);
                }
            }
            (Mover::HouseFan | Mover::BlowerAndHouseFan, Some(house), Some(outdoors)) => {
                self.network.hold(house, house, held);
                self.network.house(held);
                self.network.open_to(outdoors, 0.0);
            }
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

/// A component's loss as a branch.
fn component(loss: ComponentLoss) -> BranchLaw {
    BranchLaw::Component {
        dp_pa: loss.dp_pa,
        q_m3_s: loss.q_m3_s,
        m: loss.m,
    }
}

/// Loss of a part of a piece. Caps, links and the filter's place lose nothing by themselves.
fn segment_law(piece: &Piece, part: f64, last: bool) -> BranchLaw {
    if let Some(loss) = piece.component {
        return component(loss);
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

/// Dry air of a temperature at the standard pressure of a height.
fn air_at(elevation_m: f64, temperature: Temperature) -> Air {
    Air::dry(temperature, standard_pressure(Length::new(elevation_m)))
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
