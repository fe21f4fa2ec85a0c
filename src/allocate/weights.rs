//! What weighted draws are worth, and the one definition of a weighted quantile.

use super::types::Band;
use crate::math::{exp, ln, ln_1p};

/// Weights from logarithms, scaled so that the largest is 1; −∞ and NaN give 0.
pub fn from_logarithms(ln_weights: &[f64]) -> Vec<f64> {
    let largest = ln_weights
        .iter()
        .copied()
        .filter(|l| l.is_finite())
        .fold(f64::NEG_INFINITY, f64::max);
    ln_weights
        .iter()
        .map(|l| if l.is_finite() { exp(l - largest) } else { 0.0 })
        .collect()
}

/// Effective number of draws, (Σw)²/Σw²; 0 when every weight is 0.
pub fn effective_draws(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    let squares: f64 = weights.iter().map(|w| w * w).sum();
    if squares > 0.0 {
        sum * sum / squares
    } else {
        0.0
    }
}

/// Shape k̂ of a generalised Pareto law fitted to the largest min(0.2·S, 3·√S) of S weights.
///
/// Below 0.5 the mean of the weights has a finite variance; from 0.7 on averages over the draws cannot be trusted.
/// `None` for fewer than 25 draws or when the tail has no spread.
///
/// # Source
/// "A new and efficient estimation method for the generalized Pareto distribution", Technometrics 51 (2009); choice
/// of the tail, the pull towards 0.5 worth ten draws, and the limit 0.7 after "Pareto smoothed importance sampling",
/// Journal of Machine Learning Research 25 (2024): both from memory.
pub fn pareto_k(weights: &[f64]) -> Option<f64> {
    let s = weights.len() as f64;
    let in_tail = (0.2 * s).min(3.0 * s.sqrt()).ceil() as usize;
    if in_tail < 5 {
        return None;
    }
    let mut sorted = weights.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let cutoff = sorted[sorted.len() - in_tail - 1];
    let largest = sorted[sorted.len() - 1];
    // Weights that differ by rounding only have no tail.
    if !(largest - cutoff > 1e-9 * largest) {
        return None;
    }
    let exceed: Vec<f64> = sorted[sorted.len() - in_tail..]
        .iter()
        .map(|w| (w - cutoff).max(1e-300))
        .collect();
    let k = generalised_pareto_shape(&exceed)?;
    let count = in_tail as f64;
    Some((count * k + 10.0 * 0.5) / (count + 10.0))
}

/// Shape of a generalised Pareto law from ascending positive exceedances.
///
/// # Equation
/// ```text
/// θⱼ = 1/x₍ₙ₎ + (1 − √(m/(j−½)))/(3·x₍q₎),  j = 1…m,  m = 30 + ⌊√n⌋,  q = ⌊n/4 + ½⌋
/// k(θ) = mean ln(1 − θ·x),   l(θ) = n·(ln(−θ/k) − k − 1),   θ̂ = Σ θⱼ·softmax(l)ⱼ,   k̂ = k(θ̂)
/// ```
/// in the sign where k̂ > 0 is a heavy tail.
fn generalised_pareto_shape(x: &[f64]) -> Option<f64> {
    let n = x.len();
    let (quartile, last) = (x[(n as f64 / 4.0 + 0.5).floor() as usize - 1], x[n - 1]);
    if !(quartile > 0.0 && last.is_finite()) {
        return None;
    }
    let m = 30 + (n as f64).sqrt().floor() as usize;
    let k_at = |theta: f64| x.iter().map(|x| ln_1p(-theta * x)).sum::<f64>() / n as f64;
    let thetas: Vec<f64> = (1..=m)
        .map(|j| 1.0 / last + (1.0 - (m as f64 / (j as f64 - 0.5)).sqrt()) / (3.0 * quartile))
        .collect();
    let profile: Vec<f64> = thetas
        .iter()
        .map(|&theta| {
            let k = k_at(theta);
            n as f64 * (ln(-theta / k) - k - 1.0)
        })
        .collect();
    let weights = from_logarithms(&profile);
    let sum: f64 = weights.iter().sum();
    let theta = thetas.iter().zip(&weights).map(|(t, w)| t * w).sum::<f64>() / sum;
    let k = k_at(theta);
    k.is_finite().then_some(k)
}

/// Sorts values with their weights, ready for [`quantile`]; draws of weight 0 are left out.
pub(crate) fn sorted_into(values: &[f64], weights: &[f64], pairs: &mut Vec<(f64, f64)>) {
    pairs.clear();
    pairs.extend(
        values
            .iter()
            .zip(weights)
            .filter(|(_, w)| **w > 0.0)
            .map(|(v, w)| (*v, *w)),
    );
    pairs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
}

/// Weighted quantile of sorted (value, weight) pairs; NaN when there are none.
///
/// # Equation
/// ```text
/// value vᵢ stands at pᵢ = (w₁ + … + wᵢ₋₁ + wᵢ/2)/Σw;  linear between neighbours, flat beyond the ends
/// ```
/// With equal weights this is the mid-point rule (i − ½)/S.
pub fn quantile(sorted: &[(f64, f64)], p: f64) -> f64 {
    let total: f64 = sorted.iter().map(|(_, w)| w).sum();
    let wanted = p * total;
    let mut before = 0.0;
    let mut last: Option<(f64, f64)> = None;
    for &(value, weight) in sorted {
        let here = before + 0.5 * weight;
        if here >= wanted {
            return match last {
                Some((at, low)) => low + (value - low) * (wanted - at) / (here - at),
                None => value,
            };
        }
        before += weight;
        last = Some((here, value));
    }
    last.map_or(f64::NAN, |(_, value)| value)
}

/// Weighted mean; NaN when all weights are 0.
pub fn mean(values: &[f64], weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    values
        .iter()
        .zip(weights)
        .filter(|(_, w)| **w > 0.0)
        .map(|(v, w)| v * w)
        .sum::<f64>()
        / sum
}

/// Band of weighted values.
pub(crate) fn band(values: &[f64], weights: &[f64], pairs: &mut Vec<(f64, f64)>) -> Band {
    sorted_into(values, weights, pairs);
    Band {
        mean: mean(values, weights),
        p05: quantile(pairs, 0.05),
        p50: quantile(pairs, 0.5),
        p95: quantile(pairs, 0.95),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_weights_give_the_mid_point_rule() {
        let pairs: Vec<(f64, f64)> = [1.0, 2.0, 3.0, 4.0].iter().map(|v| (*v, 1.0)).collect();
        // Mid-points stand at 1/8, 3/8, 5/8, 7/8.
        assert!((quantile(&pairs, 0.5) - 2.5).abs() < 1e-12);
        assert!((quantile(&pairs, 0.375) - 2.0).abs() < 1e-12);
        assert!((quantile(&pairs, 0.0) - 1.0).abs() < 1e-12);
        assert!((quantile(&pairs, 0.95) - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_weight_of_two_counts_as_two_equal_draws_in_the_middle() {
        // One value of weight 2 between others: the median by symmetry.
        let pairs = [(1.0, 1.0), (5.0, 2.0), (9.0, 1.0)];
        assert!((quantile(&pairs, 0.5) - 5.0).abs() < 1e-12);
        assert!((mean(&[1.0, 5.0, 9.0], &[1.0, 2.0, 1.0]) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn draws_without_weight_change_nothing() {
        let mut pairs = Vec::new();
        let with = band(
            &[1.0, f64::NAN, 2.0, 3.0],
            &[1.0, 0.0, 1.0, 1.0],
            &mut pairs,
        );
        let without = band(&[1.0, 2.0, 3.0], &[1.0, 1.0, 1.0], &mut pairs);
        assert_eq!(with, without);
    }

    #[test]
    fn effective_draws_of_equal_weights_are_all_and_of_one_weight_are_one() {
        assert!((effective_draws(&[2.0; 50]) - 50.0).abs() < 1e-12);
        assert!((effective_draws(&[0.0, 3.0, 0.0]) - 1.0).abs() < 1e-12);
        assert!(effective_draws(&[0.0; 3]).abs() < 1e-12);
    }

    /// Exact quantiles of a Pareto law, 1/u^k, have shape k by definition; of an exponential law 0; of a uniform −1.
    #[test]
    fn the_tail_shape_of_known_laws_is_found() {
        let at = |i: usize| (i as f64 + 0.5) / 4000.0;
        for k in [0.3, 0.7, 1.2] {
            let weights: Vec<f64> = (0..4000).map(|i| at(i).powf(-k)).collect();
            let found = pareto_k(&weights).unwrap();
            assert!((found - k).abs() < 0.06, "{k}: {found}");
        }
        let exponential: Vec<f64> = (0..4000).map(|i| -at(i).ln()).collect();
        assert!(pareto_k(&exponential).unwrap().abs() < 0.08);
        let uniform: Vec<f64> = (0..4000).map(at).collect();
        assert!(pareto_k(&uniform).unwrap() < -0.7);
        assert_eq!(pareto_k(&[1.0; 4000]), None);
    }
}
