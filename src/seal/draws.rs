//! Draws of the posterior, and what sealing would leave of every seam in each of them.

use rand::SeedableRng;
use rand::distr::Distribution;
use rand_pcg::Pcg64;

use super::pairs::BeforeAfter;
use super::types::SealError;
use crate::allocate::{Band, Posterior, weighted_quantile};
use crate::math::{StandardNormal, exp, ln};
use crate::system::{SealMethod, SeamIdx, System};

/// Draws of less than this part of the largest weight are left out.
const LEAST_WEIGHT: f64 = 1e-9;

/// What sealing leaves, draw by draw.
#[derive(Debug, Clone)]
pub struct Left<'a> {
    pub(super) system: &'a System,
    pub(super) posterior: &'a Posterior,
    /// Draws of the posterior that count.
    kept: Vec<usize>,
    /// Their weights, adding up to 1.
    pub(super) weights: Vec<f64>,
    /// Shared terms z and z', two a method, draw by draw.
    shared: Vec<f64>,
    /// Own terms e, draw by draw.
    own: Vec<f64>,
    /// Seams that were put together and sealed since they were found open.
    mended: Vec<bool>,
}

impl<'a> Left<'a> {
    /// Of a system's posterior; `seed` feeds what is not known of the sealing itself.
    ///
    /// # Errors
    /// [`SealError::OtherSystem`].
    pub fn new(system: &'a System, posterior: &'a Posterior, seed: u64) -> Result<Self, SealError> {
        let n = system.seams.len();
        let found = posterior.q25_m3_s.len() / posterior.weights.len().max(1);
        if found != n {
            return Err(SealError::OtherSystem { needs: n, found });
        }
        let most = posterior.weights.iter().copied().fold(0.0, f64::max);
        let kept: Vec<usize> = (0..posterior.weights.len())
            .filter(|&d| posterior.weights[d] > LEAST_WEIGHT * most)
            .collect();
        let sum: f64 = kept.iter().map(|&d| posterior.weights[d]).sum();
        let weights = kept.iter().map(|&d| posterior.weights[d] / sum).collect();
        let methods = system.crew.methods.len();
        let mut shared = Vec::with_capacity(2 * methods * kept.len());
        let mut own = Vec::with_capacity(n * kept.len());
        for &draw in &kept {
            // One stream a draw, so that a seam keeps its luck whatever is asked of one crew.
            let mut random = Pcg64::new(u128::from(seed), 2 * draw as u128 + 1);
            let mut random = Pcg64::seed_from_u64(rand::Rng::next_u64(&mut random));
            let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
            shared.extend((0..2 * methods).map(|_| normal()));
            own.extend((0..n).map(|_| normal()));
        }
        let mut mended = vec![false; n];
        for step in system.sealing.iter().take(posterior.allocation.stage) {
            for &seam in &step.seams {
                mended[seam] = true;
            }
        }
        Ok(Left {
            system,
            posterior,
            kept,
            weights,
            shared,
            own,
            mended,
        })
    }

    /// Number of draws.
    #[must_use]
    pub fn count(&self) -> usize {
        self.kept.len()
    }

    /// Flow at 25 Pa of a seam in a draw, m³/s.
    pub(super) fn q25(&self, draw: usize, seam: SeamIdx) -> f64 {
        self.posterior.q25_m3_s[self.kept[draw] * self.system.seams.len() + seam]
    }

    /// Exponent of a seam in a draw.
    pub(super) fn n(&self, draw: usize, seam: SeamIdx) -> f64 {
        self.posterior.n[self.kept[draw] * self.system.seams.len() + seam]
    }

    /// Flow in the test set-up, m³/s.
    pub(super) fn test(&self, draw: usize, seam: SeamIdx) -> f64 {
        self.posterior.test_m3_s[self.kept[draw] * self.system.seams.len() + seam]
    }

    /// Flow in the to-outside set-up, m³/s.
    pub(super) fn outside(&self, draw: usize, seam: SeamIdx) -> f64 {
        self.posterior.to_outside_m3_s[self.kept[draw] * self.system.seams.len() + seam]
    }

    /// Whether a seam hangs open in a draw.
    pub(super) fn is_open(&self, draw: usize, seam: SeamIdx) -> bool {
        !self.mended[seam] && self.posterior.open[self.kept[draw]].has(seam)
    }

    /// Chance that a seam hangs open.
    pub(super) fn open_chance(&self, seam: SeamIdx) -> f64 {
        if self.mended[seam] {
            return 0.0;
        }
        (0..self.count())
            .filter(|&draw| self.is_open(draw, seam))
            .map(|draw| self.weights[draw])
            .fold(0.0, |sum, weight| sum + weight)
    }

    /// Part of a seam's flow that remains in a draw when this method has sealed it.
    pub(super) fn part(&self, draw: usize, seam: SeamIdx, method: usize) -> f64 {
        let by = &self.system.crew.methods[method];
        let sealed = self.sealed_part(draw, seam, method, by);
        if !self.is_open(draw, seam) {
            return sealed;
        }
        if by.from_inside {
            // Nothing spans an opening of a hand's width.
            return 1.0;
        }
        let closed = self.system.seams[seam].mean_q25_m3_s;
        (sealed * closed / self.q25(draw, seam)).min(1.0)
    }

    fn sealed_part(&self, draw: usize, seam: SeamIdx, method: usize, by: &SealMethod) -> f64 {
        let methods = self.system.crew.methods.len();
        let z = &self.shared[2 * (draw * methods + method)..][..2];
        let e = self.own[draw * self.system.seams.len() + seam];
        let spread = ln(by.missed_shared_gsd);
        let missed = (by.missed * exp(spread * z[0] - 0.5 * spread * spread)).min(1.0);
        let remains =
            by.remains * exp(ln(by.remains_shared_gsd) * z[1] + ln(by.remains_own_gsd) * e);
        missed + (1.0 - missed) * remains.min(1.0)
    }

    /// Laws of all seams in a draw after some were sealed, `(seam, method)`: ln q25 and n.
    pub(super) fn after(
        &self,
        draw: usize,
        sealed: &[(SeamIdx, usize)],
        ln_q25: &mut Vec<f64>,
        n: &mut Vec<f64>,
    ) {
        self.before(draw, ln_q25, n);
        for &(seam, method) in sealed {
            let part = self.part(draw, seam, method);
            ln_q25[seam] += ln(part);
            if self.is_open(draw, seam) && part < 1.0 {
                n[seam] = self.system.seams[seam].n;
            }
        }
    }

    /// Laws of all seams in a draw as they are.
    pub(super) fn before(&self, draw: usize, ln_q25: &mut Vec<f64>, n: &mut Vec<f64>) {
        let seams = self.system.seams.len();
        ln_q25.clear();
        ln_q25.extend((0..seams).map(|seam| ln(self.q25(draw, seam))));
        n.clear();
        n.extend((0..seams).map(|seam| self.n(draw, seam)));
    }

    /// Mean, quantiles of one figure a draw.
    pub(super) fn band(&self, values: &[f64]) -> Band {
        let sorted = self.sorted(values);
        Band {
            mean: self.mean(values),
            p05: weighted_quantile(&sorted, 0.05),
            p50: weighted_quantile(&sorted, 0.5),
            p95: weighted_quantile(&sorted, 0.95),
        }
    }

    /// Quantile of one figure a draw.
    pub(super) fn quantile(&self, values: &[f64], p: f64) -> f64 {
        weighted_quantile(&self.sorted(values), p)
    }

    /// Mean of one figure a draw.
    pub(super) fn mean(&self, values: &[f64]) -> f64 {
        values.iter().zip(&self.weights).map(|(v, w)| v * w).sum()
    }

    /// Figures with their weights, rising.
    fn sorted(&self, values: &[f64]) -> Vec<(f64, f64)> {
        let mut sorted: Vec<(f64, f64)> = values
            .iter()
            .copied()
            .zip(self.weights.iter().copied())
            .collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        sorted
    }

    /// Chance of what holds in some draws.
    pub(super) fn chance(&self, holds: impl Fn(usize) -> bool) -> f64 {
        (0..self.count())
            .filter(|&draw| holds(draw))
            .map(|draw| self.weights[draw])
            .sum()
    }

    /// Equally weighted draws before and after sealing, `(seam, method)`: evenly spaced along the weights.
    #[must_use]
    pub fn pairs(&self, sealed: &[(SeamIdx, usize)], count: usize) -> BeforeAfter {
        let mut pairs = BeforeAfter {
            n_seams: self.system.seams.len(),
            ..BeforeAfter::default()
        };
        let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
        for draw in self.evenly(count) {
            self.before(draw, &mut ln_q25, &mut n);
            pairs.ln_q25_before.extend_from_slice(&ln_q25);
            pairs.n_before.extend_from_slice(&n);
            self.after(draw, sealed, &mut ln_q25, &mut n);
            pairs.ln_q25_after.extend_from_slice(&ln_q25);
            pairs.n_after.extend_from_slice(&n);
        }
        pairs
    }

    /// Draws that stand for all, evenly spaced along the weights in the order of total leakage.
    fn evenly(&self, count: usize) -> Vec<usize> {
        let seams = self.system.seams.len();
        let total = |draw: usize| -> f64 { (0..seams).map(|seam| self.test(draw, seam)).sum() };
        let mut order: Vec<(f64, usize)> = (0..self.count()).map(|d| (total(d), d)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut picked = Vec::with_capacity(count);
        let mut reached = 0.0;
        let mut at = 0;
        for k in 0..count {
            let wanted = (k as f64 + 0.5) / count as f64;
            while at + 1 < order.len() && reached + self.weights[order[at].1] < wanted {
                reached += self.weights[order[at].1];
                at += 1;
            }
            picked.push(order[at].1);
        }
        picked
    }
}

#[cfg(test)]
#[path = "draws_tests.rs"]
mod tests;
