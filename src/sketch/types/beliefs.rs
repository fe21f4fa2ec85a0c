//! Sealing between readings, what the person believes instead of the usual figures, and how long work takes.

use super::super::span::Marked;
use crate::catalog::Work;

/// One step of sealing.
#[derive(Debug, Clone, PartialEq)]
pub struct Sealing {
    /// Its id.
    pub id: Marked<String>,
    /// Date as written.
    pub date: Option<Marked<String>>,
    /// Seam ids, or groups in words, as written. Never empty.
    pub seams: Vec<Marked<String>>,
    /// What it left: mastic if not said.
    pub work: Option<Marked<Work>>,
}

/// What the person believes instead of the usual figures; `None` where nothing is said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Prior {
    /// Geometric standard deviation of the system's workmanship.
    pub workmanship_spread: Option<f64>,
    /// Geometric standard deviation of the crew's habit with one joint type.
    pub habit_spread: Option<f64>,
    /// Standard deviation of a joint type's exponent.
    pub exponent_spread: Option<f64>,
    /// Factor on every chance to hang open.
    pub gross_chance: Option<f64>,
    /// Chance that a set-up was wrong.
    pub wrong_setup_chance: Option<f64>,
    /// Part of a meter's relative variance that readings on one gauge share.
    pub gauge_shared: Option<f64>,
    /// Factor on the flow that moves smoke.
    pub smoke_threshold: Option<f64>,
    /// Geometric standard deviation of one person's offset when looking.
    pub observer_spread: Option<f64>,
    /// Standard deviation of the pressure between house and ducts left in a reading to outside, Pa.
    pub nulling_error_pa: Option<f64>,
    /// Standard deviation of a tap's baseline, Pa.
    pub tap_error_pa: Option<f64>,
}

/// How long one kind of look or test takes the person.
#[derive(Debug, Clone, PartialEq)]
pub struct Minutes {
    /// Its key: the id of a row of the catalogue's table of tasks, with blanks for hyphens.
    pub task: &'static str,
    /// Minutes.
    pub minutes: Marked<f64>,
}
