//! `ductseam report`, as a black box. What the page does in a browser is in `tests/browser`.

#[path = "common/program.rs"]
mod black_box;

use std::path::PathBuf;
use std::process::Output;

use black_box::{program, run, stderr, stdout};

const RIG: &str = "models/classroom-rig.yaml";

/// A house small enough to be answered quickly, with what `more` adds.
fn house(more: &str) -> String {
    format!(
        "ductseam: 1
title: two registers & a <trunk> (invented)
units: ip
house: {{floor area: 900 ft2, height: 8 ft}}
air handler: {{place: attic, airflow: 400 cfm by blower table}}
usual:
  all: {{place: attic, work: unsealed}}
runs:
  - id: trunk
    side: supply
    from: supply plenum
    size: 12x8 in
    walk: [north 16 ft, cap]
  - {{id: kitchen, from: trunk at 6 ft left, size: 6 in, room: kitchen, walk: [tab collar, 5 ft, boot 10x4 in]}}
  - {{id: bath, from: trunk at 12 ft right, size: 5 in, room: bath, walk: [tab collar, 8 ft, boot 8x4 in]}}
  - {{id: hall return, side: return, from: return plenum, size: 16x8 in, walk: [south 6 ft, return box 20x14 in]}}
{more}"
    )
}

fn folder() -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("report_command");
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn sketch(name: &str, text: &str) -> String {
    let path = folder().join(name);
    std::fs::write(&path, text).expect("written");
    path.to_string_lossy().into_owned()
}

fn report(arguments: &[&str]) -> Output {
    run(&[&["report"], arguments, &["--draws", "500"]].concat())
}

/// Ids of the page's sections, in order.
fn sections(page: &str) -> Vec<&str> {
    page.split("<section id=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

#[test]
fn the_page_is_one_file_that_names_no_other() {
    let output = report(&[RIG]);
    let page = stdout(&output);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(page.starts_with("<!DOCTYPE html>"), "{}", &page[..60]);
    assert!(page.trim_end().ends_with("</html>"));
    // An SVG's own namespace is a name and no address that is asked for.
    let named = page.replace("http://www.w3.org/2000/svg", "");
    for asks in [
        "http://", "https://", "src=", "<link", "@import", "url(\"", "url('",
    ] {
        assert!(!named.contains(asks), "the page holds `{asks}`");
    }
    assert!(page.contains("default-src 'none'"));
}

#[test]
fn sections_are_there_where_their_data_are() {
    let bare = sketch("bare.yaml", &house(""));
    let output = report(&[&bare]);
    let page = stdout(&output);
    let found = sections(&page);
    for id in [
        "summary",
        "drawing",
        "seams",
        "shares",
        "groups",
        "predicted",
        "assumptions",
    ] {
        assert!(
            found.contains(&id),
            "no `{id}` in {found:?}: {}",
            stderr(&output)
        );
    }
    for id in ["readings", "proof", "limits"] {
        assert!(!found.contains(&id), "`{id}` without its data");
    }
    let read = sketch(
        "read.yaml",
        &house("readings:\n  - {id: first, total: 60 cfm at 25 Pa ± 3 %}\n"),
    );
    let output = report(&[&read]);
    let page = stdout(&output);
    let found = sections(&page);
    for id in ["readings", "limits"] {
        assert!(
            found.contains(&id),
            "no `{id}` in {found:?}: {}",
            stderr(&output)
        );
    }
    for id in ["predicted", "proof"] {
        assert!(!found.contains(&id), "`{id}` without its data");
    }
    // What a person typed stands there as text and never as markup.
    assert!(page.contains("two registers &amp; a &lt;trunk&gt; (invented)"));
    assert!(!page.contains("<trunk>"));
}

#[test]
fn suspected_tape_stops_the_page_and_ends_doubtful() {
    let taped = sketch("taped.yaml", &house("suspect tape: suspected\n"));
    let output = report(&[&taped]);
    let page = stdout(&output);
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).contains("stopped:"), "{}", stderr(&output));
    let stop = page.find("<strong>Stop: ").expect("the page says so");
    let main = page.find("<section id=\"summary\"").expect("a summary");
    assert!(stop < main, "the stop stands before everything else");
}

#[test]
fn the_same_bytes_on_any_number_of_threads() {
    let read = sketch(
        "threads.yaml",
        &house("readings:\n  - {id: first, total: 60 cfm at 25 Pa ± 3 %}\n"),
    );
    let on = |threads: &str| {
        program()
            .env("RAYON_NUM_THREADS", threads)
            .args(["report", &read, "--draws", "500"])
            .output()
            .expect("the program starts")
    };
    let (one, three) = (on("1"), on("3"));
    assert!(!one.stdout.is_empty(), "{}", stderr(&one));
    assert!(one.stdout == three.stdout);
}

#[test]
fn the_sketch_is_never_written_over_and_no_half_file_is_left() {
    let text = house("");
    let bare = sketch("kept.html", &text);
    let output = report(&[&bare, "-o", &bare]);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert_eq!(std::fs::read_to_string(&bare).expect("still there"), text);
    let away = folder().join("not there").join("page.html");
    let output = report(&[&bare, "-o", &away.to_string_lossy()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("cannot be written"),
        "{}",
        stderr(&output)
    );
    assert!(!away.exists());
}

#[test]
fn faults_of_the_words_are_named() {
    for (arguments, words) in [
        (&["nosuch.yaml"][..], "nosuch.yaml"),
        (&[RIG, "--time", "4"], "--time"),
        (&[RIG, "--target", "20"], "--target"),
        (&[RIG, "--draft-limit", "5"], "--draft-limit"),
        (&[RIG, "-o", "page.pdf"], "page.html"),
        (&[RIG, "-o", "page"], "page.html"),
    ] {
        let output = report(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stdout(&output).is_empty());
        assert!(
            stderr(&output).contains(words),
            "{arguments:?}: {}",
            stderr(&output)
        );
    }
}
