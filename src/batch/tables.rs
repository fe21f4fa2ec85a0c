//! The tables of a batch: columns with unit and meaning, rows in long form, written as NDJSON or CSV.

use serde_json::Value;

use crate::sketch::nearest;

/// One of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Table {
    /// One row a system.
    Systems,
    /// One row a joint type of a system.
    JointTypes,
    /// One row a seam of a system.
    Seams,
}

/// How rows are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RowFormat {
    /// One JSON object a line; what is not known is `null`.
    Ndjson,
    /// Comma-separated values, RFC 4180 with plain line feeds; what is not known is empty. The header is the first line.
    Csv,
}

/// One column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Name; ends in the unit where it has one.
    pub name: &'static str,
    /// What it holds.
    pub meaning: &'static str,
}

const fn col(name: &'static str, meaning: &'static str) -> Column {
    Column { name, meaning }
}

const SYSTEMS: &[Column] = &[
    col("system", "name of the record"),
    col("title", "title of the sketch"),
    col("status", "answered, doubtful, or refused"),
    col(
        "why",
        "why it is doubtful or was refused, in words on one line",
    ),
    col("seed", "seed of the draws"),
    col("draws", "draws made"),
    col("effective_draws", "what the draws are worth"),
    col("method", "prior, rto or chains: where the draws come from"),
    col("seams", "number of seams"),
    col("readings", "number of readings"),
    col("looks", "number of looks"),
    col("test_pa", "pressure of the test set-up, Pa"),
    col(
        "total_mean_m3_s",
        "leakage of all seams in the test set-up, m3/s",
    ),
    col("total_p05_m3_s", "its 5 % quantile"),
    col("total_p50_m3_s", "its median"),
    col("total_p95_m3_s", "its 95 % quantile"),
    col("supply_mean_m3_s", "the supply side's part of it"),
    col("return_mean_m3_s", "the return side's part of it"),
    col(
        "to_outside_mean_m3_s",
        "leakage to outside in the to-outside set-up, m3/s",
    ),
    col("to_outside_p05_m3_s", "its 5 % quantile"),
    col("to_outside_p95_m3_s", "its 95 % quantile"),
    col(
        "prior_total_mean_m3_s",
        "the total before any reading, m3/s",
    ),
    col(
        "hidden_share",
        "part of the test leakage behind finish or out of reach",
    ),
    col("top_seam", "seam with the largest mean test flow"),
    col("top_share", "its part of the test leakage"),
    col(
        "open_seam",
        "likeliest seam to hang open, empty where none may",
    ),
    col(
        "open_chance",
        "chance that it, or one that looks the same to the readings, hangs open",
    ),
    col(
        "wrong_set_up_chance",
        "chance that at least one reading's set-up was wrong",
    ),
    col(
        "worst_residual_sd",
        "largest distance of a reading from the model, in its own errors",
    ),
    col("warnings", "number of warnings"),
];

const JOINT_TYPES: &[Column] = &[
    col("system", "name of the record"),
    col("joint_type", "joint type"),
    col("joint_name", "its name in the trade"),
    col("seams", "number of seams of the type"),
    col("amount", "their metres, or their count"),
    col("basis", "m or each: what `amount` counts"),
    col("q25_mean_m3_s", "sum of their flows at 25 Pa, m3/s"),
    col("q25_p05_m3_s", "its 5 % quantile"),
    col("q25_p50_m3_s", "its median"),
    col("q25_p95_m3_s", "its 95 % quantile"),
    col(
        "test_mean_m3_s",
        "sum of their flows in the test set-up, m3/s",
    ),
    col("test_p05_m3_s", "its 5 % quantile"),
    col("test_p95_m3_s", "its 95 % quantile"),
    col("share", "part of the system's test leakage, mean"),
    col("share_p05", "its 5 % quantile"),
    col("share_p95", "its 95 % quantile"),
];

const SEAMS: &[Column] = &[
    col("system", "name of the record"),
    col("rank", "1 for the largest mean test flow"),
    col("seam", "id of the seam"),
    col("run", "run, or unit"),
    col("piece", "id of the piece"),
    col("what", "the piece in trade words"),
    col("joint_type", "joint type"),
    col("side", "supply or return"),
    col("place", "place"),
    col("reach", "how it can be reached"),
    col("work", "workmanship"),
    col("amount", "metres of joint, or count"),
    col("basis", "m or each: what `amount` counts"),
    col("n", "flow exponent, mean"),
    col(
        "prior_q25_mean_m3_s",
        "flow at 25 Pa before any reading, m3/s",
    ),
    col("q25_mean_m3_s", "flow at 25 Pa, m3/s"),
    col("q25_p05_m3_s", "its 5 % quantile"),
    col("q25_p50_m3_s", "its median"),
    col("q25_p95_m3_s", "its 95 % quantile"),
    col("test_pa", "pressure across it in the test set-up, Pa"),
    col("test_mean_m3_s", "flow in the test set-up, m3/s"),
    col("test_p05_m3_s", "its 5 % quantile"),
    col("test_p95_m3_s", "its 95 % quantile"),
    col("share", "part of the system's test leakage, mean"),
    col(
        "to_outside_mean_m3_s",
        "flow in the to-outside set-up, m3/s",
    ),
    col("to_outside_share", "part of the leakage to outside, mean"),
    col("top10_chance", "chance to be among the ten largest"),
    col("open_chance", "chance to hang open"),
];

impl Table {
    /// All tables, from the coarsest to the finest.
    pub const ALL: [Table; 3] = [Table::Systems, Table::JointTypes, Table::Seams];

    /// Name, as its files bear it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Table::Systems => "systems",
            Table::JointTypes => "joint_types",
            Table::Seams => "seams",
        }
    }

    /// All its columns, in order.
    #[must_use]
    pub fn columns(self) -> &'static [Column] {
        match self {
            Table::Systems => SYSTEMS,
            Table::JointTypes => JOINT_TYPES,
            Table::Seams => SEAMS,
        }
    }
}

impl RowFormat {
    /// Word, as files end in it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            RowFormat::Ndjson => "ndjson",
            RowFormat::Csv => "csv",
        }
    }
}

/// One row: a value a column, in the order of [`Table::columns`].
pub type Row = Vec<Value>;

/// Which columns of a table are written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Selection {
    table: Table,
    at: Vec<usize>,
}

impl Selection {
    /// All columns of a table.
    #[must_use]
    pub fn all(table: Table) -> Selection {
        Selection {
            table,
            at: (0..table.columns().len()).collect(),
        }
    }

    /// Those of these names that the table has, in the order of the names; `None` where it has none of them.
    #[must_use]
    pub fn of(table: Table, names: &[String]) -> Option<Selection> {
        let place = |name: &String| table.columns().iter().position(|c| c.name == name);
        let at: Vec<usize> = names.iter().filter_map(place).collect();
        (!at.is_empty()).then_some(Selection { table, at })
    }

    /// The table.
    #[must_use]
    pub fn table(&self) -> Table {
        self.table
    }

    /// Names of the columns that are written.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        self.at.iter().map(|&at| self.table.columns()[at].name)
    }

    /// The header of a CSV, its line's end included.
    #[must_use]
    pub fn header(&self) -> String {
        csv_line(self.names().map(str::to_owned))
    }

    /// A row as a line, its end included.
    ///
    /// # Panics
    /// If the row has not as many values as the table has columns.
    #[must_use]
    pub fn line(&self, row: &Row, format: RowFormat) -> String {
        assert_eq!(row.len(), self.table.columns().len(), "a value a column");
        match format {
            RowFormat::Csv => csv_line(self.at.iter().map(|&at| match &row[at] {
                Value::Null => String::new(),
                Value::String(text) => text.clone(),
                other => other.to_string(),
            })),
            RowFormat::Ndjson => {
                let cells: Vec<String> = self
                    .names()
                    .zip(&self.at)
                    .map(|(name, &at)| format!("\"{name}\":{}", row[at]))
                    .collect();
                format!("{{{}}}\n", cells.join(","))
            }
        }
    }
}

fn csv_line(cells: impl Iterator<Item = String>) -> String {
    let mut line = csv::Writer::from_writer(Vec::new());
    let cells: Vec<String> = cells.collect();
    line.write_record(&cells).expect("memory takes every row");
    String::from_utf8(line.into_inner().expect("memory takes every row"))
        .expect("rows are made of text")
}

/// A name of a column that no table has, and the nearest that one has.
///
/// # Errors
/// The first name unknown, with the nearest known one.
pub fn known(names: &[String]) -> Result<(), (String, Option<String>)> {
    let all = || Table::ALL.iter().flat_map(|t| t.columns()).map(|c| c.name);
    match names.iter().find(|name| !all().any(|known| known == *name)) {
        None => Ok(()),
        Some(name) => Err((name.clone(), nearest(name, all()).map(str::to_owned))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn names_are_unique_in_each_table_and_all_have_a_meaning() {
        for table in Table::ALL {
            let mut names: Vec<_> = table.columns().iter().map(|c| c.name).collect();
            names.sort_unstable();
            let before = names.len();
            names.dedup();
            assert_eq!(names.len(), before, "{table:?}");
            assert!(table.columns().iter().all(|c| c.meaning.len() > 3));
            assert_eq!(table.columns()[0].name, "system");
        }
    }

    #[test]
    fn rows_are_written_with_the_columns_asked_for_in_their_order() {
        let names = ["share".to_owned(), "system".to_owned(), "rank".to_owned()];
        let chosen = Selection::of(Table::JointTypes, &names).expect("has two of them");
        let mut row: Row = vec![Value::Null; JOINT_TYPES.len()];
        row[0] = json!("a,\"b\"\n");
        row[13] = json!(0.25);
        assert_eq!(chosen.header(), "share,system\n");
        assert_eq!(
            chosen.line(&row, RowFormat::Csv),
            "0.25,\"a,\"\"b\"\"\n\"\n"
        );
        assert_eq!(
            chosen.line(&row, RowFormat::Ndjson),
            "{\"share\":0.25,\"system\":\"a,\\\"b\\\"\\n\"}\n"
        );
        row[13] = Value::Null;
        assert_eq!(
            Selection::of(Table::JointTypes, &names[..1])
                .expect("one")
                .line(&row, RowFormat::Csv),
            "\"\"\n"
        );
        assert!(Selection::of(Table::Systems, &names[..1]).is_none());
    }

    #[test]
    fn a_misspelt_column_is_answered_with_the_nearest() {
        assert_eq!(known(&["share".to_owned(), "system".to_owned()]), Ok(()));
        assert_eq!(
            known(&["test_mean_m3s".to_owned()]),
            Err((
                "test_mean_m3s".to_owned(),
                Some("test_mean_m3_s".to_owned())
            ))
        );
        assert_eq!(known(&["zzz".to_owned()]), Err(("zzz".to_owned(), None)));
    }
}
