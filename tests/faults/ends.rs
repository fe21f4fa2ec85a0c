//! Closed pipes, and ends in the middle of writing.

use std::fs;
use std::io::Read;
use std::process::{Command, Stdio};
use std::time::{Duration, SystemTime};

use crate::black_box::{program, stderr};
use crate::{names, scratch};

/// Commands whose answers are longer than a pipe holds or short, all read for one byte only.
#[test]
fn a_closed_pipe_ends_quietly() {
    let model = "models/two-storey.yaml";
    for words in [
        &["catalog"][..],
        &["catalog", "--format", "json"],
        &["schema"],
        &["check", model, "--format", "json"],
        &["draw", model],
        &["new"],
    ] {
        let mut child = program()
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(words)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut pipe = child.stdout.take().expect("a pipe");
        pipe.read_exact(&mut [0]).expect("a first byte");
        drop(pipe);
        let ended = child.wait_with_output().expect("it ends");
        assert_eq!(
            ended.status.code(),
            Some(0),
            "{words:?}: {}",
            stderr(&ended)
        );
        assert_eq!(stderr(&ended), "", "{words:?}");
    }
}

#[test]
fn nobody_listening_to_the_talk_is_no_fault() {
    let ended = Command::new("sh")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["-c", "exec \"$0\" check no-such.yaml 2>&-"])
        .arg(env!("CARGO_BIN_EXE_ductseam"))
        .output()
        .expect("sh runs");
    assert_eq!(ended.status.code(), Some(2));
    assert!(ended.stdout.is_empty());
}

/// Ended at any moment, the file holds all of the old or all of the new text.
#[test]
fn a_program_that_is_ended_leaves_a_whole_file() {
    let folder = scratch("ended");
    let target = folder.join("house.svg");
    let draw = || {
        program()
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["draw", "models/bungalow.yaml", "-o"])
            .arg(&target)
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts")
    };
    let started = std::time::Instant::now();
    assert!(draw().wait().expect("it ends").success());
    let whole_time = started.elapsed();
    let new = fs::read_to_string(&target).expect("drawn");
    let mut ended_early = 0;
    for k in 0..24 {
        fs::write(&target, "old").expect("written");
        let mut child = draw();
        // Moments spread over the whole run; whatever the machine does, each must leave a whole file.
        std::thread::sleep(whole_time * k / 20);
        let signal = if k % 2 == 0 { "INT" } else { "TERM" };
        let _ = Command::new("kill")
            .args([format!("-{signal}"), child.id().to_string()])
            .output();
        let status = child.wait().expect("it ends");
        ended_early += usize::from(status.code().is_none());
        let text = fs::read_to_string(&target).expect("there is a file");
        assert!(text == "old" || text == new, "{} bytes", text.len());
    }
    assert!(ended_early > 0, "no run was ended early");
}

/// What a run left that was ended while it wrote goes with the next answer; what may still be written to stays.
#[test]
fn what_an_ended_program_left_beside_a_file_is_cleared() {
    let folder = scratch("left");
    let old = SystemTime::now() - Duration::from_secs(3600);
    // No process has this number: the largest that Linux gives is 2²² (proc(5), pid_max).
    let gone = 4_194_305;
    let here = std::process::id();
    for (name, is_old) in [
        (format!(".house.yaml.{gone}.part"), true),
        (format!(".house.yaml.{}.part", gone + 1), false),
        (format!(".house.yaml.{here}.part"), true),
        (format!(".other.yaml.{gone}.part"), true),
        (".house.yaml.mine.part".to_owned(), true),
    ] {
        let file = fs::File::create(folder.join(name)).expect("made");
        if is_old {
            file.set_modified(old).expect("set");
        }
    }
    let written = program()
        .args(["new", "-o"])
        .arg(folder.join("house.yaml"))
        .output()
        .expect("the program starts");
    assert_eq!(written.status.code(), Some(0), "{}", stderr(&written));
    let mut left = vec![
        format!(".house.yaml.{}.part", gone + 1),
        format!(".house.yaml.{here}.part"),
        format!(".other.yaml.{gone}.part"),
        ".house.yaml.mine.part".to_owned(),
        "house.yaml".to_owned(),
    ];
    if !std::path::Path::new("/proc/self").exists() {
        left.push(format!(".house.yaml.{gone}.part"));
    }
    left.sort();
    assert_eq!(names(&folder), left);
}
