//! The draws, the next looks and the comparison of the readings from one set of draws: what a report shows together.

use super::advice_types::{CompareAnswer, NextAnswer};
use super::compare;
use super::error::AllocateError;
use super::next::{self, NextAsk};
use super::posterior::{self, Posterior};
use super::run::run;
use super::settings::AllocateSettings;
use crate::system::System;

/// What [`posterior()`](super::posterior()), [`next()`](super::next()) and [`compare()`](super::compare()) answer, each
/// figure as they give it alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// The draws, with the allocation.
    pub posterior: Posterior,
    /// What to look at or test next.
    pub next: NextAnswer,
    /// Readings against the model.
    pub compared: CompareAnswer,
}

/// The draws and the next looks from one set of draws, each as it answers alone.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn posterior_and_next(
    system: &System,
    settings: &AllocateSettings,
    ask: &NextAsk,
) -> Result<(Posterior, NextAnswer), AllocateError> {
    let (posterior, next) = run(system, settings, &[], |run| {
        (posterior::of(run), next::answer(run, ask))
    })?;
    Ok((posterior, next?))
}

/// Makes the draws once and answers all three.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn study(
    system: &System,
    settings: &AllocateSettings,
    ask: &NextAsk,
) -> Result<Study, AllocateError> {
    let (posterior, next) = posterior_and_next(system, settings, ask)?;
    let compared = compare::against_others(system, settings, posterior.allocation.clone())?;
    Ok(Study {
        posterior,
        next,
        compared,
    })
}
