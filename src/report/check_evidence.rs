//! The part of `check` about what was measured, seen and done, and about beliefs and times.

use serde::Serialize;

use super::lines::wrapped;
use super::words;
use crate::math::exp;
use crate::quantity::{Flow, Pressure, UnitSystem, significant};
use crate::system::{
    Beliefs, LookAt, Measured, Mover, Observable, ReadingUnit, Relation, SeamIdx, Setup, Side,
    System,
};

/// Seams that are named before the rest is counted.
const NAMED: usize = 4;

/// Readings, looks, sealing, beliefs and the person's own minutes; nothing where the sketch has none.
pub(super) fn text(system: &System, units: UnitSystem) -> String {
    let mut text = String::new();
    let mut part = |title: &str, lines: Vec<(String, String)>| {
        if lines.is_empty() {
            return;
        }
        text.push_str(title);
        text.push('\n');
        for (head, words) in lines {
            text.push_str(&wrapped(&format!("  {head}: "), &words));
        }
        text.push('\n');
    };
    part("Readings", readings(system, units));
    part("Looks", looks(system));
    part(
        "Sealing (what usually remains of a seam's leakage)",
        sealing(system),
    );
    part("Believed instead of the usual figures", beliefs(system));
    part("Minutes instead of the usual ones", minutes(system));
    text
}

fn amount(value: f64, unit: ReadingUnit, units: UnitSystem) -> String {
    match unit {
        ReadingUnit::Flow => Flow::new(value).show(units),
        ReadingUnit::Pressure => Pressure::new(value).show(units),
    }
}

fn readings(system: &System, units: UnitSystem) -> Vec<(String, String)> {
    let line = |reading: &Measured| {
        let below = if reading.relation == Relation::Below {
            "below "
        } else {
            ""
        };
        let value = amount(reading.value, reading.unit(), units);
        let stage = match stage(system, reading.stage) {
            Some(step) => format!("; after {step}"),
            None => String::new(),
        };
        let words = format!(
            "{below}{value}{}; {}{stage}; error: {}",
            observed(system, reading.observable),
            setup(system, &reading.setup),
            reading.error_source
        );
        (reading.id.clone(), words)
    };
    system.readings.iter().map(line).collect()
}

/// What was read, where it is not the test fan's flow.
fn observed(system: &System, what: Observable) -> String {
    let opening = |o: usize| &system.openings[o].id;
    match what {
        Observable::FanFlow => String::new(),
        Observable::BlowerFlow => " through the air handler".to_owned(),
        Observable::RegisterFlow(o) => format!(" from `{}` into its room", opening(o)),
        Observable::PlenumStatic(Side::Supply) => " static in the supply plenum".to_owned(),
        Observable::PlenumStatic(Side::Return) => " static in the return plenum".to_owned(),
        Observable::StaticRise => " static from return to supply plenum".to_owned(),
        Observable::BehindOpening(o) => format!(" behind `{}` against its room", opening(o)),
        Observable::Room(room) => {
            format!(" in room `{}` against the house", system.rooms[room].name)
        }
        Observable::Place(place) => {
            format!(" in `{}` against the house", system.places[place].name)
        }
        Observable::House => " in the house against outdoors".to_owned(),
    }
}

/// A set-up in one line; fan and tap only where there is a fan on the ducts.
fn setup(system: &System, setup: &Setup) -> String {
    let recipe = setup.kind.recipe();
    if recipe.mover == Mover::DuctFan {
        return words::setup(system, setup);
    }
    let mut said = recipe.words.to_owned();
    if setup.pressure_pa > 0.0 {
        let sign = if setup.pressurise { "" } else { "−" };
        let pressure = Pressure::new(setup.pressure_pa).show(UnitSystem::Si);
        said.push_str(&format!("; house at {sign}{pressure}"));
    }
    said
}

/// The last step of sealing before a stage.
fn stage(system: &System, stage: usize) -> Option<&str> {
    let step = system.sealing.get(stage.checked_sub(1)?)?;
    Some(&step.id)
}

fn looks(system: &System) -> Vec<(String, String)> {
    let line = |look: &crate::system::Look| {
        let at = match look.at {
            LookAt::Reading(i) => format!("during `{}`", system.readings[i].id),
            LookAt::Total(pa) => format!("ducts at {}", Pressure::new(pa).show(UnitSystem::Si)),
        };
        let by = match look.by.as_str() {
            "" => String::new(),
            by => format!("; by {by}"),
        };
        let after = match stage(system, look.stage) {
            Some(step) => format!("; after {step}"),
            None => String::new(),
        };
        let group = if look.is_group {
            format!("{} seams in one statement; ", look.seams.len())
        } else {
            String::new()
        };
        (look.words.clone(), format!("{group}{at}{by}{after}"))
    };
    system.looks.iter().map(line).collect()
}

fn sealing(system: &System) -> Vec<(String, String)> {
    let line = |step: &crate::system::SealingStep| {
        let (least, most) = step.remains.iter().fold((f64::INFINITY, 0.0), |(a, b), r| {
            (r.min(a), f64::max(*r, b))
        });
        let percent = |part: f64| significant(100.0 * part, 2);
        let remains = if most - least < 0.005 {
            format!("{} %", percent(most))
        } else {
            format!("{} to {} %", percent(least), percent(most))
        };
        let date = step
            .date
            .as_ref()
            .map_or(String::new(), |date| format!("{date}; "));
        (
            step.id.clone(),
            format!("{date}{}; {remains} remains", named(system, &step.seams)),
        )
    };
    system.sealing.iter().map(line).collect()
}

fn named(system: &System, seams: &[SeamIdx]) -> String {
    let ids: Vec<String> = seams
        .iter()
        .take(NAMED)
        .map(|&i| format!("`{}`", system.seams[i].id))
        .collect();
    let more = match seams.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{}{more}", ids.join(", "))
}

fn beliefs(system: &System) -> Vec<(String, String)> {
    let b = &system.beliefs;
    let plain = |value: Option<f64>| value.map(|v| significant(v, 3));
    let percent = |value: Option<f64>| value.map(|v| format!("{} %", significant(100.0 * v, 3)));
    let pascal = |value: Option<f64>| value.map(|v| Pressure::new(v).show(UnitSystem::Si));
    [
        ("workmanship spread", plain(b.workmanship_gsd)),
        ("habit spread", plain(b.habit_gsd)),
        ("exponent spread", plain(b.exponent_sd)),
        (
            "gross chance",
            plain(b.gross_factor).map(|v| format!("{v} times")),
        ),
        ("wrong set-up chance", percent(b.wrong_setup_chance)),
        ("gauge shared", percent(b.gauge_shared)),
        ("smoke threshold", plain(b.smoke_factor)),
        ("observer spread", plain(b.observer_sd.map(exp))),
        ("nulling error", pascal(b.nulling_sd_pa)),
        ("tap error", pascal(b.tap_sd_pa)),
    ]
    .into_iter()
    .filter_map(|(key, value)| Some((key.to_owned(), value?)))
    .collect()
}

fn minutes(system: &System) -> Vec<(String, String)> {
    let own = system.minutes.iter().filter(|task| task.is_given());
    own.map(|task| (task.words.clone(), significant(task.minutes, 3)))
        .collect()
}

/// A reading for programs, SI.
#[derive(Debug, Serialize)]
pub(super) struct Reading<'a> {
    id: &'a str,
    setup: String,
    /// Word of the set-up's recipe.
    set_up: &'static str,
    of: &'static str,
    below: bool,
    value: f64,
    unit: &'static str,
    relative_sd: f64,
    floor_sd: f64,
    /// As `value`, where a flow was read.
    flow_m3_s: Option<f64>,
    floor_sd_m3_s: Option<f64>,
    stage: usize,
}

/// A look for programs.
#[derive(Debug, Serialize)]
pub(super) struct Look<'a> {
    words: &'a str,
    seams: Vec<&'a str>,
    group: bool,
    by: &'a str,
    during: Option<&'a str>,
    pressure_pa: Option<f64>,
    stage: usize,
}

/// A step of sealing for programs.
#[derive(Debug, Serialize)]
pub(super) struct Sealing<'a> {
    id: &'a str,
    date: Option<&'a str>,
    seams: Vec<&'a str>,
    remains: &'a [f64],
}

/// What is believed, for programs; null where the usual figure stands.
#[derive(Debug, Serialize)]
pub(super) struct Prior {
    workmanship_gsd: Option<f64>,
    habit_gsd: Option<f64>,
    exponent_sd: Option<f64>,
    gross_factor: Option<f64>,
    wrong_setup_chance: Option<f64>,
    gauge_shared: Option<f64>,
    smoke_factor: Option<f64>,
    observer_sd: Option<f64>,
    nulling_sd_pa: Option<f64>,
    tap_sd_pa: Option<f64>,
}

/// All of it for programs.
#[derive(Debug, Serialize)]
pub(super) struct Evidence<'a> {
    readings: Vec<Reading<'a>>,
    looks: Vec<Look<'a>>,
    sealing: Vec<Sealing<'a>>,
    prior: Prior,
}

/// What was measured, seen, done and believed.
pub(super) fn evidence(system: &System) -> Evidence<'_> {
    let ids = |seams: &[SeamIdx]| -> Vec<&str> {
        seams.iter().map(|&i| system.seams[i].id.as_str()).collect()
    };
    Evidence {
        readings: system.readings.iter().map(|r| reading(system, r)).collect(),
        looks: system
            .looks
            .iter()
            .map(|look| {
                let (during, pressure_pa) = match look.at {
                    LookAt::Reading(i) => (Some(system.readings[i].id.as_str()), None),
                    LookAt::Total(pa) => (None, Some(pa)),
                };
                Look {
                    words: &look.words,
                    seams: ids(&look.seams),
                    group: look.is_group,
                    by: &look.by,
                    during,
                    pressure_pa,
                    stage: look.stage,
                }
            })
            .collect(),
        sealing: system
            .sealing
            .iter()
            .map(|step| Sealing {
                id: &step.id,
                date: step.date.as_deref(),
                seams: ids(&step.seams),
                remains: &step.remains,
            })
            .collect(),
        prior: prior(&system.beliefs),
    }
}

fn reading<'a>(system: &System, reading: &'a Measured) -> Reading<'a> {
    let is_flow = reading.unit() == ReadingUnit::Flow;
    Reading {
        id: &reading.id,
        setup: setup(system, &reading.setup),
        set_up: reading.setup.kind.recipe().id,
        of: match reading.observable {
            Observable::FanFlow => "fan-flow",
            Observable::BlowerFlow => "blower-flow",
            Observable::RegisterFlow(_) => "register-flow",
            Observable::PlenumStatic(Side::Supply) => "supply-static",
            Observable::PlenumStatic(Side::Return) => "return-static",
            Observable::StaticRise => "static-rise",
            Observable::BehindOpening(_) => "behind-register",
            Observable::Room(_) => "room-pressure",
            Observable::Place(_) => "place-pressure",
            Observable::House => "house-pressure",
        },
        below: reading.relation == Relation::Below,
        value: reading.value,
        unit: if is_flow { "m3/s" } else { "Pa" },
        relative_sd: reading.relative_sd,
        floor_sd: reading.floor_sd,
        flow_m3_s: is_flow.then_some(reading.value),
        floor_sd_m3_s: is_flow.then_some(reading.floor_sd),
        stage: reading.stage,
    }
}

fn prior(b: &Beliefs) -> Prior {
    Prior {
        workmanship_gsd: b.workmanship_gsd,
        habit_gsd: b.habit_gsd,
        exponent_sd: b.exponent_sd,
        gross_factor: b.gross_factor,
        wrong_setup_chance: b.wrong_setup_chance,
        gauge_shared: b.gauge_shared,
        smoke_factor: b.smoke_factor,
        observer_sd: b.observer_sd,
        nulling_sd_pa: b.nulling_sd_pa,
        tap_sd_pa: b.tap_sd_pa,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    fn full() -> System {
        let text = include_str!("../../tests/good/full.yaml");
        let sketch = crate::sketch::read(text, "full.yaml").expect("a good sketch");
        crate::system::build(&sketch, text, "full.yaml", Catalog::builtin()).expect("a good system")
    }

    #[test]
    fn every_reading_is_shown_in_its_own_unit_with_what_it_is_of() {
        let lines = readings(&full(), UnitSystem::Ip);
        let of = |id: &str| -> &str {
            let found = lines.iter().find(|(head, _)| head == id);
            &found.expect("is shown").1
        };
        for (id, words) in [
            ("all", "263 cfm; total, −25 Pa at the supply plenum"),
            ("series 3", "390 cfm; total, 50 Pa"),
            (
                "pan kitchen",
                "1.2 Pa behind `kitchen/boot` against its room",
            ),
            ("pan kitchen", "house at −50 Pa"),
            ("static 2", "-70 Pa static in the return plenum"),
            ("rise", "125 Pa static from return to supply plenum"),
            (
                "kitchen shut 2",
                "2.6 Pa in room `kitchen` against the house",
            ),
            ("basement 1", "20 Pa in `basement` against the house"),
            ("indoors", "-1.5 Pa in the house against outdoors"),
            ("air", "1150 cfm through the air handler; blower running"),
            ("retest", "after day 1"),
        ] {
            assert!(of(id).contains(words), "{id}: {}", of(id));
        }
        // No fan stands on running ducts, and nothing is masked.
        assert!(!of("air").contains("fan at") && !of("air").contains("masked"));
    }

    #[test]
    fn looks_sealing_beliefs_and_minutes_are_shown() {
        let text = text(&full(), UnitSystem::Ip);
        for words in [
            "all boots in room kitchen: smoke wisp: ",
            "during `retest`",
            "day 1: 2026-11-02; `kitchen/tab collar`",
            "gross chance: 2 times",
            "observer spread: 1.6",
            "smoke at one seam: 3",
        ] {
            assert!(text.contains(words), "{words} in {text}");
        }
    }

    #[test]
    fn a_pressure_is_no_flow_for_programs() {
        let system = full();
        let json = serde_json::to_value(evidence(&system)).expect("plain data");
        let rows = json["readings"].as_array().expect("a list");
        let pan = rows
            .iter()
            .find(|r| r["id"] == "pan kitchen")
            .expect("is there");
        assert!(pan["flow_m3_s"].is_null() && pan["floor_sd_m3_s"].is_null());
        assert_eq!(
            (&pan["unit"], &pan["of"]),
            (&"Pa".into(), &"behind-register".into())
        );
        assert!(
            rows[0]["flow_m3_s"]
                .as_f64()
                .is_some_and(|q| (q - rows[0]["value"].as_f64().unwrap_or(0.0)).abs() < 1e-15)
        );
    }
}
