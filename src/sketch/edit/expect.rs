//! The same change done to the tree: what the changed text must read as.

use super::value::{Step, Value};

/// Puts a value at a path; missing keys and mappings on the way are made. False where the path leads nowhere.
pub(super) fn set(root: &mut Value, path: &[Step], value: &Value) -> bool {
    let Some((step, rest)) = path.split_first() else {
        *root = value.clone();
        return true;
    };
    if *root == Value::Nothing {
        *root = match step {
            Step::Key(_) => Value::Mapping(Vec::new()),
            Step::Item(0) => Value::List(vec![Value::Nothing]),
            Step::Item(_) => return false,
        };
    }
    match (root, step) {
        (Value::Mapping(entries), Step::Key(key)) => {
            let at = entries
                .iter()
                .position(|(own, _)| own == key)
                .unwrap_or_else(|| {
                    entries.push((key.clone(), Value::Nothing));
                    entries.len() - 1
                });
            set(&mut entries[at].1, rest, value)
        }
        (Value::List(items), Step::Item(i)) => match items.get_mut(*i) {
            Some(item) => set(item, rest, value),
            None => false,
        },
        _ => false,
    }
}

/// Takes an item or a key out. False where nothing stands there.
pub(super) fn remove(root: &mut Value, path: &[Step]) -> bool {
    let Some((last, way)) = path.split_last() else {
        return false;
    };
    match (at_mut(root, way), last) {
        (Some(Value::Mapping(entries)), Step::Key(key)) => {
            let found = entries.iter().position(|(own, _)| own == key);
            found.map(|i| entries.remove(i)).is_some()
        }
        (Some(Value::List(items)), Step::Item(i)) if *i < items.len() => {
            items.remove(*i);
            true
        }
        _ => false,
    }
}

/// Calls a key otherwise. False where it does not stand, or another is called so.
pub(super) fn rename(root: &mut Value, path: &[Step], to: &str) -> bool {
    let Some((Step::Key(key), parent)) = path.split_last() else {
        return false;
    };
    let Some(Value::Mapping(entries)) = at_mut(root, parent) else {
        return false;
    };
    if entries.iter().any(|(own, _)| own == to) {
        return false;
    }
    let found = entries.iter_mut().find(|(own, _)| own == key);
    found.map(|(own, _)| to.clone_into(own)).is_some()
}

/// Puts a value into a list that stands there. False where none does.
pub(super) fn insert(root: &mut Value, path: &[Step], at: usize, value: &Value) -> bool {
    match at_mut(root, path) {
        Some(Value::List(items)) if at <= items.len() => {
            items.insert(at, value.clone());
            true
        }
        _ => false,
    }
}

fn at_mut<'v>(root: &'v mut Value, path: &[Step]) -> Option<&'v mut Value> {
    path.iter()
        .try_fold(root, |value, step| match (value, step) {
            (Value::Mapping(entries), Step::Key(key)) => entries
                .iter_mut()
                .find(|(own, _)| own == key)
                .map(|(_, v)| v),
            (Value::List(items), Step::Item(i)) => items.get_mut(*i),
            _ => None,
        })
}

/// Whether two values say the same: the order of the keys of a mapping says nothing, numbers are their text.
pub(super) fn same(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::List(a), Value::List(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
        }
        (Value::Mapping(a), Value::Mapping(b)) => {
            fn sorted(entries: &[(String, Value)]) -> Vec<&(String, Value)> {
                let mut all: Vec<_> = entries.iter().collect();
                all.sort_by(|a, b| a.0.cmp(&b.0));
                all
            }
            a.len() == b.len()
                && sorted(a)
                    .iter()
                    .zip(sorted(b))
                    .all(|(a, b)| a.0 == b.0 && same(&a.1, &b.1))
        }
        (Value::List(_) | Value::Mapping(_) | Value::Nothing, _) => one == other,
        _ => one.text().is_some() && one.text() == other.text(),
    }
}
