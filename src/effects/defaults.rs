//! What stood in for something unsaid, and what the person should know.

use crate::system::{DefaultUsed, Warning};

/// Defaults and notes, each kept once and in the order of finding.
#[derive(Debug, Default)]
pub struct Defaults {
    /// Defaults.
    pub used: Vec<DefaultUsed>,
    /// Notes.
    pub notes: Vec<Warning>,
}

impl Defaults {
    /// Records that a default stood in.
    pub fn assume(&mut self, about: &str, taken: &str, source: &str) {
        let used = DefaultUsed {
            about: about.to_owned(),
            taken: taken.to_owned(),
            source: source.to_owned(),
        };
        if !self.used.contains(&used) {
            self.used.push(used);
        }
    }

    /// Takes a figure, or a default that is recorded.
    pub fn or(
        &mut self,
        said: Option<f64>,
        usual: f64,
        about: &str,
        taken: &str,
        source: &str,
    ) -> f64 {
        said.unwrap_or_else(|| {
            self.assume(about, taken, source);
            usual
        })
    }

    /// Records something that the person should know.
    pub fn note(&mut self, code: &str, text: impl Into<String>) {
        let note = Warning {
            code: code.to_owned(),
            text: text.into(),
        };
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }
}
