//! The text between the single values: brackets, commas, dashes, comments, each with its place.

use super::super::span::Span;
use super::super::tree::{Kind, Node};

/// What a piece of the text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Piece {
    /// A single value or a key.
    Scalar,
    /// `[` or `{`.
    Open,
    /// `]` or `}`.
    Close,
    Comma,
    Colon,
    /// The `-` of an item.
    Dash,
    /// The `|` or `>` before a text of several lines.
    Fold,
    /// `&name`, `*name`, a tag, or a `?` before a key.
    Shared,
    Comment,
    /// `---`, `...` or a `%` line.
    Marker,
}

/// All pieces of a text in their order; blanks and line ends are between them.
pub(super) fn pieces(text: &str, root: &Node<'_>) -> Vec<(Piece, Span)> {
    let mut scalars = Vec::new();
    gather(text, root, &mut scalars);
    scalars.sort();
    scalars.dedup();
    let mut found = Vec::new();
    let mut at = 0;
    for span in scalars {
        if span.start < at {
            continue;
        }
        between(text, at, span.start, &mut found);
        found.push((Piece::Scalar, span));
        at = span.end;
    }
    between(text, at, text.len(), &mut found);
    found
}

fn gather(text: &str, node: &Node<'_>, scalars: &mut Vec<Span>) {
    match &node.kind {
        Kind::List(items) => items.iter().for_each(|item| gather(text, item, scalars)),
        Kind::Mapping(entries) => {
            for (key, value) in entries {
                gather(text, key, scalars);
                gather(text, value, scalars);
            }
        }
        Kind::Nothing
            if !matches!(
                text.get(node.at.start..node.at.end),
                Some("~" | "null" | "Null" | "NULL")
            ) => {}
        _ if node.at.start < node.at.end => scalars.push(trimmed(text, node.at)),
        _ => {}
    }
}

/// The span of a scalar without blanks and line ends behind it.
fn trimmed(text: &str, at: Span) -> Span {
    let body = text[at.start..at.end].trim_end();
    Span::new(at.start, at.start + body.len())
}

/// The pieces of a stretch without scalars.
fn between(text: &str, start: usize, end: usize, found: &mut Vec<(Piece, Span)>) {
    let bytes = text.as_bytes();
    let mut at = start;
    while at < end {
        let from = at;
        let rest_of_line = || {
            text[from..]
                .find(['\n', '\r'])
                .map_or(text.len(), |i| from + i)
        };
        let at_line_start = from == 0 || bytes[from - 1] == b'\n' || text[..from] == *"\u{feff}";
        let piece = match bytes[at] {
            b'#' => {
                at = rest_of_line();
                Piece::Comment
            }
            b'%' if at_line_start => {
                at = rest_of_line();
                Piece::Marker
            }
            b'-' | b'.'
                if at_line_start
                    && (text[from..].starts_with("---") || text[from..].starts_with("...")) =>
            {
                at += 3;
                Piece::Marker
            }
            b'[' | b'{' => {
                at += 1;
                Piece::Open
            }
            b']' | b'}' => {
                at += 1;
                Piece::Close
            }
            b',' => {
                at += 1;
                Piece::Comma
            }
            b':' => {
                at += 1;
                Piece::Colon
            }
            b'-' => {
                at += 1;
                Piece::Dash
            }
            b' ' | b'\t' | b'\n' | b'\r' => {
                at += 1;
                continue;
            }
            _ if text[from..].starts_with('\u{feff}') => {
                at += '\u{feff}'.len_utf8();
                continue;
            }
            _ => {
                let is_fold = matches!(bytes[at], b'|' | b'>');
                at = text[from..end]
                    .find([' ', '\t', '\n', '\r', ',', ']', '}'])
                    .map_or(end, |i| from + i);
                if is_fold { Piece::Fold } else { Piece::Shared }
            }
        };
        found.push((piece, Span::new(from, at)));
    }
}
