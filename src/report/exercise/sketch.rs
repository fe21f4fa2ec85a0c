//! The sketch that is handed out: the given text with invented readings and looks in place of its own.

use crate::quantity::{Flow, UnitSystem, significant};
use crate::sketch::{Smoke, with_sections};
use crate::system::{Look, Measured, Observable, Seen, Side, System, TestKind};
use crate::teach::Exercise;

/// Flow below which a meter shows nothing to be trusted, m³/s: half a litre a second, about 1 cfm. Engineering estimate.
const LEAST_FLOW_M3_S: f64 = 0.5e-3;
/// The same of a pressure gauge, Pa. Engineering estimate.
const LEAST_PA: f64 = 0.3;
/// Rounded values may differ from the invented ones by this part.
const ROUNDING: f64 = 0.006;
/// Longest part of the old title that is kept.
const TITLE: usize = 150;

/// What the title begins with, once: an exercise may be made of an exercise.
const HEAD: &str = "Exercise:";

const COMMENT: &str = "\
# An exercise: readings and looks are invented. The title and the comments in this file are those of the sketch it was\n\
# made from and say nothing of what leaks here.\n";
const NOTE: &str = "Exercise for a class: readings and looks are invented, and so is what leaks. Rank the seams, or \
                    say which you would seal.";

/// The given sketch's text as an exercise; `None` where its text cannot be changed section by section (a file in braces).
///
/// Title and note are replaced, readings and looks too; what was sealed and the record of a test are taken out. Nothing else
/// changes, comments included; those inside the replaced sections go with them. Neither seed nor truth stands in it.
#[must_use]
pub fn exercise_sketch(text: &str, exercise: &Exercise) -> Option<String> {
    let system = &exercise.system;
    let mut bare = system.title.trim();
    while let Some(rest) = bare.strip_prefix(HEAD) {
        bare = rest.trim_start();
    }
    let old: String = bare.chars().take(TITLE).collect();
    let title = format!(
        "{COMMENT}title: {}\nnote: {}\n",
        quoted(&format!("{HEAD} {}", old.trim())),
        quoted(NOTE)
    );
    let mut readings = "readings:\n".to_owned();
    for measured in &system.readings {
        readings.push_str(&format!("  - {}\n", reading(system, measured)));
    }
    let mut looks = "looks:\n".to_owned();
    for one in &system.looks {
        looks.push_str(&format!("  - {}\n", look(system, one)));
    }
    let looks = (!system.looks.is_empty()).then_some(looks);
    with_sections(
        text,
        &[
            ("title", Some(title)),
            ("note", None),
            ("sealing", None),
            ("record", None),
            ("readings", Some(readings)),
            ("looks", looks),
        ],
    )
}

fn reading(system: &System, measured: &Measured) -> String {
    let id = quoted(&measured.id);
    let value = value(measured, system.units);
    let setup = &measured.setup;
    let run = |run: usize| quoted(&system.runs[run].id);
    let at = format!("{} Pa", significant(setup.pressure_pa, 3));
    let what = match setup.kind {
        TestKind::OneSide(Side::Supply) => format!("supply: {value} at {at} ± 3 %"),
        TestKind::OneSide(Side::Return) => format!("return: {value} at {at} ± 3 %"),
        TestKind::Isolated(one) => format!("isolated: {value} at {at} ± 3 %, run: {}", run(one)),
        TestKind::Pan(opening) => format!(
            "pan: {value} at {at}, run: {}",
            run(system.openings[opening].run)
        ),
        _ => format!("total: {value} at {at} ± 3 %"),
    };
    format!("{{id: {id}, {what}, gauge: {}}}", quoted(&measured.gauge))
}

/// What a meter would show: three digits, or a bound where it shows nothing to be trusted.
fn value(measured: &Measured, units: UnitSystem) -> String {
    match measured.observable {
        Observable::FanFlow => {
            let (unit, least, shown) = match units {
                UnitSystem::Ip => ("cfm", 1.0, Flow::new(measured.value).to_cfm()),
                UnitSystem::Si => ("L/s", 0.5, Flow::new(measured.value).to_litres_s()),
            };
            if shown < least {
                format!("below {least} {unit}")
            } else {
                format!("{} {unit}", significant(shown, 3))
            }
        }
        _ if measured.value.abs() < LEAST_PA => format!("below {LEAST_PA} Pa"),
        _ => format!("{} Pa", significant(measured.value.abs(), 3)),
    }
}

fn look(system: &System, look: &Look) -> String {
    let smoke = match look.seen {
        Seen::Smoke(Smoke::Strong) => "strong",
        Seen::Smoke(Smoke::Wisp) => "wisp",
        _ => "none",
    };
    let seams: Vec<String> = look
        .seams
        .iter()
        .map(|&seam| quoted(&system.seams[seam].id))
        .collect();
    format!(
        "{{seam: {}, smoke: {smoke}, by: {}}}",
        seams.join(", "),
        quoted(&look.by)
    )
}

/// In double quotes, escaped as JSON does, which YAML reads alike.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// Whether a sketch read back says what the exercise means: the same seams with the same workmanship and the same
/// figures expected of them, tests, values (but for rounding) and looks.
#[must_use]
pub fn reads_back(exercise: &Exercise, read: &System) -> bool {
    let meant = &exercise.system;
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs();
    let same_seams = meant.seams.len() == read.seams.len()
        && meant.seams.iter().zip(&read.seams).all(|(a, b)| {
            a.id == b.id
                && a.joint_type == b.joint_type
                && a.work == b.work
                && near(a.amount, b.amount)
                && near(a.mean_q25_m3_s, b.mean_q25_m3_s)
                && near(a.gsd, b.gsd)
                && near(a.n, b.n)
        });
    let same_reading = |(a, b): (&Measured, &Measured)| {
        let least = match a.observable {
            Observable::FanFlow => LEAST_FLOW_M3_S,
            _ => LEAST_PA,
        };
        let off = (a.value.abs() - b.value.abs()).abs();
        a.id == b.id
            && a.setup == b.setup
            && a.observable == b.observable
            && (off <= ROUNDING * a.value.abs() || a.value.abs() < 1.1 * least || a.value < 0.0)
    };
    let same_look = |(a, b): (&Look, &Look)| a.seams == b.seams && a.seen == b.seen && a.at == b.at;
    same_seams
        && meant.readings.len() == read.readings.len()
        && meant.readings.iter().zip(&read.readings).all(same_reading)
        && meant.looks.len() == read.looks.len()
        && meant.looks.iter().zip(&read.looks).all(same_look)
        && read.sealing.is_empty()
        && !read.record.stated
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Catalog, Work};
    use crate::teach::make;

    fn built(text: &str) -> System {
        let read = crate::sketch::read(text, "m.yaml")
            .unwrap_or_else(|e| panic!("{}\n{text}", e.render(false)));
        crate::system::build(&read, text, "m.yaml", Catalog::builtin())
            .unwrap_or_else(|e| panic!("{}", e.render(false)))
    }

    #[test]
    fn every_model_becomes_a_sketch_that_reads_back_and_keeps_its_runs_byte_for_byte() {
        for text in [
            include_str!("../../../models/bungalow.yaml"),
            include_str!("../../../models/bungalow-sealed.yaml"),
            include_str!("../../../models/classroom-rig.yaml"),
            include_str!("../../../models/loose-takeoff.yaml"),
            include_str!("../../../models/shop.yaml"),
            include_str!("../../../models/slab-attic.yaml"),
            include_str!("../../../models/two-storey.yaml"),
        ] {
            let system = built(text);
            for seed in [1, 2] {
                let exercise = make(&system, seed).expect("made");
                let made = exercise_sketch(text, &exercise).expect("sections");
                let read = built(&made);
                assert!(reads_back(&exercise, &read), "{made}");
                assert!(read.title.starts_with("Exercise: "));
                let again = make(&read, seed).expect("made");
                let again = built(&exercise_sketch(&made, &again).expect("sections"));
                assert_eq!(again.title, read.title);
                let runs = |text: &str| {
                    let from = text.find("\nruns:").expect("runs");
                    let to = text.find("\nreadings:").expect("readings");
                    text[from..to].to_owned()
                };
                assert_eq!(runs(text), runs(&made));
                assert!(!made.contains("sealing:"));
                assert!(!made.contains("\nrecord:"));
                // Limits are the building's, not the test's.
                assert_eq!(read.limits, system.limits);
            }
        }
    }

    #[test]
    fn a_seam_seen_sealed_is_as_sketched_in_the_exercise() {
        let text = include_str!("../../../models/bungalow.yaml");
        let id = "kitchen/tab collar";
        let seen = format!("{text}looks:\n  - {{seam: {id}, sealed: yes}}\n");
        let (plain, system) = (built(text), built(&seen));
        let at = |system: &System| {
            system
                .seams
                .iter()
                .position(|s| s.id == id)
                .expect("a seam")
        };
        let seam = at(&system);
        assert_eq!(system.seams[seam].work, Work::Mastic, "the look told");
        let exercise = make(&system, 3).expect("made");
        assert_eq!(exercise.system.seams, plain.seams);
        let made = exercise_sketch(&seen, &exercise).expect("sections");
        let read = built(&made);
        assert!(reads_back(&exercise, &read), "{made}");
        // Workmanship and the figures expected are compared.
        let mut other = exercise.clone();
        other.system.seams[seam].work = Work::Mastic;
        assert!(!reads_back(&other, &read));
        let mut other = exercise.clone();
        other.system.seams[seam].mean_q25_m3_s *= 0.5;
        assert!(!reads_back(&other, &read));
        assert_eq!(exercise.truth, make(&plain, 3).expect("made").truth);
    }

    #[test]
    fn names_with_quotes_and_colons_survive() {
        assert_eq!(quoted("a \"b\": c"), "\"a \\\"b\\\": c\"");
    }
}
