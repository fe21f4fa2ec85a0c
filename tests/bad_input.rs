//! Bad sketches: what is said of each, in full.
//!
//! Every `tests/bad/NAME.yaml` is a good sketch with one kind of thing broken, in one place or in several. `NAME.txt` beside it holds what
//! a person reads: first drawn by the program, then read through and mended until every line helped. All of it is invented.

use std::fs;
use std::path::{Path, PathBuf};

use ductseam::catalog::Catalog;
use ductseam::sketch::{self, Diagnostics};
use ductseam::system;

/// What is wrong with a file, in reading it or in joining its parts; `None` when nothing is.
fn refusal(bytes: &[u8], name: &str) -> Option<Diagnostics> {
    let sketch = match sketch::read_bytes(bytes, name) {
        Ok(sketch) => sketch,
        Err(wrong) => return Some(wrong),
    };
    let text = std::str::from_utf8(bytes).expect("it was read as UTF-8");
    system::build(&sketch, text, name, Catalog::builtin()).err()
}

fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the folder is part of the repository")
        .map(|entry| entry.expect("it can be listed").path())
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect();
    files.sort();
    files
}

#[test]
fn every_bad_sketch_is_refused_with_the_words_written_down() {
    let bad = files("bad", "yaml");
    assert!(bad.len() >= 30, "{} files", bad.len());
    let mut differ = Vec::new();
    for path in &bad {
        let name = path
            .file_name()
            .expect("a file")
            .to_string_lossy()
            .into_owned();
        let bytes = fs::read(path).expect("it can be read");
        let Some(found) = refusal(&bytes, &name) else {
            differ.push(format!("--- {name} is accepted"));
            continue;
        };
        let drawn = found.render(false);
        match fs::read_to_string(path.with_extension("txt")) {
            Err(_) => differ.push(format!("--- {name} has no .txt beside it; found\n{drawn}")),
            Ok(expected) if expected.replace("\r\n", "\n") != drawn => {
                differ.push(format!(
                    "--- {name} expected\n{expected}\n--- found\n{drawn}"
                ));
            }
            Ok(_) => {}
        }
    }
    assert!(
        differ.is_empty(),
        "{} of {} differ\n{}",
        differ.len(),
        bad.len(),
        differ.join("\n")
    );
}

#[test]
fn every_expected_text_belongs_to_a_sketch() {
    for path in files("bad", "txt") {
        assert!(path.with_extension("yaml").exists(), "{}", path.display());
    }
}

#[test]
fn good_sketches_are_not_refused() {
    for path in files("good", "yaml") {
        let bytes = fs::read(&path).expect("it can be read");
        if let Some(wrong) = refusal(&bytes, &path.display().to_string()) {
            panic!("{}", wrong.render(false));
        }
    }
}

#[test]
fn a_place_lies_within_the_text() {
    for path in files("bad", "yaml") {
        let bytes = fs::read(&path).expect("it can be read");
        let Some(found) = refusal(&bytes, "bad.yaml") else {
            continue;
        };
        for item in &found.items {
            assert!(
                found.text.get(item.at.start..item.at.end).is_some(),
                "{}: {item:?}",
                path.display()
            );
        }
    }
}
