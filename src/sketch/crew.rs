//! Reads how a crew seals.

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::limits::{self, Bounds};
use super::looks::seams;
use super::named::named;
use super::reader::Reader;
use super::span::Marked;
use super::tables;
use super::tree::{Kind, Node};
use super::types::{Crew, OwnMethod, SetUp};
use super::whole::quantity;
use super::words;
use crate::quantity::{Fraction, Length};

/// Reads `crew`.
pub(super) fn crew<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Crew {
    let Some(entries) = reader.mapping(node, &tables::CREW) else {
        return Crew::default();
    };
    Crew {
        currency: entries
            .get("currency")
            .and_then(|node| reader.text(node, "the currency", limits::CURRENCY)),
        hour: number(reader, &entries, "hour", &limits::MONEY),
        visit: number(reader, &entries, "visit", &limits::MONEY),
        set_up: entries
            .get("set up")
            .map(|node| set_up(reader, node))
            .unwrap_or_default(),
        from_inside: entries
            .get("from inside")
            .and_then(|node| reader.choice(node, "`from inside`", words::YES_NO)),
        leave: seams(reader, &entries, "leave").unwrap_or_default(),
        methods: entries
            .get("methods")
            .map(|node| methods(reader, node))
            .unwrap_or_default(),
    }
}

fn number<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    key: &str,
    bounds: &Bounds,
) -> Option<f64> {
    let node = entries.get(key)?;
    reader.number(node, bounds).map(|number| number.value)
}

/// Minutes by place.
fn set_up<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<SetUp> {
    let all = named(
        reader,
        node,
        "the set-up",
        "a mapping like `attic: 20`",
        |reader, key| reader.id(key, "the name of a place"),
    );
    all.into_iter()
        .filter_map(|(place, value)| {
            let minutes = reader.number(value, &limits::SET_UP)?;
            Some(SetUp { place, minutes })
        })
        .collect()
}

fn methods<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<OwnMethod> {
    let Some(entries) = reader.mapping(node, &tables::METHODS) else {
        return Vec::new();
    };
    tables::METHODS
        .fields
        .iter()
        .filter_map(|field| {
            let own = OwnMethod {
                method: field.key,
                at: entries.key_at(field.key)?,
                is_used: true,
                ..OwnMethod::default()
            };
            method(reader, entries.get(field.key)?, own)
        })
        .collect()
}

/// `no`, `yes`, or figures.
fn method<'t>(reader: &mut Reader<'t>, node: &Node<'t>, own: OwnMethod) -> Option<OwnMethod> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let used = reader.choice(node, "the use of a method", words::YES_NO)?;
        let is_used = used.value;
        return Some(OwnMethod { is_used, ..own });
    }
    let entries = reader.mapping(node, &tables::METHOD)?;
    let minutes = &limits::SEAL_MINUTES;
    let part = |reader: &mut Reader<'t>, key: &str, bounds: &Bounds| {
        quantity::<Fraction>(reader, &entries, key, bounds).map(|part| part.value.si())
    };
    Some(OwnMethod {
        minutes_each: number(reader, &entries, "minutes each", minutes),
        minutes_per_m: number(reader, &entries, "minutes per metre", minutes),
        minutes_once: number(reader, &entries, "minutes once", minutes),
        remains: part(reader, "remains", &limits::REMAINS),
        missed: part(reader, "missed", &limits::MISSED),
        cure_h: entries.get("cure").and_then(|node| hours(reader, node)),
        price: entries
            .get("price")
            .and_then(|node| reader.number(node, &limits::MONEY)),
        price_once: number(reader, &entries, "price once", &limits::MONEY),
        gap_to_m: quantity::<Length>(reader, &entries, "gap to", &limits::GAP)
            .map(|gap: Marked<Length>| gap.value.si()),
        ..own
    })
}

/// `24 h`.
fn hours<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<f64> {
    let cut = reader.words(node, limits::CURE.name)?;
    let Some(number) = cut.text.strip_suffix(['h', 'H']) else {
        reader.report(
            Diagnostic::new(
                "E0120",
                cut.inner(),
                format!("{} is not a number of hours", quoted(cut.text)),
            )
            .label("no hours")
            .hint("write hours like `24 h`"),
        );
        return None;
    };
    let number = &cut.text[..number.trim_end().len()];
    reader
        .number_in(&cut, number, &limits::CURE)
        .map(|hours| hours.value)
}
