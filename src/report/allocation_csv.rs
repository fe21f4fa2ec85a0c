//! `ductseam allocate --format csv`: one row a seam, ranked, SI.

use super::words;
use crate::allocate::Allocation;
use crate::catalog::Basis;
use crate::report::csv_table::csv_table;

/// Columns of the table, in order.
pub const COLUMNS: [&str; 26] = [
    "rank",
    "seam",
    "run",
    "piece",
    "what",
    "joint_type",
    "side",
    "place",
    "reach",
    "work",
    "length_m",
    "count",
    "n",
    "prior_q25_mean_m3_s",
    "q25_mean_m3_s",
    "q25_p05_m3_s",
    "q25_p95_m3_s",
    "test_pa",
    "test_mean_m3_s",
    "test_p05_m3_s",
    "test_p95_m3_s",
    "share",
    "to_outside_share",
    "top10_chance",
    "gross_chance",
    "prior_gross_chance",
];

/// The seam table as CSV, header first.
#[must_use]
pub fn allocation_csv(allocation: &Allocation) -> String {
    let mut rows: Vec<[String; COLUMNS.len()]> = Vec::new();
    for (rank, index) in allocation.leakiest_first().into_iter().enumerate() {
        let seam = &allocation.seams[index];
        let amount = seam.amount.to_string();
        let (length, count) = if seam.basis == Basis::PerMetre {
            (amount, String::new())
        } else {
            (String::new(), amount)
        };
        rows.push([
            (rank + 1).to_string(),
            seam.id.clone(),
            seam.run.clone(),
            seam.piece.clone(),
            seam.what.clone(),
            seam.joint_type.clone(),
            words::side(seam.side).to_owned(),
            seam.place.clone(),
            words::reach(seam.reach).to_owned(),
            words::work(seam.work).to_owned(),
            length,
            count,
            seam.n.to_string(),
            seam.prior_q25_m3_s.mean.to_string(),
            seam.q25_m3_s.mean.to_string(),
            seam.q25_m3_s.p05.to_string(),
            seam.q25_m3_s.p95.to_string(),
            seam.test_pa.to_string(),
            seam.test_m3_s.mean.to_string(),
            seam.test_m3_s.p05.to_string(),
            seam.test_m3_s.p95.to_string(),
            seam.share.to_string(),
            seam.to_outside_share.to_string(),
            seam.top_chance.to_string(),
            seam.gross_chance.to_string(),
            seam.prior_gross_chance.to_string(),
        ]);
    }
    csv_table(&COLUMNS, rows)
}

#[cfg(test)]
mod tests {
    use super::super::samples;
    use super::*;

    #[test]
    fn a_seam_keeps_its_chance_to_hang_open_in_the_last_columns() {
        let system = samples::system();
        let text = allocation_csv(&samples::allocation(&system));
        let mut lines = text.lines();
        let header = lines.next().expect("a header");
        assert!(
            header.ends_with("top10_chance,gross_chance,prior_gross_chance"),
            "{header}"
        );
        let fourth = lines.nth(3).expect("a fourth seam");
        assert!(fourth.ends_with(",0.83,0.005"), "{fourth}");
        assert_eq!(text.lines().count(), 1 + system.seams.len());
    }
}
