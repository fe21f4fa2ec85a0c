//! A season: how well the ducts deliver before and after, and what that is worth in a year.

use super::change::{Change, band};
use super::defaults::Defaults;
use super::delivery::{
    degree_day_energy_j, delivery_effectiveness, expansion_valve_factor, load_factor, with_regain,
};
use super::ducts::{Heat, Lump, State, Weather, ducts};
use super::surroundings::{Around, Mode, around, temperature};
use super::types::SeasonEffect;
use crate::allocate::Band;
use crate::flow::FlowState;
use crate::quantity::Temperature;
use crate::system::{Fuel, HeaterKind, Plant, System};

/// Indoor temperatures, K: 68 °F heated, 78 °F cooled. Draft of ASHRAE 152 of May 1999 (second hand).
const INDOORS_K: (f64, f64) = (
    Temperature::from_fahrenheit(68.0).si(),
    Temperature::from_fahrenheit(78.0).si(),
);
/// Mean outdoor temperatures of a season when nobody says, K. Engineering estimates for a temperate climate.
const OUTDOORS_K: (f64, f64) = (
    Temperature::from_fahrenheit(38.0).si(),
    Temperature::from_fahrenheit(86.0).si(),
);
/// Outdoor temperature at which a house needs neither heat nor cold, K: 65 °F, the base of degree-days. Common practice.
const BALANCE_K: f64 = Temperature::from_fahrenheit(65.0).si();
/// Least distribution efficiency that the sums take: below it the equations mean nothing.
const LEAST: f64 = 0.05;

/// What all seasons share.
pub struct Facts<'a> {
    /// System.
    pub system: &'a System,
    /// The running system at the mean leaks before the work.
    pub mean: &'a FlowState,
    /// Draws before and after.
    pub pairs: &'a [(FlowState, FlowState)],
    /// Ducts of both sides.
    pub lumps: &'a [Lump; 2],
    /// Places with a duct or a seam.
    pub touched: &'a [bool],
    /// Infiltration with the fan on less that with leaks in balance, m³/s, of each pair; empty where it cannot be told.
    pub more_infiltration: &'a [(f64, f64)],
}

/// The season, or `None` with a note where it cannot be told.
pub fn season(
    facts: &Facts<'_>,
    mode: Mode,
    plant: &Plant,
    defaults: &mut Defaults,
) -> Option<SeasonEffect> {
    let system = facts.system;
    let conditions = conditions(system, mode, plant, defaults);
    let (indoors_k, outdoors_k) = (conditions.indoors_k, conditions.outdoors_k);
    let air = around(system, mode, indoors_k, outdoors_k, facts.touched, defaults);
    let weather = Weather {
        indoors_k,
        more_k: 0.0,
        around: &air,
    };
    let supply_air = Heat::SupplyAir(conditions.supply_air_k);
    let at_means = ducts(system, facts.mean, facts.lumps, weather, supply_air);
    let flow = facts.mean.blower_m3_s?;
    let mass = crate::air::STANDARD_DENSITY * flow;
    let capacity_w = mass * super::delivery::CP * at_means.ducts.rise_k;
    let right_way = match mode {
        Mode::Heating => capacity_w > 0.0,
        Mode::Cooling => capacity_w < 0.0,
    };
    if !right_way {
        defaults.note(
            "supply-air-does-nothing",
            format!(
                "The {} cannot be told: air at {} in the supply plenum is not {} than what reaches the unit.",
                name(mode),
                temperature(conditions.supply_air_k, system.units),
                if mode == Mode::Heating { "warmer" } else { "cooler" }
            ),
        );
        return None;
    }
    let one = One {
        facts,
        mode,
        air: &air,
        indoors_k,
        outdoors_k,
        capacity_w,
        usual_flow: flow,
    };
    let seen: Vec<(Seen, Seen)> = (0..facts.pairs.len())
        .map(|draw| one.pair(draw, 0.0))
        .collect();
    let both = |value: fn(&Seen) -> [f64; 2]| {
        Change::of(seen.iter().flat_map(|(before, after)| {
            let (before, after) = (value(before), value(after));
            [(before[0], after[0]), (before[1], after[1])]
        }))
    };
    let saved = one.saved(&seen);
    let worth = worth(
        system,
        mode,
        plant,
        &conditions,
        &one,
        &seen,
        &saved,
        defaults,
    );
    Some(SeasonEffect {
        indoors_k,
        outdoors_k,
        supply_air_k: conditions.supply_air_k,
        capacity_w,
        rise_k: Change::of(
            seen.iter()
                .map(|(before, after)| (before.rise_k, after.rise_k)),
        ),
        ua_w_k: [facts.lumps[0].ua(), facts.lumps[1].ua()],
        supply_regain: at_means.supply_regain,
        delivery: Change::of(
            seen.iter()
                .map(|(before, after)| (before.delivery, after.delivery)),
        ),
        delivered: both(|seen| seen.delivered),
        distribution: both(|seen| seen.distribution),
        saved_part: band(saved),
        saved_j: worth.energy_j,
        saved_money: worth.money,
        unit: plant.price.map_or("", |price| price.unit),
        basis: worth.basis,
    })
}

/// `heating` or `cooling`.
pub fn name(mode: Mode) -> &'static str {
    match mode {
        Mode::Heating => "heating",
        Mode::Cooling => "cooling",
    }
}

struct Conditions {
    indoors_k: f64,
    outdoors_k: f64,
    supply_air_k: f64,
    efficiency: f64,
}

fn conditions(system: &System, mode: Mode, plant: &Plant, defaults: &mut Defaults) -> Conditions {
    const ESTIMATE: &str = "engineering estimate";
    let (energy, units) = (&system.energy, system.units);
    let about = name(mode);
    let (said_in, said_out, inside, outside) = match mode {
        Mode::Heating => (
            energy.indoors_winter_k,
            energy.winter_k,
            INDOORS_K.0,
            OUTDOORS_K.0,
        ),
        Mode::Cooling => (
            energy.indoors_summer_k,
            energy.summer_k,
            INDOORS_K.1,
            OUTDOORS_K.1,
        ),
    };
    let indoors_k = defaults.or(
        said_in,
        inside,
        about,
        &format!("indoors {}", temperature(inside, units)),
        "draft of ASHRAE 152 of May 1999 (second hand)",
    );
    let outdoors_k = defaults.or(
        said_out,
        outside,
        about,
        &format!("outdoors {} while it runs", temperature(outside, units)),
        "engineering estimate for a temperate climate",
    );
    let (usual, usual_words) = match plant.fuel {
        Some(Fuel::Electricity) => (HeaterKind::Electric, "electric resistance"),
        _ => (HeaterKind::Furnace, "a furnace"),
    };
    let kind = plant.kind.unwrap_or(usual);
    if mode == Mode::Heating && plant.kind.is_none() {
        defaults.assume(about, usual_words, ESTIMATE);
    }
    let (supply_f, supply_source, efficiency, efficiency_words, efficiency_source) =
        match (mode, kind) {
            (Mode::Cooling, _) => (
                55.0,
                "draft of ASHRAE 152 of May 1999 (second hand)",
                3.0,
                "coefficient of performance 3",
                ESTIMATE,
            ),
            (_, HeaterKind::Furnace) => (
                120.0,
                "common practice",
                0.8,
                "efficiency 80 %",
                "common practice",
            ),
            (_, HeaterKind::HeatPump) => (
                100.0,
                "common practice",
                2.5,
                "coefficient of performance 2.5",
                ESTIMATE,
            ),
            (_, HeaterKind::Electric) => {
                (110.0, ESTIMATE, 1.0, "efficiency 100 %", "by its meaning")
            }
        };
    let supply_k = Temperature::from_fahrenheit(supply_f).si();
    Conditions {
        indoors_k,
        outdoors_k,
        supply_air_k: defaults.or(
            plant.supply_air_k,
            supply_k,
            about,
            &format!("supply plenum at {}", temperature(supply_k, units)),
            supply_source,
        ),
        efficiency: plant.efficiency.unwrap_or_else(|| {
            // Only what is bought by the degree-days hangs on it.
            if plant.bill.is_none() && energy.heating_load.or(energy.cooling_load).is_some() {
                defaults.assume(about, efficiency_words, efficiency_source);
            }
            efficiency
        }),
    }
}

/// What is computed of one state: the second figures are at the high regain.
#[derive(Clone, Copy)]
struct Seen {
    rise_k: f64,
    delivery: f64,
    delivered: [f64; 2],
    distribution: [f64; 2],
}

struct One<'a> {
    facts: &'a Facts<'a>,
    mode: Mode,
    air: &'a [Around],
    indoors_k: f64,
    outdoors_k: f64,
    capacity_w: f64,
    /// Flow that the equipment is set up for, m³/s.
    usual_flow: f64,
}

impl One<'_> {
    /// A pair when it is `more_k` warmer outdoors than the season's mean.
    fn pair(&self, draw: usize, more_k: f64) -> (Seen, Seen) {
        let (before, after) = &self.facts.pairs[draw];
        let (more_before, more_after) = self
            .facts
            .more_infiltration
            .get(draw)
            .copied()
            .unwrap_or_default();
        (
            self.seen(before, more_before, more_k),
            self.seen(after, more_after, more_k),
        )
    }

    fn seen(&self, state: &FlowState, more_infiltration: f64, more_k: f64) -> Seen {
        let facts = self.facts;
        let weather = Weather {
            indoors_k: self.indoors_k,
            more_k,
            around: self.air,
        };
        let capacity = Heat::Capacity(self.capacity_w);
        let State {
            ducts,
            supply_regain,
            return_regain,
        } = ducts(facts.system, state, facts.lumps, weather, capacity);
        let delivery = delivery_effectiveness(&ducts);
        let delivered = [
            with_regain(&ducts, delivery, supply_regain.0, return_regain.0),
            with_regain(&ducts, delivery, supply_regain.1, return_regain.1),
        ];
        let equipment = match self.mode {
            Mode::Heating => 1.0,
            Mode::Cooling => {
                let flow = state.blower_m3_s.unwrap_or(self.usual_flow);
                expansion_valve_factor((flow / self.usual_flow).clamp(0.5, 1.5))
            }
        };
        let apart_k = self.indoors_k - self.outdoors_k - more_k;
        let load = load_factor(apart_k, more_infiltration, self.capacity_w);
        let cycling = 1.0 - facts.lumps[0].cycling;
        Seen {
            rise_k: ducts.rise_k,
            delivery,
            delivered,
            distribution: delivered.map(|part| (part * equipment * load * cycling).max(LEAST)),
        }
    }

    /// Bins that count: what is needed there, K·s, and the outdoor temperature over the season's mean, K.
    fn bins(&self) -> Vec<(f64, f64)> {
        let bins = &self.facts.system.energy.bins;
        bins.iter()
            .map(|(outdoor_k, time_s)| {
                let need = match self.mode {
                    Mode::Heating => BALANCE_K - outdoor_k,
                    Mode::Cooling => outdoor_k - BALANCE_K,
                };
                (need.max(0.0) * time_s, outdoor_k - self.outdoors_k)
            })
            .filter(|(need, _)| *need > 0.0)
            .collect()
    }

    /// Sums over the bins of need over distribution efficiency, K·s, before and after, at low and at high regain.
    fn by_bins(&self, draw: usize, bins: &[(f64, f64)]) -> ([f64; 2], [f64; 2]) {
        let (mut before, mut after) = ([0.0; 2], [0.0; 2]);
        for (need, more_k) in bins {
            let (seen_before, seen_after) = self.pair(draw, *more_k);
            for at in 0..2 {
                before[at] += need / seen_before.distribution[at];
                after[at] += need / seen_after.distribution[at];
            }
        }
        (before, after)
    }

    /// Part of the season's energy that the work saves, each draw at low and at high regain.
    fn saved(&self, seen: &[(Seen, Seen)]) -> Vec<f64> {
        let bins = self.bins();
        if bins.is_empty() {
            let parts = seen.iter().flat_map(|(before, after)| {
                [0, 1].map(|at| 1.0 - before.distribution[at] / after.distribution[at])
            });
            return parts.collect();
        }
        (0..seen.len())
            .flat_map(|draw| {
                let (before, after) = self.by_bins(draw, &bins);
                [0, 1].map(|at| 1.0 - after[at] / before[at])
            })
            .collect()
    }
}

struct Worth {
    energy_j: Option<Band>,
    money: Option<Band>,
    basis: String,
}

/// Energy and money of a year: from the bill, else from what the house loses and the weather.
#[expect(clippy::too_many_arguments, reason = "all that a season knows")]
fn worth(
    system: &System,
    mode: Mode,
    plant: &Plant,
    conditions: &Conditions,
    one: &One<'_>,
    seen: &[(Seen, Seen)],
    saved: &[f64],
    defaults: &mut Defaults,
) -> Worth {
    let of = |factor: f64| band(saved.iter().map(|part| part * factor).collect());
    if let Some(bill) = plant.bill {
        let energy_j = plant
            .price
            .filter(|price| price.money > 0.0)
            .map(|price| of(bill / price.money * price.unit_j));
        return Worth {
            energy_j,
            money: Some(of(bill)),
            basis: format!("from the year's {} bill", name(mode)),
        };
    }
    let Some(ua_w_k) = house_ua(system, mode, one.indoors_k, defaults) else {
        return Worth {
            energy_j: None,
            money: None,
            basis: format!(
                "no amount: the sketch gives neither a bill for {} nor a load with the weather of a year",
                name(mode)
            ),
        };
    };
    let bins = one.bins();
    let days = match mode {
        Mode::Heating => system.energy.heating_degree_days_k_s,
        Mode::Cooling => system.energy.cooling_degree_days_k_s,
    };
    let (joules, from): (Vec<f64>, &str) = if !bins.is_empty() {
        let joules = (0..seen.len()).flat_map(|draw| {
            let (before, after) = one.by_bins(draw, &bins);
            [0, 1].map(|at| ua_w_k * (before[at] - after[at]) / conditions.efficiency)
        });
        (joules.collect(), "bins")
    } else if let Some(days) = days {
        let bought = |distribution: f64| {
            degree_day_energy_j(ua_w_k, days, conditions.efficiency, distribution)
        };
        let joules = seen.iter().flat_map(|(before, after)| {
            [0, 1].map(|at| bought(before.distribution[at]) - bought(after.distribution[at]))
        });
        (joules.collect(), "degree-days")
    } else {
        return Worth {
            energy_j: None,
            money: None,
            basis: format!(
                "no amount: a load is given, but neither {} degree-days nor bins",
                name(mode)
            ),
        };
    };
    let money = plant.price.map(|price| {
        let each = price.money / price.unit_j;
        band(joules.iter().map(|j| j * each).collect())
    });
    let without = if money.is_none() {
        "; no money, as no price is given"
    } else {
        ""
    };
    Worth {
        energy_j: Some(band(joules)),
        money,
        basis: format!("from the house's load and the {from} of a year{without}"),
    }
}

/// Heat that the house passes by each kelvin, W/K.
fn house_ua(system: &System, mode: Mode, indoors_k: f64, defaults: &mut Defaults) -> Option<f64> {
    let energy = &system.energy;
    let by = |(load_w, outdoors_k): (f64, f64), indoors_k: f64| {
        let apart = (indoors_k - outdoors_k).abs();
        (apart > 1.0).then(|| load_w / apart)
    };
    match (mode, energy.cooling_load) {
        (Mode::Heating, _) => energy.heating_load.and_then(|load| by(load, indoors_k)),
        (Mode::Cooling, Some(load)) => by(load, indoors_k),
        (Mode::Cooling, None) => {
            let winter_k = energy.indoors_winter_k.unwrap_or(INDOORS_K.0);
            let ua = energy.heating_load.and_then(|load| by(load, winter_k))?;
            defaults.assume(
                "cooling",
                "the house passes as much heat by each degree as when heated",
                "engineering estimate: sun and people are left out, so that the saving is told too low",
            );
            Some(ua)
        }
    }
}
