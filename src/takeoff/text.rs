//! Quantities and steps in the words of a sketch, the same words for the same value however a list spells it.

use crate::math::powi;
use crate::quantity::{Flow, Length, Size, ThermalResistance, UnitSystem, significant};
use crate::sketch::{Overrides, StepKind, parts};

/// A figure this near to a multiple of the last place is meant to be it, as part of that place.
const SAME_FIGURE: f64 = 1e-4;
/// Digits where no unit gives a short figure.
const DIGITS: usize = 7;
/// A foot, m (exact by definition; the same as in the quantities).
const FOOT_M: f64 = 0.3048;

/// One foot or one metre in hundredths: what lengths are cut in.
pub(super) fn distance_step_m(length: Length, units: UnitSystem) -> f64 {
    if length_words(length, units).ends_with("ft") {
        FOOT_M / 100.0
    } else {
        0.01
    }
}

/// A figure that is short in one of some units, tried in turn; in the first one with seven digits if in none.
fn short(si: f64, units: &[(&str, f64)], places: i32) -> String {
    let step = powi(10.0, -places);
    for (unit, factor) in units {
        let steps = si / factor / step;
        if steps >= 0.5 && (steps - steps.round()).abs() < SAME_FIGURE {
            return format!("{} {unit}", figure(steps.round() * step));
        }
    }
    let (unit, factor) = units[0];
    format!("{} {unit}", figure(si / factor))
}

fn figure(x: f64) -> String {
    significant(x, DIGITS)
}

/// `24 ft`, `7.5 m`.
pub(super) fn length_words(length: Length, units: UnitSystem) -> String {
    let list = match units {
        UnitSystem::Ip => [("ft", FOOT_M), ("m", 1.0)],
        UnitSystem::Si => [("m", 1.0), ("ft", FOOT_M)],
    };
    if length.si() == 0.0 {
        return format!("0 {}", list[0].0);
    }
    short(length.si(), &list, 3)
}

/// `20x8 in`, `6 in`, `14x6 in oval`.
pub(super) fn size_words(size: Size, units: UnitSystem) -> String {
    const INCH_M: f64 = FOOT_M / 12.0;
    let list = match units {
        UnitSystem::Ip => [("in", INCH_M), ("mm", 0.001)],
        UnitSystem::Si => [("mm", 0.001), ("in", INCH_M)],
    };
    let both = |a: Length, b: Length| {
        let is_short = |factor: f64| {
            [a, b].iter().all(|side| {
                let steps = side.si() / factor * 1000.0;
                (steps - steps.round()).abs() < SAME_FIGURE
            })
        };
        let (unit, factor) = list
            .into_iter()
            .find(|(_, factor)| is_short(*factor))
            .unwrap_or(list[0]);
        let one = |side: Length| {
            let words = short(side.si(), &[(unit, factor)], 3);
            words[..words.len() - unit.len() - 1].to_owned()
        };
        format!("{}x{} {unit}", one(a), one(b))
    };
    match size {
        Size::Round(d) => short(d.si(), &list, 3),
        Size::Rect(w, h) => both(w, h),
        Size::Oval(a, b) => format!("{} oval", both(a, b)),
    }
}

/// `100 cfm`, `47 L/s`.
pub(super) fn flow_words(flow: Flow, units: UnitSystem) -> String {
    let of = |unit: &str| format!("1 {unit}").parse::<Flow>().map_or(1.0, Flow::si);
    let (cfm, l_s, m3_h) = (("cfm", of("cfm")), ("L/s", of("L/s")), ("m3/h", of("m3/h")));
    match units {
        UnitSystem::Ip => short(flow.si(), &[cfm, l_s, m3_h], 2),
        UnitSystem::Si => short(flow.si(), &[l_s, m3_h, cfm], 2),
    }
}

/// `R-6`, `1.1 m2K/W`.
pub(super) fn insulation_words(insulation: ThermalResistance, units: UnitSystem) -> String {
    let of = |text: &str| {
        text.parse::<ThermalResistance>()
            .map_or(1.0, ThermalResistance::si)
    };
    if insulation.si() == 0.0 {
        return "R-0".to_owned();
    }
    let (r, rsi) = (("R", of("R-1")), ("m2K/W", 1.0));
    let words = match units {
        UnitSystem::Ip => short(insulation.si(), &[r, rsi], 2),
        UnitSystem::Si => short(insulation.si(), &[rsi, r], 2),
    };
    match words.strip_suffix(" R") {
        Some(number) => format!("R-{number}"),
        None => words,
    }
}

/// A step in the words of a sketch.
pub(super) fn step_words(kind: &StepKind, over: &Overrides, units: UnitSystem) -> String {
    let word = parts::step_word(kind);
    let mut words = match kind {
        StepKind::Straight {
            heading,
            length,
            material,
        } => {
            let mut words = length_words(*length, units);
            if let Some(heading) = heading {
                words = format!("{} {words}", parts::heading_word(*heading));
            }
            if let Some(material) = material {
                words = format!("{words} {}", parts::material_word(*material));
            }
            words
        }
        StepKind::Elbow {
            heading, degrees, ..
        } => {
            let mut words = word.to_owned();
            if let Some(heading) = heading {
                words = format!("{words} {}", parts::heading_word(*heading));
            }
            if (degrees - 90.0).abs() > 1e-9 {
                words = format!("{words} {} degrees", figure(*degrees));
            }
            words
        }
        StepKind::Damper { degrees } if *degrees > 0.0 => {
            format!("{word} {} deg", figure(*degrees))
        }
        StepKind::Reducer { to: size }
        | StepKind::Boot { size, .. }
        | StepKind::Intake { size }
        | StepKind::AccessDoor { size } => format!("{word} {}", size_words(*size, units)),
        StepKind::Joins { run, along } => match along {
            Some(along) => format!(
                "{word} {} at {}",
                run.value,
                length_words(along.value, units)
            ),
            None => format!("{word} {}", run.value),
        },
        _ => word.to_owned(),
    };
    if let Some(place) = &over.place {
        words = format!("{words} in {}", place.value);
    }
    if let Some(reach) = &over.reach {
        words = format!("{words} {}", parts::reach_word(reach.value));
    }
    if let Some(work) = &over.work {
        words = format!("{words} {}", parts::work_word(work.value));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_value_has_one_spelling() {
        for text in ["24 ft", "24'", "288 in", "7.3152 m"] {
            let length = text.parse().unwrap();
            assert_eq!(length_words(length, UnitSystem::Ip), "24 ft", "{text}");
        }
        let words = |text: &str, units| length_words(text.parse().unwrap(), units);
        assert_eq!(words("7.5 m", UnitSystem::Ip), "7.5 m");
        assert_eq!(words("7.5 m", UnitSystem::Si), "7.5 m");
        assert_eq!(words("9 ft 6 in", UnitSystem::Si), "9.5 ft");
        let size = |text: &str| size_words(text.parse().unwrap(), UnitSystem::Ip);
        assert_eq!(size("20 x 8\""), "20x8 in");
        assert_eq!(size("6 in round"), "6 in");
        assert_eq!(size("500x200 mm"), "500x200 mm");
        assert_eq!(size("14x6 in oval"), "14x6 in oval");
        assert_eq!(
            flow_words("100 cfm".parse().unwrap(), UnitSystem::Ip),
            "100 cfm"
        );
        assert_eq!(
            flow_words("47.5 L/s".parse().unwrap(), UnitSystem::Ip),
            "47.5 L/s"
        );
        assert_eq!(
            insulation_words("R-6".parse().unwrap(), UnitSystem::Ip),
            "R-6"
        );
    }

    #[test]
    fn every_step_is_written_so_that_it_is_read_as_the_same() {
        for text in [
            "north 24 ft",
            "12.5 ft flex",
            "9 ft in wall behind finish mastic",
            "tab collar",
            "spin-in collar",
            "side tap",
            "adjustable elbow up 45 degrees",
            "elbow",
            "mitre elbow with vanes left",
            "flex bend",
            "reducer to 16x8 in",
            "boot 10x4 in in attic under insulation",
            "end boot 10x4 in",
            "return box 20x20 in",
            "intake 6 in",
            "cap",
            "damper",
            "damper 40 deg",
            "canvas",
            "access door 12x8 in",
            "filter slot",
            "test hole",
            "splice",
            "joins B at 12 ft",
            "joins B",
        ] {
            let (kind, over) = parts::step(text).unwrap_or_else(|d| panic!("{text}: {}", d.title));
            let written = step_words(&kind, &over, UnitSystem::Ip);
            assert_eq!(written, text, "{text}");
            assert!(parts::step(&written).is_ok(), "{written}");
        }
    }
}
