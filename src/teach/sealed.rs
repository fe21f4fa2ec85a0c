//! What sealing leaves on average.

use crate::math::normal::cdf as normal_cdf;
use crate::math::{exp, hypot, ln};
use crate::system::SealMethod;

/// Mean part of a seam's leakage that a method leaves.
///
/// # Equation
/// ```text
/// E[f] = m + (1 − m)·E[min(1, r)],     ln r ~ N(μ, s²)
/// E[min(1, r)] = exp(μ + s²/2)·Φ((−μ − s²)/s) + Φ(μ/s)
/// ```
/// `m` the missed part (mean), at most 1; `μ` ln of the median that remains; `s² = s_job² + s_seam²`; Φ the normal
/// distribution. The law is that of [`crate::seal`] with missed part and remains independent.
///
/// # Accuracy
/// The missed part's own cap at 1 is left out: with a spread of 1.5 it matters from a mean of about 0.5 on.
///
/// # Source
/// Mean of a capped lognormal, by hand.
#[must_use]
pub fn mean_part(method: &SealMethod) -> f64 {
    let missed = method.missed.clamp(0.0, 1.0);
    let s = hypot(ln(method.remains_shared_gsd), ln(method.remains_own_gsd));
    let remains = if method.remains <= 0.0 {
        0.0
    } else if s < 1e-9 {
        method.remains.min(1.0)
    } else {
        let mu = ln(method.remains);
        exp(mu + 0.5 * s * s) * normal_cdf((-mu - s * s) / s) + normal_cdf(mu / s)
    };
    missed + (1.0 - missed) * remains
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    fn methods() -> Vec<SealMethod> {
        let text = include_str!("../../models/bungalow.yaml");
        let read = crate::sketch::read(text, "b.yaml").expect("sound");
        let system =
            crate::system::build(&read, text, "b.yaml", Catalog::builtin()).expect("sound");
        system.crew.methods
    }

    #[test]
    fn the_mean_of_a_capped_lognormal_agrees_with_quadrature() {
        for method in methods() {
            let (a, b) = (method.remains_shared_gsd.ln(), method.remains_own_gsd.ln());
            let s = (a * a + b * b).sqrt();
            // Midpoint rule on -8..8, 16000 steps: good to 1e-6.
            let step = 1e-3;
            let capped: f64 = (0..16_000)
                .map(|k| {
                    let z = -8.0 + (f64::from(k) + 0.5) * step;
                    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
                    (method.remains * (s * z).exp()).min(1.0) * density * step
                })
                .sum();
            let expected = method.missed + (1.0 - method.missed) * capped;
            assert!(
                (mean_part(&method) - expected).abs() < 1e-5,
                "{}",
                method.id
            );
            assert!((0.0..=1.0).contains(&mean_part(&method)));
        }
    }

    #[test]
    fn a_method_that_leaves_everything_leaves_all() {
        let mut method = methods().swap_remove(0);
        method.missed = 1.0;
        assert!((mean_part(&method) - 1.0).abs() < 1e-12);
        method.missed = 0.0;
        method.remains = 0.2;
        method.remains_own_gsd = 1.0;
        method.remains_shared_gsd = 1.0;
        assert!((mean_part(&method) - 0.2).abs() < 1e-12);
    }
}
