//! The JSON Schema of a sketch, held against an independent validator: good files pass, files of the wrong shape fail.

use std::fs;
use std::path::Path;

use ductseam::sketch;
use serde_json::Value;

/// Codes of mistakes in the shape of a file, which a schema can see.
const OF_SHAPE: [&str; 8] = [
    "E0105", "E0109", "E0110", "E0111", "E0112", "E0113", "E0140", "E0142",
];

/// Files whose mistakes carry such a code and that a schema cannot see, with the reason.
const UNSEEN: [(&str, &str); 3] = [
    ("from-bad-face", "the face is a word inside `from`"),
    (
        "merge-key",
        "the YAML reader of this test merges `<<` before the schema sees it",
    ),
    (
        "zone-and-share",
        "two optional keys that exclude each other",
    ),
];

fn validator() -> jsonschema::Validator {
    let schema: Value = serde_json::from_str(&sketch::schema()).expect("the schema is JSON");
    jsonschema::meta::validate(&schema).expect("the schema is a schema");
    jsonschema::validator_for(&schema).expect("the schema can be used")
}

fn files(folder: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(folder);
    let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("the folder is part of the repository")
        .map(|entry| entry.expect("it can be listed").path())
        .filter(|path| path.extension().is_some_and(|found| found == "yaml"))
        .map(|path| {
            (
                path.file_stem()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
                fs::read(&path).expect("it can be read"),
            )
        })
        .collect();
    files.sort();
    files
}

#[test]
fn the_schema_accepts_the_starter_and_all_good_sketches() {
    let validator = validator();
    let mut good = files("good");
    good.push(("starter".into(), sketch::starter().as_bytes().to_vec()));
    for (name, bytes) in good {
        let text = String::from_utf8(bytes).expect("good sketches are UTF-8");
        let value: Value = serde_yaml::from_str(&text).expect("good sketches are YAML");
        let errors: Vec<String> = validator
            .iter_errors(&value)
            .map(|error| format!("{} at {}", error, error.instance_path()))
            .collect();
        assert!(errors.is_empty(), "{name}: {}", errors.join("\n"));
    }
}

#[test]
fn the_schema_rejects_every_sketch_of_the_wrong_shape() {
    let validator = validator();
    let mut seen = 0;
    let mut accepted = Vec::new();
    for (name, bytes) in files("bad") {
        let Err(wrong) = sketch::read_bytes(&bytes, &name) else {
            continue;
        };
        let of_shape = wrong.items.iter().any(|item| OF_SHAPE.contains(&item.code));
        let value = std::str::from_utf8(&bytes)
            .ok()
            .and_then(|text| serde_yaml::from_str::<Value>(text).ok());
        if let (true, Some(value)) = (of_shape, value) {
            seen += 1;
            if validator.is_valid(&value) {
                accepted.push(name);
            }
        }
    }
    let unseen: Vec<&str> = UNSEEN.iter().map(|(name, _)| *name).collect();
    assert_eq!(accepted, unseen);
    assert!(seen >= 30, "only {seen} files were held against the schema");
}

#[test]
fn the_schema_knows_quantities_without_units() {
    let validator = validator();
    let good = sketch::starter();
    for (from, to) in [
        ("size: 16x8 in", "size: 16x8"),
        ("floor area: 1400 ft2", "floor area: 1400"),
        ("section: 4 ft", "section: 4 cfm"),
    ] {
        assert!(good.contains(from));
        let value: Value = serde_yaml::from_str(&good.replace(from, to)).expect("it is still YAML");
        assert!(!validator.is_valid(&value), "{to}");
    }
}
