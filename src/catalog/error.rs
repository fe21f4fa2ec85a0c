//! What can be wrong with a catalogue file.

use thiserror::Error;

/// One thing wrong with one cell (or the whole) of a catalogue file.
///
/// The text says what is wrong; [`CatalogError::hint`] says what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{file}:{line}: column `{column}`: {wrong}")]
pub struct CatalogError {
    /// The name of the file as the caller gave it.
    pub file: String,
    /// Line, counted from 1; for a record over several lines, its first.
    pub line: u64,
    /// The name of the column, or `header` when the header line itself is wrong, or `row` for a whole row.
    pub column: String,
    /// What is wrong: lower case, no final stop.
    pub wrong: String,
    /// What to write instead.
    pub hint: String,
}
