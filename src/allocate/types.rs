//! The answer of an allocation: plain data, SI, every field documented.
//!
//! Flows are volume flows at 1.204 kg/m³. Bands come from weighted draws of the posterior. *Test* means the
//! total set-up: the whole system at the pressure of the total reading (25 Pa at the supply plenum when no
//! total was read), the house open to outdoors.

use crate::catalog::{Basis, Work};
use crate::system::{Observable, Reach, ReadingUnit, Relation, SeamIdx, Setup, Side, Warning};

/// Mean and weighted quantiles of one quantity, in the unit of the field that holds it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Band {
    /// Weighted mean.
    pub mean: f64,
    /// 5 % quantile.
    pub p05: f64,
    /// Median.
    pub p50: f64,
    /// 95 % quantile.
    pub p95: f64,
}

/// Whether the answer can be relied on as it stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Status {
    /// Every check of the computation passed.
    Converged,
    /// Usable with doubt; the reasons are sentences for the person.
    Doubtful {
        /// Why, in words, most serious first; never empty.
        reasons: Vec<String>,
    },
}

/// Where the draws come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// No evidence: draws of the prior.
    Prior,
    /// Weighted randomise-then-optimise.
    Rto,
    /// Chains of gradient moves and jumps, each corrected by the flow solver.
    Chains,
}

impl Method {
    /// Stable word for files: `prior`, `rto` or `chains`.
    pub fn word(self) -> &'static str {
        match self {
            Method::Prior => "prior",
            Method::Rto => "rto",
            Method::Chains => "chains",
        }
    }
}

/// What an allocation found.
#[derive(Debug, Clone, PartialEq)]
pub struct Allocation {
    /// Title of the sketch.
    pub title: String,
    /// Seed of all random streams.
    pub seed: u64,
    /// Draws made: those asked for, or more where so many were not worth enough.
    pub draws: usize,
    /// Part of the total that [`GroupResult::share_chance`] is about.
    pub share_asked: f64,
    /// How many seams "among the largest" means in [`SeamResult::top_chance`].
    pub top: usize,
    /// Reliability of the computation.
    pub status: Status,
    /// The set-up that test flows, pressures, shares and rank chances are for.
    pub test_setup: Setup,
    /// The set-up that to-outside figures are for.
    pub to_outside_setup: Setup,
    /// Readings in the order of the sketch.
    pub readings: Vec<ReadingResult>,
    /// Seams in the order of the system (not ranked).
    pub seams: Vec<SeamResult>,
    /// Groups by joint type, in order of falling share.
    pub by_joint_type: Vec<GroupResult>,
    /// Groups by run (`unit` for the air handler), in order of falling share.
    pub by_run: Vec<GroupResult>,
    /// Groups by place, in order of falling share.
    pub by_place: Vec<GroupResult>,
    /// Groups by reach, easiest first; all four are always present.
    pub by_reach: Vec<GroupResult>,
    /// What sits behind finish or cannot be reached at all.
    pub hidden: GroupResult,
    /// Whole-house figures.
    pub house: House,
    /// Seams that may hang open, likeliest first; those that the evidence cannot tell apart stand together.
    pub gross: Vec<GrossCandidate>,
    /// Chance, given all evidence, that nothing hangs open.
    pub nothing_open_chance: f64,
    /// Looks against the model, in the order of the sketch.
    pub looks: Vec<LookResult>,
    /// Stage the answers are for: how many sealing steps have been done.
    pub stage: usize,
    /// How the computation went.
    pub diagnostics: Diagnostics,
    /// Things the person should know.
    pub warnings: Vec<Warning>,
}

impl Allocation {
    /// Seams by falling mean flow in the test set-up; equals in the order of the system.
    #[must_use]
    pub fn leakiest_first(&self) -> Vec<SeamIdx> {
        let mut order: Vec<SeamIdx> = (0..self.seams.len()).collect();
        let flow = |seam: &SeamIdx| self.seams[*seam].test_m3_s.mean;
        order.sort_by(|a, b| flow(b).total_cmp(&flow(a)));
        order
    }
}

/// One reading against the model.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingResult {
    /// Id.
    pub id: String,
    /// Set-up in which it was taken.
    pub setup: Setup,
    /// Whether a value or an upper bound was read.
    pub relation: Relation,
    /// What was read.
    pub observable: Observable,
    /// Unit of `measured`, `modelled` and `prior`: m³/s or Pa.
    pub unit: ReadingUnit,
    /// How many sealing steps had been done.
    pub stage: usize,
    /// Value read.
    pub measured: f64,
    /// One standard deviation of the meter's error (of the stated value; without the wide part).
    pub measured_sd: f64,
    /// Where the error comes from, in words.
    pub error_source: String,
    /// Modelled value in this set-up given all evidence (leaks of masks, plugs and barriers included).
    pub modelled: Band,
    /// Modelled value before any evidence.
    pub prior: Band,
    /// Posterior mean of what masks, plugs and barriers leak in this set-up, m³/s.
    pub mask_leak_m3_s: f64,
    /// (measured − mean modelled) / σ, with σ = `measured_sd` (for a house fan with the envelope's own doubt): how many meter errors the reading stands
    /// above (+) or below (−) the model. The mean is over the draws that take this reading's set-up as right, unless
    /// next to none do. 0 for a bound that is kept.
    pub residual_sd: f64,
    /// Chance, before any reading, of a reading at least as far out on its own side, doubled (two-sided), its
    /// error included. For a bound: the chance of keeping it.
    pub prior_chance: f64,
    /// Chance, given all readings, that this reading's set-up was wrong (5 % before any reading).
    pub wrong_setup_chance: f64,
    /// What a poor fit usually means; empty when the fit is ordinary.
    pub note: String,
    /// Seams that take part, with their flows in this set-up. Where the flow of a duct fan is read, their means and
    /// `mask_leak_m3_s` add up to the modelled mean.
    pub seams: Vec<SeamFlow>,
}

/// Flow of one seam in one reading's set-up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamFlow {
    /// The seam.
    pub seam: SeamIdx,
    /// Flow in the direction of the test (out of the duct when blown up, into it when pulled down), m³/s.
    pub flow_m3_s: Band,
}

/// One seam.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamResult {
    /// Position in the system's list.
    pub seam: SeamIdx,
    /// Readable id.
    pub id: String,
    /// Run id, or `unit`.
    pub run: String,
    /// Piece id.
    pub piece: String,
    /// Piece in trade words.
    pub what: String,
    /// Joint type id.
    pub joint_type: String,
    /// Joint type's readable name.
    pub joint_name: String,
    /// Side.
    pub side: Side,
    /// Place name.
    pub place: String,
    /// Reach.
    pub reach: Reach,
    /// Workmanship.
    pub work: Work,
    /// Metres of joint for a per-metre type, else the count.
    pub amount: f64,
    /// What `amount` counts.
    pub basis: Basis,
    /// Posterior mean of the flow exponent.
    pub n: f64,
    /// Flow at 25 Pa before any reading, m³/s; closed form of the lognormal prior.
    pub prior_q25_m3_s: Band,
    /// Flow at 25 Pa given the readings, m³/s.
    pub q25_m3_s: Band,
    /// Posterior mean pressure across the seam in the test set-up, Pa, as a magnitude; 0 where it takes no part.
    pub test_pa: f64,
    /// Flow in the test set-up, m³/s.
    pub test_m3_s: Band,
    /// Mean part of the seams' total flow in the test set-up: E\[qᵢ/Σq\]. Sums to 1 over the seams.
    pub share: f64,
    /// Flow in the to-outside set-up, m³/s, in the direction of the test. Seams indoors carry next to nothing, and
    /// may carry a little the other way where the duct's pressure has fallen below the house's.
    pub to_outside_m3_s: Band,
    /// Mean part of the seams' total flow in the to-outside set-up; sums to 1 over the seams unless nothing
    /// leaks to outside, when all are 0.
    pub to_outside_share: f64,
    /// Flow while the blower runs, m³/s; `None` until a blower is known (not in this version).
    pub running_m3_s: Option<Band>,
    /// Chance to be among the [`Allocation::top`] largest test flows.
    pub top_chance: f64,
    /// Chance, given all evidence, that the seam hangs open.
    pub gross_chance: f64,
    /// The same before any evidence.
    pub prior_gross_chance: f64,
}

/// A group of seams.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupResult {
    /// Id of the joint type, run, place or reach (`open`, `under insulation`, `behind finish`, `none`, `hidden`).
    pub id: String,
    /// Readable name.
    pub name: String,
    /// How many seams.
    pub count: usize,
    /// Sum of the seams' amounts when all have one basis, m or count.
    pub amount: Option<f64>,
    /// Basis of `amount`.
    pub basis: Option<Basis>,
    /// Sum of flows at 25 Pa, m³/s.
    pub q25_m3_s: Band,
    /// Sum of flows in the test set-up, m³/s.
    pub test_m3_s: Band,
    /// Part of the seams' total test flow; its mean is the sum of the seams' shares.
    pub share: Band,
    /// Chance that the group holds more than the part asked for, see [`Allocation::share_asked`].
    pub share_chance: f64,
}

/// One seam, or several that the evidence cannot tell apart, that may hang open.
#[derive(Debug, Clone, PartialEq)]
pub struct GrossCandidate {
    /// Seams, likeliest first.
    pub seams: Vec<SeamIdx>,
    /// Chance that at least one of them hangs open.
    pub chance: f64,
    /// The same before any evidence.
    pub prior_chance: f64,
    /// Flow in the test set-up through those that hang open, where any does, m³/s.
    pub test_m3_s: Band,
    /// Size of the opening, where any hangs open, m² of free area with a discharge coefficient of 0.6.
    pub opening_m2: Band,
}

/// One look against the model.
#[derive(Debug, Clone, PartialEq)]
pub struct LookResult {
    /// Words of the person.
    pub words: String,
    /// Seams it speaks of.
    pub seams: Vec<SeamIdx>,
    /// Whether it was weighed; `note` says why not.
    pub weighed: bool,
    /// Chance, given all evidence, that somebody who looked again in the same way would say the same; the mean over the
    /// seams of a group. For a gap, how near its width lies to the model's flow: 1 where they meet, exp(−½z²) at z
    /// standard deviations.
    pub agreement: f64,
    /// The same before any evidence.
    pub prior_agreement: f64,
    /// What a poor fit usually means, or why the look was not weighed; empty when the fit is ordinary.
    pub note: String,
}

/// Whole-house figures, m³/s.
#[derive(Debug, Clone, PartialEq)]
pub struct House {
    /// Pressure of the test set-up, Pa.
    pub test_pressure_pa: f64,
    /// Sum of all seams' test flows.
    pub total_m3_s: Band,
    /// The same before any reading.
    pub prior_total_m3_s: Band,
    /// Supply side's part of the total.
    pub supply_m3_s: Band,
    /// Return side's part of the total.
    pub return_m3_s: Band,
    /// Leakage to outside at the pressure of the to-outside set-up.
    pub to_outside_m3_s: Band,
    /// What masks and plugs leak in the test set-up beside the seams; posterior mean.
    pub mask_leak_m3_s: f64,
    /// One sharp-edged opening that would pass the total at 25 Pa, m²: A = Q/(0.6·√(2·25/1.204)), discharge
    /// coefficient 0.6 (common practice). `None` unless the test pressure is 25 Pa.
    pub equivalent_opening_m2: Option<Band>,
}

/// How the computation went.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostics {
    /// Method.
    pub method: Method,
    /// (Σw)²/Σw² of the draws.
    pub effective_draws: f64,
    /// Shape k̂ of the generalised Pareto tail of the weights; below 0.7 the weights can be trusted. `None` when
    /// all weights are equal or the tail is too short.
    pub pareto_k: Option<f64>,
    /// Split R̂ of a chain sampler; `None` for independent draws.
    pub r_hat: Option<f64>,
    /// Steps to the best point.
    pub best_point_steps: u32,
    /// Whether the best point settled.
    pub best_point_settled: bool,
    /// Draws that did not settle; their weight is 0.
    pub failed_draws: usize,
    /// Mean solves of the true model that a weighted draw took; 0 for chains.
    pub mean_draw_steps: f64,
    /// Flow solves at the draws that did not converge.
    pub flow_failures: u64,
    /// Most Newton steps of a flow solve at a draw.
    pub flow_iterations: u32,
    /// Worst imbalance of a converged flow solve, as a part of its largest flow.
    pub worst_imbalance: f64,
    /// Chance, given all readings, that the set-up of at least one of them was wrong.
    pub any_wrong_setup_chance: f64,
    /// Hypotheses about wrong set-ups and open seams that drew at least once.
    pub hypotheses: usize,
    /// Joint types whose exponent shift is in the model but that no reading informs.
    pub uninformed_exponents: Vec<String>,
}
