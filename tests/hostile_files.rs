//! Files made to choke the program: each is refused in words, exit 2, within half a gigabyte of addresses.
//!
//! The bounds themselves stand in `src/sketch/limits.rs`, `src/system/bounds.rs`, `src/takeoff/table.rs`, `src/catalog/read.rs`,
//! `src/limits/table.rs` and `src/cli/files.rs`, each with its reason.
#![cfg(unix)]

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Addresses that a run may have, kB: 500 MB, and what threads reserve without using it.
const ADDRESSES_KB: u32 = 500_000;
/// A run that takes this long has hung; no measure of speed.
const HUNG: Duration = Duration::from_secs(60);
const HEAD: &str = "ductseam: 1\ntitle: hostile (invented)\nair handler: {place: attic}\n";
const TRUNK: &str = "runs:\n  - id: trunk\n    side: supply\n    from: supply plenum\n    size: 12x8 in\n    place: attic\n    walk: [north 900 ft, cap]\n";

struct Ended {
    code: Option<i32>,
    told: String,
    answer: String,
}

/// Runs the program with bounded memory on one thread, in the folder of the file.
fn run(file: &Path, words: &[&str]) -> Ended {
    let name = file.file_name().expect("a name").to_string_lossy();
    let (out, talk) = (file.with_extension("out"), file.with_extension("talk"));
    let mut child = Command::new("sh")
        .current_dir(file.parent().expect("a folder"))
        .env("RAYON_NUM_THREADS", "1")
        .args([
            "-c",
            &format!("ulimit -v {ADDRESSES_KB} || exit 99; exec \"$0\" \"$@\""),
        ])
        .arg(env!("CARGO_BIN_EXE_ductseam"))
        .args(words.iter().map(|word| word.replace("FILE", &name)))
        .stdin(Stdio::null())
        .stdout(fs::File::create(&out).expect("made"))
        .stderr(fs::File::create(&talk).expect("made"))
        .spawn()
        .expect("sh runs");
    let code = wait(&mut child, &name);
    let read = |path: &Path| String::from_utf8_lossy(&fs::read(path).expect("read")).into_owned();
    Ended {
        code,
        told: read(&talk),
        answer: read(&out),
    }
}

fn wait(child: &mut Child, name: &str) -> Option<i32> {
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("waited for") {
            return status.code();
        }
        if start.elapsed() > HUNG {
            let _ = child.kill();
            panic!("{name} does not come to an end");
        }
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn file(name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("hostile")
        .join(name.replace('.', "-"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a scratch folder");
    let path = folder.join(name);
    fs::write(&path, bytes).expect("written");
    path
}

/// Refused with these words, in little, and with a remedy.
fn refused(name: &str, bytes: impl AsRef<[u8]>, words: &[&str], told: &str) {
    let path = file(name, bytes);
    let ended = run(&path, words);
    let (start, _) = ended.told.split_at(ended.told.floor_char_boundary(2000));
    assert_eq!(ended.code, Some(2), "{name}: {start}");
    assert!(ended.told.contains(told), "{name}: {start}");
    assert!(
        ended.told.contains("hint") || ended.told.contains("help"),
        "{name}: {start}"
    );
    assert!(
        ended.told.len() < 100_000,
        "{name}: {} bytes of talk",
        ended.told.len()
    );
    assert_eq!(ended.answer, "", "{name}");
    let _ = fs::remove_dir_all(path.parent().expect("a folder"));
}

fn sketch(name: &str, body: &str, told: &str) {
    refused(name, format!("{HEAD}{body}"), &["check", "FILE"], told);
}

fn many(count: usize, line: impl Fn(usize) -> String) -> String {
    let mut text = String::new();
    for k in 0..count {
        writeln!(text, "{}", line(k)).expect("a text grows");
    }
    text
}

#[test]
fn what_unfolds_without_end_is_refused() {
    let bomb = many(20, |k| {
        let (this, last) = ((b'b' + k as u8) as char, (b'a' + k as u8) as char);
        format!(
            "{this}: &{this} [{}]",
            vec![format!("*{last}"); 9].join(",")
        )
    });
    sketch(
        "bomb.yaml",
        &format!("a: &a [x,x,x,x,x,x,x,x,x]\n{bomb}"),
        "unfold without end",
    );
    let anchors = many(200_000, |k| format!("a{k}: &a{k} x"));
    sketch("anchors.yaml", &anchors, "anchors or aliases");
    let again = many(900, |k| {
        format!("  - {{id: u{k}, from: supply plenum, size: 12x8 in, walk: *w}}")
    });
    let walk = format!(
        "runs:\n  - {{id: t, from: supply plenum, size: 12x8 in, walk: &w [{}cap]}}\n{again}",
        "north 9 m, elbow, ".repeat(400)
    );
    sketch("walks.yaml", &walk, "unfold without end");
}

#[test]
fn what_is_nested_without_end_is_refused() {
    for (name, text) in [
        ("brackets.yaml", "[".repeat(8_000_000)),
        ("braces.yaml", "{a: ".repeat(2_000_000)),
        ("dashes.yaml", "- ".repeat(4_000_000)),
    ] {
        refused(name, text, &["check", "FILE"], "nested deeper");
    }
}

#[test]
fn more_parts_than_any_building_has_are_refused() {
    let walk = |steps: String| {
        format!("runs:\n  - {{id: t, from: supply plenum, size: 6 in, walk: [{steps}cap]}}\n")
    };
    sketch(
        "pieces.yaml",
        &walk("1 ft,".repeat(1_000_000)),
        "more than 1000000 values",
    );
    sketch(
        "steps.yaml",
        &walk("1 ft,".repeat(60_000)),
        "more than 50000 items stand in a walk",
    );
    let runs = many(30_000, |k| {
        format!("  - {{id: r{k}, from: trunk, size: 6 in}}")
    });
    sketch(
        "runs.yaml",
        &format!("{TRUNK}{runs}"),
        "more than 25000 items stand in the runs",
    );
    let readings = many(10_000, |k| {
        format!("  - {{id: q{k}, total: 60 cfm at 25 Pa}}")
    });
    sketch(
        "readings.yaml",
        &format!("{TRUNK}readings:\n{readings}"),
        "more than 2000 items stand in the readings",
    );
    let looks = many(100_000, |_| "  - {seam: all boots, smoke: none}".to_owned());
    sketch(
        "looks.yaml",
        &format!("{TRUNK}looks:\n{looks}"),
        "more than 50000 items stand in the looks",
    );
}

/// What each line of these asks is little; together they name each seam thousands of times.
#[test]
fn groups_that_name_seams_again_and_again_are_refused() {
    let runs = many(3000, |k| {
        let at = 1.0 + k as f64 * 0.29;
        format!(
            "  - {{id: r{k}, from: trunk at {at:.2} ft left, size: 4 in, walk: [tab collar, 5 ft, boot 10x4 in]}}"
        )
    });
    let body = |rest: &str| format!("{TRUNK}{runs}{rest}");
    let told = "name too many seams";
    let looks = many(40_000, |_| "  - {seam: all boots, smoke: none}".to_owned());
    sketch(
        "looks-of-groups.yaml",
        &body(&format!("looks:\n{looks}")),
        told,
    );
    let list = "all boots,".repeat(40_000);
    sketch(
        "look-of-a-list.yaml",
        &body(&format!("looks:\n  - {{seam: [{list}], smoke: none}}\n")),
        told,
    );
    sketch(
        "sealing.yaml",
        &body(&format!(
            "sealing:\n  - {{id: d, seams: [{list}], work: mastic}}\n"
        )),
        "seals `r0/boot` twice",
    );
    sketch(
        "leave.yaml",
        &body(&format!("crew: {{leave: [{list}]}}\n")),
        told,
    );
    let unknown = many(40_000, |k| {
        format!("  - {{seam: q{k}/tab collar, smoke: none}}")
    });
    sketch(
        "unknown-seams.yaml",
        &body(&format!("looks:\n{unknown}")),
        "no run is called",
    );
    let plugged: Vec<String> = (0..300).map(|k| format!("r{k}")).collect();
    let plugged = plugged.join(",");
    let readings = many(1500, |k| {
        format!("  - {{id: q{k}, total: 60 cfm at 25 Pa, plugged: [{plugged}]}}")
    });
    sketch(
        "plugged.yaml",
        &body(&format!("readings:\n{readings}")),
        "more than 20000 items stand in the plugged runs",
    );
}

/// Unknown names are held against known ones, and variants copy the system: neither without end.
#[test]
fn unknown_runs_and_variants_without_end_are_refused() {
    let lost = many(20_000, |k| {
        format!("  - {{id: r{k}, from: nowhere{k} end, size: 4 in, walk: [5 ft, cap]}}")
    });
    sketch(
        "lost.yaml",
        &format!("{TRUNK}{lost}"),
        "no run is called `nowhere0`",
    );
    let variants = many(30_000, |k| {
        format!("  - {{id: v{k}, work: {{all joints: mastic}}}}")
    });
    sketch(
        "variants.yaml",
        &format!("{TRUNK}variants:\n{variants}"),
        "more than 100 items stand in the variants",
    );
    let runs = many(5_000, |k| {
        let at = 1.0 + k as f64 * 0.17;
        format!(
            "  - {{id: r{k}, from: trunk at {at:.2} ft left, size: 4 in, walk: [tab collar, 5 ft, boot 10x4 in]}}"
        )
    });
    let swaps = many(100, |k| {
        format!("  - {{id: v{k}, swap: {{tab collar: spin-in}}}}")
    });
    sketch(
        "swaps.yaml",
        &format!("{TRUNK}{runs}variants:\n{swaps}"),
        "groups and variants up to `v",
    );
    let during = many(40_000, |k| {
        format!("  - {{seam: trunk/joint 1, smoke: none, during: q{k}x}}")
    });
    let readings = many(2_000, |k| {
        format!("  - {{id: p{k}, total: 60 cfm at 25 Pa}}")
    });
    sketch(
        "during.yaml",
        &format!("{TRUNK}readings:\n{readings}looks:\n{during}"),
        "no reading is called `q0x`",
    );
}

#[test]
fn lengths_that_come_to_too_many_joints_are_refused() {
    let run = |length: &str| {
        format!(
            "runs:\n  - {{id: t, from: supply plenum, size: 12x8 in, walk: [north {length}, cap]}}\n"
        )
    };
    sketch("far.yaml", &run("1000000000 ft"), "1 km");
    let runs = many(40, |k| {
        format!("  - {{id: t{k}, from: supply plenum, size: 12x8 in, walk: [north 1000 m, cap]}}")
    });
    let short = format!("usual: {{all: {{section: 50 mm}}}}\nruns:\n{runs}");
    sketch("sections.yaml", &short, "more than 220000 seams");
}

#[test]
fn a_building_of_a_hundred_thousand_seams_is_read() {
    let runs = many(50, |k| {
        format!("  - {{id: t{k}, from: supply plenum, size: 12x8 in, walk: [north 100 m, cap]}}")
    });
    let path = file(
        "large.yaml",
        format!("{HEAD}usual: {{all: {{section: 100 mm}}}}\nruns:\n{runs}"),
    );
    let ended = run(&path, &["check", "FILE", "--format", "json"]);
    assert_eq!(
        ended.code,
        Some(0),
        "{}",
        ended.told.get(..2000).unwrap_or(&ended.told)
    );
    let check: serde_json::Value = serde_json::from_str(&ended.answer).expect("JSON");
    let seams = check["seams"].as_array().expect("seams").len();
    assert!(seams >= 99_000, "{seams}");
}

#[test]
fn files_of_one_line_and_of_no_text_are_refused() {
    let note = format!("note: {}\n{TRUNK}", "x".repeat(7_000_000));
    sketch("line.yaml", &note, "longer than 20000 characters");
    let huge = format!("note: {}\n{TRUNK}", "x".repeat(60_000_000));
    sketch("huge.yaml", &huge, "larger than 8 MB");
    sketch("nul.yaml", &format!("note: \0\0\n{TRUNK}"), "holds a NUL");
    refused(
        "nuls.yaml",
        vec![0; 8_000_000],
        &["check", "FILE"],
        "holds a NUL",
    );
    let mut bytes = HEAD.as_bytes().to_vec();
    bytes.resize(7_000_000, 0xff);
    refused("bytes.yaml", bytes, &["check", "FILE"], "not UTF-8");
}

#[test]
fn lists_of_runs_without_end_are_refused() {
    let words = ["new", "--from", "FILE"];
    let head = "run,from,at,size,length (ft),fittings\n";
    let rows = |count, row: fn(usize) -> String| format!("{head}{}", many(count, row));
    refused(
        "large.csv",
        rows(1_500_000, |k| format!("r{k},supply plenum,,6 in,20,cap")),
        &words,
        "larger than",
    );
    refused(
        "rows.csv",
        rows(200_000, |k| format!("r{k},supply plenum,,6 in,20,cap")),
        &words,
        "more than 25000 rows",
    );
    refused(
        "wide.csv",
        format!("run,size,{}\n", "a,".repeat(4_000_000)),
        &words,
        "more than 200 cells",
    );
    refused(
        "quote.csv",
        format!("run,size\n\"{}", "x".repeat(8_000_000)),
        &words,
        "more than 2000 characters",
    );
    refused(
        "far.csv",
        rows(1, |_| "t,supply plenum,,6 in,1000000000,cap".to_owned()),
        &words,
        "1 km",
    );
}

#[test]
fn tables_of_joint_types_and_of_series_without_end_are_refused() {
    let overlay = ["catalog", "--catalog", "FILE"];
    let head = ductseam::catalog::JOINT_COLUMNS.join(",");
    let rows =
        |count: usize, end: &str| format!("{head}\n{}", many(count, |k| format!("j{k}{end}")));
    refused(
        "rows.csv",
        rows(1_000_000, ""),
        &overlay,
        "larger than 4 MB",
    );
    refused(
        "many.csv",
        rows(100_000, ",x"),
        &overlay,
        "more than 10000 rows",
    );
    refused(
        "faults.csv",
        rows(9_000, ",,"),
        &overlay,
        "more faults follow",
    );
    refused(
        "cells.csv",
        format!("{head}\n{}", "a,".repeat(25_000_000)),
        &overlay,
        "larger than 4 MB",
    );
    let model = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("models/slab-attic.yaml")
        .display()
        .to_string();
    let series = ["limits", &model, "--series", "FILE"];
    let points = "pressure (Pa),flow (cfm)\n";
    refused(
        "points.csv",
        format!("{points}{}", "25,60\n".repeat(300_000)),
        &series,
        "more than 10 000 rows",
    );
    refused(
        "line.csv",
        format!("{points}{}", "1,".repeat(25_000_000)),
        &series,
        "larger than 4 MB",
    );
}
