//! What the rows hold.

use serde_json::Value;

use super::black_box::{program, run, stderr, stdout};
use super::{batch, files, record, records, scratch, sketch};

fn lines(text: &str) -> Vec<Value> {
    text.lines()
        .map(|line| serde_json::from_str(line).expect(line))
        .collect()
}

#[test]
fn figures_are_those_of_allocate() {
    let folder = scratch("same");
    std::fs::write(folder.join("a.yaml"), sketch("a", "61 cfm")).expect("written");
    let alone = program()
        .current_dir(&folder)
        .args(["allocate", "a.yaml", "--draws", "500", "--format", "json"])
        .output()
        .expect("it starts");
    let alone: Value = serde_json::from_str(&stdout(&alone)).expect("JSON");
    let system = &lines(&stdout(&batch(&folder, &["a.yaml"], "")))[0];
    assert_eq!(system["system"], "a");
    assert_eq!(system["status"], "answered");
    assert_eq!(system["total_mean_m3_s"], alone["house"]["total"]["mean"]);
    assert_eq!(system["total_p95_m3_s"], alone["house"]["total"]["p95"]);
    assert_eq!(
        system["to_outside_mean_m3_s"],
        alone["house"]["to_outside"]["mean"]
    );
    assert_eq!(
        system["effective_draws"],
        alone["diagnostics"]["effective_draws"]
    );
    let seams = lines(&stdout(&batch(&folder, &["a.yaml", "--by", "seam"], "")));
    let expected = alone["seams"].as_array().expect("seams");
    assert_eq!(seams.len(), expected.len());
    for seam in &seams {
        let same = expected
            .iter()
            .find(|e| e["id"] == seam["seam"])
            .expect("the seam");
        for (column, field) in [
            ("share", "share"),
            ("n", "n"),
            ("open_chance", "gross_chance"),
            ("reach", "reach"),
            ("work", "work"),
        ] {
            assert_eq!(seam[column], same[field], "{column}");
        }
        assert_eq!(seam["q25_p95_m3_s"], same["q25_m3_s"]["p95"]);
        assert_eq!(seam["test_mean_m3_s"], same["test_m3_s"]["mean"]);
    }
    let types = lines(&stdout(&batch(
        &folder,
        &["a.yaml", "--by", "joint-type"],
        "",
    )));
    assert_eq!(
        types.len(),
        alone["by_joint_type"].as_array().expect("types").len()
    );
    let sum: f64 = types
        .iter()
        .map(|t| t["share"].as_f64().expect("a share"))
        .sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
}

#[test]
fn one_row_a_record_in_the_order_of_the_input_and_a_bad_one_costs_no_other() {
    let folder = scratch("order");
    let mut input = records(5);
    input.push_str("{\"id\": \"cut off\", \"sket\n\n");
    input.push_str(&record("no duct", "ductseam: 1\nruns: [\n"));
    input.push_str(&record("h3", &sketch("again", "50 cfm")));
    input.push_str(&record("last", &sketch("last", "50 cfm")));
    let output = batch(&folder, &["-"], &input);
    assert_eq!(output.status.code(), Some(1));
    let rows = lines(&stdout(&output));
    let names: Vec<_> = rows
        .iter()
        .map(|row| row["system"].as_str().expect("a name"))
        .collect();
    assert_eq!(names, ["h0", "h1", "h2", "h3", "h4", "no duct", "last"]);
    assert_eq!(rows[5]["status"], "refused");
    assert!(
        rows[5]["why"]
            .as_str()
            .expect("why")
            .starts_with("line 2, column "),
        "{}",
        rows[5]["why"]
    );
    assert_eq!(rows[5]["total_mean_m3_s"], Value::Null);
    let talk = stderr(&output);
    assert!(talk.contains("skipped: line 6: "), "{talk}");
    assert!(talk.contains("skipped: line 8\n  error"), "{talk}");
    assert!(
        talk.contains("the name `h3` has been there before"),
        "{talk}"
    );
}

#[test]
fn the_same_bytes_on_any_number_of_threads_and_in_any_company() {
    let folder = scratch("threads");
    let all = records(40);
    let one = batch(&folder, &["-", "--by", "seam", "--threads", "1"], &all);
    let four = batch(&folder, &["-", "--by", "seam", "--threads", "4"], &all);
    assert_eq!(one.status.code(), Some(0), "{}", stderr(&one));
    assert_eq!(one.stdout, four.stdout);
    let alone: String = all
        .lines()
        .map(|line| stdout(&batch(&folder, &["-", "--by", "seam"], line)))
        .take(4)
        .collect();
    assert!(stdout(&one).starts_with(&alone));
    for threads in ["1", "3"] {
        let out = format!("out{threads}");
        let ran = batch(&folder, &["-", "-o", &out, "--threads", threads], &all);
        assert_eq!(ran.status.code(), Some(0), "{}", stderr(&ran));
    }
    assert_eq!(files(&folder.join("out1")), files(&folder.join("out3")));
}

#[test]
fn columns_are_chosen_and_misspelt_ones_answered() {
    let folder = scratch("columns");
    let output = batch(
        &folder,
        &[
            "-",
            "--select",
            "share,system,joint_type",
            "--by",
            "joint-type",
            "--format",
            "csv",
        ],
        &records(1),
    );
    let text = stdout(&output);
    assert!(text.starts_with("share,system,joint_type\n0."), "{text}");
    let ran = batch(
        &folder,
        &[
            "-",
            "-o",
            "out",
            "--select",
            "system,seam,test_mean_m3_s",
            "--format",
            "csv",
        ],
        &records(2),
    );
    assert_eq!(ran.status.code(), Some(0), "{}", stderr(&ran));
    let read = |name: &str| std::fs::read_to_string(folder.join("out").join(name)).expect(name);
    assert!(read("seams.csv").starts_with("system,seam,test_mean_m3_s\n"));
    assert_eq!(read("systems.csv"), "system\nh0\nh1\n");
    assert!(!folder.join("out/seams.ndjson").exists());
    let wrong = batch(&folder, &["-", "--select", "sytem"], "");
    assert_eq!(wrong.status.code(), Some(2));
    assert_eq!(
        stderr(&wrong),
        "error: no table has a column `sytem`\nhint: did you mean `system`?\n"
    );
    let none = batch(&folder, &["-", "--select", "rank"], "");
    assert_eq!(none.status.code(), Some(2));
    let listed = stdout(&run(&["batch", "--columns"]));
    assert!(
        listed.contains("  share                   part of the system's test leakage, mean\n"),
        "{listed}"
    );
}

#[test]
fn no_record_gives_a_header_and_nothing_else() {
    let folder = scratch("none");
    let output = batch(
        &folder,
        &["-", "--format", "csv", "--select", "system,status"],
        "",
    );
    assert_eq!(
        (output.status.code(), stdout(&output).as_str()),
        (Some(0), "system,status\n")
    );
}

#[test]
fn what_was_learned_is_a_catalogue() {
    let folder = scratch("learned");
    let ran = batch(&folder, &["-", "-o", "out"], &records(30));
    assert_eq!(ran.status.code(), Some(0), "{}", stderr(&ran));
    assert!(
        stderr(&ran).contains("learned from 30 systems"),
        "{}",
        stderr(&ran)
    );
    let read = |name: &str| std::fs::read_to_string(folder.join("out").join(name)).expect(name);
    let habits = read("habits.csv");
    let collar = habits
        .lines()
        .find(|line| line.starts_with("takeoff-tab-collar,"))
        .expect("the collar that was looked at");
    let cells: Vec<&str> = collar.split(',').collect();
    assert_eq!(cells[2], "30", "{collar}");
    // Strong smoke at every collar: it leaks more than the catalogue says, and the band says how surely.
    let (before, after): (f64, f64) = (
        cells[5].parse().expect("a mean"),
        cells[7].parse().expect("a bound"),
    );
    assert!(after > before, "{collar}");
    let with = batch(
        &folder,
        &[
            "-",
            "--catalog",
            "out/learned.csv",
            "--by",
            "joint-type",
            "--select",
            "joint_type,share",
        ],
        &records(1),
    );
    let without = batch(
        &folder,
        &["-", "--by", "joint-type", "--select", "joint_type,share"],
        &records(1),
    );
    assert_eq!(with.status.code(), Some(0), "{}", stderr(&with));
    let share = |text: &str| {
        lines(text)
            .iter()
            .find(|row| row["joint_type"] == "takeoff-tab-collar")
            .expect("collars")["share"]
            .as_f64()
            .expect("a share")
    };
    assert!(share(&stdout(&with)) > 1.1 * share(&stdout(&without)));
}
