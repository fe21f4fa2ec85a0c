//! Takeoffs of a running system, whose losses hang on how the flow divides.

use petgraph::Direction::{Incoming, Outgoing};
use petgraph::graph::EdgeIndex;
use petgraph::visit::EdgeRef;

use super::assemble::Builder;
use super::builder::Takeoff;
use super::junction::{BranchForm, JunctionLaw, Stream};
use super::map::TakeoffAt;
use crate::system::{JunctionForm, PieceKind, Side};

/// Gives every takeoff off another run's side its loss by flow ratio.
///
/// The main's piece on the unit's side carries the whole flow, the one beyond is the straight leg. Where the main has
/// no loss of its own there (a link), the takeoff keeps its fixed figure.
pub(super) fn add(builder: &mut Builder<'_>) {
    let system = builder.system;
    for edge in system.graph.edge_indices() {
        let Some(form) = system.graph[edge].takeoff_form else {
            continue;
        };
        let Some((common, straight)) = mains(builder, edge) else {
            continue;
        };
        let (Some((branch, _)), Some((_, common_leg))) = (
            builder.map.pieces[edge.index()],
            builder.map.pieces[common.index()],
        ) else {
            continue;
        };
        let area = |edge: EdgeIndex| system.graph[edge].section.area().si();
        let side = system.graph[edge].side;
        let law = JunctionLaw::new(
            match form.form {
                JunctionForm::Tee if form.low_branch => BranchForm::LOW_TEE,
                JunctionForm::Tee => BranchForm::TEE,
                JunctionForm::Wye => BranchForm::wye(form.angle_deg),
            },
            match side {
                Side::Supply => Stream::Diverging,
                Side::Return => Stream::Converging,
            },
            area(common),
            area(edge),
            straight.map(area),
            builder.air(side),
        );
        builder.network.drop_own_loss(branch);
        let straight_leg = straight.and_then(|edge| builder.map.pieces[edge.index()]);
        builder.network.takeoff(Takeoff {
            law,
            branch,
            common: common_leg,
            straight: straight_leg.map(|(first, _)| first),
            against: side == Side::Return,
        });
        builder.map.takeoffs.push(TakeoffAt {
            piece: edge.index(),
            law,
            branch,
            common: common_leg,
            sign: if side == Side::Return { -1.0 } else { 1.0 },
        });
    }
}

/// The main's piece before a takeoff, seen from the unit, and the one beyond.
fn mains(builder: &Builder<'_>, takeoff: EdgeIndex) -> Option<(EdgeIndex, Option<EdgeIndex>)> {
    let graph = &builder.system.graph;
    let (at, _) = graph.edge_endpoints(takeoff)?;
    let carries = |edge: &EdgeIndex| graph[*edge].length_m > 0.0;
    let common = graph
        .edges_directed(at, Incoming)
        .map(|edge| edge.id())
        .find(|edge| graph[*edge].kind != PieceKind::Link)
        .filter(carries)?;
    let beyond = graph
        .edges_directed(at, Outgoing)
        .map(|edge| edge.id())
        .find(|edge| graph[*edge].run == graph[common].run && graph[*edge].kind != PieceKind::Cap)
        .filter(carries);
    Some((common, beyond))
}
