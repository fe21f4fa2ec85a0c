//! An arbitrary request for the drawing board's server, beginning with its method and address, then headers, a blank line and the
//! body; and the body for the board's door. Shared as `bodies.rs` is.

use std::path::PathBuf;

use axum::body::{Body, to_bytes};
use axum::http::{HeaderName, HeaderValue, Method, Request, StatusCode, Uri};
use ductseam::page::{Store, router};
use tower::ServiceExt;

/// Stands for the 256 random bits of a true one.
const TOKEN: &str = "token";
/// Longer than any answer but those that wait for a change by another tab.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(20);
const SKETCH: &str = "ductseam: 1\ntitle: one run (invented)\nruns: [{id: A, from: supply plenum, size: 6 in, walk: [north 12 ft, cap]}]\n";

/// A request: no answer is an inner fault, and every answer carries what guards the page.
pub fn page(bytes: &[u8]) {
    let (head, body) = cut(bytes);
    if let Ok(request) = std::str::from_utf8(body) {
        door(request);
    }
    let Some(request) = request(head, body) else {
        return;
    };
    let is_waiting = request.uri().path() == "/api/changes";
    let patience = if is_waiting {
        PATIENCE / 2000
    } else {
        PATIENCE
    };
    let folder = folder();
    let path = folder.join("house.yaml");
    std::fs::write(&path, SKETCH).expect("the folder can be written");
    let store = Store::open(&path).expect("a sketch");
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_time()
        .build()
        .expect("a runtime");
    runtime.block_on(async {
        let asked = tokio::time::timeout(patience, router(store, TOKEN).oneshot(request)).await;
        let Ok(answered) = asked else {
            assert!(is_waiting, "no answer");
            return;
        };
        let Ok(response) = answered;
        assert_ne!(response.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert!(response.headers().contains_key("content-security-policy"));
        to_bytes(response.into_body(), usize::MAX)
            .await
            .expect("a body");
    });
    drop(runtime);
    let kept = std::fs::read_to_string(&path).expect("the sketch is there, as text");
    assert!(!kept.contains('\0'));
    let _ = std::fs::remove_dir_all(&folder);
}

/// A reply in one line, whatever is asked. Answers from draws take seconds and are left to tests of their own.
fn door(request: &str) {
    if ["answers", "print", "\\u"]
        .iter()
        .any(|slow| request.contains(slow))
    {
        return;
    }
    let reply = ductseam::board::call(request);
    let read: serde_json::Value = serde_json::from_str(&reply).expect("a reply is JSON");
    assert!(read["ok"].is_boolean(), "{reply}");
    assert!(!reply.contains('\n'), "{reply}");
}

/// The lines before the first that is empty, and what follows it.
fn cut(bytes: &[u8]) -> (&[u8], &[u8]) {
    match bytes.windows(2).position(|two| two == b"\n\n") {
        Some(at) => (&bytes[..at], &bytes[at + 2..]),
        None => (&[], bytes),
    }
}

fn request(head: &[u8], body: &[u8]) -> Option<Request<Body>> {
    let mut lines = head.split(|byte| *byte == b'\n');
    let mut first = lines.next()?.splitn(2, |byte| *byte == b' ');
    let method = Method::from_bytes(first.next()?).ok()?;
    let uri = Uri::try_from(first.next()?).ok()?;
    if uri.path() == "/api/ask"
        && std::str::from_utf8(body).is_ok_and(|text| {
            ["answers", "print", "\\u"]
                .iter()
                .any(|slow| text.contains(slow))
        })
    {
        return None;
    }
    let mut request = Request::builder().method(method).uri(uri);
    for line in lines {
        let at = line.iter().position(|byte| *byte == b':')?;
        let name = HeaderName::from_bytes(&line[..at]).ok()?;
        let value = HeaderValue::from_bytes(line[at + 1..].trim_ascii()).ok()?;
        request = request.header(name, value);
    }
    request.body(Body::from(body.to_vec())).ok()
}

/// A new folder of its own, in memory where the system has such.
fn folder() -> PathBuf {
    use std::sync::atomic::{AtomicU64, Ordering};
    static NEXT: AtomicU64 = AtomicU64::new(0);
    let memory = PathBuf::from("/dev/shm");
    let base = if memory.is_dir() {
        memory
    } else {
        std::env::temp_dir()
    };
    let name = format!(
        "ductseam-fuzz-{}-{}",
        std::process::id(),
        NEXT.fetch_add(1, Ordering::Relaxed)
    );
    let folder = base.join(name);
    std::fs::create_dir_all(&folder).expect("a folder for one request");
    folder
}
