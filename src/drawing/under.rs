//! Marks that a higher duct lies over: still shown, in short dashes.

use super::ask::View;
use super::label::point_to_segment;
use super::spots::Spot;
use super::svg::polyline;
use super::tracks::{Duct, Lines, Track};
use crate::math::hypot;

/// A mark in two parts.
#[derive(Debug, Clone)]
pub(super) struct Under {
    /// Path of what is seen, may be empty.
    pub seen: String,
    /// Path of what lies under a higher duct.
    pub hidden: String,
}

/// Step along a mark, mm.
const STEP: f64 = 0.25;
/// How far a mark must lie under a duct's edge, mm.
const WELL_UNDER: f64 = 0.15;

/// Splits a mark of a run where ducts of other runs lie over it; `None` where all of it is seen. `line` are its points where
/// it is a plain line; other shapes are hidden whole or not at all.
///
/// A duct that leaves the mark's own duct, or that it leaves, hides nothing: they meet at one height.
pub(super) fn under(
    lines: &Lines,
    view: View,
    track: &Track,
    spot: &Spot,
    line: Option<&[[f64; 2]]>,
) -> Option<Under> {
    let here = || lines.ducts.iter().filter(|d| d.panel == track.panel);
    let own = here()
        .filter(|d| d.run == track.run)
        .min_by(|a, b| from(a, spot.at).total_cmp(&from(b, spot.at)))?;
    let meets = |d: &Duct| {
        let on = |a: &Duct, b: &Duct| a.points.first().is_some_and(|p| from(b, *p) < b.half + 0.3);
        on(d, own) || on(own, d)
    };
    let over: Vec<&Duct> = here()
        .filter(|d| d.run != track.run && d.rank(view) > own.rank(view) && !meets(d))
        .collect();
    let hides = |p: [f64; 2]| over.iter().any(|d| from(d, p) < d.half - WELL_UNDER);
    let Some(line) = line else {
        return hides(spot.at).then(|| Under {
            seen: String::new(),
            hidden: spot.d.clone(),
        });
    };
    let mut parts = [String::new(), String::new()];
    let mut part: Vec<[f64; 2]> = Vec::new();
    let mut is_hidden = false;
    for pair in line.windows(2) {
        let length = hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
        let n = (length / STEP).ceil().clamp(1.0, 4000.0) as usize;
        for k in 0..n {
            let at = |t: f64| {
                [
                    pair[0][0] + t * (pair[1][0] - pair[0][0]),
                    pair[0][1] + t * (pair[1][1] - pair[0][1]),
                ]
            };
            let (a, b) = (at(k as f64 / n as f64), at((k + 1) as f64 / n as f64));
            let now = hides([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]);
            if part.is_empty() {
                part.push(a);
            } else if now != is_hidden {
                part.push(a);
                parts[usize::from(is_hidden)].push_str(&polyline(&part));
                part = vec![a];
            } else if k == 0 {
                part.push(a);
            }
            is_hidden = now;
        }
    }
    part.extend(line.last());
    parts[usize::from(is_hidden)].push_str(&polyline(&part));
    let [seen, hidden] = parts;
    (!hidden.is_empty()).then_some(Under { seen, hidden })
}

/// Distance of a point from a duct's axis, mm.
fn from(duct: &Duct, p: [f64; 2]) -> f64 {
    duct.points
        .windows(2)
        .map(|w| point_to_segment(p, [w[0], w[1]]))
        .fold(f64::INFINITY, f64::min)
}
