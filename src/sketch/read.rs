//! Reading a sketch.

use super::diagnostics::{Diagnostic, Diagnostics};
use super::limits;
use super::reader::Reader;
use super::span::Span;
use super::tree::{self, Kind};
use super::types::Sketch;
use super::whole;

/// Reads a sketch.
///
/// # Errors
/// All that is wrong with the text, each with its place; one thing only when the text is not YAML.
///
/// # Examples
/// ```
/// let text = "ductseam: 1\ntitle: One run\nruns: [{id: A, from: supply plenum, size: 6 in, walk: [north 12 ft, cap]}]\n";
/// let sketch = ductseam::sketch::read(text, "one.yaml").unwrap();
/// assert_eq!(sketch.runs[0].walk.len(), 2);
///
/// let wrong = ductseam::sketch::read(&text.replace("12 ft", "12"), "one.yaml").unwrap_err();
/// assert_eq!(wrong.to_string(), "one.yaml:3:62: `12` has no unit");
/// ```
pub fn read(text: &str, file_name: &str) -> Result<Sketch, Diagnostics> {
    let one = |text: &str, diagnostic| Err(Diagnostics::new(file_name, text, vec![diagnostic]));
    if text.len() > limits::BYTES {
        let title = format!("the file is larger than {} MB", limits::BYTES / 1024 / 1024);
        return one(
            "",
            Diagnostic::new("E0102", Span::default(), title)
                .hint("a sketch of a house is a few kilobytes: is this the right file?"),
        );
    }
    if let Some(title) = nothing(text) {
        return one(
            text,
            Diagnostic::new("E0104", Span::default(), title)
                .hint("`ductseam new` writes a sketch to start from"),
        );
    }
    let (sketch, found) = parts(text, file_name);
    match (sketch, found) {
        (Some(sketch), None) => Ok(sketch),
        (_, Some(found)) => Err(found),
        (None, None) => one(
            text,
            Diagnostic::new("E0105", Span::default(), "the sketch cannot be read"),
        ),
    }
}

/// What of a sketch can be read, and all that is wrong with it: runs, steps and readings with something wrong are left out.
/// For whoever goes on showing a sketch while it is being written; nothing is computed from a sketch with something wrong.
pub(crate) fn read_in_part(text: &str, file_name: &str) -> (Option<Sketch>, Option<Diagnostics>) {
    match read(text, file_name) {
        Ok(sketch) => (Some(sketch), None),
        Err(found) if text.len() > limits::BYTES || nothing(text).is_some() => (None, Some(found)),
        Err(_) => parts(text, file_name),
    }
}

fn parts(text: &str, file_name: &str) -> (Option<Sketch>, Option<Diagnostics>) {
    let one = |diagnostic| {
        let found = Diagnostics::new(file_name, text, vec![diagnostic]);
        (None, Some(found))
    };
    if let Some(at) = text.find('\0') {
        let title = "the text holds a NUL, which no text has";
        return one(Diagnostic::new("E0101", Span::new(at, at + 1), title)
            .label("not a character to be read")
            .hint("is this a sketch, and whole? Open it in your editor and save it as UTF-8"));
    }
    let root = match tree::parse(text) {
        Ok(root) => root,
        Err(diagnostic) => return one(*diagnostic),
    };
    if !matches!(root.kind, Kind::Mapping(_)) {
        let title = format!(
            "a sketch is a mapping of keys to values, found {}",
            root.shape()
        );
        return one(
            Diagnostic::new("E0105", Span::new(root.at.start, root.at.start), title)
                .label("starts here")
                .hint("start with `ductseam: 1` and `title: ...`"),
        );
    }
    let mut reader = Reader::new(text);
    let sketch = whole::sketch(&mut reader, &root);
    if reader.found.is_empty() {
        return (sketch, None);
    }
    let mut all = Diagnostics::new(file_name, text, reader.found);
    all.more += reader.more;
    (sketch, Some(all))
}

/// Reads a sketch from the bytes of a file.
///
/// # Errors
/// As [`read`]; and text that is not UTF-8, with the place of the first bad byte.
pub fn read_bytes(bytes: &[u8], file_name: &str) -> Result<Sketch, Diagnostics> {
    match std::str::from_utf8(bytes) {
        Ok(text) => read(text, file_name),
        Err(error) => {
            let good = error.valid_up_to();
            let bad = bytes[good..].iter().take(40);
            let shown: Vec<u8> = bytes[good.saturating_sub(limits::BYTES)..good].to_vec();
            let mut text = String::from_utf8_lossy(&shown).into_owned();
            let start = text.len();
            let rest: Vec<u8> = bad.copied().take_while(|b| *b != b'\n').collect();
            text.push_str(&String::from_utf8_lossy(&rest));
            let at = Span::new(start, text.len().min(start + '\u{fffd}'.len_utf8()));
            let title = format!(
                "the text is not UTF-8: byte {} is {:#04x}",
                good + 1,
                bytes[good]
            );
            let diagnostic = Diagnostic::new("E0101", at, title)
                .label("not a character")
                .hint("save the file as UTF-8 in your editor");
            Err(Diagnostics::new(file_name, text, vec![diagnostic]))
        }
    }
}

/// Words for a text in which nothing stands.
fn nothing(text: &str) -> Option<&'static str> {
    let mut comments = false;
    for line in text.trim_start_matches('\u{feff}').lines().map(str::trim) {
        match line {
            "" | "---" | "..." => {}
            _ if line.starts_with('#') => comments = true,
            _ => return None,
        }
    }
    Some(if comments {
        "the file holds comments only"
    } else {
        "the file is empty"
    })
}

/// A short commented sketch to start from: invented, and accepted by [`read`].
pub fn starter() -> &'static str {
    include_str!("starter.yaml")
}
