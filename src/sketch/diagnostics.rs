//! What is wrong with a sketch, where, and what to write instead.

use std::fmt;

use super::limits;
use super::span::Span;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Stable code: `E01..` from reading the file, `E02..` from joining its parts into a system.
    pub code: &'static str,
    /// What is wrong, in lower case without a final stop.
    pub title: String,
    /// The place it is about.
    pub at: Span,
    /// Words beside the mark under that place; may be empty.
    pub label: String,
    /// Another place that matters, with its words: the first twin of a pair, for instance.
    pub also: Option<(Span, String)>,
    /// What to write or do instead.
    pub hint: Option<String>,
    /// Text that would put things right in place of what stands at `at`.
    pub patch: Option<String>,
}

impl Diagnostic {
    /// A diagnostic with a title only.
    pub fn new(code: &'static str, at: Span, title: impl Into<String>) -> Diagnostic {
        Diagnostic {
            code,
            title: shown(&title.into()),
            at,
            label: String::new(),
            also: None,
            hint: None,
            patch: None,
        }
    }

    /// Sets the words beside the mark.
    pub fn label(mut self, label: impl Into<String>) -> Diagnostic {
        self.label = shown(&label.into());
        self
    }

    /// Adds another place.
    pub fn also(mut self, at: Span, label: impl Into<String>) -> Diagnostic {
        self.also = Some((at, shown(&label.into())));
        self
    }

    /// Sets the remedy.
    pub fn hint(mut self, hint: impl Into<String>) -> Diagnostic {
        self.hint = Some(shown(&hint.into()));
        self
    }

    /// Sets the text to write in place of what stands there.
    pub fn patch(mut self, patch: impl Into<String>) -> Diagnostic {
        self.patch = Some(patch.into());
        self
    }

    /// Asks `did you mean` and offers the name as a patch, where there is one near enough.
    pub fn suggest(self, near: Option<&str>) -> Diagnostic {
        match near {
            Some(name) => self.hint(format!("did you mean `{name}`?")).patch(name),
            None => self,
        }
    }
}

/// All that is wrong with one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostics {
    /// Name of the file.
    pub file: String,
    /// Its text, as far as it could be read.
    pub text: String,
    /// What is wrong, in the order of the places.
    pub items: Vec<Diagnostic>,
    /// How many more were found and not kept.
    pub more: usize,
}

impl Diagnostics {
    /// Gathers the diagnostics of one file and sorts them by place.
    pub fn new(
        file: impl Into<String>,
        text: impl Into<String>,
        items: Vec<Diagnostic>,
    ) -> Diagnostics {
        let mut all = Diagnostics {
            file: file.into(),
            text: text.into(),
            items,
            more: 0,
        };
        all.items
            .sort_by(|a, b| (a.at, a.code, &a.title).cmp(&(b.at, b.code, &b.title)));
        all.items.dedup();
        if all.items.len() > limits::KEPT {
            all.more = all.items.len() - limits::KEPT;
            all.items.truncate(limits::KEPT);
        }
        all
    }

    /// How many things are wrong, kept or not.
    pub fn count(&self) -> usize {
        self.items.len() + self.more
    }

    /// Line and column of a byte, both from 1; columns count characters, and a byte order mark counts for nothing.
    ///
    /// # Examples
    /// ```
    /// use ductseam::sketch::Diagnostics;
    /// let none = Diagnostics::new("house.yaml", "ä: 1\nb: 2\n", vec![]);
    /// assert_eq!(none.line_column(2), (1, 2));
    /// assert_eq!(none.line_column(9), (2, 4));
    /// ```
    pub fn line_column(&self, byte: usize) -> (usize, usize) {
        let head = &self.text[..self.text.floor_char_boundary(byte)];
        let start = head.rfind('\n').map_or(0, |i| i + 1);
        let line = 1 + head.bytes().filter(|&b| b == b'\n').count();
        let column = 1 + head[start..].chars().filter(|&c| c != '\u{feff}').count();
        (line, column)
    }

    /// All of it as JSON: `{"format", "file", "count", "items": [...]}`, places in bytes and in lines and columns.
    pub fn to_json(&self) -> String {
        let place = |at: Span| {
            let (line, column) = self.line_column(at.start);
            let (end_line, end_column) = self.line_column(at.end);
            serde_json::json!({
                "start": at.start, "end": at.end,
                "line": line, "column": column, "end_line": end_line, "end_column": end_column,
            })
        };
        let items: Vec<_> = self
            .items
            .iter()
            .map(|item| {
                serde_json::json!({
                    "code": item.code,
                    "title": item.title,
                    "at": place(item.at),
                    "label": item.label,
                    "also": item.also.as_ref().map(|(at, label)| serde_json::json!({"at": place(*at), "label": label})),
                    "hint": item.hint,
                    "patch": item.patch,
                })
            })
            .collect();
        let all = serde_json::json!({
            "format": "ductseam/diagnostics/1",
            "file": self.file,
            "count": self.count(),
            "items": items,
        });
        format!("{all:#}")
    }
}

impl fmt::Display for Diagnostics {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(first) = self.items.first() else {
            return write!(f, "{}: nothing is wrong", self.file);
        };
        let (line, column) = self.line_column(first.at.start);
        write!(f, "{}:{line}:{column}: {}", self.file, first.title)?;
        match self.count() - 1 {
            0 => Ok(()),
            more => write!(f, " (and {more} more)"),
        }
    }
}

impl std::error::Error for Diagnostics {}

/// A user's words in backquotes, cut to a sensible length, with control characters made visible.
///
/// # Examples
/// ```
/// assert_eq!(ductseam::sketch::quoted("24 ft"), "`24 ft`");
/// assert_eq!(ductseam::sketch::quoted("a\tb"), "`a\\tb`");
/// ```
pub fn quoted(words: &str) -> String {
    const LONGEST: usize = 60;
    format!("`{}`", clipped(words, LONGEST))
}

/// Words of others for a message: cut to a sensible length, with control characters made visible.
pub(super) fn shown(words: &str) -> String {
    const LONGEST: usize = 300;
    clipped(words, LONGEST)
}

fn clipped(words: &str, longest: usize) -> String {
    let mut out = String::new();
    for (i, c) in words.chars().enumerate() {
        if i == longest {
            out.push('…');
            break;
        }
        // Characters that cannot be seen, or that turn the direction of writing.
        let hidden = matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
        if c.is_control() || hidden {
            out.extend(c.escape_default());
        } else {
            out.push(c);
        }
    }
    out
}

/// Names for a message: the first twelve, and how many more there are.
///
/// # Examples
/// ```
/// assert_eq!(ductseam::sketch::some_of(["a", "b"]), "a, b");
/// let many: Vec<String> = (0..20).map(|i| i.to_string()).collect();
/// assert!(ductseam::sketch::some_of(many.iter().map(String::as_str)).ends_with("11 and 8 more"));
/// ```
pub fn some_of<'n>(names: impl IntoIterator<Item = &'n str>) -> String {
    const SHOWN: usize = 12;
    const FEW: usize = 3;
    let names: Vec<&str> = names.into_iter().collect();
    let listed = names[..names.len().min(SHOWN)].join(", ");
    match names.len().saturating_sub(SHOWN) {
        0..=FEW => names.join(", "),
        more => format!("{listed} and {more} more"),
    }
}

/// The name that is nearest to a misspelt word, if one is near enough to be meant.
pub fn nearest<'n>(word: &str, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    if word.len() > 200 {
        return None;
    }
    let word = word.to_lowercase();
    let mut best: Option<(usize, &str)> = None;
    for name in names {
        let distance = strsim::damerau_levenshtein(&word, &name.to_lowercase());
        let longest = word.chars().count().max(name.chars().count());
        if distance * 3 <= longest.max(3) && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, name));
        }
    }
    best.map(|(_, name)| name)
}
