//! `ductseam draw`, as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::path::PathBuf;

use black_box::{run, stderr, stdout};
use roxmltree::Document;

const HOUSE: &str = "models/bungalow.yaml";

/// A file in a folder of the test's own.
fn file(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("draw_command");
    std::fs::create_dir_all(&folder).expect("a folder");
    let path = folder.join(name);
    let _ = std::fs::remove_file(&path);
    path
}

fn drawn(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = run(&[&["draw"], arguments, &["--draws", "500"]].concat());
    (output.status.code(), stdout(&output), stderr(&output))
}

/// Refused with exit code 2, nothing on standard output, and words that help.
fn refused(arguments: &[&str], words: &[&str]) {
    let (code, out, talk) = drawn(arguments);
    assert_eq!(code, Some(2), "{arguments:?}: {talk}");
    assert!(out.is_empty(), "{arguments:?}");
    for word in words {
        assert!(talk.contains(word), "{arguments:?}: no `{word}` in {talk}");
    }
}

#[test]
fn without_a_file_the_svg_goes_to_standard_output() {
    let (code, out, talk) = drawn(&[HOUSE]);
    assert!(
        code == Some(0) || (code == Some(1) && talk.contains("doubtful")),
        "{talk}"
    );
    assert!(out.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg "));
    let document = Document::parse(&out).expect("well-formed");
    let layers: Vec<&str> = document
        .descendants()
        .filter_map(|node| node.attribute("data-layer"))
        .collect();
    assert_eq!(layers, ["seams"]);
}

#[test]
fn a_file_holds_what_standard_output_would() {
    let path = file("house.SVG");
    let name = path.to_string_lossy();
    let (_, printed, _) = drawn(&[
        HOUSE,
        "--layer",
        "ducts",
        "--view",
        "isometric",
        "--sheet",
        "a3",
    ]);
    let (code, out, talk) = drawn(&[
        HOUSE,
        "--layer",
        "ducts",
        "--view",
        "isometric",
        "--sheet",
        "a3",
        "-o",
        &name,
    ]);
    assert_eq!((code, out.as_str()), (Some(0), ""), "{talk}");
    assert_eq!(std::fs::read_to_string(&path).expect("written"), printed);
    let document = Document::parse(&printed).expect("well-formed");
    assert_eq!(document.root_element().attribute("width"), Some("420mm"));
}

#[test]
fn a_png_has_its_signature_and_size() {
    for (dots, width, height) in [(None, 2376, 1680), (Some("2"), 594, 420)] {
        let path = file("house.Png");
        let name = path.to_string_lossy();
        let mut arguments = vec![HOUSE, "--layer", "ducts", "--sheet", "a4", "-o", &name];
        if let Some(dots) = dots {
            arguments.extend(["--dots-per-mm", dots]);
        }
        let (code, out, talk) = drawn(&arguments);
        assert_eq!((code, out.as_str()), (Some(0), ""), "{talk}");
        let bytes = std::fs::read(&path).expect("written");
        assert_eq!(bytes[..8], *b"\x89PNG\r\n\x1a\n");
        // first chunk: IHDR, width and height as big-endian numbers (Portable Network Graphics, W3C)
        assert_eq!(bytes[12..16], *b"IHDR");
        let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four"));
        assert_eq!((number(16), number(20)), (width, height));
        // second chunk: how many pixels a metre has
        assert_eq!(bytes[37..41], *b"pHYs");
        assert_eq!(number(41), 1000 * height / 210);
    }
}

#[test]
fn every_layer_is_drawn() {
    for layer in ["ducts", "seams", "top", "plan", "running", "types"] {
        let (code, out, talk) = drawn(&[HOUSE, "--layer", layer, "--units", "si"]);
        assert!(code == Some(0) || code == Some(1), "{layer}: {talk}");
        let document = Document::parse(&out).expect("well-formed");
        assert!(
            document
                .descendants()
                .any(|node| node.attribute("data-layer") == Some(layer)),
            "{layer}"
        );
    }
}

#[test]
fn the_plan_is_that_of_the_same_words() {
    let words = ["--time", "90 min"];
    let (_, out, talk) = drawn(&[&[HOUSE, "--layer", "plan"][..], &words].concat());
    let planned = run(&[
        &["plan", HOUSE, "--format", "json", "--draws", "500"],
        &words[..],
    ]
    .concat());
    let plan: serde_json::Value = serde_json::from_str(&stdout(&planned)).expect("JSON");
    let steps = plan["steps"].as_array().expect("steps");
    assert!(!steps.is_empty());
    let document = Document::parse(&out).expect("well-formed");
    let marked = document
        .descendants()
        .filter(|node| node.attribute("data-seam").is_some())
        .filter(|node| {
            node.ancestors()
                .any(|n| n.attribute("data-layer") == Some("plan"))
        })
        .count();
    assert!(
        marked >= steps.len(),
        "{marked} marks, {} steps",
        steps.len()
    );
    // both end alike, for the same reasons
    let last = |text: &str| text.lines().last().map(str::to_owned);
    assert_eq!(last(&talk), last(&stderr(&planned)));
}

#[test]
fn wrong_words_are_refused_with_what_to_write() {
    refused(
        &["no such file.yaml"],
        &["no such file.yaml", "cannot be read"],
    );
    refused(
        &[HOUSE, "-o", "house.pdf"],
        &["`house.pdf`", "`.svg`", "`.png`", "hint:", "-o house.svg"],
    );
    refused(
        &[HOUSE, "-o", "house"],
        &["`house`", "hint:", "-o house.svg"],
    );
    refused(&[HOUSE, "-o", "-"], &["standard output", "hint:"]);
    refused(
        &[HOUSE, "--dots-per-mm", "8"],
        &["standard output", "-o house.png"],
    );
    refused(
        &[HOUSE, "-o", "a.svg", "--dots-per-mm", "8"],
        &["`a.svg`", ".png"],
    );
    refused(&[HOUSE, "--time", "4 h"], &["`--time`", "--layer plan"]);
    refused(&[HOUSE, "--layer", "plan", "--time", "four"], &["--time"]);
    refused(&[HOUSE, "--layer", "walls"], &["walls", "seams"]);
    refused(&[HOUSE, "--top", "0"], &["--top"]);
    for odd in ["0", "-3", "NaN", "inf", "1e9"] {
        let path = file("odd.png");
        let name = path.to_string_lossy();
        refused(
            &[HOUSE, "--layer", "ducts", "-o", &name, "--dots-per-mm", odd],
            &["millimetre", "--dots-per-mm 8"],
        );
        assert!(!path.exists());
    }
    let path = file("large.png");
    let name = path.to_string_lossy();
    refused(
        &[
            HOUSE,
            "--layer",
            "ducts",
            "--sheet",
            "a3",
            "-o",
            &name,
            "--dots-per-mm",
            "50",
        ],
        &["100 million", "fewer `--dots-per-mm`"],
    );
    assert!(!path.exists());
}

#[test]
fn a_folder_that_cannot_be_written_is_told() {
    let path = file("none").join("house.svg");
    let name = path.to_string_lossy();
    refused(
        &[HOUSE, "--layer", "ducts", "-o", &name],
        &["cannot be written", "no such file or folder"],
    );
    // a folder of that name
    let folder = file("folder.svg");
    std::fs::create_dir_all(&folder).expect("a folder");
    let name = folder.to_string_lossy();
    refused(
        &[HOUSE, "--layer", "ducts", "-o", &name],
        &["cannot be written"],
    );
}

#[test]
fn the_sketch_is_not_written_over() {
    let path = file("sketch.svg");
    std::fs::copy(HOUSE, &path).expect("copied");
    let name = path.to_string_lossy();
    refused(&[&name, "-o", &name], &["written over"]);
    assert_eq!(
        std::fs::read(&path).expect("there"),
        std::fs::read(HOUSE).expect("there")
    );
}
