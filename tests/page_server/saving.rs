//! Saves, conflicts, other tabs, and changes from outside.

use std::fs;
use std::thread;

use crate::board_server::{Server, folder, until};

/// Line ends of two kinds, a byte order mark, a letter outside ASCII, no line end at the end.
const ODD: &str = "\u{feff}# caf\u{e9}\r\nductseam: 1\r\ntitle: odd\n\ttab\u{2028}";

#[test]
fn a_text_survives_byte_for_byte() {
    let sketch = folder("bytes").join("house.yaml");
    fs::write(&sketch, ODD).expect("written");
    let server = Server::start(&sketch);
    let opened = server.open();
    assert_eq!(opened["text"], ODD);
    assert_eq!(opened["revision"], 1);
    assert_eq!(opened["exists"], true);
    assert_eq!(opened["name"], "house.yaml");
    assert_eq!(opened["folder"], "bytes");
    assert_eq!(opened["photo"], false);
    assert!(opened["recovered"].is_null());
    assert_eq!(opened["version"], env!("CARGO_PKG_VERSION"));
    let changed = format!("{ODD}\r\n\"\\u0000\": '\u{1f300}'\n");
    let revision = server.saved(&changed, 1, "a");
    assert_eq!(revision, 2);
    assert_eq!(fs::read(&sketch).expect("read"), changed.as_bytes());
    assert_eq!(server.open()["text"], changed.as_str());
    // The same again is no other revision.
    assert_eq!(server.saved(&changed, revision, "a"), revision);
}

#[test]
fn a_new_sketch_is_made_at_the_first_change() {
    let folder = folder("new");
    let sketch = folder.join("house.yaml");
    let server = Server::start(&sketch);
    let opened = server.open();
    assert_eq!(
        (&opened["exists"], &opened["text"]),
        (&false.into(), &"".into())
    );
    assert_eq!(fs::read_dir(&folder).expect("read").count(), 0);
    server.saved("a: 1\n", 1, "a");
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: 1\n");
    assert!(!folder.join("house.yaml.bak").exists());
    assert_eq!(server.open()["exists"], true);
}

#[test]
fn the_backup_holds_the_file_as_it_was_before_the_first_save() {
    let folder = folder("backup");
    let sketch = folder.join("house.yaml");
    let backup = folder.join("house.yaml.bak");
    fs::write(&sketch, ODD).expect("written");
    fs::write(&backup, "of an earlier day").expect("written");
    let server = Server::start(&sketch);
    server.open();
    assert_eq!(
        fs::read_to_string(&backup).expect("read"),
        "of an earlier day"
    );
    let first = server.saved("a: 1\n", 1, "a");
    assert_eq!(fs::read(&backup).expect("read"), ODD.as_bytes());
    server.saved("a: 2\n", first, "a");
    assert_eq!(fs::read(&backup).expect("read"), ODD.as_bytes());
    drop(server);
    // Another start, another backup.
    let server = Server::start(&sketch);
    server.saved("a: 3\n", 1, "a");
    assert_eq!(fs::read_to_string(&backup).expect("read"), "a: 2\n");
}

#[test]
fn what_another_program_wrote_is_not_written_over_unasked() {
    let sketch = folder("conflict").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::write(&sketch, "a: theirs\n").expect("written");
    let reply = server.save("a: mine\n", 1, "a");
    assert_eq!(reply.status, 409);
    let told = reply.json();
    assert_eq!(told["outside"]["text"], "a: theirs\n");
    let theirs = told["outside"]["revision"].as_u64().expect("a revision");
    assert!(theirs > 1);
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: theirs\n");
    // After the person was asked.
    let reply = server.force("a: mine\n", theirs, "a");
    assert_eq!(reply.status, 200);
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: mine\n");
    let mine = reply.json()["revision"].as_u64().expect("a revision");
    assert!(mine > theirs);
    // And a later save goes on from there.
    server.saved("a: more\n", mine, "a");
}

#[test]
fn what_nobody_was_shown_is_not_written_over_by_force_either() {
    let sketch = folder("forced").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::write(&sketch, "a: theirs\n").expect("written");
    let reply = server.save("a: mine\n", 1, "a");
    let shown = reply.json()["outside"]["revision"]
        .as_u64()
        .expect("a revision");
    // Written while the person looked at the question.
    fs::write(&sketch, "a: newer\n").expect("written");
    let reply = server.force("a: mine\n", shown, "a");
    assert_eq!(reply.status, 409);
    assert_eq!(reply.json()["outside"]["text"], "a: newer\n");
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: newer\n");
    let shown = reply.json()["outside"]["revision"]
        .as_u64()
        .expect("a revision");
    assert_eq!(server.force("a: mine\n", shown, "a").status, 200);
    assert_eq!(fs::read_to_string(&sketch).expect("read"), "a: mine\n");
}

#[test]
fn the_same_change_from_outside_is_no_conflict() {
    let sketch = folder("same").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    fs::write(&sketch, "a: 2\n").expect("written");
    assert_eq!(server.saved("a: 2\n", 1, "a"), 2);
}

#[test]
fn a_change_from_outside_wakes_those_who_wait() {
    let sketch = folder("outside").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    let told = thread::scope(|scope| {
        // Each poll ends after 25 s at the latest; the page asks again.
        let waiting = scope.spawn(|| {
            until("news", || {
                let told = server.changes(1, "a");
                (told["revision"] != 1).then_some(told)
            })
        });
        fs::write(&sketch, "a: 2, of the same length?\n").expect("written");
        waiting.join().expect("told")
    });
    assert_eq!(told["revision"], 2);
    assert_eq!(told["text"], "a: 2, of the same length?\n");
    // Who asks late is told at once, and every tab is.
    assert_eq!(server.changes(1, "b"), told);
}

#[test]
fn a_change_of_the_same_size_and_time_is_found() {
    let sketch = folder("same-size").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let time = fs::metadata(&sketch)
        .and_then(|m| m.modified())
        .expect("a time");
    let server = Server::start(&sketch);
    server.open();
    fs::write(&sketch, "a: 2\n").expect("written");
    let file = fs::File::options()
        .write(true)
        .open(&sketch)
        .expect("there");
    file.set_modified(time).expect("set");
    let told = until("news", || {
        let told = server.changes(1, "a");
        (told["revision"] != 1).then_some(told)
    });
    assert_eq!(told["text"], "a: 2\n");
}

#[test]
fn the_save_of_one_tab_is_told_to_the_other() {
    let sketch = folder("tabs").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    let told = thread::scope(|scope| {
        let waiting = scope.spawn(|| server.changes(1, "b"));
        server.saved("a: 2\n", 1, "a");
        waiting.join().expect("told")
    });
    assert_eq!(
        (&told["revision"], &told["text"]),
        (&2.into(), &"a: 2\n".into())
    );
    // One's own save is no news.
    let own = server.changes(1, "a");
    assert_eq!(own["revision"], 2);
    assert!(own["text"].is_null());
    // What stands on the text before is not written over it.
    let reply = server.save("a: 3\n", 1, "b");
    assert_eq!(reply.status, 409);
    assert_eq!(reply.json()["outside"]["text"], "a: 2\n");
    server.saved("a: 3\n", 2, "b");
    assert_eq!(server.changes(2, "a")["text"], "a: 3\n");
}

#[test]
fn a_text_that_would_be_no_text_is_refused() {
    let sketch = folder("nul").join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    server.open();
    let reply = server.save("a: \0\n", 1, "a");
    assert_eq!(reply.status, 400);
    assert_eq!(fs::read(&sketch).expect("read"), b"a: 1\n");
}
