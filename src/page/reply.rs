//! Replies: JSON, files of the page, and refusals in words.

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use serde_json::Value;

use super::trouble::Trouble;

/// A reply of JSON.
pub fn json(status: StatusCode, value: &Value) -> Response {
    text(status, "application/json", value.to_string())
}

/// A refusal in words.
pub fn refuse(status: StatusCode, trouble: &Trouble) -> Response {
    json(status, &trouble.json())
}

/// A reply of a kind.
pub fn text(status: StatusCode, kind: &'static str, body: impl Into<Body>) -> Response {
    let mut response = Response::new(body.into());
    *response.status_mut() = status;
    response
        .headers_mut()
        .insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    response
}
