//! Why a change of a text is refused.

use super::value::{Step, in_words};

/// A change that is not made, in words for the person who asked for it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{title}")]
pub struct EditRefused {
    /// What is wrong, in lower case without a final stop.
    pub title: String,
    /// What to do instead.
    pub hint: Option<String>,
}

impl EditRefused {
    pub(crate) fn new(title: impl Into<String>) -> EditRefused {
        EditRefused {
            title: title.into(),
            hint: None,
        }
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> EditRefused {
        self.hint = Some(hint.into());
        self
    }
}

/// The refusal where the text is written in a way that cannot be changed safely.
pub(super) fn unsuited() -> EditRefused {
    EditRefused::new("this place cannot be changed here; change it in the text")
}

/// The refusal at an anchor, an alias, a merge or a tag.
pub(super) fn shared() -> EditRefused {
    EditRefused::new(
        "this place holds, or is held by, a value that is shared by `&`, `*`, `<<` or a tag `!`",
    )
    .hint("change it in the text, or write the value out there first")
}

/// The refusal of a path that leads nowhere.
pub(super) fn nowhere(path: &[Step]) -> EditRefused {
    EditRefused::new(format!("nothing stands at `{}`", in_words(path)))
        .hint("the text may have changed meanwhile: look again and repeat the change")
}

/// The refusal of a path that goes on below a single value, or by a key into a list.
pub(super) fn no_part(path: &[Step]) -> EditRefused {
    EditRefused::new(format!("`{}` holds no such part", in_words(path)))
        .hint("change it as a whole")
}
