//! Darcy friction factor over all regimes.

use std::f64::consts::LN_10;

use crate::math::{exp, ln, log10, powf};

/// Reynolds number up to which flow is laminar.
pub(super) const RE_LAMINAR: f64 = 2000.0;
/// Reynolds number from which Colebrook-White holds.
pub(super) const RE_TURBULENT: f64 = 4000.0;

/// Darcy friction factor by Colebrook-White.
///
/// # Equation
/// ```text
/// 1/√f = −2 log₁₀( ε/(3.7 D) + 2.51/(Re √f) )
/// ```
/// solved by Newton on x = 1/√f from the Haaland value; the function is concave and increasing, so it
/// cannot run away.
///
/// # Limits
/// Meant for Re ≥ 4000 and 0 ≤ ε/D ≤ 0.05.
///
/// # Accuracy
/// 1e-12 relative; at most eight steps.
///
/// # Source
/// ASHRAE Handbook, Fundamentals 2021, ch. 21; start value Haaland 1983.
pub fn colebrook_white(re: f64, relative_roughness: f64) -> f64 {
    let rough = relative_roughness / 3.7;
    let mut x = -1.8 * log10(powf(rough, 1.11) + 6.9 / re);
    for _ in 0..8 {
        let a = rough + 2.51 * x / re;
        let step = (x + 2.0 * log10(a)) / (1.0 + 5.02 / (re * a * LN_10));
        x -= step;
        if step.abs() <= 1e-14 * x {
            break;
        }
    }
    1.0 / (x * x)
}

/// Darcy friction factor at any Reynolds number above zero.
///
/// Laminar 64/Re up to 2000, Colebrook-White from 4000, and between them a cubic in ln f against ln Re with
/// matched values and slopes, so that the loss rises smoothly with flow. No law is exact in between: other
/// rules differ by up to 25 % near Re 2800.
///
/// # Limits
/// The laminar constant 64 is that of a round duct. Rectangular ducts have 57 (square) to 73 (4:1) on the
/// hydraulic diameter; the difference stays below what roughness leaves open and only matters where ducts
/// hardly lose pressure, so the one law serves all shapes.
pub fn friction_factor(re: f64, relative_roughness: f64) -> f64 {
    if re <= RE_LAMINAR {
        64.0 / re
    } else if re >= RE_TURBULENT {
        colebrook_white(re, relative_roughness)
    } else {
        let (ln_f, _) = Blend::new(relative_roughness).at(ln(re));
        exp(ln_f)
    }
}

/// The cubic between laminar and turbulent flow for one relative roughness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blend {
    start: f64,
    width: f64,
    y0: f64,
    m0: f64,
    /// ln f at the turbulent end.
    y1: f64,
    m1: f64,
}

impl Blend {
    pub(super) fn new(relative_roughness: f64) -> Self {
        let f = colebrook_white(RE_TURBULENT, relative_roughness);
        let x = 1.0 / f.sqrt();
        let a = relative_roughness / 3.7 + 2.51 * x / RE_TURBULENT;
        // From the implicit equation: d ln f / d ln Re = −2t/(1 + t), t = 5.02/(Re a ln 10).
        let t = 5.02 / (RE_TURBULENT * a * LN_10);
        let width = ln(RE_TURBULENT / RE_LAMINAR);
        Blend {
            start: ln(RE_LAMINAR),
            width,
            y0: ln(64.0 / RE_LAMINAR),
            m0: -width,
            y1: ln(f),
            m1: -2.0 * t / (1.0 + t) * width,
        }
    }

    /// ln f and d ln f / d ln Re at ln Re.
    pub(super) fn at(&self, ln_re: f64) -> (f64, f64) {
        let t = (ln_re - self.start) / self.width;
        let rise = self.y1 - self.y0;
        let c2 = 3.0 * rise - 2.0 * self.m0 - self.m1;
        let c3 = self.m0 + self.m1 - 2.0 * rise;
        let y = self.y0 + t * (self.m0 + t * (c2 + t * c3));
        let slope = (self.m0 + t * (2.0 * c2 + 3.0 * t * c3)) / self.width;
        (y, slope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn laminar_flow_gives_64_over_re() {
        assert!((friction_factor(1000.0, 0.01) - 0.064).abs() < 1e-15);
    }

    #[test]
    fn loss_rises_with_flow_through_every_regime() {
        for rough in [0.0, 1e-3, 1e-2, 5e-2] {
            let mut last = 0.0;
            for i in 0..4000 {
                let re = 10.0 * (1e5_f64).powf(f64::from(i) / 4000.0);
                let loss = friction_factor(re, rough) * re * re;
                assert!(loss > last, "Re {re}, ε/D {rough}");
                last = loss;
            }
        }
    }

    #[test]
    fn slopes_match_where_the_regimes_meet() {
        for rough in [0.0, 1e-3, 2e-2] {
            for re in [RE_LAMINAR, RE_TURBULENT] {
                let slope = |a: f64, b: f64| {
                    (friction_factor(b, rough) / friction_factor(a, rough)).ln() / (b / a).ln()
                };
                let left = slope(re * (1.0 - 1e-5), re);
                let right = slope(re, re * (1.0 + 1e-5));
                assert!((left - right).abs() < 1e-3, "{rough} {re} {left} {right}");
            }
        }
    }
}
