//! Letters as shapes, for signs that are drawn once and used many times.

use ttf_parser::OutlineBuilder;

use super::svg::num;
use super::text::face;

/// The outline of a bold letter `high_mm` high (as a capital is), its middle at the origin; nothing for one that the font lacks.
pub(super) fn letter_path(letter: char, high_mm: f64) -> String {
    let face = face(true);
    let Some(id) = face.glyph_index(letter) else {
        return String::new();
    };
    let Some(ink) = face.glyph_bounding_box(id) else {
        return String::new();
    };
    let capital = face.capital_height().map_or(1462.0, f64::from);
    let mut path = Path {
        d: String::new(),
        mm: high_mm / capital,
        middle: [
            0.5 * (f64::from(ink.x_min) + f64::from(ink.x_max)),
            0.5 * capital,
        ],
    };
    face.outline_glyph(id, &mut path);
    path.d
}

struct Path {
    d: String,
    /// Millimetres of a unit of the font.
    mm: f64,
    middle: [f64; 2],
}

impl Path {
    fn add(&mut self, command: char, points: &[[f32; 2]]) {
        self.d.push(command);
        for (k, [x, y]) in points.iter().enumerate() {
            if k > 0 {
                self.d.push(' ');
            }
            self.d
                .push_str(&num((f64::from(*x) - self.middle[0]) * self.mm));
            self.d.push(' ');
            self.d
                .push_str(&num((self.middle[1] - f64::from(*y)) * self.mm));
        }
    }
}

impl OutlineBuilder for Path {
    fn move_to(&mut self, x: f32, y: f32) {
        self.add('M', &[[x, y]]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.add('L', &[[x, y]]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.add('Q', &[[x1, y1], [x, y]]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.add('C', &[[x1, y1], [x2, y2], [x, y]]);
    }

    fn close(&mut self) {
        self.d.push('z');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_capital_has_a_shape_of_its_own() {
        let all: std::collections::BTreeSet<String> =
            ('A'..='Z').map(|letter| letter_path(letter, 1.7)).collect();
        assert_eq!(all.len(), 26);
        assert!(all.iter().all(|d| d.starts_with('M') && d.ends_with('z')));
    }
}
