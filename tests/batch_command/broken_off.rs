//! Runs that are broken off: nothing lost, nothing doubled.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::black_box::{program, stderr};
use super::{batch, files, record, records, scratch, sketch};

/// Many records, some of them bad, one of a name that was there.
fn mixed() -> String {
    let mut text = records(70);
    text.push_str("nonsense\n");
    text.push_str(&record("bad", "ductseam: 1\n"));
    text.push_str(&record("h5", &sketch("again", "50 cfm")));
    text.push_str(
        &records(140)
            .lines()
            .skip(70)
            .map(|line| format!("{line}\n"))
            .collect::<String>(),
    );
    text
}

fn start(folder: &Path) -> std::process::Child {
    program()
        .current_dir(folder)
        .args([
            "batch",
            "all.ndjson",
            "-o",
            "out",
            "--draws",
            "500",
            "--threads",
            "2",
        ])
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts")
}

fn journal_lines(folder: &Path) -> usize {
    std::fs::read_to_string(folder.join("out/journal.ndjson"))
        .map_or(0, |text| text.lines().count())
}

fn whole(folder: &Path) -> Vec<(String, Vec<u8>)> {
    std::fs::write(folder.join("all.ndjson"), mixed()).expect("written");
    let output = batch(folder, &["all.ndjson", "-o", "whole"], "");
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let found = files(&folder.join("whole"));
    let rows = |name: &str| {
        let (_, bytes) = found.iter().find(|(n, _)| n == name).expect(name);
        bytes.iter().filter(|byte| **byte == b'\n').count()
    };
    assert_eq!(rows("systems.ndjson"), 141);
    assert_eq!(rows("systems.csv") - 1, 141);
    assert_eq!(rows("faults.ndjson"), 3);
    assert_eq!(rows("evidence.ndjson"), 140);
    found
}

/// Killed again and again, each time after some more has been made safe, then left to end: the files are those of a run that
/// was never disturbed, byte for byte.
#[test]
fn a_killed_run_goes_on_where_it_stopped() {
    let folder = scratch("killed");
    let expected = whole(&folder);
    let mut kills = 0;
    loop {
        let before = journal_lines(&folder);
        let mut child = start(&folder);
        let begun = Instant::now();
        let ended = loop {
            if let Some(status) = child.try_wait().expect("it can be asked") {
                break Some(status);
            }
            if kills < 4 && journal_lines(&folder) > before + usize::from(before == 0) {
                // In the middle of whatever it does next.
                std::thread::sleep(Duration::from_millis(37 * (kills + 1)));
                child.kill().expect("killed");
                let _ = child.wait();
                kills += 1;
                break None;
            }
            assert!(
                begun.elapsed() < Duration::from_secs(300),
                "it does not come to an end"
            );
            std::thread::sleep(Duration::from_millis(5));
        };
        if let Some(status) = ended {
            // Skipped records of an earlier run are not told again; those of this one are.
            assert!(matches!(status.code(), Some(0 | 1)), "{status}");
            break;
        }
    }
    assert!(kills > 0, "it ended before it could be killed");
    assert_eq!(files(&folder.join("out")), expected);
    let again = batch(&folder, &["all.ndjson", "-o", "out"], "");
    assert_eq!(again.status.code(), Some(0), "{}", stderr(&again));
    assert!(
        stderr(&again).contains("answered 0, 143 done before"),
        "{}",
        stderr(&again)
    );
    assert_eq!(files(&folder.join("out")), expected);
}

/// What a power cut may leave: rows that the journal does not know, and half a line of the journal.
#[test]
fn torn_ends_are_cut_away() {
    let folder = scratch("torn");
    let expected = whole(&folder);
    let journal = std::fs::read(folder.join("whole/journal.ndjson")).expect("a journal");
    let ends: Vec<usize> = (0..journal.len())
        .filter(|at| journal[*at] == b'\n')
        .collect();
    assert!(ends.len() >= 2, "head and one entry");
    for cut in [
        ends[0] + 1,
        ends[0] + 20,
        *ends.last().expect("one") - 3,
        ends[0] / 2,
    ] {
        let out = folder.join("out");
        let _ = std::fs::remove_dir_all(&out);
        std::fs::create_dir(&out).expect("made");
        // Half a head is no journal: then the files would be somebody else's, so none are there.
        if cut > ends[0] {
            for (name, bytes) in &expected {
                let torn = [bytes.as_slice(), b"{\"half\": "].concat();
                std::fs::write(out.join(name), torn).expect("written");
            }
        }
        std::fs::write(out.join("journal.ndjson"), &journal[..cut]).expect("written");
        let output = batch(&folder, &["all.ndjson", "-o", "out"], "");
        // 1 where the bad records are told anew.
        let code = output.status.code();
        assert!(matches!(code, Some(0 | 1)), "{cut}: {}", stderr(&output));
        assert_eq!(files(&out), expected, "journal cut after {cut} bytes");
    }
}

#[test]
fn other_settings_strange_files_and_changed_records_are_told() {
    let folder = scratch("other");
    std::fs::write(folder.join("all.ndjson"), records(3)).expect("written");
    let run = |words: &[&str]| batch(&folder, &[&["all.ndjson", "-o", "out"], words].concat(), "");
    assert_eq!(run(&[]).status.code(), Some(0));
    let before = files(&folder.join("out"));
    let other = run(&["--seed", "2"]);
    assert_eq!(other.status.code(), Some(2));
    assert!(
        stderr(&other).contains("answers of a run with other settings"),
        "{}",
        stderr(&other)
    );
    assert_eq!(files(&folder.join("out")), before);
    // A record that says something else now.
    std::fs::write(
        folder.join("all.ndjson"),
        records(3).replace("41 cfm", "44 cfm"),
    )
    .expect("written");
    let changed = run(&[]);
    assert_eq!(changed.status.code(), Some(1));
    assert!(
        stderr(&changed).contains("changed since it was answered"),
        "{}",
        stderr(&changed)
    );
    assert_eq!(files(&folder.join("out")), before);
    let anew = run(&["--anew"]);
    assert_eq!(anew.status.code(), Some(0), "{}", stderr(&anew));
    assert_ne!(files(&folder.join("out")), before);
    // Later records are added.
    std::fs::write(
        folder.join("all.ndjson"),
        records(5).replace("41 cfm", "44 cfm"),
    )
    .expect("written");
    let more = run(&[]);
    assert_eq!(more.status.code(), Some(0));
    assert!(
        stderr(&more).contains("answered 2, 3 done before"),
        "{}",
        stderr(&more)
    );
    // Somebody else's files.
    std::fs::create_dir(folder.join("mine")).expect("made");
    std::fs::write(folder.join("mine/seams.csv"), "mine").expect("written");
    let strange = batch(&folder, &["all.ndjson", "-o", "mine"], "");
    assert_eq!(strange.status.code(), Some(2));
    assert_eq!(
        std::fs::read(folder.join("mine/seams.csv")).expect("kept"),
        b"mine"
    );
    // A file that got shorter.
    std::fs::write(folder.join("out/seams.csv"), "").expect("written");
    let shorter = run(&[]);
    assert_eq!(shorter.status.code(), Some(2));
    assert!(
        stderr(&shorter).contains("shorter than the journal says"),
        "{}",
        stderr(&shorter)
    );
    // Its own input.
    std::fs::write(folder.join("mine/a.yaml"), sketch("a", "50 cfm")).expect("written");
    let own = batch(&folder, &["mine", "-o", "mine"], "");
    assert!(
        stderr(&own).contains("lies in the folder that the answers go to"),
        "{}",
        stderr(&own)
    );
}

/// Files may not grow past a limit, as on a full disk: it says so and ends with 2; once there is room it goes on.
#[cfg(unix)]
#[test]
fn a_full_disk_loses_nothing() {
    let folder = scratch("full");
    let expected = whole(&folder);
    // 60 blocks of 512 bytes; the signal that comes with it is turned off, so that writing fails as on a full disk.
    let script =
        "trap '' XFSZ; ulimit -f 60; exec \"$PROGRAM\" batch all.ndjson -o out --draws 500";
    let output = Command::new("sh")
        .current_dir(&folder)
        .args(["-c", script])
        .env("PROGRAM", env!("CARGO_BIN_EXE_ductseam"))
        .output()
        .expect("it runs");
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert!(
        stderr(&output).contains("what has been answered is kept"),
        "{}",
        stderr(&output)
    );
    let output = batch(&folder, &["all.ndjson", "-o", "out"], "");
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    assert_eq!(files(&folder.join("out")), expected);
}

/// Two runs into one folder at once: the second is turned away.
#[test]
fn two_runs_do_not_write_into_one_folder() {
    let folder = scratch("two");
    std::fs::write(folder.join("all.ndjson"), records(140)).expect("written");
    let mut first = start(&folder);
    let begun = Instant::now();
    while journal_lines(&folder) == 0 {
        assert!(begun.elapsed() < Duration::from_secs(60), "no journal");
        std::thread::sleep(Duration::from_millis(5));
    }
    let second = batch(&folder, &["all.ndjson", "-o", "out"], "");
    let is_running = first.try_wait().expect("it can be asked").is_none();
    let _ = first.kill();
    let _ = first.wait();
    assert!(
        is_running,
        "the first run was over too early for this test to say anything"
    );
    assert_eq!(second.status.code(), Some(2));
    assert!(
        stderr(&second).contains("another run is writing into `out`"),
        "{}",
        stderr(&second)
    );
}

#[test]
fn a_folder_that_cannot_be_made_is_said() {
    let folder = scratch("no_folder");
    std::fs::write(folder.join("file"), "").expect("written");
    let output = batch(&folder, &["-", "-o", "file/out"], &records(1));
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("cannot be written"),
        "{}",
        stderr(&output)
    );
}
