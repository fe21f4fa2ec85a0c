//! `ductseam flow` as a black box: every set-up on two models, mass that adds up, wrong words.

#[path = "common/program.rs"]
mod black_box;

use black_box::{run, stderr, stdout};
use serde_json::Value;

/// The models with a run that ends in a register.
const MODELS: [(&str, &str); 2] = [
    ("models/two-storey.yaml", "kitchen"),
    ("models/slab-attic.yaml", "hall return"),
];
const SET_UPS: [&str; 13] = [
    "running",
    "running-held",
    "total",
    "to-outside",
    "supply",
    "return",
    "guarded-supply",
    "guarded-return",
    "isolated",
    "rough-in",
    "pan",
    "house-fan-open",
    "house-fan-masked",
];

fn words(run: &str) -> Vec<String> {
    SET_UPS
        .iter()
        .map(|id| match *id {
            "isolated" | "pan" => format!("{id}:{run}"),
            _ => (*id).to_owned(),
        })
        .collect()
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn list<'a>(answer: &'a Value, key: &str) -> &'a [Value] {
    answer[key].as_array().expect("a list")
}

fn answer(model: &str, set_up: &str) -> Value {
    let output = run(&["flow", model, "--set-up", set_up, "--format", "json"]);
    let text = stdout(&output);
    assert!(
        matches!(output.status.code(), Some(0 | 1)),
        "{model} {set_up}: {}",
        stderr(&output)
    );
    let found: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(
        found["status"] == "converged",
        output.status.code() == Some(0),
        "{model} {set_up}"
    );
    found
}

fn close(a: f64, b: f64, scale: f64, what: &str) {
    assert!((a - b).abs() <= 1e-7 * scale, "{what}: {a} against {b}");
}

#[test]
fn every_set_up_settles_and_its_flows_add_up() {
    for (model, open_run) in MODELS {
        for word in words(open_run) {
            let what = format!("{model} {word}");
            let found = answer(model, &word);
            assert_eq!(found["format"], "ductseam/flow/1");
            assert_eq!(found["basis"], "prior means");
            assert_eq!(found["status"], "converged", "{what}: {}", found["reasons"]);
            let id = word.split(':').next().expect("a word");
            assert_eq!(found["set_up"]["id"], id);
            check_sums(&found, id, &what);
        }
    }
}

fn check_sums(found: &Value, id: &str, what: &str) {
    let of_side = |side: &str| -> f64 {
        list(found, "seams")
            .iter()
            .filter(|seam| seam["side"] == side)
            .map(|seam| number(&seam["flow_m3_s"]))
            .sum()
    };
    let (supply, back) = (of_side("supply"), of_side("return"));
    let scale = number(&found["totals"]["supply"]["out_m3_s"])
        + number(&found["totals"]["supply"]["in_m3_s"])
        + number(&found["totals"]["return"]["out_m3_s"])
        + number(&found["totals"]["return"]["in_m3_s"]);
    assert!(scale > 0.0, "{what}");
    for (side, sum) in [("supply", supply), ("return", back)] {
        let total = number(&found["totals"][side]["net_m3_s"]);
        close(sum, total, scale, what);
        let places: f64 = list(found, "places")
            .iter()
            .map(|place| number(&place[side]["net_m3_s"]))
            .sum();
        close(sum, places, scale, what);
    }
    let into_rooms = |side: &str| -> f64 {
        list(found, "openings")
            .iter()
            .filter(|opening| opening["side"] == side)
            .map(|opening| number(&opening["into_room_m3_s"]))
            .sum()
    };
    let reading = number(&found["reading"]["value"]);
    match id {
        "running" | "running-held" => {
            let blower = number(&found["blower"]["flow_m3_s"]);
            close(blower, into_rooms("supply") + supply, blower, what);
            close(blower, -into_rooms("return") - back, blower, what);
            let supplied: f64 = list(found, "rooms")
                .iter()
                .map(|room| number(&room["supplied_m3_s"]))
                .sum();
            close(supplied, into_rooms("supply"), blower, what);
        }
        "house-fan-open" | "house-fan-masked" => assert!(reading > 0.0, "{what}"),
        "pan" => {
            assert_eq!(found["reading"]["unit"], "Pa");
            // Between the room and outdoors, 50 Pa apart.
            assert!((-1e-9..=50.0).contains(&reading), "{what}: {reading}");
            close(
                into_rooms("supply") + into_rooms("return"),
                -supply - back,
                1.0,
                what,
            );
        }
        _ => {
            let masks = number(&found["reading"]["mask_leak_m3_s"]);
            close(supply + back + masks, reading, reading, what);
            assert_eq!(found["blower"], Value::Null);
        }
    }
}

#[test]
fn an_airflow_without_own_points_is_met_and_own_points_are_taken_as_they_are() {
    let scaled = answer("models/bungalow.yaml", "running");
    assert_eq!(scaled["blower"]["airflow"], "as-measured");
    let (flow, stated) = (
        &scaled["blower"]["flow_m3_s"],
        &scaled["blower"]["stated_m3_s"],
    );
    // 1000 cfm, 0.3048³/60 m³/s each.
    close(
        number(stated),
        1000.0 * 0.3048_f64.powi(3) / 60.0,
        1.0,
        "stated",
    );
    close(number(flow), number(stated), 1.0, "met");

    let output = run(&[
        "flow",
        "models/bungalow.yaml",
        "--airflow",
        "as-curve",
        "--format",
        "json",
    ]);
    let as_curve: Value = serde_json::from_str(&stdout(&output)).expect("JSON");
    assert_eq!(as_curve["blower"]["factor"], 1.0);
    let own = answer("models/two-storey.yaml", "running");
    assert_eq!(own["blower"]["points"], "own");
    assert_eq!(own["blower"]["airflow"], "as-curve");
}

#[test]
fn the_starter_sketch_runs_without_doubt() {
    let folder = env!("CARGO_TARGET_TMPDIR");
    let file = format!("{folder}/flow_starter.yaml");
    let sketch = run(&["new"]);
    std::fs::write(&file, &sketch.stdout).expect("the folder for tests can be written");
    for set_up in ["running", "total"] {
        let answered = run(&["flow", &file, "--set-up", set_up]);
        assert_eq!(answered.status.code(), Some(0), "{}", stdout(&answered));
    }
}

#[test]
fn pulling_down_turns_every_leak_round() {
    let set_up = [
        "flow",
        "models/bungalow.yaml",
        "--set-up",
        "total",
        "--format",
        "json",
    ];
    let blown: Value = serde_json::from_str(&stdout(&run(&set_up))).expect("JSON");
    let pulled = run(&[&set_up[..], &["--pull", "--pressure", "10 Pa"]].concat());
    let pulled: Value = serde_json::from_str(&stdout(&pulled)).expect("JSON");
    assert_eq!(pulled["set_up"]["pressurise"], false);
    assert_eq!(pulled["set_up"]["pressure_pa"], 10.0);
    assert_eq!(number(&pulled["totals"]["supply"]["out_m3_s"]), 0.0);
    assert_eq!(number(&blown["totals"]["supply"]["in_m3_s"]), 0.0);
    // Power laws with exponents of 0.5 to 1 over a factor of 2.5 in pressure.
    let ratio = number(&blown["reading"]["value"]) / number(&pulled["reading"]["value"]).abs();
    assert!((2.5_f64.powf(0.49)..2.5).contains(&ratio), "{ratio}");
}

#[test]
fn a_reading_taken_in_the_very_set_up_stands_beside_the_solve() {
    let found = answer("models/bungalow.yaml", "reading:pre-test");
    let measured = &list(&found, "measured")[0];
    assert_eq!(measured["id"], "pre-test");
    // 268 cfm.
    close(
        number(&measured["flow_m3_s"]),
        268.0 * 0.3048_f64.powi(3) / 60.0,
        1.0,
        "cfm",
    );
    let text = stdout(&run(&[
        "flow",
        "models/bungalow.yaml",
        "--set-up",
        "reading:pre-test",
    ]));
    assert!(
        text.contains("`pre-test`: 268 cfm in this very set-up"),
        "{text}"
    );
}

#[test]
fn seams_outside_the_part_under_test_fill_no_rows() {
    let text = stdout(&run(&[
        "flow",
        "models/loose-takeoff.yaml",
        "--set-up",
        "isolated:den",
    ]));
    let (_, table) = text
        .split_once("Seams with the largest flow")
        .expect("a table");
    let (table, _) = table
        .split_once("no part in this set-up")
        .expect("the others");
    assert!(
        table.contains("den/tab collar") && !table.contains("unit/"),
        "{table}"
    );
}

#[test]
fn text_fits_a_hundred_columns_and_no_form_prints_what_is_no_number() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    let mut models: Vec<_> = std::fs::read_dir(folder)
        .expect("models are there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "yaml"))
        .map(|path| path.display().to_string())
        .collect();
    models.sort();
    assert_eq!(models.len(), 7);
    for model in &models {
        for extra in [
            &["--set-up", "running", "--pieces", "--rows", "0"][..],
            &["--set-up", "total", "--units", "si"],
            &["--set-up", "house-fan-open", "--units", "ip"],
        ] {
            let output = run(&[&["flow", model.as_str()][..], extra].concat());
            assert_eq!(
                output.status.code(),
                Some(0),
                "{model}: {}",
                stderr(&output)
            );
            let text = stdout(&output);
            assert!(text.contains("Before any reading"), "{text}");
            for line in text.lines() {
                assert!(line.chars().count() <= 100, "{model}: {line}");
                assert_eq!(line, line.trim_end());
            }
            let mut words = text.split_whitespace();
            assert!(words.all(|word| word != "NaN" && word != "n/a"), "{text}");
        }
    }
}

#[test]
fn the_same_question_gives_the_same_bytes_and_csv_has_one_row_a_seam() {
    let ask = |format: &str| {
        let output = run(&["flow", "models/shop.yaml", "--format", format]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        stdout(&output)
    };
    for format in ["text", "json", "csv"] {
        assert_eq!(ask(format), ask(format), "{format}");
    }
    let json: Value = serde_json::from_str(&ask("json")).expect("JSON");
    let text = ask("csv");
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let column = table
        .headers()
        .expect("a header")
        .iter()
        .position(|name| name == "flow_m3_s")
        .expect("flows");
    let flows: Vec<f64> = table
        .records()
        .map(|row| row.expect("a row")[column].parse().expect("a number"))
        .collect();
    assert_eq!(flows.len(), list(&json, "seams").len());
    assert!(flows.windows(2).all(|pair| pair[0].abs() >= pair[1].abs()));
}

#[test]
fn a_blower_outside_its_points_is_answered_with_doubt() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("flow-doubt");
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    let file = folder.join("strong.yaml");
    let model = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("models/two-storey.yaml"),
    )
    .expect("the model");
    let (before, rest) = model.split_once("  blower:").expect("a blower");
    let (_, after) = rest.split_once('\n').expect("a line");
    let strong =
        "  blower: {points: [4200 cfm at 0.02 inwc, 4000 cfm at 0.05 inwc, 3900 cfm at 0.1 inwc]}";
    std::fs::write(&file, format!("{before}{strong}\n{after}")).expect("written");
    let output = run(&["flow", &file.display().to_string()]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    assert!(
        stderr(&output).contains("above the points"),
        "{}",
        stderr(&output)
    );
    assert!(stdout(&output).contains("Doubtful"), "{}", stdout(&output));
}

#[test]
fn wrong_words_are_refused_with_the_nearest_and_the_list() {
    let model = "models/bungalow.yaml";
    let cases: [(&[&str], &str); 10] = [
        (&["--set-up", "totl"], "did you mean `total`?"),
        (&["--set-up", "attic"], "house-fan-masked, running"),
        (&["--set-up", "pan"], "as in `pan:"),
        (&["--set-up", "pan:kitchn"], "did you mean `kitchen`?"),
        (
            &["--set-up", "isolated:east trunk"],
            "no register or grille",
        ),
        (&["--set-up", "total", "--pressure", "25"], "no unit"),
        (&["--set-up", "total", "--pressure", "900 kPa"], "5000 Pa"),
        (&["--pressure", "25 Pa"], "the blower makes the pressure"),
        (
            &["--set-up", "total", "--supply-air", "130 F"],
            "nothing is heated",
        ),
        (&["--supply-air", "900 F"], "°C"),
    ];
    for (arguments, said) in cases {
        let output = run(&[&["flow", model][..], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stdout(&output).is_empty());
        assert!(
            stderr(&output).contains(said),
            "{arguments:?}: {}",
            stderr(&output)
        );
    }
    let output = run(&[
        "flow",
        "models/two-storey.yaml",
        "--set-up",
        "total",
        "--airflow",
        "as-curve",
    ]);
    assert_eq!(output.status.code(), Some(2));
}
