//! Plane geometry of boxes and thick lines.

use super::{Rect, Shape};
use crate::math::hypot;

/// With `by` more room on every side.
pub(in crate::drawing) fn grown(rect: Rect, by: f64) -> Rect {
    Rect {
        x0: rect.x0 - by,
        y0: rect.y0 - by,
        x1: rect.x1 + by,
        y1: rect.y1 + by,
    }
}

/// Whether two boxes share a point, the border included.
pub(super) fn touch(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

/// Whether `inner` lies in `outer`, borders included.
pub(super) fn holds(outer: Rect, inner: Rect) -> bool {
    outer.x0 <= inner.x0 && outer.y0 <= inner.y0 && inner.x1 <= outer.x1 && inner.y1 <= outer.y1
}

/// Area common to two boxes.
pub(super) fn common(a: Rect, b: Rect) -> f64 {
    let width = a.x1.min(b.x1) - a.x0.max(b.x0);
    let height = a.y1.min(b.y1) - a.y0.max(b.y0);
    width.max(0.0) * height.max(0.0)
}

/// Distance from a point to a box, 0 inside.
pub(super) fn point_to_box(p: [f64; 2], rect: Rect) -> f64 {
    let x = (rect.x0 - p[0]).max(p[0] - rect.x1).max(0.0);
    let y = (rect.y0 - p[1]).max(p[1] - rect.y1).max(0.0);
    hypot(x, y)
}

/// Distance from a point to a segment.
pub(in crate::drawing) fn point_to_segment(p: [f64; 2], [a, b]: [[f64; 2]; 2]) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length2 = d[0] * d[0] + d[1] * d[1];
    let part = if length2 > 0.0 {
        (((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    hypot(p[0] - a[0] - part * d[0], p[1] - a[1] - part * d[1])
}

/// Length of a segment's part inside a box; `None` where they share no point.
pub(super) fn inside(rect: Rect, [a, b]: [[f64; 2]; 2]) -> Option<f64> {
    let d = [b[0] - a[0], b[1] - a[1]];
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, along, low, high) in [
        (a[0], d[0], rect.x0, rect.x1),
        (a[1], d[1], rect.y0, rect.y1),
    ] {
        if along.abs() < 1e-12 {
            if start < low || start > high {
                return None;
            }
        } else {
            let (t0, t1) = ((low - start) / along, (high - start) / along);
            from = from.max(t0.min(t1));
            to = to.min(t0.max(t1));
        }
    }
    (from <= to).then(|| (to - from) * hypot(d[0], d[1]))
}

/// Distance between a segment and a box, 0 where they share a point.
pub(super) fn segment_to_box(segment: [[f64; 2]; 2], rect: Rect) -> f64 {
    if inside(rect, segment).is_some() {
        return 0.0;
    }
    let corners = [
        [rect.x0, rect.y0],
        [rect.x1, rect.y0],
        [rect.x1, rect.y1],
        [rect.x0, rect.y1],
    ];
    let ends = point_to_box(segment[0], rect).min(point_to_box(segment[1], rect));
    corners.iter().fold(ends, |least, &corner| {
        point_to_segment(corner, segment).min(least)
    })
}

/// Whether two segments share a point.
pub(super) fn cross([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let apart = |s: f64, t: f64| (s > 0.0 && t > 0.0) || (s < 0.0 && t < 0.0);
    let bounds = touch(bounds([a, b]), bounds([c, d]));
    bounds && !apart(side(a, b, c), side(a, b, d)) && !apart(side(c, d, a), side(c, d, b))
}

/// Distance between two segments.
pub(super) fn segment_to_segment(one: [[f64; 2]; 2], other: [[f64; 2]; 2]) -> f64 {
    if cross(one, other) {
        return 0.0;
    }
    point_to_segment(one[0], other)
        .min(point_to_segment(one[1], other))
        .min(point_to_segment(other[0], one))
        .min(point_to_segment(other[1], one))
}

/// Smallest box round a segment.
pub(super) fn bounds([a, b]: [[f64; 2]; 2]) -> Rect {
    Rect {
        x0: a[0].min(b[0]),
        y0: a[1].min(b[1]),
        x1: a[0].max(b[0]),
        y1: a[1].max(b[1]),
    }
}

/// Smallest box round a shape; `None` where its measures are not finite.
pub(super) fn shape_bounds(shape: &Shape) -> Option<Rect> {
    let found = match *shape {
        Shape::Box(rect) => bounds([[rect.x0, rect.y0], [rect.x1, rect.y1]]),
        Shape::Line { a, b, half_mm } => {
            // A NaN half would be swallowed by `max`.
            if !half_mm.is_finite() {
                return None;
            }
            grown(bounds([a, b]), half_mm.max(0.0))
        }
    };
    let all = match *shape {
        Shape::Box(rect) => [rect.x0, rect.y0, rect.x1, rect.y1],
        Shape::Line { a, b, .. } => [a[0], a[1], b[0], b[1]],
    };
    all.iter().all(|v| v.is_finite()).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: Rect = Rect {
        x0: 0.0,
        y0: 0.0,
        x1: 1.0,
        y1: 1.0,
    };

    #[test]
    fn distances_are_those_of_plane_geometry() {
        assert!((point_to_box([4.0, 5.0], UNIT) - 5.0).abs() < 1e-12); // 3-4-5
        assert!(point_to_box([0.5, 0.5], UNIT).abs() < 1e-12);
        assert!((point_to_segment([3.0, 4.0], [[0.0, 0.0], [0.0, 0.0]]) - 5.0).abs() < 1e-12);
        // The line x + y = 3 passes the corner (1, 1) at 1/√2.
        let line = [[0.0, 3.0], [3.0, 0.0]];
        assert!((segment_to_box(line, UNIT) - 0.5_f64.sqrt()).abs() < 1e-12);
        assert!(segment_to_box([[-1.0, 0.5], [2.0, 0.5]], UNIT).abs() < 1e-12);
        let through = inside(UNIT, [[-1.0, -1.0], [2.0, 2.0]]).expect("it goes through");
        assert!((through - 2.0_f64.sqrt()).abs() < 1e-12);
        assert!(inside(UNIT, [[2.0, -1.0], [2.0, 2.0]]).is_none());
    }

    #[test]
    fn segments_cross_or_keep_their_distance() {
        let one = [[0.0, 0.0], [2.0, 2.0]];
        assert!(cross(one, [[0.0, 2.0], [2.0, 0.0]]));
        assert!(!cross(one, [[1.5, 0.0], [3.0, 1.4]]));
        assert!(!cross([[0.0, 0.0], [1.0, 0.0]], [[2.0, 0.0], [3.0, 0.0]])); // on one line, apart
        let apart = segment_to_segment([[0.0, 0.0], [1.0, 0.0]], [[2.0, 0.0], [3.0, 0.0]]);
        assert!((apart - 1.0).abs() < 1e-12);
    }

    #[test]
    fn areas_in_common() {
        let other = Rect {
            x0: 0.5,
            y0: 0.25,
            x1: 3.0,
            y1: 3.0,
        };
        assert!((common(UNIT, other) - 0.375).abs() < 1e-12);
        assert!(common(UNIT, grown(other, -0.6)).abs() < 1e-12);
        assert!(touch(UNIT, other) && holds(grown(UNIT, 0.1), UNIT) && !holds(UNIT, other));
    }
}
