//! What can be wrong with a written quantity.

/// What kind of thing is wrong, to be matched by programs and tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum QuantityErrorKind {
    /// Nothing was written.
    Empty,
    /// The text does not start with a number, or holds more than one.
    NotANumber,
    /// The number is too large or too small to be held.
    OutOfRange,
    /// The number has thousands separators or a decimal comma.
    Separators,
    /// A number stands without a unit.
    NoUnit,
    /// The unit is not known for any quantity.
    UnknownUnit,
    /// The unit belongs to another quantity.
    WrongKind,
    /// The value must be above zero, or must not be below zero.
    Sign,
    /// The parts are there but not in a form that can be read.
    Form,
}

/// A written quantity that cannot be read, with words for the person and a hint how to mend it.
///
/// The message is lower case without a final stop and shows what was written in backquotes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct QuantityError {
    kind: QuantityErrorKind,
    message: String,
    hint: Option<String>,
}

impl QuantityError {
    /// An error with a message and no hint.
    pub(crate) fn new(kind: QuantityErrorKind, message: impl Into<String>) -> Self {
        Self {
            kind,
            message: message.into(),
            hint: None,
        }
    }

    /// The same error with a hint.
    pub(crate) fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// What kind of thing is wrong.
    pub fn kind(&self) -> QuantityErrorKind {
        self.kind
    }

    /// The message, the same as `to_string` gives.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// How to mend it, if something useful can be said.
    pub fn hint(&self) -> Option<&str> {
        self.hint.as_deref()
    }
}

/// What was written, cut to a length that fits a message.
pub(crate) fn clip(written: &str) -> String {
    if written.chars().count() <= 40 {
        return written.to_string();
    }
    let mut s: String = written.chars().take(40).collect();
    s.push('…');
    s
}
