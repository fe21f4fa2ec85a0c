//! Faults round the program: full and read-only disks, closed pipes, ends in the middle, clocks and locales that differ.
#![cfg(unix)]

#[path = "common/program.rs"]
#[allow(dead_code)]
mod black_box;
#[cfg(feature = "page")]
#[path = "common/board_server.rs"]
#[allow(dead_code)]
mod board_server;

#[path = "faults/disks.rs"]
mod disks;
#[path = "faults/ends.rs"]
mod ends;
#[path = "faults/manners.rs"]
mod manners;

use std::fs;
use std::path::{Path, PathBuf};

/// An empty folder for one test.
fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("faults")
        .join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("it can be listed")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}
