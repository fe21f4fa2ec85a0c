//! Reads what was measured.

use std::collections::BTreeMap;

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::limits;
use super::reader::Reader;
use super::reading_kinds::{FORMS, Names, kind_of};
use super::runs::unique;
use super::span::{Marked, Span};
use super::stated;
use super::tables;
use super::tree::Node;
use super::types::{FanAt, Reading, TapAt, When};
use super::words;

/// Reads the list of readings.
pub(super) fn readings<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Reading> {
    let Some(items) = reader.list_up_to(node, "the readings", limits::READINGS) else {
        return Vec::new();
    };
    let mut ids = BTreeMap::new();
    let mut found = Vec::new();
    for item in items {
        let Some(entries) = reader.mapping(item, &tables::READING) else {
            continue;
        };
        let id = entries
            .get("id")
            .and_then(|node| reader.id(node, "the name of a reading"));
        if let Some(id) = &id {
            unique(reader, id, "readings", &mut ids);
        }
        found.extend(reading(reader, &entries, id));
        let all: usize = found
            .iter()
            .map(|reading: &Reading| reading.plugged.len())
            .sum();
        if all > limits::ALL_PLUGGED {
            reader.too_many(
                item,
                "the plugged runs of all readings",
                limits::ALL_PLUGGED,
            );
            break;
        }
    }
    found
}

fn reading<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    id: Option<Marked<String>>,
) -> Option<Reading> {
    let form = FORMS.iter().find(|form| entries.get(form.key).is_some());
    let values = form.and_then(|form| stated::values(reader, entries.get(form.key)?, form));
    let names = Names {
        run: entries
            .get("run")
            .and_then(|node| reader.id(node, "the name of a run")),
        room: entries
            .get("room")
            .and_then(|node| reader.name(node, "a room")),
        place: entries
            .get("place")
            .and_then(|node| reader.id(node, "the name of a place")),
    };
    let direction = entries
        .get("direction")
        .and_then(|node| reader.choice(node, "the direction of a test", words::DIRECTION));
    let fan = entries
        .get("fan")
        .and_then(|node| reader.id(node, "the place of the fan"))
        .map(|fan| {
            let is_panel = fan.value.eq_ignore_ascii_case("blower panel");
            Marked::new(
                if is_panel {
                    FanAt::BlowerPanel
                } else {
                    FanAt::Run(fan.clone())
                },
                fan.at,
            )
        });
    let tap = entries
        .get("tap")
        .and_then(|node| reader.id(node, "the place of the tap"))
        .map(|tap| {
            let value = match tap.value.to_ascii_lowercase().as_str() {
                "supply plenum" => TapAt::SupplyPlenum,
                "return plenum" => TapAt::ReturnPlenum,
                _ => TapAt::Run(tap.clone()),
            };
            Marked::new(value, tap.at)
        });
    let barrier = entries
        .get("barrier")
        .and_then(|node| reader.choice(node, "the barrier", words::BARRIER));
    let mask = entries
        .get("mask")
        .and_then(|node| reader.choice(node, "the mask", words::MASK));
    let plugged = entries
        .get("plugged")
        .map(|node| plugged(reader, node))
        .unwrap_or_default();
    let gauge = entries
        .get("gauge")
        .and_then(|node| reader.name(node, "a gauge"));
    let date = entries.get("date").and_then(|node| date(reader, node));
    let note = entries
        .get("note")
        .and_then(|node| reader.text(node, "a note", limits::NOTE));
    let when = when(reader, entries);
    Some(Reading {
        id: id?,
        kind: kind_of(form?.key, names)?,
        values: values?,
        depressurised: direction,
        fan,
        tap,
        barrier,
        mask,
        plugged,
        gauge,
        date,
        when,
        note,
    })
}

/// `after` or `before` a step of sealing.
pub(super) fn when<'t>(reader: &mut Reader<'t>, entries: &Entries<'_, 't>) -> Option<When> {
    let mut step = |key: &str| {
        let step = reader.id(entries.get(key)?, "the name of a step of sealing")?;
        Some(When {
            step,
            after: key == "after",
        })
    };
    let (after, before) = (step("after"), step("before"));
    if let (Some(first), Some(second)) = (entries.key_at("after"), entries.key_at("before")) {
        reader.report(apart("after", "before", first, second));
    }
    after.or(before)
}

/// Words for two keys that exclude each other.
pub(super) fn apart(one: &str, other: &str, first: Span, second: Span) -> Diagnostic {
    Diagnostic::new(
        "E0143",
        second,
        format!("`{one}` and `{other}` exclude each other"),
    )
    .label("one too many")
    .also(first, "the other")
    .hint("keep one of them")
}

fn plugged<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Marked<String>> {
    let Some(items) = reader.list_up_to(node, "the plugged runs", limits::PLUGGED) else {
        return Vec::new();
    };
    let mut found: Vec<Marked<String>> = Vec::new();
    for item in items {
        let Some(id) = reader.id(item, "the name of a run") else {
            continue;
        };
        match found.iter().find(|first| first.value == id.value) {
            Some(first) => reader.report(
                Diagnostic::new(
                    "E0151",
                    id.at,
                    format!("{} is plugged twice", quoted(&id.value)),
                )
                .label("a second time")
                .also(first.at, "first here")
                .hint("keep one of them"),
            ),
            None => found.push(id),
        }
    }
    found
}

/// A day of the calendar, `2026-11-02`.
pub(super) fn date<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<String>> {
    let said = reader.name(node, "a date")?;
    if is_day(&said.value) {
        return Some(said);
    }
    reader.report(
        Diagnostic::new(
            "E0122",
            said.at,
            format!("{} is not a day of the calendar", quoted(&said.value)),
        )
        .label("not a date")
        .hint("write year, month and day like `2026-11-02`"),
    );
    None
}

/// Whether words are a day that exists, `YYYY-MM-DD`, by the Gregorian rule.
fn is_day(words: &str) -> bool {
    let parts: Vec<&str> = words.split('-').collect();
    let [year, month, day] = parts[..] else {
        return false;
    };
    let digits =
        |part: &str, count| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
    if !(digits(year, 4) && digits(month, 2) && digits(day, 2)) {
        return false;
    }
    let (Ok(year), Ok(month), Ok(day)) = (
        year.parse::<u32>(),
        month.parse::<u32>(),
        day.parse::<u32>(),
    ) else {
        return false;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => 0,
    };
    (1..=days).contains(&day)
}
