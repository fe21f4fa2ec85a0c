//! Reads what the person believes instead of the usual figures, and how long work takes.

use super::entries::Entries;
use super::limits::{self, Bounds};
use super::reader::Reader;
use super::tables;
use super::tree::Node;
use super::types::{Minutes, Prior};
use super::whole::quantity;
use crate::quantity::{Fraction, Pressure};

/// Reads `prior`.
pub(super) fn prior<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Prior {
    let Some(entries) = reader.mapping(node, &tables::PRIOR) else {
        return Prior::default();
    };
    let number = |reader: &mut Reader<'t>, key: &str, bounds: &Bounds| {
        let node = entries.get(key)?;
        reader.number(node, bounds).map(|number| number.value)
    };
    let part = |reader: &mut Reader<'t>, key: &str, bounds: &Bounds| {
        quantity::<Fraction>(reader, &entries, key, bounds).map(|part| part.value.si())
    };
    let pressure = |reader: &mut Reader<'t>, key: &str, bounds: &Bounds| {
        quantity::<Pressure>(reader, &entries, key, bounds).map(|sd| sd.value.si())
    };
    let shared = &limits::SHARED_SPREAD;
    Prior {
        workmanship_spread: number(reader, "workmanship spread", shared),
        habit_spread: number(reader, "habit spread", shared),
        exponent_spread: number(reader, "exponent spread", &limits::EXPONENT_SPREAD),
        gross_chance: times(reader, &entries, "gross chance"),
        wrong_setup_chance: part(reader, "wrong set-up chance", &limits::WRONG_SETUP),
        gauge_shared: part(reader, "gauge shared", &limits::SHARED_PART),
        smoke_threshold: number(reader, "smoke threshold", &limits::THRESHOLD),
        observer_spread: number(reader, "observer spread", shared),
        nulling_error_pa: pressure(reader, "nulling error", &limits::NULLING_ERROR),
        tap_error_pa: pressure(reader, "tap error", &limits::TAP_ERROR),
    }
}

/// `2 times`, or `2`.
fn times<'t>(reader: &mut Reader<'t>, entries: &Entries<'_, 't>, key: &str) -> Option<f64> {
    let node = entries.get(key)?;
    let cut = reader.words(node, limits::TIMES.name)?;
    let lower = cut.text.to_ascii_lowercase();
    let Some(number) = lower.strip_suffix("times") else {
        return reader.number(node, &limits::TIMES).map(|n| n.value);
    };
    let number = &cut.text[..number.trim_end().len()];
    reader
        .number_in(&cut, number, &limits::TIMES)
        .map(|n| n.value)
}

/// Reads `minutes`.
pub(super) fn minutes<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Minutes> {
    let Some(entries) = reader.mapping(node, &tables::MINUTES) else {
        return Vec::new();
    };
    tables::MINUTES
        .fields
        .iter()
        .filter_map(|field| {
            let node = entries.get(field.key)?;
            Some(Minutes {
                task: field.key,
                minutes: reader.number(node, &limits::MINUTES)?,
            })
        })
        .collect()
}
