//! Round scales.

use super::svg::num;
use crate::quantity::UnitSystem;

/// Metric scales, one to so many. Common practice in drawing offices, between them some for small and large systems.
const METRIC: [f64; 24] = [
    5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 75.0, 80.0, 100.0, 125.0, 150.0, 200.0,
    250.0, 300.0, 400.0, 500.0, 750.0, 1000.0, 2000.0, 5000.0, 10_000.0,
];
/// Inches on the sheet for a foot, one to so many. Common practice in drawing offices.
const ARCHITECT: [(&str, f64); 11] = [
    ("3", 4.0),
    ("1 1/2", 8.0),
    ("1", 12.0),
    ("3/4", 16.0),
    ("1/2", 24.0),
    ("3/8", 32.0),
    ("1/4", 48.0),
    ("3/16", 64.0),
    ("1/8", 96.0),
    ("3/32", 128.0),
    ("1/16", 192.0),
];
/// How much smaller than it could be a system may be drawn for an architect's scale. Engineering estimate.
const SPARE: f64 = 1.15;
/// Step of the scales between.
const STEP: f64 = 20.0;

/// The largest round scale not above one to `needed`, and how it is said. `needed` is finite and above 0.
pub(super) fn scale(needed: f64, units: UnitSystem) -> (f64, String) {
    // A hair over the edge of the room is none.
    let least = 0.999 * needed;
    if units == UnitSystem::Ip {
        let architect = ARCHITECT.iter().find(|(_, s)| *s >= least);
        let step = STEP * (least / STEP).ceil().max(1.0);
        match architect {
            Some((inches, s)) if *s <= (SPARE * needed).max(step) => {
                return (*s, format!("{inches} in = 1 ft (1:{})", num(*s)));
            }
            _ if least <= 400.0 => return (step, format!("1 : {}", num(step))),
            _ => {}
        }
    }
    let s = METRIC
        .iter()
        .copied()
        .find(|s| *s >= least)
        .unwrap_or_else(|| 1000.0 * (needed / 1000.0).ceil());
    (s, format!("1 : {}", num(s)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_is_round_and_never_too_large() {
        for k in 1..4000 {
            let needed = 0.37 * f64::from(k) * f64::from(k).sqrt();
            for units in [UnitSystem::Si, UnitSystem::Ip] {
                let (scale, words) = scale(needed, units);
                assert!(scale >= 0.999 * needed, "{needed}: {words}");
                assert!(words.contains(&num(scale)), "{needed}: {words}");
                // From 1:20 on, none is much smaller than it need be.
                assert!(needed < 20.0 || scale <= 2.5 * needed, "{needed}: {words}");
            }
        }
    }

    #[test]
    fn inch_pound_scales_are_the_architects_or_twenties() {
        let words = |needed| scale(needed, UnitSystem::Ip).1;
        assert_eq!(words(90.0), "1/8 in = 1 ft (1:96)");
        assert_eq!(words(48.0), "1/4 in = 1 ft (1:48)");
        assert_eq!(words(66.0), "1 : 80");
        assert_eq!(words(24.3), "3/8 in = 1 ft (1:32)");
        assert_eq!(words(7.0), "1 1/2 in = 1 ft (1:8)");
        assert_eq!(words(200.5), "1 : 220");
        assert_eq!(scale(62.0, UnitSystem::Si).1, "1 : 75");
    }
}
