//! `ductseam joints`, and `ductseam exercise` making exercises, as a black box.

#[path = "common/program.rs"]
mod black_box;
#[path = "common/classroom.rs"]
mod classroom;

use std::fs;
use std::path::Path;

use black_box::{run, stderr};
use classroom::{BUNGALOW, Class, RIG, answered, exit, folder, number, one_screen, shown};
use serde_json::Value;

#[test]
fn joints_answers_in_three_forms_that_agree() {
    let ask = ["joints", BUNGALOW, RIG, "--draws", "500"];
    let text = exit(&ask, 0);
    one_screen(&text);
    let answer = exit(&[&ask[..], &["--format", "json"]].concat(), 0);
    let answer: Value = serde_json::from_str(&answer).expect("JSON");
    assert_eq!(answer["format"], "ductseam/joints/1");
    let types = answer["joint_types"].as_array().expect("a list");
    let shares: f64 = types.iter().map(|one| number(&one["test"]["share"])).sum();
    assert!((shares - 1.0).abs() < 1e-9, "{shares}");
    for (at, one) in types.iter().enumerate() {
        assert_eq!(one["test"]["rank"], at + 1);
    }
    let table = exit(&[&ask[..], &["--format", "csv"]].concat(), 0);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let first = rows.records().next().expect("a row").expect("a sound row");
    assert_eq!(first[0], *types[0]["joint_type"].as_str().expect("a name"));
    assert!(text.contains(&first[0]));
    // Every row of the catalogue has its source in each state.
    for row in answer["catalog"].as_array().expect("a list") {
        for state in row["states"].as_array().expect("a list") {
            assert!(!state["source"].as_str().expect("text").is_empty());
        }
    }
}

#[test]
fn joints_without_a_sketch_counts_the_classroom_rig_and_repeats_itself() {
    let built_in = exit(&["joints", "--draws", "500"], 0);
    one_screen(&built_in);
    assert_eq!(built_in, exit(&["joints", RIG, "--draws", "500"], 0));
    let other = exit(&["joints", "--draws", "500", "--seed", "2"], 0);
    assert_ne!(built_in, other);
    let first = built_in.lines().find(|line| line.trim().starts_with("1  "));
    assert!(
        first.expect("a first row").contains("test-hole"),
        "{built_in}"
    );
    let all = exit(&["joints", "--draws", "500", "--rows", "0"], 0);
    for joint in ["seam-spiral", "damper-shaft", "pan-edge"] {
        assert!(all.contains(joint), "{joint}");
    }
}

#[test]
fn running_ranks_by_what_leaks_while_the_unit_runs_and_readings_count_when_asked() {
    let json = |more: &[&str]| -> Value {
        let ask = [
            &["joints", BUNGALOW, "--draws", "500", "--format", "json"],
            more,
        ]
        .concat();
        serde_json::from_str(&answered(&ask)).expect("JSON")
    };
    let (test, running) = (json(&["--test"]), json(&["--running"]));
    assert_eq!(test["basis"], "test");
    assert_eq!(running["basis"], "running");
    let rank = |answer: &Value, id: &str, which: &str| {
        let types = answer["joint_types"].as_array().expect("a list");
        let found = types.iter().find(|one| one["joint_type"] == id);
        number(&found.expect("a type")[which]["rank"])
    };
    // The cabinet sits at the highest suction: its place rises when the unit runs.
    assert!(rank(&running, "cabinet", "running") < rank(&running, "cabinet", "test"));
    let with = json(&["--with-readings"]);
    let total = |answer: &Value| number(&answer["systems"][0]["test_m3_s"]["mean"]);
    let width = |answer: &Value| {
        let band = &answer["systems"][0]["test_m3_s"];
        (number(&band["p95"]) - number(&band["p05"])) / total(answer)
    };
    assert!(width(&with) < 0.2 * width(&test), "a total fixes the total");
    let both = run(&["joints", BUNGALOW, "--test", "--running"]);
    assert_eq!(both.status.code(), Some(2));
}

#[test]
fn the_same_seed_makes_the_same_files_byte_for_byte() {
    let a = Class::of("same-a", BUNGALOW, "11");
    let b = Class::of("same-b", BUNGALOW, "11");
    let c = Class::of("same-c", BUNGALOW, "12");
    let read = |path: &str| fs::read(path).expect("a file");
    assert_eq!(read(&a.sketch), read(&b.sketch));
    assert_eq!(read(&a.answers), read(&b.answers));
    assert_ne!(read(&a.answers), read(&c.answers));
    one_screen(&a.said);
    let said = a.said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("whoever has the seed can make the answers again"));
}

#[test]
fn what_the_class_gets_holds_nothing_of_the_truth() {
    let class = Class::of("secret", BUNGALOW, "4711");
    let sketch = fs::read_to_string(&class.sketch).expect("a sketch");
    let kept = class.kept();
    for text in [&sketch, &class.said] {
        // Neither the seed nor anything of the choice.
        assert!(!text.contains("4711"));
        assert!(!text.contains(kept["sketch"].as_str().expect("text")));
        assert!(!text.contains("hangs open") && !text.contains("all leakage"));
    }
    // Seams named outside the looks stand in the given sketch too: only readings and looks were added.
    let given = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW));
    let given = given.expect("the model");
    let runs = |text: &str| {
        let (from, to) = (text.find("\nruns:"), text.find("\nreadings:"));
        text[from.expect("runs")..to.expect("readings")].to_owned()
    };
    assert_eq!(runs(&given), runs(&sketch));
    // No figure of the truth is shown with all its digits.
    for seam in kept["seams"].as_array().expect("a list") {
        let figure = seam["q25_m3_s"].to_string();
        assert!(!sketch.contains(&figure) && !class.said.contains(&figure));
    }
    // Another command reads it.
    let checked = exit(&["check", &class.sketch], 0);
    assert!(checked.contains("Exercise: "));
}

#[test]
fn which_seams_are_looked_at_does_not_hang_on_what_is_true_of_them() {
    // Chance of the leakiest seam to be looked at: were looks led by the truth it would be near one.
    let hits = (1..=12)
        .filter(|seed: &u32| {
            let class = Class::of(&format!("looks-{seed}"), BUNGALOW, &seed.to_string());
            let sketch = fs::read_to_string(&class.sketch).expect("a sketch");
            sketch.contains(&format!("{{seam: \"{}\"", class.truly()[0]))
        })
        .count();
    assert!(hits <= 4, "{hits} of 12 where 12 of 188 are looked at");
}

#[test]
fn no_file_is_overwritten_and_no_half_an_exercise_is_left() {
    let folder = folder("files");
    let (sketch, answers) = (folder.join("c.yaml"), folder.join("c.json"));
    let make = |sketch: &Path, answers: &Path| {
        exit(
            &[
                "exercise",
                BUNGALOW,
                "--seed",
                "1",
                "-o",
                &shown(sketch),
                "--answers",
                &shown(answers),
            ],
            2,
        )
    };
    fs::write(&answers, "mine").expect("written");
    assert!(make(&sketch, &answers).contains("exists already"));
    assert!(!sketch.exists());
    assert_eq!(fs::read_to_string(&answers).expect("kept"), "mine");
    make(&sketch, &folder.join("nowhere").join("c.json"));
    assert!(!sketch.exists(), "the first file is taken back");
    assert!(make(&sketch, &sketch).contains("same file"));
    assert!(exit(&["exercise", BUNGALOW], 2).contains("two files"));
    // Without a seed of one's own anybody could make the answers again.
    let (to, kept) = (shown(&sketch), shown(&folder.join("d.json")));
    let ask = ["exercise", BUNGALOW, "-o", &to, "--answers", &kept];
    assert!(exit(&ask, 2).contains("`--seed` with a number that nobody guesses"));
    assert_eq!(fs::read_dir(&folder).expect("a folder").count(), 1);
}

#[test]
fn suspected_asbestos_makes_an_exercise_for_paper_only_and_no_plan_to_mark() {
    let folder = folder("asbestos");
    let given = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW));
    let changed = given
        .expect("the model")
        .replace("suspect tape: none seen", "suspect tape: suspected");
    let file = folder.join("house.yaml");
    fs::write(&file, changed).expect("written");
    let (sketch, answers) = (shown(&folder.join("c.yaml")), shown(&folder.join("c.json")));
    let said = exit(
        &[
            "exercise",
            &shown(&file),
            "--seed",
            "1",
            "-o",
            &sketch,
            "--answers",
            &answers,
        ],
        1,
    );
    assert!(
        said.contains("STOP:") && said.contains("On paper only:"),
        "{said}"
    );
    let list = folder.join("l.csv");
    fs::write(&list, "kitchen/tab collar\n").expect("written");
    let ask = [
        "exercise",
        &sketch,
        "--mark",
        &shown(&list),
        "--answers",
        &answers,
        "--draws",
        "500",
    ];
    let marks = exit(&ask, 1);
    assert!(marks.contains("the right plan is to stop"), "{marks}");
    let json = exit(&[&ask[..], &["--format", "json"]].concat(), 1);
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert!(json["plan"].is_null() && json["stopped"].is_string());
}

#[test]
fn a_sketch_that_states_its_leaks_is_said_to_and_one_in_braces_refused() {
    let class = Class::of("known", RIG, "1");
    let again = run(&[
        "exercise",
        RIG,
        "--seed",
        "1",
        "-o",
        &shown(&class.folder.join("d.yaml")),
        "--answers",
        &shown(&class.folder.join("d.json")),
    ]);
    assert!(stderr(&again).contains("states what 5 seams leak"));
    let file = class.folder.join("braces.yaml");
    let text = "{ductseam: 1, title: one, runs: [{id: A, from: supply plenum, size: 6 in, walk: [north 12 ft, boot 10x4 in]}]}\n";
    fs::write(&file, text).expect("written");
    let error = exit(
        &[
            "exercise",
            &shown(&file),
            "--seed",
            "1",
            "-o",
            &shown(&class.folder.join("e.yaml")),
            "--answers",
            &shown(&class.folder.join("e.json")),
        ],
        2,
    );
    assert!(error.contains("section by section"), "{error}");
}

#[test]
fn a_sketch_given_twice_is_refused_and_suspected_tape_stops() {
    let error = exit(&["joints", BUNGALOW, RIG, "./models/bungalow.yaml"], 2);
    assert!(
        error.contains("`./models/bungalow.yaml` is given twice"),
        "{error}"
    );
    let given = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(BUNGALOW));
    let changed = given
        .expect("the model")
        .replace("suspect tape: none seen", "suspect tape: suspected");
    let file = folder("joints-tape").join("house.yaml");
    fs::write(&file, changed).expect("written");
    let text = answered(&["joints", &shown(&file), "--draws", "500"]);
    assert!(text.starts_with("STOP: "), "{text}");
    assert!(!answered(&["joints", BUNGALOW, "--draws", "500"]).contains("STOP"));
}
