//! Each reading against the model.

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{block, facts, figure, folded, listed, said, table};
use crate::allocate::{Allocation, ReadingResult};
use crate::quantity::UnitSystem;
use crate::report::charts::{Intervals, Row, intervals};
use crate::report::compare::parting::{by_joint_type, by_side};
use crate::report::compare::text::{OF_CAUSES, causes, facts as of_reading, overview, part_table};
use crate::report::compare::why::usual;
use crate::report::evidence_text::{looked, value_read, where_read};
use crate::report::figures::{
    band_of_reading, chance, flow, flow_unit, leak, of_reading as shown, reading_unit,
};
use crate::system::{ReadingUnit, Relation};

pub fn section(house: &House<'_>) -> Option<Part> {
    let (allocation, units) = (house.allocation, house.units);
    let looks = looked(allocation, usize::MAX);
    if allocation.readings.is_empty() && looks.is_none() {
        return None;
    }
    let body = html! {
        @for (unit, id, title) in [
            (ReadingUnit::Flow, "chart-flows", "Flows read and modelled"),
            (ReadingUnit::Pressure, "chart-pressures", "Pressures read and modelled"),
        ] { (chart(allocation, unit, id, title, units)) }
        @match house.compared {
            Some(_) if !allocation.readings.is_empty() => (compared(house)),
            _ => (alone(house)),
        }
        @if let Some(found) = looks { (block(&found)) }
    };
    Some(Part::new("readings", "Readings against the model", &body))
}

fn chart(
    allocation: &Allocation,
    unit: ReadingUnit,
    id: &str,
    title: &str,
    units: UnitSystem,
) -> Markup {
    let plain = |value: f64| match unit {
        ReadingUnit::Flow => flow(value, units),
        ReadingUnit::Pressure => value,
    };
    let rows: Vec<Row> = allocation
        .readings
        .iter()
        .filter(|reading| reading.unit == unit)
        .map(|reading| Row {
            name: reading.id.clone(),
            figure: format!(
                "{}{}",
                if reading.relation == Relation::Below {
                    "below "
                } else {
                    ""
                },
                shown(reading.observable, reading.measured, units)
            ),
            mean: plain(reading.modelled.mean),
            band: (plain(reading.modelled.p05), plain(reading.modelled.p95)),
            wide: Some((plain(reading.prior.p05), plain(reading.prior.p95))),
            read: Some((plain(reading.measured), plain(reading.measured_sd))),
            ..Row::default()
        })
        .collect();
    let axis = match unit {
        ReadingUnit::Flow => flow_unit(units),
        ReadingUnit::Pressure => "Pa",
    };
    let drawn = intervals(&Intervals {
        id,
        title,
        says: "Each reading with its error, the model's band with all evidence in, and the band before any reading.",
        axis,
        rows: &rows,
    });
    html! {
        @if !rows.is_empty() {
            (figure(&drawn, title, "Square with whiskers: what was read, and one standard deviation of its error either way. Bar and dot: the model's 90 % band and mean, all evidence in. Pale broad bar: its 90 % band before any reading. At the right: what was read."))
        }
    }
}

fn compared(house: &House<'_>) -> Markup {
    let (Some(answer), units) = (house.compared, house.units) else {
        return html! {};
    };
    let allocation = &answer.allocation;
    let types = by_joint_type(allocation);
    let unit = flow_unit(units);
    let usual: Vec<String> = usual(house.system, allocation)
        .iter()
        .map(|why| format!("{} {unit}: {}", leak(why.worth_m3_s, units), why.words))
        .collect();
    let parting = html! {
        (table("Mean flows by side, 25 Pa across each seam", &part_table("side", &by_side(allocation), units)))
        (table("Mean flows by joint type, 25 Pa across each seam", &part_table("joint type", &types, units)))
        p.note { "Before any evidence, and after. A factor far from 1 says that these seams are made otherwise than the catalogue expects, or that the sketch misses some." }
    };
    html! {
        (block(&overview(answer, units)))
        @for found in &answer.readings {
            @let reading = &allocation.readings[found.reading];
            h3 { "Reading " code { (reading.id) } }
            (taken(house, found.reading))
            p { (said(&found.verdict)) }
            @if !reading.note.is_empty() { p { (said(&reading.note)) } }
            @if !found.causes.is_empty() {
                (table(&format!("What would explain `{}`", reading.id), &causes(reading, found, units)))
                p.note { (OF_CAUSES) }
            }
            (folded(&format!("Figures of {}", reading.id), &facts(&of_reading(house.system, reading, found, units))))
        }
        @let what = if house.work_waits() { "this is usually why" } else { "look first at" };
        (listed(&format!("Where a total and what was expected of it differ, {what} (what hangs on each here, {unit})"), &usual))
        (folded("Where model and measurement part", &parting))
    }
}

/// Readings where no comparison was made.
fn alone(house: &House<'_>) -> Markup {
    html! { @for (k, reading) in house.allocation.readings.iter().enumerate() { (one_alone(house, reading)) (taken(house, k)) } }
}

/// When and with what a reading was taken, and what was noted.
fn taken(house: &House<'_>, reading: usize) -> Markup {
    let Some(read) = house.system.readings.get(reading) else {
        return html! {};
    };
    let mut words: Vec<String> = read.date.iter().cloned().collect();
    if !read.gauge.is_empty() {
        words.push(format!("gauge `{}`", read.gauge));
    }
    if !read.note.is_empty() {
        words.push(format!("“{}”", read.note));
    }
    html! { @if !words.is_empty() { p { "Taken: " (said(&words.join("; "))) } } }
}

fn one_alone(house: &House<'_>, reading: &ReadingResult) -> Markup {
    let units = house.units;
    let unit = reading_unit(reading.observable, units);
    let lines = [
        ("set-up", where_read(house.system, reading)),
        (
            "measured",
            format!(
                "{} ± {}, {}",
                value_read(reading, units),
                shown(reading.observable, reading.measured_sd, units),
                reading.error_source
            ),
        ),
        (
            "modelled",
            format!(
                "{} {unit} ({})",
                shown(reading.observable, reading.modelled.mean, units),
                band_of_reading(reading.observable, reading.modelled, units)
            ),
        ),
        (
            "set-up wrong",
            format!("chance {}", chance(reading.wrong_setup_chance)),
        ),
    ];
    html! {
        h3 { "Reading " code { (reading.id) } }
        @if !reading.note.is_empty() { p { (said(&reading.note)) } }
        (facts(&lines))
    }
}
