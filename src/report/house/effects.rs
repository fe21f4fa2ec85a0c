//! What sealing does to rooms, house, energy and money.

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{block, facts, figure, flat, folded, listed, said};
use crate::effects::Effects;
use crate::quantity::UnitSystem;
use crate::report::charts::{Intervals, Row, intervals};
use crate::report::effects::seasons::{WHAT_IT_IS, season_words};
use crate::report::effects::tables;
use crate::report::effects::text::{in_short, solved};
use crate::report::figures::{flow, flow_unit, signed_flow};

pub fn section(house: &House<'_>) -> Option<Part> {
    let effects = house.effects?;
    let units = house.units;
    let notes: Vec<&str> = effects
        .notes
        .iter()
        .map(|note| note.text.as_str())
        .collect();
    let short = tables::short_rooms(effects);
    let seasons: Vec<(&str, String)> =
        [("heating", &effects.heating), ("cooling", &effects.cooling)]
            .into_iter()
            .filter_map(|(name, season)| {
                Some((name, season_words(effects, name, season.as_ref()?, units)))
            })
            .collect();
    let body = html! {
        @if let Some(plan) = house.plan {
            p { "The work: " (if plan.steps.is_empty() { "nothing is sealed.".to_owned() } else { format!("the plan's {} seams.", plan.steps.len()) }) }
        }
        p { (said(&flat(&solved(effects, units)))) }
        (rooms(effects, units))
        @if !short.trim().is_empty() { p { (said(&flat(&short))) } }
        h3 { "In short" }
        (facts(&in_short(effects, units)))
        h3 { "Energy and cost" }
        p { (said(&effects.indoors_words)) }
        @if seasons.is_empty() { p { "Nothing heats or cools here as far as the sketch says." } } @else {
            (facts(&seasons))
            p.note { (WHAT_IT_IS) }
        }
        (leaks(effects, units))
        (folded("Registers and grilles", &block(&tables::registers(effects, units))))
        @for found in tables::seams(effects, units) { (folded(&found.heading, &block(&found))) }
        (listed("Mind", &notes))
    };
    Some(Part::new("effects", "What sealing does", &body))
}

/// Rooms that supplies serve, before and after against what was meant.
fn rooms(effects: &Effects, units: UnitSystem) -> Markup {
    let Some(figures) = tables::rooms(effects, units) else {
        return html! {};
    };
    let shown = |m3_s: f64| flow(m3_s, units);
    let rows: Vec<Row> = effects
        .rooms
        .iter()
        .filter(|room| room.is_served())
        .map(|room| {
            let (before, after) = (room.supplied_m3_s.before, room.supplied_m3_s.after);
            Row {
                name: room.name.clone(),
                figure: format!(
                    "{} → {}",
                    signed_flow(before.mean, units),
                    signed_flow(after.mean, units)
                ),
                mean: shown(after.mean),
                band: (shown(after.p05), shown(after.p95)),
                before: Some(shown(before.mean)),
                target: room.meant_m3_s.map(shown),
                ..Row::default()
            }
        })
        .collect();
    let chart = intervals(&Intervals {
        id: "chart-rooms",
        title: "Air that reaches the rooms while the unit runs",
        says: "Each room before and after the work, against what was meant.",
        axis: flow_unit(units),
        rows: &rows,
    });
    html! {
        h3 { "Air that reaches the rooms" }
        (figure(&chart, "Air that reaches the rooms", "Ring: before the work. Dot and bar: after it, mean and 90 % band. Upright stroke: what was meant, where the sketch says. At the right: before and after."))
        (folded("The same in figures", &block(&figures)))
    }
}

/// Leakage of both sides while running.
fn leaks(effects: &Effects, units: UnitSystem) -> Markup {
    let shown = |m3_s: f64| flow(m3_s, units);
    let [supply, back] = &effects.sides;
    let rows: Vec<Row> = [
        ("out of the supply ducts", &supply.out_m3_s),
        ("into the return ducts", &back.in_m3_s),
    ]
    .into_iter()
    .map(|(name, change)| Row {
        name: name.to_owned(),
        figure: format!(
            "{} → {}",
            signed_flow(change.before.mean, units),
            signed_flow(change.after.mean, units)
        ),
        mean: shown(change.after.mean),
        band: (shown(change.after.p05), shown(change.after.p95)),
        wide: Some((shown(change.before.p05), shown(change.before.p95))),
        before: Some(shown(change.before.mean)),
        ..Row::default()
    })
    .collect();
    let chart = intervals(&Intervals {
        id: "chart-running",
        title: "Leakage while the unit runs",
        says: "Leakage out of the supply and into the return ducts, before and after the work.",
        axis: flow_unit(units),
        rows: &rows,
    });
    html! {
        h3 { "Leakage while the unit runs" }
        (figure(&chart, "Leakage while the unit runs", "Ring and pale broad bar: before the work, mean and 90 % band. Dot and bar: after it."))
        (block(&tables::places(effects, units)))
    }
}
