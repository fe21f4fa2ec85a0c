//! The program run for a class: its answers, and an exercise made in a folder of its own. Each file of tests uses a part of it.

#![allow(dead_code)]

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use super::black_box::{run, stderr, stdout};

pub const BUNGALOW: &str = "models/bungalow.yaml";
pub const RIG: &str = "models/classroom-rig.yaml";

pub fn exit(arguments: &[&str], code: i32) -> String {
    let output = run(arguments);
    assert_eq!(
        output.status.code(),
        Some(code),
        "{arguments:?}: {}",
        stderr(&output)
    );
    if code == 2 {
        assert!(stdout(&output).is_empty(), "{}", stdout(&output));
        stderr(&output)
    } else {
        stdout(&output)
    }
}

/// An answer, doubtful or not.
pub fn answered(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_ne!(output.status.code(), Some(2), "{}", stderr(&output));
    stdout(&output)
}

pub fn one_screen(text: &str) {
    assert!(text.lines().count() <= 48, "{}", text.lines().count());
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
        assert_eq!(line, line.trim_end());
        assert!(!line.contains("NaN") && !line.contains("inf "), "{line}");
    }
}

/// An empty folder of its own for one test.
pub fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("teaching")
        .join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

pub fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// An exercise made of a sketch.
pub struct Class {
    pub folder: PathBuf,
    pub sketch: String,
    pub answers: String,
    pub said: String,
}

impl Class {
    pub fn of(name: &str, sketch: &str, seed: &str) -> Class {
        let folder = folder(name);
        let (to, answers) = (
            shown(&folder.join("class.yaml")),
            shown(&folder.join("class.answers.json")),
        );
        let said = exit(
            &[
                "exercise",
                sketch,
                "--seed",
                seed,
                "-o",
                &to,
                "--answers",
                &answers,
            ],
            0,
        );
        Class {
            folder,
            sketch: to,
            answers,
            said,
        }
    }

    /// Ids by falling true flow.
    pub fn truly(&self) -> Vec<String> {
        let mut seams: Vec<(f64, String)> = self.kept()["seams"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|seam| {
                (
                    number(&seam["test_m3_s"]),
                    seam["id"].as_str().expect("a name").to_owned(),
                )
            })
            .collect();
        seams.sort_by(|a, b| b.0.total_cmp(&a.0));
        seams.into_iter().map(|(_, id)| id).collect()
    }

    pub fn kept(&self) -> Value {
        let text = fs::read_to_string(&self.answers).expect("answers");
        serde_json::from_str(&text).expect("JSON")
    }

    pub fn list(&self, text: &str) -> String {
        let file = self.folder.join("learner.csv");
        fs::write(&file, text).expect("written");
        shown(&file)
    }

    pub fn marks(&self, list: &str) -> Value {
        let list = self.list(list);
        let text = answered(&[
            "exercise",
            &self.sketch,
            "--mark",
            &list,
            "--answers",
            &self.answers,
            "--draws",
            "500",
            "--format",
            "json",
        ]);
        serde_json::from_str(&text).expect("JSON")
    }

    pub fn refusal(&self, list: &str) -> String {
        let list = self.list(list);
        let ask = [
            "exercise",
            &self.sketch,
            "--mark",
            &list,
            "--answers",
            &self.answers,
        ];
        exit(&ask, 2)
    }
}

pub fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}
