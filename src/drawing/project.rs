//! From space to the plane of the paper.

use super::ask::View;

/// cos 30° and sin 30°: an isometric view shows all three axes at the same scale.
const ISO: (f64, f64) = (0.866_025_403_784_438_6, 0.5);

/// A point seen, m on the paper's plane: x to the right, y **up**.
///
/// # Equation
/// ```text
/// plan        (x, y)
/// isometric   ((x + y)·cos 30°, (y − x)·sin 30° + z)      from the south-east and above
/// ```
pub(super) fn project(view: View, p: [f64; 3]) -> [f64; 2] {
    match view {
        View::Plan => [p[0], p[1]],
        View::Isometric => [(p[0] + p[1]) * ISO.0, (p[1] - p[0]) * ISO.1 + p[2]],
    }
}

/// How near a point is to the eye: the nearer is drawn later, m.
pub(super) fn nearness(view: View, p: [f64; 3]) -> f64 {
    match view {
        View::Plan => p[2],
        View::Isometric => p[0] - p[1] + p[2],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_axes_of_the_isometric_view_have_one_scale() {
        for axis in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] {
            let [x, y] = project(View::Isometric, axis);
            assert!((x.hypot(y) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn from_the_south_east_north_goes_right_and_up() {
        let [x, y] = project(View::Isometric, [0.0, 1.0, 0.0]);
        assert!(x > 0.0 && y > 0.0);
        let [x, y] = project(View::Isometric, [1.0, 0.0, 0.0]);
        assert!(x > 0.0 && y < 0.0);
    }
}
