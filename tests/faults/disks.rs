//! Disks that are full, end at a size, or may not be written.

use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Output};

use crate::black_box::{program, stderr};
use crate::{names, scratch};

const MODEL: &str = "models/slab-attic.yaml";

/// Writes the picture of a model, some 100 kB, to a path.
fn draw_to(path: &Path) -> Output {
    program()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["draw", MODEL, "-o"])
        .arg(path)
        .output()
        .expect("the program starts")
}

/// Refused in words, exit 2, no panic.
fn refused(output: &Output, words: &str) {
    let told = stderr(output);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(
        told.starts_with("error: ") && told.contains(words),
        "{told}"
    );
    assert!(
        !told.contains("panicked") && !told.contains("os error"),
        "{told}"
    );
}

/// Mounts a small disk in memory; nothing, said aloud, where that is not allowed.
struct SmallDisk<'a>(&'a Path);

impl<'a> SmallDisk<'a> {
    fn mount(folder: &'a Path, bytes: u32, test: &str) -> Option<SmallDisk<'a>> {
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={bytes}"), "tmpfs"])
            .arg(folder)
            .output();
        if mounted.is_ok_and(|done| done.status.success()) {
            return Some(SmallDisk(folder));
        }
        eprintln!("\n#### SKIPPED: {test}: this user may not mount a disk (run as root)\n");
        None
    }

    fn read_only(&self) {
        let done = Command::new("mount")
            .args(["-o", "remount,ro"])
            .arg(self.0)
            .status();
        assert!(done.expect("mount runs").success());
    }
}

impl Drop for SmallDisk<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0).status();
    }
}

#[test]
fn an_answer_to_a_full_device_is_told() {
    let full = File::options()
        .write(true)
        .open("/dev/full")
        .expect("Linux has it");
    let output = program()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["check", MODEL])
        .stdout(full)
        .output()
        .expect("the program starts");
    refused(&output, "the answer cannot be written: the disk is full");
    let link = scratch("device").join("full.svg");
    std::os::unix::fs::symlink("/dev/full", &link).expect("linked");
    refused(&draw_to(&link), "cannot be written: the disk is full");
}

#[test]
fn a_full_disk_leaves_the_old_file_and_nothing_else() {
    let folder = scratch("full");
    let Some(_disk) = SmallDisk::mount(&folder, 16 * 1024, "a full disk") else {
        return;
    };
    let target = folder.join("house.svg");
    fs::write(&target, "old").expect("there is room for this");
    refused(&draw_to(&target), "cannot be written: the disk is full");
    assert_eq!(fs::read_to_string(&target).expect("read"), "old");
    assert_eq!(names(&folder), ["house.svg"]);
}

#[test]
#[cfg(feature = "page")]
fn a_save_to_a_full_disk_is_told_and_the_old_sketch_stays() {
    let folder = scratch("full-page");
    let Some(_disk) = SmallDisk::mount(&folder, 32 * 1024, "a save to a full disk") else {
        return;
    };
    let sketch = folder.join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("there is room for this");
    let server = crate::board_server::Server::start(&sketch);
    let reply = server.save(&format!("a: {}\n", "2".repeat(100_000)), 1, "a");
    assert_eq!(reply.status, 500, "{reply:?}");
    assert!(
        reply.refused().contains("the disk is full"),
        "{}",
        reply.refused()
    );
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 1\n");
    // What fits is saved afterwards.
    server.saved("a: 3\n", 1, "a");
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 3\n");
}

#[test]
fn a_file_that_ends_at_a_size_leaves_the_old_one_and_nothing_else() {
    let folder = scratch("size");
    let target = folder.join("house.svg");
    fs::write(&target, "old").expect("written");
    // Without the trap the system ends the process, as the person asked of it.
    let output = Command::new("sh")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f 8; exec \"$0\" draw \"$1\" -o \"$2\"",
        ])
        .args([env!("CARGO_BIN_EXE_ductseam"), MODEL])
        .arg(&target)
        .output()
        .expect("sh runs");
    refused(
        &output,
        "cannot be written: the file is larger than the system allows",
    );
    assert_eq!(fs::read_to_string(&target).expect("read"), "old");
    assert_eq!(names(&folder), ["house.svg"]);
}

#[test]
fn a_disk_that_may_not_be_written_is_told() {
    let folder = scratch("read-only");
    let Some(disk) = SmallDisk::mount(&folder, 1024 * 1024, "a read-only disk") else {
        return;
    };
    let target = folder.join("house.svg");
    fs::write(&target, "old").expect("written");
    disk.read_only();
    refused(
        &draw_to(&target),
        "cannot be written: the disk is read-only",
    );
    assert_eq!(fs::read_to_string(&target).expect("read"), "old");
}

#[test]
fn a_folder_that_is_not_there_or_is_a_file_is_told() {
    let folder = scratch("folders");
    refused(
        &draw_to(&folder.join("none/house.svg")),
        "no such file or folder",
    );
    fs::write(folder.join("file"), "").expect("written");
    refused(
        &draw_to(&folder.join("file/house.svg")),
        "a part of the path is no folder",
    );
    fs::create_dir(folder.join("taken.svg")).expect("made");
    refused(&draw_to(&folder.join("taken.svg")), "it is a folder");
    assert_eq!(names(&folder), ["file", "taken.svg"]);
}
