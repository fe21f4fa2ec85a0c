//! Leakage classes: flow per duct surface, brought to one pressure by the exponent 0.65.

use super::units::{CFM, FOOT, INCH_WATER};
use crate::math::powf;

/// Exponent by which all leakage classes scale with pressure.
///
/// # Source
/// ASHRAE Handbook Fundamentals, duct design chapter; SMACNA HVAC Air Duct Leakage Test Manual, 1985; EN 1507; EN 12237.
pub const CLASS_EXPONENT: f64 = 0.65;

/// A leakage class in inch-pound measure: cfm per 100 ft² of duct surface at 1 in. w.g.
///
/// # Equation
/// ```text
/// CL = (q / A) [cfm / 100 ft²] · (1 in. w.g. / p)^0.65
/// ```
/// where `q` flow, m³/s; `A` duct surface, m²; `p` pressure of the flow, Pa.
///
/// # Limits
/// Zero surface or pressure gives infinity or NaN.
///
/// # Source
/// SMACNA HVAC Air Duct Leakage Test Manual, 1st edition 1985: F = CL · P^0.65 (second-hand).
///
/// # Examples
/// ```
/// // 10.8 cfm through 100 ft² at 25 Pa is class 48
/// let cl = ductseam::catalog::class::leakage_class(10.77 * 4.719474432e-4, 100.0 * 0.09290304, 25.0);
/// assert!((cl - 48.0).abs() < 0.1);
/// ```
pub fn leakage_class(flow_m3_s: f64, surface_m2: f64, pressure_pa: f64) -> f64 {
    let per_100_ft2 = flow_m3_s / CFM / (surface_m2 / (100.0 * FOOT * FOOT));
    per_100_ft2 * powf(INCH_WATER / pressure_pa, CLASS_EXPONENT)
}

/// A leakage class in SI measure: mL/s per m² of duct surface at 1 Pa.
///
/// Same as [`leakage_class`] in other units; see [`si_per_ip`].
pub fn leakage_class_si(flow_m3_s: f64, surface_m2: f64, pressure_pa: f64) -> f64 {
    flow_m3_s * 1e6 / surface_m2 / powf(pressure_pa, CLASS_EXPONENT)
}

/// Flow of a duct surface of an inch-pound class at a pressure, m³/s: the inverse of [`leakage_class`].
pub fn class_flow(class_ip: f64, surface_m2: f64, pressure_pa: f64) -> f64 {
    class_ip * si_per_ip() * 1e-6 * surface_m2 * powf(pressure_pa, CLASS_EXPONENT)
}

/// SI class of one inch-pound class, about 1.4068.
///
/// # Equation
/// ```text
/// 1e6 · 0.3048³/60 / (100 · 0.3048²) / 249.089^0.65
/// ```
pub fn si_per_ip() -> f64 {
    1e6 * CFM / (100.0 * FOOT * FOOT) / powf(INCH_WATER, CLASS_EXPONENT)
}

/// A European tightness class of ducts: f_max = k · p^0.65, L/s per m² of surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EnClass {
    /// Air-tightness class ATC 5.
    A,
    /// ATC 4.
    B,
    /// ATC 3.
    C,
    /// ATC 2.
    D,
}

impl EnClass {
    /// All classes, leakiest first.
    pub const ALL: [EnClass; 4] = [EnClass::A, EnClass::B, EnClass::C, EnClass::D];

    /// The factor k, L/s per m² at 1 Pa.
    ///
    /// # Source
    /// EN 1507 and EN 12237, read second-hand.
    pub fn k(self) -> f64 {
        match self {
            EnClass::A => 0.027,
            EnClass::B => 0.009,
            EnClass::C => 0.003,
            EnClass::D => 0.001,
        }
    }

    /// The same limit as an inch-pound leakage class.
    pub fn class_ip(self) -> f64 {
        self.k() * 1e3 / si_per_ip()
    }

    /// The largest leakage per m² of duct surface at a pressure, m³/s.
    pub fn limit(self, pressure_pa: f64) -> f64 {
        self.k() * 1e-3 * powf(pressure_pa, CLASS_EXPONENT)
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn one_inch_pound_class_is_1_4068_si() {
        // 0.00508 L/(s·m²) per cfm/100 ft², over 249.089^0.65, by hand
        assert_abs_diff_eq!(si_per_ip(), 1.4068, epsilon = 5e-4);
    }

    #[test]
    fn class_and_flow_are_inverse() {
        let q = class_flow(17.0, 12.5, 60.0);
        assert_abs_diff_eq!(leakage_class(q, 12.5, 60.0), 17.0, epsilon = 1e-9);
        assert_abs_diff_eq!(
            leakage_class_si(q, 12.5, 60.0) / si_per_ip(),
            17.0,
            epsilon = 1e-9
        );
    }

    #[test]
    fn the_classes_read_as_published_at_25_pa() {
        // EN 1507 class A at 25 Pa: 0.219 L/s per m²; ASHRAE class 48: 0.547
        assert_abs_diff_eq!(EnClass::A.limit(25.0) * 1e3, 0.219, epsilon = 5e-4);
        assert_abs_diff_eq!(class_flow(48.0, 1.0, 25.0) * 1e3, 0.547, epsilon = 5e-4);
        assert_abs_diff_eq!(EnClass::C.class_ip(), 2.13, epsilon = 0.005);
    }
}
