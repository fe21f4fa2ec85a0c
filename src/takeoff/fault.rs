//! What is wrong with a list, where, and what to write instead; what was taken for granted.

use std::fmt;

use crate::sketch::{Diagnostic, quoted};

/// How many faults are kept; the rest is counted.
pub(super) const KEPT: usize = 60;

/// One thing that is wrong with a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line of the file, from 1, on which the row starts; 0 when it is the file as a whole.
    pub line: usize,
    /// The column as its header names it, or the usual word for it when the list has no such column; empty for a whole row.
    pub column: String,
    /// The cell as it stands in the file; empty when it is blank or when it is no cell.
    pub cell: String,
    /// What is wrong, in lower case without a final stop.
    pub what: String,
    /// What to write or do instead.
    pub hint: String,
}

impl Fault {
    /// A fault of the whole file.
    pub(super) fn file(what: impl Into<String>, hint: impl Into<String>) -> Fault {
        Fault::row(0, what, hint)
    }

    /// A fault of a whole row.
    pub(super) fn row(line: usize, what: impl Into<String>, hint: impl Into<String>) -> Fault {
        Fault {
            line,
            column: String::new(),
            cell: String::new(),
            what: what.into(),
            hint: hint.into(),
        }
    }
}

impl fmt::Display for Fault {
    /// `line 4, column `length`: …`, then the cell and the remedy on lines of their own.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line > 0 {
            write!(f, "line {}", self.line)?;
            if !self.column.is_empty() {
                write!(f, ", column {}", quoted(&self.column))?;
            }
            write!(f, ": ")?;
        }
        write!(f, "{}", self.what)?;
        if !self.cell.is_empty() && !self.what.contains(&quoted(&self.cell)) {
            write!(f, "\n  the cell holds {}", quoted(&self.cell))?;
        }
        if !self.hint.is_empty() {
            write!(f, "\n  hint: {}", self.hint)?;
        }
        Ok(())
    }
}

/// All that is wrong with one list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults {
    /// Name of the file.
    pub file: String,
    /// What is wrong, in the order of the lines.
    pub items: Vec<Fault>,
    /// How many more were found and not kept.
    pub more: usize,
}

impl Faults {
    /// Sorts faults by line and keeps the first ones.
    pub(super) fn new(file: &str, mut items: Vec<Fault>) -> Faults {
        items.sort_by_key(|fault| fault.line);
        items.dedup();
        let more = items.len().saturating_sub(KEPT);
        items.truncate(KEPT);
        Faults {
            file: file.to_owned(),
            items,
            more,
        }
    }

    /// How many things are wrong, kept or not.
    pub fn count(&self) -> usize {
        self.items.len() + self.more
    }
}

impl fmt::Display for Faults {
    /// Every fault in a paragraph of its own.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in &self.items {
            let gap = if fault.line > 0 { ", " } else { ": " };
            writeln!(f, "error: {}{gap}{fault}", self.file)?;
        }
        if self.more > 0 {
            writeln!(f, "and {} more like these", self.more)?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Something the list does not say, and what was taken instead; or something of it that was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumed {
    /// Name of the run that it is about; empty when it is about the whole list.
    pub run: String,
    /// What was taken, in lower case without a final stop.
    pub what: String,
}

impl fmt::Display for Assumed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.run.is_empty() {
            f.write_str(&self.what)
        } else {
            write!(f, "`{}`: {}", self.run, self.what)
        }
    }
}

/// Faults found so far.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub items: Vec<Fault>,
}

/// A cell with what is needed to point at it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot<'a> {
    pub line: usize,
    pub column: &'a str,
    pub cell: &'a str,
}

impl Found {
    /// Notes what is wrong with a cell.
    pub fn wrong(&mut self, at: Spot<'_>, what: impl Into<String>, hint: impl Into<String>) {
        self.items.push(Fault {
            line: at.line,
            column: at.column.to_owned(),
            cell: at.cell.to_owned(),
            what: what.into(),
            hint: hint.into(),
        });
    }

    /// Notes what the sketch's own reader says of a cell.
    pub fn said(&mut self, at: Spot<'_>, found: &Diagnostic) {
        let hint = match (&found.hint, &found.patch) {
            (Some(hint), _) => hint.clone(),
            (None, Some(patch)) => format!("write `{patch}`"),
            (None, None) => String::new(),
        };
        self.wrong(at, found.title.clone(), hint);
    }

    /// Whether so much is wrong that nearest words are no longer looked for.
    pub fn is_full(&self) -> bool {
        self.items.len() > KEPT
    }
}
