//! Reads YAML once into a tree in which every node knows its place in the text.

use std::borrow::Cow;
use std::fmt;

use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::options::{DuplicateKeyPolicy, MergeKeyPolicy, NonFiniteFloatPolicy};
use serde_yaml::{Spanned, UserMessageFormatter};

use super::diagnostics::Diagnostic;
use super::limits;
use super::scanner::plainly;
use super::span::Span;

/// A node of the tree.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node<'t> {
    /// Where it is written; of an alias, where the value stands.
    pub at: Span,
    /// What it is.
    pub kind: Kind<'t>,
}

/// What a node is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind<'t> {
    /// Nothing written, `~` or `null`.
    Nothing,
    /// A quoted, folded or plain word; the text as YAML understands it.
    Text(Cow<'t, str>),
    /// A plain scalar that YAML takes for a number or a truth value; its text is cut from the source so that `010` and `no` survive.
    Bare,
    /// A list.
    List(Vec<Node<'t>>),
    /// A mapping, in file order, twins included.
    Mapping(Vec<(Node<'t>, Node<'t>)>),
}

impl<'t> Node<'t> {
    /// The text of a scalar, without blanks around it.
    pub fn scalar(&self, source: &'t str) -> Option<&str> {
        match &self.kind {
            Kind::Text(text) => Some(text.trim()),
            Kind::Bare => source.get(self.at.start..self.at.end).map(str::trim),
            _ => None,
        }
    }

    /// What the node is, in words.
    pub fn shape(&self) -> &'static str {
        match self.kind {
            Kind::Nothing => "nothing",
            Kind::Text(_) | Kind::Bare => "a single value",
            Kind::List(_) => "a list",
            Kind::Mapping(_) => "a mapping",
        }
    }
}

/// Reads the one document of a text.
///
/// # Errors
/// One diagnostic: the text is not YAML, holds more than one document, or passes one of the budgets.
pub(super) fn parse(text: &str) -> Result<Node<'_>, Box<Diagnostic>> {
    let options = serde_yaml::options! {
        with_snippet: false,
        strict_booleans: true,
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        merge_keys: MergeKeyPolicy::AsOrdinary,
        non_finite_float_policy: NonFiniteFloatPolicy::AsString,
        leading_zero_numbers_as_strings: true,
        underscored_numbers_as_strings: true,
        reject_unsupported_tags: true,
        alias_limits: serde_yaml::alias_limits! {
            max_total_replayed_events: limits::ALIAS_EVENTS,
            max_replay_stack_depth: limits::DEPTH,
        },
        budget: serde_yaml::budget! {
            max_nodes: limits::NODES,
            max_events: 3 * limits::NODES,
            max_depth: limits::DEPTH,
            flow_nesting_limit: 2 * limits::DEPTH,
            max_anchors: limits::ANCHORS,
            max_aliases: limits::ANCHORS,
            max_documents: 2,
        },
    };
    let raw: Raw<'_> = serde_yaml::from_str_with_options(text, options)
        .map_err(|error| Box::new(refusal(text, error.without_snippet())))?;
    let mut node = raw.0;
    settle(text, &mut node);
    Ok(node)
}

/// A node as the YAML reader hands it over.
struct Raw<'t>(Node<'t>);

impl<'de> Deserialize<'de> for Raw<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = Spanned::<RawKind<'de>>::deserialize(deserializer)?;
        let span = spanned.defined.span();
        let start = span.byte_offset().unwrap_or(0) as usize;
        let end = start + span.byte_len().unwrap_or(0) as usize;
        Ok(Raw(Node {
            at: Span::new(start, end),
            kind: spanned.value.0,
        }))
    }
}

struct RawKind<'t>(Kind<'t>);

impl<'de> Deserialize<'de> for RawKind<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(KindVisitor)
    }
}

struct KindVisitor;

impl<'de> Visitor<'de> for KindVisitor {
    type Value = RawKind<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value, a list or a mapping")
    }

    fn visit_unit<E: de::Error>(self) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Nothing))
    }

    fn visit_none<E: de::Error>(self) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Nothing))
    }

    fn visit_bool<E: de::Error>(self, _: bool) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Bare))
    }

    fn visit_i64<E: de::Error>(self, _: i64) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Bare))
    }

    fn visit_u64<E: de::Error>(self, _: u64) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Bare))
    }

    fn visit_i128<E: de::Error>(self, _: i128) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Bare))
    }

    fn visit_u128<E: de::Error>(self, _: u128) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Bare))
    }

    fn visit_f64<E: de::Error>(self, _: f64) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Bare))
    }

    fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Text(Cow::Borrowed(text))))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Text(Cow::Owned(text.to_owned()))))
    }

    fn visit_string<E: de::Error>(self, text: String) -> Result<Self::Value, E> {
        Ok(RawKind(Kind::Text(Cow::Owned(text))))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Self::Value, A::Error> {
        let mut list = Vec::new();
        while let Some(Raw(node)) = items.next_element()? {
            list.push(node);
        }
        Ok(RawKind(Kind::List(list)))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Self::Value, A::Error> {
        let mut mapping = Vec::new();
        while let Some((Raw(key), Raw(value))) = entries.next_entry()? {
            mapping.push((key, value));
        }
        Ok(RawKind(Kind::Mapping(mapping)))
    }
}

/// Mends the places: containers stretch over what they hold, values with nothing written fall back to their key, and no place lies
/// outside the text or inside a character.
fn settle(text: &str, node: &mut Node<'_>) {
    node.at = inside(text, node.at);
    match &mut node.kind {
        Kind::List(items) => {
            for item in items.iter_mut() {
                settle(text, item);
            }
            // An alias stands elsewhere: only what follows the opening place counts.
            let last = items.iter().map(|item| item.at.end).max();
            node.at.end = close(text, node.at, last);
        }
        Kind::Mapping(entries) => {
            for (key, value) in entries.iter_mut() {
                settle(text, key);
                settle(text, value);
                if value.kind == Kind::Nothing && value.at.start == value.at.end {
                    value.at = key.at;
                }
            }
            let last = entries.iter().map(|(_, value)| value.at.end).max();
            node.at.end = close(text, node.at, last);
        }
        _ => {}
    }
}

/// End of a container whose last item ends at `last`, with its closing bracket when only blanks and commas stand before it.
fn close(text: &str, at: Span, last: Option<usize>) -> usize {
    let end = at.end.max(last.unwrap_or(0));
    let closer = match text.as_bytes().get(at.start) {
        Some(b'[') => ']',
        Some(b'{') => '}',
        _ => return end,
    };
    let rest = &text[end..];
    let skipped = rest.trim_start_matches([' ', ',', '\n', '\r', '\t']);
    if skipped.starts_with(closer) {
        end + rest.len() - skipped.len() + 1
    } else {
        end
    }
}

/// The span moved onto character borders of the text.
fn inside(text: &str, at: Span) -> Span {
    let start = text.floor_char_boundary(at.start);
    let end = text.ceil_char_boundary(at.end.max(start));
    Span::new(start, end)
}

/// Byte offset of a line and column, both counted from 1, columns in characters.
fn offset(text: &str, line: usize, column: usize) -> usize {
    let mut start = 0;
    for _ in 1..line {
        match text[start..].find('\n') {
            Some(i) => start += i + 1,
            None => return text.len(),
        }
    }
    let rest = &text[start..];
    let rest = &rest[..rest.find('\n').unwrap_or(rest.len())];
    start
        + rest
            .char_indices()
            .nth(column.saturating_sub(1))
            .map_or(rest.len(), |(i, _)| i)
}

/// Words for a refusal by the YAML reader.
fn refusal(text: &str, error: &serde_yaml::Error) -> Diagnostic {
    use serde_yaml::Error as E;
    let at = error.location().map_or(Span::default(), |place| {
        let span = place.span();
        let start = span.byte_offset().map_or_else(
            || offset(text, place.line() as usize, place.column() as usize),
            |byte| byte as usize,
        );
        inside(
            text,
            Span::new(start, start + span.byte_len().unwrap_or(0) as usize),
        )
    });
    match error {
        E::AliasError { error, .. } => refusal(text, error),
        E::MultipleDocuments { .. } => {
            Diagnostic::new("E0106", at, "the file holds more than one document")
                .label("a second document starts here")
                .hint("keep one sketch a file, and take out the `---` line")
        }
        E::AliasReplayLimitExceeded { .. }
        | E::AliasExpansionLimitExceeded { .. }
        | E::AliasReplayStackDepthExceeded { .. }
        | E::RecursiveReferencesRequireWeakTypes { .. } => {
            Diagnostic::new("E0107", at, "the aliases of this file unfold without end")
                .label("unfolded too often")
                .hint("write the values out instead of `*name`")
        }
        E::UnknownAnchor { .. } => Diagnostic::new("E0103", at, "no anchor has this name")
            .label("nothing to point at")
            .hint("put a text that starts with `*` or `&` in quotes"),
        E::Budget { breach, .. } => budget(at, breach),
        _ => {
            let words = error.render_with_formatter(&UserMessageFormatter);
            let words = words.split(" at line ").next().unwrap_or_default();
            if words.contains("recursion limit") {
                return too_deep(at);
            }
            plainly(text, at, words)
        }
    }
}

fn budget(at: Span, breach: &serde_yaml::budget::BudgetBreach) -> Diagnostic {
    use serde_yaml::budget::BudgetBreach as B;
    let (title, hint) = match breach {
        B::Depth { .. } => return too_deep(at),
        B::Nodes { .. } | B::Events { .. } => (
            format!("the file holds more than {} values", limits::NODES),
            "split the job into several sketches",
        ),
        B::Documents { .. } => (
            "the file holds more than one document".to_owned(),
            "keep one sketch a file, and take out the `---` line",
        ),
        _ => (
            format!(
                "the file uses more than {} anchors or aliases",
                limits::ANCHORS
            ),
            "write the values out instead of `*name`",
        ),
    };
    Diagnostic::new("E0107", at, title)
        .label("the reader stopped here")
        .hint(hint)
}

fn too_deep(at: Span) -> Diagnostic {
    let title = format!("the file is nested deeper than {} levels", limits::DEPTH);
    Diagnostic::new("E0107", at, title)
        .label("the reader stopped here")
        .hint("a sketch needs no more than six levels: look for a stray `[` or `{`")
}
