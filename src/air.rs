//! Air: density and viscosity at a temperature, a pressure and a humidity, and the step between a flow at
//! actual density and the same mass flow at standard density.
//!
//! Temperatures and pressures here are absolute. Nothing here knows a duct.
//!
//! ```
//! use ductseam::air::{Air, standard_pressure};
//! use ductseam::quantity::{Length, Temperature};
//!
//! // At 1655 m air is a fifth thinner than at the sea: 0.986 kg/m³ at 20 °C.
//! let high = Air::dry(Temperature::from_celsius(20.0), standard_pressure(Length::new(1655.0)));
//! assert!((high.density - 0.986).abs() < 1e-3);
//! ```

use crate::math::{exp, ln, powf};
use crate::quantity::{Flow, Fraction, Length, Pressure, Temperature};

/// Density to which flows are referred, kg/m³: dry air at 20 °C and 101 325 Pa, rounded (1.2041).
///
/// Source: the standard air of the duct-design tables of the ASHRAE Handbook of Fundamentals.
pub const STANDARD_DENSITY: f64 = 1.204;

/// Gas constant of dry air, J/(kg·K). Source: ASHRAE Handbook of Fundamentals, chapter on psychrometrics.
const GAS_CONSTANT_DRY: f64 = 287.055;

/// Molar mass of water over that of dry air. Source: as [`GAS_CONSTANT_DRY`].
const MASS_RATIO: f64 = 0.621_945;

/// Pressure at sea level, Pa. Source: ISO 2533:1975.
const SEA_LEVEL_PA: f64 = 101_325.0;
/// Temperature at sea level, K. Source: ISO 2533:1975.
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature with height below 11 km, K/m. Source: ISO 2533:1975.
const LAPSE_K_M: f64 = 0.0065;
/// Standard gravity, m/s². Source: ISO 2533:1975.
const GRAVITY: f64 = 9.806_65;
/// Gas constant that goes with the standard atmosphere, J/(kg·K). Source: ISO 2533:1975.
const GAS_CONSTANT_ISO: f64 = 287.052_87;

/// State of the air as far as flow needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Density, kg/m³.
    pub density: f64,
    /// Dynamic viscosity, Pa·s.
    pub viscosity: f64,
}

impl Air {
    /// Standard air: 1.204 kg/m³, with the viscosity of 20 °C (1.8134e-5 Pa·s).
    ///
    /// # Source
    /// Density as [`STANDARD_DENSITY`]; viscosity by [`viscosity`]. The kinematic viscosity is then
    /// 1.506e-5 m²/s, the figure on which the ASHRAE duct tables rest.
    pub fn standard() -> Self {
        Self {
            density: STANDARD_DENSITY,
            viscosity: viscosity(Temperature::from_celsius(20.0)),
        }
    }

    /// Dry air.
    ///
    /// # Equation
    /// ```text
    /// ρ = p / (R T)
    /// ```
    /// where `p` absolute pressure, Pa; `T` temperature, K; `R` = 287.055 J/(kg·K).
    ///
    /// # Limits
    /// Low pressure and −40 to 90 °C. A temperature of 0 K or less gives no meaningful value.
    ///
    /// # Source
    /// Ideal gas; ASHRAE Handbook of Fundamentals, psychrometrics.
    pub fn dry(temperature: Temperature, pressure: Pressure) -> Self {
        Self::moist(temperature, pressure, Fraction::new(0.0))
    }

    /// Moist air.
    ///
    /// # Equation
    /// ```text
    /// p_w = φ p_sat(T)
    /// ρ = (p − (1 − 0.621945) p_w) / (R T)
    /// ```
    /// where `φ` relative humidity, 0 to 1 (values beyond are held there); `p_sat` by [`saturation_pressure`];
    /// `R` = 287.055 J/(kg·K). It is the form p (1 + w)/(R T (1 + w/0.621945)) with w = 0.621945 p_w/(p − p_w).
    /// Viscosity is that of dry air: humidity moves it by less than 1 % here (from memory).
    ///
    /// # Limits
    /// Low pressure and −40 to 90 °C. Water vapour never exceeds the pressure itself.
    ///
    /// # Source
    /// ASHRAE Handbook of Fundamentals, psychrometrics.
    pub fn moist(
        temperature: Temperature,
        pressure: Pressure,
        relative_humidity: Fraction,
    ) -> Self {
        let humidity = relative_humidity.si().clamp(0.0, 1.0);
        let vapour = (humidity * saturation_pressure(temperature).si()).min(pressure.si());
        Self {
            density: (pressure.si() - (1.0 - MASS_RATIO) * vapour)
                / (GAS_CONSTANT_DRY * temperature.si()),
            viscosity: viscosity(temperature),
        }
    }

    /// Kinematic viscosity, m²/s.
    pub fn kinematic_viscosity(self) -> f64 {
        self.viscosity / self.density
    }

    /// The volume flow at 1.204 kg/m³ that carries the same mass as `actual` at this density.
    ///
    /// ```text
    /// Q_std = Q ρ / 1.204
    /// ```
    pub fn to_standard_flow(self, actual: Flow) -> Flow {
        actual * (self.density / STANDARD_DENSITY)
    }

    /// The volume flow at this density that carries the same mass as `standard` at 1.204 kg/m³.
    pub fn to_actual_flow(self, standard: Flow) -> Flow {
        standard * (STANDARD_DENSITY / self.density)
    }
}

/// Dynamic viscosity of dry air, Pa·s.
///
/// # Equation
/// ```text
/// μ = 1.458e-6 T^1.5 / (T + 110.4)
/// ```
/// where `T` temperature, K.
///
/// # Limits
/// 100 to 1000 K.
///
/// # Source
/// Sutherland's form of ISO 2533:1975, from memory; it gives the standard's tabulated 1.789e-5 Pa·s at 288.15 K.
pub fn viscosity(temperature: Temperature) -> f64 {
    let t = temperature.si();
    1.458e-6 * t * t.sqrt() / (t + 110.4)
}

/// Pressure of the standard atmosphere at a height above sea level.
///
/// # Equation
/// ```text
/// p = 101325 (1 − 0.0065 z / 288.15)^(g / (0.0065 R))
/// ```
/// where `z` height, m; `g` = 9.80665 m/s²; `R` = 287.05287 J/(kg·K).
///
/// # Limits
/// −2 to 11 km; heights beyond are held at those ends. The weather moves the true pressure by some 2 %
/// (engineering estimate).
///
/// # Source
/// ISO 2533:1975.
pub fn standard_pressure(height: Length) -> Pressure {
    let z = height.si().clamp(-2000.0, 11_000.0);
    let exponent = GRAVITY / (LAPSE_K_M * GAS_CONSTANT_ISO);
    Pressure::from_pa(SEA_LEVEL_PA * powf(1.0 - LAPSE_K_M * z / SEA_LEVEL_K, exponent))
}

/// Pressure of saturated water vapour, over ice below 0 °C and over water from there up.
///
/// # Equation
/// ```text
/// ln p = c1/T + c2 + c3 T + c4 T² + c5 T³ + c6 T⁴ + c7 ln T
/// ```
/// where `T` temperature, K, and the constants stand in the code.
///
/// # Limits
/// −100 to 200 °C; the two branches meet within 0.02 % at the triple point.
///
/// # Source
/// Hyland and Wexler (1983) as printed in the ASHRAE Handbook of Fundamentals, psychrometrics; constants from
/// memory, checked against an independent library by the tests of moist density.
pub fn saturation_pressure(temperature: Temperature) -> Pressure {
    /// Triple point of water, K: the branch for ice ends here.
    const TRIPLE_POINT_K: f64 = 273.16;
    let t = temperature.si();
    let ln_p = if t <= TRIPLE_POINT_K {
        -5.674_535_9e3 / t
            + 6.392_524_7
            + t * (-9.677_843e-3 + t * (6.221_570_1e-7 + t * (2.074_782_5e-9 + t * -9.484_024e-13)))
            + 4.163_501_9 * ln(t)
    } else {
        -5.800_220_6e3 / t
            + 1.391_499_3
            + t * (-4.864_023_9e-2 + t * (4.176_476_8e-5 + t * -1.445_209_3e-8))
            + 6.545_967_3 * ln(t)
    };
    Pressure::from_pa(exp(ln_p))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standard_air_has_the_kinematic_viscosity_of_the_duct_tables() {
        // ASHRAE duct tables: Re = 66.4e3 D V, that is 1/1.506e-5, printed to three digits.
        let reynolds_per_dv = 1.0 / Air::standard().kinematic_viscosity();
        assert!((reynolds_per_dv / 66.4e3 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn steam_boils_at_100_degrees_under_one_atmosphere() {
        // 101 325 Pa at the normal boiling point; today's scale puts that at 99.97 °C, worth 0.1 %.
        let p = saturation_pressure(Temperature::from_celsius(100.0)).si();
        assert!((p / 101_325.0 - 1.0).abs() < 2e-3, "{p}");
        // Triple point: 611.657 Pa.
        let p = saturation_pressure(Temperature::new(273.16)).si();
        assert!((p / 611.657 - 1.0).abs() < 3e-4, "{p}");
    }

    #[test]
    fn a_flow_goes_to_standard_density_and_back() {
        let air = Air::dry(Temperature::from_celsius(20.0), Pressure::from_pa(82_960.0));
        let actual = Flow::from_cfm(100.0);
        // By hand: 82960/(287.055·293.15) = 0.98586; /1.204 = 0.81882.
        assert!((air.to_standard_flow(actual).to_cfm() - 81.882).abs() < 1e-3);
        let back = air.to_actual_flow(air.to_standard_flow(actual));
        assert!((back / actual - 1.0).abs() < 1e-15);
    }

    #[test]
    fn humidity_makes_air_lighter_and_is_held_between_0_and_1() {
        let at = |rh| {
            Air::moist(
                Temperature::from_celsius(30.0),
                Pressure::from_pa(101_325.0),
                Fraction::new(rh),
            )
            .density
        };
        assert!(at(0.0) > at(0.5) && at(0.5) > at(1.0));
        assert!((at(1.0) - at(7.0)).abs() < 1e-15 && (at(0.0) - at(-1.0)).abs() < 1e-15);
    }
}
