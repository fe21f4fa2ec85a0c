//! One basis of flows, the direction of a test, and what passes a barrier: `ductseam limits` as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::path::Path;

use black_box::{run, stderr, stdout};
use serde_json::Value;

const BUNGALOW: &str = "models/bungalow.yaml";
const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
/// A room at 20 °C, 1500 m up: 1.0048 kg/m3 by hand from the ISO 2533 table, against 1.2041 at sea level.
const HIGH: &str = "indoor air: 20 °C, barometer: 84.556 kPa";

fn ends(arguments: &[&str], code: i32) -> (String, String) {
    let output = run(&[&["limits"], arguments].concat());
    let (out, talk) = (stdout(&output), stderr(&output));
    assert_eq!(
        output.status.code(),
        Some(code),
        "{arguments:?}: {talk}{out}"
    );
    (out, talk)
}

fn json(arguments: &[&str], code: i32) -> Value {
    let (text, _) = ends(&[arguments, &["--format", "json"]].concat(), code);
    serde_json::from_str(&text).expect("JSON")
}

fn cfm(value: &Value) -> f64 {
    value.as_f64().expect("a number") / CFM
}

/// The bungalow with other readings and more sections.
fn bungalow(name: &str, readings: &[&str], more: &str) -> String {
    let model = Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW);
    let text = std::fs::read_to_string(model).expect("the model");
    let (before, _) = text.split_once("readings:").expect("its readings");
    let mut text = format!("{before}readings:\n");
    for reading in readings {
        text.push_str(&format!("  - {{{reading}}}\n"));
    }
    scratch(name, &(text + more))
}

fn scratch(name: &str, text: &str) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("limits-bases");
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    let file = folder.join(name);
    std::fs::write(&file, text).expect("written");
    file.display().to_string()
}

#[test]
fn an_uncorrected_meter_is_brought_to_the_basis_on_which_all_is_judged() {
    let total = ["id: test, total: 268 cfm at 25 Pa"];
    let corrected = bungalow("corrected.yaml", &total, &format!("record: {{{HIGH}}}\n"));
    let raw = bungalow(
        "raw.yaml",
        &total,
        &format!("record: {{density corrected: no, {HIGH}}}\n"),
    );
    let flow = |ask: &[&str]| {
        let answer = json(&[ask, &["--limit", "500 cfm"]].concat(), 0);
        let at = answer["measured"][0].clone();
        assert_eq!(at["flow_m3_s"], answer["limits"][0]["held_m3_s"]);
        (cfm(&at["flow_m3_s"]), at)
    };
    // √(1.0048/1.2041) = 0.9135: thin air makes an uncorrected meter read too much.
    let (read, at) = flow(&[&corrected]);
    assert!((read - 268.0).abs() < 1e-9);
    // The same mass, by volume through the leaks: 1.2041/1.0048 = 1.1983.
    assert!((cfm(&at["air"]["leaks_m3_s"]) / 268.0 - 1.1983).abs() < 3e-4);
    // On to reference air: times (1.0048/1.2041)^0.4 = 0.9302.
    assert!((cfm(&at["air"]["reference_m3_s"]) / 268.0 - 1.1983 * 0.9302).abs() < 5e-4);
    let (brought, at) = flow(&[&raw]);
    assert!((brought / 268.0 - 0.9135).abs() < 2e-4, "{brought}");
    assert!((cfm(&at["air"]["indicated_m3_s"]) - 268.0).abs() < 1e-9);
    assert!((cfm(&at["air"]["leaks_m3_s"]) / 268.0 - 0.9135 * 1.1983).abs() < 5e-4);
    // The command line's word goes before the record's, either way.
    assert!((flow(&[&corrected, "--density", "uncorrected"]).0 - brought).abs() < 1e-9);
    assert!((flow(&[&raw, "--density", "as-read"]).0 - 268.0).abs() < 1e-9);
    // A series is brought there too, and its fit is of what is judged.
    let series = scratch(
        "series.csv",
        "pressure (Pa),flow (cfm)\n10,159.24\n25,275.95\n40,365.86\n50,418.27\n60,466.63\n",
    );
    let (of_series, at) = flow(&[&raw, "--series", &series]);
    assert!((of_series / 275.95 - 0.9135).abs() < 3e-4);
    assert!((cfm(&at["fit"]["flow_25_pa_m3_s"]) - of_series).abs() < 1e-9);
    let (text, _) = ends(&[&raw, "--limit", "500 cfm"], 0);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("at 1.204 kg/m3, brought there from a meter that does not correct"));
    assert!(text.contains("by volume through the leaks") && text.contains("at reference air"));
}

#[test]
fn openings_pass_the_mass_in_the_air_of_the_place() {
    let total = ["id: test, total: 268 cfm at 25 Pa"];
    let area = |name: &str, more: &str| {
        let answer = json(&[&bungalow(name, &total, more), "--limit", "500 cfm"], 0);
        let openings = answer["measured"][0]["forms"]["openings"].clone();
        openings[0]["area_m2"].as_f64().expect("an area")
    };
    let (low, high) = (
        area(
            "low.yaml",
            "record: {indoor air: 20 °C, barometer: 101.325 kPa}\n",
        ),
        area("up.yaml", &format!("record: {{{HIGH}}}\n")),
    );
    // By hand, SI: 1.204·0.12648/(0.6·√(50·1.0048)) m2.
    assert!((high - 1.204 * 268.0 * CFM / (0.6 * (50.0_f64 * 1.0048).sqrt())).abs() < 2e-6);
    // √(1.2041/1.0048) more area for the same mass.
    assert!((high / low - 1.0947).abs() < 2e-4, "{}", high / low);
}

#[test]
fn a_pulled_down_test_takes_the_air_of_its_direction_or_says_that_it_cannot() {
    let air = "record: {density corrected: no, duct air: 40 °C, indoor air: 15 °C, outdoor air: -10 °C, \
               barometer: 101.325 kPa}\n";
    let down = "direction: depressurised";
    let outside = format!("id: out, to outside: 100 cfm at 25 Pa, {down}");
    let total = format!("id: test, total: 268 cfm at 25 Pa, {down}");
    let file = bungalow("down.yaml", &[&total, &outside], air);
    let answer = json(&[&file, "--limit", "500 cfm"], 0);
    let of = |scope: &str| {
        let all = answer["measured"].as_array().expect("a list").clone();
        all.into_iter()
            .find(|one| one["scope"] == scope)
            .expect("read")
    };
    let out = of("to outside");
    assert_eq!(out["pressurise"], false);
    // 1.1272 kg/m3 at 40 °C in the fan, 1.3414 at -10 °C in the leaks, by hand.
    let factor = (1.1272_f64 / 1.204).sqrt();
    assert!((cfm(&out["flow_m3_s"]) / 100.0 - factor).abs() < 2e-4);
    assert!((cfm(&out["air"]["leaks_m3_s"]) / 100.0 - factor * 1.204 / 1.3414).abs() < 3e-4);
    let whole = of("total");
    assert!((cfm(&whole["flow_m3_s"]) / 268.0 - factor).abs() < 2e-4);
    assert!(whole["air"]["leaks_m3_s"].is_null() && whole["air"]["leak_kg_m3"].is_null());
    let (text, _) = ends(&[&file, "--limit", "500 cfm"], 0);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("which the record does not have"), "{text}");
    // Blown up, the fan moves room air, 1.2250 kg/m3 at 15 °C.
    let up = bungalow("blown.yaml", &["id: test, total: 268 cfm at 25 Pa"], air);
    let answer = json(&[&up, "--limit", "500 cfm"], 0);
    let at = &answer["measured"][0];
    let factor = (1.2250_f64 / 1.204).sqrt();
    assert!((cfm(&at["flow_m3_s"]) / 268.0 - factor).abs() < 2e-4);
    assert!((cfm(&at["air"]["leaks_m3_s"]) / 268.0 - factor * 1.204 / 1.1272).abs() < 3e-4);
}

#[test]
fn an_open_side_is_at_most_what_was_read_and_never_above() {
    let supply = "id: s, supply: 150 cfm at 25 Pa ± 2 %";
    let limits = ["--limit", "supply 100 cfm", "--limit", "supply 200 cfm"];
    let alone = bungalow("alone.yaml", &[supply], "");
    let answer = json(&[&[alone.as_str()], &limits[..]].concat(), 0);
    let verdict = |answer: &Value, k: usize| answer["limits"][k]["verdict"].clone();
    assert_eq!(verdict(&answer, 0), "too-close");
    assert_eq!(verdict(&answer, 1), "at-or-below");
    assert_eq!(answer["limits"][0]["is_at_most"], true);
    assert!(answer["limits"][0]["chance"].is_null());
    let (text, _) = ends(&[&[alone.as_str()], &limits[..]].concat(), 0);
    assert!(text.contains("at most 150 cfm"), "{text}");
    // With the other side and the total, half of what both have too much is the barrier's: (150 + 140 − 268)/2 = 11.
    let all = bungalow(
        "all.yaml",
        &[
            supply,
            "id: r, return: 140 cfm at 25 Pa ± 2 %",
            "id: t, total: 268 cfm at 25 Pa ± 2 %",
        ],
        "",
    );
    let answer = json(&[&[all.as_str()], &limits[..]].concat(), 0);
    assert_eq!(verdict(&answer, 0), "above");
    assert!((cfm(&answer["limits"][0]["held_m3_s"]) - 139.0).abs() < 1e-9);
    assert!((cfm(&answer["limits"][0]["barrier_leak_m3_s"]) - 11.0).abs() < 1e-9);
    // Guarded, nothing passes.
    let guarded = bungalow(
        "guarded.yaml",
        &["id: s, guarded supply: 150 cfm at 25 Pa ± 2 %"],
        "",
    );
    let answer = json(&[&[guarded.as_str()], &limits[..]].concat(), 0);
    assert_eq!(verdict(&answer, 0), "above");
    assert_eq!(answer["limits"][0]["is_at_most"], false);
}

#[test]
fn a_reading_that_cannot_be_brought_to_25_pa_is_not_called_missing() {
    let bad = bungalow(
        "bad.yaml",
        &["id: test, total: [300 cfm at 10 Pa, 250 cfm at 25 Pa, 200 cfm at 50 Pa]"],
        "",
    );
    let answer = json(&[&bad, "--limit", "60 cfm"], 1);
    let words = answer["limits"][0]["words"].as_str().expect("words");
    assert!(
        words.contains("cannot be brought to 25 Pa")
            && words.contains("falls")
            && !words.contains("add one"),
        "{words}"
    );
    assert_eq!(answer["limits"][0]["measured"], 0);
}

#[test]
fn a_record_needs_no_limit_and_the_condition_of_a_limit_is_always_shown() {
    let file = bungalow("record.yaml", &["id: test, total: 268 cfm at 25 Pa"], "");
    let (text, talk) = ends(&[&file, "--record"], 0);
    assert!(talk.is_empty() && text.contains("268 cfm"), "{talk}{text}");
    // No error is stated, so none was divided.
    assert!(!text.contains("1.96"), "{text}");
    assert_eq!(
        json(&[&file, "--record"], 0)["errors_stated_as_limits"],
        false
    );
    let all = [file.as_str(), "--all", "--stage", "final"];
    let (text, _) = ends(&all, 0);
    let (table, _) = ends(&[&all[..], &["--format", "csv"]].concat(), 0);
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let column = reader
        .headers()
        .expect("a header")
        .iter()
        .position(|name| name == "condition")
        .expect("a column");
    let conditions: Vec<String> = reader
        .records()
        .map(|row| row.expect("a row")[column].to_owned())
        .collect();
    assert!(conditions.len() > 4 && conditions.iter().all(|said| !said.is_empty()));
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in conditions {
        assert!(text.contains(&format!("for: {said}")), "{said}");
    }
    let own = ["--catalog", "no-such.csv"];
    let (_, talk) = ends(&[&[file.as_str()], &own[..]].concat(), 2);
    assert!(talk.contains("no-such.csv"), "{talk}");
}
