//! What went wrong, in words for the person.

use serde_json::{Value, json};

/// Why something was not done, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// What is wrong, with the names of things.
    pub title: String,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Trouble {
    /// Something that went wrong, and what to do about it.
    pub fn new(title: impl Into<String>, hint: &str) -> Trouble {
        Trouble {
            title: title.into(),
            hint: Some(hint.to_owned()),
        }
    }

    /// Something that went wrong, with nothing to advise.
    pub fn bare(title: impl Into<String>) -> Trouble {
        Trouble {
            title: title.into(),
            hint: None,
        }
    }

    /// The reply that tells the page.
    #[must_use]
    pub fn json(&self) -> Value {
        json!({"ok": false, "refused": {"title": self.title, "hint": self.hint}})
    }
}
