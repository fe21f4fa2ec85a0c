//! What heating and cooling take and cost, as far as the sketch says, in SI.

use super::types::Place;
use crate::sketch::{self, Conditioning, Fuel, HeaterKind, Marked, Sketch};

/// What the sketch says of heating, cooling, climate and prices; `None` where nothing is said. Defaults are laid in by
/// [`crate::effects`], which lists them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Energy {
    /// Whether the sketch has the section at all.
    pub stated: bool,
    /// Year of the prices.
    pub year: Option<u16>,
    /// The word for the money; empty where none is said.
    pub currency: String,
    /// Heating.
    pub heating: Option<Plant>,
    /// Cooling.
    pub cooling: Option<Plant>,
    /// Heating degree-days of a year, K·s.
    pub heating_degree_days_k_s: Option<f64>,
    /// Cooling degree-days of a year, K·s.
    pub cooling_degree_days_k_s: Option<f64>,
    /// Mean outdoor temperature of the heating season, K.
    pub winter_k: Option<f64>,
    /// Mean outdoor temperature while cooling is on, K.
    pub summer_k: Option<f64>,
    /// Indoor temperature when heated, K.
    pub indoors_winter_k: Option<f64>,
    /// Indoor temperature when cooled, K.
    pub indoors_summer_k: Option<f64>,
    /// Heat that the house loses, W, at an outdoor temperature, K.
    pub heating_load: Option<(f64, f64)>,
    /// Heat that the house gains, W, at an outdoor temperature, K.
    pub cooling_load: Option<(f64, f64)>,
    /// Outdoor temperature, K, and time of the year in it, s.
    pub bins: Vec<(f64, f64)>,
    /// Natural infiltration with the air handler off, 1/s.
    pub infiltration_per_s: Option<f64>,
    /// Ceiling height of a storey, m.
    pub height_m: Option<f64>,
    /// Electric power of the running fan, W.
    pub fan_w: Option<f64>,
    /// Air of each place, in the order of [`System::places`](super::System::places).
    pub places: Vec<PlaceAir>,
}

/// Heating or cooling equipment.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plant {
    /// What makes the heat; `None` where not said, and for cooling.
    pub kind: Option<HeaterKind>,
    /// What is bought.
    pub fuel: Option<Fuel>,
    /// Price of energy.
    pub price: Option<EnergyPrice>,
    /// The year's cost, money.
    pub bill: Option<f64>,
    /// Heat moved over energy bought.
    pub efficiency: Option<f64>,
    /// Temperature in the supply plenum while running, K.
    pub supply_air_k: Option<f64>,
}

/// A price of energy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnergyPrice {
    /// Money for one unit.
    pub money: f64,
    /// Joules in the unit.
    pub unit_j: f64,
    /// Symbol of the unit: `therm`, `kWh`.
    pub unit: &'static str,
}

/// The air of a place, as far as said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PlaceAir {
    /// Mean temperature in the heating season, K.
    pub winter_k: Option<f64>,
    /// Mean temperature while cooling is on, K.
    pub summer_k: Option<f64>,
    /// Part of the ducts' losses there that comes back to the house.
    pub regain: Option<f64>,
}

/// Energy as the engine takes it.
pub(super) fn energy(sketch: &Sketch, places: &[Place]) -> Energy {
    let said = &sketch.energy;
    let climate = &said.climate;
    let kelvin = |said: &Option<Marked<crate::quantity::Temperature>>| {
        said.as_ref().map(|found| found.value.si())
    };
    let days = |said: &Option<Marked<crate::quantity::DegreeDays>>| {
        said.as_ref().map(|found| found.value.si())
    };
    let load = |said: &Option<Marked<sketch::LoadAt>>| {
        said.as_ref()
            .map(|found| (found.value.load.si(), found.value.outdoors.si()))
    };
    Energy {
        stated: said.at.is_some(),
        year: said.year.as_ref().map(|year| year.value as u16),
        currency: said
            .currency
            .as_ref()
            .map_or_else(String::new, |word| word.value.clone()),
        heating: said.heating.as_ref().map(plant),
        cooling: said.cooling.as_ref().map(plant),
        heating_degree_days_k_s: days(&climate.heating_degree_days),
        cooling_degree_days_k_s: days(&climate.cooling_degree_days),
        winter_k: kelvin(&climate.winter),
        summer_k: kelvin(&climate.summer),
        indoors_winter_k: kelvin(&climate.indoors_winter),
        indoors_summer_k: kelvin(&climate.indoors_summer),
        heating_load: load(&said.heating_load),
        cooling_load: load(&said.cooling_load),
        bins: said
            .bins
            .iter()
            .map(|bin| (bin.outdoor.value.si(), bin.hours.value.si()))
            .collect(),
        infiltration_per_s: said.infiltration.as_ref().map(|rate| rate.value.si()),
        height_m: sketch.house.height.as_ref().map(|height| height.value.si()),
        fan_w: said.fan.as_ref().map(|power| power.value.si()),
        places: places
            .iter()
            .map(|place| {
                sketch
                    .places
                    .iter()
                    .find(|own| {
                        own.name
                            .value
                            .trim()
                            .eq_ignore_ascii_case(place.name.trim())
                    })
                    .map_or_else(PlaceAir::default, |own| PlaceAir {
                        winter_k: kelvin(&own.air.winter),
                        summer_k: kelvin(&own.air.summer),
                        regain: own.air.regain.as_ref().map(|part| part.value.si()),
                    })
            })
            .collect(),
    }
}

fn plant(said: &Conditioning) -> Plant {
    let kind = said.kind.as_ref().map(|kind| kind.value);
    Plant {
        kind,
        fuel: said.fuel.as_ref().map(|fuel| fuel.value),
        price: said.price.as_ref().map(|price| EnergyPrice {
            money: price.value.money,
            unit_j: price.value.unit_j,
            unit: price.value.unit,
        }),
        bill: said.bill.as_ref().map(|bill| bill.value),
        efficiency: said.efficiency.as_ref().map(|part| part.value),
        supply_air_k: said.supply_air.as_ref().map(|air| air.value.si()),
    }
}

#[cfg(test)]
mod tests {
    use crate::catalog::Catalog;

    #[test]
    fn what_is_written_comes_out_in_si() {
        let text = include_str!("../../tests/good/energy.yaml");
        let sketch = crate::sketch::read(text, "energy.yaml").expect("a good sketch");
        let system = crate::system::build(&sketch, text, "energy.yaml", Catalog::builtin())
            .expect("a good system");
        let energy = &system.energy;
        assert_eq!(
            (energy.stated, energy.year, energy.currency.as_str()),
            (true, Some(2026), "EUR")
        );
        let heating = energy.heating.as_ref().expect("stated");
        let cooling = energy.cooling.as_ref().expect("stated");
        let attic = system.places.iter().position(|p| p.name == "attic");
        let attic = energy.places[attic.expect("a place")];
        // By the exact factors: 5/9 K a °F, 1055.05585262 J a Btu, 12 000 Btu/h a ton.
        for (found, expected) in [
            (heating.price.map(|price| price.money), 0.12),
            (heating.price.map(|price| price.unit_j), 3.6e6),
            (heating.bill, 980.0),
            (heating.efficiency, 0.92),
            (heating.supply_air_k, 322.038_889),
            (cooling.efficiency, 3.2),
            (cooling.supply_air_k, 286.15),
            (energy.heating_degree_days_k_s, 3000.0 * 86_400.0),
            (energy.cooling_degree_days_k_s, 400.0 * 86_400.0),
            (energy.winter_k, 274.816_667),
            (energy.indoors_summer_k, 298.15),
            (energy.heating_load.map(|load| load.0), 11_722.842),
            (energy.heating_load.map(|load| load.1), 258.15),
            (energy.cooling_load.map(|load| load.0), 8792.1321),
            (energy.infiltration_per_s, 0.35 / 3600.0),
            (energy.fan_w, 420.0),
            (energy.height_m, 2.4384),
            (attic.summer_k, 313.705_556),
            (attic.regain, 0.1),
        ] {
            let found = found.expect("stated");
            assert!((found / expected - 1.0).abs() < 1e-7, "{found} {expected}");
        }
        assert_eq!(energy.bins.len(), 2);
        assert!((energy.bins[1].1 - 2000.0 * 3600.0).abs() < 1e-6);
    }
}
