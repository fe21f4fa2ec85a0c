//! Reads other ways of building the same system.

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::limits;
use super::named::named;
use super::reader::Reader;
use super::span::Marked;
use super::tables;
use super::tree::{Kind, Node};
use super::types::{Variant, WorkChange};
use super::words;
use crate::quantity::Fraction;

/// Reads the list of variants.
pub(super) fn variants<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Variant> {
    let Some(items) = reader.list_up_to(node, "the variants", limits::VARIANTS) else {
        return Vec::new();
    };
    items
        .iter()
        .filter_map(|item| variant(reader, item))
        .collect()
}

/// Reads one of `variants`.
fn variant<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Variant> {
    let entries = reader.mapping(node, &tables::VARIANT)?;
    let id = entries
        .get("id")
        .and_then(|node| reader.id(node, "the name of a variant"));
    let work = entries
        .get("work")
        .map(|node| work(reader, node))
        .unwrap_or_default();
    let seal_class = entries
        .get("seal class")
        .and_then(|node| reader.choice(node, "the seal class", words::SEAL_CLASS));
    let swap = pairs(
        reader,
        &entries,
        "swap",
        "`tab collar: spin-in`",
        "a joint type",
    );
    let moved = pairs(
        reader,
        &entries,
        "move",
        "`attic: inside`",
        "the name of a place",
    );
    let shorter = entries
        .get("shorter")
        .map(|node| shorter(reader, node))
        .unwrap_or_default();
    let says = ["work", "seal class", "swap", "move", "shorter"];
    if !says.iter().any(|key| entries.get(key).is_some()) {
        reader.report(
            Diagnostic::new("E0290", entries.at, "the variant changes nothing")
                .label("no change stands here")
                .hint(
                    "say what is built otherwise: `work: mastic`, `seal class: C`, `swap: {tab collar: spin-in}`, `move: \
                     {attic: inside}` or `shorter: 20 %`",
                ),
        );
        return None;
    }
    Some(Variant {
        id: id?,
        at: entries.at,
        work,
        seal_class,
        swap,
        moved,
        shorter,
    })
}

fn work<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<WorkChange> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let work = reader.choice(node, "the work", words::WORK);
        return work
            .map(|work| WorkChange { seams: None, work })
            .into_iter()
            .collect();
    }
    let all = named(
        reader,
        node,
        "the work",
        "a word like `mastic`, or a mapping like `all boots: mastic`",
        |reader, key| reader.text(key, "seams", limits::LINE),
    );
    all.into_iter()
        .filter_map(|(seams, value)| {
            let work = reader.choice(value, "the work", words::WORK)?;
            Some(WorkChange {
                seams: Some(seams),
                work,
            })
        })
        .collect()
}

fn pairs<'n, 't>(
    reader: &mut Reader<'t>,
    entries: &Entries<'n, 't>,
    key: &str,
    example: &str,
    what: &str,
) -> Vec<(Marked<String>, Marked<String>)> {
    let Some(node) = entries.get(key) else {
        return Vec::new();
    };
    let remedy = format!("a mapping like {example}");
    let all = named(reader, node, &format!("`{key}`"), &remedy, |reader, key| {
        reader.text(key, what, limits::NAME)
    });
    all.into_iter()
        .filter_map(|(from, value)| {
            let to = reader.text(value, what, limits::NAME)?;
            if from.value.eq_ignore_ascii_case(&to.value) {
                reader.report(
                    Diagnostic::new(
                        "E0290",
                        to.at,
                        format!("{} takes its own place", quoted(&to.value)),
                    )
                    .label("the same")
                    .hint("name something else, or take the line out"),
                );
                return None;
            }
            Some((from, to))
        })
        .collect()
}

fn shorter<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
) -> Vec<(Option<Marked<String>>, Marked<Fraction>)> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let part = reader.quantity(node, &limits::SHORTER);
        return part.map(|part| (None, part)).into_iter().collect();
    }
    let all = named(
        reader,
        node,
        "`shorter`",
        "a part like `20 %`, or a mapping like `kitchen: 20 %`",
        |reader, key| reader.id(key, "the name of a run"),
    );
    all.into_iter()
        .filter_map(|(run, value)| Some((Some(run), reader.quantity(value, &limits::SHORTER)?)))
        .collect()
}
