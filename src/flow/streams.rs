//! Which stream passes a seam, so that its static pressure is known.

use petgraph::Direction::{Incoming, Outgoing};
use petgraph::graph::EdgeIndex;
use petgraph::visit::EdgeRef;

use super::assemble::Builder;
use super::probe::Section;
use crate::system::{Mover, Piece, PieceKind, Seam, SeamAt, SeamRole, Side};

impl Builder<'_> {
    /// The stream past a seam.
    pub(super) fn section_of(&self, seam: &Seam) -> Option<Section> {
        if let SeamRole::BootGap(opening) = seam.role {
            let area = self.system.openings[opening].size.area().si();
            return self.map.openings[opening].map(|branch| self.network.stream(branch, area));
        }
        let own = self.by_id.get(seam.piece.as_str()).copied();
        match own.filter(|&edge| !self.is_unit(edge)) {
            None => self.map.plenum(seam.side),
            Some(edge) => {
                let edge = self.moving(edge)?;
                let (first, last) = self.map.pieces[edge.index()]?;
                let at_tail = match seam.at {
                    SeamAt::Junction(junction) => {
                        let ends = self.system.graph.edge_endpoints(edge);
                        ends.is_some_and(|(tail, _)| tail == junction)
                    }
                    SeamAt::Piece(_, part) => part < 0.5,
                };
                let branch = if at_tail { first } else { last };
                let area = self.system.graph[edge].section.area().si();
                Some(self.network.stream(branch, area))
            }
        }
    }

    /// A piece of the same stream that has a flow of its own: the piece itself, or one next to a piece without loss.
    fn moving(&self, edge: EdgeIndex) -> Option<EdgeIndex> {
        let graph = &self.system.graph;
        let piece = &graph[edge];
        let still = |piece: &Piece| {
            matches!(piece.kind, PieceKind::Cap | PieceKind::Link)
                || (piece.length_m <= 0.0 && piece.loss <= 0.0 && piece.component.is_none())
        };
        if piece.kind == PieceKind::Cap {
            return None;
        }
        if !still(piece) {
            return Some(edge);
        }
        let (tail, head) = graph.edge_endpoints(edge)?;
        let before = graph.edges_directed(tail, Incoming);
        let after = graph.edges_directed(head, Outgoing);
        before
            .chain(after)
            .map(|e| e.id())
            .find(|&e| graph[e].run == piece.run && !still(&graph[e]))
    }

    /// The stream in a plenum, for its seams, taps and readings: all the air goes through the unit. `None` where a fan
    /// in the blower panel's place feeds both sides, or the unit is behind a barrier or not there.
    pub(super) fn plenum_section(&self, side: Side) -> Option<Section> {
        let system = self.system;
        let unit = &system.unit;
        let own = match side {
            Side::Supply => unit.outlet_piece,
            Side::Return => unit.inlet_piece,
        };
        let panel = self.found.recipe.mover == Mover::DuctFan
            && self.found.fan == unit.cabinet_inlet
            && side == Side::Return;
        let area = system.graph[own].section.area().si();
        [Some(own), (!panel).then_some(unit.blower_piece)]
            .into_iter()
            .flatten()
            .filter_map(|edge| self.map.pieces[edge.index()])
            .map(|(_, branch)| branch)
            .find(|&branch| !self.network.is_lossless(branch))
            .map(|branch| self.network.stream(branch, area))
    }
}
