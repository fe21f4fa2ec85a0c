//! What to look at or test next: every look and test that can still be done, with what it would be worth.
//!
//! # Method
//! Draws of the posterior stand for what may be true. For each candidate and each draw s an outcome is made up from
//! draw s; the other draws are weighed by the chance of that outcome under each of them; then
//! ```text
//! variance gain = 1 − E_s[(ln target(s) − E[ln target | outcome])²]/Var(ln target)
//! caught gain   = E_s[Σ_{i in plan(outcome)} qᵢ(s)] − E_s[Σ_{i in plan} qᵢ(s)]
//! ```
//! where a plan seals the seams in reach with the largest expected flow. A caught gain within two of its standard errors,
//! or below 0.5 % of what the plan catches already, counts as none. Draw s never weighs itself, so that a sharp
//! outcome does not look like knowledge of s. That serves for smoke, with its few outcomes. A meter's reading would single
//! out a handful of draws; there the expected flows are the best straight lines in the reading (linear Bayes),
//! ```text
//! E[qᵢ | y] ≈ q̄ᵢ + cov(qᵢ, h)/(var h + σ²)·(y − h̄),     Var(T | y) ≈ Var T·(1 − ρ²·var h/(var h + σ²))
//! ```
//! (for a flow in its logarithm) fitted on one half of the draws and judged on the other, slopes that half the draws cannot tell from none left out.

mod candidates;
mod worth;

use super::advice_types::{Candidate, NextAnswer};
use super::error::AllocateError;
use super::run::{Run, run};
use super::settings::AllocateSettings;
use crate::system::{Reach, SuspectTape, System};

/// Draws behind the gains where nothing is said.
const DRAWS: usize = 400;
/// Fewest draws behind the gains: below, chance hides nearly all.
const LEAST_DRAWS: usize = 50;

/// What is to be known better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Target {
    /// Total leakage in the test set-up.
    #[default]
    Total,
    /// What hidden seams leak.
    Hidden,
    /// Leakage to outside.
    Outside,
}

impl Target {
    fn words(self) -> &'static str {
        match self {
            Target::Total => "total leakage",
            Target::Hidden => "leakage of hidden seams",
            Target::Outside => "leakage to outside",
        }
    }
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct NextAsk {
    /// Seams that the plan seals; as many as [`AllocateSettings::top`], at most half of those in reach, if `None`.
    pub plan_seams: Option<usize>,
    /// What is to be known better.
    pub target: Target,
    /// Draws behind the gains, 50 at least; 400 if `None`. Fewer are quicker and see only larger gains.
    pub draws: Option<usize>,
}

/// Ranks what can still be done.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn next(
    system: &System,
    settings: &AllocateSettings,
    ask: &NextAsk,
) -> Result<NextAnswer, AllocateError> {
    run(system, settings, &[], |run| answer(run, ask))?
}

pub(super) fn answer(run: &Run<'_>, ask: &NextAsk) -> Result<NextAnswer, AllocateError> {
    let system = run.system;
    let reached: Vec<usize> = (0..system.seams.len())
        .filter(|&i| matches!(system.seams[i].reach, Reach::Open | Reach::UnderInsulation))
        .collect();
    let plan_seams = ask
        .plan_seams
        .unwrap_or_else(|| run.settings.top.min(reached.len().div_ceil(2)))
        .clamp(1, reached.len().max(1));
    let count = ask.draws.unwrap_or(DRAWS).max(LEAST_DRAWS);
    let draws = worth::Draws::of(run, ask.target, reached, plan_seams, count);
    let stopped = (system.suspect_tape == SuspectTape::Suspected).then(|| {
        "old tape on these ducts may hold asbestos: nothing is pressurised, cut or handled before it has been looked \
         at by somebody licensed for it"
            .to_owned()
    });
    let mut left_out = Vec::new();
    let mut candidates: Vec<Candidate> = Vec::new();
    if stopped.is_none() {
        for offer in candidates::all(run, &mut left_out) {
            match worth::gain(run, &draws, &offer) {
                Ok(gain) => candidates.push(offer.with(gain)),
                Err(why) => left_out.push((offer.action.words().to_owned(), why)),
            }
        }
    }
    candidates.sort_by(|a, b| {
        b.caught_gain_per_hour_m3_s
            .total_cmp(&a.caught_gain_per_hour_m3_s)
            .then(
                b.variance_gain_per_hour
                    .total_cmp(&a.variance_gain_per_hour),
            )
            .then(a.action.words().cmp(b.action.words()))
    });
    Ok(NextAnswer {
        allocation: run.allocation(),
        candidates,
        plan_seams,
        caught_now_m3_s: draws.caught_now(),
        caught_at_best_m3_s: draws.caught_at_best(),
        target: ask.target.words().to_owned(),
        draws: draws.count(),
        stopped,
        left_out,
    })
}
