//! Weighted randomise-then-optimise: draws of the posterior, one random stream per draw.
//!
//! # The target
//! Readings err in one of two ways each: ordinary, or with a wrong set-up. Write b for the set of readings whose
//! set-up was wrong and d for the pressure errors of the set-ups (house not quite nulled, tap baseline). Then
//! ```text
//! p(x, b, d | y) ∝ p(b)·p(d)·exp(−½|x|²)·Πₖ gₖ(hₖ; b)·exp(−½ rₖ(x; b, d)²)
//! ```
//! with gₖ = σₖ(b)⁻¹ for a value; for a bound gₖ·exp(−½rₖ²) is its chance Φ. Summed over b this is the mixture law of
//! [`super::ErrorLaw`], exactly. Given b every row is a plain least-squares residual, so contradictory readings
//! become separate, well-behaved hypotheses instead of one law with several peaks.
//!
//! # The draw
//! Draw b from a proposal q(b), d from its prior p(d), ξ ~ N(0, I). With H(x) = \[x; r(x)\], A = ∂r/∂x at the best
//! point of b and its thin decomposition A = U·S·Vᵀ, an orthonormal basis Q of the range of \[I; A\] is
//! (v⊥; 0) and (vⱼ; sⱼ·uⱼ)/√(1+sⱼ²). So QᵀH(x) = ξ says x⊥ = ξ⊥ exactly, and for the few c = Vᵀx
//! ```text
//! eⱼ(c) = (cⱼ + sⱼ·uⱼᵀ·r(x))/√(1+sⱼ²) = ηⱼ,     x = ξ − V·Vᵀ·ξ + V·c,     η = Vᵀξ ~ N(0, I)
//! ```
//! # The weight
//! If ξ ↦ x is one-to-one, x has the density (2π)^(−D/2)·|det QᵀJ(x)|·exp(−½|QᵀH(x)|²) given b and d, hence
//! ```text
//! ln w = ln p(b) − ln q(b) + Σ ln gₖ + ½|QᵀH|² − ½|H|² − ln|det QᵀJ|
//!      = … + ½Σ eⱼ² − ½(|c|² + |r|²) − ln det[(I + S·Uᵀ·A(x)·V)/√(1+s²)]
//! ```
//! p(d) stands in the target and in the proposal and cancels: conditional on any drawn d the formula is the same,
//! and averaging w·f over (b, d, x) gives ∫ f dp exactly. Q may be any fixed orthonormal matrix; the best point only
//! makes it a good one. With linear rows all weights of one b are equal.
//!
//! # What can go wrong
//! A draw whose equation is not solved gets weight 0 and is counted. A determinant ≤ 0 means the map folds there:
//! counted as failed too.
//!
//! # Source
//! "Randomize-then-optimize: a method for sampling from posterior distributions in nonlinear inverse problems", SIAM
//! Journal on Scientific Computing 36 (2014), and the low-rank form after "Scalable optimization-based sampling on
//! function space", same journal 42 (2020): from memory; the proofs above are self-contained.

use nalgebra::{DMatrix, SymmetricEigen};

use super::best_point::{BestPoint, add_scaled, best_point, dot};
use super::draws::map_in_order;
use super::problem::{Problem, WrongSet, wrong_sets};
use super::readout::Readout;
use super::scratch::{Purpose, Scratch};
use super::small;
use super::weights;

/// Most Newton steps of one draw.
const MOST_STEPS: u32 = 30;
/// Most halvings of one Newton step.
const MOST_HALVINGS: u32 = 10;
/// Largest miss of eⱼ(c) = ηⱼ. The weight is formed at the x reached, so a miss of this size only shifts ξ.
const SOLVED: f64 = 1e-6;
/// From a worst miss above this the next flows are solved roughly only; the point that is kept is always solved fully.
const FAR: f64 = 0.3;
/// A miss this small does not count until the flows are solved fully.
const NEAR: f64 = 0.03;
/// How roughly: part of the flow. Rows then err by this over the meter's relative error, below [`NEAR`].
const ROUGH: f64 = 1e-4;
/// Singular values below this part of the largest say nothing and are dropped from Q.
const RANK: f64 = 1e-7;
/// Part of the proposal q(b) that follows the square root of the estimated chances, so that no hypothesis starves.
const TEMPERED: f64 = 0.1;

/// One hypothesis about wrong set-ups and the basis Q for it.
struct Proposal {
    wrong: WrongSet,
    /// First draw index of this hypothesis; its last is the next one's first.
    first_draw: usize,
    /// ln p(b) − ln q(b).
    ln_factor: f64,
    /// Singular values, falling.
    s: Vec<f64>,
    /// Left vectors, `K × rank`, row-major.
    u: Vec<f64>,
    /// Right vectors, `rank × D`, row-major.
    v: Vec<f64>,
    /// Vᵀx and e at the best point.
    c_best: Vec<f64>,
    e_best: Vec<f64>,
}

/// All hypotheses, ready to draw from.
pub(crate) struct Sampler {
    proposals: Vec<Proposal>,
    /// Best point without any wrong set-up.
    pub main: BestPoint,
    seed: u64,
}

/// How one draw went.
#[derive(Debug, Clone, Copy)]
pub struct Draw {
    /// Logarithm of its weight; −∞ when it failed.
    pub ln_weight: f64,
    /// Readings taken to have had a wrong set-up, bit k for reading k.
    pub wrong_setups: u64,
    /// Newton steps.
    pub steps: u32,
    /// Whether its equation was solved.
    pub solved: bool,
}

impl Default for Draw {
    fn default() -> Self {
        Draw {
            ln_weight: f64::NEG_INFINITY,
            wrong_setups: 0,
            steps: 0,
            solved: false,
        }
    }
}

impl Sampler {
    /// Prepares to draw around the given best point of the hypothesis that no set-up was wrong.
    pub(crate) fn new<R: Readout>(
        problem: &Problem<'_, R>,
        main: BestPoint,
        draws: usize,
        seed: u64,
    ) -> Self {
        let k = problem.readings.len();
        let sets = wrong_sets(k, problem.error_law.wide_chance);
        let found = map_in_order(sets.len(), |i| {
            let wrong = sets[i];
            let own;
            let best = if wrong == 0 {
                &main
            } else {
                own = best_point(problem, wrong, &main.x, &mut problem.readout.work());
                &own
            };
            let ln_factor = problem.ln_prior_chance(wrong);
            let left_out = problem.ln_left_out(wrong, &best.rows);
            let evidence = ln_factor + left_out - best.objective - best.half_ln_det;
            (Proposal::around(best, wrong, ln_factor), evidence)
        });
        let (mut proposals, evidence): (Vec<Proposal>, Vec<f64>) = found.into_iter().unzip();
        share_out(&mut proposals, &evidence, draws);
        Sampler {
            proposals,
            main,
            seed,
        }
    }

    /// Makes draw `index` in `scratch`; afterwards `scratch` and `work` stand at the draw.
    pub(crate) fn draw<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        index: usize,
        scratch: &mut Scratch,
        work: &mut R::Work,
    ) -> Draw {
        problem.readout.restart(work);
        scratch.randomise(problem, self.seed, Purpose::Posterior, index);
        let at = self
            .proposals
            .partition_point(|p| p.first_draw <= index)
            .saturating_sub(1);
        let proposal = &self.proposals[at];
        let (solved, steps, ln_weight) = proposal.solve(problem, scratch, work);
        Draw {
            ln_weight: if solved { ln_weight } else { f64::NEG_INFINITY },
            wrong_setups: proposal.wrong,
            steps,
            solved,
        }
    }
}

/// Gives each hypothesis its part of the draws, drops those that get none, and puts −ln q(b) into their factors.
fn share_out(proposals: &mut Vec<Proposal>, evidence: &[f64], draws: usize) {
    let part = |scale: f64| {
        let raised: Vec<f64> = evidence.iter().map(|e| scale * e).collect();
        let parts = weights::from_logarithms(&raised);
        let sum: f64 = parts.iter().sum();
        parts
            .into_iter()
            .map(move |p| if sum > 0.0 { p / sum } else { 1.0 })
            .collect::<Vec<f64>>()
    };
    let (plain, tempered) = (part(1.0), part(0.5));
    let mut reached = 0.0;
    let mut first = 0;
    let last = proposals.len() - 1;
    let mut kept = Vec::new();
    for (b, mut proposal) in proposals.drain(..).enumerate() {
        reached += (1.0 - TEMPERED) * plain[b] + TEMPERED * tempered[b];
        let end = if b == last {
            draws
        } else {
            ((reached * draws as f64).round() as usize).min(draws)
        };
        if end > first {
            proposal.first_draw = first;
            proposal.ln_factor -= ((end - first) as f64 / draws as f64).ln();
            first = end;
            kept.push(proposal);
        }
    }
    *proposals = kept;
}

impl Proposal {
    fn around(best: &BestPoint, wrong: WrongSet, ln_factor: f64) -> Self {
        let (k, dim) = (best.rows.r.len(), best.x.len());
        let row = |a: usize| &best.rows.slopes[a * dim..(a + 1) * dim];
        let gram = DMatrix::from_fn(k, k, |a, b| dot(row(a), row(b)));
        let (mut s, mut v) = (Vec::new(), Vec::<f64>::new());
        let mut columns: Vec<Vec<f64>> = Vec::new();
        if k > 0 && gram.iter().all(|g| g.is_finite()) {
            let eigen = SymmetricEigen::new(gram);
            let mut order: Vec<usize> = (0..k).collect();
            order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
            let largest = eigen.eigenvalues[order[0]].max(0.0).sqrt();
            for j in order {
                let value = eigen.eigenvalues[j].max(0.0).sqrt();
                if !(value > RANK * largest && value > 0.0) {
                    break;
                }
                let mut vector = vec![0.0; dim];
                for a in 0..k {
                    add_scaled(&mut vector, eigen.eigenvectors[(a, j)] / value, row(a));
                }
                // Any orthonormal V serves; twice against the earlier ones makes it so to rounding.
                for _ in 0..2 {
                    for earlier in v.chunks_exact(dim) {
                        let along = dot(earlier, &vector);
                        add_scaled(&mut vector, -along, earlier);
                    }
                    let length = dot(&vector, &vector).sqrt();
                    vector.iter_mut().for_each(|x| *x /= length);
                }
                s.push(value);
                v.extend(vector);
                columns.push((0..k).map(|a| eigen.eigenvectors[(a, j)]).collect());
            }
        }
        let rank = s.len();
        let u: Vec<f64> = (0..k)
            .flat_map(|a| columns.iter().map(move |column| column[a]))
            .collect();
        let c_best: Vec<f64> = v.chunks_exact(dim).map(|v| dot(v, &best.x)).collect();
        let mut proposal = Proposal {
            wrong,
            first_draw: 0,
            ln_factor,
            s,
            u,
            v,
            c_best,
            e_best: vec![0.0; rank],
        };
        for j in 0..rank {
            proposal.e_best[j] = proposal.e(j, proposal.c_best[j], &best.rows.r);
        }
        proposal
    }

    fn rank(&self) -> usize {
        self.s.len()
    }

    /// eⱼ = (cⱼ + sⱼ·uⱼᵀr)/√(1+sⱼ²).
    fn e(&self, j: usize, c_j: f64, r: &[f64]) -> f64 {
        let along: f64 = r
            .iter()
            .enumerate()
            .map(|(k, r)| self.u[k * self.rank() + j] * r)
            .sum();
        (c_j + self.s[j] * along) / self.s[j].hypot(1.0)
    }

    /// Solves e(c) = η from ξ in `scratch.x`: (solved, steps, ln weight).
    fn solve<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        scratch: &mut Scratch,
        work: &mut R::Work,
    ) -> (bool, u32, f64) {
        let rank = self.rank();
        let dim = scratch.x.len();
        scratch.x_rest.copy_from_slice(&scratch.x);
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            scratch.eta[j] = dot(v, &scratch.x);
        }
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            add_scaled(&mut scratch.x_rest, -scratch.eta[j], v);
            scratch.c[j] =
                self.c_best[j] + (scratch.eta[j] - self.e_best[j]) / self.s[j].hypot(1.0);
        }
        scratch.c_trial.copy_from_slice(&scratch.c);
        let Some(mut worst) = self.evaluate(problem, ROUGH, scratch, work) else {
            return (false, 0, 0.0);
        };
        let mut rough = true;
        let mut steps = 0;
        loop {
            if rough && worst <= NEAR {
                rough = false;
                let Some(fully) = self.evaluate(problem, 0.0, scratch, work) else {
                    return (false, steps, 0.0);
                };
                worst = fully;
            }
            problem.slopes(&scratch.x, &mut scratch.rows, work);
            self.project(scratch);
            if worst <= SOLVED {
                let weight = self.ln_weight(problem, scratch);
                return (weight.is_some(), steps, weight.unwrap_or(f64::NEG_INFINITY));
            }
            if steps == MOST_STEPS {
                return (false, steps, 0.0);
            }
            steps += 1;
            rough &= worst > FAR;
            let part = if rough { ROUGH } else { 0.0 };
            let Some(after) = self.advance(problem, part, scratch, work, worst) else {
                return (false, steps, 0.0);
            };
            worst = after;
            scratch.c[..rank].copy_from_slice(&scratch.c_trial[..rank]);
        }
    }

    /// One step to a smaller worst miss, left in `c_trial`: first in the logarithm of the flows, where rows are
    /// nearly linear, else plain Newton with halving.
    fn advance<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        part_of_flow: f64,
        scratch: &mut Scratch,
        work: &mut R::Work,
        worst: f64,
    ) -> Option<f64> {
        let rank = self.rank();
        // The plain step is formed first: the trial below overwrites the rows.
        self.newton_matrix(scratch);
        let mut plain = [0.0; 64];
        let plain = &mut plain[..rank.min(64)];
        for (step, miss) in plain.iter_mut().zip(&scratch.miss) {
            *step = -miss;
        }
        small::solve(&mut scratch.matrix[..rank * rank], plain)?;

        if self.log_step(problem, scratch) {
            for j in 0..rank {
                scratch.c_trial[j] = scratch.c[j] + scratch.step[j];
            }
            if let Some(after) = self.evaluate(problem, part_of_flow, scratch, work)
                && after < 0.9 * worst
            {
                return Some(after);
            }
        }
        let mut part = 1.0;
        for _ in 0..=MOST_HALVINGS {
            for j in 0..rank {
                scratch.c_trial[j] = scratch.c[j] + part * plain[j];
            }
            if let Some(after) = self.evaluate(problem, part_of_flow, scratch, work)
                && after < worst
            {
                return Some(after);
            }
            part *= 0.5;
        }
        None
    }

    /// Sets x from `c_trial`, fills the rows there and the misses; the worst miss, or `None` if a solve failed.
    fn evaluate<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        part_of_flow: f64,
        scratch: &mut Scratch,
        work: &mut R::Work,
    ) -> Option<f64> {
        let dim = scratch.x.len();
        scratch.x.copy_from_slice(&scratch.x_rest);
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            add_scaled(&mut scratch.x, scratch.c_trial[j], v);
        }
        let Scratch {
            x,
            rows,
            disturbances,
            ..
        } = scratch;
        if !problem.values_roughly(x, self.wrong, disturbances, part_of_flow, rows, work) {
            return None;
        }
        let mut worst = 0.0_f64;
        for j in 0..self.rank() {
            scratch.miss[j] = self.e(j, scratch.c_trial[j], &scratch.rows.r) - scratch.eta[j];
            if !scratch.miss[j].is_finite() {
                return None;
            }
            worst = worst.max(scratch.miss[j].abs());
        }
        Some(worst)
    }

    /// B = A(x)·V.
    fn project(&self, scratch: &mut Scratch) {
        let dim = scratch.x.len();
        let rank = self.rank();
        for k in 0..scratch.rows.r.len() {
            let row = &scratch.rows.slopes[k * dim..(k + 1) * dim];
            for (j, v) in self.v.chunks_exact(dim).enumerate() {
                scratch.b[k * rank + j] = dot(row, v);
            }
        }
    }

    /// ∂e/∂c = (I + S·Uᵀ·B)/√(1+s²) into `matrix`.
    fn newton_matrix(&self, scratch: &mut Scratch) {
        let rank = self.rank();
        let n_readings = scratch.rows.r.len();
        for i in 0..rank {
            for j in 0..rank {
                let along: f64 = (0..n_readings)
                    .map(|k| self.u[k * rank + i] * scratch.b[k * rank + j])
                    .sum();
                let unit = if i == j { 1.0 } else { 0.0 };
                scratch.matrix[i * rank + j] = (unit + self.s[i] * along) / self.s[i].hypot(1.0);
            }
        }
    }

    /// Newton step for the equivalent system rₖ = tₖ(c), t = U·S⁻¹·(√(1+s²)·η − c), with a row taken as
    /// ln h = ln(centre + σ·t) where that exists. False where that system does not exist.
    fn log_step<R: Readout>(&self, problem: &Problem<'_, R>, scratch: &mut Scratch) -> bool {
        let rank = self.rank();
        if rank != problem.readings.len() {
            return false;
        }
        for k in 0..rank {
            let u = &self.u[k * rank..(k + 1) * rank];
            let t: f64 = (0..rank)
                .map(|j| u[j] / self.s[j] * (self.s[j].hypot(1.0) * scratch.eta[j] - scratch.c[j]))
                .sum();
            let sigma = 1.0 / scratch.rows.dr_dh[k];
            let h = scratch.rows.h[k];
            let wanted = problem.readings[k].row_centre() + sigma * t;
            let (by_row, by_target, miss) = if wanted > 0.0 && h > 0.0 {
                (sigma / h, sigma / wanted, h.ln() - wanted.ln())
            } else {
                (1.0, 1.0, scratch.rows.r[k] - t)
            };
            scratch.step[k] = -miss;
            for j in 0..rank {
                scratch.matrix[k * rank + j] =
                    by_row * scratch.b[k * rank + j] + by_target * u[j] / self.s[j];
            }
        }
        small::solve(
            &mut scratch.matrix[..rank * rank],
            &mut scratch.step[..rank],
        )
        .is_some()
            && scratch.step[..rank].iter().all(|s| s.is_finite())
    }

    /// ln w at the point in `scratch`; `None` where the map folds.
    fn ln_weight<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        scratch: &mut Scratch,
    ) -> Option<f64> {
        let rank = self.rank();
        self.newton_matrix(scratch);
        let (ln_det, positive) = small::solve(
            &mut scratch.matrix[..rank * rank],
            &mut scratch.step[..rank],
        )?;
        if !positive {
            return None;
        }
        let mut ln_w = self.ln_factor - ln_det + problem.ln_left_out(self.wrong, &scratch.rows);
        for j in 0..rank {
            let (e, c) = (scratch.miss[j] + scratch.eta[j], scratch.c_trial[j]);
            ln_w += 0.5 * (e * e - c * c);
        }
        ln_w -= scratch.rows.r.iter().map(|r| 0.5 * r * r).sum::<f64>();
        ln_w.is_finite().then_some(ln_w)
    }
}
