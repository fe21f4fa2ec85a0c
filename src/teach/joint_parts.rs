//! What is asked and answered of joint types: plain data, SI.

use crate::allocate::{AllocateError, Band};
use crate::catalog::Basis;

/// Which leakage ranks the joint types.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum By {
    /// In the total set-up at its pressure.
    #[default]
    Test,
    /// While the unit runs.
    Running,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct JointsAsk {
    /// Which leakage ranks.
    pub by: By,
    /// Whether readings, looks and sealing of the sketches count; else every system is as before any test.
    pub with_readings: bool,
}

/// Joint types of some systems, and the systems.
#[derive(Debug, Clone, PartialEq)]
pub struct JointTypes {
    /// What was asked.
    pub ask: JointsAsk,
    /// Seed.
    pub seed: u64,
    /// Draws of each system.
    pub draws: usize,
    /// The systems in the order given.
    pub systems: Vec<SystemPart>,
    /// Joint types, the largest part by [`JointsAsk::by`] first.
    pub types: Vec<TypePart>,
    /// Why the answer is doubtful; empty where it is not.
    pub doubts: Vec<String>,
}

/// One system.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemPart {
    /// Title of the sketch.
    pub title: String,
    /// Number of seams.
    pub seams: usize,
    /// All seams in the total set-up, m³/s.
    pub test_m3_s: Band,
    /// All seams while the unit runs, either way, m³/s; `None` with the reason in `no_running`.
    pub running_m3_s: Option<Band>,
    /// Why nothing is said of the running system.
    pub no_running: Option<&'static str>,
}

/// One joint type over all systems.
#[derive(Debug, Clone, PartialEq)]
pub struct TypePart {
    /// Id in the catalogue.
    pub joint_type: String,
    /// Its name.
    pub name: String,
    /// What its amount counts.
    pub basis: Basis,
    /// Whether it stands for what the sketches forgot.
    pub is_remainder: bool,
    /// Systems in which it occurs.
    pub systems: usize,
    /// Seams over all systems.
    pub count: usize,
    /// Metres or pieces over all systems.
    pub amount: f64,
    /// Seams by workmanship, in the order of [`Work::ALL`](crate::catalog::Work::ALL).
    pub works: [usize; 3],
    /// Seams with a person's own figures, which no change of workmanship touches.
    pub own_figures: usize,
    /// In the total set-up.
    pub test: Part,
    /// While the unit runs; `None` unless every system can be solved running.
    pub running: Option<Part>,
    /// All its seams made ordinary, and all with mastic, on the basis that ranks. Seams that are as good already stay.
    pub to_ordinary: Change,
    /// See `to_ordinary`.
    pub to_mastic: Change,
}

/// What a joint type brings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Flow a system, systems without the type counted as zero, m³/s.
    pub flow_m3_s: Band,
    /// Mean part of all leakage of a system.
    pub share: f64,
    /// Place by mean part, 1 for the largest.
    pub rank: usize,
    /// Chance to bring more than any other type of its system.
    pub leakiest_chance: f64,
}

/// What another workmanship of one type changes, as in the sketch rewritten so: what hangs open stays so, what the sketch
/// forgot follows its side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Seams that change.
    pub seams: usize,
    /// Mean flow taken away a system, m³/s.
    pub cut_m3_s: f64,
    /// What the type's own seams lose, as a part of what they leak.
    pub of_type: f64,
    /// As a part of all leakage.
    pub of_total: f64,
}

/// Why there is no answer.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum JointsError {
    /// No system was given.
    #[error("no sketch to count joints in")]
    NoSystem,
    /// The draws of a system could not be made.
    #[error("`{title}`: {source}")]
    Draws {
        /// Title of the sketch.
        title: String,
        /// Why.
        source: AllocateError,
    },
    /// Ranked by running leakage, and a system has none.
    #[error("`{title}` cannot be ranked by what leaks while running: {why}")]
    NoRunning {
        /// Title of the sketch.
        title: String,
        /// Why.
        why: &'static str,
    },
}

impl JointsError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            JointsError::NoSystem => Some("name one sketch or several".to_owned()),
            JointsError::Draws { source, .. } => source.hint().map(|hint| hint.to_string()),
            JointsError::NoRunning { .. } => Some(
                "say `airflow` or a blower curve under `air handler`, or rank by the test (`--test`)"
                    .to_owned(),
            ),
        }
    }
}
