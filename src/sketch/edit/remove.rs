//! Takes a key or an item out.
//!
//! A comment on the line of what is taken goes with it. Comment lines above it stay, unless they can only speak of it: they stand
//! directly between the item before and it, and no other item follows directly below. A heading under a blank line stays.

use super::super::span::Span;
use super::pieces::Piece;
use super::refused::{EditRefused, nowhere, shared, unsuited};
use super::scalar::Ground;
use super::set::{Cuts, replace};
use super::sheet::{Child, Level, Sheet};
use super::value::{Step, Value};

/// What really goes when a path is taken out: containers left empty go as well, save the runs and a walk.
pub(super) fn whole_of<'p>(root: &Value, path: &'p [Step]) -> &'p [Step] {
    let mut path = path;
    while let Some((_, parent)) = path.split_last() {
        let alone = match root.at(parent) {
            Some(Value::List(items)) => items.len() == 1,
            Some(Value::Mapping(entries)) => entries.len() == 1,
            _ => false,
        };
        if !alone || parent.is_empty() || stays_empty(parent) {
            break;
        }
        path = parent;
    }
    path
}

/// Whether a list is kept though nothing is left in it.
fn stays_empty(path: &[Step]) -> bool {
    match path {
        [Step::Key(key)] => key == "runs",
        [.., Step::Item(_), Step::Key(key)] => key == "walk",
        _ => false,
    }
}

/// The cuts that take out what stands at a path, which is not alone in its container unless that stays empty.
pub(super) fn remove(sheet: &Sheet<'_>, path: &[Step]) -> Result<Cuts, EditRefused> {
    let mut way = sheet.follow(path)?;
    if way.levels.len() < path.len() {
        return Err(nowhere(path));
    }
    let Some(level) = way.levels.pop() else {
        return Err(unsuited());
    };
    let child = &level.children[level.taken];
    if sheet.holds(child.head, child.end, Piece::Shared) {
        return Err(shared());
    }
    if level.children.len() == 1 {
        return match way.levels.last() {
            Some(above) => replace(
                sheet,
                above.spot,
                &above.children[above.taken],
                &Value::List(Vec::new()),
            ),
            None => Err(EditRefused::new(
                "the last key of a sketch cannot be taken out",
            )),
        };
    }
    match level.spot.ground {
        Ground::Flow => from_bracket(sheet, &level),
        Ground::Block if sheet.starts_line(child.head) => lines(sheet, &level),
        Ground::Block => first_on_line(sheet, &level),
    }
}

fn cut(from: usize, to: usize) -> (Span, String) {
    (Span::new(from, to), String::new())
}

/// Whole lines.
fn lines(sheet: &Sheet<'_>, level: &Level<'_, '_>) -> Result<Cuts, EditRefused> {
    let child = &level.children[level.taken];
    let to = sheet.past_line_of(child.end)?;
    let mut from = sheet.line_start(child.head);
    let followed = level
        .children
        .get(level.taken + 1)
        .is_some_and(|next| sheet.line_start(next.head) == to);
    if let (false, Some(i)) = (followed, level.taken.checked_sub(1)) {
        let behind = sheet.next_line(level.children[i].end);
        if behind < from && all_comments(sheet, behind, from, sheet.column(child.head)) {
            from = behind;
        }
    }
    // Of two blank lines that meet, one goes.
    let is_blank_after = sheet.text[to..sheet.next_line(to)].trim().is_empty();
    if from > 0 && is_blank_after {
        let above = sheet.line_start(from - 1);
        if above < from && sheet.text[above..from].trim().is_empty() {
            from = above;
        }
    }
    Ok(vec![cut(from, to)])
}

/// Whether every line of a stretch is a comment at a column.
fn all_comments(sheet: &Sheet<'_>, from: usize, to: usize, column: usize) -> bool {
    sheet.text[from..to].lines().all(|line| {
        let body = line.trim_start_matches(' ');
        body.starts_with('#') && line.len() - body.len() == column
    })
}

/// The first of a container that starts behind a dash: the next moves up, or the dash stands alone above comments.
fn first_on_line(sheet: &Sheet<'_>, level: &Level<'_, '_>) -> Result<Cuts, EditRefused> {
    let child = &level.children[level.taken];
    let Some(next) = level.children.get(level.taken + 1) else {
        return Err(unsuited());
    };
    let line_end = sheet.past_line_of(child.end)?;
    if sheet.holds(line_end, next.head, Piece::Comment) {
        let line = &sheet.text[child.end..line_end];
        let kept = line.len() - line.trim_end_matches(['\n', '\r']).len();
        let from = sheet.text[..child.head].trim_end_matches(' ').len();
        return Ok(vec![cut(from, line_end - kept)]);
    }
    Ok(vec![cut(child.head, next.head)])
}

fn from_bracket(sheet: &Sheet<'_>, level: &Level<'_, '_>) -> Result<Cuts, EditRefused> {
    let child = &level.children[level.taken];
    let before = level.taken.checked_sub(1).map(|i| &level.children[i]);
    let next = level.children.get(level.taken + 1);
    let line_end = sheet.next_line(child.end);
    let alone = sheet.starts_line(child.head)
        && sheet
            .pieces_in(child.end, line_end)
            .iter()
            .all(|(piece, _)| matches!(piece, Piece::Comma | Piece::Comment));
    if alone {
        let mut cuts = vec![cut(sheet.line_start(child.head), line_end)];
        if let (Some(before), None, None) = (before, next, comma(sheet, child, line_end)) {
            let spare = comma(sheet, before, child.head).ok_or_else(unsuited)?;
            cuts.insert(0, cut(spare.start, spare.end));
        }
        return Ok(cuts);
    }
    match (before, next) {
        (Some(before), _) if !sheet.holds(before.end, child.head, Piece::Comment) => {
            Ok(vec![cut(before.end, child.end)])
        }
        (_, Some(next)) if !sheet.holds(child.end, next.head, Piece::Comment) => {
            Ok(vec![cut(child.head, next.head)])
        }
        (Some(before), None) => {
            let spare = comma(sheet, before, child.head).ok_or_else(unsuited)?;
            Ok(vec![
                cut(spare.start, spare.end),
                cut(child.head, child.end),
            ])
        }
        _ => Err(unsuited()),
    }
}

/// The comma behind a child, before a place.
fn comma(sheet: &Sheet<'_>, child: &Child<'_, '_>, to: usize) -> Option<Span> {
    let pieces = sheet.pieces_in(child.end, to);
    pieces
        .iter()
        .find(|(piece, _)| *piece == Piece::Comma)
        .map(|(_, at)| *at)
}
