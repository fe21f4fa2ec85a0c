//! `ductseam limits`, as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::path::Path;

use black_box::{run, stderr, stdout};
use serde_json::Value;

const BUNGALOW: &str = "models/bungalow.yaml";
const TWO_STOREY: &str = "models/two-storey.yaml";
const FULL: &str = "tests/good/full.yaml";
const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;

/// Answer and talk of a run that must end so.
fn ends(arguments: &[&str], code: i32) -> (String, String) {
    let output = run(arguments);
    let (out, talk) = (stdout(&output), stderr(&output));
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {talk}");
    (out, talk)
}

fn json(arguments: &[&str], code: i32) -> Value {
    let (text, _) = ends(
        &[&["limits"], arguments, &["--format", "json"]].concat(),
        code,
    );
    assert!(!text.contains("NaN"));
    serde_json::from_str(&text).expect("JSON")
}

/// Wrong input: nothing on stdout, what is wrong and a hint on stderr.
fn refused(arguments: &[&str], wrong: &str, hint: &str) {
    let (out, talk) = ends(&[&["limits"], arguments].concat(), 2);
    assert!(out.is_empty());
    assert!(talk.contains(wrong), "`{wrong}` in {talk}");
    assert!(talk.contains(hint), "`{hint}` in {talk}");
}

fn fits(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line, line.trim_end());
        assert!(!line.contains("NaN"), "{line}");
        assert!(!line.to_lowercase().contains("complies"), "{line}");
    }
}

fn cfm(value: &Value) -> f64 {
    value.as_f64().expect("a number") / CFM
}

/// A text with every line end a blank: paragraphs break where they must.
fn unbroken(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn scratch(name: &str, text: &str) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("limits");
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    let file = folder.join(name);
    std::fs::write(&file, text).expect("written");
    file.display().to_string()
}

fn bungalow_with(name: &str, more: &str) -> String {
    let model = Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW);
    let text = std::fs::read_to_string(model).expect("the model");
    scratch(name, &format!("{text}{more}"))
}

#[test]
fn a_house_with_one_reading_fits_one_screen() {
    let ask = [
        "limits",
        BUNGALOW,
        "--stage",
        "final",
        "--limit",
        "energy-code-2021-final",
        "--limit",
        "6 % of airflow",
    ];
    let (text, talk) = ends(&ask, 0);
    fits(&text);
    assert!(text.lines().count() <= 45, "{} lines", text.lines().count());
    assert!(talk.is_empty());
    // 268 cfm over 1500 ft2, of 1000 cfm; both limits allow 60 cfm.
    for said in [
        "17.9",
        "27 %",
        "1000 cfm, read from the blower table",
        "60.0",
        "-208",
        "above the limit entered",
    ] {
        assert!(unbroken(&text).contains(said), "{said} in {text}");
    }
    assert!(text.contains("authority having jurisdiction"));
}

#[test]
fn text_json_and_table_say_the_same() {
    let ask = [
        TWO_STOREY,
        "--stage",
        "final",
        "--all",
        "--limit",
        "total 170 cfm",
    ];
    let answer = json(&ask, 0);
    assert_eq!(answer["format"], "ductseam/limits/1");
    let limits = answer["limits"].as_array().expect("a list");
    assert!(limits.len() > 10);
    let (table, _) = ends(&[&["limits"], &ask[..], &["--format", "csv"]].concat(), 0);
    let rows: Vec<csv::StringRecord> = csv::Reader::from_reader(table.as_bytes())
        .into_records()
        .map(|row| row.expect("a row"))
        .collect();
    assert_eq!(rows.len(), limits.len());
    let (text, _) = ends(&[&["limits"], &ask[..]].concat(), 0);
    fits(&text);
    for (row, limit) in rows.iter().zip(limits) {
        assert_eq!(&row[0], limit["limit"]["id"].as_str().expect("an id"));
        assert_eq!(&row[16], limit["verdict"].as_str().expect("a verdict"));
        // Scope and stage of every limit are those of its reading.
        let at = &answer["measured"][limit["measured"].as_u64().expect("an index") as usize];
        assert_eq!(at["scope"], limit["limit"]["scope"]);
        let stages = limit["limit"]["stages"].as_array().expect("a list");
        assert!(stages.is_empty() || stages.iter().any(|stage| stage == "final"));
        assert!(text.contains(limit["limit"]["id"].as_str().expect("an id")));
        let (allowed, flow) = (cfm(&limit["limit_m3_s"]), cfm(&at["flow_m3_s"]));
        assert!((cfm(&limit["margin_m3_s"]) - (allowed - flow)).abs() < 1e-9);
    }
    let own = limits
        .iter()
        .find(|l| l["limit"]["own"] == true)
        .expect("own");
    // 165 cfm ± 10 against 170.
    assert_eq!(own["verdict"], "too-close");
    let chance = own["chance"].as_f64().expect("a chance");
    assert!((0.5..0.975).contains(&chance));
}

#[test]
fn an_unsaid_stage_is_asked_for_and_never_guessed() {
    let ask = [BUNGALOW, "--limit", "energy-code-2021-final"];
    let answer = json(&ask, 1);
    assert_eq!(answer["limits"][0]["verdict"], "not-comparable");
    assert!(answer["limits"][0]["limit_m3_s"].is_null());
    let (text, talk) = ends(&[&["limits"], &ask[..]].concat(), 1);
    fits(&text);
    assert!(
        text.contains("--stage")
            && text.contains("nothing was judged")
            && talk == "doubtful: 1 reason, see the answer\n",
        "{text}{talk}"
    );
    assert_eq!(
        json(&[&ask[..], &["--stage", "rough-in"]].concat(), 1)["limits"][0]["verdict"],
        "not-comparable"
    );
    assert_eq!(
        json(&[&ask[..], &["--stage", "final"]].concat(), 0)["limits"][0]["verdict"],
        "above"
    );
}

#[test]
fn mixed_bases_are_not_compared() {
    let answer = json(
        &[
            BUNGALOW,
            "--limit",
            "to outside 60 cfm",
            "--limit",
            "300 cfm",
        ],
        0,
    );
    let words = answer["limits"][0]["words"].as_str().expect("words");
    assert_eq!(answer["limits"][0]["verdict"], "not-comparable");
    assert!(
        words.contains("to outside") && words.contains("add one"),
        "{words}"
    );
    assert_eq!(answer["limits"][1]["verdict"], "at-or-below");
}

#[test]
fn without_a_limit_or_a_reading_nothing_is_judged() {
    let (text, talk) = ends(&["limits", BUNGALOW], 1);
    fits(&text);
    assert!(text.contains("no limit was chosen") && text.contains("--list"));
    assert_eq!(talk, "doubtful: 1 reason, see the answer\n");
    let bare = scratch(
        "bare.yaml",
        "ductseam: 1\ntitle: Bare (invented)\nruns: [{id: a, from: supply plenum, size: 6 in, walk: [2 ft, cap]}]\n",
    );
    let (text, _) = ends(&["limits", &bare, "--limit", "60 cfm"], 1);
    assert!(text.contains("no reading"), "{text}");
    // A table holds no reasons: they are said beside it.
    let (_, talk) = ends(
        &["limits", &bare, "--limit", "60 cfm", "--format", "csv"],
        1,
    );
    assert!(talk.contains("no reading"), "{talk}");
}

#[test]
fn an_own_figure_stands_in_place_of_the_built_in_one() {
    let own = bungalow_with(
        "own.yaml",
        "limits: [energy-code-2021-final, {id: energy-code-2021-final, total: 20 cfm per 100 ft2, stage: final, source: town \
         code}]\nrecord: {stage: final}\n",
    );
    let answer = json(&[&own], 0);
    let limits = answer["limits"].as_array().expect("a list");
    assert_eq!(limits.len(), 1);
    assert_eq!(limits[0]["limit"]["own"], true);
    assert!((cfm(&limits[0]["limit_m3_s"]) - 300.0).abs() < 1e-9);
    let (text, _) = ends(&["limits", &own], 0);
    let text = unbroken(&text);
    assert!(
        text.contains("set aside") && text.contains("(own)"),
        "{text}"
    );
}

#[test]
fn a_series_is_fitted_and_stands_in_place_of_the_reading() {
    let series = scratch(
        "good.csv",
        "\u{feff}Pressure [Pa]; Flow [cfm]; Weather\r\n10;159,24;calm\r\n25;275,95;\r\n;;\r\n40;365,86;\r\n60;466,63;\r\n50;418,27;\r\n",
    );
    let ask = [BUNGALOW, "--limit", "300 cfm", "--series", &series];
    let answer = json(&ask, 0);
    let at = &answer["measured"][0];
    assert_eq!(at["method"], "series");
    assert_eq!(answer["measured"].as_array().expect("a list").len(), 1);
    // 40 P^0.6, rounded to hundredths.
    assert!((at["exponent"].as_f64().expect("n") - 0.6).abs() < 1e-4);
    assert!((cfm(&at["flow_m3_s"]) - 275.95).abs() < 0.02);
    assert!((at["fit"]["t"].as_f64().expect("t") - 3.1824).abs() < 1e-4);
    // The gauge's 3 % stays although the points lie on the line, and the pressures' errors, 0.6 of the larger of 1 % and
    // 0.3 Pa at each point by its leverage: 0.030647 by numpy.
    let part = at["sd_m3_s"].as_f64().expect("sd") / at["flow_m3_s"].as_f64().expect("flow");
    assert!((part - 0.030_647).abs() < 1e-5, "{part}");
    let (text, talk) = ends(&[&["limits"], &ask[..]].concat(), 0);
    fits(&text);
    assert!(talk.contains("`Weather` is passed over"), "{talk}");
    assert!(text.contains("Fit:") && text.contains("r2"));
}

#[test]
fn a_reading_of_several_pressures_is_a_series_too() {
    let answer = json(&[FULL], 1);
    let series = answer["earlier"]
        .as_array()
        .expect("a list")
        .iter()
        .find(|one| one["method"] == "series")
        .expect("a series");
    let readings = series["readings"].as_array().expect("a list");
    assert!(readings.iter().any(|r| r["id"] == "series 1"));
    assert!(series["fit"]["points"].as_u64().expect("a number") >= 3);
}

#[test]
fn a_single_reading_off_25_pa_is_moved_and_the_exponent_shown() {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW))
        .expect("the model");
    let at_15 = scratch(
        "at15.yaml",
        &text.replace("268 cfm at 25 Pa", "200 cfm at 15 Pa"),
    );
    let ask = [at_15.as_str(), "--limit", "300 cfm"];
    // (25/15)^0.6 = 1.3587.
    let usual = json(&ask, 0);
    assert!((cfm(&usual["measured"][0]["flow_m3_s"]) - 271.73).abs() < 0.05);
    assert_eq!(usual["measured"][0]["moved_by_assumption"], true);
    // (25/15)^0.65 = 1.3938.
    let given = json(&[&ask[..], &["--exponent", "0.65"]].concat(), 0);
    assert!((cfm(&given["measured"][0]["flow_m3_s"]) - 278.76).abs() < 0.05);
    let (text, _) = ends(&[&["limits"], &ask[..]].concat(), 0);
    let text = unbroken(&text);
    assert!(
        text.contains("read at 15 Pa, moved with the exponent 0.60"),
        "{text}"
    );
}

#[test]
fn bad_series_are_refused_with_what_to_do() {
    let with = |name: &str, text: &str, wrong: &str, hint: &str| {
        let file = scratch(name, text);
        refused(&[BUNGALOW, "--series", &file], wrong, hint);
    };
    let head = "pressure (Pa),flow (cfm)\n";
    with(
        "falls.csv",
        &format!("{head}10,300\n25,250\n50,200\n"),
        "falls as the pressure rises",
        "columns",
    );
    with(
        "steep.csv",
        &format!("{head}10,100\n25,350\n50,900\n"),
        "above 1.05",
        "mask",
    );
    with(
        "flat.csv",
        &format!("{head}10,100\n25,130\n50,160\n"),
        "below 0.45",
        "--exponent",
    );
    with(
        "cell.csv",
        &format!("{head}10,100\n25,x\n"),
        ":3: column `flow (cfm)`",
        "hint",
    );
    with(
        "unit.csv",
        "pressure,flow (cfm)\n10,100\n",
        "no unit",
        "hint",
    );
    with("none.csv", head, "no points", "one point a row");
    with("empty.csv", "", "empty", "pressure (Pa),flow (cfm)");
    refused(&[BUNGALOW, "--series", "no-such.csv"], "cannot be read", "");
    // Two points are the two-point method; close together the exponent is assumed, which is doubtful.
    let two = scratch("two.csv", &format!("{head}12.5,182\n50,418\n"));
    let answer = json(&[BUNGALOW, "--series", &two, "--limit", "500 cfm"], 0);
    assert_eq!(answer["measured"][0]["method"], "two-point");
    let near = scratch("near.csv", &format!("{head}20,241\n30,308\n"));
    let answer = json(&[BUNGALOW, "--series", &near, "--limit", "500 cfm"], 1);
    assert_eq!(answer["warnings"][0]["code"], "series-narrow");
    // Three points are few.
    let three = scratch("three.csv", &format!("{head}12.5,182\n25,276\n50,418\n"));
    let answer = json(&[BUNGALOW, "--series", &three, "--limit", "500 cfm"], 1);
    assert_eq!(answer["warnings"][0]["code"], "series-few-points");
}

#[test]
fn repeats_that_disagree_and_parts_above_the_whole_are_doubtful() {
    let twice = bungalow_with(
        "twice.yaml",
        "  - {id: again, total: 360 cfm at 25 Pa ± 3 %, fan: blower panel, tap: supply plenum}\n",
    );
    let answer = json(&[&twice, "--limit", "500 cfm"], 1);
    assert_eq!(answer["warnings"][0]["code"], "repeats-disagree");
    let above = bungalow_with(
        "above.yaml",
        "  - {id: out, to outside: 330 cfm at 25 Pa ± 3 %}\n",
    );
    let answer = json(&[&above, "--limit", "500 cfm"], 1);
    assert_eq!(answer["warnings"][0]["code"], "outside-above-total");
    assert_eq!(answer["status"], "doubtful");
}

#[test]
fn wrong_words_are_refused_with_what_to_write() {
    refused(
        &[BUNGALOW, "--limit", "6 %"],
        "a percent of what",
        "6 % of airflow",
    );
    refused(
        &[BUNGALOW, "--limit", "energy-code-2021-finall"],
        "no built-in limit",
        "energy-code-2021-final",
    );
    refused(&[BUNGALOW, "--limit", "60"], "no unit", "--list");
    refused(
        &[BUNGALOW, "--exponent", "-0.6"],
        "from 0.45 to 1",
        "0.6 is usual",
    );
    refused(
        &[BUNGALOW, "--exponent", "1.2"],
        "from 0.45 to 1",
        "laminar",
    );
    refused(&[BUNGALOW, "--exponent", "nan"], "from 0.45 to 1", "0.6");
    refused(
        &[BUNGALOW, "--stage", "finished"],
        "no stage",
        "rough-in-no-handler",
    );
    refused(&["no-such.yaml"], "cannot be read", "");
    refused(&[], "SKETCH", "");
    refused(&["--list", "--all"], "cannot be used with", "");
    let text = "limits: [{id: a, total: 6 %, source: town}]\n";
    refused(
        &[&bungalow_with("percent.yaml", text)],
        "a percent of what",
        "6 % of airflow",
    );
}

#[test]
fn the_list_needs_no_sketch_and_gives_every_source() {
    let (text, _) = ends(&["limits", "--list"], 0);
    fits(&text);
    for said in [
        "energy-code-2024-final",
        "from memory",
        "read second-hand",
        "ATC 1",
        "mechanical-code-surface",
    ] {
        assert!(text.contains(said), "{said}");
    }
    let list = json(&["--list"], 0);
    assert_eq!(list["format"], "ductseam/limit-list/1");
    for row in list["limits"].as_array().expect("a list") {
        assert!(!row["source"].as_str().expect("a source").is_empty());
        assert!(text.contains(row["id"].as_str().expect("an id")));
    }
    let (table, _) = ends(&["limits", "--list", "--format", "csv"], 0);
    let rows = csv::Reader::from_reader(table.as_bytes())
        .into_records()
        .count();
    let count = |key: &str| list[key].as_array().expect("a list").len();
    assert_eq!(rows, count("limits") + count("classes"));
}

#[test]
fn the_record_holds_what_the_sketch_says() {
    let (text, _) = ends(&["limits", FULL, "--record"], 1);
    fits(&text);
    for said in [
        "calm and dry",
        "2026-11-02",
        "98.0 kPa, barometer",
        "-0.1 Pa",
        "2.6 %",
    ] {
        assert!(text.contains(said), "{said} in {text}");
    }
    let record = json(&[FULL, "--record"], 1);
    assert_eq!(record["format"], "ductseam/record/1");
    assert_eq!(record["stage"], "final");
    assert!((record["duct_air_k"].as_f64().expect("K") - 293.15).abs() < 1e-9);
    assert!(record["limits"].as_array().expect("a list").len() >= 5);
    let bare = json(&[BUNGALOW, "--record", "--limit", "300 cfm"], 0);
    assert!(bare["stage"].is_null() && bare["tester"].is_null());
}

#[test]
fn a_drifting_baseline_is_doubtful() {
    let windy = bungalow_with(
        "windy.yaml",
        "record: {baseline before: 6 Pa, baseline after: -2 Pa}\n",
    );
    let answer = json(&[&windy, "--limit", "500 cfm"], 1);
    let codes: Vec<&str> = answer["warnings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|warning| warning["code"].as_str().expect("a code"))
        .collect();
    assert!(
        codes.contains(&"baseline-large") && codes.contains(&"baseline-drift"),
        "{codes:?}"
    );
}

#[test]
fn units_of_the_answer_change_figures_not_verdicts() {
    let ask = [
        TWO_STOREY,
        "--stage",
        "final",
        "--limit",
        "4 cfm per 100 ft2",
    ];
    let ip = json(&[&ask[..], &["--units", "ip"]].concat(), 0);
    let si = json(&[&ask[..], &["--units", "si"]].concat(), 0);
    assert_eq!(ip, si);
    let (text, _) = ends(&[&["limits"], &ask[..], &["--units", "si"]].concat(), 0);
    fits(&text);
    assert!(text.contains("L/s") && text.contains("cm2"));
}
