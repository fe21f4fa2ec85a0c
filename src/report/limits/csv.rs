//! `ductseam limits --format csv`: one row a limit and reading, SI.

use super::json::{measure, verdict};
use super::said;
use crate::limits::Answer;
use crate::report::csv_table::{csv_table, optional};

/// Columns of the table, in order.
pub const COLUMNS: [&str; 21] = [
    "limit",
    "own",
    "issuer",
    "edition",
    "section",
    "stage_of_test",
    "scope",
    "measure",
    "figure",
    "readings",
    "flow_25_pa_m3_s",
    "sd_m3_s",
    "limit_m3_s",
    "margin_m3_s",
    "margin_part",
    "chance",
    "verdict",
    "words",
    "sure",
    "condition",
    "held_m3_s",
];

/// The limits.
#[must_use]
pub fn limits_csv(answer: &Answer<'_>) -> String {
    csv_table(
        &COLUMNS,
        answer.held.iter().map(|held| {
            let limit = &held.limit;
            let found = held.found.map(|k| &answer.found[k]);
            let at = found.and_then(|found| found.at_25.as_ref().ok());
            let judged = held.judged.as_ref().ok();
            let (measure, figure) = measure(limit);
            [
                limit.id.clone(),
                if limit.own { "yes" } else { "no" }.to_owned(),
                limit.issuer.clone(),
                limit.edition.clone(),
                limit.section.clone(),
                found
                    .and_then(|found| found.basis.stage)
                    .map_or("", |stage| stage.words())
                    .to_owned(),
                limit.scope.words().to_owned(),
                measure.to_owned(),
                figure.to_string(),
                found.map_or_else(String::new, |found| found.ids.join(" | ")),
                optional(at.map(|at| at.flow_m3_s())),
                optional(at.map(|at| at.sd_m3_s())),
                optional(judged.map(|j| j.limit_m3_s)),
                optional(judged.map(|j| j.margin_m3_s)),
                optional(judged.map(|j| j.margin_part)),
                optional(judged.and_then(|j| j.chance).map(trillionth)),
                judged
                    .map_or("not-comparable", |j| verdict(j.verdict))
                    .to_owned(),
                match &held.judged {
                    Ok(judged) => judged.verdict.words().to_owned(),
                    Err(why) => why.to_string(),
                },
                said::sure(limit).to_owned(),
                limit.condition.clone(),
                optional(held.flow.as_ref().map(|at| at.flow_m3_s())),
            ]
        }),
    )
}

/// A chance without digits that mean nothing.
fn trillionth(chance: f64) -> f64 {
    (chance * 1e12).round() / 1e12
}
