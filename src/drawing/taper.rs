//! Reducers: where a run goes over into a duct of another width.

use super::geometry::{across, direction, off};
use super::tracks::Duct;
use crate::math::hypot;

/// Length of a taper for each millimetre of half width, and its bounds, mm: a drawing sign, not a measure.
const SLOPE: f64 = 2.5;
const LENGTHS: [f64; 2] = [1.2, 6.0];
/// Difference of half widths from which a taper is seen, mm.
const SEEN: f64 = 0.12;

/// Gives every wider duct that ends in a narrower one, straight on, a taper over the narrower one's start.
pub(super) fn tapers(ducts: &mut [Duct]) {
    for k in 1..ducts.len() {
        let Some((wide, taper)) = between(&ducts[k - 1], &ducts[k]) else {
            continue;
        };
        ducts[k - usize::from(wide == 0)].taper = Some(taper);
    }
}

type Taper = [([f64; 2], f64); 2];

/// Which of two neighbours is the wider, 0 or 1, and its taper.
fn between(first: &Duct, second: &Duct) -> Option<(usize, Taper)> {
    let joins = first.run == second.run && first.panel == second.panel;
    let end = *first.points.last()?;
    let start = *second.points.first()?;
    let apart = hypot(end[0] - start[0], end[1] - start[1]);
    if !joins || apart > 1e-6 || (first.half - second.half).abs() < SEEN {
        return None;
    }
    let last = &first.points[first.points.len().checked_sub(2)?..];
    let next = second.points.get(..2)?;
    let (a, b) = (direction(last[0], last[1])?, direction(next[0], next[1])?);
    if a[0] * b[0] + a[1] * b[1] < 0.99 {
        return None;
    }
    let length = |pair: &[[f64; 2]]| hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
    let (wide, way, half, narrow, room) = if first.half > second.half {
        (0, b, first.half, second.half, length(next))
    } else {
        (1, [-a[0], -a[1]], second.half, first.half, length(last))
    };
    let long = (SLOPE * (half - narrow))
        .clamp(LENGTHS[0], LENGTHS[1])
        .min(0.6 * room);
    Some((wide, [(end, half), (off(end, way, long), narrow)]))
}

/// The four corners of a taper that is `by` wider on both sides.
pub(super) fn corners([(a, half_a), (b, half_b)]: Taper, by: f64) -> Vec<[f64; 2]> {
    let side = across(direction(a, b).unwrap_or([1.0, 0.0]));
    let (wide, narrow) = ((half_a + by).max(0.1), (half_b + by).max(0.1));
    vec![
        off(a, side, wide),
        off(b, side, narrow),
        off(b, side, -narrow),
        off(a, side, -wide),
    ]
}
