//! A flow at 25 Pa held against a limit. Nothing here says that anything is lawful: that is for the authority having
//! jurisdiction.

use super::applied::{Unknown, flow_at_25_pa};
use super::measured::{At25, MixedBasis};
use super::series::SeriesError;
use super::student::chance_below;
use crate::catalog::Limit;
use crate::system::System;

/// Why a reading cannot be held against a limit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotComparable {
    /// They speak of different things.
    #[error(transparent)]
    Basis(#[from] MixedBasis),
    /// What the limit is measured by is not stated.
    #[error(transparent)]
    Unknown(#[from] Unknown),
    /// Nothing of that scope was read.
    #[error(
        "no reading of that leakage ({0}) is in the sketch: add one like `{{id: test, {0}: 60 cfm at 25 Pa}}`"
    )]
    NoReading(&'static str),
    /// What was read cannot be brought to 25 Pa.
    #[error("what was read of it (`{0}`) cannot be brought to 25 Pa: {1}; {hint}", hint = .1.hint())]
    NotAt25(String, SeriesError),
}

/// How a reading stands to a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// At or below, by more than the reading's error.
    AtOrBelow,
    /// Above, by more than the reading's error.
    Above,
    /// The limit lies within the reading's error (95 %).
    TooClose,
}

impl Verdict {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Verdict::AtOrBelow => "at or below the limit entered",
            Verdict::Above => "above the limit entered",
            Verdict::TooClose => "too close to call",
        }
    }
}

/// A reading against a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// The limit as a flow at 25 Pa, m³/s.
    pub limit_m3_s: f64,
    /// Whether the limit's least flow decides, and not its rate.
    pub by_least: bool,
    /// Limit less reading, m³/s.
    pub margin_m3_s: f64,
    /// The same as part of the limit.
    pub margin_part: f64,
    /// Chance that the true flow is at or below the limit, given the reading's error; `None` where only an upper bound is
    /// known.
    pub chance: Option<f64>,
    /// How it stands.
    pub verdict: Verdict,
}

/// Holds a flow at 25 Pa against a limit.
///
/// # Errors
/// [`NotComparable`] where scope or stage differ, or the system does not state what the limit is measured by.
pub fn judge(limit: &Limit, at: &At25, system: &System) -> Result<Judged, NotComparable> {
    at.basis().meets(limit)?;
    let limit_m3_s = flow_at_25_pa(limit, system)?;
    let margin_m3_s = limit_m3_s - at.flow_m3_s();
    let half = at.half_95_m3_s();
    let verdict = if at.is_bound() {
        // A bound at or below the limit settles it; one above says nothing.
        if margin_m3_s >= 0.0 {
            Verdict::AtOrBelow
        } else {
            Verdict::TooClose
        }
    } else if margin_m3_s.abs() < half {
        Verdict::TooClose
    } else if margin_m3_s >= 0.0 {
        Verdict::AtOrBelow
    } else if at.is_at_most() {
        // What lies above may be what does not count.
        Verdict::TooClose
    } else {
        Verdict::Above
    };
    let chance = (!at.is_bound() && !at.is_at_most()).then(|| {
        if at.sd_m3_s() > 0.0 {
            chance_below(margin_m3_s / at.sd_m3_s(), at.freedom())
        } else {
            f64::from(u8::from(margin_m3_s >= 0.0))
        }
    });
    Ok(Judged {
        limit_m3_s,
        by_least: limit.least_m3_s > 0.0 && limit_m3_s <= limit.least_m3_s,
        margin_m3_s,
        margin_part: margin_m3_s / limit_m3_s,
        chance,
        verdict,
    })
}
