//! Reads single values and mappings, and gathers all that is wrong on the way.

use super::diagnostics::{Diagnostic, nearest, quoted, some_of};
use super::limits::{self, Bounds};
use super::span::{Marked, Span};
use super::tree::{Kind, Node};
use super::words::{Words, listed};
use crate::quantity::{Quantity, QuantityError, QuantityErrorKind, Size};

/// The text being read and what was found wrong so far.
pub(super) struct Reader<'t> {
    pub source: &'t str,
    pub found: Vec<Diagnostic>,
    pub more: usize,
}

/// The words of a scalar, so that a part of them can be pointed at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cut<'n> {
    /// The words, without blanks around.
    pub text: &'n str,
    /// Place of the whole scalar.
    pub at: Span,
    /// Place of the first byte of `text`, where the text stands in the file as it is.
    base: Option<usize>,
}

impl<'n> Cut<'n> {
    /// All of a text.
    pub fn whole(text: &'n str) -> Cut<'n> {
        Cut {
            text,
            at: Span::new(0, text.len()),
            base: Some(0),
        }
    }

    /// Place of a part, which must be a slice of `text`; of the whole scalar when it was quoted with escapes or folded.
    pub fn span(&self, part: &str) -> Span {
        let offset = (part.as_ptr() as usize).wrapping_sub(self.text.as_ptr() as usize);
        match self.base {
            Some(base) if offset <= self.text.len() && !part.is_empty() => {
                Span::new(base + offset, base + offset + part.len())
            }
            _ => self.at,
        }
    }

    /// Place of the words, without quotes.
    pub fn inner(&self) -> Span {
        self.span(self.text)
    }
}

impl<'t> Reader<'t> {
    pub fn new(source: &'t str) -> Reader<'t> {
        Reader {
            source,
            found: Vec::new(),
            more: 0,
        }
    }

    /// Notes that something is wrong.
    pub fn report(&mut self, diagnostic: Diagnostic) {
        if self.is_full() {
            self.more += 1;
        } else {
            self.found.push(diagnostic);
        }
    }

    /// Whether so much is wrong that the rest is only counted.
    pub fn is_full(&self) -> bool {
        self.found.len() >= 4 * limits::KEPT
    }

    /// Notes what is wrong with a quantity.
    pub fn refuse(&mut self, at: Span, error: &QuantityError) {
        let label = match error.kind() {
            QuantityErrorKind::Empty => "nothing here",
            QuantityErrorKind::NotANumber => "not a number with a unit",
            QuantityErrorKind::OutOfRange => "out of range",
            QuantityErrorKind::Separators => "not a plain number",
            QuantityErrorKind::NoUnit => "no unit",
            QuantityErrorKind::UnknownUnit => "unknown unit",
            QuantityErrorKind::WrongKind => "the wrong kind of unit",
            QuantityErrorKind::Sign => "out of range",
            _ => "cannot be read",
        };
        let mut diagnostic = Diagnostic::new("E0120", at, error.message()).label(label);
        if let Some(hint) = error.hint() {
            diagnostic = diagnostic.hint(hint);
        }
        self.report(diagnostic);
    }

    /// The nearest name, unless too much is wrong for it to matter.
    pub fn near<'w>(
        &self,
        word: &str,
        names: impl IntoIterator<Item = &'w str>,
    ) -> Option<&'w str> {
        if self.is_full() {
            None
        } else {
            nearest(word, names)
        }
    }

    /// The items of a list.
    pub fn list<'n>(&mut self, node: &'n Node<'t>, what: &str) -> Option<&'n [Node<'t>]> {
        self.list_up_to(node, what, limits::ITEMS)
    }

    /// The items of a list that has a bound of its own.
    pub fn list_up_to<'n>(
        &mut self,
        node: &'n Node<'t>,
        what: &str,
        most: usize,
    ) -> Option<&'n [Node<'t>]> {
        match &node.kind {
            Kind::List(items) if items.len() > most => {
                self.too_many(&items[most], what, most);
                None
            }
            Kind::List(items) => Some(items),
            _ => {
                // Words that stand alone are most often a list without its brackets.
                let bracketed = self
                    .cut(node)
                    .filter(|cut| !cut.text.is_empty())
                    .map(|cut| (cut.at, format!("[{}]", cut.text)));
                let remedy = "a list like `[one, two]` or lines that start with `- `";
                let mut found = self.unfit(node, what, remedy);
                if let Some((at, list)) = bracketed {
                    found = Diagnostic { at, ..found }
                        .hint(format!("write {}", quoted(&list)))
                        .patch(list);
                }
                self.report(found);
                None
            }
        }
    }

    /// Notes that a list has more items than any building needs; `first` is the first one beyond.
    pub fn too_many(&mut self, first: &Node<'t>, what: &str, most: usize) {
        self.report(
            Diagnostic::new(
                "E0107",
                self.head(first),
                format!("more than {most} items stand in {what}"),
            )
            .label("one too many")
            .hint("is this the sketch of one building? Split the job into several sketches"),
        );
    }

    /// Notes that a node has the wrong shape.
    pub fn wrong_shape(&mut self, node: &Node<'t>, what: &str, remedy: &str) {
        let found = self.unfit(node, what, remedy);
        self.report(found);
    }

    fn unfit(&self, node: &Node<'t>, what: &str, remedy: &str) -> Diagnostic {
        let title = format!("expected {remedy} for {what}, found {}", node.shape());
        Diagnostic::new("E0111", self.head(node), title).label(format!("{} here", node.shape()))
    }

    /// The first line of a node, so that a mark under a long list stays short.
    pub fn head(&self, node: &Node<'t>) -> Span {
        match &node.kind {
            Kind::Mapping(pairs) => pairs.first().map_or(node.at, |(key, _)| key.at),
            Kind::List(items) if !items.is_empty() => Span::new(node.at.start, node.at.start + 1),
            _ => node.at,
        }
    }

    /// The words of a scalar, if it is one with something in it.
    pub fn cut<'n>(&self, node: &'n Node<'t>) -> Option<Cut<'n>>
    where
        't: 'n,
    {
        let text = node.scalar(self.source)?;
        let raw = self
            .source
            .get(node.at.start..node.at.end)
            .unwrap_or_default();
        let base = if raw.starts_with(text) {
            Some(node.at.start)
        } else {
            raw.get(1..)
                .filter(|_| raw.starts_with(['"', '\'']))
                .and_then(|rest| {
                    let lead = rest.len() - rest.trim_start().len();
                    rest.trim_start()
                        .starts_with(text)
                        .then_some(node.at.start + 1 + lead)
                })
        };
        Some(Cut {
            text,
            at: node.at,
            base,
        })
    }

    /// The words of a value that must be a scalar and not empty.
    pub fn words<'n>(&mut self, node: &'n Node<'t>, what: &str) -> Option<Cut<'n>>
    where
        't: 'n,
    {
        let Some(cut) = self.cut(node) else {
            self.wrong_shape(node, what, "a single value");
            return None;
        };
        if cut.text.is_empty() {
            self.report(
                Diagnostic::new("E0111", node.at, format!("expected {what}, found nothing"))
                    .label("empty")
                    .hint(format!("write {what} here")),
            );
            return None;
        }
        Some(cut)
    }

    /// A line of free words.
    pub fn text(&mut self, node: &Node<'t>, what: &str, most: usize) -> Option<Marked<String>> {
        let cut = self.words(node, what)?;
        if cut.text.chars().nth(most).is_some() {
            self.report(
                Diagnostic::new(
                    "E0121",
                    cut.at,
                    format!("{what} is longer than {most} characters"),
                )
                .label("too long")
                .hint("shorten it"),
            );
            return None;
        }
        if let Some(bad) = cut
            .text
            .chars()
            .find(|c| c.is_control() && !matches!(c, '\n' | '\t'))
        {
            self.report(
                Diagnostic::new(
                    "E0150",
                    cut.at,
                    format!(
                        "{what} holds the control character `{}`",
                        bad.escape_default()
                    ),
                )
                .label("cannot be printed")
                .hint("take it out"),
            );
            return None;
        }
        Some(Marked::new(cut.text.to_owned(), cut.inner()))
    }

    /// A name.
    pub fn name(&mut self, node: &Node<'t>, what: &str) -> Option<Marked<String>> {
        self.text(node, what, limits::NAME)
    }

    /// An id: letters, digits, blanks and `- _ .`.
    pub fn id(&mut self, node: &Node<'t>, what: &str) -> Option<Marked<String>> {
        let cut = self.words(node, what)?;
        self.id_in(&cut, cut.text, what)
    }

    /// An id that is part of some words.
    pub fn id_in(&mut self, cut: &Cut<'_>, part: &str, what: &str) -> Option<Marked<String>> {
        let at = cut.span(part);
        let allowed = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.');
        if let Some(bad) = part.chars().find(|c| !allowed(*c)) {
            self.report(
                Diagnostic::new(
                    "E0150",
                    at,
                    format!("{what} may not hold {}", quoted(&bad.to_string())),
                )
                .label("not a name that can be used")
                .hint("use letters, digits, blanks and `-`, `_`, `.`"),
            );
            return None;
        }
        if part.chars().nth(limits::NAME).is_some() {
            self.report(
                Diagnostic::new(
                    "E0150",
                    at,
                    format!("{what} is longer than {} characters", limits::NAME),
                )
                .label("too long")
                .hint("shorten it"),
            );
            return None;
        }
        if part.contains("  ") {
            self.report(
                Diagnostic::new("E0150", at, format!("{what} holds two blanks in a row"))
                    .label("hard to write again")
                    .hint("use one blank"),
            );
            return None;
        }
        Some(Marked::new(part.to_owned(), at))
    }

    /// One of some words.
    pub fn choice<T: Copy>(
        &mut self,
        node: &Node<'t>,
        what: &str,
        words: Words<T>,
    ) -> Option<Marked<T>> {
        let cut = self.words(node, what)?;
        self.choice_in(&cut, cut.text, what, words)
    }

    /// One of some words, as part of others.
    pub fn choice_in<T: Copy>(
        &mut self,
        cut: &Cut<'_>,
        part: &str,
        what: &str,
        words: Words<T>,
    ) -> Option<Marked<T>> {
        let at = cut.span(part);
        if let Some((_, value)) = words
            .iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(part))
        {
            return Some(Marked::new(*value, at));
        }
        let plain = part.to_lowercase().replace(['_', '-'], " ");
        let near = words
            .iter()
            .map(|(word, _)| *word)
            .find(|word| *word == plain)
            .or_else(|| self.near(part, listed(words)));
        let all = some_of(listed(words));
        let diagnostic = Diagnostic::new("E0112", at, format!("{what} cannot be {}", quoted(part)))
            .label("unknown word");
        self.report(match near {
            Some(_) => diagnostic.suggest(near),
            None => diagnostic.hint(format!("write one of: {all}")),
        });
        None
    }

    /// A quantity within bounds.
    pub fn quantity<Q: Quantity>(&mut self, node: &Node<'t>, bounds: &Bounds) -> Option<Marked<Q>> {
        let cut = self.words(node, bounds.name)?;
        self.quantity_in(&cut, cut.text, bounds)
    }

    /// A quantity within bounds, as part of some words.
    pub fn quantity_in<Q: Quantity>(
        &mut self,
        cut: &Cut<'_>,
        part: &str,
        bounds: &Bounds,
    ) -> Option<Marked<Q>> {
        let at = cut.span(part);
        match part.parse::<Q>() {
            Err(error) => {
                self.refuse(at, &error);
                None
            }
            Ok(value) => self
                .within(at, part, value.to_si(), bounds)
                .then(|| Marked::new(value, at)),
        }
    }

    /// Whether a value keeps its bounds; notes it if not.
    pub fn within(&mut self, at: Span, written: &str, si: f64, bounds: &Bounds) -> bool {
        let (title, label) = if si < 0.0 && bounds.least >= 0.0 {
            (
                format!(
                    "{} must not be below zero, found {}",
                    bounds.name,
                    quoted(written)
                ),
                "below zero",
            )
        } else if si <= 0.0 && bounds.least > 0.0 {
            (
                format!(
                    "{} must be above zero, found {}",
                    bounds.name,
                    quoted(written)
                ),
                "zero",
            )
        } else if si < bounds.least {
            (
                format!(
                    "{} must be at least {}, found {}",
                    bounds.name,
                    bounds.least_words,
                    quoted(written)
                ),
                "too small to be meant",
            )
        } else if si > bounds.most || si.is_nan() {
            (
                format!(
                    "{} must be at most {}, found {}",
                    bounds.name,
                    bounds.most_words,
                    quoted(written)
                ),
                "too large to be meant",
            )
        } else {
            return true;
        };
        let hint = format!(
            "write a value from {} to {}",
            bounds.least_words, bounds.most_words
        );
        self.report(Diagnostic::new("E0121", at, title).label(label).hint(hint));
        false
    }

    /// A section whose sides keep the bounds.
    pub fn size_in(&mut self, cut: &Cut<'_>, part: &str, bounds: &Bounds) -> Option<Marked<Size>> {
        let at = cut.span(part);
        match part.parse::<Size>() {
            Err(error) => {
                self.refuse(at, &error);
                None
            }
            Ok(size) => {
                let (small, large) = (
                    size.width().si().min(size.height().si()),
                    size.width().si().max(size.height().si()),
                );
                (self.within(at, part, small, bounds) && self.within(at, part, large, bounds))
                    .then(|| Marked::new(size, at))
            }
        }
    }

    /// A section.
    pub fn size(&mut self, node: &Node<'t>, bounds: &Bounds) -> Option<Marked<Size>> {
        let cut = self.words(node, "a size")?;
        self.size_in(&cut, cut.text, bounds)
    }

    /// A bare number within bounds.
    pub fn number(&mut self, node: &Node<'t>, bounds: &Bounds) -> Option<Marked<f64>> {
        let cut = self.words(node, bounds.name)?;
        self.number_in(&cut, cut.text, bounds)
    }

    /// A bare number within bounds, as part of some words.
    pub fn number_in(&mut self, cut: &Cut<'_>, part: &str, bounds: &Bounds) -> Option<Marked<f64>> {
        let at = cut.span(part);
        match part.parse::<f64>() {
            Ok(value) if value.is_finite() => self
                .within(at, part, value, bounds)
                .then(|| Marked::new(value, at)),
            _ => {
                self.report(
                    Diagnostic::new(
                        "E0120",
                        at,
                        format!(
                            "expected a plain number for {}, found {}",
                            bounds.name,
                            quoted(part)
                        ),
                    )
                    .label("not a plain number")
                    .hint(format!(
                        "write a number from {} to {}",
                        bounds.least_words, bounds.most_words
                    )),
                );
                None
            }
        }
    }

    /// `yes`.
    pub fn yes(&mut self, node: &Node<'t>, key: &str, otherwise: &str) -> Option<Span> {
        let cut = self.words(node, key)?;
        if ["yes", "true"]
            .iter()
            .any(|word| cut.text.eq_ignore_ascii_case(word))
        {
            return Some(cut.inner());
        }
        self.report(
            Diagnostic::new(
                "E0112",
                cut.inner(),
                format!("`{key}` can only be `yes`, found {}", quoted(cut.text)),
            )
            .label("not `yes`")
            .hint(otherwise),
        );
        None
    }
}
