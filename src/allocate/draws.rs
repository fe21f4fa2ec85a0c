//! Runs many draws, in parallel where threads are at hand, with one answer on any number of them.

use super::best_point::best_point;
use super::problem::Problem;
use super::readout::Readout;
use super::rto::{Draw, Sampler};
use super::scratch::Scratch;
use super::weights;

/// Weighted draws of the seam laws.
#[derive(Debug, Clone)]
pub struct Sample {
    /// How each draw went.
    pub draws: Vec<Draw>,
    /// Weights, the largest 1.
    pub weights: Vec<f64>,
    /// ln q25 of every seam (m³/s), draw by draw.
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
    let sampler = prepare(problem, draws, seed);
    let problem = &*problem;
    let n_seams = problem.prior.n_seams();
    let (outcomes, records) = for_each(
        problem,
        draws,
        2 * n_seams,
        |index, scratch, work, record| {
            let draw = sampler.draw(problem, index, scratch, work);
            record[..n_seams].copy_from_slice(&scratch.rows.ln_q25);
            record[n_seams..].copy_from_slice(&scratch.rows.n);
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

/// Finds the best point, keeps it as the warm start of every draw, and makes the proposals.
pub(crate) fn prepare<R: Readout>(
    problem: &mut Problem<'_, R>,
    draws: usize,
    seed: u64,
) -> Sampler {
    let mut work = problem.readout.work();
    let start = vec![0.0; problem.prior.dim()];
    let best = best_point(problem, 0, &start, &mut work);
    problem.readout.keep_start(&work);
    Sampler::new(problem, best, draws, seed)
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
    F: Fn(usize, &mut Scratch, &mut R::Work, &mut [f64]) -> Draw + Sync + Send,
{
    let stride = stride.max(1);
    let mut outcomes = vec![Draw::default(); count];
    let mut records = vec![0.0; count * stride];
    let fresh = || (Scratch::new(problem), problem.readout.work());
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
