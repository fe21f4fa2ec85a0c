//! Outcomes of many systems put together.

use ductseam::allocate::{AllocateError, Posterior};

use super::Set;
use super::numbers::{chi2_tail, mean_and_error};
use super::one::Outcome;

/// Parts of the probability that bands hold.
pub const LEVELS: [f64; 4] = [0.5, 0.8, 0.9, 0.95];
/// Bins of a rank histogram.
pub const BINS: usize = 10;
/// Lower edges of the bins of a stated chance that nothing hangs open.
pub const NOTHING_FROM: [f64; 6] = [0.0, 0.05, 0.2, 0.4, 0.6, 0.8];
/// Lower edges of the bins of a seam's stated chance to hang open.
pub const SEAM_FROM: [f64; 7] = [0.0, 0.01, 0.03, 0.1, 0.3, 0.5, 0.8];

/// What the study of one set found.
#[derive(Debug)]
pub struct Findings {
    /// Systems that gave an answer.
    pub systems: usize,
    /// Errors instead of answers.
    pub errors: Vec<AllocateError>,
    /// Ranked quantities.
    pub quantities: Vec<Quantity>,
    /// Part of all seams held by bands of [`LEVELS`], and its standard error, a system being one sample.
    pub seams: [(f64, f64); 4],
    /// Leakage captured by a fifth of the seams picked by posterior, by prior, at random: mean and standard error.
    pub capture: [(f64, f64); 3],
    /// The gain of posterior over prior, system by system: mean and standard error.
    pub gain: (f64, f64),
    /// Open seams.
    pub gross: Gross,
    /// Mean effective draws.
    pub effective: f64,
    /// Systems whose answer came from chains.
    pub chains: usize,
    /// Systems whose computation was called doubtful.
    pub doubts_itself: usize,
    /// Of these, those that came from chains.
    pub doubtful_chains: usize,
    /// Systems whose readings were called doubtful.
    pub doubts_readings: usize,
    /// Systems in which a set-up was truly wrong.
    pub wrong: usize,
    /// Truths drawn again because more than two set-ups were wrong.
    pub thrown: usize,
    /// Truths that the posterior has no hypothesis for: open seams and two wrong set-ups at once.
    pub without_hypothesis: usize,
    /// Draws that failed, over all systems.
    pub failed: usize,
}

/// One ranked quantity.
#[derive(Debug, Clone)]
pub struct Quantity {
    /// Name.
    pub name: String,
    /// Histogram of the truth's rank.
    pub bins: [usize; BINS],
    /// Mean rank, ½ if all is well.
    pub mean_rank: f64,
    /// χ² of the histogram, nine degrees of freedom.
    pub chi2: f64,
    /// Chance of a χ² at least this large.
    pub p: f64,
    /// Systems held by bands of [`LEVELS`].
    pub held: [usize; 4],
}

/// What was said of open seams.
#[derive(Debug, Clone, Default)]
pub struct Gross {
    /// Prior chance that nothing hangs open, by draws of the prior.
    pub nothing_before: f64,
    /// Systems with something open.
    pub open: usize,
    /// Of these, those with an open seam in the first group of candidates.
    pub in_first: usize,
    /// Seams in the first groups of these, together.
    pub first_sizes: usize,
    /// Of these, those with an open seam given a chance above one half.
    pub likely: usize,
    /// Of these, those in which some group was given a chance above one half.
    pub alarms_if_open: usize,
    /// Systems with nothing open in which some group was given a chance above one half.
    pub false_alarms: usize,
    /// By bin of [`NOTHING_FROM`]: systems, sum of stated chances that nothing hangs open, systems where nothing does.
    pub nothing: Vec<(usize, f64, usize)>,
    /// By bin of [`SEAM_FROM`]: seams, sum of stated chances to hang open, seams that do.
    pub seams: Vec<(usize, f64, usize)>,
}

/// Puts outcomes together, in order.
pub fn tally(
    set: &Set,
    names: Vec<String>,
    before: &Posterior,
    outcomes: Vec<Result<Outcome, AllocateError>>,
) -> Findings {
    let mut errors = Vec::new();
    let mut all = Vec::new();
    for outcome in outcomes {
        match outcome {
            Ok(outcome) => all.push(outcome),
            Err(error) => errors.push(error),
        }
    }
    let count = |is: &dyn Fn(&Outcome) -> bool| all.iter().filter(|o| is(o)).count();
    let many = set.system.readings.len() > 1;
    Findings {
        systems: all.len(),
        errors,
        quantities: names
            .into_iter()
            .enumerate()
            .map(|(q, name)| quantity(q, name, &all))
            .collect(),
        seams: [0, 1, 2, 3].map(|l| mean_and_error(all.iter().map(|o| o.seams_held[l]))),
        capture: [0, 1, 2].map(|c| mean_and_error(all.iter().map(|o| o.capture[c]))),
        gain: mean_and_error(all.iter().map(|o| o.capture[0] - o.capture[1])),
        gross: gross(before, &all),
        effective: all.iter().map(|o| o.effective).sum::<f64>() / all.len() as f64,
        chains: count(&|o| o.chains),
        doubts_itself: count(&|o| o.doubts_itself),
        doubtful_chains: count(&|o| o.doubts_itself && o.chains),
        doubts_readings: count(&|o| o.doubts_readings),
        wrong: count(&|o| o.wrong > 0),
        thrown: all.iter().map(|o| o.thrown).sum(),
        without_hypothesis: count(&|o| many && o.open > 0 && o.wrong > 1),
        failed: all.iter().map(|o| o.failed).sum(),
    }
}

fn quantity(q: usize, name: String, all: &[Outcome]) -> Quantity {
    let mut bins = [0; BINS];
    let mut held = [0; 4];
    for outcome in all {
        // A rank that is no number counts in the first bin, where it will be seen.
        bins[((outcome.ranks[q] * BINS as f64) as usize).min(BINS - 1)] += 1;
        for (count, is_held) in held.iter_mut().zip(outcome.held[q]) {
            *count += usize::from(is_held);
        }
    }
    let expected = all.len() as f64 / BINS as f64;
    let chi2 = bins
        .iter()
        .map(|&c| (c as f64 - expected).powi(2) / expected)
        .sum();
    Quantity {
        name,
        bins,
        mean_rank: all.iter().map(|o| o.ranks[q]).sum::<f64>() / all.len() as f64,
        chi2,
        p: chi2_tail(chi2, (BINS - 1) as f64),
        held,
    }
}

fn gross(before: &Posterior, all: &[Outcome]) -> Gross {
    let mut gross = Gross {
        nothing_before: before.allocation.nothing_open_chance,
        nothing: vec![(0, 0.0, 0); NOTHING_FROM.len()],
        seams: vec![(0, 0.0, 0); SEAM_FROM.len()],
        ..Gross::default()
    };
    for outcome in all {
        if outcome.open > 0 {
            gross.open += 1;
            gross.in_first += usize::from(outcome.open_in_first);
            gross.first_sizes += outcome.first_size;
            gross.likely += usize::from(outcome.open_likely);
            gross.alarms_if_open += usize::from(outcome.alarm);
        } else {
            gross.false_alarms += usize::from(outcome.alarm);
        }
        put(
            &mut gross.nothing,
            &NOTHING_FROM,
            outcome.nothing_open,
            outcome.open == 0,
        );
        for &(chance, is_open) in &outcome.seam_open {
            put(&mut gross.seams, &SEAM_FROM, chance, is_open);
        }
    }
    gross
}

fn put(bins: &mut [(usize, f64, usize)], from: &[f64], chance: f64, is: bool) {
    let at = from.iter().rposition(|&edge| chance >= edge).unwrap_or(0);
    bins[at].0 += 1;
    bins[at].1 += chance;
    bins[at].2 += usize::from(is);
}
