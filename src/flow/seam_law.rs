//! Power law of a leak (or of a lossy component), with a smooth law near zero.

use crate::math::{exp, ln, square};

/// Reference pressure of leak coefficients, Pa.
pub const REFERENCE_PA: f64 = 25.0;

/// Below this pressure difference the cubic law holds, Pa. Far below what a gauge shows (0.1 Pa).
pub const SWITCH_PA: f64 = 0.01;

/// Its natural logarithm.
pub(super) const LN_SWITCH: f64 = -4.605_170_185_988_091;

/// Flow by a power law, as the logarithm of its coefficient and its exponent.
///
/// # Equation
/// ```text
/// q = C · sign(Δp) · |Δp|ⁿ                               |Δp| ≥ δ
/// q = C · δⁿ · [ (3 − n)/2 · x + (n − 1)/2 · x³ ]        |Δp| < δ, x = Δp/δ
/// ```
/// where `C` = exp(`ln_c`), m³/(s·Paⁿ); `n` exponent, 0.5 to 1; `δ` = [`SWITCH_PA`]; `Δp` inside minus
/// outside, Pa. The cubic meets the power law with equal value and slope, is odd, and its slope falls from
/// (3 − n)/2 to n times C·δⁿ⁻¹, so that the slope is finite everywhere.
///
/// # Limits
/// `ln_c` = −∞ gives zero flow and zero slope.
///
/// # Source
/// Power law: common practice, form of ASTM E779 and ISO 9972 (from memory). Cubic: own algebra, checked by the
/// tests for value and slope at the switch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerLaw {
    /// Natural logarithm of the coefficient, ln of m³/(s·Paⁿ).
    pub ln_c: f64,
    /// Exponent.
    pub n: f64,
}

impl PowerLaw {
    /// Law through the flow `q_m3_s` at the pressure difference `dp_pa`.
    pub fn through(q_m3_s: f64, dp_pa: f64, n: f64) -> Self {
        PowerLaw {
            ln_c: ln(q_m3_s) - n * ln(dp_pa),
            n,
        }
    }

    /// Flow, m³/s, and its slope d(flow)/d(Δp), m³/(s·Pa).
    pub fn flow_and_slope(self, dp: f64) -> (f64, f64) {
        let size = dp.abs();
        if size >= SWITCH_PA {
            let q = exp(self.ln_c + self.n * ln(size));
            (q.copysign(dp), self.n * q / size)
        } else {
            self.below_switch(self.at_switch(), dp)
        }
    }

    /// As [`flow_and_slope`](Self::flow_and_slope) below the switch, from the flow `q0` at the switch.
    pub(super) fn below_switch(self, q0: f64, dp: f64) -> (f64, f64) {
        let (a, b) = (0.5 * (3.0 - self.n), 0.5 * (self.n - 1.0));
        let x = dp / SWITCH_PA;
        let xx = x * x;
        (q0 * x * (a + b * xx), q0 / SWITCH_PA * (a + 3.0 * b * xx))
    }

    /// Flow alone, m³/s.
    pub fn flow(self, dp: f64) -> f64 {
        self.flow_and_slope(dp).0
    }

    /// Content ∫₀^Δp q dΔp, Pa·m³/s; even in Δp and convex.
    pub fn content(self, dp: f64) -> f64 {
        let (size, n, q0) = (dp.abs(), self.n, self.at_switch());
        if size < SWITCH_PA {
            let xx = square(size / SWITCH_PA);
            return q0 * SWITCH_PA * xx * (0.25 * (3.0 - n) + 0.125 * (n - 1.0) * xx);
        }
        let inner = q0 * SWITCH_PA * (0.25 * (3.0 - n) + 0.125 * (n - 1.0));
        inner + (self.flow(size) * size - q0 * SWITCH_PA) / (n + 1.0)
    }

    /// d(flow)/dn when `ln_c` itself moves as −`ln_pivot`·dn: the flow at the pressure exp(`ln_pivot`)
    /// stays fixed.
    pub fn d_exponent(self, dp: f64, ln_pivot: f64) -> f64 {
        let size = dp.abs();
        if size >= SWITCH_PA {
            let ln = ln(size);
            let q = exp(self.ln_c + self.n * ln);
            q.copysign(dp) * (ln - ln_pivot)
        } else {
            let (q0, x) = (self.at_switch(), dp / SWITCH_PA);
            self.flow(dp) * (LN_SWITCH - ln_pivot) + q0 * 0.5 * x * (x * x - 1.0)
        }
    }

    /// Flow at the switch pressure.
    fn at_switch(self) -> f64 {
        exp(self.ln_c + self.n * LN_SWITCH)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAWS: [PowerLaw; 3] = [
        PowerLaw { ln_c: -7.0, n: 0.5 },
        PowerLaw {
            ln_c: -9.0,
            n: 0.63,
        },
        PowerLaw { ln_c: -8.0, n: 1.0 },
    ];

    #[test]
    fn passes_through_its_reference_point() {
        let law = PowerLaw::through(0.002, 25.0, 0.6);
        assert!((law.flow(25.0) - 0.002).abs() < 1e-16);
        // 0.002·(50/25)^0.6 by hand: 2^0.6 = 1.515716566510398
        assert!((law.flow(-50.0) + 0.002 * 1.515_716_566_510_398).abs() < 1e-15);
    }

    #[test]
    fn cubic_meets_the_power_law_in_value_and_slope() {
        for law in LAWS {
            let (below, slope_below) = law.flow_and_slope(SWITCH_PA * (1.0 - 1e-12));
            let (above, slope_above) = law.flow_and_slope(SWITCH_PA);
            assert!((below / above - 1.0).abs() < 1e-11);
            assert!((slope_below / slope_above - 1.0).abs() < 1e-10);
        }
    }

    #[test]
    fn slope_is_the_derivative_of_flow_and_flow_of_content() {
        for law in LAWS {
            for dp in [-60.0, -0.02, -0.004, 0.001, 0.0099, 0.5, 25.0] {
                let h = 1e-5 * f64::abs(dp);
                let slope = (law.flow(dp + h) - law.flow(dp - h)) / (2.0 * h);
                let flow = (law.content(dp + h) - law.content(dp - h)) / (2.0 * h);
                let (q, s) = law.flow_and_slope(dp);
                assert!((slope / s - 1.0).abs() < 1e-8, "{law:?} {dp}");
                assert!((flow / q - 1.0).abs() < 1e-7, "{law:?} {dp} {flow} {q}");
            }
        }
    }

    #[test]
    fn exponent_derivative_matches_a_finite_difference() {
        for dp in [-30.0, -0.003, 0.007, 2.0, 25.0] {
            let at = |n: f64| PowerLaw::through(0.001, 25.0, n).flow(dp);
            let finite = (at(0.65 + 1e-6) - at(0.65 - 1e-6)) / 2e-6;
            let exact = PowerLaw::through(0.001, 25.0, 0.65).d_exponent(dp, REFERENCE_PA.ln());
            assert!(
                (finite - exact).abs() < 1e-8 * 0.001,
                "{dp} {finite} {exact}"
            );
        }
    }

    #[test]
    fn sealed_leak_lets_nothing_through() {
        let sealed = PowerLaw {
            ln_c: f64::NEG_INFINITY,
            n: 0.6,
        };
        for dp in [-25.0, 0.0, 0.001, 30.0] {
            let (q, slope) = sealed.flow_and_slope(dp);
            assert!(q.abs() + slope.abs() + sealed.content(dp).abs() < f64::MIN_POSITIVE);
        }
    }
}
