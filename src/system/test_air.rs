//! The air of a test, and flows of a meter that does not correct brought to 1.204 kg/m³, on which every flow here stands.

use super::limits::TestRecord;
use super::notes::PRACTICE;
use super::{DefaultUsed, Mover, Observable, System};
use crate::air::{Air, STANDARD_DENSITY, standard_pressure};
use crate::quantity::{Length, Pressure, Temperature};

/// Usual indoor and duct temperature where nothing is said, °C. Common practice: the temperature of standard air.
const USUAL_C: f64 = 20.0;

impl TestRecord {
    /// Absolute pressure of the air, Pa: the barometer's, else the standard atmosphere's at the elevation.
    #[must_use]
    pub fn air_pressure_pa(&self, elevation_m: f64) -> f64 {
        self.barometer_pa
            .unwrap_or_else(|| standard_pressure(Length::new(elevation_m)).si())
    }

    /// Dry air of a temperature at that pressure; 20 °C where the temperature is not known.
    #[must_use]
    pub fn air(&self, kelvin: Option<f64>, elevation_m: f64) -> Air {
        let kelvin = kelvin.unwrap_or_else(|| Temperature::from_celsius(USUAL_C).si());
        let pressure = Pressure::from_pa(self.air_pressure_pa(elevation_m));
        Air::dry(Temperature::new(kelvin), pressure)
    }

    /// Air through the test fan: that of the room where it blows into the ducts, that of the ducts where it draws on them.
    #[must_use]
    pub fn fan_air(&self, elevation_m: f64, pressurise: bool) -> Air {
        let kelvin = if pressurise {
            self.indoor_k
        } else {
            self.duct_k.or(self.indoor_k)
        };
        self.air(kelvin, elevation_m)
    }

    /// Flow at 1.204 kg/m³ over the flow that a meter without correction indicates.
    ///
    /// # Equation
    /// ```text
    /// Q_actual = Q_indicated √(ρ_cal/ρ_fan);   Q = Q_actual ρ_fan/1.204 = Q_indicated √(ρ_fan/1.204)
    /// ```
    /// where `ρ_cal` 1.204 kg/m³, density of calibration; `ρ_fan` of the air in the fan, kg/m³; `Q` the volume flow at
    /// 1.204 kg/m³ of the same mass.
    ///
    /// # Source
    /// Derived: the flow element's pressure drop is ρ·v²; mass is kept.
    #[must_use]
    pub fn meter_factor(&self, elevation_m: f64, pressurise: bool) -> f64 {
        (self.fan_air(elevation_m, pressurise).density / STANDARD_DENSITY).sqrt()
    }
}

/// Brings what an uncorrected meter of a test fan on the ducts read to 1.204 kg/m³, and says so.
pub(super) fn bring_to_standard(system: &mut System) {
    if system.record.corrected {
        return;
    }
    let (record, elevation_m) = (&system.record, system.elevation_m);
    for reading in &mut system.readings {
        let by_fan = reading.setup.kind.recipe().mover == Mover::DuctFan;
        if !(by_fan && reading.observable == Observable::FanFlow) {
            continue;
        }
        let factor = record.meter_factor(elevation_m, reading.setup.pressurise);
        reading.value *= factor;
        reading.floor_sd *= factor;
        system.defaults.push(DefaultUsed {
            about: format!("reading {}", reading.id),
            taken: format!(
                "the meter does not correct, as the record says: its flow times {factor:.4} is the flow at 1.204 kg/m3"
            ),
            source: format!("derived: √(ρ/1.204) of the air in the fan; {PRACTICE}"),
        });
    }
}

#[cfg(test)]
mod tests {
    use crate::catalog::Catalog;

    fn readings(record: &str) -> crate::system::System {
        let text = include_str!("../../models/bungalow.yaml").to_owned() + record;
        let sketch = crate::sketch::read(&text, "air.yaml")
            .map_err(|found| found.render(false))
            .expect("a good sketch");
        crate::system::build(&sketch, &text, "air.yaml", Catalog::builtin())
            .map_err(|found| found.render(false))
            .expect("a good system")
    }

    #[test]
    fn an_uncorrected_reading_enters_the_system_at_1_204() {
        let flow = |system: &crate::system::System| {
            let mut flows = system.readings.iter().filter_map(|r| r.fan_flow_m3_s());
            flows.next().expect("a flow")
        };
        let plain = readings("");
        let high =
            readings("record: {density corrected: no, indoor air: 20 °C, barometer: 84.556 kPa}\n");
        // √(1.0048/1.2041) = 0.9135, by hand; an uncorrected meter reads too much in thin air.
        assert!((flow(&high) / flow(&plain) - 0.9135).abs() < 2e-4);
        let told = |d: &crate::system::DefaultUsed| d.taken.contains("does not correct");
        assert!(high.defaults.iter().any(told) && !plain.defaults.iter().any(told));
        let wrong = |d: &crate::system::DefaultUsed| d.taken.contains("taken as the meter's");
        assert!(plain.defaults.iter().any(wrong) && !high.defaults.iter().any(wrong));
    }

    #[test]
    fn pulled_down_the_fan_moves_the_air_of_the_ducts() {
        let record = readings("record: {duct air: 40 °C, indoor air: 20 °C}\n").record;
        let (blown, drawn) = (record.fan_air(0.0, true), record.fan_air(0.0, false));
        assert!((drawn.density / blown.density - 293.15 / 313.15).abs() < 1e-9);
        assert!((record.meter_factor(0.0, true) - 1.0).abs() < 1e-4);
    }
}
