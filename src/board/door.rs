//! The one door: a request to a reply.

use serde::{Deserialize, Serialize};
use serde_json::json;

use super::answers::{self, Answers, Wanted};
use super::blank;
use super::change::{self, Change};
use super::look::look;
use super::refused::Refused;
use super::view::View;
use crate::sketch;

/// A request.
#[derive(Debug, Deserialize)]
#[serde(tag = "ask", rename_all = "snake_case")]
enum Request {
    Look {
        text: String,
    },
    Change {
        text: String,
        changes: Vec<Change>,
    },
    Answers {
        text: String,
        #[serde(flatten)]
        wanted: Wanted,
    },
    Print {
        text: String,
        what: String,
        #[serde(flatten)]
        wanted: Wanted,
    },
    Choices,
    Blank {
        title: String,
        #[serde(default)]
        units: String,
    },
    Starter,
}

/// Answers one request; never panics on what a page can send.
///
/// A request is a JSON object whose `ask` says what is wanted. The reply is `{"ok": true, …}`, or
/// `{"ok": false, "refused": {"title", "hint"}}` where the request cannot be answered.
///
/// # Examples
/// ```
/// let reply = ductseam::board::call(r#"{"ask": "blank", "title": "My house", "units": "ip"}"#);
/// assert!(reply.starts_with(r#"{"ok":true"#));
/// let reply = ductseam::board::call("what?");
/// assert!(reply.starts_with(r#"{"ok":false"#));
/// ```
#[must_use]
pub fn call(request: &str) -> String {
    let answered = match serde_json::from_str::<Request>(request) {
        Ok(request) => answer(request),
        Err(error) => Err(Refused::new(
            format!("the page asked what this program does not know: {error}"),
            "load the page anew; page and program may be of two versions",
        )),
    };
    answered.unwrap_or_else(|refused| json!({"ok": false, "refused": refused}).to_string())
}

fn answer(request: Request) -> Result<String, Refused> {
    match request {
        Request::Look { text } => {
            let look = look(&text);
            written(&Seen {
                ok: true,
                view: look.view(),
            })
        }
        Request::Change { text, changes } => {
            let changed = change::apply_all(&text, &changes)?;
            let look = look(&changed.text);
            written(&Changed {
                ok: true,
                text: &changed.text,
                at: &changed.at,
                view: look.view(),
            })
        }
        Request::Answers { text, wanted } => {
            let answers = answers::answers(&text, &wanted)?;
            written(&Answered { ok: true, answers })
        }
        Request::Print { text, what, wanted } => {
            written(&json!({"ok": true, "bytes": answers::print(&text, &what, &wanted)?}))
        }
        Request::Choices => written(&json!({"ok": true, "choices": blank::offered()})),
        Request::Blank { title, units } => {
            written(&json!({"ok": true, "text": blank::blank(&title, &units)?}))
        }
        Request::Starter => written(&json!({"ok": true, "text": sketch::starter()})),
    }
}

fn written(reply: &impl Serialize) -> Result<String, Refused> {
    serde_json::to_string(reply)
        .map_err(|error| Refused::bare(format!("the answer cannot be written: {error}")))
}

#[derive(Serialize)]
struct Seen<'a> {
    ok: bool,
    view: View<'a>,
}

#[derive(Serialize)]
struct Changed<'a> {
    ok: bool,
    text: &'a str,
    at: &'a [Option<serde_json::Value>],
    view: View<'a>,
}

#[derive(Serialize)]
struct Answered {
    ok: bool,
    #[serde(flatten)]
    answers: Answers,
}
