//! Runs many draws, in parallel where threads are at hand, with one answer on any number of them.

use super::chains;
use super::problem::Problem;
use super::readout::Readout;
use super::record::Layout;
use super::rto::{Draw, Sampler};
use super::scratch::Scratch;
use super::surrogate::SurrogateWork;
use super::weights;
use crate::math::ln;

/// Weighted draws of the seam laws.
#[derive(Debug, Clone)]
pub struct Sample {
    /// How each draw went.
    pub draws: Vec<Draw>,
    /// Weights, the largest 1.
    pub weights: Vec<f64>,
    /// ln q25 of every seam before any sealing (m³/s), draw by draw.
    pub ln_q25: Vec<f64>,
    /// Exponent of every seam, draw by draw.
    pub n: Vec<f64>,
    /// Effective draws.
    pub effective_draws: f64,
    /// Tail shape of the weights.
    pub pareto_k: Option<f64>,
    /// Whether the best point settled.
    pub best_point_settled: bool,
}

/// Draws seam laws from the posterior: the sampler alone, without set-ups to report on.
///
/// Moves the readout's warm start to the best point.
pub fn sample<R: Readout>(problem: &mut Problem<'_, R>, draws: usize, seed: u64) -> Sample {
    let sampler = Sampler::new(problem, draws, seed);
    let problem = &*problem;
    let n_seams = problem.prior.n_seams();
    let (outcomes, records) = for_each(
        problem,
        draws,
        2 * n_seams,
        |index, scratch, (work, cheap), record| {
            let draw = sampler.draw(problem, index, scratch, work, cheap);
            record[..n_seams].copy_from_slice(&scratch.rows.ln_q25[..n_seams]);
            record[n_seams..].copy_from_slice(&scratch.rows.n[..n_seams]);
            draw
        },
    );
    let part = |from: usize| -> Vec<f64> {
        let rows = records.chunks_exact((2 * n_seams).max(1));
        rows.flat_map(|row| row[from..from + n_seams].iter().copied())
            .collect()
    };
    let ln_weights: Vec<f64> = outcomes.iter().map(|d| d.ln_weight).collect();
    let weights = weights::from_logarithms(&ln_weights);
    Sample {
        effective_draws: weights::effective_draws(&weights),
        pareto_k: weights::pareto_k(&weights),
        draws: outcomes,
        weights,
        ln_q25: part(0),
        n: part(n_seams),
        best_point_settled: sampler.main.settled,
    }
}

/// As [`sample`] by chains of gradient moves and jumps, whatever the weights are worth. [`Sample::effective_draws`] is
/// what the chains are worth.
///
/// The readout must hold two more set-ups than there are readings: those that answers are given for.
pub fn sample_by_chains<R: Readout>(
    problem: &mut Problem<'_, R>,
    draws: usize,
    seed: u64,
) -> Sample {
    let sampler = Sampler::new(problem, draws, seed);
    let problem = &*problem;
    let layout = Layout {
        n_seams: problem.prior.n_seams(),
        n_readings: problem.readings.len(),
        n_looks: problem.looks.looks.len(),
        n_extras: 0,
        stage: 0,
    };
    let chained = chains::run(&sampler, problem, layout, draws, seed);
    let recorded = chained.recorded;
    let part = |from: usize| -> Vec<f64> {
        recorded
            .rows()
            .flat_map(|row| row[from..from + layout.n_seams].iter().copied())
            .collect()
    };
    Sample {
        ln_q25: part(layout.q25()).iter().map(|q| ln(*q)).collect(),
        n: part(layout.exponents()),
        effective_draws: chained.effective,
        pareto_k: None,
        weights: recorded.weights,
        draws: recorded.draws,
        best_point_settled: sampler.main.settled,
    }
}

/// Runs `job` for every index; each gets its own part of the records, `stride` long.
///
/// The job must not depend on what its scratch memory held before; then the result is the same on any number of
/// threads, since records stand in order of the index and nothing is added up here.
pub(crate) fn for_each<R, F>(
    problem: &Problem<'_, R>,
    count: usize,
    stride: usize,
    job: F,
) -> (Vec<Draw>, Vec<f64>)
where
    R: Readout,
    F: Fn(usize, &mut Scratch, &mut (R::Work, SurrogateWork), &mut [f64]) -> Draw + Sync + Send,
{
    let stride = stride.max(1);
    let mut outcomes = vec![Draw::default(); count];
    let mut records = vec![0.0; count * stride];
    let fresh = || {
        let cheap = SurrogateWork::new(problem.readings.len());
        (Scratch::new(problem), (problem.readout.work(), cheap))
    };
    #[cfg(feature = "parallel")]
    {
        use rayon::prelude::*;
        records
            .par_chunks_mut(stride)
            .zip(outcomes.par_iter_mut())
            .enumerate()
            .for_each_init(fresh, |(scratch, work), (index, (record, outcome))| {
                *outcome = job(index, scratch, work, record);
            });
    }
    #[cfg(not(feature = "parallel"))]
    {
        let (mut scratch, mut work) = fresh();
        for (index, (record, outcome)) in records
            .chunks_mut(stride)
            .zip(outcomes.iter_mut())
            .enumerate()
        {
            *outcome = job(index, &mut scratch, &mut work, record);
        }
    }
    (outcomes, records)
}

/// Maps 0..count in order, in parallel where threads are at hand.
pub(crate) fn map_in_order<T: Send>(count: usize, f: impl Fn(usize) -> T + Sync + Send) -> Vec<T> {
    #[cfg(feature = "parallel")]
    {
        use rayon::prelude::*;
        (0..count).into_par_iter().map(f).collect()
    }
    #[cfg(not(feature = "parallel"))]
    {
        (0..count).map(f).collect()
    }
}
