//! Puts an item into a list.

use super::super::span::Span;
use super::super::tree::Kind;
use super::refused::{EditRefused, nowhere, unsuited};
use super::scalar::Ground;
use super::set::{self, Cuts, add_between};
use super::sheet::{Child, Sheet};
use super::value::{Step, Value};
use super::write;

/// The cuts that put a value before the item `at` of a list; the list is made where none stands.
pub(super) fn insert(
    sheet: &Sheet<'_>,
    path: &[Step],
    at: usize,
    value: &Value,
) -> Result<Cuts, EditRefused> {
    let way = sheet.follow(path)?;
    let whole = || Value::List(vec![value.clone()]);
    if way.levels.len() < path.len() || way.last.node.kind == Kind::Nothing {
        return set::set(sheet, path, &whole());
    }
    let Kind::List(items) = &way.last.node.kind else {
        return Err(nowhere(path));
    };
    let spot = way.last;
    let is_below_key = way
        .levels
        .last()
        .is_some_and(|level| level.spot.ground == Ground::Block);
    if items.is_empty() && is_below_key {
        return set::set(sheet, path, &whole());
    }
    let children = sheet.children(spot)?;
    if spot.ground == Ground::Flow {
        return add_between(sheet, spot, &children, at, &write::flow(value));
    }
    let Some(first) = children.first() else {
        return Err(unsuited());
    };
    let column = sheet.column(first.head);
    let neighbour = &children[at.saturating_sub(1).min(children.len() - 1)];
    let below = is_block_mapping(sheet, neighbour);
    let item = write::item_text(value, column, below, sheet.newline);
    let indent = " ".repeat(column);
    let newline = sheet.newline;
    if at == 0 {
        let head = first.head;
        return Ok(vec![(
            Span::new(head, head),
            format!("- {item}{newline}{indent}"),
        )]);
    }
    let line = sheet.past_line_of(children[at - 1].end)?;
    let place = sheet.past_comments(line, column);
    let open = if sheet.text[..place].ends_with('\n') {
        ""
    } else {
        newline
    };
    Ok(vec![(
        Span::new(place, place),
        format!("{open}{indent}- {item}{newline}"),
    )])
}

fn is_block_mapping<'t>(sheet: &Sheet<'t>, child: &Child<'_, 't>) -> bool {
    matches!(child.node.kind, Kind::Mapping(_))
        && sheet.spot_of(child, Ground::Block).ground == Ground::Block
}
