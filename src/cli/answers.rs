//! `allocate`, `next` and `compare`: read a sketch, compute, answer, say what is doubtful.

use super::args::{
    AllocateAsk, Draws, Format, Input, NextWords, Question, Show, Shown, TargetWord,
};
use super::believed::Believed;
use super::commands::{read_system, units};
use super::files;
use super::{Ended, Refused};
use crate::allocate::{self, AllocateError, AllocateSettings, Allocation, NextAsk, Status, Target};
use crate::report::{
    NextTextSettings, TextSettings, allocation_csv, allocation_json, allocation_text, compare_csv,
    compare_json, compare_text, next_csv, next_json, next_text,
};
use crate::system::System;

/// What all commands that draw have in common.
pub struct Asked<'a> {
    pub input: &'a Input,
    pub show: &'a Show,
    pub format: Format,
    pub draws: &'a Draws,
    pub believed: &'a Believed,
}

impl<'a, Words: clap::Args> From<&'a Question<Words>> for Asked<'a> {
    fn from(question: &'a Question<Words>) -> Self {
        Asked {
            input: &question.input,
            show: &question.show,
            format: question.format,
            draws: &question.draws,
            believed: &question.believed,
        }
    }
}

impl<'a, Words: clap::Args> From<&'a Shown<Words>> for Asked<'a> {
    fn from(shown: &'a Shown<Words>) -> Self {
        Asked {
            input: &shown.input,
            show: &shown.show,
            format: Format::Text,
            draws: &shown.draws,
            believed: &shown.believed,
        }
    }
}

impl Asked<'_> {
    /// The system with all beliefs in it, and the settings.
    pub fn read(&self) -> Result<(System, AllocateSettings), Refused> {
        files::keep_apart(
            self.show.output.as_deref(),
            &[Some(&self.input.sketch), self.input.catalog.as_deref()],
        )?;
        let mut system = read_system(self.input)?;
        system.beliefs = self.believed.over(&system.beliefs);
        let settings = self
            .believed
            .settings(self.draws.seed, self.draws.draws, &system.beliefs);
        Ok((system, settings))
    }
}

/// Spreads the measured leakage over the seams.
pub fn allocate(asked: &Asked<'_>, ask: &AllocateAsk) -> Result<Ended, Refused> {
    if ask.sensitivity && asked.format == Format::Csv {
        return Err(Refused(
            "error: `--sensitivity` has no place in the table of seams\nhint: use `--format json` or the text\n"
                .to_owned(),
        ));
    }
    let (system, settings) = asked.read()?;
    let allocation = allocate::allocate(&system, &settings).map_err(|e| refused(&e))?;
    let sensitivity = ask
        .sensitivity
        .then(|| allocate::sensitivity(&system, &settings, &allocation))
        .transpose()
        .map_err(|e| refused(&e))?;
    let text = match asked.format {
        Format::Text => allocation_text(
            &system,
            &allocation,
            sensitivity.as_ref(),
            TextSettings {
                units: units(asked.show, &system),
                rows: ask.rows,
            },
        ),
        Format::Json => allocation_json(&system, &allocation, sensitivity.as_ref()),
        Format::Csv => allocation_csv(&allocation),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    Ok(ended(&allocation))
}

/// Says what to look at or test next.
pub fn next(asked: &Asked<'_>, ask: &NextWords) -> Result<Ended, Refused> {
    let (system, settings) = asked.read()?;
    let answer = allocate::next(
        &system,
        &settings,
        &NextAsk {
            plan_seams: ask.seal.map(|seams| seams as usize),
            target: ask.target.into(),
            draws: None,
        },
    )
    .map_err(|e| refused(&e))?;
    let text = match asked.format {
        Format::Text => next_text(
            &system,
            &answer,
            NextTextSettings {
                units: units(asked.show, &system),
                rows: ask.rows,
            },
        ),
        Format::Json => next_json(&system, &answer),
        Format::Csv => next_csv(&system, &answer),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    let ended = ended(&answer.allocation);
    match &answer.stopped {
        None => Ok(ended),
        Some(why) => {
            files::talk(&format!("stopped: {why}\n"));
            Ok(Ended::Doubtful)
        }
    }
}

/// Sets every reading against the model.
pub fn compare(asked: &Asked<'_>) -> Result<Ended, Refused> {
    let (system, settings) = asked.read()?;
    let answer = allocate::compare(&system, &settings).map_err(|e| refused(&e))?;
    let text = match asked.format {
        Format::Text => compare_text(&system, &answer, units(asked.show, &system)),
        Format::Json => compare_json(&system, &answer),
        Format::Csv => compare_csv(&system, &answer),
    };
    files::answer(&text, asked.show.output.as_deref())?;
    Ok(ended(&answer.allocation))
}

/// Says on stderr why an allocation is doubtful.
pub fn ended(allocation: &Allocation) -> Ended {
    match &allocation.status {
        Status::Converged => Ended::Answered,
        Status::Doubtful { reasons } => doubtful(reasons),
    }
}

/// Says on stderr why an answer is doubtful; it is not where there is no reason.
pub fn doubtful(reasons: &[String]) -> Ended {
    for reason in reasons {
        files::talk(&format!("doubtful: {reason}\n"));
    }
    if reasons.is_empty() {
        Ended::Answered
    } else {
        Ended::Doubtful
    }
}

pub fn refused(error: &AllocateError) -> Refused {
    Refused::with_hint(error, error.hint())
}

impl From<TargetWord> for Target {
    fn from(word: TargetWord) -> Self {
        match word {
            TargetWord::Total => Target::Total,
            TargetWord::Hidden => Target::Hidden,
            TargetWord::Outside => Target::Outside,
        }
    }
}
