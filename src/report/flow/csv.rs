//! `ductseam flow --format csv`: one row a seam, largest flow first, SI.

use super::case::FlowCase;
use super::sums::by_flow;
use crate::report::csv_table::csv_table;
use crate::report::words;

/// Columns of the table, in order.
pub const COLUMNS: [&str; 13] = [
    "rank",
    "seam",
    "run",
    "piece",
    "what",
    "joint_type",
    "side",
    "place",
    "reach",
    "dp_pa",
    "flow_m3_s",
    "q25_m3_s",
    "n",
];

/// The seam table as CSV, header first. Leakage out of the ducts is above zero; what is not a number stays empty.
#[must_use]
pub fn flow_csv(case: &FlowCase<'_>) -> String {
    let mut rows: Vec<[String; COLUMNS.len()]> = Vec::new();
    for (rank, index) in by_flow(case).into_iter().enumerate() {
        let seam = &case.system.seams[index];
        rows.push([
            (rank + 1).to_string(),
            seam.id.clone(),
            seam.run.clone(),
            seam.piece.clone(),
            seam.what.clone(),
            seam.joint_type.clone(),
            words::side(seam.side).to_owned(),
            case.system.places[seam.place].name.clone(),
            words::reach(seam.reach).to_owned(),
            number(case.state.seam_pa[index]),
            number(case.state.seam_m3_s[index]),
            number(seam.mean_q25_m3_s),
            number(seam.n),
        ]);
    }
    csv_table(&COLUMNS, rows)
}

fn number(value: f64) -> String {
    if value.is_finite() {
        value.to_string()
    } else {
        String::new()
    }
}
