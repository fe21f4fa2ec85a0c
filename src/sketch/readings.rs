//! Reads what was measured and what was seen.

use std::collections::BTreeMap;

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::limits;
use super::reader::Reader;
use super::runs::unique;
use super::span::Marked;
use super::tables;
use super::tree::Node;
use super::types::{FanAt, Look, Reading, ReadingKind, Relation, Seen, TapAt};
use super::whole::quantity;
use super::words;
use crate::quantity::{Flow, Fraction, Parts, Pressure, QuantityErrorKind, Stated};

/// Reads the list of readings.
pub(super) fn readings<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Reading> {
    let Some(items) = reader.list(node, "the readings") else {
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
    }
    found
}

fn reading<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    id: Option<Marked<String>>,
) -> Option<Reading> {
    let key = tables::READING
        .one_of
        .iter()
        .copied()
        .find(|key| entries.get(key).is_some());
    let stated = key
        .and_then(|key| entries.get(key))
        .and_then(|node| stated(reader, node));
    let run = entries
        .get("run")
        .and_then(|node| reader.id(node, "the name of a run"));
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
    let kind = match key? {
        "total" => ReadingKind::Total,
        "to outside" => ReadingKind::ToOutside,
        "supply" => ReadingKind::Supply,
        "return" => ReadingKind::Return,
        _ => ReadingKind::Isolated { run: run? },
    };
    if let (false, Some(at)) = (
        matches!(kind, ReadingKind::Supply | ReadingKind::Return),
        entries.key_at("barrier"),
    ) {
        misplaced(reader, at, "barrier", "a supply or return reading");
    }
    let stated = stated?;
    Some(Reading {
        id: id?,
        kind,
        relation: stated.relation,
        flow: stated.flow,
        pressure: stated.pressure,
        depressurised: direction.is_some_and(|direction| direction.value),
        relative_sd: stated.relative_sd,
        absolute_sd: stated.absolute_sd,
        fan,
        tap,
        barrier,
        mask,
        plugged,
        gauge,
        date,
        note,
    })
}

fn misplaced(reader: &mut Reader<'_>, at: super::span::Span, key: &str, of: &str) {
    reader.report(
        Diagnostic::new("E0142", at, format!("`{key}` belongs to {of}"))
            .label("not of this reading")
            .hint("take it out, or change the kind of the reading"),
    );
}

fn plugged<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Marked<String>> {
    let Some(items) = reader.list(node, "the plugged runs") else {
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
fn date<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<String>> {
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

/// `210 CFM25` as people say it: the flow and the pressure that are meant.
fn run_together(value: &str) -> Option<String> {
    let flow = value.trim_end_matches(|c: char| c.is_ascii_digit());
    let pressure = &value[flow.len()..];
    let flow = flow.trim();
    (!pressure.is_empty() && flow.parse::<Flow>().is_ok()).then(|| {
        let flow = if flow.to_ascii_lowercase().ends_with("cfm") {
            flow.to_ascii_lowercase()
        } else {
            flow.to_owned()
        };
        format!("{flow} at {pressure} Pa")
    })
}

/// What a reading states, part by part.
struct Said {
    relation: Relation,
    flow: Marked<Flow>,
    pressure: Option<Marked<Pressure>>,
    relative_sd: Option<Marked<Fraction>>,
    absolute_sd: Option<Marked<Flow>>,
}

/// `263 cfm at 25 Pa ± 3 %`.
fn stated<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Said> {
    let cut = reader.words(node, "a reading")?;
    let parts = match Parts::cut(cut.text) {
        Ok(parts) => parts,
        Err(error) => {
            reader.refuse(cut.inner(), &error);
            return None;
        }
    };
    if let Some(apart) = run_together(parts.value) {
        let at = cut.span(parts.value);
        let title = format!(
            "{} runs a flow and its pressure together",
            quoted(parts.value)
        );
        let apart = match parts.at {
            // The pressure stands after it once more.
            Some(_) => apart.split(" at ").next().unwrap_or_default().to_owned(),
            None => apart,
        };
        reader.report(
            Diagnostic::new("E0120", at, title)
                .label("unknown unit")
                .suggest(Some(&apart)),
        );
        return None;
    }
    let flow: Option<Marked<Flow>> = reader.quantity_in(&cut, parts.value, &limits::LEAKAGE);
    let pressure: Option<Option<Marked<Pressure>>> = match parts.at {
        Some(at) => reader
            .quantity_in(&cut, at, &limits::TEST_PRESSURE)
            .map(Some),
        None => Some(None),
    };
    let (flow, pressure) = (flow?, pressure?);
    let whole = match cut.text.parse::<Stated<Flow>>() {
        Ok(whole) => whole,
        Err(error) => {
            let at = parts.coverage.or(parts.error).unwrap_or(cut.text);
            // The coverage is read first; an error that reads alone leaves the blame with the coverage.
            let at = match (parts.error, parts.coverage) {
                (Some(error), Some(coverage))
                    if coverage
                        .parse::<Fraction>()
                        .is_ok_and(|part| (part.si() - 0.95).abs() < 1e-9) =>
                {
                    error
                }
                _ => at,
            };
            if let (QuantityErrorKind::Sign, Some(part)) = (error.kind(), parts.error) {
                let si = part.parse::<Fraction>().map_or(0.0, Fraction::si);
                reader.within(cut.span(part), part, si.min(0.0), &limits::RELATIVE_ERROR);
                return None;
            }
            reader.refuse(cut.span(at), &error);
            return None;
        }
    };
    let error_at = cut.span(parts.error.unwrap_or(cut.text));
    if let Some(sd) = whole.relative_sd
        && !reader.within(
            error_at,
            parts.error.unwrap_or_default(),
            sd.si(),
            &limits::RELATIVE_ERROR,
        )
    {
        return None;
    }
    if let Some(sd) = whole.absolute_sd
        && sd.si() > flow.value.si()
    {
        reader.report(
            Diagnostic::new("E0141", error_at, "the error is larger than the reading")
                .label("one standard deviation")
                .hint("write `below ...` where only an upper bound is known"),
        );
        return None;
    }
    Some(Said {
        relation: if parts.below {
            Relation::Below
        } else {
            Relation::Equals
        },
        flow,
        pressure,
        relative_sd: whole.relative_sd.map(|sd| Marked::new(sd, error_at)),
        absolute_sd: whole.absolute_sd.map(|sd| Marked::new(sd, error_at)),
    })
}

/// Reads one look.
pub(super) fn look<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Look> {
    let entries = reader.mapping(node, &tables::LOOK)?;
    let seam = entries
        .get("seam")
        .and_then(|node| reader.text(node, "a seam", 3 * limits::NAME));
    let by = entries
        .get("by")
        .and_then(|node| reader.name(node, "a name"));
    let smoke = entries
        .get("smoke")
        .and_then(|node| reader.choice(node, "the smoke", words::SMOKE))
        .map(|smoke| Marked::new(Seen::Smoke(smoke.value), smoke.at));
    let gap = quantity(reader, &entries, "gap", &limits::GAP)
        .map(|gap| Marked::new(Seen::Gap(gap.value), gap.at));
    let sealed = entries
        .get("sealed")
        .and_then(|node| reader.yes(node, "sealed"))
        .map(|at| Marked::new(Seen::Sealed, at));
    let hanging = entries
        .get("hanging")
        .and_then(|node| reader.yes(node, "hanging"))
        .map(|at| Marked::new(Seen::Hanging, at));
    Some(Look {
        seam: seam?,
        seen: smoke.or(gap).or(sealed).or(hanging)?,
        by,
    })
}
