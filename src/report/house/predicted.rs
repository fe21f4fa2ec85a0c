//! What a design will probably leak.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::{block, facts, flat, listed, said};
use crate::report::predict::PredictTextSettings;
use crate::report::predict::text::{choices, expected, how_sure, limits, variants};

/// Choices that are shown.
const ROWS: usize = 10;

pub fn section(house: &House<'_>) -> Option<Part> {
    let found = house.predicted?;
    let (system, units) = (house.system, house.units);
    let settings = PredictTextSettings {
        units,
        rows: ROWS,
        materials: false,
    };
    let body = html! {
        p { "Before any test: what the catalogue expects of such ducts, readings, looks and sealing left out. Mean, and the band that holds 90 % of the chance." }
        (facts(&expected(system, found, units)))
        @if let Some(rows) = limits(system, found, units) { (block(&rows)) }
        @if let Some(rows) = choices(system, found, settings) { (block(&rows)) }
        @if let Some(rows) = variants(system, found, units) { (block(&rows)) }
        (listed("Doubtful", &found.doubts))
        p.note { (said(&flat(&how_sure(found)))) }
    };
    Some(Part::new("predicted", "Expected before any test", &body))
}
