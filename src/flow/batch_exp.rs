//! Exponentials of many numbers at once, written so that the compiler takes several lanes at a time.

use std::f64::consts::LOG2_E;

/// ln 2 in two parts; the first has so few digits that its product with an exponent of 2 is exact.
const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// 1.5·2⁵²: adding it rounds to a whole number and leaves that number in the last bits.
const ROUNDER: f64 = 6_755_399_441_055_744.0;
/// Below this the answer is 0, above the other infinite.
const RANGE: (f64, f64) = (-708.0, 709.0);

/// Replaces each value by its exponential.
///
/// # Equation
/// ```text
/// exp(x) = 2ᵏ·exp(r),   k = round(x/ln 2),   |r| ≤ ½·ln 2,   exp(r) by its series up to r¹³
/// ```
/// # Accuracy
/// 4e-16 relative (the series leaves 4e-18). NaN stays NaN; −∞ gives 0.
///
/// # Source
/// Own algebra; the two-part ln 2 is common practice.
pub(super) fn exp_all(values: &mut [f64]) {
    for x in values {
        *x = exp(*x);
    }
}

#[inline(always)]
fn exp(x: f64) -> f64 {
    let inside = if x < RANGE.0 { RANGE.0 } else { x };
    let inside = if inside > RANGE.1 { RANGE.1 } else { inside };
    let rounded = inside * LOG2_E + ROUNDER;
    let k = rounded - ROUNDER;
    let r = (inside - k * LN_2_HIGH) - k * LN_2_LOW;
    let (r2, r4) = (r * r, (r * r) * (r * r));
    let low = (0.5 + r * (1.0 / 6.0)) + r2 * (1.0 / 24.0 + r * (1.0 / 120.0));
    let middle =
        (1.0 / 720.0 + r * (1.0 / 5_040.0)) + r2 * (1.0 / 40_320.0 + r * (1.0 / 362_880.0));
    let high = (1.0 / 3_628_800.0 + r * (1.0 / 39_916_800.0))
        + r2 * (1.0 / 479_001_600.0 + r * (1.0 / 6_227_020_800.0));
    let series = 1.0 + (r + r2 * (low + r4 * (middle + r4 * high)));
    let power = f64::from_bits(rounded.to_bits().wrapping_add(1023) << 52);
    let value = series * power;
    let value = if x < RANGE.0 { 0.0 } else { value };
    if x > RANGE.1 { f64::INFINITY } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_standard_library_over_its_range() {
        for i in -70_000..70_000 {
            let x = f64::from(i) * 0.010_07;
            let mut values = [x];
            exp_all(&mut values);
            let expected = x.exp();
            assert!(
                (values[0] / expected - 1.0).abs() < 5e-16,
                "{x}: {} {expected}",
                values[0]
            );
        }
    }

    #[test]
    fn ends_of_the_range_are_zero_and_infinite_and_nan_stays() {
        let mut values = [
            f64::NEG_INFINITY,
            -800.0,
            0.0,
            800.0,
            f64::INFINITY,
            f64::NAN,
        ];
        exp_all(&mut values);
        assert!(values[0].abs() + values[1].abs() < f64::MIN_POSITIVE);
        assert!((values[2] - 1.0).abs() < f64::EPSILON);
        assert!(values[3].is_infinite() && values[4].is_infinite() && values[5].is_nan());
    }
}
