//! The most probable point by Gauss-Newton in data space.

use nalgebra::{DMatrix, DVector};

use super::problem::{Problem, Rows, WrongSet};
use super::readout::{Disturbance, Readout};

/// Most steps to the best point.
pub(crate) const MOST_STEPS: u32 = 60;
/// A step this small, against 1 + |x|, ends the search.
const SETTLED: f64 = 1e-6;
/// Most halvings of one step.
const MOST_HALVINGS: u32 = 12;

/// The best point and the rows there.
pub(crate) struct BestPoint {
    /// Whitened coordinates.
    pub x: Vec<f64>,
    /// Rows at x, slopes included.
    pub rows: Rows,
    /// Steps taken.
    pub steps: u32,
    /// Whether the last step was small.
    pub settled: bool,
    /// ½|x|² + ½|r|² there.
    pub objective: f64,
    /// ½ ln det(I + A Aᵀ).
    pub half_ln_det: f64,
}

/// Searches the least ½|x|² + ½|r(x)|².
///
/// # Equation
/// ```text
/// x' = Aᵀ·(A·Aᵀ + I)⁻¹·(A·x − r),     A = ∂r/∂x (K × D)
/// ```
/// One K × K system a step: time and memory grow with seams times readings. The step is halved until the
/// objective falls.
pub(crate) fn best_point<R: Readout>(
    problem: &Problem<'_, R>,
    wrong: WrongSet,
    start: &[f64],
    work: &mut R::Work,
) -> BestPoint {
    let n_readings = problem.readings.len();
    let dim = problem.prior.dim();
    let undisturbed = vec![Disturbance::default(); n_readings];
    let mut rows = Rows::new(problem.prior, n_readings);
    let mut x = start.to_vec();
    let mut trial = vec![0.0; dim];
    let mut fine = problem.values(&x, wrong, &undisturbed, &mut rows, work);
    problem.slopes(&x, &mut rows, work);
    let mut objective = half_square(&x) + half_square(&rows.r);
    let (mut steps, mut settled) = (0, false);
    while fine && !settled && steps < MOST_STEPS {
        steps += 1;
        let Some(target) = step_target(&x, &rows) else {
            break;
        };
        let largest = x
            .iter()
            .zip(&target)
            .fold(0.0_f64, |a, (x, t)| a.max((t - x).abs()));
        let mut part = 1.0;
        let mut better = false;
        for _ in 0..=MOST_HALVINGS {
            for ((trial, x), target) in trial.iter_mut().zip(&x).zip(&target) {
                *trial = x + part * (target - x);
            }
            fine = problem.values(&trial, wrong, &undisturbed, &mut rows, work);
            let there = half_square(&trial) + half_square(&rows.r);
            // Written so that NaN never passes.
            if fine && there <= objective + 1e-12 * objective.abs() {
                better = true;
                x.copy_from_slice(&trial);
                objective = there;
                break;
            }
            part *= 0.5;
        }
        if !better {
            fine = problem.values(&x, wrong, &undisturbed, &mut rows, work);
        }
        problem.slopes(&x, &mut rows, work);
        let norm = (2.0 * half_square(&x)).sqrt();
        settled = part * largest <= SETTLED * (1.0 + norm);
        if !better {
            break;
        }
    }
    let half_ln_det = data_matrix(&rows, dim).cholesky().map_or(f64::NAN, |c| {
        c.l_dirty().diagonal().iter().map(|d| d.ln()).sum()
    });
    BestPoint {
        x,
        rows,
        steps,
        settled: settled && fine,
        objective,
        half_ln_det,
    }
}

/// A·Aᵀ + I.
fn data_matrix(rows: &Rows, dim: usize) -> DMatrix<f64> {
    let k = rows.r.len();
    DMatrix::from_fn(k, k, |a, b| {
        dot(
            &rows.slopes[a * dim..(a + 1) * dim],
            &rows.slopes[b * dim..(b + 1) * dim],
        ) + if a == b { 1.0 } else { 0.0 }
    })
}

/// The Gauss-Newton target from x.
fn step_target(x: &[f64], rows: &Rows) -> Option<Vec<f64>> {
    let dim = x.len();
    let k = rows.r.len();
    let right = DVector::from_fn(k, |a, _| {
        dot(&rows.slopes[a * dim..(a + 1) * dim], x) - rows.r[a]
    });
    let multiplier = data_matrix(rows, dim).cholesky()?.solve(&right);
    let mut target = vec![0.0; dim];
    for a in 0..k {
        add_scaled(
            &mut target,
            multiplier[a],
            &rows.slopes[a * dim..(a + 1) * dim],
        );
    }
    Some(target)
}

/// Part of the prior variance of one coordinate that the readings take away, in the linear picture at the best
/// point: aᵀ·(A·Aᵀ + I)⁻¹·a with a the coordinate's column of A.
pub(crate) fn informed_part(best: &BestPoint, at: usize) -> f64 {
    let dim = best.x.len();
    let column = DVector::from_fn(best.rows.r.len(), |k, _| best.rows.slopes[k * dim + at]);
    data_matrix(&best.rows, dim)
        .cholesky()
        .map_or(0.0, |c| column.dot(&c.solve(&column)))
}

pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

pub(crate) fn add_scaled(to: &mut [f64], scale: f64, from: &[f64]) {
    for (to, from) in to.iter_mut().zip(from) {
        *to += scale * from;
    }
}

pub(crate) fn half_square(a: &[f64]) -> f64 {
    0.5 * dot(a, a)
}
