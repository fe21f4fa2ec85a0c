//! Reads `limits` and `record`.

use super::diagnostics::Diagnostic;
use super::entries::{Entries, twin_key};
use super::limit_tables as tables;
use super::limits;
use super::reader::Reader;
use super::readings::date;
use super::span::Marked;
use super::tree::{Kind, Node};
use super::types::{LimitItem, OwnLimit, Record};
use super::whole::quantity;
use super::words;
use crate::catalog::{Scope, measure_words};

/// Reads `limits`.
pub(super) fn limit_items<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<LimitItem> {
    let Some(items) = reader.list(node, "the limits") else {
        return Vec::new();
    };
    let mut found: Vec<LimitItem> = Vec::new();
    for item in items {
        let Some(read) = (match &item.kind {
            Kind::Mapping(_) => own(reader, item).map(LimitItem::Own),
            _ => reader.id(item, "the name of a limit").map(LimitItem::Known),
        }) else {
            continue;
        };
        let twin = found.iter().find(|other| {
            let same_kind = matches!(other, LimitItem::Own(_)) == matches!(read, LimitItem::Own(_));
            same_kind && other.plain_id() == read.plain_id()
        });
        match twin {
            Some(first) => {
                let (id, first) = (read.id(), first.id().at);
                reader.report(twin_key(id.at, &id.value, first));
            }
            None => found.push(read),
        }
    }
    found
}

fn own<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<OwnLimit> {
    let entries = reader.mapping(node, &tables::LIMIT)?;
    let id = entries
        .get("id")
        .and_then(|node| reader.id(node, "the name of a limit"));
    let scope = Scope::ALL
        .into_iter()
        .find(|scope| entries.get(scope.words()).is_some());
    let measure = scope.and_then(|scope| {
        let cut = reader.words(entries.get(scope.words())?, "a limit")?;
        match measure_words(cut.text) {
            Ok(measure) => Some(Marked::new(measure, cut.inner())),
            Err(error) => {
                reader.report(
                    Diagnostic::new("E0295", cut.inner(), error.wrong)
                        .label("not a limit that can be held against a reading")
                        .hint(error.hint),
                );
                None
            }
        }
    });
    let stage = entries
        .get("stage")
        .and_then(|node| reader.choice(node, "the stage of a test", words::STAGE));
    let source = line(reader, &entries, "source");
    let at_least = quantity(reader, &entries, "at least", &limits::LEAKAGE);
    let condition = line(reader, &entries, "condition");
    Some(OwnLimit {
        id: id?,
        scope: scope?,
        measure: measure?,
        stage,
        source: source?,
        at_least,
        condition,
    })
}

/// Reads `record`.
pub(super) fn record<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Record {
    let Some(entries) = reader.mapping(node, &tables::RECORD) else {
        return Record::default();
    };
    Record {
        at: Some(entries.at),
        date: entries.get("date").and_then(|node| date(reader, node)),
        stage: entries
            .get("stage")
            .and_then(|node| reader.choice(node, "the stage of a test", words::STAGE)),
        tester: line(reader, &entries, "tester"),
        weather: line(reader, &entries, "weather"),
        set_up: line(reader, &entries, "set up"),
        instruments: line(reader, &entries, "instruments"),
        duct_air: quantity(reader, &entries, "duct air", &limits::PLACE_AIR),
        indoor_air: quantity(reader, &entries, "indoor air", &limits::INDOOR_TEST),
        outdoor_air: quantity(reader, &entries, "outdoor air", &limits::OUTDOORS),
        barometer: quantity(reader, &entries, "barometer", &limits::BAROMETER),
        baseline_before: quantity(reader, &entries, "baseline before", &limits::SPACE),
        baseline_after: quantity(reader, &entries, "baseline after", &limits::SPACE),
        flow_error: quantity(reader, &entries, "flow error", &limits::RELATIVE_ERROR),
        pressure_error: quantity(reader, &entries, "pressure error", &limits::RELATIVE_ERROR),
        pressure_error_least: quantity(
            reader,
            &entries,
            "pressure error at least",
            &limits::TAP_ERROR,
        ),
        errors_are_limits: entries
            .get("errors are")
            .and_then(|node| reader.choice(node, "errors", words::ERRORS_ARE)),
        corrected: entries
            .get("density corrected")
            .and_then(|node| reader.choice(node, "`density corrected`", words::YES_NO)),
    }
}

fn line<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    key: &str,
) -> Option<Marked<String>> {
    let node = entries.get(key)?;
    reader.text(node, &format!("`{key}`"), limits::LINE)
}
