//! Where the walk is and which way it goes.

use crate::math::sin_cos;
use crate::sketch::Heading;

/// A position and a heading. The last level heading is kept, so that left and right mean something on a riser.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    /// Position, m: x east, y north, z up.
    pub at: [f64; 3],
    /// Heading, a unit vector.
    pub dir: [f64; 3],
    /// Last level heading, a unit vector with z = 0.
    pub flat: [f64; 3],
}

/// Below this length a heading has no level part worth keeping.
const LEVEL: f64 = 1e-9;

impl Frame {
    /// A frame at a point that looks along a level heading.
    pub fn new(at: [f64; 3], flat: [f64; 3]) -> Frame {
        Frame {
            at,
            dir: flat,
            flat,
        }
    }

    /// The unit vector that a heading word means here.
    ///
    /// Left and right are a quarter turn from the last level heading; `ahead` is the present heading.
    pub fn vector(&self, heading: Heading) -> [f64; 3] {
        let [x, y, _] = self.flat;
        match heading {
            Heading::North => [0.0, 1.0, 0.0],
            Heading::South => [0.0, -1.0, 0.0],
            Heading::East => [1.0, 0.0, 0.0],
            Heading::West => [-1.0, 0.0, 0.0],
            Heading::Up => [0.0, 0.0, 1.0],
            Heading::Down => [0.0, 0.0, -1.0],
            Heading::Left => [-y, x, 0.0],
            Heading::Right => [y, -x, 0.0],
            Heading::Ahead => self.dir,
        }
    }

    /// Turns to a vector.
    pub fn face(&mut self, to: [f64; 3]) {
        self.dir = to;
        let level = (to[0] * to[0] + to[1] * to[1]).sqrt();
        if level > LEVEL {
            self.flat = [to[0] / level, to[1] / level, 0.0];
        }
    }

    /// Turns by an angle towards a heading: an elbow of 45 degrees does not reach it.
    ///
    /// # Equation
    /// ```text
    /// new = normalised( cos θ · old + sin θ · part of the target across the old )
    /// ```
    /// A target along the old heading leaves no part across: then the heading is the target itself.
    pub fn turn(&mut self, heading: Heading, degrees: f64) {
        let target = self.vector(heading);
        let along = dot(self.dir, target);
        let across: [f64; 3] = std::array::from_fn(|i| target[i] - along * self.dir[i]);
        let size = dot(across, across).sqrt();
        if size <= LEVEL {
            self.face(target);
            return;
        }
        let (sin, cos) = sin_cos(degrees.to_radians());
        let turned: [f64; 3] = std::array::from_fn(|i| cos * self.dir[i] + sin * across[i] / size);
        self.face(turned.map(|v| if v.abs() < LEVEL { 0.0 } else { v }));
    }

    /// The frame a distance further on.
    pub fn ahead(&self, length_m: f64) -> Frame {
        Frame {
            at: std::array::from_fn(|i| self.at[i] + length_m * self.dir[i]),
            ..*self
        }
    }

    /// Whether a vector points the way the walk goes.
    pub fn goes(&self, to: [f64; 3]) -> bool {
        dot(self.dir, to) > 1.0 - 1e-6
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: [f64; 3], b: [f64; 3]) {
        for i in 0..3 {
            assert!((a[i] - b[i]).abs() < 1e-12, "{a:?} against {b:?}");
        }
    }

    #[test]
    fn four_left_turns_close_a_square() {
        let mut f = Frame::new([1.0, 2.0, 3.0], [0.0, 1.0, 0.0]);
        for _ in 0..4 {
            f = f.ahead(5.0);
            f.turn(Heading::Left, 90.0);
        }
        near(f.at, [1.0, 2.0, 3.0]);
        near(f.dir, [0.0, 1.0, 0.0]);
    }

    #[test]
    fn left_on_a_riser_is_left_of_the_last_level_heading() {
        let mut f = Frame::new([0.0; 3], [1.0, 0.0, 0.0]);
        f.turn(Heading::Up, 90.0);
        near(f.dir, [0.0, 0.0, 1.0]);
        f.turn(Heading::Left, 90.0);
        near(f.dir, [0.0, 1.0, 0.0]);
    }

    #[test]
    fn two_elbows_of_45_degrees_make_one_of_90() {
        let mut f = Frame::new([0.0; 3], [0.0, 1.0, 0.0]);
        f.turn(Heading::Up, 45.0);
        near(f.dir, [0.0, 0.5_f64.sqrt(), 0.5_f64.sqrt()]);
        f.turn(Heading::Up, 45.0);
        near(f.dir, [0.0, 0.0, 1.0]);
    }
}
