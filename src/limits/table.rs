//! A measured series as a table: people's spreadsheets, with units in the header or in the cells.

use super::measured::{AtPressure, Basis};
use super::series::{MOST_PA, Point};
use super::table_columns::{Column, Holds, columns};
use crate::catalog::CatalogError;
use crate::quantity::{Flow, Fraction, Pressure, Quantity, QuantityError};
use crate::system::{TestRecord, USUAL_FLOW_ERROR};

/// Largest table of a series. A test is some lines; engineering estimate.
const BYTES: usize = 4 * 1024 * 1024;
/// More rows than this are no series of a test.
const MOST_ROWS: usize = 10_000;

/// A series as read.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesTable {
    /// The points, in the order of the table.
    pub readings: Vec<AtPressure>,
    /// Columns that say nothing of a series and were passed over.
    pub passed_over: Vec<String>,
    /// What was done with the baselines, in words; none where no column holds them.
    pub baseline: Option<String>,
}

/// Reads a series: a header line, then one point a row.
///
/// Columns: `pressure`, `flow`, and where known `flow error`, `pressure error`, `baseline`, `reading id`. Units stand in the
/// header (`flow (cfm)`) or in the cells (`263 cfm`). Errors are one standard deviation; a flow's may be a percentage. The
/// baseline is taken off the pressure, whose sign does not matter: the ducts are taken as blown up. Of a stated error of a flow,
/// the instrument's (the record's, else the usual 3 %) is shared by all points, the rest is the point's own. Commas, semicolons (then with decimal commas) or tabs
/// part the cells; `1,250` can be 1250 or 1.25 and is refused; blanks round them, a byte-order mark, empty rows and rows that begin with `#` do not matter.
///
/// # Errors
/// Every fault of the table, by line and column.
pub fn read_series(
    text: &str,
    file: &str,
    basis: Basis,
    record: &TestRecord,
) -> Result<SeriesTable, Vec<CatalogError>> {
    let text = text.trim_start_matches('\u{feff}');
    let mut faults = Faults {
        file,
        found: Vec::new(),
    };
    if text.len() > BYTES {
        faults.note(
            1,
            "row",
            "the table is larger than 4 MB",
            "leave only the points of one test",
        );
        return Err(faults.found);
    }
    let delimiter = delimiter(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for record in reader.records() {
        match record {
            Ok(row) => {
                let line = row.position().map_or(1, csv::Position::line);
                if row.iter().any(|cell| !cell.is_empty()) {
                    rows.push((line, row));
                }
            }
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                faults.note(
                    line,
                    "row",
                    "this row is not a row of a table",
                    "save it as CSV, UTF-8",
                );
            }
        }
        if rows.len() > MOST_ROWS {
            faults.note(
                1,
                "row",
                "the table has more than 10 000 rows",
                "leave only the points of one test",
            );
            break;
        }
    }
    let Some(((header_line, header), rows)) = rows.split_first() else {
        faults.note(
            1,
            "header",
            "the table is empty",
            "write a header like `pressure (Pa),flow (cfm)` and one point a row",
        );
        return Err(faults.found);
    };
    let (columns, passed_over) = columns(header, *header_line, &mut faults);
    if !faults.found.is_empty() {
        return Err(faults.found);
    }
    let mut readings = Vec::new();
    for (k, (line, row)) in rows.iter().enumerate() {
        let cells = Cells {
            columns: &columns,
            row,
            line: *line,
            decimal_comma: delimiter == b';',
        };
        readings.extend(cells.point(k + 1, basis, record, &mut faults));
    }
    if rows.is_empty() {
        faults.note(
            *header_line,
            "row",
            "no points follow the header",
            "write one point a row, as in `25,263`",
        );
    }
    if faults.found.is_empty() {
        Ok(SeriesTable {
            readings,
            passed_over,
            baseline: baseline(&columns, rows),
        })
    } else {
        Err(faults.found)
    }
}

/// What was done with the baselines.
fn baseline(columns: &[Column], rows: &[(u64, csv::StringRecord)]) -> Option<String> {
    let column = columns.iter().find(|one| one.holds == Holds::Baseline)?;
    let with = rows.iter().filter(|(_, row)| {
        let cell = row.get(column.index).unwrap_or_default();
        !cell.is_empty()
    });
    let written = &column.written;
    Some(match (with.count(), rows.len()) {
        (0, _) => format!("the column `{written}` is empty: nothing was taken off the pressures"),
        (some, all) if some < all => {
            format!(
                "the column `{written}` was taken off the pressure in {some} of {all} rows, the others leave it empty"
            )
        }
        _ => format!("the column `{written}` was taken off the pressures"),
    })
}

/// Faults of a table as they are found.
pub(super) struct Faults<'f> {
    file: &'f str,
    found: Vec<CatalogError>,
}

impl Faults<'_> {
    pub(super) fn note(
        &mut self,
        line: u64,
        column: &str,
        wrong: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.found.push(CatalogError {
            file: self.file.to_owned(),
            line,
            column: column.to_owned(),
            wrong: wrong.into(),
            hint: hint.into(),
        });
    }
}

/// What parts the cells of the first line with something in it.
fn delimiter(text: &str) -> u8 {
    let first = text
        .lines()
        .find(|line| !(line.trim().is_empty() || line.starts_with('#')))
        .unwrap_or_default();
    [b';', b'\t', b',']
        .into_iter()
        .find(|sign| first.bytes().any(|b| b == *sign))
        .unwrap_or(b',')
}

/// One row.
struct Cells<'r> {
    columns: &'r [Column],
    row: &'r csv::StringRecord,
    line: u64,
    decimal_comma: bool,
}

impl<'r> Cells<'r> {
    fn cell(&self, holds: Holds) -> Option<(&'r Column, String)> {
        let column = self.columns.iter().find(|column| column.holds == holds)?;
        let cell = self.row.get(column.index).unwrap_or_default();
        let commas = cell.matches(',').count();
        let cell = if self.decimal_comma && commas == 1 && !cell.contains('.') {
            cell.replace(',', ".")
        } else {
            cell.to_owned()
        };
        let bare = cell.parse::<f64>().is_ok();
        Some((
            column,
            if bare && !column.unit.is_empty() {
                format!("{cell} {}", column.unit)
            } else {
                cell
            },
        ))
    }

    /// A comma that may part thousands or decimals is asked about, never guessed at.
    fn ambiguous(&self, holds: Holds, faults: &mut Faults<'_>) -> bool {
        let column = self.columns.iter().find(|column| column.holds == holds);
        let Some(column) = column else { return false };
        let cell = self.row.get(column.index).unwrap_or_default();
        let Some((plain, point)) = two_ways(cell) else {
            return false;
        };
        faults.note(
            self.line,
            &column.written,
            format!("the comma in `{cell}` can part thousands or decimals"),
            format!("write `{plain}` or `{point}`"),
        );
        true
    }

    /// A quantity of a column that must be there.
    fn quantity<Q: Quantity>(&self, holds: Holds, faults: &mut Faults<'_>) -> Option<Q> {
        if self.ambiguous(holds, faults) {
            return None;
        }
        let (column, text) = self.cell(holds)?;
        if text.is_empty() {
            faults.note(
                self.line,
                &column.written,
                "this cell is empty",
                format!("write {} here, or leave the whole row out", Q::KIND.example),
            );
            return None;
        }
        match text.parse::<Q>() {
            Ok(found) if found.to_si().is_finite() => Some(found),
            Ok(_) => {
                faults.note(
                    self.line,
                    &column.written,
                    format!("`{text}` is no number"),
                    "write a plain number",
                );
                None
            }
            Err(error) => {
                self.refuse(column, &error, faults);
                None
            }
        }
    }

    fn refuse(&self, column: &Column, error: &QuantityError, faults: &mut Faults<'_>) {
        let hint = error
            .hint()
            .unwrap_or("write a number with its unit, or put the unit in the header");
        faults.note(self.line, &column.written, error.message(), hint);
    }

    /// An error: a part, or in the unit of its value; `None` where the table has none.
    fn error<Q: Quantity>(&self, holds: Holds, faults: &mut Faults<'_>) -> Option<Stated> {
        if self.ambiguous(holds, faults) {
            return None;
        }
        let (column, text) = self.cell(holds)?;
        if text.is_empty() {
            return None;
        }
        let own = match text.parse::<Q>() {
            Ok(found) if found.to_si() > 0.0 => return Some(Stated::Absolute(found.to_si())),
            Ok(_) => {
                faults.note(
                    self.line,
                    &column.written,
                    format!("`{text}` is no error"),
                    "write an error above zero, one standard deviation",
                );
                return None;
            }
            Err(error) => error,
        };
        match text.parse::<Fraction>() {
            Ok(part) if part.si() > 0.0 && part.si() < 1.0 => Some(Stated::Part(part.si())),
            Ok(_) => {
                faults.note(
                    self.line,
                    &column.written,
                    format!("`{text}` is no error"),
                    "write an error above zero and below 100 %, one standard deviation",
                );
                None
            }
            Err(_) => {
                self.refuse(column, &own, faults);
                None
            }
        }
    }

    fn point(
        &self,
        number: usize,
        basis: Basis,
        record: &TestRecord,
        faults: &mut Faults<'_>,
    ) -> Option<AtPressure> {
        let before = faults.found.len();
        let pressure = self.quantity::<Pressure>(Holds::Pressure, faults);
        let flow = self.quantity::<Flow>(Holds::Flow, faults);
        let has_baseline = self
            .cell(Holds::Baseline)
            .is_some_and(|(_, text)| !text.is_empty());
        let baseline = if has_baseline {
            self.quantity::<Pressure>(Holds::Baseline, faults)?.si()
        } else {
            0.0
        };
        let flow_error = self.error::<Flow>(Holds::FlowError, faults);
        let pressure_error = self.error::<Pressure>(Holds::PressureError, faults);
        let (pressure, flow) = (pressure?, flow?);
        let pressure_pa = (pressure.si() - baseline).abs();
        let flow_m3_s = flow.si();
        if pressure_pa <= 0.0 {
            self.not_positive(Holds::Pressure, faults);
        }
        if pressure_pa > MOST_PA
            && let Some((column, text)) = self.cell(Holds::Pressure)
        {
            faults.note(
                self.line,
                &column.written,
                format!("`{text}` is no pressure of a duct test"),
                format!("look at the figure and its unit; at most {MOST_PA:.0} Pa"),
            );
        }
        if flow_m3_s <= 0.0 {
            self.not_positive(Holds::Flow, faults);
        }
        if faults.found.len() > before {
            return None;
        }
        let instrument = record.flow_part_sd.unwrap_or(USUAL_FLOW_ERROR);
        let flow_sd_m3_s = match flow_error {
            Some(Stated::Absolute(sd)) => sd,
            Some(Stated::Part(part)) => part * flow_m3_s,
            None => instrument * flow_m3_s,
        };
        let shared_part_sd = instrument.min(flow_sd_m3_s / flow_m3_s);
        let id = self
            .cell(Holds::Id)
            .map(|(_, id)| id)
            .filter(|id| !id.is_empty());
        Some(AtPressure {
            id: id.unwrap_or_else(|| format!("point {number}")),
            basis,
            point: Point {
                pressure_pa,
                pressure_sd_pa: match pressure_error {
                    Some(Stated::Absolute(sd)) => sd,
                    Some(Stated::Part(part)) => part * pressure_pa,
                    None => record.pressure_error.sd_pa(pressure_pa),
                },
                flow_m3_s,
                flow_sd_m3_s,
            },
            shared_part_sd,
            is_bound: false,
        })
    }

    fn not_positive(&self, holds: Holds, faults: &mut Faults<'_>) {
        if let Some((column, text)) = self.cell(holds) {
            faults.note(
                self.line,
                &column.written,
                format!("`{text}` is not above zero"),
                "leave a point out that reads nothing; write flows as magnitudes",
            );
        }
    }
}

/// Both ways to read a number with one comma and three digits after it, as `1,250`; none where a zero leads, as in `0,125`.
fn two_ways(cell: &str) -> Option<(String, String)> {
    let (before, after) = cell.split_once(',')?;
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    let whole = before.trim_start_matches(['-', '+']);
    let is_number = (1..=3).contains(&whole.len()) && whole.bytes().all(|b| b.is_ascii_digit());
    let open = digits == 3 && !after[3..].starts_with([',', '.']);
    (is_number && open && !whole.starts_with('0'))
        .then(|| (format!("{before}{after}"), format!("{before}.{after}")))
}

/// An error as written.
enum Stated {
    Absolute(f64),
    Part(f64),
}

#[cfg(test)]
#[path = "table_tests.rs"]
mod tests;
