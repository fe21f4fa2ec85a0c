//! `ductseam next --format csv`: one row a candidate, best first, SI.

use super::advised;
use crate::allocate::{Action, NextAnswer};
use crate::report::csv_table::csv_table;
use crate::report::json_parts::{ids, kind};
use crate::report::words;
use crate::system::System;

/// Columns of the table, in order.
pub const COLUMNS: [&str; 16] = [
    "rank",
    "kind",
    "what",
    "seams",
    "set_up",
    "observable",
    "minutes",
    "caught_gain_m3_s",
    "caught_gain_per_hour_m3_s",
    "variance_gain",
    "variance_gain_per_hour",
    "why",
    "caution",
    "minutes_source",
    "sketch_line",
    "caught_gain_error_m3_s",
];

/// The candidates as CSV, header first; the seams of a look are parted by semicolons. No row where a caution stops the
/// work.
#[must_use]
pub fn next_csv(system: &System, answer: &NextAnswer) -> String {
    let mut rows: Vec<[String; COLUMNS.len()]> = Vec::new();
    for (at, candidate) in advised(answer).iter().enumerate() {
        let (what, seams, set_up, observable) = match &candidate.action {
            Action::Smoke { seams, .. } => {
                let seams = ids(&answer.allocation, seams).join("; ");
                ("smoke", seams, String::new(), String::new())
            }
            Action::Test {
                setup, observable, ..
            } => {
                let (word, _) = words::observable_id(system, *observable);
                (
                    "test",
                    String::new(),
                    kind(setup).to_owned(),
                    word.to_owned(),
                )
            }
        };
        rows.push([
            (at + 1).to_string(),
            what.to_owned(),
            candidate.action.words().to_owned(),
            seams,
            set_up,
            observable,
            candidate.minutes.to_string(),
            candidate.caught_gain_m3_s.to_string(),
            candidate.caught_gain_per_hour_m3_s.to_string(),
            candidate.variance_gain.to_string(),
            candidate.variance_gain_per_hour.to_string(),
            candidate.why.clone(),
            candidate.caution.clone(),
            candidate.minutes_source.clone(),
            candidate.sketch_line.clone(),
            candidate.caught_gain_error_m3_s.to_string(),
        ]);
    }
    csv_table(&COLUMNS, rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn every_candidate_has_its_row_and_a_stop_leaves_none() {
        let mut system = samples::system();
        let text = next_csv(&system, &samples::next(&system));
        let mut table = csv::Reader::from_reader(text.as_bytes());
        let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
        assert_eq!(rows.len(), 2);
        let both = format!("{}; {}", system.seams[3].id, system.seams[4].id);
        assert_eq!(&rows[0][3], both.as_str());
        assert_eq!((&rows[1][4], &rows[1][5]), ("pan", "behind-register"));
        assert_eq!(&rows[1][6], "12");
        let stopped = samples::stopped(&mut system);
        assert_eq!(next_csv(&system, &stopped).lines().count(), 1);
    }
}
