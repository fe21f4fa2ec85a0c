//! The children that compute. A child is held still by SIGSTOP where the test needs it at work.
#![cfg(target_os = "linux")]

use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::process::Stdio;
use std::sync::mpsc;
use std::thread;

use crate::board_server::{PATIENCE, Server, folder, program, request, signal, until};

const ASK: &str = r#"{"ask":"choices"}"#;

fn server(name: &str) -> Server {
    let sketch = folder(name).join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    Server::start(&sketch)
}

/// Processes whose parent is `pid`, with their state.
fn children(pid: u32) -> Vec<(u32, char)> {
    let parent = pid.to_string();
    let mut found: Vec<(u32, char)> = fs::read_dir("/proc")
        .expect("processes")
        .filter_map(|entry| {
            let child = entry.ok()?.file_name().to_str()?.parse().ok()?;
            let stat = fs::read_to_string(format!("/proc/{child}/stat")).ok()?;
            // After the name, which stands in brackets and may hold anything: state, parent.
            let mut words = stat.rsplit_once(')')?.1.split_whitespace();
            let state = words.next()?.chars().next()?;
            (words.next()? == parent).then_some((child, state))
        })
        .collect();
    found.sort_unstable();
    found
}

/// The one child, once it is there.
fn only_child(server: &Server) -> u32 {
    let found = children(server.pid());
    assert_eq!(found.len(), 1, "{found:?}");
    found[0].0
}

fn hold_still(child: u32) {
    signal("STOP", child);
    until("a child held still", || {
        let stat = fs::read_to_string(format!("/proc/{child}/stat")).ok()?;
        stat.rsplit_once(") ")?.1.starts_with('T').then_some(())
    });
}

/// Takes the request that waits in a still child's pipe: from then on the child is at work, and never answers.
fn take_request(child: u32) {
    let (to, from) = mpsc::channel();
    thread::spawn(move || {
        let pipe = fs::File::open(format!("/proc/{child}/fd/0")).expect("its pipe");
        let mut line = String::new();
        BufReader::new(pipe)
            .read_line(&mut line)
            .expect("a request");
        // Nobody listens if the test has given up.
        let _ = to.send(line);
    });
    let line = from.recv_timeout(PATIENCE).expect("a request in time");
    assert!(line.ends_with('\n'), "{line}");
}

fn has_ended(child: u32) -> bool {
    let stat = fs::read_to_string(format!("/proc/{child}/stat")).unwrap_or_default();
    stat.rsplit_once(") ")
        .is_none_or(|(_, rest)| rest.starts_with('Z'))
}

/// What the worker says by itself.
fn by_itself(lines: &str) -> String {
    let mut child = program()
        .args(["page", "--work"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut input = child.stdin.take().expect("stdin");
    input.write_all(lines.as_bytes()).expect("sent");
    drop(input);
    let output = child.wait_with_output().expect("ended");
    assert!(output.status.success());
    String::from_utf8(output.stdout).expect("UTF-8")
}

#[test]
fn the_worker_answers_a_line_for_a_line() {
    let said = by_itself(&format!("{ASK}\nno JSON\n\n{ASK}\n"));
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), 4);
    assert_eq!(lines[0], lines[3]);
    for line in &lines {
        let told: serde_json::Value = serde_json::from_str(line).expect("JSON");
        assert!(told["ok"].is_boolean());
    }
    assert!(lines[1].contains(r#""ok":false"#));
}

#[test]
fn a_reply_is_passed_on_as_it_is() {
    let server = server("passed");
    let expected = by_itself(&format!("{ASK}\n"));
    for lane in ["quick", "slow"] {
        let reply = server.work("a", lane, ASK);
        assert_eq!(reply.status, 200);
        assert_eq!(reply.header("content-type"), Some("application/json"));
        assert_eq!(reply.body, expected.trim_end().as_bytes());
    }
    // One for each lane, and used again.
    let pids = || -> Vec<u32> { children(server.pid()).iter().map(|(pid, _)| *pid).collect() };
    let first = pids();
    assert_eq!(first.len(), 2);
    let spread = server.work("a", "quick", "{\n  \"ask\":\r\n \"choices\"\n}\n");
    assert_eq!(spread.body, expected.trim_end().as_bytes());
    assert_eq!(pids(), first);
}

#[test]
fn a_child_that_dies_at_work_is_told_and_replaced() {
    let server = server("dies");
    let expected = server.work("a", "quick", ASK).body;
    let child = only_child(&server);
    hold_still(child);
    thread::scope(|scope| {
        let asked = scope.spawn(|| server.work("a", "quick", ASK));
        take_request(child);
        signal("KILL", child);
        let reply = asked.join().expect("answered");
        assert_eq!(reply.status, 200);
        assert_eq!(reply.refused(), "the computation ended without an answer");
    });
    let reply = server.work("a", "quick", ASK);
    assert_eq!((reply.status, reply.body), (200, expected));
    assert_ne!(only_child(&server), child);
}

#[test]
fn a_child_that_died_idle_is_replaced_unseen() {
    let server = server("idle");
    let expected = server.work("a", "quick", ASK).body;
    let child = only_child(&server);
    signal("KILL", child);
    until("its end", || {
        let found = children(server.pid());
        found.iter().all(|(_, state)| *state == 'Z').then_some(())
    });
    assert_eq!(server.work("a", "quick", ASK).body, expected);
}

#[test]
fn a_newer_slow_request_makes_the_older_stale() {
    let server = server("stale");
    let expected = server.work("a", "slow", ASK).body;
    let child = only_child(&server);
    hold_still(child);
    thread::scope(|scope| {
        let older = scope.spawn(|| server.work("a", "slow", ASK));
        take_request(child);
        // Neither another tab nor the other lane is touched.
        assert_eq!(server.work("b", "slow", ASK).body, expected);
        assert_eq!(server.work("a", "quick", ASK).body, expected);
        assert!(!older.is_finished());
        let reply = server.work("a", "slow", ASK);
        assert_eq!((reply.status, reply.body), (200, expected));
        let reply = older.join().expect("answered");
        assert_eq!(reply.status, 409);
        assert_eq!(reply.json(), serde_json::json!({"stale": true}));
    });
    until("the old child's end", || has_ended(child).then_some(()));
}

#[test]
fn a_quick_request_waits_for_the_one_before() {
    let server = server("turns");
    let expected = server.work("a", "quick", ASK).body;
    let child = only_child(&server);
    hold_still(child);
    thread::scope(|scope| {
        let both = [(); 2].map(|()| scope.spawn(|| server.work("a", "quick", ASK)));
        signal("CONT", child);
        for one in both {
            let reply = one.join().expect("answered");
            assert_eq!((reply.status, &reply.body), (200, &expected));
        }
    });
    assert_eq!(only_child(&server), child);
}

#[test]
fn whose_asker_has_gone_ends_and_its_reply_is_nobodys() {
    let server = server("gone");
    let expected = server.work("a", "quick", ASK).body;
    let child = only_child(&server);
    hold_still(child);
    let (host, token) = (server.host(), server.token.clone());
    let headers = [
        ("Host", host.as_str()),
        ("X-Board-Token", token.as_str()),
        ("Content-Length", "4"),
    ];
    let mut stream = server.connect();
    let line = "POST /api/ask?tab=a&lane=quick HTTP/1.1";
    stream
        .write_all(&request(line, &headers, b"null"))
        .expect("sent");
    take_request(child);
    drop(stream);
    until("the child's end", || has_ended(child).then_some(()));
    assert_eq!(server.work("a", "quick", ASK).body, expected);
}

#[test]
fn there_are_never_many_children() {
    let server = server("many");
    let mut seen = BTreeSet::new();
    for n in 0..20 {
        let reply = server.work(&format!("tab-{n}"), "quick", ASK);
        assert_eq!(reply.status, 200);
        let found = children(server.pid());
        let living = found.iter().filter(|(_, state)| *state != 'Z').count();
        // One that was let go may still be on its way out.
        assert!(living <= 9, "{found:?}");
        seen.extend(found.iter().map(|(child, _)| *child));
    }
    assert!(seen.len() >= 20, "{seen:?}");
    until("the end of those let go", || {
        (children(server.pid()).len() <= 8).then_some(())
    });
}

#[test]
fn children_end_with_the_server() {
    for is_clean in [true, false] {
        let server = server(if is_clean { "ended" } else { "crashed" });
        for lane in ["quick", "slow"] {
            server.work("a", lane, ASK);
        }
        let found = children(server.pid());
        assert_eq!(found.len(), 2);
        if is_clean {
            assert_eq!(server.end().code(), Some(0));
        } else {
            server.kill();
        }
        for (child, _) in found {
            until("the child's end", || has_ended(child).then_some(()));
        }
    }
}
