//! The drawing board's server as a black box: started on a scratch folder, spoken to in plain HTTP.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

/// How long anything is waited for on a loaded machine.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// What every answer carries.
const CARRIED: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; \
         frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("cache-control", "no-store"),
    ("referrer-policy", "no-referrer"),
    ("x-frame-options", "DENY"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
];

/// An empty folder for one test.
pub fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("page")
        .join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

pub fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_ductseam"))
}

/// Waits until something is there.
pub fn until<T>(what: &str, mut found: impl FnMut() -> Option<T>) -> T {
    let start = Instant::now();
    loop {
        if let Some(found) = found() {
            return found;
        }
        assert!(start.elapsed() < PATIENCE, "{what} did not come");
        std::thread::sleep(Duration::from_millis(20));
    }
}

pub fn signal(name: &str, pid: u32) {
    let sent = Command::new("kill")
        .args([format!("-{name}"), pid.to_string()])
        .status()
        .expect("kill runs");
    assert!(sent.success(), "{name} to {pid}");
}

/// A server at work.
pub struct Server {
    child: Child,
    pub port: u16,
    pub token: String,
}

/// An answer.
#[derive(Debug)]
pub struct Reply {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Reply {
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut found = self.headers.iter().filter(|(n, _)| n == name);
        let first = found.next();
        assert!(found.next().is_none(), "{name} twice");
        first.map(|(_, value)| value.as_str())
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&self.body)))
    }

    /// Title of a refusal.
    pub fn refused(&self) -> String {
        let told = self.json();
        assert_eq!(told["ok"], false, "{told}");
        told["refused"]["title"]
            .as_str()
            .expect("a title")
            .to_owned()
    }
}

impl Server {
    pub fn start(sketch: &Path) -> Server {
        Server::start_with(sketch, &["--no-open"], |_| {})
    }

    /// With other words, and started otherwise.
    pub fn start_with(sketch: &Path, words: &[&str], how: impl FnOnce(&mut Command)) -> Server {
        let mut program = program();
        how(&mut program);
        let mut child = program
            .arg("page")
            .args(words)
            .arg(sketch)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut told = BufReader::new(child.stderr.take().expect("stderr"));
        let mut line = String::new();
        told.read_line(&mut line).expect("an address");
        let (head, address) = line
            .trim_end()
            .split_once(": http://127.0.0.1:")
            .unwrap_or_else(|| panic!("no address: {line}"));
        let name = sketch.file_name().expect("a name").to_string_lossy();
        assert!(head.starts_with("drawing board of "), "{name}: {head}");
        let (port, token) = address.split_once("/#").expect("a token");
        assert_eq!(token.len(), 64);
        let mut second = String::new();
        told.read_line(&mut second).expect("how to end it");
        assert_eq!(second, "end with Ctrl-C\n");
        let server = Server {
            child,
            port: port.parse().expect("a port"),
            token: token.to_owned(),
        };
        // What else it says must not fill the pipe.
        std::thread::spawn(move || std::io::copy(&mut told, &mut std::io::sink()));
        server
    }

    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).expect("connected");
        stream.set_read_timeout(Some(PATIENCE)).expect("set");
        stream
    }

    /// Sends bytes as they are and reads the one answer.
    pub fn raw(&self, bytes: &[u8]) -> Reply {
        let mut stream = self.connect();
        stream.write_all(bytes).expect("sent");
        let mut from = BufReader::new(stream);
        read_reply(&mut from)
    }

    /// A request with these headers and no other but `Connection`.
    pub fn send(&self, line: &str, headers: &[(&str, &str)], body: &[u8]) -> Reply {
        self.raw(&request(line, headers, body))
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// A request as the page makes it.
    pub fn ask(&self, method: &str, path: &str, body: &[u8]) -> Reply {
        let host = self.host();
        let length = body.len().to_string();
        let headers = [
            ("Host", host.as_str()),
            ("X-Board-Token", self.token.as_str()),
            ("Content-Length", length.as_str()),
            ("Sec-Fetch-Site", "same-origin"),
        ];
        self.send(&format!("{method} {path} HTTP/1.1"), &headers, body)
    }

    pub fn open(&self) -> Value {
        let reply = self.ask("POST", "/api/open", b"");
        assert_eq!(reply.status, 200, "{reply:?}");
        reply.json()
    }

    pub fn save(&self, text: &str, base: u64, tab: &str) -> Reply {
        let body = serde_json::json!({"text": text, "base": base, "tab": tab});
        self.ask("POST", "/api/save", body.to_string().as_bytes())
    }

    pub fn force(&self, text: &str, base: u64, tab: &str) -> Reply {
        let body = serde_json::json!({"text": text, "base": base, "tab": tab, "force": true});
        self.ask("POST", "/api/save", body.to_string().as_bytes())
    }

    /// Saves and says under which revision.
    pub fn saved(&self, text: &str, base: u64, tab: &str) -> u64 {
        let reply = self.save(text, base, tab);
        assert_eq!(reply.status, 200, "{reply:?}");
        reply.json()["revision"].as_u64().expect("a revision")
    }

    pub fn changes(&self, revision: u64, tab: &str) -> Value {
        let reply = self.ask(
            "GET",
            &format!("/api/changes?revision={revision}&tab={tab}"),
            b"",
        );
        assert_eq!(reply.status, 200, "{reply:?}");
        reply.json()
    }

    pub fn work(&self, tab: &str, lane: &str, request: &str) -> Reply {
        self.ask(
            "POST",
            &format!("/api/ask?tab={tab}&lane={lane}"),
            request.as_bytes(),
        )
    }

    /// Ends it as Ctrl-C does.
    pub fn end(mut self) -> ExitStatus {
        signal("INT", self.pid());
        until("the end", || self.child.try_wait().expect("waited for"))
    }

    /// Ends it without a chance to do anything.
    pub fn kill(mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("ended");
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub fn request(line: &str, headers: &[(&str, &str)], body: &[u8]) -> Vec<u8> {
    let mut bytes = format!("{line}\r\n").into_bytes();
    for (name, value) in headers {
        bytes.extend(format!("{name}: {value}\r\n").into_bytes());
    }
    bytes.extend(b"\r\n");
    bytes.extend(body);
    bytes
}

/// Reads one answer; every one must carry what keeps the page apart from others.
pub fn read_reply(from: &mut impl BufRead) -> Reply {
    let line = |from: &mut dyn BufRead| {
        let mut line = String::new();
        from.read_line(&mut line).expect("a line of an answer");
        line.trim_end().to_owned()
    };
    let first = line(from);
    let status = first
        .strip_prefix("HTTP/1.1 ")
        .or_else(|| first.strip_prefix("HTTP/1.0 "))
        .and_then(|rest| rest.get(..3)?.parse().ok())
        .unwrap_or_else(|| panic!("no status: {first:?}"));
    let mut headers = Vec::new();
    loop {
        let found = line(from);
        let Some((name, value)) = found.split_once(':') else {
            break;
        };
        headers.push((name.to_ascii_lowercase(), value.trim().to_owned()));
    }
    let mut reply = Reply {
        status,
        headers,
        body: Vec::new(),
    };
    for (name, value) in CARRIED {
        assert_eq!(reply.header(name), Some(value), "{reply:?}");
    }
    assert_eq!(reply.header("set-cookie"), None);
    assert_eq!(reply.header("access-control-allow-origin"), None);
    let length = reply
        .header("content-length")
        .expect("a length")
        .parse()
        .expect("a number");
    // The answer to HEAD tells the length of what it does not carry.
    let mut body = Vec::new();
    from.take(length)
        .read_to_end(&mut body)
        .expect("a whole body");
    reply.body = body;
    reply
}
