//! `ductseam plan --format csv`: one row a step in the order of the work, SI.

use super::place_of;
use crate::report::csv_table::{csv_table, optional};
use crate::report::words;
use crate::seal::Plan;
use crate::system::System;

/// Columns of the table, in order.
pub const COLUMNS: [&str; 27] = [
    "step",
    "seam",
    "run",
    "what",
    "side",
    "place",
    "reach",
    "method",
    "fasten_first",
    "open_chance",
    "minutes",
    "set_up_minutes",
    "material",
    "material_unit",
    "material_amount",
    "material_money",
    "cure_h",
    "gap_m",
    "gap_measured",
    "test_mean_m3_s",
    "test_cut_mean_m3_s",
    "test_cut_p05_m3_s",
    "test_cut_p95_m3_s",
    "outside_cut_mean_m3_s",
    "running_cut_mean_m3_s",
    "worth_chance",
    "method_source",
];

/// The steps; none where a caution stops the work.
#[must_use]
pub fn plan_csv(system: &System, plan: &Plan) -> String {
    csv_table(
        &COLUMNS,
        plan.steps.iter().enumerate().map(|(at, step)| {
            let seam = &system.seams[step.seam];
            let method = &system.crew.methods[step.method];
            let way = &system.ways(step.seam)[step.way];
            [
                (at + 1).to_string(),
                seam.id.clone(),
                seam.run.clone(),
                seam.what.clone(),
                words::side(seam.side).to_owned(),
                place_of(system, step).to_owned(),
                words::reach(seam.reach).to_owned(),
                method.id.clone(),
                step.fasten.clone().unwrap_or_default(),
                step.open_chance.to_string(),
                step.minutes.to_string(),
                step.set_up_minutes.to_string(),
                method.material.clone(),
                method.unit.clone(),
                way.material(method).to_string(),
                optional(step.material_money),
                method.cure_h.to_string(),
                step.gap_m.0.to_string(),
                step.gap_m.1.to_string(),
                step.test_m3_s.mean.to_string(),
                step.test_cut_m3_s.mean.to_string(),
                step.test_cut_m3_s.p05.to_string(),
                step.test_cut_m3_s.p95.to_string(),
                step.outside_cut_m3_s.mean.to_string(),
                optional(step.running_cut_m3_s.map(|cut| cut.mean)),
                step.worth_chance.to_string(),
                method.source.clone(),
            ]
        }),
    )
}
