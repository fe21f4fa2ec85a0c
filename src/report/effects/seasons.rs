//! Energy and cost in words.

use super::said::{parts, percent, rounded_band};
use crate::allocate::Band;
use crate::effects::{Effects, SeasonEffect};
use crate::quantity::{Energy, Quantity, Temperature, UnitSystem, significant};
use crate::report::figures::number;
use crate::report::lines::wrapped;

/// What distribution efficiency is, and what its ranges hold.
pub const WHAT_IT_IS: &str = "Distribution efficiency is what the house gets for the energy bought, against ducts that lose nothing. Ranges hold \
     the draws and what is not known of the heat that comes back from places round the ducts. Comfort, and the power of \
     the fan over a year, are not in them.";

/// Heating and cooling apart.
pub fn seasons(effects: &Effects, units: UnitSystem) -> String {
    let mut text = String::from("Energy and cost\n");
    text.push_str(&wrapped("  ", &effects.indoors_words));
    for (name, season) in [("heating", &effects.heating), ("cooling", &effects.cooling)] {
        if let Some(season) = season {
            text.push_str(&wrapped(
                &format!("  {name:8}  "),
                &season_words(effects, name, season, units),
            ));
        }
    }
    if effects.heating.is_none() && effects.cooling.is_none() {
        text.push_str(&wrapped(
            "  ",
            "Nothing heats or cools here as far as the sketch says.",
        ));
    } else {
        text.push_str(&wrapped("  ", WHAT_IT_IS));
    }
    text.push('\n');
    text
}

pub(in crate::report) fn season_words(
    effects: &Effects,
    name: &str,
    season: &SeasonEffect,
    units: UnitSystem,
) -> String {
    let mut words = format!(
        "distribution efficiency {}; saves {} of the energy for {name}, middle {} %",
        parts(&season.distribution),
        percent_band(&season.saved_part),
        percent(season.saved_part.p50)
    );
    if let Some(energy) = &season.saved_j {
        words.push_str(&format!(
            "; {} a year",
            energy_band(energy, season.unit, units)
        ));
    }
    if let Some(money) = &season.saved_money {
        let currency = if effects.currency.is_empty() {
            "in the sketch's money".to_owned()
        } else {
            effects.currency.clone()
        };
        let year = effects.year.map_or_else(
            || " at prices of a year that the sketch does not name".to_owned(),
            |year| format!(" at prices of {year}"),
        );
        words.push_str(&format!(
            "; {} {currency} a year{year}",
            rounded_band(money)
        ));
    }
    let at = |k: f64| temperature(k, units);
    let apart = |k: f64| match units {
        UnitSystem::Ip => format!("{} °F", number(k.abs() * 1.8, 0)),
        UnitSystem::Si => format!("{} K", number(k.abs(), 1)),
    };
    words.push_str(&format!(
" ({}; the unit {} the air by {}, then {}; {} in the supply plenum, {} indoors, {} outdoors).",
        season.basis,
        if season.capacity_w > 0.0 { "warms" } else { "cools" },
        apart(season.rise_k.before.mean),
        apart(season.rise_k.after.mean),
        at(season.supply_air_k),
        at(season.indoors_k),
        at(season.outdoors_k)
    ));
    words
}

pub(in crate::report) fn percent_band(band: &Band) -> String {
    let (low, high) = (percent(band.p05), percent(band.p95));
    if low == high {
        format!("about {low} %")
    } else {
        format!("{low} to {high} %")
    }
}

/// An energy in the unit in which it is bought, else in the usual one.
pub(in crate::report) fn energy_band(band: &Band, unit: &str, units: UnitSystem) -> String {
    let usual = match units {
        UnitSystem::Ip => "kBtu",
        UnitSystem::Si => "kWh",
    };
    let find = |symbol: &str| Energy::KIND.units.iter().find(|unit| unit.symbol == symbol);
    let Some(unit) = find(unit).or_else(|| find(usual)) else {
        return "n/a".to_owned();
    };
    let shown = Band {
        mean: unit.from_si(band.mean),
        p05: unit.from_si(band.p05),
        p50: unit.from_si(band.p50),
        p95: unit.from_si(band.p95),
    };
    format!("{} {}", rounded_band(&shown), unit.symbol)
}

fn temperature(k: f64, units: UnitSystem) -> String {
    let found = Temperature::new(k);
    match units {
        UnitSystem::Ip => format!("{} °F", significant(found.to_fahrenheit(), 2)),
        UnitSystem::Si => format!("{} °C", significant(found.to_celsius(), 2)),
    }
}
