//! What `ductseam limits` says of readings that nobody described, that cannot be, or that give no figure worth having.

#[path = "common/program.rs"]
mod black_box;

use std::path::Path;

use black_box::{run, stderr, stdout};
use serde_json::Value;

const BUNGALOW: &str = "models/bungalow.yaml";

/// Answer and talk of a run that must end so.
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

/// The answer with every line end a blank.
fn words(arguments: &[&str], code: i32) -> String {
    let (text, _) = ends(arguments, code);
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn json(arguments: &[&str], code: i32) -> Value {
    let (text, _) = ends(&[arguments, &["--format", "json"]].concat(), code);
    serde_json::from_str(&text).expect("JSON")
}

fn codes(answer: &Value) -> Vec<&str> {
    let warnings = answer["warnings"].as_array().expect("a list");
    warnings
        .iter()
        .map(|one| one["code"].as_str().expect("a code"))
        .collect()
}

fn scratch(name: &str, text: &str) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("limits-record");
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    let file = folder.join(name);
    std::fs::write(&file, text).expect("written");
    file.display().to_string()
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

#[test]
fn the_record_tells_apart_what_was_stated_and_what_was_taken() {
    let said = bungalow(
        "said.yaml",
        &["id: a, total: 60 cfm at 25 Pa, date: 2026-11-03"],
        "",
    );
    let text = words(&[&said, "--record"], 0);
    for part in [
        "60.0 cfm, total, 25 Pa, tap not stated (taken as supply plenum), fan not stated (taken as hall return/return box), \
         masking not stated (taken as flange), read on 2026-11-03",
        "flow not stated (taken as 3.0 %",
        "pressure not stated (taken as 1.0 %",
        "whether the meter corrects is not stated",
        // 3 % of 60 cfm is 1.8 cfm: the floor of 0.5 L/s, 1.06 cfm, is more than half of it.
        "the error of `a` holds 1.1 cfm",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    let stated = bungalow(
        "stated.yaml",
        &["id: a, total: 600 cfm at 25 Pa, tap: supply plenum, fan: blower panel, mask: face"],
        "",
    );
    let text = words(&[&stated, "--record"], 1);
    assert!(
        text.contains("600 cfm, total, 25 Pa at the supply plenum, fan at the blower panel, masked on the grille faces"),
        "{text}"
    );
    assert!(
        !text.contains("what a gauge can still tell apart"),
        "{text}"
    );
}

#[test]
fn the_record_holds_the_series_its_line_and_what_it_replaces() {
    let sketch = bungalow("replaced.yaml", &["id: a, total: 200 cfm at 25 Pa"], "");
    // 20 P^0.6 with the middle point off by 1 %.
    let series = scratch(
        "line.csv",
        "pressure (Pa),flow (cfm)\n10,79.62\n20,120.68\n30,155.45\n40,182.93\n50,209.13\n",
    );
    let ask = [sketch.as_str(), "--series", &series, "--record"];
    let record = json(&ask, 0);
    assert_eq!(record["readings"][0]["is_replaced"], true);
    let result = &record["results"][0];
    assert_eq!(result["series"].as_array().expect("a list").len(), 5);
    assert_eq!(result["series"][2]["pressure_pa"], 30.0);
    let n = result["fit"]["exponent"].as_f64().expect("n");
    // 0.600894 by numpy.polyfit of the logarithms.
    assert!((n - 0.600_894).abs() < 1e-5, "{n}");
    let text = words(&ask, 0);
    for part in [
        "replaced by the series",
        "155 cfm at 30 Pa",
        "5 points, C",
        "r2 0.999",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
}

#[test]
fn doubts_and_stops_are_in_every_form_of_the_record() {
    let windy = bungalow(
        "windy.yaml",
        &["id: a, total: 60 cfm at 25 Pa"],
        "record: {baseline before: 0 Pa, baseline after: 3 Pa}\n",
    );
    let text = std::fs::read_to_string(&windy).expect("written");
    let (house, rest) = text.split_once("suspect tape:").expect("its tape");
    let (_, rest) = rest.split_once('\n').expect("more lines");
    let windy = scratch(
        "tape.yaml",
        &format!("{house}suspect tape: suspected\n{rest}"),
    );
    let text = words(&[&windy, "--record"], 1);
    assert!(text.contains("STOP: Tape or wrap"), "{text}");
    assert!(text.contains("the baseline moved by 3.0 Pa"), "{text}");
    let record = json(&[&windy, "--record"], 1);
    assert_eq!(record["status"], "doubtful");
    assert!(
        record["reasons"][0]
            .as_str()
            .expect("why")
            .contains("3.0 Pa")
    );
    assert_eq!(record["cautions"][0]["stop"], true);
    let (table, _) = ends(&[&windy, "--record", "--format", "csv"], 1);
    assert!(
        table.contains("\nSTOP,") && table.contains("\ndoubtful,"),
        "{table}"
    );
    let calm = bungalow("calm.yaml", &["id: a, total: 60 cfm at 25 Pa"], "");
    assert_eq!(json(&[&calm, "--record"], 0)["status"], "answered");
}

#[test]
fn readings_that_cannot_be_are_doubtful() {
    for (name, readings, code) in [
        (
            "past.yaml",
            &[
                "id: a, total: 60 cfm at 25 Pa",
                "id: b, supply: 50 cfm at 25 Pa",
                "id: c, return: 40 cfm at 25 Pa",
            ][..],
            "barrier-leaks",
        ),
        (
            "side.yaml",
            &[
                "id: a, total: 60 cfm at 25 Pa",
                "id: b, supply: 70 cfm at 25 Pa",
            ][..],
            "side-above-total",
        ),
        (
            "much.yaml",
            &["id: a, total: 460 cfm at 25 Pa"][..],
            "leakage-large",
        ),
        (
            "all.yaml",
            &["id: a, total: 1100 cfm at 25 Pa"][..],
            "leakage-above-airflow",
        ),
    ] {
        let sketch = bungalow(name, readings, "");
        let answer = json(&[&sketch, "--limit", "60 cfm"], 1);
        // The reading of the sketch may have words of its own beside it.
        assert!(codes(&answer).contains(&code), "{name}: {answer}");
        assert_eq!(answer["status"], "doubtful");
    }
    // Within errors, and with little past the barrier, nothing is said.
    for (name, readings) in [
        (
            "even.yaml",
            &[
                "id: a, total: 60 cfm at 25 Pa",
                "id: b, supply: 62 cfm at 25 Pa",
            ][..],
        ),
        (
            "tight.yaml",
            &[
                "id: a, total: 100 cfm at 25 Pa",
                "id: b, supply: 60 cfm at 25 Pa",
                "id: c, return: 50 cfm at 25 Pa",
            ][..],
        ),
        ("some.yaml", &["id: a, total: 390 cfm at 25 Pa"][..]),
    ] {
        let answer = json(&[&bungalow(name, readings, ""), "--limit", "60 cfm"], 0);
        assert_eq!(answer["status"], "answered");
        assert_eq!(
            answer["reasons"].as_array().map(Vec::len),
            Some(0),
            "{name}"
        );
    }
    // A series of a side too.
    let sketch = bungalow("series-side.yaml", &["id: a, total: 60 cfm at 25 Pa"], "");
    let series = scratch(
        "side.csv",
        "pressure (Pa),flow (cfm)\n10,79.62\n20,120.68\n30,153.92\n40,182.93\n50,209.13\n",
    );
    let ask = [
        sketch.as_str(),
        "--series",
        &series,
        "--series-of",
        "supply",
        "--limit",
        "60 cfm",
    ];
    assert_eq!(codes(&json(&ask, 1)), ["side-above-total"]);
}

#[test]
fn a_stage_that_is_asked_for_holds_for_rough_in_readings_and_the_clash_is_told() {
    let sketch = bungalow("rough.yaml", &["id: a, rough-in: 60 cfm at 25 Pa"], "");
    let bare = json(&[&sketch, "--limit", "60 cfm"], 0);
    assert_eq!(bare["measured"][0]["stage"], "rough-in without handler");
    let asked = json(&[&sketch, "--limit", "60 cfm", "--stage", "rough-in"], 1);
    assert_eq!(asked["measured"][0]["stage"], "rough-in");
    assert_eq!(codes(&asked), ["stage-clash"]);
    let same = json(
        &[
            &sketch,
            "--limit",
            "60 cfm",
            "--stage",
            "rough-in-no-handler",
        ],
        0,
    );
    assert!(codes(&same).is_empty());
}

#[test]
fn figures_that_mean_nothing_are_not_shown_as_figures() {
    let sketch = bungalow(
        "twice.yaml",
        &[
            "id: a, total: 60 cfm at 25 Pa",
            "id: b, total: 90 cfm at 25 Pa",
        ],
        "",
    );
    let text = words(&[&sketch, "--limit", "60 cfm"], 1);
    assert!(
        text.contains("± not known (95 % band wider than the flow itself)"),
        "{text}"
    );
    // A line without any scatter: 40 P^0.5.
    let exact = scratch(
        "exact.csv",
        "pressure (Pa),flow (cfm)\n4,80\n16,160\n25,200\n36,240\n64,320\n",
    );
    let text = words(&[&sketch, "--series", &exact, "--limit", "300 cfm"], 0);
    assert!(
        text.contains("n 0.500 ± less than 0.001") && text.contains("nothing left over"),
        "{text}"
    );
    // Three points close together give no C.
    let wild = scratch(
        "wild.csv",
        "pressure (Pa),flow (cfm)\n20,100\n24,125\n26,113\n",
    );
    let text = words(&[&sketch, "--series", &wild, "--limit", "300 cfm"], 1);
    assert!(
        text.contains("95 % band wider than a factor of two: not known"),
        "{text}"
    );
}

#[test]
fn bounds_and_what_lies_beyond_them_are_told_apart() {
    let sketch = bungalow("bounds.yaml", &["id: a, total: 60 cfm at 25 Pa"], "");
    let head = "pressure (Pa),flow (cfm)\n";
    let low = scratch(
        "low.csv",
        &format!("{head}10,100\n20,136.6\n40,186.5\n60,223.8\n"),
    );
    let (_, talk) = ends(&[&sketch, "--series", &low], 2);
    assert!(talk.contains("0.4496 lies below 0.45"), "{talk}");
    let two = scratch("two.csv", &format!("{head}10,40\n50,200\n"));
    let answer = json(&[&sketch, "--series", &two, "--limit", "60 cfm"], 1);
    assert_eq!(codes(&answer), ["exponent-unusual"]);
    let high = scratch("high.csv", &format!("{head}10,100\n1000000,206\n"));
    let (_, talk) = ends(&[&sketch, "--series", &high], 2);
    assert!(talk.contains("at most 5000 Pa"), "{talk}");
}

#[test]
fn what_to_write_instead_is_said() {
    let side = bungalow("one-side.yaml", &["id: a, supply: 60 cfm at 25 Pa"], "");
    let text = words(&[&side, "--all", "--stage", "final"], 1);
    assert!(
        text.contains("no built-in limit is for one side")
            && !text.contains("use `--limit` or `--all`"),
        "{text}"
    );
    // That is so.
    let list = json(&["--list"], 0);
    for limit in list["limits"].as_array().expect("a list") {
        assert!(["total", "to outside"].contains(&limit["scope"].as_str().expect("a scope")));
    }
    let (_, talk) = ends(&[&side, "--limit", "atc-5"], 2);
    assert!(talk.contains("write `class 19.2`"), "{talk}");
    // Every id of the list can be copied.
    let (text, _) = ends(&["--list"], 0);
    for kind in ["limits", "classes"] {
        for row in list[kind].as_array().expect("a list") {
            let id = row["id"].as_str().expect("an id");
            assert!(text.split_whitespace().any(|word| word == id), "{id}");
        }
    }
    let (_, talk) = ends(&["--series", "any.csv", "--limit", "60 cfm"], 2);
    let lines: Vec<&str> = talk
        .lines()
        .filter_map(|line| line.strip_prefix("  "))
        .collect();
    // What the hint gives is a sketch.
    let small = scratch("small.yaml", &(lines.join("\n") + "\n"));
    let series = scratch(
        "based.csv",
        "pressure (Pa),flow (cfm),baseline (Pa)\n10,40,\n20,61,\n40,92,\n50,105,\n60,117,\n",
    );
    let (_, talk) = ends(&[&small, "--series", &series, "--limit", "100 cfm"], 0);
    assert!(
        talk.contains("`baseline (Pa)` is empty: nothing was taken off"),
        "{talk}"
    );
    let own = json(&[&small, "--series", &series, "--limit", "100 cfm"], 0);
    assert_eq!(own["limits"][0]["limit"]["sure"], "own");
}
