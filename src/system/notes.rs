//! What is gathered while a system is built: errors, defaults that stood in, warnings.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use super::types::{DefaultUsed, Warning};
use crate::catalog::Source;
use crate::sketch::{Diagnostic, nearest};

/// Common practice of the trade.
pub(super) const PRACTICE: &str = "common practice";
/// What the person wrote.
pub(super) const SAID: &str = "given in the sketch";
/// A figure without a published source.
pub(super) const ESTIMATE: &str = "engineering estimate";

/// Errors beyond which the rest is counted: several times what is told.
const FULL: usize = 1000;
/// Names that unknown ones are held against, all together: a building of 2000 runs may name a hundred wrong ones (engineering estimate).
const MOST_COMPARED: usize = 200_000;

/// The words of a figure's source with the mark of how sure it is, said once.
pub(super) fn source_words(source: &Source) -> String {
    let mark = source.sure.words();
    if source.text.contains(mark) {
        source.text.clone()
    } else {
        format!("{}; {mark}", source.text)
    }
}

/// Errors, defaults and warnings, each kept once and in the order of finding.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub problems: Vec<Diagnostic>,
    pub defaults: Vec<DefaultUsed>,
    pub warnings: Vec<Warning>,
    seen: BTreeMap<String, BTreeSet<String>>,
    warned: BTreeSet<String>,
    compared: Cell<usize>,
}

impl Notes {
    /// Records an error.
    pub fn wrong(&mut self, problem: Diagnostic) {
        self.problems.push(problem);
    }

    /// The nearest name to one that is unknown. Once so much is wrong that it is only counted, or so many names have been compared,
    /// no name is looked for: their number times that of the unknown ones would be the work.
    pub fn near<'n>(
        &self,
        word: &str,
        names: impl IntoIterator<Item = &'n str>,
    ) -> Option<&'n str> {
        if self.is_full() || self.compared.get() >= MOST_COMPARED {
            return None;
        }
        let counted = names
            .into_iter()
            .inspect(|_| self.compared.set(self.compared.get() + 1));
        nearest(word, counted)
    }

    /// Whether more is wrong than is told.
    pub fn is_full(&self) -> bool {
        self.problems.len() >= FULL
    }

    /// Records that a default stood in for something unsaid; a second time is not counted.
    pub fn assume(&mut self, about: &str, taken: &str, source: &str) {
        if self.seen.get(about).is_some_and(|all| all.contains(taken)) {
            return;
        }
        self.seen
            .entry(about.to_owned())
            .or_default()
            .insert(taken.to_owned());
        self.defaults.push(DefaultUsed {
            about: about.to_owned(),
            taken: taken.to_owned(),
            source: source.to_owned(),
        });
    }

    /// Records something suspicious but legal.
    pub fn warn(&mut self, code: &str, text: impl Into<String>) {
        let text = text.into();
        if self.warned.insert(format!("{code} {text}")) {
            self.warnings.push(Warning {
                code: code.to_owned(),
                text,
            });
        }
    }
}
