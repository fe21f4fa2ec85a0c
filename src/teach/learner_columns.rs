//! The columns of a learner's list, by the names that people give them.

/// Place of each column in a line; `None` where the list does not have it.
pub(super) type Columns = [Option<usize>; 4];

/// Columns, in the order that a list without a head line has.
pub(super) const COLUMNS: [&str; 4] = ["seam", "rank", "seal", "minutes"];

/// What each may be called, capitals and `_` or `-` for a blank aside.
const SPELLINGS: [&[&str]; 4] = [
    &["seam", "seams", "seam id", "seam name", "id", "name"],
    &["rank", "ranking"],
    &["seal", "sealed", "seal it"],
    &["minutes", "minute", "min", "min."],
];

/// The columns of a head line, that of the seams perhaps missing; `None` where no cell is the name of a column.
pub(super) fn head(record: &csv::StringRecord) -> Option<Columns> {
    let cells: Vec<String> = record.iter().take(100).map(plain).collect();
    let found = SPELLINGS.map(|names| {
        // The nearest spelling first: with `seam` and `name`, the seams stand under `seam`.
        names
            .iter()
            .find_map(|name| cells.iter().position(|cell| cell == name))
    });
    found.iter().any(Option::is_some).then_some(found)
}

fn plain(cell: &str) -> String {
    // Longer than any name: not worth the work.
    let short: String = cell.chars().take(40).collect();
    short
        .to_lowercase()
        .split(|c: char| c.is_whitespace() || matches!(c, '_' | '-'))
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
