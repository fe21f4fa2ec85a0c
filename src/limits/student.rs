//! Student's law, as far as limits need it.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// How many independent pieces of information an error estimate rests on; `None` where the error was stated and not
/// estimated from scatter (the normal law).
pub type Freedom = Option<f64>;

/// Degrees of freedom from which Student's law is the normal law to six digits (it differs by about 1/freedom).
const AS_GOOD_AS_NORMAL: f64 = 1e6;
/// Halvings of the bracket of the quantile: more than the digits of a double.
const HALVINGS: usize = 80;

/// Student's law, or `None` where the normal law takes its place.
fn law(freedom: Freedom) -> Option<StudentsT> {
    let freedom = freedom.filter(|nu| *nu < AS_GOOD_AS_NORMAL)?;
    StudentsT::new(0.0, 1.0, freedom).ok()
}

/// Two-sided 95 % factor: within ± this many standard deviations lies 95 %.
///
/// # Source
/// Quantile 0.975 of Student's law, found by halving a bracket of its distribution function, which a kept statistics library
/// gives (that library's own quantile does not come back for some degrees of freedom); held against another library in the
/// tests. 1.959964 for the normal law.
///
/// # Limits
/// One degree of freedom or more: with fewer the bracket's end is given.
#[must_use]
pub fn t_95(freedom: Freedom) -> f64 {
    let Some(law) = law(freedom) else {
        return crate::quantity::SIGMAS_OF_95_PERCENT;
    };
    // The quantile falls from 12.7 at one degree of freedom to 1.96.
    let (mut low, mut high) = (1.9, 13.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if law.cdf(middle) < 0.975 {
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
    match law(freedom) {
        Some(law) => law.cdf(z),
        None => Normal::standard().cdf(z),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
