//! `ductseam prove --format csv`: one row a seam that remains, the largest first, SI.

use crate::report::csv_table::{csv_table, optional};
use crate::report::words;
use crate::seal::Proof;
use crate::system::System;

/// Columns of the table, in order.
pub const COLUMNS: [&str; 12] = [
    "rank",
    "seam",
    "run",
    "what",
    "place",
    "reach",
    "sealed_in",
    "before_mean_m3_s",
    "after_mean_m3_s",
    "after_p05_m3_s",
    "after_p95_m3_s",
    "part_left",
];

/// The seams.
#[must_use]
pub fn prove_csv(system: &System, proof: &Proof) -> String {
    csv_table(
        &COLUMNS,
        proof.remaining.iter().enumerate().map(|(at, &index)| {
            let seam = &system.seams[index];
            let sealed = proof.sealed.iter().find(|sealed| sealed.seam == index);
            let after = proof.after.seams[index].test_m3_s;
            [
                (at + 1).to_string(),
                seam.id.clone(),
                seam.run.clone(),
                seam.what.clone(),
                system.places[seam.place].name.clone(),
                words::reach(seam.reach).to_owned(),
                sealed.map_or_else(String::new, |sealed| system.sealing[sealed.step].id.clone()),
                proof.before.seams[index].test_m3_s.mean.to_string(),
                after.mean.to_string(),
                after.p05.to_string(),
                after.p95.to_string(),
                optional(sealed.map(|sealed| sealed.left)),
            ]
        }),
    )
}
