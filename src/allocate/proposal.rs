//! One hypothesis' draws: the basis Q, the equation, the weight. See [`super::rto`].

use nalgebra::{DMatrix, SymmetricEigen};

use super::best_point::{add_scaled, dot};
use super::case::Case;
use super::problem::Problem;
use super::readout::Readout;
use super::scratch::Scratch;
use super::small;
use super::surrogate::{Surrogate, SurrogateWork};
use super::tilt::Tilt;
use crate::math::{hypot, ln};

/// Most Newton steps of one draw.
const MOST_STEPS: u32 = 30;
/// Most halvings of one Newton step.
const MOST_HALVINGS: u32 = 10;
/// Largest miss of eⱼ(c) = ηⱼ, in standard deviations. The weight is formed at the ξ reached, so a miss of this size
/// only shifts ζ, by a twentieth of the Monte Carlo error of 2000 draws.
const SOLVED: f64 = 1e-3;
/// Largest miss on the cheap model.
const SOLVED_CHEAPLY: f64 = 1e-5;
/// Most corrections of the cheap model by the true one before Newton's method takes over.
const MOST_CORRECTIONS: u32 = 5;
/// Singular values below this part of the largest say nothing and are dropped from Q.
const RANK: f64 = 1e-7;

/// One hypothesis and the basis Q for it.
#[derive(Debug, Clone)]
pub(crate) struct Proposal {
    pub case: Case,
    /// ln p(b) − ln q(b).
    pub ln_factor: f64,
    /// Singular values, falling.
    s: Vec<f64>,
    /// Left vectors, `K × rank`, row-major.
    u: Vec<f64>,
    /// Right vectors in ξ, `rank × D`, row-major.
    v: Vec<f64>,
    /// The same carried to x, R·v.
    rv: Vec<f64>,
    /// Vᵀξ and e at the best point.
    c_best: Vec<f64>,
    e_best: Vec<f64>,
    /// The best point itself.
    pub xi_best: Vec<f64>,
}

/// What a draw leans on.
pub(crate) struct Guide<'g> {
    pub tilt: &'g Tilt,
    pub surrogate: &'g Surrogate,
}

impl Proposal {
    /// Around a point ξ with residuals `r` and slopes `slopes` (`K × D`, in ξ).
    pub(crate) fn around(case: Case, tilt: &Tilt, xi: &[f64], r: &[f64], slopes: &[f64]) -> Self {
        let (k, dim) = (r.len(), xi.len());
        let row = |a: usize| &slopes[a * dim..(a + 1) * dim];
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
        let c_best: Vec<f64> = v.chunks_exact(dim).map(|v| dot(v, xi)).collect();
        let mut rv = v.clone();
        for row in rv.chunks_exact_mut(dim.max(1)) {
            tilt.root(row);
        }
        let mut proposal = Proposal {
            case,
            ln_factor: 0.0,
            s,
            u,
            v,
            rv,
            c_best,
            e_best: vec![0.0; rank],
            xi_best: xi.to_vec(),
        };
        for j in 0..rank {
            proposal.e_best[j] = proposal.e(j, proposal.c_best[j], r);
        }
        proposal
    }

    /// (I + V·S²·Vᵀ)^(−½)·a in place.
    pub(crate) fn shrink(&self, a: &mut [f64]) {
        let dim = a.len();
        for (v, s) in self.v.chunks_exact(dim).zip(&self.s) {
            let along = dot(v, a);
            add_scaled(a, (1.0 / hypot(*s, 1.0) - 1.0) * along, v);
        }
    }

    /// (I + V·S²·Vᵀ)^(½)·a in place.
    pub(crate) fn stretch(&self, a: &mut [f64]) {
        let dim = a.len();
        for (v, s) in self.v.chunks_exact(dim).zip(&self.s) {
            let along = dot(v, a);
            add_scaled(a, (hypot(*s, 1.0) - 1.0) * along, v);
        }
    }

    /// Sets x from ξ in `scratch.xi`, fills rows and slopes there with the true model, and gives the ln weight that a
    /// draw at this point would have. `None` where a solve fails or the map folds.
    pub(crate) fn weigh<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        tilt: &Tilt,
        scratch: &mut Scratch,
        work: &mut R::Work,
    ) -> Option<f64> {
        problem.slopes(&scratch.x, self.case, &mut scratch.rows, work);
        let dim = scratch.xi.len();
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            scratch.c_trial[j] = dot(v, &scratch.xi);
            scratch.eta[j] = 0.0;
            scratch.miss[j] = self.e(j, scratch.c_trial[j], &scratch.rows.r);
        }
        self.project(scratch);
        self.ln_weight(problem, tilt, scratch)
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
        (c_j + self.s[j] * along) / hypot(self.s[j], 1.0)
    }

    /// Solves e(c) = η from ζ in `scratch.xi`: (solved, steps, ln weight). Afterwards `scratch` and `work` stand at the
    /// draw.
    pub(crate) fn solve<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        guide: &Guide<'_>,
        scratch: &mut Scratch,
        work: &mut R::Work,
        cheap: &mut SurrogateWork,
    ) -> (bool, u32, f64) {
        let rank = self.rank();
        let dim = scratch.xi.len();
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            scratch.eta[j] = dot(v, &scratch.xi);
        }
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            add_scaled(&mut scratch.xi, -scratch.eta[j], v);
            scratch.c[j] =
                self.c_best[j] + (scratch.eta[j] - self.e_best[j]) / hypot(self.s[j], 1.0);
        }
        scratch.x_rest.copy_from_slice(&scratch.xi);
        guide.tilt.apply(&mut scratch.x_rest);

        // The cheap model first, then the true one, the cheap one corrected to it, and so on.
        let on_cheap = problem.on(guide.surrogate);
        on_cheap.readout.restart(cheap);
        let mut steps = 0;
        let mut worst = None;
        for correction in 0..MOST_CORRECTIONS {
            let _ = self.newton(&on_cheap, SOLVED_CHEAPLY, scratch, cheap);
            scratch.c_trial[..rank].copy_from_slice(&scratch.c[..rank]);
            let before: Vec<f64> = scratch.rows.readings.iter().map(|r| r.value).collect();
            let Some(after) = self.evaluate(problem, scratch, work) else {
                worst = None;
                break;
            };
            steps += 1;
            let getting_there = worst.is_none_or(|w| after < 0.5 * w);
            worst = Some(after);
            if after <= SOLVED || !getting_there || correction + 1 == MOST_CORRECTIONS {
                break;
            }
            for (k, was) in before.iter().enumerate() {
                let is = scratch.rows.readings[k].value;
                if is > 0.0 && *was > 0.0 {
                    cheap.factor[k] *= is / was;
                    cheap.addition[k] *= is / was;
                } else {
                    cheap.addition[k] += is - was;
                }
            }
        }
        if !worst.is_some_and(|w| w <= SOLVED) {
            let (solved, more) = self.newton(problem, SOLVED, scratch, work);
            steps += more;
            if !solved {
                return (false, steps, 0.0);
            }
        }
        problem.slopes(&scratch.x, self.case, &mut scratch.rows, work);
        self.project(scratch);
        for (j, v) in self.v.chunks_exact(dim).enumerate() {
            add_scaled(&mut scratch.xi, scratch.c_trial[j], v);
        }
        let weight = self.ln_weight(problem, guide.tilt, scratch);
        (weight.is_some(), steps, weight.unwrap_or(f64::NEG_INFINITY))
    }

    /// Newton's method from c in `scratch.c`; leaves the last point in `c` and `c_trial`, with rows there.
    fn newton<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        solved: f64,
        scratch: &mut Scratch,
        work: &mut R::Work,
    ) -> (bool, u32) {
        let rank = self.rank();
        scratch.c_trial[..rank].copy_from_slice(&scratch.c[..rank]);
        let Some(mut worst) = self.evaluate(problem, scratch, work) else {
            return (false, 0);
        };
        let mut steps = 0;
        while worst > solved {
            if steps == MOST_STEPS {
                return (false, steps);
            }
            steps += 1;
            problem.slopes(&scratch.x, self.case, &mut scratch.rows, work);
            self.project(scratch);
            let Some(after) = self.advance(problem, scratch, work, worst) else {
                return (false, steps);
            };
            worst = after;
            scratch.c[..rank].copy_from_slice(&scratch.c_trial[..rank]);
        }
        (true, steps)
    }

    /// One step to a smaller worst miss, left in `c_trial`: first in the logarithm of the flows, where rows are
    /// nearly linear, else plain Newton with halving.
    fn advance<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
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
            if let Some(after) = self.evaluate(problem, scratch, work)
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
            if let Some(after) = self.evaluate(problem, scratch, work)
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
        scratch: &mut Scratch,
        work: &mut R::Work,
    ) -> Option<f64> {
        let dim = scratch.x.len();
        scratch.x.copy_from_slice(&scratch.x_rest);
        for (j, v) in self.rv.chunks_exact(dim).enumerate() {
            add_scaled(&mut scratch.x, scratch.c_trial[j], v);
        }
        let Scratch {
            x,
            rows,
            disturbances,
            ..
        } = scratch;
        if !problem.values(x, self.case, disturbances, rows, work) {
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

    /// B = A·V.
    fn project(&self, scratch: &mut Scratch) {
        let dim = scratch.x.len();
        let rank = self.rank();
        for k in 0..scratch.rows.r.len() {
            let row = &scratch.rows.slopes[k * dim..(k + 1) * dim];
            for (j, v) in self.rv.chunks_exact(dim).enumerate() {
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
                scratch.matrix[i * rank + j] = (unit + self.s[i] * along) / hypot(self.s[i], 1.0);
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
                .map(|j| u[j] / self.s[j] * (hypot(self.s[j], 1.0) * scratch.eta[j] - scratch.c[j]))
                .sum();
            let sigma = 1.0 / scratch.rows.dr_dh[k];
            let h = scratch.rows.h[k];
            let wanted = problem.readings[k].row_centre() + sigma * t;
            let (by_row, by_target, miss) = if wanted > 0.0 && h > 0.0 {
                (sigma / h, sigma / wanted, ln(h) - ln(wanted))
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
        tilt: &Tilt,
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
        let mut ln_w =
            self.ln_factor - ln_det + problem.ln_left_out(self.case.wrong, &scratch.rows);
        for j in 0..rank {
            let (e, c) = (scratch.miss[j] + scratch.eta[j], scratch.c_trial[j]);
            ln_w += 0.5 * (e * e - c * c);
        }
        ln_w -= scratch.rows.r.iter().map(|r| 0.5 * r * r).sum::<f64>();
        ln_w += tilt.ln_beyond(&problem.looks.looks, &scratch.x);
        ln_w.is_finite().then_some(ln_w)
    }
}
