//! What the leakage means for rooms, for what is breathed, and for the bill.

use maud::{Markup, html};

use super::super::House;
use super::super::parts::said;
use super::buys::draws_back;
use crate::effects::Effects;
use crate::report::effects::tables::SHORT;
use crate::report::figures::{flow_unit, percent, signed_flow};
use crate::report::words::{counted, some_names};

/// Return leakage below this part of what the unit moves is not spoken of. Engineering estimate.
const FELT: f64 = 0.01;
/// Rooms that are named.
const ROOMS: usize = 4;
/// Places that are named.
const PLACES: usize = 2;

/// `None` where nothing was worked out for the running unit.
pub fn means(house: &House<'_>) -> Option<Markup> {
    let effects = house.effects?;
    Some(html! {
        ul {
            (rooms(effects))
            @if draws_back(house) { (drawn(house, effects)) }
            li { strong { "Bill: " } (said(&effects.indoors_words)) }
        }
    })
}

fn rooms(effects: &Effects) -> Markup {
    let parts: Vec<(&str, f64)> = effects
        .rooms
        .iter()
        .filter_map(|room| Some((room.name.as_str(), room.part_of_meant.as_ref()?.before.mean)))
        .collect();
    let mut short: Vec<(&str, f64)> = parts
        .iter()
        .filter(|(_, part)| *part < SHORT)
        .copied()
        .collect();
    short.sort_by(|a, b| a.1.total_cmp(&b.1));
    let before = short.len();
    let names: Vec<&str> = short.iter().map(|(name, _)| *name).collect();
    html! {
        @if !parts.is_empty() {
            li {
                strong { "Rooms: " } "by the model "
                @if before == 0 { "each of " (counted(parts.len(), "room", "rooms")) " gets at least " }
                @else { (before) " of " (counted(parts.len(), "room", "rooms")) (if before == 1 { " gets" } else { " get" }) " less than " }
                (percent(SHORT)) " of the air that they were meant to have"
                @if before > 0 { ": " (said(&some_names(&names, ROOMS))) } "."
            }
        }
    }
}

/// Where the air comes from that leaks into the return ducts.
fn drawn(house: &House<'_>, effects: &Effects) -> Markup {
    let unit = flow_unit(house.units);
    let least = FELT * effects.blower_m3_s.before.mean;
    let mut places: Vec<(&str, f64)> = effects
        .places
        .iter()
        .map(|place| (place.name.as_str(), place.return_in_m3_s.before.mean))
        .filter(|(_, flow)| *flow > least)
        .collect();
    places.sort_by(|a, b| b.1.total_cmp(&a.1));
    let named: Vec<String> = places
        .iter()
        .take(PLACES)
        .map(|(name, flow)| format!("{name} ({} {unit})", signed_flow(*flow, house.units)))
        .collect();
    html! {
        @if !named.is_empty() {
            li { strong { "Dust: " } "the return ducts draw in air of these places, with its dust, damp and smells: " (named.join(", ")) "." }
        }
    }
}
