//! Whether a set-up can be run at all: fan and tap must stand on the part of the ducts that is under test.

use petgraph::Direction::{Incoming, Outgoing};
use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;

use super::order::side_word;
use super::types::{FanPlace, PieceKind, RunIdx, Setup, Side, System, TapPlace, TestKind};
use crate::sketch::{Barrier, Diagnostic, Reading, Span};

/// What stands where, of fan or tap.
struct Standing {
    /// `fan` or `tap`.
    what: &'static str,
    node: NodeIndex,
    /// The place in words.
    place: String,
    /// Its run, if it stands at a register or grille.
    run: Option<RunIdx>,
    /// Where the sketch says so; `None` for a default.
    said: Option<Span>,
}

/// What keeps a set-up from being run: nothing when fan and tap are both on the part under test.
pub(super) fn unsolvable(system: &System, setup: &Setup, reading: &Reading) -> Vec<Diagnostic> {
    let reached = under_test(system, setup, &setup.plugged);
    standing(system, setup, reading)
        .into_iter()
        .filter(|s| !reached[s.node.index()])
        .map(|s| refusal(system, setup, reading, &s))
        .collect()
}

fn standing(system: &System, setup: &Setup, reading: &Reading) -> [Standing; 2] {
    let unit = &system.unit;
    let at_opening = |o: usize| {
        let opening = &system.openings[o];
        let run = &system.runs[opening.run];
        (opening.node, format!("`{}`", run.id), Some(opening.run))
    };
    let (node, place, run) = match setup.fan {
        FanPlace::BlowerPanel => (unit.cabinet_inlet, "the blower panel".to_owned(), None),
        FanPlace::Opening(o) => at_opening(o),
    };
    let fan = Standing {
        what: "fan",
        node,
        place,
        run,
        said: reading.fan.as_ref().map(|fan| fan.at),
    };
    let (node, place, run) = match setup.tap {
        TapPlace::SupplyPlenum => (unit.supply_plenum, "the supply plenum".to_owned(), None),
        TapPlace::ReturnPlenum => (unit.return_plenum, "the return plenum".to_owned(), None),
        TapPlace::Opening(o) => at_opening(o),
    };
    let tap = Standing {
        what: "tap",
        node,
        place,
        run,
        said: reading.tap.as_ref().map(|tap| tap.at),
    };
    [fan, tap]
}

/// Words for a fan or tap that stands outside the part under test.
fn refusal(system: &System, setup: &Setup, reading: &Reading, s: &Standing) -> Diagnostic {
    let Standing { what, place, .. } = s;
    let usual = if s.said.is_some() {
        String::new()
    } else {
        format!(" (where it stands when `{what}` is not said)")
    };
    // The plug that does it: its own run's if there is one, else one without which the place would be reached.
    let alone = |plug: &RunIdx| {
        let rest: Vec<RunIdx> = setup
            .plugged
            .iter()
            .copied()
            .filter(|p| p != plug)
            .collect();
        under_test(system, setup, &rest)[s.node.index()]
    };
    let without = under_test(system, setup, &[]);
    let plug = if without[s.node.index()] {
        let own = setup.plugged.iter().position(|p| Some(*p) == s.run);
        own.or_else(|| setup.plugged.iter().position(alone))
            .or(Some(0))
            .and_then(|i| Some((setup.plugged.get(i)?, reading.plugged.get(i)?)))
    } else {
        None
    };
    let found = match plug {
        Some((run, said)) => {
            let id = &said.value;
            let title = if Some(*run) == s.run {
                format!("the {what} sits at {place}, which is plugged{usual}")
            } else {
                format!("the {what} sits at {place}, behind the plug of `{id}`{usual}")
            };
            Diagnostic::new("E0232", said.at, title)
                .label("plugged here")
                .hint(format!(
                    "say another `{what}`, or take `{id}` out of `plugged`"
                ))
        }
        None => {
            let part = match setup.kind {
                TestKind::Isolated(run) => format!("the run `{}`", system.runs[run].id),
                TestKind::OneSide(side) | TestKind::Guarded(side) => {
                    format!("the {} side", side_word(side))
                }
                _ => "the ducts".to_owned(),
            };
            let title = format!("the {what} sits at {place}, but only {part} is tested{usual}");
            let remedy = match setup.kind {
                TestKind::Isolated(_) => {
                    format!("say as `{what}` a run under test that ends in a register or grille")
                }
                _ => format!("say a `{what}` on {part}, or move the barrier"),
            };
            Diagnostic::new("E0232", s.said.unwrap_or(reading.id.at), title)
                .label("outside the part under test")
                .hint(remedy)
        }
    };
    match s.said {
        Some(at) if plug.is_some() => found.also(at, format!("the {what}")),
        _ => found,
    }
}

/// The junctions on the tested side of the barrier and of the plugs.
fn under_test(system: &System, setup: &Setup, plugged: &[RunIdx]) -> Vec<bool> {
    let unit = &system.unit;
    let graph = &system.graph;
    let mut cut: Vec<EdgeIndex> = plugged
        .iter()
        .map(|&run| system.runs[run].first_piece)
        .collect();
    let mut outward = false;
    let from = match setup.kind {
        TestKind::OneSide(side) | TestKind::Guarded(side) => {
            cut.push(match setup.barrier {
                Barrier::Filter => unit.inlet_piece,
                Barrier::BlowerInlet => unit.blower_piece,
                Barrier::BlowerOutlet => unit.outlet_piece,
            });
            match side {
                Side::Supply => unit.supply_plenum,
                Side::Return => unit.return_plenum,
            }
        }
        TestKind::Isolated(run) => {
            let first = system.runs[run].first_piece;
            cut.push(first);
            outward = true;
            match graph.edge_endpoints(first) {
                Some((_, head)) => head,
                None => return vec![false; graph.node_count()],
            }
        }
        _ => unit.supply_plenum,
    };
    let mut reached = vec![false; graph.node_count()];
    reached[from.index()] = true;
    let mut waiting = vec![from];
    while let Some(at) = waiting.pop() {
        let out = graph.edges_directed(at, Outgoing);
        let back = graph.edges_directed(at, Incoming).filter(|_| !outward);
        let next = out
            .map(|e| (e.id(), e.target()))
            .chain(back.map(|e| (e.id(), e.source())));
        for (piece, other) in next {
            let link = outward && graph[piece].kind == PieceKind::Link;
            if !(cut.contains(&piece) || link || reached[other.index()]) {
                reached[other.index()] = true;
                waiting.push(other);
            }
        }
    }
    reached
}
