//! `ductseam predict --format csv`: one row a way of building, SI.

use super::{choice, kind};
use crate::predict::{Outlook, Prediction};
use crate::report::csv_table::{csv_table, optional};
use crate::system::System;

/// Columns of the table, in order.
pub const COLUMNS: [&str; 11] = [
    "kind",
    "what",
    "total_mean_m3_s",
    "total_p05_m3_s",
    "total_p95_m3_s",
    "total_cut_mean_m3_s",
    "outside_mean_m3_s",
    "outside_p05_m3_s",
    "outside_p95_m3_s",
    "outside_cut_mean_m3_s",
    "first_limit_chance",
];

/// The sketch as it stands, the same in the draws of choices and pairs, then those, then variants (all draws). Cuts of
/// choices are the part that goes in their draws, of the mean in all.
#[must_use]
pub fn predict_csv(system: &System, found: &Prediction) -> String {
    let row = |kind: &str, what: String, after: &Outlook, cuts: [f64; 2]| {
        [
            kind.to_owned(),
            what,
            after.total_m3_s.mean.to_string(),
            after.total_m3_s.p05.to_string(),
            after.total_m3_s.p95.to_string(),
            cuts[0].to_string(),
            after.outside_m3_s.mean.to_string(),
            after.outside_m3_s.p05.to_string(),
            after.outside_m3_s.p95.to_string(),
            cuts[1].to_string(),
            optional(after.chances.first().copied().flatten()),
        ]
    };
    let mut rows = vec![row(
        "sketch",
        "as sketched".to_owned(),
        &found.as_sketched,
        [0.0, 0.0],
    )];
    rows.push(row(
        "base",
        format!(
            "as sketched, in the {} draws of the choices",
            found.choice_draws
        ),
        &found.base,
        [0.0, 0.0],
    ));
    for made in found.choices.iter().chain(&found.pairs) {
        rows.push(row(
            kind(&made.what),
            choice(system, &made.what),
            &made.after,
            [made.total_cut_m3_s, made.outside_cut_m3_s],
        ));
    }
    for variant in &found.variants {
        rows.push(row(
            "variant",
            variant.id.clone(),
            &variant.after,
            [
                found.as_sketched.total_m3_s.mean - variant.after.total_m3_s.mean,
                found.as_sketched.outside_m3_s.mean - variant.after.outside_m3_s.mean,
            ],
        ));
    }
    csv_table(&COLUMNS, rows)
}
