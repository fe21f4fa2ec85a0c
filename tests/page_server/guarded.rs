//! Who is let in. Every answer's headers are checked where it is read.

use std::fs;
use std::io::{BufReader, Write};

use crate::board_server::{Server, folder, read_reply, request, until};

fn server(name: &str) -> Server {
    let sketch = folder(name).join("house.yaml");
    fs::write(&sketch, "secret: 1\n").expect("written");
    Server::start(&sketch)
}

const OPEN: &str = "POST /api/open HTTP/1.1";
const PAGE: &str = "GET / HTTP/1.1";

#[test]
fn the_page_and_its_parts_are_served() {
    let server = server("parts");
    for (path, kind) in [
        ("/", "text/html; charset=utf-8"),
        ("/front.js", "text/javascript; charset=utf-8"),
        ("/front.css", "text/css; charset=utf-8"),
    ] {
        let reply = server.send(
            &format!("GET {path} HTTP/1.1"),
            &[("Host", &server.host())],
            b"",
        );
        assert_eq!(
            (reply.status, reply.header("content-type")),
            (200, Some(kind))
        );
        assert!(!reply.body.is_empty());
        // The token is told in the terminal alone.
        assert!(!String::from_utf8_lossy(&reply.body).contains(&server.token));
    }
}

#[test]
fn without_the_token_nothing_of_the_sketch_is_told() {
    let server = server("token");
    let host = server.host();
    let right = server.token.clone();
    let mut wrong = right.clone();
    wrong.replace_range(0..1, if right.starts_with('0') { "1" } else { "0" });
    let longer = format!("{right}0");
    let open = |tokens: &[&str]| {
        let mut headers = vec![("Host", host.as_str()), ("Content-Length", "0")];
        headers.extend(tokens.iter().map(|token| ("X-Board-Token", *token)));
        server.send(OPEN, &headers, b"")
    };
    for tokens in [
        &[][..],
        &[""],
        &[&wrong],
        &[&right[..63]],
        &[&longer],
        &[&right, &wrong],
        &[&right, &right],
    ] {
        let reply = open(tokens);
        assert_eq!(reply.status, 403, "{tokens:?}");
        assert_eq!(reply.refused(), "this page has lost its key to the sketch");
    }
    assert_eq!(open(&[&right]).json()["text"], "secret: 1\n");
    // Nor is told what there would be.
    let reply = server.send("GET /api/nothing HTTP/1.1", &[("Host", &host)], b"");
    assert_eq!(reply.status, 403);
}

#[cfg(target_os = "linux")]
#[test]
fn a_browser_is_opened_with_a_key_that_is_good_once() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder("opened");
    let (tools, told) = (folder.join("tools"), folder.join("told"));
    fs::create_dir(&tools).expect("made");
    // What opens addresses here only notes what it is asked.
    let opener = tools.join("xdg-open");
    fs::write(
        &opener,
        format!("#!/bin/sh\necho \"$1\" > '{}'\n", told.display()),
    )
    .expect("written");
    fs::set_permissions(&opener, fs::Permissions::from_mode(0o755)).expect("set");
    let server = Server::start_with(&folder.join("house.yaml"), &[], |program| {
        program.env("PATH", &tools);
    });
    let address = until("an address", || {
        let address = fs::read_to_string(&told).ok()?;
        address
            .ends_with('\n')
            .then(|| address.trim_end().to_owned())
    });
    assert!(!address.contains(&server.token), "{address}");
    let (home, key) = address.split_once("/#").expect("a key");
    assert_eq!(home, format!("http://{}", server.host()));
    let host = server.host();
    let with = |line: &str, key: &str| {
        let headers = [
            ("Host", host.as_str()),
            ("X-Board-Token", key),
            ("Content-Length", "0"),
        ];
        server.send(line, &headers, b"")
    };
    let change = "POST /api/key HTTP/1.1";
    assert_eq!(with(OPEN, key).status, 403);
    assert_eq!(with(change, &server.token).status, 403);
    let reply = with(change, key);
    assert_eq!(reply.status, 200);
    assert_eq!(reply.json()["token"], server.token.as_str());
    assert_eq!(with(change, key).status, 403);
}

#[test]
fn only_its_own_name_is_answered() {
    let server = server("host");
    let port = server.port;
    for host in [
        "example.org".to_owned(),
        format!("example.org:{port}"),
        "127.0.0.1".to_owned(),
        format!("127.0.0.1:{}", port ^ 1),
        format!("localhost.example.org:{port}"),
        format!("127.0.0.1:{port}.example.org"),
        format!("0.0.0.0:{port}"),
        String::new(),
    ] {
        let reply = server.send(PAGE, &[("Host", &host)], b"");
        assert_eq!(reply.status, 403, "{host}");
    }
    let own = server.host();
    let local = format!("localhost:{port}");
    assert_eq!(server.send(PAGE, &[("Host", &own)], b"").status, 200);
    assert_eq!(server.send(PAGE, &[("Host", &local)], b"").status, 200);
    let two = [("Host", own.as_str()), ("Host", "example.org")];
    assert_eq!(server.send(PAGE, &two, b"").status, 403);
    assert_eq!(server.send("GET / HTTP/1.0", &[], b"").status, 403);
}

#[test]
fn other_sites_are_not_answered() {
    let server = server("sites");
    let (port, host, token) = (server.port, server.host(), server.token.clone());
    let with = |name: &str, value: &str| {
        let headers = [
            ("Host", host.as_str()),
            ("X-Board-Token", token.as_str()),
            ("Content-Length", "0"),
            (name, value),
        ];
        server.send(OPEN, &headers, b"").status
    };
    for origin in [
        "http://example.org".to_owned(),
        "null".to_owned(),
        String::new(),
        format!("https://127.0.0.1:{port}"),
        format!("http://127.0.0.1:{}", port ^ 1),
        format!("http://127.0.0.1:{port}.example.org"),
        "http://127.0.0.1".to_owned(),
    ] {
        assert_eq!(with("Origin", &origin), 403, "{origin}");
    }
    assert_eq!(with("Origin", &format!("http://{host}")), 200);
    assert_eq!(with("Origin", &format!("http://localhost:{port}")), 200);
    for (site, status) in [
        ("cross-site", 403),
        ("same-site", 403),
        ("", 403),
        ("same-origin", 200),
        ("none", 200),
    ] {
        assert_eq!(with("Sec-Fetch-Site", site), status, "{site}");
    }
    // Not even the page itself: it could be shown in another's frame or timed.
    let headers = [("Host", host.as_str()), ("Sec-Fetch-Site", "cross-site")];
    assert_eq!(server.send(PAGE, &headers, b"").status, 403);
}

#[test]
fn no_path_leads_to_a_file() {
    let server = server("paths");
    let host = server.host();
    for path in [
        "/../house.yaml",
        "/%2e%2e/house.yaml",
        "/..%2fhouse.yaml",
        "/house.yaml",
        "/front/board.js",
        "/front.js/",
        "/front.js/../../house.yaml",
        "//",
        "//front.js",
        "/./front.js",
        "/front.js%00",
        "/FRONT.JS",
        "/etc/passwd",
        "/index.html",
    ] {
        let reply = server.send(&format!("GET {path} HTTP/1.1"), &[("Host", &host)], b"");
        assert_eq!(reply.status, 404, "{path}");
    }
    for path in [
        "/api/../house.yaml",
        "/api/%2e%2e/house.yaml",
        "/api/",
        "/api/open/",
    ] {
        let reply = server.ask("GET", path, b"");
        assert_eq!(reply.status, 404, "{path}");
    }
    // A whole address belongs to a proxy, which this is not.
    for whole in [format!("http://{host}/"), "http://example.org/".to_owned()] {
        let reply = server.send(&format!("GET {whole} HTTP/1.1"), &[("Host", &host)], b"");
        assert_eq!(reply.status, 403, "{whole}");
    }
}

#[test]
fn other_methods_are_refused() {
    let server = server("methods");
    for (method, path) in [
        ("POST", "/"),
        ("HEAD", "/"),
        ("OPTIONS", "/"),
        ("TRACE", "/"),
        ("DELETE", "/front.js"),
        ("GET", "/api/open"),
        ("GET", "/api/save"),
        ("OPTIONS", "/api/save"),
        ("PUT", "/api/save"),
        ("POST", "/api/changes"),
        ("GET", "/api/ask"),
        ("POST", "/api/photo"),
        ("DELETE", "/api/photo/place"),
    ] {
        if method == "HEAD" {
            // Its answer tells a length and carries nothing.
            let mut stream = server.connect();
            let line = format!("HEAD {path} HTTP/1.1");
            let headers = [("Host", server.host())];
            let headers = headers.each_ref().map(|(n, v)| (*n, v.as_str()));
            stream
                .write_all(&request(&line, &headers, b""))
                .expect("sent");
            stream.shutdown(std::net::Shutdown::Write).expect("ended");
            let reply = read_reply(&mut BufReader::new(stream));
            assert_eq!((reply.status, reply.body.len()), (405, 0));
            continue;
        }
        let reply = server.ask(method, path, b"");
        assert_eq!(reply.status, 405, "{method} {path}");
        assert!(reply.header("allow").is_some(), "{method} {path}");
        assert_eq!(reply.refused(), "this is not how that is asked");
    }
}

#[test]
fn bodies_have_a_cap() {
    let server = server("bodies");
    let mb = 1024 * 1024;
    for (method, path, most) in [
        ("POST", "/api/save", 8 * mb),
        ("POST", "/api/ask?tab=a&lane=quick", 8 * mb),
        ("PUT", "/api/photo", 16 * mb),
        ("PUT", "/api/photo/place", 64 * 1024),
    ] {
        let host = server.host();
        let line = format!("{method} {path} HTTP/1.1");
        let headers = |more: (&'static str, String)| {
            [
                ("Host", host.clone()),
                ("X-Board-Token", server.token.clone()),
                more,
            ]
        };
        // What is told to be too large is not even read.
        let told = headers(("Content-Length", (most + 1).to_string()));
        let told = told.each_ref().map(|(n, v)| (*n, v.as_str()));
        let reply = server.send(&line, &told, b"");
        assert_eq!(reply.status, 413, "{path}: {reply:?}");
        // What does not tell its size is read up to the cap. Sent by another thread: the answer may come before the end.
        let untold = headers(("Transfer-Encoding", "chunked".to_owned()));
        let untold = untold.each_ref().map(|(n, v)| (*n, v.as_str()));
        let mut stream = server.connect();
        stream
            .write_all(&request(&line, &untold, b""))
            .expect("sent");
        let mut to = stream.try_clone().expect("a second handle");
        let sender = std::thread::spawn(move || {
            let chunk = vec![b' '; 64 * 1024];
            let mut sent = 0;
            while sent <= most {
                let head = format!("{:x}\r\n", chunk.len());
                let one = [head.as_bytes(), &chunk, b"\r\n"].concat();
                if to.write_all(&one).is_err() {
                    return;
                }
                sent += chunk.len();
            }
        });
        let reply = read_reply(&mut BufReader::new(stream));
        assert_eq!(reply.status, 413, "{path}: {reply:?}");
        assert!(reply.refused().starts_with("that is more than "));
        sender.join().expect("sent");
    }
}

#[test]
fn a_flood_is_refused_and_passes() {
    let server = server("flood");
    let headers = [
        ("Host", server.host()),
        ("X-Board-Token", server.token.clone()),
    ];
    let headers = headers.each_ref().map(|(n, v)| (*n, v.as_str()));
    let one = request("GET /api/nothing HTTP/1.1", &headers, b"");
    let statuses = || {
        let many = 400;
        let mut stream = server.connect();
        let mut to = stream.try_clone().expect("a second handle");
        let all = one.repeat(many);
        let sender = std::thread::spawn(move || to.write_all(&all).expect("sent"));
        let mut from = BufReader::new(&mut stream);
        let found: Vec<u16> = (0..many).map(|_| read_reply(&mut from).status).collect();
        sender.join().expect("sent");
        found
    };
    let refused = until("a refusal", || {
        let found = statuses();
        assert!(found.iter().all(|status| matches!(status, 404 | 429)));
        found.contains(&429).then_some(found)
    });
    assert_eq!(refused.last(), Some(&429));
    // The page itself still loads, and what was asked too often is answered again after a while.
    let host = server.host();
    assert_eq!(server.send(PAGE, &[("Host", &host)], b"").status, 200);
    until("calm", || {
        (server.ask("POST", "/api/open", b"").status == 200).then_some(())
    });
}

#[test]
fn words_of_requests_are_checked() {
    let server = server("words");
    for (method, path, body) in [
        ("POST", "/api/save", &b"{"[..]),
        ("POST", "/api/save", b"{\"text\":1}"),
        ("POST", "/api/save", b"\xff"),
        ("POST", "/api/save", br#"{"text":"a","base":-1,"tab":"a"}"#),
        ("POST", "/api/save", br#"{"text":"a","base":1,"tab":"a b"}"#),
        ("POST", "/api/ask?tab=a", b"{}"),
        ("POST", "/api/ask?tab=a&lane=fast", b"{}"),
        ("POST", "/api/ask?tab=&lane=quick", b"{}"),
        ("POST", "/api/ask?tab=a%0a&lane=quick", b"{}"),
        ("GET", "/api/changes?revision=x&tab=a", b""),
        ("GET", "/api/changes", b""),
        ("PUT", "/api/photo/place", br#"{"x_m":0}"#),
    ] {
        let reply = server.ask(method, path, body);
        assert_eq!(
            reply.status,
            400,
            "{path} {}",
            String::from_utf8_lossy(body)
        );
        assert!(!reply.refused().is_empty());
    }
    assert_eq!(server.open()["revision"], 1);
}

#[cfg(target_os = "linux")]
#[test]
fn it_listens_on_this_machine_alone() {
    let server = server("loopback");
    let port = format!(":{:04X}", server.port);
    let listening = |file: &str| -> Vec<String> {
        fs::read_to_string(file)
            .unwrap_or_default()
            .lines()
            .filter_map(|line| {
                let mut words = line.split_whitespace().skip(1);
                let (local, state) = (words.next()?, words.nth(1)?);
                // 0A is LISTEN.
                (state == "0A" && local.ends_with(&port)).then(|| local.to_owned())
            })
            .collect()
    };
    assert_eq!(listening("/proc/net/tcp"), [format!("0100007F{port}")]);
    assert!(listening("/proc/net/tcp6").is_empty());
}
