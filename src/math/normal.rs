//! The normal law: its distribution, and the logarithm of it far into the lower tail.

use std::f64::consts::{FRAC_2_SQRT_PI, SQRT_2};

use super::{exp, ln, ln_1p};

/// Largest argument at which the series of the error function is used; beyond, the continued fraction.
/// Both reach double precision at 2.
const SERIES_BELOW: f64 = 2.0;

/// Standard normal distribution Φ(z).
pub(crate) fn cdf(z: f64) -> f64 {
    0.5 * erfc(-z / SQRT_2)
}

/// Standard normal density φ(z).
pub(crate) fn density(z: f64) -> f64 {
    exp(-0.5 * z * z) / (2.0 * std::f64::consts::PI).sqrt()
}

/// ln Φ(z), accurate for any finite z: below −2√2 it never forms Φ itself, which would underflow at −38.
///
/// # Equation
/// ```text
/// ln Φ(z) = ln(½ erfc(−z/√2));   erfc(t) = exp(−t²)·cf(t) for t ≥ 2
/// ```
pub(crate) fn ln_cdf(z: f64) -> f64 {
    let t = -z / SQRT_2;
    if t >= SERIES_BELOW {
        ln(0.5 * scaled_erfc(t)) - t * t
    } else {
        // Near 1 the logarithm of the complement keeps the digits.
        ln_1p(-0.5 * erfc(z / SQRT_2))
    }
}

/// Complementary error function.
///
/// # Source
/// Series and continued fraction of the Digital Library of Mathematical Functions 7.6.1 and 7.9.1 (from memory);
/// tested against an independent implementation.
fn erfc(t: f64) -> f64 {
    if t < 0.0 {
        2.0 - erfc(-t)
    } else if t < SERIES_BELOW {
        // erf t = 2/√π·exp(−t²)·Σ 2ⁿ t²ⁿ⁺¹/(1·3·…·(2n+1)): all terms positive.
        let mut term = t;
        let mut sum = t;
        let mut odd = 1.0;
        while term > 1e-17 * sum && term > 0.0 {
            odd += 2.0;
            term *= 2.0 * t * t / odd;
            sum += term;
        }
        1.0 - FRAC_2_SQRT_PI * exp(-t * t) * sum
    } else {
        scaled_erfc(t) * exp(-t * t)
    }
}

/// exp(t²)·erfc(t) for t ≥ 2 by the continued fraction, evaluated from the far end.
fn scaled_erfc(t: f64) -> f64 {
    // 60 levels give full precision at t = 2 and far more than needed beyond.
    let mut tail = t;
    for level in (1..=60).rev() {
        tail = t + 0.5 * f64::from(level) / tail;
    }
    0.5 * FRAC_2_SQRT_PI / tail
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Expected values: `math.erfc` of the Python 3 standard library (a C library's), `0.5*erfc(-z/sqrt(2))`.
    #[test]
    fn the_distribution_agrees_with_a_c_library() {
        for (z, want) in [
            (-5.0, 2.866515718791946e-07),
            (-3.0, 0.0013498980316300957),
            (-1.96, 0.024997895148220435),
            (-0.3, 0.3820885778110474),
            (0.0, 0.5),
            (1.0, 0.8413447460685429),
            (2.5, 0.9937903346742238),
        ] {
            let got = cdf(z);
            assert!(
                ((got - want) / want).abs() < 2e-14,
                "{z}: {got} against {want}"
            );
            assert!((ln_cdf(z) - want.ln()).abs() < 2e-14 * (1.0 + want.ln().abs()));
        }
    }

    /// ln Φ(−10) and ln Φ(−40) from the Mills-ratio bounds x/(x²+1) < Φ(−x)/φ(x) < (x²+2)/(x(x²+3)).
    #[test]
    fn the_far_tail_stays_between_the_mills_bounds() {
        for x in [10.0, 40.0, 1000.0_f64] {
            let ln_density = -0.5 * x * x - 0.5 * (2.0 * std::f64::consts::PI).ln();
            let log_ratio = ln_cdf(-x) - ln_density;
            assert!(log_ratio > (x / (x * x + 1.0)).ln() - 1e-9);
            assert!(log_ratio < ((x * x + 2.0) / (x * (x * x + 3.0))).ln() + 1e-9);
        }
    }
}
