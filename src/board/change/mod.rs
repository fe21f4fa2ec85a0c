//! Changes of a sketch as a board makes them: values, walk steps by their parts, and whole runs with every mention of them.
//!
//! [`apply`] turns a text and a list of changes into a new text, or into words why not; then nothing is changed. What a change does not
//! touch stays byte for byte (see [`crate::sketch::edit`]).

mod copy;
mod mentions;
mod mirror;
mod parts;
mod runs;
mod tree;

#[cfg(test)]
mod tests;

use serde::Deserialize;

use crate::sketch::edit::{self, Edit, EditRefused, Step, Value};

pub use super::refused::Refused;
pub use parts::{Parts, parts_of, text_of};

/// One change.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub enum Change {
    /// Puts a value at a path; what is missing on the way is made.
    Set {
        /// Where.
        path: Vec<Step>,
        /// What.
        value: Value,
    },
    /// Takes a key or an item out.
    Remove {
        /// What.
        path: Vec<Step>,
    },
    /// Puts an item into a list.
    Insert {
        /// The list.
        path: Vec<Step>,
        /// Before which item; at the end if not said.
        #[serde(default)]
        at: Option<usize>,
        /// What.
        value: Value,
    },
    /// Writes a walk step in words.
    SetStep {
        /// The step.
        path: Vec<Step>,
        /// What it says.
        parts: Parts,
    },
    /// Puts a walk step in words into a walk.
    InsertStep {
        /// The walk.
        path: Vec<Step>,
        /// Before which step; at the end if not said.
        #[serde(default)]
        at: Option<usize>,
        /// What it says.
        parts: Parts,
    },
    /// Calls a run otherwise, with every mention.
    RenameRun {
        /// Which, counted from 0 in the file.
        run: usize,
        /// Its new name.
        to: String,
    },
    /// Takes a run out, with the runs that hang on it and every mention of them.
    RemoveRun {
        /// Which, counted from 0 in the file.
        run: usize,
    },
    /// Copies a run with what hangs on it under new names; rooms are copied, readings and looks are not.
    CopyBranch {
        /// Which, counted from 0 in the file.
        run: usize,
        /// Where the copy starts: `trunk at 12 ft right`.
        from: String,
    },
    /// Turns a run with what hangs on it over, about the line it starts along.
    Mirror {
        /// Which, counted from 0 in the file.
        run: usize,
    },
}

/// A changed text.
#[derive(Debug, Clone, PartialEq)]
pub struct Changed {
    /// The new text.
    pub text: String,
    /// For each change the path, as JSON, of what was set, inserted, renamed, copied or turned over; `None` of what was taken out.
    pub at: Vec<Option<serde_json::Value>>,
}

impl From<EditRefused> for Refused {
    fn from(refused: EditRefused) -> Refused {
        Refused {
            title: refused.title,
            hint: refused.hint,
        }
    }
}

impl From<Box<crate::sketch::Diagnostic>> for Refused {
    fn from(found: Box<crate::sketch::Diagnostic>) -> Refused {
        Refused {
            title: found.title,
            hint: found.hint,
        }
    }
}

/// Does changes written as JSON, one after another; each sees the text that the one before left.
///
/// Keys of runs, steps, readings and looks are written in the trade's order whatever order they come in; where people choose the keys
/// (`places`, the `work` of a variant) read the changes into [`Change`] from their text and call [`apply_all`], since
/// `serde_json::Value` forgets the order.
///
/// # Errors
/// A change that cannot be read or made; then the text stays as it was.
pub fn apply(text: &str, changes: &[serde_json::Value]) -> Result<Changed, Refused> {
    let read = |change: &serde_json::Value| {
        Change::deserialize(change).map_err(|error| {
            Refused::new(
                format!("the change cannot be read: {error}"),
                "look at what was sent",
            )
        })
    };
    let changes: Vec<Change> = changes.iter().map(read).collect::<Result<_, _>>()?;
    apply_all(text, &changes)
}

/// Does changes one after another; each sees the text that the one before left.
///
/// # Errors
/// A change that cannot be made; then the text stays as it was.
pub fn apply_all(text: &str, changes: &[Change]) -> Result<Changed, Refused> {
    let mut changed = Changed {
        text: text.to_owned(),
        at: Vec::new(),
    };
    for change in changes {
        let (text, at) = one(&changed.text, change)?;
        changed.text = text;
        changed
            .at
            .push(at.map(|path| path.iter().map(Step::to_json).collect()));
    }
    Ok(changed)
}

/// A text and the path that a change was about.
type Done = (String, Option<Vec<Step>>);

fn one(text: &str, change: &Change) -> Result<Done, Refused> {
    let by = |edit: Edit| -> Result<Done, Refused> {
        let mut edited = edit::edit(text, &[edit])?;
        Ok((edited.text, edited.at.pop().flatten()))
    };
    match change.clone() {
        Change::Set { path, value } => by(Edit::Set { path, value }),
        Change::Remove { path } => by(Edit::Remove { path }),
        Change::Insert { path, at, value } => by(Edit::Insert { path, at, value }),
        Change::SetStep { path, parts } => {
            let value = Value::Word(text_of(&parts)?);
            let root = edit::values(text)?;
            let said = match root.at(&path) {
                Some(Value::Mapping(_)) => [path.as_slice(), &["step".into()]].concat(),
                _ => path.clone(),
            };
            let (text, _) = by(Edit::Set { path: said, value })?;
            Ok((text, Some(path)))
        }
        Change::InsertStep { path, at, parts } => {
            let value = Value::Word(text_of(&parts)?);
            by(Edit::Insert { path, at, value })
        }
        Change::RenameRun { run, to } => runs::rename(text, run, &to),
        Change::RemoveRun { run } => runs::remove(text, run),
        Change::CopyBranch { run, from } => copy::copy(text, run, &from),
        Change::Mirror { run } => mirror::mirror(text, run),
    }
}
