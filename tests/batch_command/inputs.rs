//! Folders, patterns, files of records, standard input.

use std::io::{BufRead, BufReader, Write};
use std::process::Stdio;

use super::black_box::{program, stderr, stdout};
use super::{batch, record, records, scratch, sketch};

fn names(text: &str) -> Vec<String> {
    text.lines().skip(1).map(str::to_owned).collect()
}

const NAMES: [&str; 4] = ["--select", "system", "--format", "csv"];

#[test]
fn folders_patterns_sketches_and_files_of_records_give_names() {
    let folder = scratch("inputs");
    for (name, text) in [
        ("homes/b.yaml", sketch("b", "50 cfm")),
        ("homes/a.yml", sketch("a", "51 cfm")),
        ("homes/notes.txt", "no sketch".to_owned()),
        ("homes/deep/er/c d.yaml", sketch("c", "52 cfm")),
        ("list.ndjson", record("x", &sketch("x", "53 cfm"))),
    ] {
        let path = folder.join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        std::fs::write(path, text).expect("written");
    }
    let run = |words: &[&str]| {
        let output = batch(&folder, &[words, &NAMES].concat(), "");
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        names(&stdout(&output))
    };
    assert_eq!(run(&["homes"]), ["a", "b"]);
    assert_eq!(run(&["homes/**/*.yaml"]), ["homes/b", "homes/deep/er/c d"]);
    assert_eq!(run(&["list.ndjson", "homes/b.yaml"]), ["x", "homes/b"]);
}

#[test]
fn what_is_not_there_is_said_before_anything_is_written() {
    let folder = scratch("missing");
    std::fs::create_dir(folder.join("empty")).expect("made");
    for (word, says) in [
        (
            "nowhere",
            "`nowhere` cannot be read: no such file or folder",
        ),
        ("no*.yaml", "no file matches the pattern `no*.yaml`"),
        ("empty", "the folder `empty` holds no sketch"),
        ("a[", "the pattern `a[` is not understood"),
    ] {
        let output = batch(&folder, &[word, "-o", "out"], "");
        assert_eq!(output.status.code(), Some(2), "{word}");
        assert!(stderr(&output).contains(says), "{}", stderr(&output));
        assert!(!folder.join("out").exists(), "{word}");
    }
    let twice = batch(&folder, &["-", "-"], "");
    assert!(stderr(&twice).contains("standard input is named twice"));
}

#[test]
fn a_file_that_cannot_be_read_as_text_is_skipped() {
    let folder = scratch("bytes");
    std::fs::create_dir(folder.join("homes")).expect("made");
    std::fs::write(folder.join("homes/a.yaml"), b"\xff\xfe").expect("written");
    std::fs::write(folder.join("homes/b.yaml"), sketch("b", "50 cfm")).expect("written");
    let output = batch(&folder, &[&["homes"], NAMES.as_slice()].concat(), "");
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(names(&stdout(&output)), ["a", "b"]);
    assert!(
        stderr(&output).contains("homes/a.yaml\n  is not UTF-8 text (byte 1)"),
        "{}",
        stderr(&output)
    );
}

/// BOM, CRLF, tabs between, a decimal comma locale: the same rows.
#[test]
fn line_ends_marks_and_locales_change_nothing() {
    let folder = scratch("text");
    let plain = records(3);
    let crlf = format!("\u{feff}{}", plain.replace('\n', "\r\n"));
    let expected = batch(&folder, &["-"], &plain);
    assert_eq!(expected.status.code(), Some(0), "{}", stderr(&expected));
    assert_eq!(batch(&folder, &["-"], &crlf).stdout, expected.stdout);
    assert_eq!(
        batch(&folder, &["-"], &plain.replace("\", \"", "\",\t\"")).stdout,
        expected.stdout
    );
    let german = program()
        .current_dir(&folder)
        .envs([("LC_ALL", "de_DE.UTF-8"), ("LC_NUMERIC", "de_DE.UTF-8")])
        .args(["batch", "-", "--draws", "500"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .and_then(|mut child| {
            child
                .stdin
                .take()
                .expect("a pipe")
                .write_all(plain.as_bytes())?;
            child.wait_with_output()
        })
        .expect("it runs");
    assert_eq!(german.stdout, expected.stdout);
}

/// An engine that gives one record and waits for its row before the next is not left waiting.
/// A line break lost over a whole file: the line is passed over without being held, and its neighbours are answered.
#[test]
#[cfg(unix)]
fn a_line_of_a_hundred_megabytes_costs_neither_memory_nor_its_neighbours() {
    let folder = scratch("long-line");
    let path = folder.join("long.ndjson");
    let mut file = std::fs::File::create(&path).expect("made");
    let good = record("a", &sketch("a", "50 cfm"));
    file.write_all(good.as_bytes()).expect("written");
    file.write_all(b"{\"id\": \"long\", \"sketch\": \"")
        .expect("written");
    let part = vec![b'x'; 1_000_000];
    for _ in 0..100 {
        file.write_all(&part).expect("written");
    }
    file.write_all(b"\"}\n").expect("written");
    file.write_all(record("b", &sketch("b", "51 cfm")).as_bytes())
        .expect("written");
    drop(file);
    let output = std::process::Command::new("sh")
        .current_dir(&folder)
        .env("RAYON_NUM_THREADS", "1")
        .args([
            "-c",
            "ulimit -v 500000 || exit 99; exec \"$0\" batch long.ndjson --select system --format csv --draws 500",
        ])
        .arg(env!("CARGO_BIN_EXE_ductseam"))
        .output()
        .expect("sh runs");
    let _ = std::fs::remove_file(&path);
    let told = stderr(&output);
    assert_eq!(output.status.code(), Some(1), "{told}");
    assert!(told.contains("skipped: long.ndjson:2: "), "{told}");
    assert!(told.contains("longer than 16 MB"), "{told}");
    assert_eq!(names(&stdout(&output)), ["a", "b"]);
}

#[test]
fn a_row_comes_out_before_the_next_record_goes_in() {
    let mut child = program()
        .args(["batch", "-", "--draws", "500", "--select", "system,status"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut to = child.stdin.take().expect("a pipe");
    let mut from = BufReader::new(child.stdout.take().expect("a pipe"));
    for id in ["one", "two"] {
        to.write_all(record(id, &sketch(id, "50 cfm")).as_bytes())
            .expect("written");
        to.flush().expect("written");
        let mut line = String::new();
        from.read_line(&mut line).expect("a row");
        assert_eq!(
            line,
            format!("{{\"system\":\"{id}\",\"status\":\"answered\"}}\n")
        );
    }
    drop(to);
    assert!(child.wait().expect("it ends").success());
}

/// A reader that goes away ends the run quietly.
#[cfg(unix)]
#[test]
fn a_closed_pipe_ends_it_quietly() {
    let folder = scratch("pipe");
    std::fs::write(folder.join("all.ndjson"), records(200)).expect("written");
    let output = std::process::Command::new("sh")
        .current_dir(&folder)
        .args([
            "-c",
            "\"$PROGRAM\" batch all.ndjson --draws 500 --by seam | head -n 1",
        ])
        .env("PROGRAM", env!("CARGO_BIN_EXE_ductseam"))
        .output()
        .expect("it runs");
    assert!(output.status.success());
    assert_eq!(stdout(&output).lines().count(), 1);
    assert_eq!(stderr(&output), "");
}
