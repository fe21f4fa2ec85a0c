//! Gaussian stand-ins for looks by expectation propagation.

use nalgebra::{DMatrix, DVector};

use super::case::Open;
use super::looks::LookLaw;
use super::prior::Prior;
use crate::math::square;

/// Most sweeps over all looks.
const MOST_SWEEPS: usize = 60;
/// A sweep that moves no site's mean by more than this part of its standard deviation ends the search.
const SETTLED: f64 = 1e-4;
/// Part of each change that is taken.
const DAMPED: f64 = 0.7;

/// exp(−½·precision·(v − at)²) in v = u − constant, v = Σ slope·x.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Site {
    /// Number of the look.
    pub look: usize,
    /// Constant of u.
    pub constant: f64,
    /// Slopes of u in x.
    pub slopes: Vec<(usize, f64)>,
    /// Precision.
    pub precision: f64,
    /// Centre, in v.
    pub at: f64,
}

impl Site {
    /// v at x.
    pub(crate) fn v(&self, x: &[f64]) -> f64 {
        self.slopes.iter().map(|(at, slope)| slope * x[*at]).sum()
    }

    /// ln of the site at v.
    pub(crate) fn ln(&self, v: f64) -> f64 {
        -0.5 * self.precision * square(v - self.at)
    }
}

/// Rows that are Gaussian already: r(x) ≈ slopes·x − target with unit error, `K × D` row-major.
pub(crate) struct GaussRows<'r> {
    pub slopes: &'r [f64],
    pub targets: &'r [f64],
}

/// Sites of all looks that the hypothesis leaves on their ordinary law, matched to the prior and the given rows.
///
/// # Method
/// Expectation propagation, all sites at once and damped: each site's cavity is the Gaussian without it, and its site
/// is set so that mean and variance of u agree with the look's own chance. Work K³ in the number of looks and rows.
pub(crate) fn sites(
    prior: &Prior,
    looks: &[LookLaw],
    open: Open,
    rows: &GaussRows<'_>,
) -> Vec<Site> {
    let mut found: Vec<Site> = looks
        .iter()
        .enumerate()
        .filter(|(_, look)| !open.has(look.seam))
        .map(|(at, look)| {
            let (constant, slopes) = look.form(prior, open);
            Site {
                look: at,
                constant,
                slopes,
                precision: 0.0,
                at: 0.0,
            }
        })
        .collect();
    if found.is_empty() {
        return found;
    }
    let (n, dim) = (found.len(), prior.dim());
    let k = rows.targets.len();
    let gram = gram(&found, rows, dim);
    let mut precision = DVector::from_fn(n + k, |i, _| if i < n { 0.0 } else { 1.0 });
    let mut pull = DVector::from_fn(n + k, |i, _| if i < n { 0.0 } else { rows.targets[i - n] });
    for _ in 0..MOST_SWEEPS {
        // Covariance of all v: G − G·√T·(I + √T·G·√T)⁻¹·√T·G.
        let root = precision.map(f64::sqrt);
        let scaled = DMatrix::from_fn(n + k, n + k, |i, j| root[i] * gram[(i, j)]);
        let inner = DMatrix::from_fn(n + k, n + k, |i, j| {
            scaled[(i, j)] * root[j] + if i == j { 1.0 } else { 0.0 }
        });
        let Some(factor) = inner.cholesky() else {
            break;
        };
        let half = factor
            .l()
            .solve_lower_triangular(&scaled)
            .unwrap_or_else(|| scaled.clone());
        let covariance = &gram - half.transpose() * &half;
        let mean = &covariance * &pull;
        let mut moved = 0.0_f64;
        for i in 0..n {
            let variance = covariance[(i, i)];
            let cavity_precision = 1.0 / variance - precision[i];
            if !(cavity_precision > 1e-9 && variance > 0.0) {
                continue;
            }
            let cavity_variance = 1.0 / cavity_precision;
            let cavity_mean = cavity_variance * (mean[i] / variance - pull[i]);
            let constant = found[i].constant;
            let (_, m, v) = looks[found[i].look].moments(constant + cavity_mean, cavity_variance);
            if !(v > 0.0 && v < cavity_variance && m.is_finite()) {
                continue;
            }
            let new_precision = (1.0 / v - cavity_precision).max(0.0);
            let new_pull = (m - constant) / v - cavity_mean / cavity_variance;
            moved = moved.max((m - constant - mean[i]).abs() / variance.sqrt());
            precision[i] += DAMPED * (new_precision - precision[i]);
            pull[i] += DAMPED * (new_pull - pull[i]);
        }
        if moved < SETTLED {
            break;
        }
    }
    for (i, site) in found.iter_mut().enumerate() {
        site.precision = precision[i];
        site.at = if precision[i] > 0.0 {
            pull[i] / precision[i]
        } else {
            0.0
        };
    }
    found
}

/// Prior covariance of all v and rows.
fn gram(sites: &[Site], rows: &GaussRows<'_>, dim: usize) -> DMatrix<f64> {
    let (n, k) = (sites.len(), rows.targets.len());
    let row = |a: usize| &rows.slopes[a * dim..(a + 1) * dim];
    let mut spread = vec![0.0; dim];
    let mut gram = DMatrix::zeros(n + k, n + k);
    for i in 0..n {
        for (at, slope) in &sites[i].slopes {
            spread[*at] += slope;
        }
        for j in 0..n {
            gram[(i, j)] = sites[j].v(&spread);
        }
        for a in 0..k {
            let value: f64 = sites[i].slopes.iter().map(|(at, s)| s * row(a)[*at]).sum();
            gram[(i, n + a)] = value;
            gram[(n + a, i)] = value;
        }
        for (at, _) in &sites[i].slopes {
            spread[*at] = 0.0;
        }
    }
    for a in 0..k {
        for b in 0..k {
            gram[(n + a, n + b)] = super::best_point::dot(row(a), row(b));
        }
    }
    gram
}
