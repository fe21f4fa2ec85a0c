//! From a set-up to what takes part: cuts, masks, held pressures.

use petgraph::Direction::Outgoing;
use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;

use super::error::FlowError;
use crate::system::{
    Barrier, FanPlace, HousePressure, LeadsTo, Mask, Mover, OpeningIdx, Openings, Part, PieceKind,
    Recipe, Seam, SeamAt, SeamRole, Setup, Side, System, TapPlace, TestKind,
};

/// Leak of tape round a flange or over a grille's face at 25 Pa, m³/s. Engineering estimate.
pub const MASK_TAPE_LEAK: f64 = 0.05e-3;
/// Leak of a plug in a boot's throat at 25 Pa, m³/s. Engineering estimate.
pub const THROAT_PLUG_LEAK: f64 = 0.2e-3;
/// Leak of a plug at the start of a run at 25 Pa, m³/s. Engineering estimate.
pub const RUN_PLUG_LEAK: f64 = 0.3e-3;
/// Leak of a barrier between the two sides at 25 Pa, m³/s. Engineering estimate.
pub const BARRIER_LEAK: f64 = 0.5e-3;
/// Exponent of those leaks. Engineering estimate.
pub const MASK_EXPONENT: f64 = 0.6;
/// Part of the cabinet's inlet section that still leaks when the fan replaces its panel. Engineering estimate.
pub const PANEL_SHARE: f64 = 0.5;

/// What of a system takes part in a set-up.
#[derive(Debug, Clone)]
pub(super) struct Boundary {
    pub(super) recipe: &'static Recipe,
    /// Openings through which air passes: not masked, and not the fan's.
    pub(super) open: Vec<OpeningIdx>,
    /// Pieces that take part, by edge.
    pub(super) pieces: Vec<bool>,
    /// Junctions that take part.
    pub(super) junctions: Vec<bool>,
    /// Pieces whose tail is cut off the junction by a plug.
    pub(super) cut_tails: Vec<EdgeIndex>,
    /// Part of each seam that counts.
    pub(super) seam_part: Vec<f64>,
    /// Leaks of masks, plugs and the barrier.
    pub(super) masks: Vec<MaskLeak>,
    pub(super) fan: NodeIndex,
    pub(super) tap: NodeIndex,
    /// Signed pressure held at the tap or in the house, Pa.
    pub(super) hold_pa: f64,
    pub(super) house_pa: f64,
}

/// A leak of a mask, plug or barrier to the house.
#[derive(Debug, Clone, Copy)]
pub(super) struct MaskLeak {
    pub(super) at: LeakAt,
    pub(super) q25: f64,
    /// Into outdoors: the mask of an air intake. Else into the house.
    pub(super) to_outdoors: bool,
}

/// Where a mask leaks from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LeakAt {
    Junction(NodeIndex),
    /// The cut tail of a piece.
    CutTail(EdgeIndex),
}

/// Works out what takes part.
pub(super) fn boundary(system: &System, setup: &Setup) -> Result<Boundary, FlowError> {
    check_connected(system)?;
    let signed = if setup.pressurise { 1.0 } else { -1.0 } * setup.pressure_pa;
    let recipe = setup.kind.recipe();
    let house_pa = match recipe.house {
        HousePressure::AsDucts | HousePressure::Held => signed,
        HousePressure::Outdoors | HousePressure::Floats => 0.0,
    };
    let fan = fan_node(system, setup);
    let tap = tap_node(system, setup);
    let (reached, cuts) = reach(system, setup, fan);
    let mut found = Boundary {
        recipe,
        open: Vec::new(),
        seam_part: Vec::new(),
        masks: cut_leaks(system, setup, &cuts, &reached),
        pieces: reached.pieces,
        junctions: reached.junctions,
        cut_tails: cuts.tails,
        fan,
        tap,
        hold_pa: signed,
        house_pa,
    };
    if !found.junctions[fan.index()] {
        let place = system.graph[fan].id.clone();
        return Err(FlowError::FanOutside { place });
    }
    if !found.junctions[tap.index()] {
        let place = system.graph[tap].id.clone();
        return Err(FlowError::TapOutside { place });
    }
    match recipe.openings {
        Openings::Masked => found.masks.extend(opening_masks(system, setup, &found)),
        Openings::Open | Openings::OneCovered => {
            let covered = |index: usize| setup.kind == TestKind::Pan(index);
            found.open = (0..system.openings.len())
                .filter(|&index| !covered(index))
                .filter(|&index| found.junctions[system.openings[index].node.index()])
                .collect();
        }
    }
    found.seam_part = system
        .seams
        .iter()
        .map(|seam| seam_part(system, setup, &found, seam))
        .collect();
    Ok(found)
}

/// Every piece must hang on the unit when nothing is cut.
fn check_connected(system: &System) -> Result<(), FlowError> {
    let none = Cuts::default();
    let from = system.unit.cabinet_inlet;
    let reached = walk(system, &none, from, false);
    match system
        .graph
        .edge_indices()
        .find(|e| !reached.pieces[e.index()])
    {
        Some(loose) => Err(FlowError::Island {
            piece: system.graph[loose].id.clone(),
        }),
        None => Ok(()),
    }
}

fn fan_node(system: &System, setup: &Setup) -> NodeIndex {
    match setup.fan {
        FanPlace::BlowerPanel => system.unit.cabinet_inlet,
        FanPlace::Opening(opening) => system.openings[opening].node,
    }
}

fn tap_node(system: &System, setup: &Setup) -> NodeIndex {
    match setup.tap {
        TapPlace::SupplyPlenum => system.unit.supply_plenum,
        TapPlace::ReturnPlenum => system.unit.return_plenum,
        TapPlace::Opening(opening) => system.openings[opening].node,
    }
}

/// Where the ducts are cut apart.
#[derive(Debug, Clone, Default)]
struct Cuts {
    /// Pieces cut off at their tail by a plug.
    tails: Vec<EdgeIndex>,
    /// Piece that the barrier closes.
    barrier: Option<EdgeIndex>,
    /// Junction on the tested side of the barrier.
    barrier_at: Option<NodeIndex>,
}

/// Pieces and junctions on the tested side of all cuts.
struct Reached {
    pieces: Vec<bool>,
    junctions: Vec<bool>,
    /// Cut tails that the tested side ends in.
    from_tails: Vec<EdgeIndex>,
}

fn reach(system: &System, setup: &Setup, fan: NodeIndex) -> (Reached, Cuts) {
    let plugs = setup
        .plugged
        .iter()
        .map(|&run| system.runs[run].first_piece);
    let mut cuts = Cuts {
        tails: plugs.collect(),
        ..Cuts::default()
    };
    match setup.kind {
        TestKind::OneSide(side) | TestKind::Guarded(side) => {
            let piece = match setup.barrier {
                Barrier::Filter => system.unit.inlet_piece,
                Barrier::BlowerInlet => system.unit.blower_piece,
                Barrier::BlowerOutlet => system.unit.outlet_piece,
            };
            let (supply_end, return_end) = barrier_ends(system, setup.barrier);
            cuts.barrier = Some(piece);
            cuts.barrier_at = Some(match side {
                Side::Supply => supply_end,
                Side::Return => return_end,
            });
            let from = match side {
                Side::Supply => system.unit.supply_plenum,
                Side::Return => system.unit.return_plenum,
            };
            return (walk(system, &cuts, from, false), cuts);
        }
        TestKind::Isolated(run) => {
            let first = system.runs[run].first_piece;
            cuts.tails.push(first);
            return (walk_out(system, &cuts, first), cuts);
        }
        _ => {}
    }
    (walk(system, &cuts, fan, false), cuts)
}

/// Junctions at the supply and the return side of a barrier.
fn barrier_ends(system: &System, barrier: Barrier) -> (NodeIndex, NodeIndex) {
    let unit = &system.unit;
    match barrier {
        Barrier::Filter => (unit.cabinet_inlet, unit.return_plenum),
        Barrier::BlowerInlet => (unit.cabinet_outlet, unit.cabinet_inlet),
        Barrier::BlowerOutlet => (unit.supply_plenum, unit.cabinet_outlet),
    }
}

/// Everything joined to a junction, in both directions unless `outward`.
fn walk(system: &System, cuts: &Cuts, from: NodeIndex, outward: bool) -> Reached {
    let graph = &system.graph;
    let mut reached = Reached {
        pieces: vec![false; graph.edge_count()],
        junctions: vec![false; graph.node_count()],
        from_tails: Vec::new(),
    };
    reached.junctions[from.index()] = true;
    let mut waiting = vec![from];
    while let Some(at) = waiting.pop() {
        spread(system, cuts, at, outward, &mut reached, &mut waiting);
    }
    reached
}

/// A run and all that leaves it, away from the unit, from its first piece on; links to other runs stay out.
fn walk_out(system: &System, cuts: &Cuts, first: EdgeIndex) -> Reached {
    let head = system
        .graph
        .edge_endpoints(first)
        .map(|(_, head)| head)
        .unwrap_or_default();
    let mut reached = walk(system, cuts, head, true);
    reached.pieces[first.index()] = true;
    reached.from_tails.push(first);
    reached
}

fn spread(
    system: &System,
    cuts: &Cuts,
    at: NodeIndex,
    outward: bool,
    reached: &mut Reached,
    waiting: &mut Vec<NodeIndex>,
) {
    let graph = &system.graph;
    let out = graph
        .edges_directed(at, Outgoing)
        .map(|edge| (edge.id(), edge.target(), true));
    let back = graph
        .edges_directed(at, petgraph::Direction::Incoming)
        .map(|edge| (edge.id(), edge.source(), false));
    for (piece, other, leaving) in out.chain(back) {
        let cut_tail = cuts.tails.contains(&piece);
        let closed = cuts.barrier == Some(piece) || (leaving && cut_tail);
        let against = outward && (!leaving || graph[piece].kind == PieceKind::Link);
        if closed || against || reached.pieces[piece.index()] {
            continue;
        }
        reached.pieces[piece.index()] = true;
        if cut_tail {
            // Reached from behind, through a loop: it ends at the plug.
            reached.from_tails.push(piece);
        } else if !reached.junctions[other.index()] {
            reached.junctions[other.index()] = true;
            waiting.push(other);
        }
    }
}

/// Leaks of plugs and of the barrier. A plug leaks on the tested side: at the start of the isolated run, else at the
/// junction that the plugged run leaves.
fn cut_leaks(system: &System, setup: &Setup, cuts: &Cuts, reached: &Reached) -> Vec<MaskLeak> {
    let mut leaks = Vec::new();
    let barrier_leaks = setup.kind.recipe().part
        != Part::OneSide {
            barrier_leaks: false,
        };
    if let Some(at) = cuts.barrier_at.filter(|_| barrier_leaks) {
        leaks.push(MaskLeak {
            at: LeakAt::Junction(at),
            q25: BARRIER_LEAK,
            to_outdoors: false,
        });
    }
    let isolated = matches!(setup.kind, TestKind::Isolated(_));
    for &piece in &cuts.tails {
        let before = system.graph.edge_endpoints(piece).map(|(tail, _)| tail);
        let at = match before {
            _ if isolated && reached.from_tails.contains(&piece) => Some(LeakAt::CutTail(piece)),
            Some(tail) if !isolated && reached.junctions[tail.index()] => {
                Some(LeakAt::Junction(tail))
            }
            _ => None,
        };
        leaks.extend(at.map(|at| MaskLeak {
            at,
            q25: RUN_PLUG_LEAK,
            to_outdoors: false,
        }));
    }
    leaks
}

/// Masks over every opening that takes part, except that of a fan on the ducts.
fn opening_masks(system: &System, setup: &Setup, found: &Boundary) -> Vec<MaskLeak> {
    let q25 = match setup.mask {
        Mask::Flange | Mask::Face => MASK_TAPE_LEAK,
        Mask::Throat => THROAT_PLUG_LEAK,
    };
    let duct_fan = found.recipe.mover == Mover::DuctFan;
    let taken = |index: usize| duct_fan && setup.fan == FanPlace::Opening(index);
    system
        .openings
        .iter()
        .enumerate()
        .filter(|&(index, opening)| found.junctions[opening.node.index()] && !taken(index))
        .map(|(_, opening)| MaskLeak {
            at: LeakAt::Junction(opening.node),
            q25,
            to_outdoors: opening.leads_to == LeadsTo::Outdoors,
        })
        .collect()
}

/// Part of a seam that counts: 0, 1, or what the fan leaves of the cabinet.
fn seam_part(system: &System, setup: &Setup, found: &Boundary, seam: &Seam) -> f64 {
    if !seam_is_on_tested_side(system, setup, found, seam) {
        return 0.0;
    }
    let recipe = found.recipe;
    let duct_fan = recipe.mover == Mover::DuctFan;
    if recipe.part == Part::RoughIn && seam.piece.starts_with("unit/") {
        // The cabinet with what is fixed to it is not there yet.
        return 0.0;
    }
    match seam.role {
        SeamRole::BootGap(opening) => {
            let behind_plug = recipe.openings == Openings::Masked && setup.mask == Mask::Throat;
            let under_fan = duct_fan && setup.fan == FanPlace::Opening(opening);
            let unfinished = recipe.part == Part::RoughIn;
            if behind_plug || under_fan || unfinished {
                0.0
            } else {
                1.0
            }
        }
        SeamRole::CabinetInlet if duct_fan && setup.fan == FanPlace::BlowerPanel => PANEL_SHARE,
        SeamRole::Duct
        | SeamRole::CabinetInlet
        | SeamRole::CabinetOutlet
        | SeamRole::FilterSlot
        | SeamRole::Unsketched => 1.0,
    }
}

/// Whether the place of a seam takes part; a seam at the very junction where its run is plugged lies on the
/// run's side of the plug.
fn seam_is_on_tested_side(system: &System, setup: &Setup, found: &Boundary, seam: &Seam) -> bool {
    let junction = match seam.at {
        SeamAt::Piece(piece, _) => return found.pieces[piece.index()],
        SeamAt::Junction(junction) => junction,
    };
    let starts_here = |&run: &usize| {
        let run = &system.runs[run];
        let tail = system.graph.edge_endpoints(run.first_piece).map(|(t, _)| t);
        run.id == seam.run && tail == Some(junction)
    };
    if setup.plugged.iter().any(starts_here) {
        return false;
    }
    if let TestKind::Isolated(run) = setup.kind {
        return starts_here(&run) || found.junctions[junction.index()];
    }
    found.junctions[junction.index()]
}
