//! Pieces as lines in space, from the walks.

use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;

use crate::math::hypot;
use crate::quantity::Size;
use crate::system::{PieceKind, PlaceIdx, RunIdx, Side, System};

/// A piece in space, m: x east, y north, z up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bit {
    pub edge: EdgeIndex,
    pub tail_node: NodeIndex,
    pub head_node: NodeIndex,
    pub tail: [f64; 3],
    pub head: [f64; 3],
    /// Width seen from above, m.
    pub width_m: f64,
    pub side: Side,
    pub place: PlaceIdx,
    pub run: Option<RunIdx>,
    pub kind: PieceKind,
}

impl Bit {
    /// Rise from tail to head, m.
    pub fn rise_m(&self) -> f64 {
        self.head[2] - self.tail[2]
    }

    /// Length seen from above, m.
    pub fn level_m(&self) -> f64 {
        hypot(self.head[0] - self.tail[0], self.head[1] - self.tail[1])
    }

    /// Whether it goes mainly up or down.
    pub fn is_steep(&self) -> bool {
        self.rise_m().abs() > 2.0 * self.level_m()
    }

    /// Whether it is a thin line on the sheet: a join without a duct of its own.
    pub fn is_link(&self) -> bool {
        self.kind == PieceKind::Link
    }
}

/// Pieces in the order of the graph, and where every junction is drawn.
///
/// Runs that leave one junction the same way would lie on one another: they are moved side by side, and off the unit where
/// they leave a plenum towards it. The walk's lengths and headings stay.
pub(super) fn bits(system: &System) -> (Vec<Bit>, Vec<[f64; 3]>) {
    let mut bits = raw(system);
    let shift = shifts(system, &bits);
    let mut at: Vec<[f64; 3]> = system
        .graph
        .node_indices()
        .map(|n| position(system, n))
        .collect();
    let moved = |p: [f64; 3], by: [f64; 2]| [p[0] + by[0], p[1] + by[1], p[2]];
    for bit in &mut bits {
        let Some(by) = bit.run.and_then(|run| shift.get(run)) else {
            continue;
        };
        bit.tail = moved(bit.tail, *by);
        if bit.is_link() && hypot(bit.level_m(), bit.rise_m()) > 1e-6 {
            continue;
        }
        bit.head = moved(bit.head, *by);
        at[bit.head_node.index()] = bit.head;
    }
    for bit in &mut bits {
        if bit.is_link() {
            bit.head = at[bit.head_node.index()];
        }
    }
    (bits, at)
}

/// Room between runs that are moved side by side, m.
const SIDE_BY_SIDE_M: f64 = 0.12;

/// How far each run is moved, m east and north; what hangs on a run moves with it.
fn shifts(system: &System, bits: &[Bit]) -> Vec<[f64; 2]> {
    let n = system.runs.len();
    let mut first: Vec<Option<&Bit>> = vec![None; n];
    let mut way: Vec<Option<[f64; 2]>> = vec![None; n];
    let mut owner: Vec<Option<RunIdx>> = vec![None; system.graph.node_count()];
    for bit in bits {
        let Some(run) = bit.run.filter(|run| *run < n) else {
            continue;
        };
        first[run] = first[run].or(Some(bit));
        if bit.is_link() {
            continue;
        }
        way[run] =
            way[run].or_else(|| direction([bit.tail[0], bit.tail[1]], [bit.head[0], bit.head[1]]));
        owner[bit.head_node.index()].get_or_insert(run);
    }
    let mut groups: std::collections::BTreeMap<(usize, i64, i64), Vec<RunIdx>> =
        std::collections::BTreeMap::new();
    for run in 0..n {
        if let (Some(first), Some(way)) = (first[run], way[run]) {
            let key = (
                first.tail_node.index(),
                (way[0] * 10.0).round() as i64,
                (way[1] * 10.0).round() as i64,
            );
            groups.entry(key).or_default().push(run);
        }
    }
    let unit = &system.unit;
    let unit_half = [unit.inlet_piece, unit.outlet_piece]
        .iter()
        .filter_map(|edge| system.graph.edge_weight(*edge))
        .map(|piece| 0.5 * width_m(piece.section).clamp(0.3, 3.0))
        .fold(0.0, f64::max);
    let mut own = vec![[0.0; 2]; n];
    for ((node, _, north), runs) in &groups {
        let blocked = (*node == unit.supply_plenum.index() && *north < -7)
            || (*node == unit.return_plenum.index() && *north > 7);
        if runs.len() < 2 && !blocked {
            continue;
        }
        let widths: Vec<f64> = runs
            .iter()
            .map(|&run| first[run].map_or(0.0, |b| b.width_m))
            .collect();
        let all: f64 = widths.iter().sum::<f64>() + SIDE_BY_SIDE_M * (runs.len() - 1) as f64;
        let mut from = -0.5 * all;
        for (&run, width) in runs.iter().zip(&widths) {
            let middle = from + 0.5 * width;
            from += width + SIDE_BY_SIDE_M;
            own[run] = if blocked {
                // East of the unit.
                [middle + 0.5 * all + unit_half + SIDE_BY_SIDE_M, 0.0]
            } else {
                let side = across(way[run].unwrap_or([1.0, 0.0]));
                [side[0] * middle, side[1] * middle]
            };
        }
    }
    (0..n)
        .map(|run| {
            let mut sum = own[run];
            let mut at = run;
            // A run hangs on another a few times over at most; a circle of joins ends here.
            for _ in 0..n {
                let Some(on) = first[at]
                    .and_then(|b| owner[b.tail_node.index()])
                    .filter(|on| *on != at)
                else {
                    break;
                };
                sum = [sum[0] + own[on][0], sum[1] + own[on][1]];
                at = on;
            }
            sum
        })
        .collect()
}

/// Pieces as the walks have them.
fn raw(system: &System) -> Vec<Bit> {
    system
        .graph
        .edge_references()
        .map(|edge| {
            let piece = edge.weight();
            Bit {
                edge: edge.id(),
                tail_node: edge.source(),
                head_node: edge.target(),
                tail: position(system, edge.source()),
                head: position(system, edge.target()),
                width_m: width_m(piece.section),
                side: piece.side,
                place: piece.place,
                run: piece.run,
                kind: piece.kind,
            }
        })
        .collect()
}

/// Where a junction is; what is not finite counts as 0.
pub(super) fn position(system: &System, node: NodeIndex) -> [f64; 3] {
    system
        .graph
        .node_weight(node)
        .map_or([0.0; 3], |junction| junction.position_m)
        .map(|x| if x.is_finite() { x } else { 0.0 })
}

/// Width of a section seen from above, m; what is not finite counts as 0.
pub(super) fn width_m(section: Size) -> f64 {
    let width = section.width().si();
    if width.is_finite() {
        width.max(0.0)
    } else {
        0.0
    }
}

/// Unit vector from `a` to `b`, or `None` where they meet.
pub(super) fn direction(a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = hypot(dx, dy);
    (length > 1e-9).then(|| [dx / length, dy / length])
}

/// A point off another.
pub(super) fn off(at: [f64; 2], along: [f64; 2], distance: f64) -> [f64; 2] {
    [at[0] + along[0] * distance, at[1] + along[1] * distance]
}

/// A quarter turn to the right on the sheet (y down).
pub(super) fn across(along: [f64; 2]) -> [f64; 2] {
    [-along[1], along[0]]
}
