//! In which order the trade writes the keys of a thing.

use super::super::fields::Table;
use super::super::tables;
use super::value::{Step, Value};

/// The keys of a run, in the order in which they are said.
const RUN: &[&str] = &[
    "id",
    "side",
    "from",
    "size",
    "material",
    "room",
    "floor",
    "place",
    "reach",
    "work",
    "insulation",
    "compression",
    "lined",
    "design flow",
    "walk",
];

/// The keys of the mapping at a path, in order; none where people choose the keys.
fn keys(path: &[Step]) -> Vec<&'static str> {
    let names: Vec<&str> = path
        .iter()
        .map(|step| match step {
            Step::Key(key) => key.as_str(),
            Step::Item(_) => "#",
        })
        .collect();
    let table: &Table = match names[..] {
        [] => &tables::SKETCH,
        ["runs", "#"] => return RUN.to_vec(),
        ["runs", "#", "walk", "#"] => &tables::STEP,
        ["readings", "#"] => &tables::READING,
        ["looks", "#"] => &tables::LOOK,
        ["sealing", "#"] => &tables::SEALING,
        ["variants", "#"] => &tables::VARIANT,
        ["usual", _] => &tables::USUAL_ENTRY,
        ["usual"] => &tables::USUAL,
        ["house"] => &tables::HOUSE,
        ["air handler"] => &tables::AIR_HANDLER,
        ["crew"] => &tables::CREW,
        _ => return Vec::new(),
    };
    table.fields.iter().map(|field| field.key).collect()
}

/// Where a new key goes among those that stand in a mapping: behind the last that comes before it in the trade's order, or else before
/// the first that comes after it; at the end, but before a `walk`, where the order says nothing.
pub(super) fn place_of(path: &[Step], key: &str, present: &[String]) -> usize {
    let order = keys(path);
    let rank = |key: &str| order.iter().position(|own| *own == key);
    let end = match present.last() {
        Some(last) if last == "walk" => present.len() - 1,
        _ => present.len(),
    };
    let Some(own) = rank(key) else { return end };
    let before = |other: &String| rank(other).is_some_and(|other| other < own);
    let behind = |other: &String| rank(other).is_some_and(|other| other > own);
    let after_those = present.iter().rposition(before).map(|i| i + 1);
    after_those
        .or_else(|| present.iter().position(behind))
        .unwrap_or(end)
}

/// A value whose mappings have their known keys in the trade's order; others keep theirs, behind them.
pub(super) fn ordered(path: &[Step], value: &Value) -> Value {
    let deeper = |step: Step, value: &Value| {
        let mut path = path.to_vec();
        path.push(step);
        ordered(&path, value)
    };
    match value {
        Value::List(items) => {
            let items = items.iter().enumerate();
            Value::List(items.map(|(i, item)| deeper(Step::Item(i), item)).collect())
        }
        Value::Mapping(entries) => {
            let order = keys(path);
            let rank = |key: &str| {
                order
                    .iter()
                    .position(|own| *own == key)
                    .unwrap_or(order.len())
            };
            let mut entries: Vec<(String, Value)> = entries
                .iter()
                .map(|(key, value)| (key.clone(), deeper(Step::Key(key.clone()), value)))
                .collect();
            entries.sort_by_key(|(key, _)| rank(key));
            Value::Mapping(entries)
        }
        _ => value.clone(),
    }
}
