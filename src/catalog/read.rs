//! Reading a CSV table cell by cell, gathering every error.

use super::error::CatalogError;
use super::types::{Source, Sure};
use crate::quantity::clip;

/// The largest number of characters a text cell may have.
const LONGEST_TEXT: usize = 2000;

/// Largest table. The catalogue's own joint types are some 20 kB; engineering estimate, wide of any.
const BYTES: usize = 4 * 1024 * 1024;

/// Most rows of a table. The catalogue's own has some sixty joint types; engineering estimate, wide of any.
const ROWS: usize = 10_000;

/// A table with named columns; rows are kept with the line they start on.
pub(super) struct Table {
    columns: Vec<Option<usize>>,
    names: &'static [&'static str],
    file: String,
    pub(super) rows: Vec<(u64, csv::StringRecord)>,
}

/// What a row may be called, in words.
pub(super) const ROW_NAME: &str =
    "write up to 40 lower-case letters, digits and hyphens, a letter first, such as `flex-collar`";

/// Whether a row may be called so.
pub(super) fn is_row_name(name: &str) -> bool {
    name.len() <= 40
        && name.starts_with(|c: char| c.is_ascii_lowercase())
        && name
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

/// Reads a table whose header must hold exactly `names`, in any order. Lines that start with `#` are comments.
pub(super) fn table(
    text: &str,
    file: &str,
    names: &'static [&'static str],
    errors: &mut Vec<CatalogError>,
) -> Option<Table> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.len() > BYTES {
        let wrong = format!("the table is larger than {} MB", BYTES / 1024 / 1024);
        errors.push(too_large(file, 1, wrong));
        return None;
    }
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut records = Vec::new();
    for record in reader.records() {
        match record {
            Ok(r) if records.len() > ROWS => {
                let line = r.position().map_or(1, csv::Position::line);
                errors.push(too_large(
                    file,
                    line,
                    format!("the table has more than {ROWS} rows"),
                ));
                return None;
            }
            Ok(r) => records.push((r.position().map_or(1, csv::Position::line), r)),
            Err(e) => {
                let line = e.position().map_or(1, csv::Position::line);
                errors.push(CatalogError {
                    file: file.into(),
                    line,
                    column: "row".into(),
                    wrong: "this row cannot be read as comma-separated values".into(),
                    hint: "check the quotes of this row".into(),
                });
            }
        }
    }
    settle_lines(text, &mut records);
    let mut records = records.into_iter();
    let Some((line, header)) = records.next() else {
        errors.push(CatalogError {
            file: file.into(),
            line: 1,
            column: "header".into(),
            wrong: "the file is empty".into(),
            hint: format!("start with the header line: {}", names.join(",")),
        });
        return None;
    };
    let columns = header_columns(&header, line, file, names, errors)?;
    Some(Table {
        columns,
        names,
        file: file.into(),
        rows: records.collect(),
    })
}

fn too_large(file: &str, line: u64, wrong: String) -> CatalogError {
    CatalogError {
        file: file.into(),
        line,
        column: "row".into(),
        wrong,
        hint:
            "is this the table of joint types? Leave only the rows that differ from the catalogue"
                .into(),
    }
}

/// The reader reports the line where it stood before it skipped comments and blank lines: moves each record to the first line from
/// there on that is neither. Lines of records rise, so the text is walked once.
fn settle_lines(text: &str, records: &mut [(u64, csv::StringRecord)]) {
    let mut lines = (1_u64..).zip(text.lines()).peekable();
    for (line, record) in records {
        if record.is_empty() {
            continue;
        }
        while lines
            .next_if(|(number, l)| *number < *line || l.trim().is_empty() || l.starts_with('#'))
            .is_some()
        {}
        if let Some((number, _)) = lines.peek() {
            *line = *number;
        }
    }
}

fn header_columns(
    header: &csv::StringRecord,
    line: u64,
    file: &str,
    names: &'static [&'static str],
    errors: &mut Vec<CatalogError>,
) -> Option<Vec<Option<usize>>> {
    let before = errors.len();
    let mut fail = |wrong: String, hint: String| {
        errors.push(CatalogError {
            file: file.into(),
            line,
            column: "header".into(),
            wrong,
            hint,
        });
    };
    let mut columns = vec![None; names.len()];
    for (idx, word) in header.iter().enumerate() {
        match names.iter().position(|n| *n == word) {
            Some(k) if columns[k].is_some() => {
                fail(
                    format!("the column `{}` appears twice", clip(word)),
                    "keep one of the two".into(),
                );
            }
            Some(k) => columns[k] = Some(idx),
            None => {
                let near = nearest(word, names.iter().copied());
                let hint = near.map_or_else(
                    || format!("the columns are: {}", names.join(",")),
                    |n| format!("did you mean `{n}`?"),
                );
                fail(format!("no column is called `{}`", clip(word)), hint);
            }
        }
    }
    let missing: Vec<&str> = (0..names.len())
        .filter(|k| columns[*k].is_none())
        .map(|k| names[k])
        .collect();
    match missing.as_slice() {
        [] => {}
        [one] => fail(
            format!("the column `{one}` is missing"),
            format!("add it; the columns are: {}", names.join(",")),
        ),
        several => fail(
            format!("{} columns are missing: {}", several.len(), several.join(", ")),
            "start from the rows that `ductseam catalog --format csv` prints, with all their columns, and change the figures".into(),
        ),
    }
    (errors.len() == before).then_some(columns)
}

/// One row of a table, with a place to gather its errors.
pub(super) struct Row<'a> {
    table: &'a Table,
    pub(super) line: u64,
    record: &'a csv::StringRecord,
    errors: &'a mut Vec<CatalogError>,
}

impl<'a> Row<'a> {
    /// The row, with a check that it has as many cells as the header.
    pub(super) fn new(
        table: &'a Table,
        row: &'a (u64, csv::StringRecord),
        errors: &'a mut Vec<CatalogError>,
    ) -> Self {
        let mut this = Row {
            table,
            line: row.0,
            record: &row.1,
            errors,
        };
        let (want, have) = (table.names.len(), row.1.len());
        if want != have {
            this.fail(
                "row",
                format!("expected {want} cells, found {have}"),
                "put text that holds a comma in double quotes; leave an unused cell empty but keep its comma".into(),
            );
        }
        this
    }

    /// Notes an error in a column.
    pub(super) fn fail(&mut self, column: &str, wrong: String, hint: String) {
        self.errors.push(CatalogError {
            file: self.table.file.clone(),
            line: self.line,
            column: column.into(),
            wrong,
            hint,
        });
    }

    /// The text of a cell; empty if the row is too short.
    pub(super) fn cell(&self, column: &str) -> &'a str {
        let at = self
            .table
            .names
            .iter()
            .position(|n| *n == column)
            .and_then(|k| self.table.columns[k]);
        at.and_then(|i| self.record.get(i)).unwrap_or("")
    }

    /// A text that must not be empty.
    pub(super) fn text(&mut self, column: &str, hint: &str) -> Option<String> {
        let cell = self.cell(column);
        if cell.is_empty() {
            self.fail(column, "this cell is empty".into(), hint.into());
            return None;
        }
        self.free_text(column)
    }

    /// A text that may be empty.
    pub(super) fn free_text(&mut self, column: &str) -> Option<String> {
        let cell = self.cell(column);
        if cell.chars().count() > LONGEST_TEXT {
            self.fail(
                column,
                format!("this text is longer than {LONGEST_TEXT} letters"),
                "shorten it".into(),
            );
            return None;
        }
        if cell
            .chars()
            .any(|c| c.is_control() && c != '\n' && c != '\r')
        {
            self.fail(
                column,
                "this text holds a control character".into(),
                "remove it".into(),
            );
            return None;
        }
        Some(cell.split_whitespace().collect::<Vec<_>>().join(" "))
    }

    /// A name of lower-case letters, digits and hyphens.
    pub(super) fn id(&mut self, column: &str) -> Option<String> {
        let cell = self.cell(column);
        if !is_row_name(cell) {
            self.fail(
                column,
                format!("`{}` is not a name for a row", clip(cell)),
                ROW_NAME.into(),
            );
            return None;
        }
        Some(cell.into())
    }

    /// A number from `low` to `high`.
    pub(super) fn number(&mut self, column: &str, low: f64, high: f64) -> Option<f64> {
        let cell = self.cell(column);
        let value = plain_number(cell);
        self.within(column, cell, value, low, high, "")
    }

    /// Checks a value that was read from a cell; `unit` is for the message.
    pub(super) fn within(
        &mut self,
        column: &str,
        cell: &str,
        value: Option<f64>,
        low: f64,
        high: f64,
        unit: &str,
    ) -> Option<f64> {
        let hint = format!("write a number from {low} to {high}{unit}");
        match value {
            Some(v) if v.is_finite() && v >= low && v <= high => Some(v),
            Some(_) => {
                self.fail(column, format!("`{}` is out of range", clip(cell)), hint);
                None
            }
            None => {
                self.fail(column, format!("`{}` is not a number", clip(cell)), hint);
                None
            }
        }
    }

    /// `yes` or `no`.
    pub(super) fn yes_no(&mut self, column: &str) -> Option<bool> {
        match self.cell(column) {
            "yes" => Some(true),
            "no" => Some(false),
            other => {
                let wrong = format!("expected `yes` or `no`, found `{}`", clip(other));
                self.fail(column, wrong, "write `yes` or `no`".into());
                None
            }
        }
    }

    /// A source and its mark; both are demanded.
    pub(super) fn source(&mut self, text_column: &str, sure_column: &str) -> Option<Source> {
        let text = self.text(
            text_column,
            "say where the figure comes from: title, number and year, your own measurement, or why you estimate it so",
        );
        let cell = self.cell(sure_column);
        let sure = Sure::ALL.into_iter().find(|s| s.code() == cell);
        if sure.is_none() {
            let codes: Vec<&str> = Sure::ALL.iter().map(|s| s.code()).collect();
            let wrong = format!("`{}` does not say how sure the figure is", clip(cell));
            self.fail(
                sure_column,
                wrong,
                format!("write one of: {}", codes.join(", ")),
            );
        }
        Some(Source {
            text: text?,
            sure: sure?,
        })
    }
}

/// A number that is nothing but a number: digits, sign, point, exponent. No words such as `inf` or `nan`.
pub(super) fn plain_number(cell: &str) -> Option<f64> {
    if !cell.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.')) {
        return None;
    }
    if cell
        .chars()
        .any(|c| c.is_ascii_alphabetic() && c != 'e' && c != 'E')
    {
        return None;
    }
    cell.parse().ok()
}

/// Notes every id that stands a second time.
pub(super) fn once<'a>(
    ids: impl Iterator<Item = &'a str>,
    file: &str,
    errors: &mut Vec<CatalogError>,
) {
    let mut seen = std::collections::BTreeSet::new();
    for id in ids {
        if !seen.insert(id) {
            errors.push(CatalogError {
                file: file.into(),
                line: 1,
                column: "id".into(),
                wrong: format!("`{id}` stands twice"),
                hint: "keep one of the two rows".into(),
            });
        }
    }
}

/// The nearest of some known names, if one is near enough to be meant.
pub(super) fn nearest<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    if word.chars().count() > 80 {
        return None;
    }
    let word = word.trim().to_lowercase().replace([' ', '_'], "-");
    let plain = |k: &str| k.replace([' ', '_'], "-");
    let best = known
        .map(|k| (strsim::damerau_levenshtein(&word, &plain(k)), k))
        .min_by_key(|(d, _)| *d)?;
    (best.0 <= (word.chars().count() / 3).max(2)).then_some(best.1)
}
