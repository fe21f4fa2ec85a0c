//! What the density of the air does to a reading.
//!
//! Every volume flow in this library is at 1.204 kg/m³, and so stands for a mass: a reading as the usual meter, which
//! corrects by itself, gives it. That is what is held against limits and put in every form. A meter that does not correct is
//! brought there first. Beside it stand the actual volume through the leaks, at the density of their own air, and that at
//! reference air; no code for ducts asks for either (from memory), and nothing is judged by them.

use crate::air::{Air, STANDARD_DENSITY};
use crate::catalog::Scope;
use crate::math::powf;
use crate::system::System;

/// The air of a test made in one direction, and the factors that follow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Density {
    /// Absolute pressure of the air, Pa.
    pub pressure_pa: f64,
    /// Whether that is the standard atmosphere's at the elevation and not a barometer's.
    pub by_elevation: bool,
    /// Air through the fan, kg/m³: that of the room, blown into the ducts, or that of the ducts, drawn out of them.
    pub fan_kg_m3: f64,
    /// Air through the leaks, kg/m³ and Pa·s: that of the ducts when they are blown up, that round them when they are
    /// pulled down.
    pub leak: Air,
    /// Whether the air through the leaks is known; if not, [`leak`](Self::leak) is that of the fan.
    pub leak_is_known: bool,
    /// √(ρ_fan/1.204): flow at 1.204 kg/m³ over the flow that a meter without correction indicates.
    pub meter_factor: f64,
    /// Whether any temperature or pressure is stated.
    pub stated: bool,
}

impl Density {
    /// The air of the record, else standard indoor air at the elevation.
    ///
    /// Pulled down, a leak to outside passes outdoor air; the other tests draw on rooms and outdoors alike, and once a
    /// temperature is stated the air of their leaks is not known.
    #[must_use]
    pub fn of(system: &System, scope: Scope, pressurise: bool) -> Self {
        let (record, elevation_m) = (&system.record, system.elevation_m);
        let fan = record.fan_air(elevation_m, pressurise);
        let is_warm_or_cold =
            record.indoor_k.is_some() || record.duct_k.is_some() || record.outdoor_k.is_some();
        let leak = match (pressurise, scope) {
            (true, _) => Some(record.air(record.duct_k.or(record.indoor_k), elevation_m)),
            (false, _) if !is_warm_or_cold => Some(fan),
            (false, Scope::Outside) => record
                .outdoor_k
                .map(|outdoor| record.air(Some(outdoor), elevation_m)),
            (false, _) => None,
        };
        Self {
            pressure_pa: record.air_pressure_pa(elevation_m),
            by_elevation: record.barometer_pa.is_none(),
            fan_kg_m3: fan.density,
            leak: leak.unwrap_or(fan),
            leak_is_known: leak.is_some(),
            meter_factor: record.meter_factor(elevation_m, pressurise),
            stated: record.barometer_pa.is_some() || is_warm_or_cold || elevation_m.abs() > 0.0,
        }
    }

    /// From a flow at 1.204 kg/m³ to the actual volume through the leaks; `None` where their air is not known.
    ///
    /// # Equation
    /// ```text
    /// Q_leaks = Q · 1.204/ρ_leak
    /// ```
    ///
    /// # Source
    /// Mass is kept. With a fan that moves the actual volume Q_fan it is Q_fan ρ_fan/ρ_leak, as in ASTM E779 (from memory).
    #[must_use]
    pub fn to_leaks(&self) -> Option<f64> {
        self.leak_is_known
            .then(|| STANDARD_DENSITY / self.leak.density)
    }

    /// From a flow at 1.204 kg/m³ on to reference air, 20 °C and 101 325 Pa, viscosity included; `None` where the air of
    /// the leaks is not known.
    ///
    /// # Equation
    /// ```text
    /// C₀ = C (μ/μ₀)^(2n−1) (ρ/ρ₀)^(1−n)
    /// ```
    /// where `C` of the actual volume through the leaks, `μ`, `ρ` of the air in them, `μ₀`, `ρ₀` of dry air at 20 °C and
    /// 101 325 Pa, `n` exponent.
    ///
    /// # Source
    /// ASTM E779, from memory; its form also read second-hand. ISO 9972 leaves the viscosity out (from memory).
    #[must_use]
    pub fn to_reference(&self, n: f64) -> Option<f64> {
        let reference = Air::standard();
        let step = powf(self.leak.viscosity / reference.viscosity, 2.0 * n - 1.0)
            * powf(self.leak.density / reference.density, 1.0 - n);
        self.to_leaks().map(|to_leaks| to_leaks * step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn system(elevation_m: f64) -> System {
        let text = include_str!("../../tests/good/base.yaml");
        let sketch = crate::sketch::read(text, "base.yaml").expect("good");
        let mut system = crate::system::build(
            &sketch,
            text,
            "base.yaml",
            crate::catalog::Catalog::builtin(),
        )
        .expect("good");
        system.elevation_m = elevation_m;
        system
    }

    /// In the house, in the ducts, outdoors, °C.
    fn of(air: [f64; 3], scope: Scope, pressurise: bool) -> Density {
        let mut system = system(0.0);
        let kelvin = |celsius: f64| Some(celsius + 273.15);
        system.record.indoor_k = kelvin(air[0]);
        system.record.duct_k = kelvin(air[1]);
        system.record.outdoor_k = kelvin(air[2]);
        Density::of(&system, scope, pressurise)
    }

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 2e-4, "{found} {expected}");
    }

    #[test]
    fn a_meter_at_1500_m_indicates_nine_per_cent_too_much() {
        // ρ 1.0048 by hand from the ISO 2533 table: √(1.0048/1.2041) = 0.9135, and 1.2041/1.0048 = 1.1983 by volume.
        let density = Density::of(&system(1500.0), Scope::Total, true);
        near(density.meter_factor, 0.9135);
        near(density.to_leaks().expect("known"), 1.1983);
        assert!(density.stated && density.by_elevation);
    }

    #[test]
    fn standard_air_changes_nothing() {
        let density = Density::of(&system(0.0), Scope::Total, true);
        near(density.meter_factor, 1.0);
        near(density.to_leaks().expect("known"), 1.0);
        near(density.to_reference(0.6).expect("known"), 1.0);
        assert!(!density.stated);
    }

    #[test]
    fn blown_up_the_fan_moves_room_air_and_the_leaks_duct_air() {
        // ρ = 101325/(287.055 T): 1.2250 at 15 °C, 1.1272 at 40 °C, by hand.
        let density = of([15.0, 40.0, -10.0], Scope::Total, true);
        near(density.fan_kg_m3, 1.2250);
        near(density.leak.density, 1.1272);
        // √(1.2250/1.204) and 1.204/1.1272.
        near(density.meter_factor, 1.0087);
        near(density.to_leaks().expect("known"), 1.0681);
    }

    #[test]
    fn pulled_down_the_fan_moves_duct_air_and_leaks_to_outside_pass_outdoor_air() {
        // 1.1272 at 40 °C, 1.3414 at −10 °C, by hand: √(1.1272/1.204) and 1.204/1.3414.
        let density = of([15.0, 40.0, -10.0], Scope::Outside, false);
        near(density.fan_kg_m3, 1.1272);
        near(density.meter_factor, 0.9676);
        near(density.to_leaks().expect("known"), 0.8976);
        // The air round all leaks, rooms and outdoors alike, is nobody's to say.
        let density = of([15.0, 40.0, -10.0], Scope::Total, false);
        assert_eq!(
            (density.to_leaks(), density.to_reference(0.6)),
            (None, None)
        );
    }

    #[test]
    fn the_step_to_reference_air_is_that_of_the_tables() {
        // 40 °C: μ 19.076, μ0 18.134e-6; ρ 1.12720, ρ0 1.20411: (1.05195)^0.2 (0.93613)^0.4 = 0.98386, by hand.
        let density = of([40.0, 40.0, 40.0], Scope::Total, true);
        let step = density.to_reference(0.6).expect("known") / density.to_leaks().expect("known");
        near(step, 0.98386);
    }
}
