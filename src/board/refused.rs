//! Why there is no answer.

use serde::Serialize;

/// Why nothing is answered or changed, in words.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, Serialize)]
#[error("{title}")]
pub struct Refused {
    /// What is wrong, in lower case without a final stop.
    pub title: String,
    /// What to do instead.
    pub hint: Option<String>,
}

impl Refused {
    pub(super) fn new(title: impl Into<String>, hint: impl Into<String>) -> Refused {
        Refused {
            title: title.into(),
            hint: Some(hint.into()),
        }
    }

    /// Without a remedy.
    pub(super) fn bare(title: impl Into<String>) -> Refused {
        Refused {
            title: title.into(),
            hint: None,
        }
    }
}
