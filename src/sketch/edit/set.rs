//! Puts a value where another stands, or where none stands yet.

use super::super::span::Span;
use super::super::tree::{Kind, Node};
use super::order;
use super::pieces::Piece;
use super::refused::{EditRefused, nowhere, shared, unsuited};
use super::scalar::{Before, Ground, word};
use super::sheet::{Child, Sheet, Spot};
use super::value::{Step, Value, key_text};
use super::write;

/// Stretches of the text and what takes their place; none overlap.
pub(super) type Cuts = Vec<(Span, String)>;

/// The cuts that put a value at a path. Containers that stand there are replaced as a whole: those who want to keep what is inside
/// change it piece by piece.
pub(super) fn set(sheet: &Sheet<'_>, path: &[Step], value: &Value) -> Result<Cuts, EditRefused> {
    let way = sheet.follow(path)?;
    let depth = way.levels.len();
    if depth == path.len() {
        let Some(level) = way.levels.last() else {
            return Err(unsuited());
        };
        return replace(sheet, level.spot, &level.children[level.taken], value);
    }
    // What is missing on the way is made around the value.
    let mut value = value.clone();
    for step in path[depth + 1..].iter().rev() {
        value = match step {
            Step::Key(key) => Value::Mapping(vec![(key.clone(), value)]),
            Step::Item(0) => Value::List(vec![value]),
            Step::Item(_) => return Err(nowhere(path)),
        };
    }
    match (&path[depth], &way.last.node.kind) {
        (Step::Key(key), Kind::Mapping(_)) => add_key(sheet, &path[..depth], way.last, key, &value),
        (Step::Key(key), Kind::Nothing) => {
            let whole = Value::Mapping(vec![(key.clone(), value)]);
            match way.levels.last() {
                Some(level) => replace(sheet, level.spot, &level.children[level.taken], &whole),
                None => Ok(first_key(sheet, &whole)),
            }
        }
        (Step::Item(0), Kind::Nothing) if depth > 0 => {
            let level = &way.levels[depth - 1];
            replace(
                sheet,
                level.spot,
                &level.children[level.taken],
                &Value::List(vec![value]),
            )
        }
        _ => Err(nowhere(&path[..=depth])),
    }
}

/// The first key of a text that holds comments at most.
fn first_key(sheet: &Sheet<'_>, whole: &Value) -> Cuts {
    let Value::Mapping(entries) = whole else {
        return Cuts::new();
    };
    let (key, value) = &entries[0];
    let end = sheet.text.len();
    let mut text = write::entry(key, value, 0, sheet.newline);
    if !sheet.starts_line(end) {
        text.insert_str(0, sheet.newline);
    }
    text.push_str(sheet.newline);
    vec![(Span::new(end, end), text)]
}

/// Where the value of a child stands, with what belongs to it; empty where none is written.
fn stretch(sheet: &Sheet<'_>, child: &Child<'_, '_>) -> Span {
    let from = child.key.map_or(child.head, |key| key.at.end);
    let mut pieces = sheet
        .pieces_in(from, child.end)
        .iter()
        .skip_while(|(piece, _)| {
            matches!(piece, Piece::Colon | Piece::Comment) || child_dash(child, piece)
        });
    match pieces.next() {
        Some((_, at)) => Span::new(at.start, child.end),
        None => Span::new(child.end, child.end),
    }
}

/// Whether a piece is the dash of an item whose value is no list itself.
fn child_dash(child: &Child<'_, '_>, piece: &Piece) -> bool {
    child.key.is_none() && *piece == Piece::Dash && !matches!(child.node.kind, Kind::List(_))
}

/// The cuts that put a value in the place of a child's.
pub(super) fn replace<'t>(
    sheet: &Sheet<'t>,
    around: Spot<'_, 't>,
    child: &Child<'_, 't>,
    value: &Value,
) -> Result<Cuts, EditRefused> {
    if sheet.holds(child.head, child.end, Piece::Shared) {
        return Err(shared());
    }
    let old = if matches!(child.node.kind, Kind::List(_)) && child.key.is_none() {
        Span::new(child.node.at.start, child.end)
    } else {
        stretch(sheet, child)
    };
    let text = if around.ground == Ground::Block {
        in_block(sheet, child, old, value)
    } else {
        single_or(value, child.node, sheet, old, Ground::Flow)
    };
    // Lines below their key start behind the colon, and what fits there takes the place of lines below it.
    let below = text.starts_with(['\n', '\r']);
    let stood_below = matches!(child.node.kind, Kind::List(_) | Kind::Mapping(_))
        && around.ground == Ground::Block
        && child.key.is_some()
        && sheet.starts_line(old.start);
    let start = if below || stood_below {
        sheet.text[..old.start].trim_end().len()
    } else {
        old.start
    };
    if sheet.holds(
        child.key.map_or(old.start, |key| key.at.end).min(start),
        old.end,
        Piece::Comment,
    ) {
        return Err(
            EditRefused::new("comments stand inside what would be replaced")
                .hint("change the values inside one by one, or change it in the text"),
        );
    }
    let before = sheet.text[..start].chars().next_back();
    let glue = if old.start == old.end && child.key.is_some_and(|key| key.at.end == old.start) {
        ": "
    } else if before.is_some_and(|c| c == ':' || c == '-') && !below {
        " "
    } else {
        ""
    };
    Ok(vec![(Span::new(start, old.end), format!("{glue}{text}"))])
}

/// A single value in the quotes of the one before it, or any other value on one line.
fn single_or(
    value: &Value,
    node: &Node<'_>,
    sheet: &Sheet<'_>,
    old: Span,
    ground: Ground,
) -> String {
    match value {
        Value::Word(text) => {
            let before = match Value::of(node, sheet.text).text() {
                Some(said) => Before::of(&sheet.text[old.start..old.end], said, ground),
                None => Before::New,
            };
            word(text, ground, before)
        }
        _ => write::one_line(value, ground),
    }
}

fn in_block(sheet: &Sheet<'_>, child: &Child<'_, '_>, old: Span, value: &Value) -> String {
    let column = sheet.column(child.head);
    if !matches!(value, Value::List(_) | Value::Mapping(_)) {
        return single_or(value, child.node, sheet, old, Ground::Block);
    }
    let is_block = sheet.text[child.head..old.start].contains('\n');
    match child.key {
        Some(key) => {
            let used = sheet.column(key.at.end) + 1;
            let text = write::after_colon(value, column, used, sheet.newline);
            text.strip_prefix(' ').map_or(text.clone(), str::to_owned)
        }
        None => write::item_text(value, column, is_block, sheet.newline),
    }
}

/// The cut that calls a key otherwise.
pub(super) fn rename(sheet: &Sheet<'_>, path: &[Step], to: &str) -> Result<Cuts, EditRefused> {
    let way = sheet.follow(path)?;
    let level = way.levels.last().filter(|_| way.levels.len() == path.len());
    let Some((level, Some(key))) = level.map(|level| (level, level.children[level.taken].key))
    else {
        return Err(nowhere(path));
    };
    let written = &sheet.text[key.at.start..key.at.end];
    let said = key_text(key, sheet.text);
    let ground = level.spot.ground;
    let text = word(to, ground, Before::of(written, &said, ground));
    Ok(vec![(key.at, text)])
}

/// The cuts that add a key to a mapping.
fn add_key<'t>(
    sheet: &Sheet<'t>,
    path: &[Step],
    spot: Spot<'_, 't>,
    key: &str,
    value: &Value,
) -> Result<Cuts, EditRefused> {
    let Kind::Mapping(entries) = &spot.node.kind else {
        return Err(unsuited());
    };
    let children = sheet.children(spot)?;
    let present: Vec<String> = entries
        .iter()
        .map(|(key, _)| key_text(key, sheet.text))
        .collect();
    let place = order::place_of(path, key, &present);
    if spot.ground == Ground::Flow {
        let text = write::flow(&Value::Mapping(vec![(key.to_owned(), value.clone())]));
        return add_between(sheet, spot, &children, place, &text[1..text.len() - 1]);
    }
    let Some(first) = children.first() else {
        return Err(unsuited());
    };
    let column = sheet.column(first.head);
    let text = write::entry(key, value, column, sheet.newline);
    let indent = " ".repeat(column);
    if place == 0 {
        let at = first.head;
        return Ok(vec![(
            Span::new(at, at),
            format!("{text}{}{indent}", sheet.newline),
        )]);
    }
    let end = children[place - 1].end;
    let line = sheet.past_line_of(end)?;
    let at = sheet.past_comments(line, column);
    let open = if sheet.text[..at].ends_with('\n') {
        ""
    } else {
        sheet.newline
    };
    let blank = if path.is_empty() && is_apart(sheet, &children, place, &text) {
        sheet.newline
    } else {
        ""
    };
    Ok(vec![(
        Span::new(at, at),
        format!("{open}{blank}{indent}{text}{}", sheet.newline),
    )])
}

/// Whether a new part of the file gets a blank line before it: where it or the part before it takes several lines.
fn is_apart(sheet: &Sheet<'_>, children: &[Child<'_, '_>], place: usize, text: &str) -> bool {
    let before = &children[place - 1];
    text.contains('\n') || sheet.text[before.head..before.end].contains('\n')
}

/// The cuts that put a text between the children of a bracket.
pub(super) fn add_between<'t>(
    sheet: &Sheet<'t>,
    spot: Spot<'_, 't>,
    children: &[Child<'_, 't>],
    place: usize,
    text: &str,
) -> Result<Cuts, EditRefused> {
    let open = spot.node.at.start;
    let here = |at: usize, text: String| (Span::new(at, at), text);
    if children.is_empty() {
        return Ok(vec![here(open + 1, text.to_owned())]);
    }
    let own_lines = children.iter().all(|child| sheet.starts_line(child.head));
    if place == 0 {
        let head = children[0].head;
        let gap = if own_lines {
            format!("{}{}", sheet.newline, " ".repeat(sheet.column(head)))
        } else {
            " ".to_owned()
        };
        return Ok(vec![here(head, format!("{text},{gap}"))]);
    }
    let before = &children[place - 1];
    if !own_lines {
        return Ok(vec![here(before.end, format!(", {text}"))]);
    }
    // On a line of its own, behind the comment of the line before.
    let indent = " ".repeat(sheet.column(before.head));
    let next = sheet.next_line(before.end);
    let rest = sheet.pieces_in(before.end, next);
    let has_comma = rest.iter().any(|(piece, _)| *piece == Piece::Comma);
    if rest
        .iter()
        .any(|(piece, _)| !matches!(piece, Piece::Comma | Piece::Comment))
    {
        return Ok(vec![here(
            before.end,
            format!(",{}{indent}{text}", sheet.newline),
        )]);
    }
    let comma = if place < children.len() || has_comma {
        ","
    } else {
        ""
    };
    let mut cuts = Cuts::new();
    if !has_comma {
        cuts.push(here(before.end, ",".to_owned()));
    }
    cuts.push(here(
        next,
        format!("{indent}{text}{comma}{}", sheet.newline),
    ));
    Ok(cuts)
}
