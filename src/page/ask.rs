//! Requests of the page, read: words of the address, bodies, and their caps.

use std::time::Duration;

use axum::body::{Body, to_bytes};
use axum::extract::Query;
use axum::extract::rejection::QueryRejection;
use axum::http::{StatusCode, header};
use axum::response::Response;
use serde::Deserialize;

use super::reply::refuse;
use super::trouble::Trouble;
use super::workers::Lane;

/// Largest body that carries a sketch.
pub const TEXT_BYTES: usize = 8 * 1024 * 1024;
/// Largest picture.
pub const PHOTO_BYTES: usize = 16 * 1024 * 1024;
/// Largest of the rest.
pub const SMALL_BYTES: usize = 64 * 1024;
/// A body that takes longer comes from nobody who is still there.
const PATIENCE: Duration = Duration::from_secs(60);
/// Longest name of a tab.
const TAB: usize = 64;

/// `?tab=…&lane=…`
#[derive(Debug, Deserialize)]
pub struct AskWords {
    /// The tab.
    pub tab: String,
    /// `quick` or `slow`.
    pub lane: String,
}

/// `?revision=…&tab=…`
#[derive(Debug, Deserialize)]
pub struct ChangesWords {
    /// The revision that the tab knows.
    pub revision: u64,
    /// The tab.
    pub tab: String,
}

/// A save, as the page writes it.
#[derive(Debug, Deserialize)]
pub struct SaveWords {
    /// The text.
    pub text: String,
    /// The revision on which it stands.
    pub base: u64,
    /// The tab.
    pub tab: String,
    /// Write over whatever is there.
    #[serde(default)]
    pub force: bool,
}

/// A reply that ends a request early; boxed, since it is large.
pub type Early = Box<Response>;

/// The words of an address.
pub fn words<T>(found: Result<Query<T>, QueryRejection>) -> Result<T, Early> {
    match found {
        Ok(Query(words)) => Ok(words),
        Err(_) => Err(bad("the address of the request lacks words")),
    }
}

/// Refuses what is no name of a tab.
pub fn tab(name: &str) -> Result<(), Early> {
    let is_sound = !name.is_empty()
        && name.len() <= TAB
        && name
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte));
    if is_sound {
        Ok(())
    } else {
        Err(bad("a tab is named by letters, digits, `-`, `_` and `.`"))
    }
}

/// The lane's word.
pub fn lane(word: &str) -> Result<Lane, Early> {
    match word {
        "quick" => Ok(Lane::Quick),
        "slow" => Ok(Lane::Slow),
        _ => Err(bad("a lane is `quick` or `slow`")),
    }
}

/// A whole body of at most `most` bytes.
pub async fn body(request: axum::extract::Request, most: usize) -> Result<Vec<u8>, Early> {
    let told = request
        .headers()
        .get(header::CONTENT_LENGTH)
        .and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if told.is_some_and(|told| told > most) {
        return Err(too_large(most));
    }
    match tokio::time::timeout(PATIENCE, read(request.into_body(), most)).await {
        Ok(read) => read,
        Err(_) => Err(Box::new(refuse(
            StatusCode::REQUEST_TIMEOUT,
            &Trouble::bare("the request did not end"),
        ))),
    }
}

/// A whole body of text.
pub async fn text(request: axum::extract::Request) -> Result<String, Early> {
    String::from_utf8(body(request, TEXT_BYTES).await?)
        .map_err(|_| bad("the request is not UTF-8 text"))
}

/// A request that says nothing that can be answered.
pub fn bad(title: &str) -> Early {
    Box::new(refuse(StatusCode::BAD_REQUEST, &Trouble::bare(title)))
}

async fn read(body: Body, most: usize) -> Result<Vec<u8>, Early> {
    match to_bytes(body, most).await {
        Ok(bytes) => Ok(bytes.to_vec()),
        Err(error) if is_of_length(&error) => Err(too_large(most)),
        Err(_) => Err(bad("the request ended early")),
    }
}

/// Whether a body was given up since it is too long: the limit's error is the cause.
fn is_of_length(error: &axum::Error) -> bool {
    let mut cause = std::error::Error::source(error);
    while let Some(found) = cause {
        if found.to_string().contains("length limit") {
            return true;
        }
        cause = found.source();
    }
    false
}

fn too_large(most: usize) -> Early {
    let shown = if most < 1024 * 1024 {
        format!("{} kB", most / 1024)
    } else {
        format!("{} MB", most / 1024 / 1024)
    };
    Box::new(refuse(
        StatusCode::PAYLOAD_TOO_LARGE,
        &Trouble::bare(format!("that is more than {shown}")),
    ))
}
