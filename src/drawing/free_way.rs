//! Where a ladder of marks has room.

use super::geometry::off;
use super::label::Rect;
use super::label::point_to_segment;
use super::spots::{Ground, Spots};
use super::symbols::register_box;
use super::tracks::Track;
use crate::math::{cos, hypot, sin};

/// The direction, of sixteen, in which a ladder crosses least.
pub(super) fn free_way(
    ground: &Ground<'_>,
    track: &Track,
    start: f64,
    length: f64,
    all: &Spots,
) -> [f64; 2] {
    let from = track.end();
    let cell = ground.layout.panels[track.panel].cell;
    let (_, on) = track.at(track.length());
    let mut best = (f64::INFINITY, [1.0, 0.0]);
    for k in 0..16 {
        let angle = std::f64::consts::TAU * f64::from(k) / 16.0;
        let way = [cos(angle), sin(angle)];
        // A straight or square way is a little better than a slanted one, on better than back.
        let mut cost = if k % 4 == 0 { 0.0 } else { 0.8 } - 0.5 * (way[0] * on[0] + way[1] * on[1]);
        let steps = (length / 1.0).ceil().clamp(2.0, 60.0) as usize;
        for i in 0..=steps {
            let s = start + length * i as f64 / steps as f64;
            cost += crowd(ground, track.panel, off(from, way, s), cell, all);
        }
        if cost < best.0 - 1e-9 {
            best = (cost, way);
        }
    }
    best.1
}

fn crowd(ground: &Ground<'_>, panel: usize, p: [f64; 2], cell: Rect, all: &Spots) -> f64 {
    let mut cost = 0.0;
    for duct in ground.lines.ducts.iter().filter(|d| d.panel == panel) {
        if duct
            .points
            .windows(2)
            .any(|w| point_to_segment(p, [w[0], w[1]]) < duct.half + 1.8)
        {
            cost += 1.0;
        }
    }
    for ladder in all.ladders.iter().filter(|l| l.panel == panel) {
        if point_to_segment(p, [ladder.from, ladder.to]) < 3.2 {
            cost += 3.0;
        }
    }
    for riser in &ground.lines.risers {
        for (on, at) in [riser.from, riser.to] {
            if on == panel && hypot(p[0] - at[0], p[1] - at[1]) < 2.6 {
                cost += 2.0;
            }
        }
    }
    let inside = |r: &Rect, by: f64| {
        p[0] > r.x0 - by && p[0] < r.x1 + by && p[1] > r.y0 - by && p[1] < r.y1 + by
    };
    if ground.unit.0 == panel && ground.unit.1.iter().any(|r| inside(r, 1.5)) {
        cost += 3.0;
    }
    for opening in &ground.system.openings {
        if ground.levels.of_node[opening.node.index()] == panel {
            let at = ground.layout.panels[panel].point(ground.node_at[opening.node.index()]);
            if inside(&register_box(opening, at, ground.layout), 1.6) {
                cost += 2.0;
            }
        }
    }
    if !inside(&cell, -3.0) {
        cost += 20.0;
    }
    cost
}
