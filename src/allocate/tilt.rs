//! The prior bent by the looks' Gaussian stand-ins, again in whitened coordinates.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

use super::best_point::{add_scaled, dot};
use super::looks::LookLaw;
use super::sites::Site;
use crate::math::{ln_1p, powf};

/// Singular values below this say nothing.
const LEAST: f64 = 1e-12;

/// A look without a site: u = constant + Σ slope·x.
#[derive(Debug, Clone)]
pub(crate) struct Bare {
    /// Number of the look.
    pub look: usize,
    pub constant: f64,
    pub slopes: Vec<(usize, f64)>,
}

impl Bare {
    fn u(&self, x: &[f64]) -> f64 {
        self.slopes
            .iter()
            .fold(self.constant, |u, (at, slope)| u + slope * x[*at])
    }
}

/// x = μ + R·ξ with ξ ~ N(0, I): the prior N(0, I) times all sites.
///
/// # Equation
/// ```text
/// rows √τ·a = U·S·Vᵀ,   R = (I + V·S²·Vᵀ)^(−½) = I + V·((1 + s²)^(−½) − 1)·Vᵀ
/// μ = Aᵀ·√T·(I + √T·A·Aᵀ·√T)⁻¹·√T·m
/// N(x; 0, I)·Π site(v(x)) = C·N(ξ; 0, I)·|det R|⁻¹
/// ln C = −½·ln det(I + √T·A·Aᵀ·√T) − ½·mᵀ·√T·(I + √T·A·Aᵀ·√T)⁻¹·√T·m
/// ```
#[derive(Debug, Clone, Default)]
pub(crate) struct Tilt {
    /// Sites behind it.
    pub sites: Vec<Site>,
    /// Looks at open seams: no site stands for them.
    pub bare: Vec<Bare>,
    mu: Vec<f64>,
    /// Right vectors, row by row.
    v: Vec<f64>,
    /// (1 + s²)^(−½) − 1.
    scale: Vec<f64>,
    /// ln C.
    pub ln_constant: f64,
}

impl Tilt {
    /// Bends N(0, I) in `dim` coordinates. `None` when the figures make no sense.
    pub(crate) fn new(sites: Vec<Site>, dim: usize) -> Option<Self> {
        let mut tilt = Tilt {
            mu: vec![0.0; dim],
            ..Tilt::default()
        };
        let n = sites.len();
        if n == 0 {
            return Some(tilt);
        }
        let dense: Vec<Vec<f64>> = sites
            .iter()
            .map(|site| {
                let mut row = vec![0.0; dim];
                for (at, slope) in &site.slopes {
                    row[*at] += site.precision.sqrt() * slope;
                }
                row
            })
            .collect();
        let gram = DMatrix::from_fn(n, n, |a, b| dot(&dense[a], &dense[b]));
        if !gram.iter().all(|g| g.is_finite()) {
            return None;
        }
        let eigen = SymmetricEigen::new(gram);
        let target = DVector::from_fn(n, |i, _| sites[i].precision.sqrt() * sites[i].at);
        let turned = eigen.eigenvectors.transpose() * target;
        for j in 0..n {
            let g = eigen.eigenvalues[j].max(0.0);
            tilt.ln_constant -= 0.5 * (ln_1p(g) + turned[j] * turned[j] / (1.0 + g));
            if g <= LEAST {
                continue;
            }
            let mut vector = vec![0.0; dim];
            for (a, row) in dense.iter().enumerate() {
                add_scaled(&mut vector, eigen.eigenvectors[(a, j)] / g.sqrt(), row);
            }
            add_scaled(&mut tilt.mu, g.sqrt() * turned[j] / (1.0 + g), &vector);
            tilt.v.extend(vector);
            tilt.scale.push(powf(1.0 + g, -0.5) - 1.0);
        }
        tilt.sites = sites;
        Some(tilt)
    }

    /// R·a in place.
    pub(crate) fn root(&self, a: &mut [f64]) {
        if self.scale.is_empty() {
            return;
        }
        let dim = self.mu.len();
        // All dots first: the vectors are orthonormal, so the order does not matter beyond rounding.
        for (v, scale) in self.v.chunks_exact(dim).zip(&self.scale) {
            let along = dot(v, a);
            add_scaled(a, scale * along, v);
        }
    }

    /// x from ξ in place.
    pub(crate) fn apply(&self, a: &mut [f64]) {
        self.root(a);
        add_scaled(a, 1.0, &self.mu);
    }

    /// ξ from x.
    pub(crate) fn undo(&self, x: &[f64]) -> Vec<f64> {
        let mut a: Vec<f64> = x.iter().zip(&self.mu).map(|(x, m)| x - m).collect();
        let dim = self.mu.len();
        for (v, scale) in self.v.chunks_exact(dim.max(1)).zip(&self.scale) {
            let along = dot(v, &a);
            add_scaled(&mut a, (1.0 / (1.0 + scale) - 1.0) * along, v);
        }
        a
    }

    /// ln of what the looks say beyond the sites, at x: Σ ln chance − Σ ln site + ln C.
    pub(crate) fn ln_beyond(&self, looks: &[LookLaw], x: &[f64]) -> f64 {
        let mut sum = self.ln_constant;
        for site in &self.sites {
            let v = site.v(x);
            sum += looks[site.look].ln_chance(site.constant + v) - site.ln(v);
        }
        for bare in &self.bare {
            sum += looks[bare.look].ln_chance(bare.u(x));
        }
        sum
    }

    /// Adds the slopes of −[`ln_beyond`](Self::ln_beyond) in x.
    pub(crate) fn add_slopes_beyond(&self, looks: &[LookLaw], x: &[f64], slopes: &mut [f64]) {
        for site in &self.sites {
            let v = site.v(x);
            let d = looks[site.look].slope(site.constant + v) + site.precision * (v - site.at);
            for (at, slope) in &site.slopes {
                slopes[*at] -= d * slope;
            }
        }
        for bare in &self.bare {
            let d = looks[bare.look].slope(bare.u(x));
            for (at, slope) in &bare.slopes {
                slopes[*at] -= d * slope;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One coordinate, one site of precision 3 at 2: the posterior is N(6/4·…) by the usual rule.
    #[test]
    fn one_site_gives_the_conjugate_answer() {
        let site = Site {
            look: 0,
            constant: 0.0,
            slopes: vec![(0, 1.0)],
            precision: 3.0,
            at: 2.0,
        };
        let tilt = Tilt::new(vec![site], 2).unwrap();
        let mut a = [0.0, 0.5];
        tilt.apply(&mut a);
        // Mean 3·2/(1+3) = 1.5; the other coordinate is left alone.
        assert!((a[0] - 1.5).abs() < 1e-12 && (a[1] - 0.5).abs() < 1e-12);
        let mut b = [1.0, 0.0];
        tilt.apply(&mut b);
        assert!((b[0] - 2.0).abs() < 1e-12, "standard deviation ½");
        assert!((tilt.undo(&b)[0] - 1.0).abs() < 1e-12);
        // ∫ N(v; 0, 1)·exp(−1.5·(v − 2)²) dv = exp(−½·4/(1 + ⅓))/√(1 + 3).
        let want = -0.5 * 4.0 / (1.0 + 1.0 / 3.0) - 0.5 * 4.0_f64.ln();
        assert!((tilt.ln_constant - want).abs() < 1e-12);
    }
}
