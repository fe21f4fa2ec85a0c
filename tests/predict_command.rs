//! `ductseam predict`, as a black box.

#[path = "common/program.rs"]
mod black_box;

use black_box::{program, run, stderr, stdout};
use serde_json::Value;

const SLAB: &str = "models/slab-attic.yaml";

fn answered(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{arguments:?}: {}",
        stderr(&output)
    );
    stdout(&output)
}

fn json(arguments: &[&str]) -> Value {
    let text = answered(&[arguments, &["--format", "json"]].concat());
    serde_json::from_str(&text).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("a number, found {value}"))
}

#[test]
fn every_model_is_predicted_on_lines_that_fit() {
    for entry in std::fs::read_dir("models").expect("the models") {
        let path = entry.expect("a file").path();
        if path.extension().is_none_or(|e| e != "yaml") {
            continue;
        }
        let path = path.to_string_lossy().into_owned();
        {
            // A choice of units does not change what is computed: every second model in either.
            let units = ["ip", "si"][path.len() % 2];
            let text = answered(&["predict", &path, "--draws", "500", "--units", units]);
            for line in text.lines() {
                assert!(line.chars().count() <= 100, "{path}: {line}");
                assert!(
                    !line.contains("NaN") && !line.contains("inf "),
                    "{path}: {line}"
                );
            }
            for heading in [
                "Before any test",
                "What would change it most",
                "While running",
                "Made of",
            ] {
                assert!(text.contains(heading), "{path}: {heading}");
            }
            assert!(!text.contains("complies"), "{path}");
        }
    }
}

#[test]
fn the_answer_says_the_same_in_every_form() {
    let found = json(&["predict", SLAB]);
    assert_eq!(found["format"], "ductseam/prediction/1");
    let (supply, back) = (&found["supply_m3_s"]["mean"], &found["return_m3_s"]["mean"]);
    let total = number(&found["total_m3_s"]["mean"]);
    assert!(((number(supply) + number(back)) / total - 1.0).abs() < 1e-9);
    let by_type = found["by_joint_type"].as_array().expect("a list");
    let sum: f64 = by_type
        .iter()
        .map(|g| number(&g["test_m3_s"]["mean"]))
        .sum();
    assert!((sum / total - 1.0).abs() < 1e-6);
    let limits = found["limits"].as_array().expect("a list");
    assert_eq!(limits.len(), 2);
    // 4 cfm per 100 ft2 of 1750 ft2 are 70 cfm: 0.033036 m3/s
    assert!((number(&limits[0]["allowed_m3_s"]) - 0.033_036_3).abs() < 1e-6);
    assert_eq!(limits[1]["scope"], "to outside");
    let variants = found["variants"].as_array().expect("a list");
    assert_eq!(variants.len(), 5);
    let indoors = variants
        .iter()
        .find(|v| v["id"] == "ducts indoors")
        .expect("it is there");
    assert!(number(&indoors["after"]["to_outside_m3_s"]["mean"]) < 1e-6);

    let text = answered(&["predict", SLAB]);
    // 1 cfm is 4.719474432e-4 m3/s
    let shown = format!("Total at 25 Pa  {:.0} cfm", total / 4.719_474_432e-4);
    assert!(text.contains(&shown), "{shown}\n{text}");
    let rows = answered(&["predict", SLAB, "--format", "csv"]);
    let mut table = csv::Reader::from_reader(rows.as_bytes());
    let first = table.records().next().expect("a row").expect("CSV");
    assert_eq!(&first[1], "as sketched");
    assert!((first[2].parse::<f64>().expect("a number") / total - 1.0).abs() < 1e-12);
}

#[test]
fn the_same_bytes_on_one_thread_and_two() {
    let with = |threads: &str| {
        let output = program()
            .args([
                "predict", SLAB, "--format", "json", "--draws", "700", "--seed", "9",
            ])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .expect("it starts");
        stdout(&output)
    };
    let (one, two) = (with("1"), with("2"));
    assert!(one.len() > 1000);
    assert_eq!(one, two);
}

#[test]
fn readings_of_the_sketch_do_not_matter_and_beliefs_do() {
    let total = |more: &[&str]| {
        let found = json(&[&["predict", SLAB, "--draws", "600"], more].concat());
        number(&found["total_m3_s"]["mean"])
    };
    let plain = total(&[]);
    // A set-up that may be wrong is a matter of readings.
    assert_eq!(plain, total(&["--wrong-set-up-chance", "30 %"]));
    assert!(total(&["--gross-factor", "0"]) < plain);
}

#[test]
fn everything_is_listed_when_asked_for() {
    let text = answered(&["predict", SLAB, "--materials", "--rows", "0"]);
    for part in [
        "fibrous-glass duct board",
        "tab collar",
        "flex",
        "insulation",
        "Flex core on a collar",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
}

#[test]
fn wrong_input_is_refused() {
    for (arguments, said) in [
        (vec!["predict", "no-such.yaml"], "no-such.yaml"),
        (vec!["predict", SLAB, "--draws", "10"], "--draws"),
        (vec!["predict", SLAB, "-o", SLAB], "would be written over"),
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let talk = stderr(&output);
        assert!(talk.contains(said), "{talk}");
    }
}
