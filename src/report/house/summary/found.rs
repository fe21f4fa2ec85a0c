//! What was found, in a plain sentence first and then in figures.

use maud::{Markup, html};

use super::super::House;
use super::super::parts::{flat, said};
use super::super::plain::{part, square};
use super::buys::draws_back;
use crate::allocate::{Band, ReadingResult, SET_ASIDE};
use crate::quantity::UnitSystem;
use crate::report::evidence_text::{value_read, where_read};
use crate::report::figures::{
    flow_unit, leak, leaks, number, opening, opening_unit, percent, percent_digits, signed_flow,
};
use crate::report::limits::said::{by_floor, measure};
use crate::report::prove::text::verdict;
use crate::report::words::{airflow_by, counted, some_names};

/// Readings that are named.
const READINGS: usize = 4;
/// Limits that are named.
const LIMITS: usize = 3;

pub fn found(house: &House<'_>) -> Markup {
    html! {
        (plainly(house))
        (in_figures(house))
        ul {
            (much(house))
            (running(house))
            (outside(house))
            @if let Some(proof) = house.proof {
                @for pair in &proof.pairs { li { (said(&flat(&verdict(house.system, pair, house.units)))) } }
            }
            (was_read(house))
        }
    }
}

/// What was tested and how much that is, without a figure that needs a unit.
fn plainly(house: &House<'_>) -> Markup {
    let all = &house.allocation.house;
    let of_air = house
        .system
        .unit
        .airflow_m3_s
        .map(|(airflow, by)| (scaled(all.total_m3_s, 1.0 / airflow), by));
    let much = |of: Band| match part(of) {
        Some(word) => format!("about {word} ({})", percent(of.mean)),
        None => percent(of.mean),
    };
    html! {
        p.lead {
            @if house.has_flow() {
                "A fan held the closed ducts at a steady pressure. The air that it has to move is what escapes through joints and gaps. "
            } @else {
                "Closed and held at a steady pressure by a fan, ducts lose air through joints and gaps. "
            }
            @if let Some((of, by)) = of_air {
                (if house.has_flow() { "That is " } else { "Of ducts like these it is usually " })
                strong { (much(of)) }
                " of what the unit moves when it runs (that figure: " (airflow_by(by)) ")."
            } @else if let Some(size) = all.equivalent_opening_m2 {
                "All of them together let through as much as a square hole of " strong { (square(size.mean, house.units)) } " a side."
            }
        }
    }
}

fn in_figures(house: &House<'_>) -> Markup {
    let (units, all) = (house.units, &house.allocation.house);
    let unit = flow_unit(units);
    let total = all.total_m3_s;
    html! {
        p {
            "In figures: " strong { (leak(total.mean, units)) " " (unit) } " (" (unit_in_words(units)) "), nine chances in ten between "
            (leak(total.p05, units)) " and " (leak(total.p95, units)) ", the ducts held at " (number(all.test_pressure_pa, 0)) " Pa (pascal; "
            (water(all.test_pressure_pa, units)) ")."
            @if let Some(size) = all.equivalent_opening_m2 {
                " At 25 Pa one sharp-edged hole of " (opening(size.mean, units)) " " (opening_unit(units)) " ("
                (opening(size.p05, units)) " to " (opening(size.p95, units)) "), a square of about " (square(size.mean, units)) " a side, leaks as much."
            }
        }
    }
}

fn unit_in_words(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "cubic feet of air a minute",
        UnitSystem::Si => "litres of air a second",
    }
}

/// A pressure as a column of water: 1 in of water is 249.089 Pa, 1 mm is 9.80665 Pa (conventional, water at 4 °C).
fn water(pa: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => format!("{} inch of water", number(pa / 249.089, 2)),
        UnitSystem::Si => format!("{} mm of water", number(pa / 9.806_65, 1)),
    }
}

/// Whether that is much, only by figures that are there.
fn much(house: &House<'_>) -> Markup {
    let (units, total) = (house.units, house.allocation.house.total_m3_s);
    let held: Vec<_> = house
        .limits
        .iter()
        .flat_map(|answer| &answer.held)
        .filter_map(|held| Some((&held.limit, held.judged.as_ref().ok()?)))
        .collect();
    html! {
        li {
            strong { "Is that much? " }
            @if house.has_flow() {
                @let prior = house.allocation.house.prior_total_m3_s;
                "By the kinds of joints alone such ducts were expected to leak " (leak(prior.mean, units)) " " (flow_unit(units)) " (" (leaks(prior, units)) "). "
            }
            @if let Some(area) = house.system.floor_area_m2 {
                "By the size of the house it is " (by_floor(total.mean / area, units)) " of floor. "
            }
            @for (limit, judged) in held.iter().take(LIMITS) {
                "The limit " code { (limit.id) } " (" (measure(limit, units)) ") allows " (leak(judged.limit_m3_s, units)) " " (flow_unit(units))
                ": the reading is " (judged.verdict.words()) ". "
            }
            @if held.len() > LIMITS { (counted(held.len() - LIMITS, "further limit", "further limits")) " under “Against limits”. " }
            @if held.is_empty() { "No limit was entered: this report calls it neither too much nor little enough." }
        }
    }
}

/// Leakage while the unit runs, where it was solved.
fn running(house: &House<'_>) -> Markup {
    let (Some(effects), units) = (house.effects, house.units) else {
        return html! {
            @if house.has_flow() { li { "While the unit runs every place in the ducts has a pressure of its own: then they leak another amount." } }
        };
    };
    let unit = flow_unit(units);
    let through = effects.blower_m3_s.before.mean;
    let [supply, back] = &effects.sides;
    let (out, into) = (supply.out_m3_s.before, back.in_m3_s.before);
    let band = |flow: Band| {
        format!(
            "{} {unit}, {} to {}",
            signed_flow(flow.mean, units),
            signed_flow(flow.p05, units),
            signed_flow(flow.p95, units)
        )
    };
    html! {
        @if through > 0.0 && draws_back(house) {
            li {
                strong { "While the unit runs " } "the pressures are others. Then, by a model, " (percent(out.mean / through)) " of the "
                (signed_flow(through, units)) " " (unit) " that it moves leave the ducts before the registers (" (band(out)) "), and "
                (percent(into.mean / through)) " are drawn in through gaps of the return ducts (" (band(into)) ")."
            }
        }
    }
}

fn outside(house: &House<'_>) -> Markup {
    let (allocation, units) = (house.allocation, house.units);
    let flow = allocation.house.to_outside_m3_s;
    html! {
        li {
            strong { "To outside" }  ", out of the house and not into its rooms: " (leak(flow.mean, units)) " " (flow_unit(units)) " ("
            (leaks(flow, units)) ") in a test with the house held at the ducts' " (number(allocation.to_outside_setup.pressure_pa, 0)) " Pa too."
        }
    }
}

fn was_read(house: &House<'_>) -> Markup {
    let readings = &house.allocation.readings;
    let date = |k: usize| house.system.readings.get(k)?.date.as_deref();
    // One day for all of them is said once.
    let day = date(0).filter(|&day| (0..readings.len()).all(|k| date(k) == Some(day)));
    let named = |(k, reading): (usize, &ReadingResult)| {
        let setup = shortly(&where_read(house.system, reading), &reading.id);
        let date = date(k).filter(|_| day.is_none());
        let said: Vec<&str> = [setup.as_str()]
            .into_iter()
            .chain(date)
            .filter(|part| !part.is_empty())
            .collect();
        let value = value_read(reading, house.units);
        if said.is_empty() {
            format!("`{}` {value}", reading.id)
        } else {
            format!("`{}` {value} ({})", reading.id, said.join(", "))
        }
    };
    let shown: Vec<String> = readings
        .iter()
        .enumerate()
        .take(READINGS)
        .map(named)
        .collect();
    let more = readings.len().saturating_sub(READINGS);
    let aside: Vec<&str> = readings
        .iter()
        .filter(|reading| reading.wrong_setup_chance > SET_ASIDE)
        .map(|reading| reading.id.as_str())
        .collect();
    let looks = house.allocation.looks.len();
    html! {
        @if !readings.is_empty() {
            li {
                strong { "What was read" @if let Some(day) = day { " on " (day) } ": " } (said(&shown.join("; "))) @if more > 0 { "; and " (more) " more" }
                @if looks > 0 { "; and " (counted(looks, "look", "looks")) } "."
                @if !aside.is_empty() {
                    " Set aside, because the set-up was probably wrong: " (said(&some_names(&aside, 3))) ". If it was right after all, the figures here are wrong."
                }
            }
        }
    }
}

/// A set-up without where fan, masks and barrier sat, and without what the reading is called; those stand with the readings.
fn shortly(setup: &str, id: &str) -> String {
    let parts = setup.split(", ").filter(|part| {
        *part != id
            && !["fan at", "masked", "plugged in", "barrier at"]
                .iter()
                .any(|word| part.starts_with(word))
    });
    parts.collect::<Vec<_>>().join(", ")
}

fn scaled(band: Band, by: f64) -> Band {
    Band {
        mean: band.mean * by,
        p05: band.p05 * by,
        p50: band.p50 * by,
        p95: band.p95 * by,
    }
}

/// A percentage band: `4.2 to 31 %`.
pub fn percents(band: Band) -> String {
    format!("{} to {}", percent_digits(band.p05), percent(band.p95))
}
