//! Tables as CSV.

/// A table, header first.
///
/// # Panics
/// Never: writing into memory does not fail.
pub fn csv_table(columns: &[&str], rows: impl IntoIterator<Item = impl AsRef<[String]>>) -> String {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(columns).expect("memory takes every row");
    for row in rows {
        table
            .write_record(row.as_ref())
            .expect("memory takes every row");
    }
    let bytes = table.into_inner().expect("memory takes every row");
    String::from_utf8(bytes).expect("rows are made of text")
}

/// A number that may be missing.
pub fn optional(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}
