//! Reads what was seen and what was sealed.

use std::collections::BTreeMap;

use super::diagnostics::Diagnostic;
use super::entries::Entries;
use super::limits;
use super::reader::Reader;
use super::readings::{apart, date, when};
use super::runs::unique;
use super::span::Marked;
use super::tables;
use super::tree::{Kind, Node};
use super::types::{Look, Sealing, Seen};
use super::whole::quantity;
use super::words;

/// Reads one look.
pub(super) fn look<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Look> {
    let entries = reader.mapping(node, &tables::LOOK)?;
    let seams = seams(reader, &entries, "seam");
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
        .and_then(|node| reader.yes(node, "sealed", "take `sealed` out where it does not hold"))
        .map(|at| Marked::new(Seen::Sealed, at));
    let hanging = entries
        .get("hanging")
        .and_then(|node| {
            let otherwise =
                "write `sealed: yes` where you saw that it is sound, and take `hanging` out";
            reader.yes(node, "hanging", otherwise)
        })
        .map(|at| Marked::new(Seen::Hanging, at));
    let at = quantity(reader, &entries, "at", &limits::TEST_PRESSURE);
    let during = entries
        .get("during")
        .and_then(|node| reader.id(node, "the name of a reading"));
    let when = when(reader, &entries);
    if let Some(first) = entries.key_at("during") {
        for key in ["at", "after", "before"] {
            if let Some(second) = entries.key_at(key) {
                reader.report(apart("during", key, first, second));
            }
        }
    }
    Some(Look {
        seams: seams?,
        seen: smoke.or(gap).or(sealed).or(hanging)?,
        by,
        at,
        during,
        when,
    })
}

/// A seam or group in words, or a list of them.
pub(super) fn seams<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    key: &str,
) -> Option<Vec<Marked<String>>> {
    let node = entries.get(key)?;
    let mut one = |node: &Node<'t>| reader.text(node, "a seam", 3 * limits::NAME);
    let Kind::List(items) = &node.kind else {
        return Some(vec![one(node)?]);
    };
    let read: Vec<Option<Marked<String>>> = items.iter().map(one).collect();
    if items.is_empty() {
        reader.report(
            Diagnostic::new("E0110", node.at, "the list of seams is empty")
                .label("an empty list")
                .hint("write one seam, or several between the brackets"),
        );
        return None;
    }
    read.into_iter().collect()
}

/// Reads the steps of sealing.
pub(super) fn sealing<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Sealing> {
    let Some(items) = reader.list(node, "the steps of sealing") else {
        return Vec::new();
    };
    let mut ids = BTreeMap::new();
    let mut steps = Vec::new();
    for item in items {
        let Some(entries) = reader.mapping(item, &tables::SEALING) else {
            continue;
        };
        let id = entries
            .get("id")
            .and_then(|node| reader.id(node, "the name of a step of sealing"));
        if let Some(id) = &id {
            unique(reader, id, "steps of sealing", &mut ids);
        }
        let date = entries.get("date").and_then(|node| date(reader, node));
        let seams = seams(reader, &entries, "seams");
        let work = entries
            .get("work")
            .and_then(|node| reader.choice(node, "the work of sealing", words::SEALED_WITH));
        if let (Some(id), Some(seams)) = (id, seams) {
            steps.push(Sealing {
                id,
                date,
                seams,
                work,
            });
        }
    }
    steps
}
