//! Every input that fuzzing kept, and every one that once broke a reader, through the functions that fuzzing calls.
//!
//! `tests/fuzz/corpus/TARGET` holds them; see `Fuzzing and hostile input` in DEVELOPERS.md.

use std::fs;
use std::path::Path;

#[path = "fuzz/bodies.rs"]
mod bodies;
#[cfg(feature = "page")]
#[path = "fuzz/page_body.rs"]
mod page_body;

/// Gives every file of a target's corpus to its function; says which one failed.
fn each(target: &str, check: fn(&[u8])) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(target);
    let mut paths: Vec<_> = fs::read_dir(&folder)
        .expect("the corpus is part of the repository")
        .map(|entry| entry.expect("it can be listed").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 5, "{} files for {target}", paths.len());
    let failed: Vec<_> = paths
        .iter()
        .filter(|path| {
            let bytes = fs::read(path).expect("it can be read");
            std::panic::catch_unwind(|| check(&bytes)).is_err()
        })
        .collect();
    assert!(failed.is_empty(), "{target} fails at {failed:?}");
}

#[test]
fn sketches() {
    each("sketch", bodies::sketch);
}

#[test]
fn quantities() {
    each("quantity", bodies::quantity);
}

#[test]
fn overlays() {
    each("overlay", bodies::overlay);
}

#[test]
fn lists_and_series() {
    each("csv", bodies::csv);
}

#[test]
fn records_of_a_batch() {
    each("ndjson", bodies::ndjson);
}

#[test]
#[cfg(feature = "page")]
fn requests_of_the_page() {
    each("page", page_body::page);
}
