//! The most probable point by Gauss-Newton in data space.

use nalgebra::{DMatrix, DVector};

use super::case::Case;
use super::problem::{Problem, Rows};
use super::readout::{Disturbance, Readout};
use super::tilt::Tilt;
use crate::math::ln;

/// Most steps to the best point.
pub(crate) const MOST_STEPS: u32 = 60;
/// A step this small, against 1 + |x|, ends the search.
const SETTLED: f64 = 1e-6;
/// Most halvings of one step.
const MOST_HALVINGS: u32 = 12;

/// The best point and the rows there.
pub(crate) struct BestPoint {
    /// Whitened coordinates, of the prior as the looks have bent it.
    pub xi: Vec<f64>,
    /// Rows there.
    pub rows: Rows,
    /// Slopes of the rows in ξ, row by row, `K × D`.
    pub slopes: Vec<f64>,
    /// Steps taken.
    pub steps: u32,
    /// Whether the last step was small.
    pub settled: bool,
    /// ½|ξ|² + ½|r|² there.
    pub objective: f64,
    /// ½ ln det(I + A Aᵀ).
    pub half_ln_det: f64,
}

/// How hard to search.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Search {
    /// Most steps.
    pub most_steps: u32,
    /// A step this small, against 1 + |ξ|, ends the search.
    pub settled: f64,
}

impl Search {
    /// To the end.
    pub(crate) const FULL: Search = Search {
        most_steps: MOST_STEPS,
        settled: SETTLED,
    };
    /// Near enough to draw around.
    pub(crate) const NEAR: Search = Search {
        most_steps: 12,
        settled: 1e-2,
    };
}

/// Searches the least ½|ξ|² + ½|r(x)|², x = μ + R·ξ.
///
/// # Equation
/// ```text
/// ξ' = Aᵀ·(A·Aᵀ + I)⁻¹·(A·ξ − r),     A = ∂r/∂ξ (K × D)
/// ```
/// One K × K system a step: time and memory grow with seams times readings. The step is halved until the
/// objective falls.
pub(crate) fn best_point<R: Readout>(
    problem: &Problem<'_, R>,
    case: Case,
    tilt: &Tilt,
    start: &[f64],
    search: Search,
    work: &mut R::Work,
) -> BestPoint {
    let n_readings = problem.readings.len();
    let dim = problem.prior.dim();
    let undisturbed = vec![Disturbance::default(); n_readings];
    let mut rows = Rows::new(problem.prior, n_readings);
    let mut slopes = vec![0.0; n_readings * dim];
    let mut xi = start.to_vec();
    let mut x = vec![0.0; dim];
    let mut trial = vec![0.0; dim];
    let values = |xi: &[f64], x: &mut Vec<f64>, rows: &mut Rows, work: &mut R::Work| {
        x.copy_from_slice(xi);
        tilt.apply(x);
        problem.values(x, case, &undisturbed, rows, work)
    };
    let turn = |rows: &Rows, slopes: &mut [f64]| {
        slopes.copy_from_slice(&rows.slopes);
        for row in slopes.chunks_exact_mut(dim.max(1)) {
            tilt.root(row);
        }
    };
    let mut fine = values(&xi, &mut x, &mut rows, work);
    problem.slopes(&x, case, &mut rows, work);
    turn(&rows, &mut slopes);
    let mut objective = half_square(&xi) + half_square(&rows.r);
    let (mut steps, mut settled) = (0, false);
    while fine && !settled && steps < search.most_steps {
        steps += 1;
        let Some(target) = step_target(&xi, &rows.r, &slopes) else {
            break;
        };
        let largest = xi
            .iter()
            .zip(&target)
            .fold(0.0_f64, |a, (x, t)| a.max((t - x).abs()));
        let mut part = 1.0;
        let mut better = false;
        for _ in 0..=MOST_HALVINGS {
            for ((trial, x), target) in trial.iter_mut().zip(&xi).zip(&target) {
                *trial = x + part * (target - x);
            }
            fine = values(&trial, &mut x, &mut rows, work);
            let there = half_square(&trial) + half_square(&rows.r);
            // Written so that NaN never passes.
            if fine && there <= objective + 1e-12 * objective.abs() {
                better = true;
                xi.copy_from_slice(&trial);
                objective = there;
                break;
            }
            part *= 0.5;
        }
        if !better {
            fine = values(&xi, &mut x, &mut rows, work);
        }
        problem.slopes(&x, case, &mut rows, work);
        turn(&rows, &mut slopes);
        let norm = (2.0 * half_square(&xi)).sqrt();
        settled = part * largest <= search.settled * (1.0 + norm);
        if !better {
            break;
        }
    }
    let half_ln_det = half_ln_det(&slopes, n_readings, dim);
    BestPoint {
        xi,
        rows,
        slopes,
        steps,
        settled: settled && fine,
        objective,
        half_ln_det,
    }
}

/// ½ ln det(I + A Aᵀ).
fn half_ln_det(slopes: &[f64], k: usize, dim: usize) -> f64 {
    data_matrix(slopes, k, dim)
        .cholesky()
        .map_or(f64::NAN, |c| {
            c.l_dirty().diagonal().iter().map(|d| ln(*d)).sum()
        })
}

/// A·Aᵀ + I.
fn data_matrix(slopes: &[f64], k: usize, dim: usize) -> DMatrix<f64> {
    let row = |a: usize| &slopes[a * dim..(a + 1) * dim];
    let mut matrix = DMatrix::identity(k, k);
    for a in 0..k {
        for b in 0..=a {
            let along = dot(row(a), row(b));
            matrix[(a, b)] += along;
            if a != b {
                matrix[(b, a)] = matrix[(a, b)];
            }
        }
    }
    matrix
}

/// The Gauss-Newton target from ξ.
fn step_target(xi: &[f64], r: &[f64], slopes: &[f64]) -> Option<Vec<f64>> {
    let (dim, k) = (xi.len(), r.len());
    let row = |a: usize| &slopes[a * dim..(a + 1) * dim];
    let right = DVector::from_fn(k, |a, _| dot(row(a), xi) - r[a]);
    let multiplier = data_matrix(slopes, k, dim).cholesky()?.solve(&right);
    let mut target = vec![0.0; dim];
    for a in 0..k {
        add_scaled(&mut target, multiplier[a], row(a));
    }
    Some(target)
}

/// Part of the prior variance of one coordinate that the readings take away, in the linear picture at the best
/// point: aᵀ·(A·Aᵀ + I)⁻¹·a with a the coordinate's column of A.
pub(crate) fn informed_part(best: &BestPoint, at: usize) -> f64 {
    let (dim, k) = (best.xi.len(), best.rows.r.len());
    let column = DVector::from_fn(k, |k, _| best.slopes[k * dim + at]);
    data_matrix(&best.slopes, k, dim)
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
