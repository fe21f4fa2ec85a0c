//! `ductseam plan`, `effects` and `prove`, as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::path::Path;

use black_box::{program, run, stderr, stdout};
use serde_json::Value;

const BUNGALOW: &str = "models/bungalow.yaml";
const LOOSE: &str = "models/loose-takeoff.yaml";
const SEALED: &str = "models/bungalow-sealed.yaml";

fn exit(arguments: &[&str], code: i32) -> String {
    let output = run(arguments);
    assert_eq!(
        output.status.code(),
        Some(code),
        "{arguments:?}: {}",
        stderr(&output)
    );
    if code == 2 {
        stderr(&output)
    } else {
        stdout(&output)
    }
}

fn json(arguments: &[&str], code: i32) -> Value {
    let text = exit(&[arguments, &["--format", "json"]].concat(), code);
    serde_json::from_str(&text).expect("JSON")
}

fn fits(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line, line.trim_end());
        assert!(!line.contains("NaN") && !line.contains("inf "), "{line}");
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn sketch_with(name: &str, change: impl Fn(&str) -> String) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("sealing");
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    let model = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW))
        .expect("the model");
    let file = folder.join(name);
    std::fs::write(&file, change(&model)).expect("written");
    file.display().to_string()
}

#[test]
fn a_plan_by_time_keeps_to_it_and_its_three_forms_agree() {
    let ask = ["plan", BUNGALOW, "--draws", "500", "--time", "3 h"];
    let text = exit(&ask, 0);
    fits(&text);
    assert!(text.contains("Seal:") && text.contains("What to do, in this order"));
    let plan = json(&ask, 0);
    assert_eq!(plan["format"], "ductseam/plan/1");
    let steps = plan["steps"].as_array().expect("steps");
    let minutes: f64 = steps
        .iter()
        .map(|step| number(&step["minutes"]) + number(&step["set_up_minutes"]))
        .sum();
    assert!((minutes - number(&plan["minutes"])).abs() < 1e-9 && minutes <= 180.0 + 1e-9);
    // Cuts add up but for the pressure that rises at the others.
    let cuts: f64 = steps
        .iter()
        .map(|step| number(&step["test_cut_m3_s"]["mean"]))
        .sum();
    let cut = number(&plan["cut_m3_s"]["mean"]);
    assert!(cut <= cuts && cut > 0.93 * cuts, "{cut} of {cuts}");
    let left = number(&plan["before_m3_s"]["mean"]) - number(&plan["after_m3_s"]["mean"]);
    assert!((left - cut).abs() < 1e-9);
    let table = exit(&[&ask[..], &["--format", "csv"]].concat(), 0);
    let rows: Vec<csv::StringRecord> = csv::Reader::from_reader(table.as_bytes())
        .into_records()
        .map(|row| row.expect("a row"))
        .collect();
    assert_eq!(rows.len(), steps.len());
    for (row, step) in rows.iter().zip(steps) {
        assert_eq!(&row[1], step["seam"].as_str().expect("an id"));
    }
}

#[test]
fn more_time_never_buys_less_and_the_search_is_never_worse_than_the_best_rate_first() {
    let plan = json(&["plan", BUNGALOW, "--draws", "500", "--time", "3 h"], 0);
    let points = plan["frontier"].as_array().expect("points");
    assert!(points.len() >= 5);
    for pair in points.windows(2) {
        assert!(number(&pair[1]["cut_m3_s"]) >= 0.998 * number(&pair[0]["cut_m3_s"]));
    }
    for point in points {
        let other = number(&point["best_rate_first"]["cut_m3_s"]);
        assert!(number(&point["cut_m3_s"]) >= other * (1.0 - 1e-9));
        assert!(number(&point["used_minutes"]) <= number(&point["minutes"]) + 1e-6);
    }
}

#[test]
fn what_hangs_loose_comes_first_and_is_put_back() {
    let plan = json(&["plan", LOOSE, "--draws", "1500", "--time", "2 h"], 0);
    // Which joint of the den's run it is cannot be told; all that may be come before everything else.
    let steps = plan["steps"].as_array().expect("steps");
    let chances: Vec<f64> = steps.iter().map(|s| number(&s["open_chance"])).collect();
    let loose = chances.iter().filter(|chance| **chance >= 0.1).count();
    assert!(loose > 0 && chances[..loose].iter().all(|chance| *chance >= 0.1));
    assert!(chances[..loose].iter().sum::<f64>() > 0.9, "{chances:?}");
    for step in &steps[..loose] {
        assert_eq!(step["run"], "den");
    }
    let list = exit(
        &[
            "plan",
            LOOSE,
            "--draws",
            "1500",
            "--time",
            "2 h",
            "--work-list",
        ],
        0,
    );
    fits(&list);
    assert!(list.contains("[ ]   1  den/") && list.contains("put it back first"));
}

#[test]
fn where_something_burns_return_seams_come_before_supply_seams() {
    let plan = json(&["plan", BUNGALOW, "--draws", "500", "--time", "8 h"], 0);
    let in_basement: Vec<&str> = plan["steps"]
        .as_array()
        .expect("steps")
        .iter()
        .filter(|step| step["place"] == "basement" && number(&step["open_chance"]) < 0.5)
        .map(|step| step["side"].as_str().expect("a side"))
        .collect();
    let supply = in_basement.iter().position(|side| *side == "supply");
    let supply = supply.expect("both sides are worked on");
    assert!(supply > 0 && in_basement[supply..].iter().all(|side| *side == "supply"));
}

#[test]
fn a_target_is_met_with_the_chance_asked_for_or_called_out_of_reach() {
    let ask = ["plan", BUNGALOW, "--draws", "500", "--target", "200 cfm"];
    let plan = json(&ask, 0);
    let met = number(&plan["target_chance"]);
    assert!((0.9..0.95).contains(&met), "{met}");
    let surer = json(&[&ask[..], &["--chance", "98 %"]].concat(), 0);
    assert!(number(&surer["minutes"]) > number(&plan["minutes"]));
    for target in ["30 cfm", "3 % of airflow", "2 cfm per 100 ft2"] {
        let out = json(&["plan", BUNGALOW, "--draws", "500", "--target", target], 1);
        assert!((number(&out["asked"]["target_m3_s"]) / 0.014_158_4 - 1.0).abs() < 1e-4);
        let reach = &out["out_of_reach"];
        let short = number(&reach["best_m3_s"]) - number(&out["asked"]["target_m3_s"]);
        assert!((number(&reach["short_m3_s"]) - short).abs() < 1e-12 && short > 0.0);
    }
    let text = exit(
        &["plan", BUNGALOW, "--draws", "500", "--target", "30 cfm"],
        1,
    );
    assert!(text.contains("Out of reach:"), "{text}");
    // Nothing to do where the target is met.
    let done = json(
        &["plan", BUNGALOW, "--draws", "500", "--target", "400 cfm"],
        0,
    );
    assert_eq!(done["steps"].as_array().expect("a list").len(), 0);
}

#[test]
fn money_needs_prices_and_keeps_to_them() {
    let said = exit(&["plan", BUNGALOW, "--draws", "500", "--money", "400"], 2);
    assert!(said.contains("neither rates nor prices"), "{said}");
    let plan = json(&["plan", SEALED, "--draws", "500", "--money", "400"], 0);
    let money = number(&plan["money"]);
    assert!(money <= 400.0 + 1e-6 && money > 300.0, "{money}");
    // 95 an hour and 60 for the visit, mastic at 14 a litre.
    let material: f64 = plan["materials"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| one["money"].as_f64().unwrap_or(0.0))
        .sum();
    let sum = 60.0 + 95.0 * number(&plan["minutes"]) / 60.0 + material;
    assert!((sum - money).abs() < 1e-6, "{sum} against {money}");
}

#[test]
fn wrong_figures_are_refused_with_what_to_write() {
    for (option, value, words) in [
        ("--time", "-4 h", "needs a figure from 0"),
        ("--time", "4", "has no unit"),
        ("--time", "soon", "expected a time"),
        ("--money", "-4", "needs a figure from 0"),
        ("--target", "20 %", "a percent of what"),
        ("--target", "-20 cfm", "needs a flow from 0"),
        ("--target", "20 Pa", "pressure"),
        ("--chance", "20 %", "50 % to 99.9 %"),
        ("--draft-limit", "5", "has no unit"),
    ] {
        let said = exit(&["plan", BUNGALOW, option, value], 2);
        assert!(said.contains(words), "{option} {value}: {said}");
    }
    let said = exit(&["prove", BUNGALOW], 2);
    assert!(said.contains("lists no sealing"), "{said}");
}

#[test]
fn without_a_reading_the_plan_rests_on_the_catalogue_and_says_so() {
    let file = sketch_with("unread.yaml", |text| {
        let (ducts, _) = text.split_once("\nreadings:\n").expect("readings");
        format!("{ducts}\n")
    });
    let text = exit(&["plan", &file, "--draws", "500", "--time", "2 h"], 0);
    assert!(text.contains("Nothing was read:"), "{text}");
}

#[test]
fn suspected_asbestos_stops_the_plan_before_any_step() {
    let file = sketch_with("asbestos.yaml", |text| {
        text.replace("suspect tape: none seen", "suspect tape: suspected")
    });
    let text = exit(&["plan", &file, "--draws", "500"], 1);
    assert!(
        text.contains("STOP:") && text.contains("Do nothing:"),
        "{text}"
    );
    assert!(!text.contains("What to do"), "{text}");
    let plan = json(&["plan", &file, "--draws", "500"], 1);
    assert_eq!(plan["steps"].as_array().expect("a list").len(), 0);
    let list = exit(&["plan", &file, "--draws", "500", "--work-list"], 1);
    assert!(!list.contains("[ ]"), "{list}");
}

#[test]
fn a_plan_that_would_pull_on_a_flue_stops_for_a_draft_test() {
    // A tight house whose returns leak into it from outdoors: sealing them leaves it pulled down.
    let file = sketch_with("draft.yaml", |text| {
        text.replace(
            "house: {floor area: 1500 ft2, height: 8 ft, elevation: 820 ft}",
            "house: {floor area: 1500 ft2, height: 8 ft, elevation: 820 ft, envelope: 250 cfm at 50 Pa}",
        )
        .replace(
            "{like: buffer, zone reading: 46 of 50 Pa to outdoors}",
            "outside",
        )
        .replace("268 cfm", "600 cfm")
    });
    let ask = ["plan", &file, "--draws", "500", "--time", "6 h"];
    let plan = json(&[&ask[..], &["--draft-limit", "0.5 Pa"]].concat(), 1);
    let why = plan["halted"].as_str().expect("halted");
    assert!(why.contains("draft") && why.contains("qualified"), "{why}");
    let calm = json(&[&ask[..], &["--draft-limit", "50 Pa"]].concat(), 0);
    assert_eq!(calm["halted"], Value::Null);
}

#[test]
fn effects_follow_the_plan_and_prove_tells_what_was_achieved() {
    let text = exit(&["effects", SEALED, "--draws", "500", "--time", "4 h"], 0);
    fits(&text);
    assert!(text.contains("Air that reaches the rooms") && text.contains("USD"));
    let nothing = json(&["effects", SEALED, "--draws", "500", "--time", "0 h"], 1);
    assert_eq!(nothing["format"], "ductseam/effects/1");
    let text = exit(
        &["prove", SEALED, "--draws", "500", "--target", "150 cfm"],
        0,
    );
    fits(&text);
    assert!(text.contains("Achieved: 48 %"), "{text}");
    let proof = json(&["prove", SEALED, "--draws", "500"], 0);
    let pair = &proof["pairs"][0];
    assert_eq!(pair["before"], "pre-test");
    let cut = number(&pair["before_m3_s"]) - number(&pair["after_m3_s"]);
    assert!((number(&pair["cut_m3_s"]) - cut).abs() < 1e-12);
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_one_thread_and_on_two() {
    for command in [
        &["plan", LOOSE, "--draws", "500", "--target", "100 cfm"][..],
        &["effects", LOOSE, "--draws", "500", "--time", "3 h"][..],
        &["prove", SEALED, "--draws", "500"][..],
    ] {
        let on = |threads: &str| {
            let output = program()
                .current_dir(env!("CARGO_MANIFEST_DIR"))
                .env("RAYON_NUM_THREADS", threads)
                .args(command)
                .args(["--format", "json"])
                .output()
                .expect("the program starts");
            stdout(&output)
        };
        assert!(on("1") == on("2"), "{command:?}");
    }
}
