//! Many changes at once, where they do not touch each other: a name that is mentioned in a thousand places is not a thousand
//! readings of the text.
//!
//! What comes of it is what the changes come to one after another, and is held against the same expected tree; wherever that is
//! not sure, nothing is done here and they are made one by one.

use super::set::{self, Cuts};
use super::sheet::Sheet;
use super::value::{Step, Value};
use super::{Edit, checked, expect, insert, order};

/// How many of the first changes of a list might be made at once: 2 at least, or none.
pub(super) fn ahead(edits: &[Edit]) -> usize {
    let words = edits.iter().take_while(|edit| is_word(edit)).count();
    let many = words.max(items_ahead(edits));
    if many > 1 { many } else { 0 }
}

/// The text after changes that are all of one kind, and their paths.
pub(super) fn at_once(text: &str, edits: &[Edit]) -> Option<(String, Vec<Vec<Step>>)> {
    if is_word(edits.first()?) {
        set_words(text, edits)
    } else {
        insert_items(text, edits)
    }
}

fn is_word(edit: &Edit) -> bool {
    matches!(
        edit,
        Edit::Set {
            value: Value::Word(_),
            ..
        }
    )
}

/// Single values put in the place of single values.
fn set_words(text: &str, edits: &[Edit]) -> Option<(String, Vec<Vec<Step>>)> {
    let sheet = Sheet::read(text).ok()?;
    let before = Value::of(&sheet.root, text);
    let mut expected = before.clone();
    let mut cuts = Cuts::new();
    let mut paths = Vec::new();
    for edit in edits {
        let Edit::Set { path, value } = edit else {
            return None;
        };
        let old = before.at(path)?;
        old.text()?;
        paths.push(path.clone());
        if expect::same(old, value) {
            continue;
        }
        cuts.extend(set::set(&sheet, path, value).ok()?);
        if !expect::set(&mut expected, path, value) {
            return None;
        }
    }
    let text = apart(text, cuts, &expected)?;
    // Of two at one path the later counts; then the first cannot be taken for done.
    let mut keys: Vec<String> = paths.iter().map(|path| format!("{path:?}")).collect();
    keys.sort_unstable();
    keys.windows(2)
        .all(|pair| pair[0] != pair[1])
        .then_some((text, paths))
}

/// How many of the first changes put items one behind the other into one list.
fn items_ahead(edits: &[Edit]) -> usize {
    let Some(Edit::Insert {
        path: list,
        at: Some(first),
        ..
    }) = edits.first()
    else {
        return 0;
    };
    let follows = |(k, edit): &(usize, &Edit)| {
        matches!(edit, Edit::Insert { path, at: Some(at), .. }
            if path == list && at.checked_sub(*first) == Some(*k))
    };
    edits.iter().enumerate().take_while(follows).count()
}

/// Items behind another item of a list.
fn insert_items(text: &str, edits: &[Edit]) -> Option<(String, Vec<Vec<Step>>)> {
    // The last line would be ended once for each.
    if !text.ends_with('\n') {
        return None;
    }
    let sheet = Sheet::read(text).ok()?;
    let mut expected = Value::of(&sheet.root, text);
    let mut cuts = Cuts::new();
    let mut paths = Vec::new();
    let mut first = None;
    for edit in edits {
        let Edit::Insert {
            path,
            at: Some(at),
            value,
        } = edit
        else {
            return None;
        };
        let behind = *first.get_or_insert(*at);
        let item = [path.as_slice(), &[Step::Item(0)]].concat();
        let value = order::ordered(&item, value);
        if behind == 0 || !matches!(expected.at(path), Some(Value::List(_))) {
            return None;
        }
        let own = insert::insert(&sheet, path, behind, &value).ok()?;
        if own.len() != 1 || !expect::insert(&mut expected, path, *at, &value) {
            return None;
        }
        cuts.extend(own);
        paths.push([path.as_slice(), &[Step::Item(*at)]].concat());
    }
    Some((checked(text, cuts, true, &expected).ok()?, paths))
}

/// The text with cuts made that do not touch each other, if it reads as expected.
fn apart(text: &str, mut cuts: Cuts, expected: &Value) -> Option<String> {
    cuts.sort_by_key(|(at, _)| *at);
    let is_apart = cuts.windows(2).all(|pair| pair[0].0.end < pair[1].0.start);
    if !is_apart {
        return None;
    }
    checked(text, cuts, true, expected).ok()
}
