//! Who may ask, and what every answer carries.
//!
//! The server listens on this machine alone, yet any page in the person's browser can send requests to it, and a foreign name
//! can be made to point at it. So a request must name this very host and port, must not come from another site, and must carry
//! the token to touch the sketch.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::Response;
use serde_json::json;

use super::rate::Rate;
use super::reply::{self, refuse};
use super::trouble::Trouble;
use crate::hex::hex;

/// The header that carries the token.
const TOKEN: &str = "x-board-token";
/// Where the key that the browser was opened with is changed for the token.
const CHANGE: &str = "/api/key";
/// What the key to be used once starts with, so that a page knows it.
const ONCE: &str = "once-";
/// How long that key is good for: a browser that starts cold on a slow machine. Engineering estimate.
const GOOD_FOR: Duration = Duration::from_secs(300);
/// Requests within [`WINDOW`]. Engineering estimate: a person who draws without a pause sends about 30 a second.
const MOST: usize = 1000;
const WINDOW: Duration = Duration::from_secs(10);

/// What a page from here may do: run and show what comes from here, and nothing else.
const RULE: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
    connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

const CARRIED: [(&str, &str); 7] = [
    ("content-security-policy", RULE),
    ("x-content-type-options", "nosniff"),
    ("cache-control", "no-store"),
    ("referrer-policy", "no-referrer"),
    ("x-frame-options", "DENY"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
];

/// Who may ask.
#[derive(Debug)]
pub struct Guard {
    token: String,
    /// A key that opens [`CHANGE`] once, and until when.
    once: Mutex<Option<(String, Instant)>>,
    hosts: [String; 2],
    rate: Mutex<Rate>,
}

impl Guard {
    /// A guard of a port; `token` opens `/api/`.
    pub fn new(port: u16, token: String) -> Guard {
        // Browsers leave out the port that the scheme stands for.
        let of = |name: &str| match port {
            80 => name.to_owned(),
            _ => format!("{name}:{port}"),
        };
        Guard {
            token,
            once: Mutex::new(None),
            hosts: [of("127.0.0.1"), of("localhost")],
            rate: Mutex::new(Rate::new(MOST, WINDOW)),
        }
    }

    /// A key for the address that is handed to another program, whose words every user of this machine can list: it is changed
    /// for the token once, and is worth nothing afterwards.
    ///
    /// # Errors
    ///
    /// The system gives no random bits.
    pub fn key_for_once(&self) -> Result<String, Trouble> {
        let key = format!("{ONCE}{}", token()?);
        let until = Instant::now() + GOOD_FOR;
        *self.once.lock().unwrap_or_else(PoisonError::into_inner) = Some((key.clone(), until));
        Ok(key)
    }

    /// Takes the key to be used once.
    fn take_key(&self, headers: &HeaderMap, now: Instant) -> bool {
        let mut once = self.once.lock().unwrap_or_else(PoisonError::into_inner);
        let Only::One(given) = only(headers, &HeaderName::from_static(TOKEN)) else {
            return false;
        };
        let is_right = once.as_ref().is_some_and(|(key, until)| {
            now <= *until && is_equal(given.as_bytes(), key.as_bytes())
        });
        if is_right {
            *once = None;
        }
        is_right
    }

    fn check(&self, request: &Request) -> Result<(), (StatusCode, Trouble)> {
        let headers = request.headers();
        let forbid = |title: &str| Err((StatusCode::FORBIDDEN, Trouble::bare(title)));
        let is_ours = |host: &str| self.hosts.iter().any(|ours| ours == host);
        let is_home = match only(headers, &header::HOST) {
            Only::One(host) => is_ours(host) && request.uri().authority().is_none(),
            Only::None | Only::Unclear => false,
        };
        if !is_home {
            return forbid("this page answers only under its own address");
        }
        let is_from_here = match only(headers, &header::ORIGIN) {
            Only::None => true,
            Only::One(origin) => origin.strip_prefix("http://").is_some_and(is_ours),
            Only::Unclear => false,
        };
        let is_same_site = match only(headers, &HeaderName::from_static("sec-fetch-site")) {
            Only::None => true,
            Only::One(site) => matches!(site, "same-origin" | "none"),
            Only::Unclear => false,
        };
        if !is_from_here || !is_same_site {
            return forbid("this page answers no other site");
        }
        let is_api = request.uri().path().starts_with("/api/");
        let is_change = request.uri().path() == CHANGE && *request.method() == Method::POST;
        let may = if is_change {
            self.take_key(headers, Instant::now())
        } else {
            !is_api || self.has_token(headers)
        };
        if !may {
            return Err((
                StatusCode::FORBIDDEN,
                Trouble::new(
                    "this page has lost its key to the sketch",
                    "open the address that the program wrote in the terminal",
                ),
            ));
        }
        if *request.method() == Method::HEAD {
            return Err((
                StatusCode::METHOD_NOT_ALLOWED,
                Trouble::bare("nothing here answers HEAD"),
            ));
        }
        let mut rate = self.rate.lock().unwrap_or_else(PoisonError::into_inner);
        if is_api && !rate.may(Instant::now()) {
            return Err((
                StatusCode::TOO_MANY_REQUESTS,
                Trouble::new("too much was asked at once", "wait some seconds"),
            ));
        }
        Ok(())
    }

    fn has_token(&self, headers: &HeaderMap) -> bool {
        match only(headers, &HeaderName::from_static(TOKEN)) {
            Only::One(token) => is_equal(token.as_bytes(), self.token.as_bytes()),
            Only::None | Only::Unclear => false,
        }
    }
}

/// Lets through what may pass, and puts on every answer what it carries.
pub async fn guard(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let mut response = match guard.check(&request) {
        Ok(()) if request.uri().path() == CHANGE && *request.method() == Method::POST => {
            reply::json(StatusCode::OK, &json!({"token": guard.token}))
        }
        Ok(()) => next.run(request).await,
        Err((status, trouble)) => refuse(status, &trouble),
    };
    for (name, value) in CARRIED {
        response.headers_mut().insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    response
}

/// A token of 256 random bits.
///
/// # Errors
///
/// The system gives no random bits.
pub fn token() -> Result<String, Trouble> {
    let mut bits = [0_u8; 32];
    getrandom::fill(&mut bits)
        .map_err(|error| Trouble::bare(format!("the system gives no random bits: {error}")))?;
    Ok(hex(&bits))
}

/// Compares without telling by its time how much agreed.
fn is_equal(a: &[u8], b: &[u8]) -> bool {
    let differ = a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a ^ b));
    a.len() == b.len() && std::hint::black_box(differ) == 0
}

enum Only<'a> {
    None,
    One(&'a str),
    /// Several, or no text.
    Unclear,
}

fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Only<'a> {
    let mut found = headers.get_all(name).iter();
    match (found.next(), found.next()) {
        (None, _) => Only::None,
        (Some(one), None) => one.to_str().map_or(Only::Unclear, Only::One),
        (Some(_), Some(_)) => Only::Unclear,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_for_once_is_good_once_and_not_for_long() {
        let guard = Guard::new(1, "token".into());
        let with = |key: &str| {
            let mut headers = HeaderMap::new();
            headers.insert(TOKEN, key.parse().expect("a header"));
            headers
        };
        let now = Instant::now();
        assert!(!guard.take_key(&with("once-"), now));
        let key = guard.key_for_once().expect("random");
        assert!(key.starts_with(ONCE) && key.len() == ONCE.len() + 64);
        for wrong in ["token", ONCE, &key[..key.len() - 1]] {
            assert!(!guard.take_key(&with(wrong), now), "{wrong}");
        }
        // It opens nothing else.
        assert!(!guard.has_token(&with(&key)));
        assert!(guard.take_key(&with(&key), now));
        assert!(!guard.take_key(&with(&key), now));
        let key = guard.key_for_once().expect("random");
        assert!(!guard.take_key(&with(&key), now + GOOD_FOR + Duration::from_secs(60)));
    }

    #[test]
    fn the_usual_port_is_not_named() {
        let asked = |port: u16, host: &str| {
            let request = Request::builder()
                .uri("/")
                .header("host", host)
                .body(axum::body::Body::empty())
                .expect("a request");
            Guard::new(port, "token".into()).check(&request).is_ok()
        };
        assert!(asked(80, "127.0.0.1") && asked(80, "localhost"));
        assert!(!asked(80, "example.org") && !asked(80, "127.0.0.1:81"));
        assert!(asked(8080, "127.0.0.1:8080") && !asked(8080, "127.0.0.1"));
    }

    #[test]
    fn tokens_are_compared_whole() {
        assert!(is_equal(b"abc", b"abc"));
        for other in [&b"abd"[..], b"ab", b"abcd", b""] {
            assert!(!is_equal(other, b"abc"));
        }
    }

    #[test]
    fn tokens_differ_and_have_256_bits() {
        let (a, b) = (token().expect("random"), token().expect("random"));
        assert_eq!(a.len(), 64);
        assert_ne!(a, b);
    }
}
