//! `ductseam batch` as a black box: alone in and alone out, nothing lost and nothing doubled, whatever happens.

#[path = "common/program.rs"]
mod black_box;
#[path = "batch_command/broken_off.rs"]
mod broken_off;
#[path = "batch_command/inputs.rs"]
mod inputs;
#[path = "batch_command/rows.rs"]
mod rows;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Output, Stdio};

use black_box::program;

/// A small invented house; `total` is its reading.
fn sketch(title: &str, total: &str) -> String {
    format!(
        "ductseam: 1
title: {title} (invented)
air handler: {{place: attic}}
runs:
  - {{id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}}
  - {{id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}}
readings:
  - {{id: first, total: {total} at 25 Pa ± 3 %}}
looks:
  - {{seam: kitchen/tab collar, smoke: strong}}
"
    )
}

fn record(id: &str, sketch: &str) -> String {
    format!("{}\n", serde_json::json!({"id": id, "sketch": sketch}))
}

fn records(count: usize) -> String {
    (0..count)
        .map(|k| {
            record(
                &format!("h{k}"),
                &sketch(&format!("house {k}"), &format!("{} cfm", 40 + k)),
            )
        })
        .collect()
}

fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("batch")
        .join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

/// Runs `batch` in a folder with this on its standard input.
fn batch(folder: &Path, words: &[&str], input: &str) -> Output {
    let mut child = program()
        .current_dir(folder)
        .arg("batch")
        .args(words)
        .args(["--draws", "500"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut to = child.stdin.take().expect("a pipe");
    let text = input.to_owned();
    // It may end before it has read all.
    let writer = std::thread::spawn(move || drop(to.write_all(text.as_bytes())));
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("written");
    output
}

/// All files that a finished run leaves, by name.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry"))
        .map(|entry| {
            let bytes = std::fs::read(entry.path()).expect("a file");
            (entry.file_name().to_string_lossy().into_owned(), bytes)
        })
        .filter(|(name, _)| name != "journal.ndjson")
        .collect();
    found.sort();
    found
}
