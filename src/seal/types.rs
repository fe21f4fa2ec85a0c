//! What a plan is asked and what it answers: plain data, SI but for minutes, hours and money.

use crate::allocate::{Allocation, Band};
use crate::system::SeamIdx;

/// Which leakage counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Basis {
    /// In the test set-up: the whole system, the house open to outdoors.
    #[default]
    Total,
    /// In the to-outside set-up.
    Outside,
    /// While the unit runs.
    Running,
}

impl Basis {
    /// Stable word for files: `total`, `outside` or `running`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Basis::Total => "total",
            Basis::Outside => "outside",
            Basis::Running => "running",
        }
    }
}

/// What is asked of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanAsk {
    /// Minutes at hand.
    pub minutes: Option<f64>,
    /// Money at hand.
    pub money: Option<f64>,
    /// Leakage to come down to, m³/s, on the basis.
    pub target_m3_s: Option<f64>,
    /// Chance with which the target shall be met.
    pub chance: f64,
    /// Which leakage counts.
    pub basis: Basis,
    /// Most nodes of one search.
    pub nodes: u64,
    /// Points of the frontier; 0 leaves it out.
    pub frontier: usize,
}

impl Default for PlanAsk {
    fn default() -> Self {
        PlanAsk {
            minutes: None,
            money: None,
            target_m3_s: None,
            chance: 0.9,
            basis: Basis::Total,
            nodes: 400,
            frontier: 8,
        }
    }
}

/// A work order.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What the plan rests on.
    pub allocation: Allocation,
    /// What was asked.
    pub ask: PlanAsk,
    /// Steps in the order of the work.
    pub steps: Vec<Step>,
    /// Minutes of all steps with all set-ups.
    pub minutes: f64,
    /// Money of all steps with labour, visit and set-ups; `None` where the sketch gives neither rates nor prices.
    pub money: Option<f64>,
    /// Leakage before on the basis, as the next reading would find it (masks included in a test), m³/s.
    pub before_m3_s: Band,
    /// The same after, every draw solved anew.
    pub after_m3_s: Band,
    /// What is taken away, draw by draw.
    pub cut_m3_s: Band,
    /// Chance that the leakage after is at or below the target.
    pub target_chance: Option<f64>,
    /// Where the target cannot be met.
    pub out_of_reach: Option<OutOfReach>,
    /// What the margin was in the end, m³/s.
    pub margin_m3_s: f64,
    /// How often it was moved.
    pub margin_steps: usize,
    /// Gap of the search, as a part of its value; 0 where the best was proved. It is that of the programme of mean cuts;
    /// infinite for a target, where plans are changed by chance and nothing is proved.
    pub gap: f64,
    /// Whether the search proved its best.
    pub proved: bool,
    /// The plan that takes the seam with the most cut a minute first.
    pub greedy: Rival,
    /// Minutes against leakage.
    pub frontier: Vec<Frontier>,
    /// What stays hidden, by place and reach.
    pub hidden: Vec<Hidden>,
    /// What nobody seals for another reason, and seams left because the time or money is spent.
    pub left: Vec<(SeamIdx, String)>,
    /// Where a look first would spare time.
    pub look_first: Vec<LookFirst>,
    /// Material in all.
    pub materials: Vec<Material>,
    /// Longest wait before the next test, h.
    pub cure_h: f64,
    /// Solves of single draws that did not settle; such a draw keeps the sum of its seams' flows.
    pub unsettled: usize,
    /// Why nothing is to be done at all.
    pub stopped: Option<String>,
    /// What must be cleared up before this work begins; whoever knows what the work does to the house sets it.
    pub halted: Option<String>,
    /// Mean rate of the best seam left out, m³/s a minute: what a step must take away to be worth its time. `None` where
    /// nothing is left out; then half of a step's own mean rate counts.
    pub worth_m3_s_min: Option<f64>,
    /// Draws behind it.
    pub draws: usize,
}

/// One seam to seal.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The seam.
    pub seam: SeamIdx,
    /// Index in [`Crew::methods`](crate::system::Crew::methods).
    pub method: usize,
    /// Index in the seam's ways.
    pub way: usize,
    /// What is fastened first.
    pub fasten: Option<String>,
    /// Chance that it hangs open and is put back first.
    pub open_chance: f64,
    /// Minutes, without getting to the place.
    pub minutes: f64,
    /// Minutes for getting to the place or setting the method up, counted at the first seam that needs it.
    pub set_up_minutes: f64,
    /// Money for material.
    pub material_money: Option<f64>,
    /// Width of the gap, m, and whether somebody measured it; else an even gap that would leak the expected flow.
    pub gap_m: (f64, bool),
    /// Flow of the seam in the total set-up before, m³/s.
    pub test_m3_s: Band,
    /// What is taken away in the total set-up, m³/s.
    pub test_cut_m3_s: Band,
    /// In the to-outside set-up.
    pub outside_cut_m3_s: Band,
    /// While the unit runs; `None` where that could not be solved.
    pub running_cut_m3_s: Option<Band>,
    /// Chance that it takes away at least [`Plan::worth_m3_s_min`] for its minutes, on the basis of the plan; half of its
    /// own mean rate where nothing is left out.
    pub worth_chance: f64,
}

impl Step {
    /// What is taken away on a basis, m³/s; nothing where the running state could not be solved.
    #[must_use]
    pub fn cut_m3_s(&self, basis: Basis) -> Band {
        match basis {
            Basis::Total => self.test_cut_m3_s,
            Basis::Outside => self.outside_cut_m3_s,
            Basis::Running => self.running_cut_m3_s.unwrap_or_default(),
        }
    }
}

/// A target that cannot be met with the chance asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfReach {
    /// Leakage that is met with the chance asked for when everything in reach is sealed, m³/s.
    pub best_m3_s: f64,
    /// By how much that misses the target, m³/s.
    pub short_m3_s: f64,
    /// Chance of meeting the target when everything in reach is sealed.
    pub best_chance: f64,
    /// What hidden and left seams leak, m³/s.
    pub not_sealed_m3_s: Band,
    /// Whether time or money stand in the way, not reach.
    pub for_want_of_time: bool,
}

/// Another plan of the same size.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rival {
    /// Minutes.
    pub minutes: f64,
    /// Mean cut on the basis, m³/s.
    pub cut_m3_s: f64,
    /// Steps.
    pub steps: usize,
}

/// One point of minutes against leakage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frontier {
    /// Minutes at hand.
    pub minutes: f64,
    /// Minutes used.
    pub used_minutes: f64,
    /// Steps.
    pub steps: usize,
    /// Mean cut on the basis, m³/s.
    pub cut_m3_s: f64,
    /// Leakage after, cuts taken as adding up, m³/s.
    pub after_m3_s: Band,
    /// The greedy plan for the same minutes.
    pub greedy: Rival,
    /// Gap of the search.
    pub gap: f64,
}

/// Seams that nobody reaches, of one place and reach.
#[derive(Debug, Clone, PartialEq)]
pub struct Hidden {
    /// Place.
    pub place: String,
    /// Why: `behind finish`, `out of reach`, or what the sketch says.
    pub why: String,
    /// Seams, the largest first.
    pub seams: Vec<SeamIdx>,
    /// What they leak on the basis, m³/s.
    pub flow_m3_s: Band,
    /// What sealing from inside would take away of it (mean), m³/s; 0 where it serves none of them.
    pub inside_cut_m3_s: f64,
}

/// A look that may spare a step.
#[derive(Debug, Clone, PartialEq)]
pub struct LookFirst {
    /// The seam.
    pub seam: SeamIdx,
    /// Minutes of the look.
    pub look_minutes: f64,
    /// Minutes that are spared on average, the look taken off.
    pub spared_minutes: f64,
}

/// Material in all.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// What.
    pub material: String,
    /// Unit.
    pub unit: String,
    /// How much.
    pub amount: f64,
    /// Money; `None` without a price.
    pub money: Option<f64>,
}

/// Why there is no plan.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SealError {
    /// A figure of the question makes no sense.
    #[error("{what} must be {needs}, found {found}")]
    BadAsk {
        /// Which.
        what: &'static str,
        /// What it must be.
        needs: &'static str,
        /// What it is.
        found: String,
    },
    /// Money at hand, and no price anywhere.
    #[error("money is at hand, but the sketch gives neither rates nor prices")]
    NoPrices,
    /// The set-up could not be prepared.
    #[error(transparent)]
    Flow(#[from] crate::flow::FlowError),
    /// The draws could not be made.
    #[error(transparent)]
    Allocate(#[from] crate::allocate::AllocateError),
    /// The draws belong to another system.
    #[error("the draws hold {found} seams and the system {needs}")]
    OtherSystem {
        /// Seams of the system.
        needs: usize,
        /// Seams of the draws.
        found: usize,
    },
    /// The search failed.
    #[error("the search for a plan failed: {0}")]
    Search(String),
    /// There is nothing to compare.
    #[error("{wrong}")]
    NoPair {
        /// What is missing, in words.
        wrong: String,
        /// What to do.
        hint: String,
    },
}

impl SealError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            SealError::NoPrices => Some(
                "say what an hour of the crew costs, as in `crew: {hour: 95}`, or plan by time"
                    .to_owned(),
            ),
            SealError::NoPair { hint, .. } => Some(hint.clone()),
            SealError::Allocate(error) => error.hint().map(|hint| hint.to_string()),
            _ => None,
        }
    }
}
