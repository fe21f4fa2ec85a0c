//! How a mapping is described: once, for the reader, for its messages and for the JSON Schema.

use serde_json::Value;

/// One mapping of the file.
pub(super) struct Table {
    /// What it is, with its article: `a run`.
    pub name: &'static str,
    /// Its keys.
    pub fields: &'static [Field],
    /// Keys of which exactly one must stand; empty when there is no such choice.
    pub one_of: &'static [&'static str],
    /// Pairs of keys: where the first stands, the second must stand too.
    pub needs: &'static [(&'static str, &'static str)],
    /// Keys that belong to some of `one_of` only.
    pub only_with: &'static [Only],
}

/// A key that belongs to some kinds of entry only.
pub(super) struct Only {
    /// The key.
    pub key: &'static str,
    /// The keys of [`Table::one_of`] beside which it may stand.
    pub with: &'static [&'static str],
    /// Those kinds in words, with an article: `a supply or return reading`.
    pub words: &'static str,
}

/// One key of a mapping.
pub(super) struct Field {
    /// The key.
    pub key: &'static str,
    /// Whether it must stand.
    pub required: bool,
    /// What it means: shown by editors.
    pub doc: &'static str,
    /// What may stand there.
    pub shape: Shape,
}

/// What may stand as a value.
pub(super) enum Shape {
    /// Any words.
    Text,
    /// A name or id.
    Name,
    /// One of some words; capitals do not matter.
    Words(fn() -> Vec<&'static str>),
    /// A written quantity; its schema.
    Quantity(fn() -> Value),
    /// Words in a form of their own; a regular expression for the schema, and examples.
    Form(&'static str, &'static [&'static str]),
    /// A bare number between two bounds.
    Number(f64, f64),
    /// The version number.
    Version(u64),
    /// `yes`.
    Yes,
    /// `yes` or `no`.
    YesNo,
    /// A list, and whether it may be empty.
    List(&'static Shape, bool),
    /// A mapping.
    Map(&'static Table),
    /// A mapping with free names as keys.
    Named(&'static Shape),
    /// One of several shapes.
    Either(&'static [Shape]),
}

impl Shape {
    /// What a person may write there, where the shape has an example.
    pub fn example(&self) -> Option<String> {
        match self {
            Shape::Form(_, examples) => examples.first().map(|e| (*e).to_owned()),
            Shape::Words(words) => words().first().map(|word| (*word).to_owned()),
            Shape::Yes | Shape::YesNo => Some("yes".to_owned()),
            _ => None,
        }
    }
}

/// A key that must stand.
pub(super) const fn must(key: &'static str, shape: Shape, doc: &'static str) -> Field {
    Field {
        key,
        required: true,
        doc,
        shape,
    }
}

/// A key that may stand.
pub(super) const fn may(key: &'static str, shape: Shape, doc: &'static str) -> Field {
    Field {
        key,
        required: false,
        doc,
        shape,
    }
}
