//! Air change of the house when the running fan's leaks do not balance.

use crate::math::powf;

/// Natural infiltration when nobody says, air changes an hour. The figure that ASHRAE 152 takes (second hand).
pub const USUAL_ACH: f64 = 0.35;

/// Exponents of the combination: of the flows, and of their sum. As published, 0.67 and not 2/3.
const EXPONENTS: (f64, f64) = (1.5, 0.67);

/// Infiltration with the fan running, m³/s.
///
/// # Equation
/// ```text
/// Q = (Q_n^1.5 + |u|^1.5)^0.67          u > 0: more is lost outdoors than drawn, the house is depressurised
/// Q = (Q_n^1.5 − |u|^1.5)^0.67          u < 0: more is drawn than lost; 0 once |u| exceeds Q_n
/// ```
/// where `Q_n` natural infiltration, m³/s; `u` supply leakage to outdoors less return leakage from there, m³/s. What
/// return leaks draw is not in it: that air comes in through the fan.
///
/// # Limits
/// With the published 0.67 the answer at u = 0 is Q_n^1.005, some 2 % off Q_n, and hangs on the unit: everything here is
/// m³/s. Changes are to be taken between answers of this function, not against Q_n itself. Wind, stack and exhaust fans
/// are only in Q_n.
///
/// # Source
/// ASHRAE 152 as two public implementations have it (second hand).
#[must_use]
pub fn combined_infiltration_m3_s(natural_m3_s: f64, unbalanced_m3_s: f64) -> f64 {
    let (inner, outer) = EXPONENTS;
    let natural = powf(natural_m3_s, inner);
    let unbalanced = powf(unbalanced_m3_s.abs(), inner).copysign(unbalanced_m3_s);
    powf((natural + unbalanced).max(0.0), outer)
}

/// The same, scaled so that leaks in balance leave the natural infiltration as it is, m³/s.
///
/// ```text
/// Q' = Q_n·Q(u)/Q(0)
/// ```
/// The published exponent alone would show a change of some 2 % where nothing changes. The scaling is our own.
#[must_use]
pub fn running_infiltration_m3_s(natural_m3_s: f64, unbalanced_m3_s: f64) -> f64 {
    if natural_m3_s > 0.0 {
        let still = combined_infiltration_m3_s(natural_m3_s, 0.0);
        natural_m3_s * combined_infiltration_m3_s(natural_m3_s, unbalanced_m3_s) / still
    } else {
        combined_infiltration_m3_s(0.0, unbalanced_m3_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaks_in_balance_leave_natural_infiltration_as_it_is() {
        let of = |unbalanced| running_infiltration_m3_s(0.0389, unbalanced);
        assert!((of(0.0) - 0.0389).abs() < 1e-15);
        assert!(of(1e-3) > 0.0389 && of(-1e-3) < 0.0389);
        // 0.0389·0.05412/0.03827, both by hand from the published form.
        assert!((of(0.030) - 0.0550).abs() < 5e-5);
        assert!(of(-0.05).abs() < 1e-15);
        // A house that never leaks of itself: the unbalanced flow, by (u^1.5)^0.67.
        assert!((running_infiltration_m3_s(0.0, 0.03) - 0.03_f64.powf(1.005)).abs() < 1e-12);
    }
}
