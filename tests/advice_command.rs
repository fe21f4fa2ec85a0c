//! `ductseam next`, `ductseam compare` and what is believed beforehand, as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::path::Path;

use black_box::{run, stderr, stdout};
use serde_json::Value;

const MODEL: &str = "models/classroom-rig.yaml";

fn answered(arguments: &[&str]) -> String {
    let output = run(arguments);
    // 1 is an answer too, a doubtful one.
    assert_ne!(output.status.code(), Some(2), "{}", stderr(&output));
    stdout(&output)
}

fn json(arguments: &[&str]) -> Value {
    let text = answered(&[arguments, &["--format", "json"]].concat());
    serde_json::from_str(&text).expect("JSON")
}

fn fits(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line, line.trim_end());
    }
}

#[test]
fn next_gives_ranked_candidates_in_all_three_forms() {
    let text = answered(&["next", MODEL, "--draws", "500"]);
    fits(&text);
    assert!(
        text.contains("Do next:") || text.contains("Little is left to learn:"),
        "{text}"
    );
    let answer = json(&["next", MODEL, "--draws", "500"]);
    assert_eq!(answer["format"], "ductseam/next/1");
    let candidates = answer["candidates"].as_array().expect("a list");
    assert!(!candidates.is_empty());
    let hourly: Vec<f64> = candidates
        .iter()
        .map(|one| one["caught_gain_per_hour_m3_s"].as_f64().expect("a number"))
        .collect();
    assert!(
        hourly.windows(2).all(|pair| pair[0] >= pair[1]),
        "{hourly:?}"
    );
    let table = answered(&["next", MODEL, "--draws", "500", "--format", "csv"]);
    let rows = csv::Reader::from_reader(table.as_bytes())
        .into_records()
        .count();
    assert_eq!(rows, candidates.len());
}

#[test]
fn suspected_asbestos_ends_next_without_a_candidate_and_with_exit_1() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("asbestos");
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    let model = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(MODEL))
        .expect("the model");
    let file = folder.join("rig.yaml");
    let (before, after) = model
        .split_once("suspect tape: none seen")
        .expect("the answer");
    std::fs::write(&file, format!("{before}suspect tape: suspected{after}")).expect("written");
    let name = file.display().to_string();
    let output = run(&["next", &name, "--draws", "500"]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    assert!(stdout(&output).contains("STOP:"), "{}", stdout(&output));
    assert!(!stdout(&output).contains("Do next"), "{}", stdout(&output));
    assert!(stderr(&output).contains("stopped:"), "{}", stderr(&output));
    let answer = json(&["next", &name, "--draws", "500"]);
    assert_eq!(answer["candidates"].as_array().expect("a list").len(), 0);
    assert!(answer["stopped"].is_string());
}

#[test]
fn compare_sets_every_reading_against_the_model() {
    fits(&answered(&["compare", MODEL, "--draws", "500"]));
    let answer = json(&["compare", MODEL, "--draws", "500"]);
    assert_eq!(answer["format"], "ductseam/compare/1");
    let readings = answer["readings"].as_array().expect("a list");
    assert!(readings.len() > 1);
    for reading in readings {
        assert!(!reading["verdict"].as_str().expect("words").is_empty());
        // Leaving a reading out cannot make the model surer of it.
        let width = |key: &str| {
            let end = |at: &str| reading[key][at].as_f64().expect("a number");
            end("p95") - end("p05")
        };
        assert!(width("without") > 0.5 * width("modelled"), "{reading}");
    }
    let table = answered(&["compare", MODEL, "--draws", "500", "--format", "csv"]);
    let rows = csv::Reader::from_reader(table.as_bytes())
        .into_records()
        .count();
    assert_eq!(rows, readings.len());
}

#[test]
fn sensitivity_is_a_section_of_the_text_and_a_key_of_the_json() {
    let text = answered(&["allocate", MODEL, "--draws", "500", "--sensitivity"]);
    fits(&text);
    assert!(
        text.contains("How much hangs on what is believed beforehand"),
        "{text}"
    );
    let answer = json(&["allocate", MODEL, "--draws", "500", "--sensitivity"]);
    let changes = answer["sensitivity"]["changes"].as_array().expect("a list");
    assert!(!changes.is_empty());
    let tops = answer["sensitivity"]["top"]
        .as_array()
        .expect("a list")
        .len();
    for change in changes {
        assert_eq!(change["ranks"].as_array().expect("a list").len(), tops);
    }
}

#[test]
fn a_wider_workmanship_widens_the_total_before_any_reading() {
    let width = |spread: &str| {
        let answer = json(&[
            "allocate",
            // A house made on site; the drilled holes of the rig share no workmanship.
            "models/slab-attic.yaml",
            "--draws",
            "500",
            "--workmanship-spread",
            spread,
            // What is left to the seam itself must stay above nothing.
            "--habit-spread",
            "1.05",
            // What hangs open would drown it.
            "--gross-factor",
            "0",
        ]);
        let total = &answer["house"]["prior_total"];
        let end = |at: &str| total[at].as_f64().expect("a number");
        end("p95") / end("p05")
    };
    let (narrow, wide) = (width("1.05"), width("1.8"));
    assert!(wide > 1.3 * narrow, "{wide} against {narrow}");
}
