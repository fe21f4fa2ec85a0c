//! Changes of a sketch's text that touch only the bytes that must change.
//!
//! [`edit`] puts values into the YAML a person wrote, takes them out and adds items to lists, by paths of keys and items. Comments,
//! blank lines, the order of keys, quotes, brackets or lines, indentation, line ends and a byte order mark stay as they were; what is
//! new is written in the style of its place. After every change the new text is read and held against the tree that was to be
//! expected: a change that would say anything else is refused, so no wrong text ever comes out.
//!
//! What is shared by `&name`, `*name`, `<<` or carries a tag is refused in words: it would change in more than one place.
//!
//! # Examples
//! ```
//! use ductseam::sketch::edit::{Edit, Value, edit};
//!
//! let text = "runs:\n  - {id: A, size: 6 in, walk: [cap]} # north\n";
//! let path = vec!["runs".into(), 0.into(), "place".into()];
//! let changed = edit(text, &[Edit::Set { path, value: Value::Word("attic".into()) }]).unwrap();
//! assert_eq!(changed.text, "runs:\n  - {id: A, size: 6 in, place: attic, walk: [cap]} # north\n");
//! ```

mod expect;
mod insert;
mod order;
mod pieces;
mod refused;
mod remove;
mod scalar;
mod set;
mod sheet;
mod together;
mod value;
mod write;

#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;

pub use refused::EditRefused;
pub use value::{Step, Value};

use refused::{nowhere, unsuited};
use set::Cuts;
use sheet::Sheet;

/// Longest path: no text is read that is nested nearly as deep.
const LONGEST_PATH: usize = 64;

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Puts a value at a path; missing keys and mappings on the way are made. Where a list or a mapping stands and another is put, what
    /// stays the same stays as it is written, and keys keep their order.
    Set {
        /// Where.
        path: Vec<Step>,
        /// What.
        value: Value,
    },
    /// Takes a key or an item out. A list or mapping left empty goes as well, save `runs` and a `walk`.
    Remove {
        /// What.
        path: Vec<Step>,
    },
    /// Calls a key otherwise; its value stays.
    Rename {
        /// Which, by its present name.
        path: Vec<Step>,
        /// The new name.
        key: String,
    },
    /// Puts an item into a list, which is made if missing.
    Insert {
        /// The list.
        path: Vec<Step>,
        /// Before which item; at the end if not said.
        at: Option<usize>,
        /// What.
        value: Value,
    },
}

/// A changed text.
#[derive(Debug, Clone, PartialEq)]
pub struct Edited {
    /// The new text.
    pub text: String,
    /// For each change the path of what was set or inserted, in the text right after that change; `None` of what was taken out.
    pub at: Vec<Option<Vec<Step>>>,
}

/// Does changes one after another; each sees the text that the one before left.
///
/// # Errors
/// The first change that cannot be made, in words; then none is made. A text that is no YAML cannot be changed, nor can a path that
/// leads nowhere, a value that is shared (`&`, `*`, `<<`, tags), comments inside what would be replaced as a whole, or a place
/// written so that the new text would not read as expected.
pub fn edit(text: &str, edits: &[Edit]) -> Result<Edited, EditRefused> {
    let mut edited = Edited {
        text: text.to_owned(),
        at: Vec::new(),
    };
    let mut rest = edits;
    // How many of the first ones left are made one by one, since they could not be made at once.
    let mut singly = 0_usize;
    while let Some((one, behind)) = rest.split_first() {
        if singly == 0 {
            let ahead = together::ahead(rest);
            if let Some((text, paths)) = together::at_once(&edited.text, &rest[..ahead]) {
                edited.text = text;
                rest = &rest[ahead..];
                edited.at.extend(paths.into_iter().map(Some));
                continue;
            }
            singly = ahead;
        }
        singly = singly.saturating_sub(1);
        rest = behind;
        let (Edit::Set { path, .. }
        | Edit::Remove { path }
        | Edit::Rename { path, .. }
        | Edit::Insert { path, .. }) = one;
        if path.len() > LONGEST_PATH {
            return Err(unsuited());
        }
        let at = match one {
            Edit::Set { path, value } => {
                let value = order::ordered(path, value);
                edited.text = set_within(&edited.text, path, &value)?;
                Some(path.clone())
            }
            Edit::Remove { path } => {
                edited.text = remove_one(&edited.text, path)?;
                None
            }
            Edit::Rename { path, key } => {
                edited.text = rename_one(&edited.text, path, key)?;
                let (_, parent) = path.split_last().ok_or_else(unsuited)?;
                Some([parent, &[Step::Key(key.clone())]].concat())
            }
            Edit::Insert { path, at, value } => {
                let item = [path.as_slice(), &[Step::Item(0)]].concat();
                let (text, at) =
                    insert_one(&edited.text, path, *at, &order::ordered(&item, value))?;
                edited.text = text;
                Some([path.as_slice(), &[Step::Item(at)]].concat())
            }
        };
        edited.at.push(at);
    }
    Ok(edited)
}

/// The values of a text in the order of writing, every single value as its text.
///
/// # Errors
/// A text that is no YAML.
pub fn values(text: &str) -> Result<Value, EditRefused> {
    let sheet = Sheet::read(text)?;
    Ok(Value::of(&sheet.root, text))
}

/// Sets a value; inside lists and mappings that stand there already only what differs.
fn set_within(text: &str, path: &[Step], value: &Value) -> Result<String, EditRefused> {
    let root = values(text)?;
    let deeper = |step: Step| [path, &[step]].concat();
    match (root.at(path), value) {
        (Some(old), _) if expect::same(old, value) => Ok(text.to_owned()),
        (Some(Value::Mapping(old)), Value::Mapping(new)) if !new.is_empty() && !old.is_empty() => {
            let mut text = text.to_owned();
            for (key, value) in new {
                text = set_within(&text, &deeper(Step::Key(key.clone())), value)?;
            }
            for (key, _) in old
                .iter()
                .filter(|(key, _)| new.iter().all(|(own, _)| own != key))
            {
                text = remove_one(&text, &deeper(Step::Key(key.clone())))?;
            }
            Ok(text)
        }
        (Some(Value::List(old)), Value::List(new)) if !new.is_empty() && !old.is_empty() => {
            let same = |pair: &(&Value, &Value)| expect::same(pair.0, pair.1);
            let head = old.iter().zip(new).take_while(same).count();
            let most = old.len().min(new.len()) - head;
            let tail = old
                .iter()
                .rev()
                .zip(new.iter().rev())
                .take(most)
                .take_while(same)
                .count();
            let (gone, come) = (old.len() - head - tail, new.len() - head - tail);
            let mut text = text.to_owned();
            for (i, value) in new.iter().enumerate().skip(head).take(gone.min(come)) {
                text = set_within(&text, &deeper(Step::Item(i)), value)?;
            }
            for i in (head + come..head + gone).rev() {
                text = remove_one(&text, &deeper(Step::Item(i)))?;
            }
            for (i, value) in new.iter().enumerate().take(head + come).skip(head + gone) {
                text = insert_one(&text, path, Some(i), value)?.0;
            }
            Ok(text)
        }
        _ => set_one(text, path, value),
    }
}

fn set_one(text: &str, path: &[Step], value: &Value) -> Result<String, EditRefused> {
    let sheet = Sheet::read(text)?;
    let mut expected = Value::of(&sheet.root, text);
    let cuts = set::set(&sheet, path, value)?;
    let known = expect::set(&mut expected, path, value);
    checked(text, cuts, known, &expected)
}

fn remove_one(text: &str, path: &[Step]) -> Result<String, EditRefused> {
    let sheet = Sheet::read(text)?;
    let mut expected = Value::of(&sheet.root, text);
    if expected.at(path).is_none() {
        return Err(nowhere(path));
    }
    let path = remove::whole_of(&expected, path);
    let cuts = remove::remove(&sheet, path)?;
    let known = expect::remove(&mut expected, path);
    checked(text, cuts, known, &expected)
}

fn rename_one(text: &str, path: &[Step], key: &str) -> Result<String, EditRefused> {
    let sheet = Sheet::read(text)?;
    let mut expected = Value::of(&sheet.root, text);
    let cuts = set::rename(&sheet, path, key)?;
    let known = expect::rename(&mut expected, path, key);
    checked(text, cuts, known, &expected)
}

fn insert_one(
    text: &str,
    path: &[Step],
    at: Option<usize>,
    value: &Value,
) -> Result<(String, usize), EditRefused> {
    let sheet = Sheet::read(text)?;
    let mut expected = Value::of(&sheet.root, text);
    let count = match expected.at(path) {
        None | Some(Value::Nothing) => 0,
        Some(Value::List(items)) => items.len(),
        Some(_) => return Err(nowhere(path)),
    };
    let at = at.unwrap_or(count);
    if at > count {
        return Err(nowhere(&[path, &[Step::Item(at)]].concat()));
    }
    let cuts = insert::insert(&sheet, path, at, value)?;
    let known = match expected.at(path) {
        Some(Value::List(_)) => expect::insert(&mut expected, path, at, value),
        _ => expect::set(&mut expected, path, &Value::List(vec![value.clone()])),
    };
    Ok((checked(text, cuts, known, &expected)?, at))
}

/// The text with its cuts made, if it reads as expected.
fn checked(
    text: &str,
    mut cuts: Cuts,
    known: bool,
    expected: &Value,
) -> Result<String, EditRefused> {
    cuts.sort_by_key(|(at, _)| *at);
    let mut new = String::with_capacity(text.len() + 64);
    let mut from = 0;
    for (at, put) in &cuts {
        new.push_str(text.get(from..at.start).ok_or_else(unsuited)?);
        new.push_str(put);
        from = at.end;
    }
    new.push_str(text.get(from..).ok_or_else(unsuited)?);
    let read = values(&new).map_err(|_| unsuited())?;
    if known && expect::same(&read, &expected.as_read()) {
        Ok(new)
    } else {
        Err(unsuited())
    }
}
