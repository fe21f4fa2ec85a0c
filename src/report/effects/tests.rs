//! The three answers on the two-storey model, and on a house made up for its bill.

use serde_json::Value;

use super::said::rounded;
use super::*;
use crate::catalog::Catalog;
use crate::effects::{Effects, EffectsSettings, effects};
use crate::quantity::UnitSystem;
use crate::report::samples;
use crate::seal::BeforeAfter;
use crate::system::System;

const HOUSE: &str = "
ductseam: 1
title: Attic ducts with a bill (invented)
house: {floor area: 1400 ft2, envelope: 2100 cfm at 50 Pa}
suspect tape: none seen
places: {attic: {like: outside, winter: 38 F, summer: 105 F, regain: 10 %}}
air handler: {place: attic, airflow: 900 cfm assumed, coil: after blower}
combustion: [{appliance: water heater, draft: natural, place: inside}]
usual: {all: {place: attic, insulation: R-6, work: unsealed}}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 14x8 in, walk: [north 20 ft, cap]}
  - {id: kitchen, from: trunk at 6 ft left, size: 7 in, room: kitchen, design flow: 300 cfm, walk: [tab collar, 9 ft, boot 12x6 in]}
  - {id: bath, from: trunk at 12 ft right, size: 7 in, room: bath, design flow: 400 cfm, walk: [tab collar, 20 ft, boot 12x6 in]}
  - {id: den, from: trunk at 18 ft right, size: 7 in, room: den, design flow: 200 cfm, walk: [tab collar, 8 ft, boot 12x6 in]}
  - {id: back, side: return, from: return plenum, size: 16x10 in, room: hall, walk: [south 12 ft, return box 24x20 in]}
energy:
  year: 2026
  currency: USD
  heating: {kind: furnace, fuel: gas, price: 1.45 per therm, bill: 980, efficiency: 80 %, supply air: 120 F}
  cooling: {price: $0.17 per kWh, efficiency: 3.0, supply air: 55 F}
  climate: {heating degree-days: 5400 degree-days F, cooling degree-days: 900 degree-days F, winter: 35 F, summer: 88 F}
  cooling load: 2 tons at 95 F
  infiltration: 0.35 ACH
  fan: 420 W
";

fn house() -> System {
    let sketch = crate::sketch::read(HOUSE, "house.yaml")
        .map_err(|wrong| wrong.render(false))
        .expect("a good sketch");
    crate::system::build(&sketch, HOUSE, "house.yaml", Catalog::builtin())
        .map_err(|wrong| wrong.render(false))
        .expect("a good system")
}

/// Three draws of all seams at other levels; after, all leak a quarter.
fn quartered(system: &System) -> Effects {
    let (ln_q25, n) = system.prior_laws();
    let mut pairs = BeforeAfter {
        n_seams: n.len(),
        ..BeforeAfter::default()
    };
    for level in [-0.3, 0.0, 0.3] {
        pairs
            .ln_q25_before
            .extend(ln_q25.iter().map(|ln| ln + level));
        pairs
            .ln_q25_after
            .extend(ln_q25.iter().map(|ln| ln + level + 0.25_f64.ln()));
        pairs.n_before.extend(&n);
        pairs.n_after.extend(&n);
    }
    effects(system, &pairs, &EffectsSettings::default()).expect("it settles")
}

fn text(system: &System, units: UnitSystem) -> String {
    let settings = EffectsTextSettings {
        units,
        registers: true,
        defaults: true,
    };
    let text = effects_text(system, &quartered(system), settings);
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line, line.trim_end());
    }
    text
}

#[test]
fn the_text_has_cautions_first_rooms_leaks_and_money_as_a_range() {
    let said = text(&house(), UnitSystem::Ip);
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let at = |words: &str| {
        flat.find(words)
            .unwrap_or_else(|| panic!("{words}: {said}"))
    };
    assert!(at("Before you touch anything") < at("In short"));
    assert!(at("In short") < at("Air that reaches the rooms"));
    assert!(at("Air that reaches the rooms") < at("Energy and cost"));
    at("USD a year at prices of 2026 (from the year's heating bill; the unit warms the air by");
    at("from the house's load and the degree-days of a year");
    at("Return leaks that draw air from outside");
    at("no promise");
    assert!(!flat.contains("n/a") && !flat.contains("NaN"), "{said}");
    text(&house(), UnitSystem::Si);
    text(&samples::system(), UnitSystem::Ip);
}

#[test]
fn a_room_that_stays_short_gets_other_causes() {
    let said = text(&house(), UnitSystem::Ip);
    // 900 cfm through three branches of one size cannot bring 400 cfm to one of them.
    assert!(
        said.contains("Short of what was meant even then: `bath`"),
        "{said}"
    );
    assert!(
        said.contains("damper") && said.contains("crushed"),
        "{said}"
    );
}

#[test]
fn the_json_holds_si_and_says_what_rests_on_what() {
    let system = house();
    let found = quartered(&system);
    let answer: Value = serde_json::from_str(&effects_json(&system, &found)).expect("JSON");
    assert_eq!(answer["format"], "ductseam/effects/1");
    assert_eq!(answer["draws"], 3);
    assert_eq!(answer["currency"], "USD");
    assert_eq!(answer["heating"]["unit"], "therm");
    assert_eq!(answer["indoors"], false);
    let mean = |value: &Value| value["mean"].as_f64().expect("a figure");
    let blower = mean(&answer["blower_m3_s"]["before"]);
    // 900 cfm at the mean leaks: the draws lie round it.
    assert!((blower / 0.424_75 - 1.0).abs() < 0.02, "{blower}");
    let saved = mean(&answer["heating"]["saved_part"]);
    let money = mean(&answer["heating"]["saved_money"]);
    assert!((money - rounded(980.0 * saved)).abs() < 1e-9);
    // 980 at 1.45 a therm of 105.4804 MJ.
    let joules = mean(&answer["heating"]["saved_j"]);
    assert!((joules / (saved * 980.0 / 1.45 * 105.480_4e6) - 1.0).abs() < 1e-9);
    assert!(
        answer["cautions"]
            .as_array()
            .is_some_and(|all| !all.is_empty())
    );
    let fan = mean(&answer["fan_w"]["before"]);
    assert!((fan / 420.0 - 1.0).abs() < 0.05, "{fan}");
}

#[test]
fn the_csv_has_a_row_for_each_figure() {
    let system = house();
    let found = quartered(&system);
    let text = effects_csv(&found);
    let mut table = ::csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<::csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    let of = |what: &str| rows.iter().filter(|row| &row[0] == what).count();
    assert_eq!(of("room supplied"), system.rooms.len());
    assert_eq!(of("register"), 4);
    assert_eq!(of("saved money a year"), 2);
    let money = rows
        .iter()
        .find(|row| &row[0] == "saved money a year")
        .expect("it");
    assert_eq!((&money[4], &money[6]), ("USD", ""));
    assert!(money[14].parse::<f64>().expect("a figure") > 0.0);
}

#[test]
fn money_is_rounded_to_two_digits_without_cents() {
    for (value, expected) in [
        (137.4, 140.0),
        (7.6, 8.0),
        (0.3, 0.0),
        (-0.3, 0.0),
        (1264.0, 1300.0),
        (99.6, 100.0),
        (-137.4, -140.0),
    ] {
        assert!((rounded(value) - expected).abs() < 1e-9, "{value}");
    }
}
