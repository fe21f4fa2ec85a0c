//! Where each seam's mark is.

use std::collections::BTreeMap;

use petgraph::graph::NodeIndex;

use super::ask::View;
use super::geometry::{Bit, across, off};
use super::label::Rect;
use super::label::grown;
use super::levels::Levels;
use super::sheet::Layout;
use super::spread::spread;
use super::svg::{circle, polyline, tenth};
use super::symbols::{box_path, register_box};
use super::tracks::{Lines, Track};
use super::under::{Under, under};
use super::unit_box::Detail;
use crate::catalog::{Basis, Catalog};
use crate::system::{Seam, SeamAt, SeamRole, System};

/// Where a mark is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Frame {
    /// On a panel.
    Panel(usize),
    /// In the enlarged view of the unit.
    Detail,
}

/// A seam's mark.
#[derive(Debug, Clone)]
pub(super) struct Spot {
    pub frame: Frame,
    /// Path.
    pub d: String,
    /// Middle.
    pub at: [f64; 2],
    /// Ends; the second carries the glyph of the reach.
    pub ends: [[f64; 2]; 2],
    /// Where that glyph goes.
    pub glyph: [f64; 2],
    /// An outline round a box.
    pub outline: Option<Rect>,
    /// Its parts, where a higher duct lies over it.
    pub under: Option<Under>,
}

/// A line beside a riser or a short duct on which its seams stand apart.
#[derive(Debug, Clone)]
pub(super) struct Ladder {
    pub panel: usize,
    pub from: [f64; 2],
    pub to: [f64; 2],
}

/// All marks.
#[derive(Debug, Clone, Default)]
pub(super) struct Spots {
    /// In the order of the seams.
    pub of: Vec<Option<Spot>>,
    pub ladders: Vec<Ladder>,
}

/// Everything a place is sought in.
pub(super) struct Ground<'a> {
    pub system: &'a System,
    pub view: View,
    pub catalog: &'a Catalog,
    pub bits: &'a [Bit],
    pub node_at: &'a [[f64; 3]],
    pub levels: &'a Levels,
    pub layout: &'a Layout,
    pub lines: &'a Lines,
    pub detail: &'a Detail,
    /// Boxes of the unit on its panel.
    pub unit: (usize, Vec<Rect>),
    /// Width of each seam's line, mm.
    pub widths: &'a [f64],
}

#[derive(Debug, Clone, Copy)]
struct Item {
    seam: usize,
    s: f64,
    lengthwise: bool,
    upright: bool,
}

/// Least room between two marks, mm.
const APART: f64 = 0.75;
/// Part to which that room may shrink before marks go onto a ladder.
const SHRINK: f64 = 0.7;
/// Longest ladder, mm.
const LONGEST: f64 = 36.0;

/// Finds a place for each mark.
pub(super) fn spots(ground: &Ground<'_>) -> Spots {
    let system = ground.system;
    let mut all = Spots {
        of: vec![None; system.seams.len()],
        ladders: Vec::new(),
    };
    let runs: BTreeMap<&str, usize> = system
        .runs
        .iter()
        .enumerate()
        .map(|(i, r)| (r.id.as_str(), i))
        .collect();
    let mut pieces: BTreeMap<&str, usize> = BTreeMap::new();
    for edge in system.graph.edge_indices() {
        pieces.entry(&system.graph[edge].id).or_insert(edge.index());
    }
    let mut items: Vec<Vec<Item>> = vec![Vec::new(); ground.lines.tracks.len()];
    let mut spare = 0;
    for (i, seam) in system.seams.iter().enumerate() {
        if let SeamRole::BootGap(opening) = seam.role
            && let Some(opening) = system.openings.get(opening)
        {
            all.of[i] = Some(boot_gap(ground, opening));
            continue;
        }
        let run = match seam.role {
            SeamRole::Duct => runs.get(seam.run.as_str()).copied(),
            _ => None,
        };
        let found = run.and_then(|run| locate(ground, run, seam, &pieces));
        match found {
            Some((track, s, upright)) => {
                items[track].push(Item {
                    seam: i,
                    s,
                    lengthwise: is_lengthwise(ground.catalog, seam),
                    upright,
                });
            }
            None => {
                let (d, ends) = ground.detail.mark(system, seam).unwrap_or_else(|| {
                    spare += 1;
                    ground.detail.spare(spare - 1)
                });
                let outline = (seam.role == SeamRole::Unsketched).then(|| {
                    ground.detail.forgot[usize::from(seam.side == crate::system::Side::Return)]
                });
                all.of[i] = Some(Spot {
                    frame: Frame::Detail,
                    d,
                    at: middle(ends),
                    ends,
                    glyph: beyond(ends, 0.9),
                    outline,
                    under: None,
                });
            }
        }
    }
    for (t, items) in items.iter_mut().enumerate() {
        items.sort_by(|a, b| {
            a.s.total_cmp(&b.s)
                .then(a.upright.cmp(&b.upright))
                .then(a.seam.cmp(&b.seam))
        });
        one_track(ground, t, items, &mut all);
    }
    all
}

/// Whether a seam runs along the duct.
pub(super) fn is_lengthwise(catalog: &Catalog, seam: &Seam) -> bool {
    let group = catalog
        .joint(&seam.joint_type)
        .map_or("", |joint| joint.group.as_str());
    seam.basis == Basis::PerMetre && matches!(group, "seam" | "cavity")
}

fn locate(
    ground: &Ground<'_>,
    run: usize,
    seam: &Seam,
    pieces: &BTreeMap<&str, usize>,
) -> Option<(usize, f64, bool)> {
    let on = |edge: usize| ground.lines.on.get(edge).copied().flatten();
    match seam.at {
        SeamAt::Piece(edge, part) => {
            let on = on(edge.index())?;
            let part = if part.is_finite() {
                part.clamp(0.0, 1.0)
            } else {
                0.5
            };
            Some((on.track, on.from + part * (on.to - on.from), on.upright))
        }
        SeamAt::Junction(node) => {
            let own = pieces
                .get(seam.piece.as_str())
                .map(|&edge| &ground.bits[edge])
                .filter(|bit| {
                    bit.run == Some(run) && (bit.tail_node == node || bit.head_node == node)
                });
            let bit = own.or_else(|| nearest(ground.bits, run, node))?;
            let on = on(bit.edge.index())?;
            let s = if bit.tail_node == node {
                on.from
            } else {
                on.to
            };
            Some((on.track, s, false))
        }
    }
}

/// The last piece of a run that ends at a junction, else the first that begins there, else any of the run.
fn nearest(bits: &[Bit], run: usize, node: NodeIndex) -> Option<&Bit> {
    let own = || bits.iter().filter(|b| b.run == Some(run));
    own()
        .rfind(|b| b.head_node == node)
        .or_else(|| own().find(|b| b.tail_node == node))
        .or_else(|| own().next())
}

fn boot_gap(ground: &Ground<'_>, opening: &crate::system::Opening) -> Spot {
    let panel = ground.levels.of_node[opening.node.index()];
    let at = ground.layout.panels[panel].point(ground.node_at[opening.node.index()]);
    let r = grown(register_box(opening, at, ground.layout), 0.9);
    Spot {
        frame: Frame::Panel(panel),
        d: box_path(r),
        at,
        ends: [[r.x0, r.y0], [r.x1, r.y0]],
        glyph: [r.x1 + 0.7, r.y0 - 0.7],
        outline: Some(r),
        under: None,
    }
}

fn one_track(ground: &Ground<'_>, t: usize, items: &[Item], all: &mut Spots) {
    let track = &ground.lines.tracks[t];
    let room = track.high - track.low;
    let width = |item: &Item| ground.widths.get(item.seam).copied().unwrap_or(0.4);
    let gap = |a: &Item, b: &Item| 0.5 * (width(a) + width(b)) + APART;
    let short = track.length() < 1.0 || room < 0.5;
    let mut across_items: Vec<Item> = Vec::new();
    let mut along_items: Vec<Item> = Vec::new();
    let mut ladder: Vec<Item> = Vec::new();
    for item in items {
        if item.upright || short {
            ladder.push(*item);
        } else if item.lengthwise {
            along_items.push(*item);
        } else {
            across_items.push(*item);
        }
    }
    let total = |list: &[Item]| list.windows(2).map(|p| gap(&p[0], &p[1])).sum::<f64>();
    let mut spilled: Vec<Item> = Vec::new();
    while across_items.len() > 1 && SHRINK * total(&across_items) > room {
        spilled.extend(across_items.pop());
    }
    spilled.reverse();
    spilled.append(&mut ladder);
    let ladder = spilled;

    let want: Vec<f64> = across_items.iter().map(|i| i.s).collect();
    let gaps: Vec<f64> = across_items.windows(2).map(|p| gap(&p[0], &p[1])).collect();
    for (item, s) in across_items
        .iter()
        .zip(spread(&want, &gaps, track.low, track.high))
    {
        let mut spot = crosswise(ground, track, s, &ground.system.seams[item.seam]);
        let line = (spot.d == polyline(&spot.ends)).then_some(&spot.ends[..]);
        spot.under = under(ground.lines, ground.view, track, &spot, line);
        all.of[item.seam] = Some(spot);
    }
    let want: Vec<f64> = along_items.iter().map(|i| i.s).collect();
    let gaps = vec![1.6; want.len().saturating_sub(1)];
    let s = spread(&want, &gaps, track.low, track.high);
    for (k, item) in along_items.iter().enumerate() {
        let before = if k == 0 {
            2.0 * (s[0] - track.low)
        } else {
            s[k] - s[k - 1]
        };
        let after = s
            .get(k + 1)
            .map_or(2.0 * (track.high - s[k]), |next| next - s[k]);
        let own = ground.system.seams[item.seam].amount * ground.layout.mm_per_m;
        let own = if own.is_finite() { own } else { 0.0 };
        let length = (0.8 * before.min(after).min(own)).clamp(0.9, 40.0);
        let (from, to) = (
            (s[k] - 0.5 * length).max(0.0),
            (s[k] + 0.5 * length).min(track.length()),
        );
        let points = track.part(from, to, track.half_at(s[k]) + 0.1);
        let ends = [points[0], points[points.len() - 1]];
        let (_, along) = track.at(s[k]);
        let mut spot = Spot {
            frame: Frame::Panel(track.panel),
            d: polyline(&points),
            at: middle(ends),
            ends,
            glyph: off(off(middle(ends), across(along), 0.9), along, 0.0),
            outline: None,
            under: None,
        };
        spot.under = under(ground.lines, ground.view, track, &spot, Some(&points));
        all.of[item.seam] = Some(spot);
    }
    if !ladder.is_empty() {
        on_ladder(ground, track, &ladder, all);
    }
}

fn crosswise(ground: &Ground<'_>, track: &Track, s: f64, seam: &Seam) -> Spot {
    let (at, along) = track.at(s);
    let half = (track.half_at(s) + 0.55).max(1.1);
    cross_mark(ground, track.panel, at, along, half, seam)
}

/// A mark across a duct: a line for a joint, a line with feet for a collar, an arc for an elbow or a boot, a ring at the
/// side for a hole.
fn cross_mark(
    ground: &Ground<'_>,
    panel: usize,
    at: [f64; 2],
    along: [f64; 2],
    half: f64,
    seam: &Seam,
) -> Spot {
    let side = across(along);
    let ends = [off(at, side, half), off(at, side, -half)];
    let group = ground
        .catalog
        .joint(&seam.joint_type)
        .map_or("", |joint| joint.group.as_str());
    let joint = seam.joint_type.as_str();
    let d = match group {
        "fitting" if joint.starts_with("elbow") => arc(ends, along),
        "terminal" => arc(ends, along),
        "fitting" | "flex" => {
            let foot = |p: [f64; 2]| off(p, along, 0.8);
            polyline(&[foot(ends[0]), ends[0], ends[1], foot(ends[1])])
        }
        "opening" => circle(off(at, side, half - 0.3), 0.55),
        _ => polyline(&ends),
    };
    let at = if group == "opening" {
        off(at, side, half - 0.3)
    } else {
        at
    };
    Spot {
        frame: Frame::Panel(panel),
        d,
        at,
        ends,
        glyph: beyond(ends, 0.75),
        outline: None,
        under: None,
    }
}

fn arc(ends: [[f64; 2]; 2], along: [f64; 2]) -> String {
    let c = off(middle(ends), along, 1.4);
    let [x0, y0, x, y, x1, y1] =
        [ends[0][0], ends[0][1], c[0], c[1], ends[1][0], ends[1][1]].map(tenth);
    format!("M{x0} {y0}Q{x} {y} {x1} {y1}")
}

fn on_ladder(ground: &Ground<'_>, track: &Track, items: &[Item], all: &mut Spots) {
    let width = |item: &Item| ground.widths.get(item.seam).copied().unwrap_or(0.4);
    let start = track.end_half.max(0.8) + 0.9;
    let mut steps = vec![0.6 + 0.5 * width(&items[0])];
    steps.extend(
        items
            .windows(2)
            .map(|p| 0.5 * (width(&p[0]) + width(&p[1])) + APART),
    );
    let length: f64 = steps.iter().sum::<f64>() + 0.8;
    let shrink = (LONGEST / length).min(1.0);
    let length = length * shrink;
    let from = track.end();
    let way = super::free_way::free_way(ground, track, start, length, all);
    let (a, b) = (
        off(from, way, track.end_half),
        off(from, way, start + length),
    );
    all.ladders.push(Ladder {
        panel: track.panel,
        from: a,
        to: b,
    });
    let mut s = start;
    for (item, step) in items.iter().zip(&steps) {
        s += step * shrink;
        let at = off(from, way, s);
        let seam = &ground.system.seams[item.seam];
        let spot = if item.lengthwise {
            let side = off(at, across(way), 1.2);
            let ends = [off(side, way, -0.45), off(side, way, 0.45)];
            Spot {
                frame: Frame::Panel(track.panel),
                d: polyline(&[at, side, ends[1], ends[0]]),
                at: side,
                ends,
                glyph: off(side, across(way), 0.9),
                outline: None,
                under: None,
            }
        } else {
            cross_mark(ground, track.panel, at, way, 1.2, seam)
        };
        all.of[item.seam] = Some(spot);
    }
}

fn middle(ends: [[f64; 2]; 2]) -> [f64; 2] {
    [
        0.5 * (ends[0][0] + ends[1][0]),
        0.5 * (ends[0][1] + ends[1][1]),
    ]
}

fn beyond(ends: [[f64; 2]; 2], by: f64) -> [f64; 2] {
    let along = super::geometry::direction(ends[0], ends[1]).unwrap_or([0.0, -1.0]);
    off(ends[1], along, by)
}
