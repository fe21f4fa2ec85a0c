//! Plain data of the answers about what to do next, how well all agrees, and what hangs on the prior.

use super::types::{Allocation, Band};
use crate::math::hypot;
use crate::system::{Observable, ReadingUnit, SeamIdx, Setup};

/// A gain counts, and two differ, from this many standard errors on.
pub(super) const CLEAR: f64 = 2.0;

/// Something that can still be done to learn more.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// Smoke at these seams, one look each, in one go.
    Smoke {
        /// What they are, in words: `collars of run den`.
        what: String,
        /// The seams.
        seams: Vec<SeamIdx>,
    },
    /// A test.
    Test {
        /// What it is, in words: `total with run den plugged`.
        what: String,
        /// Set-up.
        setup: Box<Setup>,
        /// What is read.
        observable: Observable,
    },
}

impl Action {
    /// What it is, in words.
    pub fn words(&self) -> &str {
        match self {
            Action::Smoke { what, .. } | Action::Test { what, .. } => what,
        }
    }
}

/// One candidate with its worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What would be done.
    pub action: Action,
    /// How it would be written in the sketch, one line of YAML with the result left open.
    pub sketch_line: String,
    /// Minutes it takes.
    pub minutes: f64,
    /// Where the minutes come from.
    pub minutes_source: String,
    /// Part of the variance of the target that it takes away, 0 to 1.
    pub variance_gain: f64,
    /// Extra leakage that a plan sealing the best seams would catch after it, m³/s in the test set-up.
    pub caught_gain_m3_s: f64,
    /// Standard error of `caught_gain_m3_s` from the number of draws, m³/s; 0 where the gain is none.
    pub caught_gain_error_m3_s: f64,
    /// `caught_gain_m3_s` by hour.
    pub caught_gain_per_hour_m3_s: f64,
    /// `variance_gain` by hour.
    pub variance_gain_per_hour: f64,
    /// Why, in one line.
    pub why: String,
    /// Something to mind before or while doing it; empty when there is nothing special.
    pub caution: String,
}

/// What could be done next, best first.
#[derive(Debug, Clone, PartialEq)]
pub struct NextAnswer {
    /// The allocation that it starts from.
    pub allocation: Allocation,
    /// Candidates, most extra leakage caught by hour first.
    pub candidates: Vec<Candidate>,
    /// How many seams the plan behind `caught_gain_m3_s` seals.
    pub plan_seams: usize,
    /// Leakage that this plan would catch as things are known now, m³/s in the test set-up.
    pub caught_now_m3_s: f64,
    /// Leakage it would catch if everything were known, m³/s.
    pub caught_at_best_m3_s: f64,
    /// The target of the variance, in words.
    pub target: String,
    /// Draws behind the gains.
    pub draws: usize,
    /// Why nothing is advised, where a caution forbids it (suspected asbestos).
    pub stopped: Option<String>,
    /// Candidates that cannot be judged, with the reason.
    pub left_out: Vec<(String, String)>,
}

impl NextAnswer {
    /// How many candidates, from the first on, gain as much by hour as the first within chance: within two standard errors of
    /// the difference, taken as if the two were independent. Another seed may put any of these first. 0 where the first gains nothing.
    #[must_use]
    pub fn level(&self) -> usize {
        let hourly = |one: &Candidate| {
            (
                one.caught_gain_per_hour_m3_s,
                one.caught_gain_error_m3_s * 60.0 / one.minutes,
            )
        };
        let Some((best, best_error)) = self.candidates.first().map(hourly) else {
            return 0;
        };
        if !(best > 0.0) {
            return 0;
        }
        self.candidates
            .iter()
            .map(hourly)
            .take_while(|(gain, error)| {
                *gain > 0.0 && best - gain <= CLEAR * hypot(best_error, *error)
            })
            .count()
    }
}

/// A cause that would explain a reading, solved for.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// In words: `register of den left unmasked`.
    pub words: String,
    /// What the reading would be then, at the mean of the posterior that sets this reading aside, in the reading's unit.
    pub expected: f64,
    /// (measured − expected)/σ.
    pub residual_sd: f64,
    /// Chance among the causes listed, equal before the reading.
    pub chance: f64,
}

/// One reading in a comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparedReading {
    /// Position in [`Allocation::readings`].
    pub reading: usize,
    /// Unit of the figures.
    pub unit: ReadingUnit,
    /// Modelled from all the other evidence, this reading left out.
    pub without: Band,
    /// (measured − mean without it)/√(σ² + variance without it).
    pub residual_without_sd: f64,
    /// Chance of a reading at least as far out on its own side given the other evidence, doubled.
    pub chance_without: f64,
    /// Causes that would explain it, likeliest first; empty when the fit is ordinary.
    pub causes: Vec<Cause>,
    /// One sentence.
    pub verdict: String,
}

/// Modelled against measured.
#[derive(Debug, Clone, PartialEq)]
pub struct CompareAnswer {
    /// The allocation.
    pub allocation: Allocation,
    /// One entry a reading.
    pub readings: Vec<ComparedReading>,
    /// Sum of squared standardised residuals of the readings taken as right, and how many there are.
    pub chi_square: (f64, usize),
}

/// What one changed knob does to the answer.
#[derive(Debug, Clone, PartialEq)]
pub struct KnobChange {
    /// The knob and its two values, in words: `workmanship spread 1.7 → 2.2`.
    pub words: String,
    /// Total with the change, m³/s.
    pub total_m3_s: Band,
    /// Share of the hidden seams with the change.
    pub hidden_share: f64,
    /// Shares of the seams of [`Sensitivity::top`], in its order.
    pub shares: Vec<f64>,
    /// Ranks of the same seams, 1 the largest.
    pub ranks: Vec<usize>,
    /// Chance that nothing hangs open.
    pub nothing_open_chance: f64,
    /// Whether the computation with the change is doubtful.
    pub doubtful: bool,
}

/// How much the answer hangs on the prior.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// Seams looked at: the largest by share, in order of rank.
    pub top: Vec<SeamIdx>,
    /// Shares as they stand.
    pub shares: Vec<f64>,
    /// One entry a change.
    pub changes: Vec<KnobChange>,
    /// Pairs of `top` whose order some change turns round, with the number of the first such change; seams whose shares
    /// differ by less than the Monte Carlo error are no flip.
    pub flips: Vec<(SeamIdx, SeamIdx, usize)>,
}
