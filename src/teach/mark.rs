//! A learner's list held against the truth.

use super::exercise::SeamTruth;
use super::learner::Learner;
use super::missed::{Missed, why};
use super::work_plan::{PlanMarks, plan_marks};
use crate::allocate::{AllocateError, AllocateSettings, Status, allocate};
use crate::system::{SeamIdx, SuspectTape, System};

/// Overlooked seams that are told of.
const TOLD: usize = 5;
/// A seam named that brings less than this part of what an even list would is told of as leaking little.
const LITTLE: f64 = 0.1;
/// A list of more than this part of all seams hardly sorts them. Own figure.
const LONG: f64 = 0.2;

/// How a learner did.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    /// Seams named, in the learner's order.
    pub named: Vec<SeamIdx>,
    /// True place of each seam named, 1 for the leakiest.
    pub true_ranks: Vec<usize>,
    /// Seams of the system.
    pub seams: usize,
    /// All leakage in the total set-up, m³/s.
    pub total_m3_s: f64,
    /// True flow of the seams named, m³/s.
    pub caught_m3_s: f64,
    /// True flow of as many of the leakiest, m³/s.
    pub best_m3_s: f64,
    /// Those, the leakiest first.
    pub best: Vec<SeamIdx>,
    /// Mean over k = 1 to the length of the list of what its first k seams catch, as a part of what the k leakiest leak; 1 where
    /// nothing leaks. Unlike the catch it falls when small leaks are named before large ones.
    pub order_score: f64,
    /// Whether the list names so many of all seams (more than a fifth, own figure) that its catch says little.
    pub is_long: bool,
    /// Whether the list says what is sealed; else all it names counts as sealed.
    pub says_seal: bool,
    /// Seams whose `seal` was left empty where others say it: not sealed.
    pub seal_blank: usize,
    /// What the same number named blindly catches on average, m³/s.
    pub guess_m3_s: f64,
    /// What the seams that the catalogue expects to leak most catch, m³/s.
    pub joint_type_m3_s: f64,
    /// What the seams that the program's allocation ranks first catch, m³/s.
    pub program_m3_s: f64,
    /// Why that allocation is doubtful; empty where it is not.
    pub program_doubts: Vec<String>,
    /// The leakiest seams overlooked.
    pub missed: Vec<Missed>,
    /// Seams named that leak little, `(seam, true place)`.
    pub leak_little: Vec<(SeamIdx, usize)>,
    /// The plan; `None` where nothing may be sealed.
    pub plan: Option<PlanMarks>,
    /// Why nothing may be sealed.
    pub stopped: Option<String>,
}

impl Marks {
    /// A catch as a part of the best possible; 1 where nothing leaks.
    #[must_use]
    pub fn score(&self, caught_m3_s: f64) -> f64 {
        if self.best_m3_s > 0.0 {
            caught_m3_s / self.best_m3_s
        } else {
            1.0
        }
    }
}

/// Marks a learner's list. The system is the exercise's, with its readings and looks; the truth is in the order of its
/// seams. A list that does not say what is sealed is marked as a plan that seals all it names.
///
/// # Errors
/// As [`allocate`].
///
/// # Panics
/// If the truth is not as long as the seams.
pub fn mark(
    system: &System,
    truth: &[SeamTruth],
    settings: &AllocateSettings,
    learner: &Learner,
) -> Result<Marks, AllocateError> {
    assert_eq!(truth.len(), system.seams.len(), "one truth a seam");
    let k = learner.ranking.len();
    let flow = |seam: SeamIdx| truth[seam].test_m3_s;
    let order = ranked(truth.len(), flow);
    let by_type = ranked(truth.len(), |seam| system.seams[seam].mean_q25_m3_s);
    let settings = settings.clone().with_beliefs(&system.beliefs);
    let allocation = allocate(system, &settings)?;
    let by_program = ranked(truth.len(), |seam| allocation.seams[seam].test_m3_s.mean);
    let mut place = vec![0; truth.len()];
    for (at, &seam) in order.iter().enumerate() {
        place[seam] = at + 1;
    }
    let caught = |seams: &[SeamIdx]| -> f64 { seams.iter().map(|&seam| flow(seam)).sum() };
    let total = caught(&order);
    let best = order[..k].to_vec();
    let missed = best
        .iter()
        .filter(|seam| !learner.ranking.contains(seam))
        .take(TOLD)
        .map(|&seam| Missed {
            seam,
            rank: place[seam],
            test_m3_s: flow(seam),
            part: if total > 0.0 { flow(seam) / total } else { 0.0 },
            why: why(system, seam, &truth[seam], by_type[..k].contains(&seam)),
        })
        .collect();
    let even = total / truth.len().max(1) as f64;
    let mut leak_little: Vec<(SeamIdx, usize)> = learner
        .ranking
        .iter()
        .filter(|&&seam| flow(seam) < LITTLE * even)
        .map(|&seam| (seam, place[seam]))
        .collect();
    leak_little.sort_by_key(|(_, place)| std::cmp::Reverse(*place));
    leak_little.truncate(TOLD);
    let stopped = (system.suspect_tape == SuspectTape::Suspected).then(|| {
        "tape on these ducts may hold asbestos: on such a job the right plan is to stop, and to have it tested before \
         anything is touched"
            .to_owned()
    });
    let sealed = learner.seal.as_ref().unwrap_or(&learner.ranking);
    Ok(Marks {
        true_ranks: learner.ranking.iter().map(|&seam| place[seam]).collect(),
        order_score: order_score(&learner.ranking, &order, flow),
        is_long: k as f64 > LONG * truth.len() as f64,
        says_seal: learner.seal.is_some(),
        seal_blank: learner.seal_blank,
        seams: truth.len(),
        total_m3_s: total,
        caught_m3_s: caught(&learner.ranking),
        best_m3_s: caught(&best),
        guess_m3_s: total * k as f64 / truth.len().max(1) as f64,
        joint_type_m3_s: caught(&by_type[..k]),
        program_m3_s: caught(&by_program[..k]),
        program_doubts: match allocation.status {
            Status::Converged => Vec::new(),
            Status::Doubtful { reasons } => reasons,
        },
        missed,
        leak_little,
        plan: stopped
            .is_none()
            .then(|| plan_marks(system, truth, sealed, learner.minutes)),
        stopped,
        named: learner.ranking.clone(),
        best,
    })
}

/// See [`Marks::order_score`].
fn order_score(named: &[SeamIdx], best: &[SeamIdx], flow: impl Fn(SeamIdx) -> f64) -> f64 {
    let (mut caught, mut most, mut sum) = (0.0, 0.0, 0.0);
    for (&seam, &leakiest) in named.iter().zip(best) {
        caught += flow(seam);
        most += flow(leakiest);
        sum += if most > 0.0 { caught / most } else { 1.0 };
    }
    if named.is_empty() {
        1.0
    } else {
        sum / named.len() as f64
    }
}

/// Seams by falling figure; equals keep the order of the sketch.
fn ranked(count: usize, figure: impl Fn(SeamIdx) -> f64) -> Vec<SeamIdx> {
    let mut order: Vec<SeamIdx> = (0..count).collect();
    order.sort_by(|&a, &b| figure(b).total_cmp(&figure(a)));
    order
}

#[cfg(test)]
#[path = "mark_tests.rs"]
mod tests;
