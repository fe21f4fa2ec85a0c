//! What is learned: plain data.

/// A figure with its 90 % band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Best figure.
    pub best: f64,
    /// 5 % bound.
    pub p05: f64,
    /// 95 % bound.
    pub p95: f64,
}

/// What the population does with one joint type in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct RowHabit {
    /// Joint type.
    pub joint_type: String,
    /// Workmanship, by its word.
    pub work: String,
    /// Whether the joints share workmanship and habit of their crew.
    pub field_made: bool,
    /// Systems that have such seams and said something.
    pub systems: usize,
    /// Systems among them in which somebody looked at such a seam. Totals alone can hardly tell joint types apart.
    pub looked: usize,
    /// Seams in them.
    pub seams: usize,
    /// Population mean over the catalogue's mean: arithmetic means of flow at 25 Pa.
    pub mean_factor: Estimate,
    /// How much systems differ in this row alone, as a geometric standard deviation: crews' habit with the joint; for
    /// factory-made parts the catalogue's whole spread, which is not learned.
    pub habit_gsd: Estimate,
    /// Whole geometric standard deviation of one seam in the population.
    pub whole_gsd: f64,
    /// Part of the doubt about the mean that the systems took away, 0 to 1.
    pub informed: f64,
}

/// What many systems say of their crews.
#[derive(Debug, Clone, PartialEq)]
pub struct Habits {
    /// Systems that said something.
    pub systems: usize,
    /// Spread of the workmanship of whole systems, a geometric standard deviation.
    pub workmanship_gsd: Estimate,
    /// Rows in alphabetical order of joint type, then from worst to best workmanship.
    pub rows: Vec<RowHabit>,
    /// ln of the likelihood at the top, beliefs included.
    pub ln_posterior: f64,
    /// Steps of the climb.
    pub steps: usize,
    /// Whether the climb settled.
    pub settled: bool,
}
