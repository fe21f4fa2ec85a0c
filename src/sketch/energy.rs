//! Reads `energy`: heating, cooling, climate and prices; and the air of places.

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::fields::Table;
use super::limits;
use super::price;
use super::reader::Reader;
use super::span::Marked;
use super::tree::Node;
use super::types::{
    Bin, Climate, Conditioning, Energy, Fuel, HeaterKind, LoadAt, PlaceAir, PlaceLike,
};
use super::whole::{around_at, each, quantity};
use super::{energy_tables as tables, words};
use crate::quantity::{Fraction, Power, Temperature};

/// Reads `energy`.
pub(super) fn energy<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Energy {
    let Some(entries) = reader.mapping(node, &tables::ENERGY) else {
        return Energy::default();
    };
    let currency = entries
        .get("currency")
        .and_then(|node| price::currency(reader, node));
    let money = currency.as_ref();
    let heating = entries.get("heating").and_then(|node| {
        conditioning(
            reader,
            node,
            &tables::HEATING,
            money,
            &limits::WARM_AIR,
            true,
        )
    });
    let cooling = entries.get("cooling").and_then(|node| {
        conditioning(
            reader,
            node,
            &tables::COOLING,
            money,
            &limits::COOL_AIR,
            false,
        )
    });
    let climate = entries
        .get("climate")
        .and_then(|node| climate(reader, node))
        .unwrap_or_default();
    Energy {
        at: Some(entries.at),
        year: entries
            .get("year")
            .and_then(|node| reader.number(node, &limits::YEAR)),
        currency,
        heating,
        cooling,
        climate,
        heating_load: load(reader, &entries, "heating load", "40 kBtu/h at 5 F"),
        cooling_load: load(reader, &entries, "cooling load", "2.5 tons at 95 F"),
        bins: entries
            .get("bins")
            .map(|node| each(reader, node, "the bins", bin))
            .unwrap_or_default(),
        infiltration: quantity(reader, &entries, "infiltration", &limits::INFILTRATION),
        fan: quantity(reader, &entries, "fan", &limits::FAN_POWER),
    }
}

fn conditioning<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    table: &'static Table,
    currency: Option<&Marked<String>>,
    air: &limits::Bounds,
    is_heating: bool,
) -> Option<Conditioning> {
    let entries = reader.mapping(node, table)?;
    let (kind, fuel) = if is_heating {
        (
            entries
                .get("kind")
                .and_then(|node| reader.choice(node, "what makes the heat", words::HEATER)),
            entries
                .get("fuel")
                .and_then(|node| reader.choice(node, "a fuel", words::FUEL)),
        )
    } else {
        (None, None)
    };
    let price = entries
        .get("price")
        .and_then(|node| price::price(reader, node, currency));
    let found = Conditioning {
        bill: entries
            .get("bill")
            .and_then(|node| price::bill(reader, node, currency)),
        efficiency: entries
            .get("efficiency")
            .and_then(|node| efficiency(reader, node)),
        supply_air: quantity(reader, &entries, "supply air", air),
        kind,
        fuel,
        price,
    };
    agree(reader, &found, is_heating);
    Some(found)
}

/// Kind, fuel, price and efficiency must go together.
fn agree(reader: &mut Reader<'_>, found: &Conditioning, is_heating: bool) {
    let kind = found.kind.as_ref().map(|kind| kind.value);
    if let (Some(kind), Some(fuel)) = (&found.kind, &found.fuel) {
        let wrong = match (kind.value, fuel.value) {
            (HeaterKind::Furnace, Fuel::Electricity) => {
                Some("a furnace burns its fuel, but electricity does not burn")
            }
            (HeaterKind::Furnace, _)
            | (HeaterKind::HeatPump | HeaterKind::Electric, Fuel::Electricity) => None,
            (HeaterKind::HeatPump | HeaterKind::Electric, _) => {
                Some("heat pumps and electric heat run on electricity")
            }
        };
        if let Some(title) = wrong {
            reader.report(
                Diagnostic::new("E0282", fuel.at, title)
                    .label("this fuel")
                    .also(kind.at, "said to be this")
                    .hint("for electric resistance write `kind: electric`; for what burns, `kind: furnace` with its fuel"),
            );
        }
    }
    let electric = !is_heating
        || matches!(kind, Some(HeaterKind::HeatPump | HeaterKind::Electric))
        || found
            .fuel
            .as_ref()
            .is_some_and(|fuel| fuel.value == Fuel::Electricity);
    if let Some(price) = &found.price
        && electric
        && price.value.unit == "therm"
    {
        reader.report(
            Diagnostic::new("E0282", price.at, "electricity is not sold by the therm")
                .label("the price of a gas")
                .hint("write the price of a kWh like `0.17 per kWh`"),
        );
    }
    if let Some(part) = &found.efficiency
        && part.value > 1.1
        && is_heating
        && kind != Some(HeaterKind::HeatPump)
    {
        reader.report(
            Diagnostic::new(
                "E0282",
                part.at,
                "no more heat comes out of a burner or a resistance than goes in",
            )
            .label("more than it is given")
            .hint("write a percentage like `80 %`, or `kind: heat pump`"),
        );
    }
}

/// `80 %`, or a coefficient of performance.
fn efficiency<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<f64>> {
    let cut = reader.words(node, "an efficiency")?;
    if cut.text.parse::<f64>().is_ok_and(|number| number < 1.0) {
        reader.report(
            Diagnostic::new(
                "E0120",
                cut.inner(),
                format!("{} is neither a percentage nor a coefficient of performance", quoted(cut.text)),
            )
            .label("a bare number below 1")
            .hint("write a percentage like `80 %`; a bare number is a coefficient of performance of 1 to 12"),
        );
        return None;
    }
    if cut.text.parse::<f64>().is_ok() {
        return reader.number_in(&cut, cut.text, &limits::COP);
    }
    let part: Marked<Fraction> = reader.quantity_in(&cut, cut.text, &limits::EFFICIENCY)?;
    Some(Marked::new(part.value.si(), part.at))
}

fn climate<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Climate> {
    let entries = reader.mapping(node, &tables::CLIMATE)?;
    let days = &limits::DEGREE_DAYS;
    let found = Climate {
        heating_degree_days: quantity(reader, &entries, "heating degree-days", days),
        cooling_degree_days: quantity(reader, &entries, "cooling degree-days", days),
        winter: quantity(reader, &entries, "winter", &limits::WINTER),
        summer: quantity(reader, &entries, "summer", &limits::SUMMER),
        indoors_winter: quantity(reader, &entries, "indoors winter", &limits::INDOORS),
        indoors_summer: quantity(reader, &entries, "indoors summer", &limits::INDOORS),
    };
    if let (Some(out), Some(inside)) = (&found.winter, &found.indoors_winter)
        && out.value.si() >= inside.value.si()
    {
        reader.report(
            Diagnostic::new(
                "E0283",
                out.at,
                "the winter is no colder than the heated house",
            )
            .label("mean outdoor temperature of the heating season")
            .also(inside.at, "indoors")
            .hint("write the mean outdoor temperature of the months that are heated"),
        );
    }
    Some(found)
}

/// `40 kBtu/h at 5 F`.
fn load<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    key: &str,
    example: &str,
) -> Option<Marked<LoadAt>> {
    let cut = reader.words(entries.get(key)?, "a load")?;
    let spaced = around_at(&cut).or_else(|| {
        let i = cut.text.find('@')?;
        Some((cut.text[..i].trim(), cut.text[i + 1..].trim()))
    });
    let Some((load, outdoors)) = spaced else {
        reader.report(
            Diagnostic::new(
                "E0120",
                cut.inner(),
                format!(
                    "{} does not say at what outdoor temperature",
                    quoted(cut.text)
                ),
            )
            .label("at what temperature outdoors?")
            .hint(format!("write a load like `{example}`")),
        );
        return None;
    };
    let load = reader.quantity_in::<Power>(&cut, load, &limits::LOAD);
    let outdoors = reader.quantity_in::<Temperature>(&cut, outdoors, &limits::OUTDOORS);
    let read = LoadAt {
        load: load?.value,
        outdoors: outdoors?.value,
    };
    Some(Marked::new(read, cut.inner()))
}

fn bin<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Bin> {
    let entries = reader.mapping(node, &tables::BIN)?;
    let outdoor = quantity(reader, &entries, "outdoor", &limits::OUTDOORS);
    let hours = quantity(reader, &entries, "hours", &limits::BIN);
    Some(Bin {
        outdoor: outdoor?,
        hours: hours?,
    })
}

/// Reads what a place says of its air; `None` when that cannot be.
pub(super) fn place_air<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    name: &str,
    like: &Marked<PlaceLike>,
) -> Option<PlaceAir> {
    let air = PlaceAir {
        winter: quantity(reader, entries, "winter", &limits::PLACE_AIR),
        summer: quantity(reader, entries, "summer", &limits::PLACE_AIR),
        regain: quantity(reader, entries, "regain", &limits::REGAIN),
    };
    let said = ["winter", "summer", "regain"]
        .iter()
        .find_map(|key| entries.key_at(key));
    if let Some(at) = said
        && like.value == PlaceLike::Inside
    {
        reader.report(
            Diagnostic::new(
                "E0284",
                at,
                format!("{} lies inside: what ducts lose there stays in the house", quoted(name)),
            )
            .label("said of a place inside")
            .also(like.at, "said here")
            .hint("take this out, or write `like: outside` or `like: buffer` if the place has a temperature of its own"),
        );
        return None;
    }
    Some(air)
}
