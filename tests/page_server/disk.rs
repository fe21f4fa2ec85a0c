//! What is on disk after accidents: ends without warning, files and folders that cannot be written, files that went away.

use std::fs::{self, Permissions};
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};

use serde_json::json;
use sha2::{Digest, Sha256};

use crate::board_server::{Server, folder};

fn journal(sketch: &Path) -> PathBuf {
    let name = sketch.file_name().expect("a name").to_string_lossy();
    sketch.with_file_name(format!(".{name}.journal"))
}

fn digest(text: &str) -> String {
    Sha256::digest(text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

fn entry(base: Option<&str>, text: &str) -> String {
    let base = base.map(digest);
    json!({"when_ms": 1_700_000_000_000_u64, "base": base, "text": text}).to_string()
}

fn set_mode(path: &Path, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).expect("set");
}

#[test]
fn an_answered_save_survives_a_kill() {
    let sketch = folder("killed").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    server.saved("a: 2\n", 1, "a");
    server.kill();
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 2\n");
    assert!(journal(&sketch).is_file());
    let server = Server::start(&sketch);
    let opened = server.open();
    assert_eq!(opened["text"], "a: 2\n");
    assert!(opened["recovered"].is_null());
}

#[test]
fn what_was_kept_and_not_written_is_offered() {
    let sketch = folder("recovered").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    // Ended between journal and file, with the beginning of one more line.
    let kept = format!(
        "{}\n{}\n{{\"when_ms\":1",
        entry(None, "a: 1\n"),
        entry(Some("a: 1\n"), "a: \u{feff}2\r\n")
    );
    fs::write(journal(&sketch), kept).expect("written");
    let server = Server::start(&sketch);
    let opened = server.open();
    assert_eq!(opened["text"], "a: 1\n");
    assert_eq!(
        opened["recovered"],
        json!({"text": "a: \u{feff}2\r\n", "when_ms": 1_700_000_000_000_u64, "changed_since": false})
    );
    // Not decided yet: offered again after any end.
    assert!(server.end().success());
    let server = Server::start(&sketch);
    assert_eq!(server.open()["recovered"]["text"], "a: \u{feff}2\r\n");
    // Decided: no more.
    server.saved("a: \u{feff}2\r\n", 1, "a");
    assert!(server.open()["recovered"].is_null());
    assert!(server.end().success());
    assert!(!journal(&sketch).exists());
}

#[test]
fn who_declines_what_was_kept_is_not_asked_again() {
    let sketch = folder("declined").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    fs::write(journal(&sketch), entry(Some("a: 1\n"), "a: 2\n")).expect("written");
    let server = Server::start(&sketch);
    assert_eq!(server.open()["recovered"]["text"], "a: 2\n");
    // The text as it is, saved, is the decision.
    assert_eq!(server.saved("a: 1\n", 1, "a"), 1);
    server.kill();
    let server = Server::start(&sketch);
    assert!(server.open()["recovered"].is_null());
}

#[test]
fn what_stood_on_another_file_is_offered_as_such() {
    let sketch = folder("other-base").join("house.yaml");
    fs::write(&sketch, "a: 3\n").expect("written");
    fs::write(journal(&sketch), entry(Some("a: 1\n"), "a: 2\n") + "\n").expect("written");
    let server = Server::start(&sketch);
    let recovered = &server.open()["recovered"];
    assert_eq!(recovered["text"], "a: 2\n");
    assert_eq!(recovered["changed_since"], true);
    assert!(server.end().success());
    assert!(journal(&sketch).is_file());
}

#[test]
fn what_came_into_the_file_and_was_changed_elsewhere_is_not_offered() {
    let sketch = folder("old").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    server.saved("a: 2\n", 1, "a");
    server.kill();
    fs::write(&sketch, "a: 3\n").expect("written");
    let server = Server::start(&sketch);
    let opened = server.open();
    assert_eq!(opened["text"], "a: 3\n");
    assert!(opened["recovered"].is_null(), "{opened}");
}

#[test]
fn a_clean_end_leaves_no_journal() {
    let folder = folder("clean");
    let sketch = folder.join("house.yaml");
    let server = Server::start(&sketch);
    server.saved("a: 1\n", 1, "a");
    assert!(journal(&sketch).is_file());
    let status = server.end();
    assert_eq!(status.code(), Some(0));
    let left: Vec<_> = fs::read_dir(&folder)
        .expect("read")
        .map(|entry| entry.expect("an entry").file_name())
        .collect();
    assert_eq!(left, ["house.yaml"]);
}

#[test]
fn a_text_in_conflict_is_kept() {
    let sketch = folder("kept").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::write(&sketch, "a: theirs\n").expect("written");
    assert_eq!(server.save("a: mine\n", 1, "a").status, 409);
    assert!(server.end().success());
    let kept = fs::read_to_string(journal(&sketch)).expect("kept");
    assert!(kept.contains(r#""text":"a: mine\n""#), "{kept}");
    assert!(kept.contains(&digest("a: 1\n")), "{kept}");
}

#[test]
fn a_text_in_conflict_outlives_the_saves_of_others_and_is_offered() {
    let sketch = folder("undecided").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    server.saved("a: theirs\n", 1, "b");
    assert_eq!(server.save("a: mine\n", 1, "a").status, 409);
    // Tab `a` is closed with the question open; `b` works on, and the program ends as it should.
    server.saved("a: more of theirs\n", 2, "b");
    assert!(server.end().success());
    let server = Server::start(&sketch);
    let opened = server.open();
    assert_eq!(opened["text"], "a: more of theirs\n");
    assert_eq!(opened["recovered"]["text"], "a: mine\n");
    assert_eq!(opened["recovered"]["changed_since"], true);
    // Decided by any save: nothing is left.
    server.saved("a: more of theirs\n", 1, "c");
    assert!(server.open()["recovered"].is_null());
    assert!(server.end().success());
    assert!(!journal(&sketch).exists());
}

#[test]
fn a_decided_conflict_leaves_no_journal() {
    let sketch = folder("decided").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    server.saved("a: theirs\n", 1, "b");
    assert_eq!(server.save("a: mine\n", 1, "a").status, 409);
    server.saved("a: both\n", 2, "a");
    assert!(server.end().success());
    assert!(!journal(&sketch).exists());
}

#[test]
fn a_read_only_file_is_told_and_left() {
    let sketch = folder("read-only-file").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    set_mode(&sketch, 0o444);
    let server = Server::start(&sketch);
    let reply = server.save("a: 2\n", 1, "a");
    assert_eq!(reply.status, 500);
    assert!(reply.refused().ends_with("house.yaml` is read-only"));
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 1\n");
    set_mode(&sketch, 0o640);
    server.saved("a: 2\n", 1, "a");
    let mode = fs::metadata(&sketch).expect("there").permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
}

#[test]
fn a_read_only_folder_is_told_and_left() {
    let folder = folder("read-only-folder");
    let sketch = folder.join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    set_mode(&folder, 0o555);
    let server = Server::start(&sketch);
    let reply = server.save("a: 2\n", 1, "a");
    set_mode(&folder, 0o755);
    assert_eq!(reply.status, 500);
    assert!(
        reply.refused().ends_with("is read-only"),
        "{}",
        reply.refused()
    );
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 1\n");
    assert_eq!(fs::read_dir(&folder).expect("read").count(), 1);
    server.saved("a: 2\n", 1, "a");
}

#[test]
fn a_file_that_went_away_is_written_anew() {
    let folder = folder("vanished");
    let sketch = folder.join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::rename(&sketch, folder.join("elsewhere.yaml")).expect("moved");
    // A page loaded anew has lost nothing.
    let opened = server.open();
    assert_eq!(
        (&opened["text"], &opened["revision"]),
        (&"a: 1\n".into(), &1.into())
    );
    let reply = server.save("a: 2\n", 1, "a");
    assert_eq!(reply.status, 200);
    assert_eq!(
        reply.json()["words"],
        "`house.yaml` had been moved or deleted and was written anew"
    );
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 2\n");
    // Even unchanged.
    fs::remove_file(&sketch).expect("removed");
    server.saved("a: 2\n", 2, "a");
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 2\n");
    fs::remove_dir_all(&folder).expect("removed");
    let reply = server.save("a: 3\n", 2, "a");
    assert_eq!(reply.status, 500);
    assert!(reply.refused().ends_with("is no longer there"));
}

#[test]
fn a_folder_in_the_files_place_is_told() {
    let sketch = folder("replaced").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::remove_file(&sketch).expect("removed");
    fs::create_dir(&sketch).expect("made");
    for reply in [
        server.save("a: 2\n", 1, "a"),
        server.force("a: 2\n", 1, "a"),
    ] {
        assert_eq!(reply.status, 500);
        assert!(reply.refused().contains("folder"), "{}", reply.refused());
    }
    fs::remove_dir(&sketch).expect("removed");
    server.saved("a: 2\n", 1, "a");
}

#[test]
fn what_is_no_text_any_more_is_told_and_written_over_only_when_asked() {
    let folder = folder("no-text");
    let sketch = folder.join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::write(&sketch, b"a: \xff\n").expect("written");
    let reply = server.save("a: 2\n", 1, "a");
    assert_eq!(reply.status, 500);
    assert!(reply.refused().ends_with("is not UTF-8 text (byte 4)"));
    assert_eq!(fs::read(&sketch).expect("read"), b"a: \xff\n");
    // Even where the text is the one that was known.
    assert_eq!(server.force("a: 1\n", 1, "a").status, 200);
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 1\n");
    let backup = fs::read(folder.join("house.yaml.bak")).expect("read");
    assert_eq!(backup, b"a: \xff\n");
}

#[test]
fn links_are_followed() {
    let folder = folder("links");
    let real = folder.join("real");
    fs::create_dir(&real).expect("made");
    fs::write(real.join("house.yaml"), "a: 1\n").expect("written");
    let link = folder.join("link.yaml");
    symlink("real/house.yaml", &link).expect("linked");
    let server = Server::start(&link);
    assert_eq!(server.open()["text"], "a: 1\n");
    server.saved("a: 2\n", 1, "a");
    assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
    assert_eq!(
        fs::read_to_string(real.join("house.yaml")).expect("read"),
        "a: 2\n"
    );
    assert!(real.join("house.yaml.bak").is_file());
}

#[test]
fn a_link_in_place_of_the_backup_is_not_followed() {
    let folder = folder("planted");
    let sketch = folder.join("house.yaml");
    let other = folder.join("other");
    fs::write(&sketch, "a: 1\n").expect("written");
    fs::write(&other, "not to be touched").expect("written");
    symlink(&other, folder.join("house.yaml.bak")).expect("linked");
    let server = Server::start(&sketch);
    server.saved("a: 2\n", 1, "a");
    assert_eq!(
        fs::read_to_string(&other).expect("read"),
        "not to be touched"
    );
}
