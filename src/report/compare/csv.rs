//! `ductseam compare --format csv`: one row a reading, in the order of the sketch, SI.

use crate::allocate::CompareAnswer;
use crate::report::csv_table::csv_table;
use crate::report::json_parts::{kind, relation, unit};
use crate::report::words;
use crate::system::System;

/// Columns of the table, in order; values and bands are in `unit`.
pub const COLUMNS: [&str; 24] = [
    "reading",
    "set_up",
    "observable",
    "at",
    "stage",
    "relation",
    "unit",
    "measured",
    "measured_sd",
    "modelled_mean",
    "modelled_p05",
    "modelled_p95",
    "without_mean",
    "without_p05",
    "without_p95",
    "prior_p05",
    "prior_p95",
    "residual_sd",
    "residual_without_sd",
    "chance_without",
    "prior_chance",
    "wrong_setup_chance",
    "likeliest_cause",
    "verdict",
];

/// The readings as CSV, header first.
#[must_use]
pub fn compare_csv(system: &System, answer: &CompareAnswer) -> String {
    let mut rows: Vec<[String; COLUMNS.len()]> = Vec::new();
    for compared in &answer.readings {
        let reading = &answer.allocation.readings[compared.reading];
        let (observable, at) = words::observable_id(system, reading.observable);
        let cause = compared.causes.first();
        rows.push([
            reading.id.clone(),
            kind(&reading.setup).to_owned(),
            observable.to_owned(),
            at.unwrap_or_default(),
            reading.stage.to_string(),
            relation(reading.relation).to_owned(),
            unit(reading.unit).to_owned(),
            reading.measured.to_string(),
            reading.measured_sd.to_string(),
            reading.modelled.mean.to_string(),
            reading.modelled.p05.to_string(),
            reading.modelled.p95.to_string(),
            compared.without.mean.to_string(),
            compared.without.p05.to_string(),
            compared.without.p95.to_string(),
            reading.prior.p05.to_string(),
            reading.prior.p95.to_string(),
            reading.residual_sd.to_string(),
            compared.residual_without_sd.to_string(),
            compared.chance_without.to_string(),
            reading.prior_chance.to_string(),
            reading.wrong_setup_chance.to_string(),
            cause.map_or_else(String::new, |cause| cause.words.clone()),
            compared.verdict.clone(),
        ]);
    }
    csv_table(&COLUMNS, rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn one_row_a_reading_with_its_unit_and_likeliest_cause() {
        let system = samples::system();
        let text = compare_csv(&system, &samples::compared(&system));
        let mut table = csv::Reader::from_reader(text.as_bytes());
        let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
        assert_eq!(rows.len(), 2);
        assert_eq!(
            (&rows[0][0], &rows[0][6], &rows[0][7]),
            ("total", "m3/s", "0.078")
        );
        assert_eq!(&rows[0][22], "register of kitchen left unmasked");
        assert_eq!((&rows[1][3], &rows[1][6], &rows[1][7]), ("", "Pa", "-62.5"));
        assert_eq!(&rows[1][22], "");
    }
}
