//! What is gathered while a system is built: errors, defaults that stood in, warnings.

use std::collections::{BTreeMap, BTreeSet};

use super::types::{DefaultUsed, Warning};
use crate::catalog::Source;
use crate::sketch::Diagnostic;

/// Common practice of the trade.
pub(super) const PRACTICE: &str = "common practice";
/// What the person wrote.
pub(super) const SAID: &str = "given in the sketch";
/// A figure without a published source.
pub(super) const ESTIMATE: &str = "engineering estimate";

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
}

impl Notes {
    /// Records an error.
    pub fn wrong(&mut self, problem: Diagnostic) {
        self.problems.push(problem);
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
        let warning = Warning {
            code: code.to_owned(),
            text: text.into(),
        };
        if !self.warnings.contains(&warning) {
            self.warnings.push(warning);
        }
    }
}
