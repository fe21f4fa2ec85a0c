//! Figures in words that everybody uses, only where the figures carry them.

use crate::allocate::Band;
use crate::quantity::{Length, UnitSystem, significant};

/// Parts that have a word of their own.
const PARTS: [(f64, &str); 8] = [
    (0.05, "a twentieth"),
    (0.1, "a tenth"),
    (0.2, "a fifth"),
    (0.25, "a quarter"),
    (1.0 / 3.0, "a third"),
    (0.5, "half"),
    (2.0 / 3.0, "two thirds"),
    (0.75, "three quarters"),
];
/// How far a figure may lie from the part by whose word it is called. Engineering estimate: a tenth of it is not noticed.
const NEAR: f64 = 0.1;

/// `a fifth`, where the mean is near it and the whole band is nearer to it than to any other of the words.
pub fn part(part: Band) -> Option<&'static str> {
    let nearest = |value: f64| {
        PARTS
            .iter()
            .min_by(|a, b| (a.0 - value).abs().total_cmp(&(b.0 - value).abs()))
            .copied()
    };
    let (figure, word) = nearest(part.mean)?;
    let same =
        |value: f64| nearest(value).is_some_and(|(other, _)| other.total_cmp(&figure).is_eq());
    let near = (part.mean - figure).abs() <= NEAR * figure;
    (near && same(part.p05) && same(part.p95)).then_some(word)
}

/// Side of a square hole of an area, with its unit.
pub fn square(m2: f64, units: UnitSystem) -> String {
    let side = m2.max(0.0).sqrt();
    match units {
        UnitSystem::Ip => format!("{} in", significant(Length::new(side).to_in(), 2)),
        UnitSystem::Si => format!("{} mm", significant(1000.0 * side, 2)),
    }
}

/// How many of the largest parts hold half of all.
pub fn to_hold_half(falling: impl Iterator<Item = f64>) -> usize {
    let mut sum = 0.0;
    let mut count = 0;
    for share in falling {
        sum += share;
        count += 1;
        if sum >= 0.5 {
            break;
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(p05: f64, mean: f64, p95: f64) -> Band {
        Band {
            mean,
            p05,
            p50: mean,
            p95,
        }
    }

    #[test]
    fn a_word_is_used_only_where_the_whole_band_agrees() {
        assert_eq!(part(band(0.19, 0.2, 0.21)), Some("a fifth"));
        assert_eq!(part(band(0.31, 0.34, 0.4)), Some("a third"));
        assert_eq!(
            part(band(0.1, 0.2, 0.3)),
            None,
            "the band holds a tenth and a third"
        );
        assert_eq!(part(band(0.155, 0.158, 0.16)), None, "too far from a fifth");
        assert_eq!(part(band(f64::NAN, f64::NAN, f64::NAN)), None);
    }

    #[test]
    fn a_square_has_the_area() {
        // 20 in2 is a square of √20 = 4.47 in; 100 cm2 one of 100 mm.
        assert_eq!(square(20.0 * 0.0254 * 0.0254, UnitSystem::Ip), "4.5 in");
        assert_eq!(square(0.01, UnitSystem::Si), "100 mm");
    }

    #[test]
    fn half_is_counted_from_the_largest() {
        assert_eq!(to_hold_half([0.3, 0.1, 0.1, 0.1].into_iter()), 3);
        assert_eq!(to_hold_half([0.9, 0.1].into_iter()), 1);
        assert_eq!(to_hold_half(std::iter::empty()), 0);
    }
}
