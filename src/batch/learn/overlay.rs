//! What was learned as tables: the habits themselves, and the catalogue rows that they make.

use super::population::{Habits, RowHabit};
use crate::catalog::{Catalog, JOINT_COLUMNS, JointType, Work, shared_variance};
use crate::math::{exp, square};
use crate::report::csv_table::csv_table;

/// Columns of [`habits_csv`], and what each holds. Bands are 90 %.
pub const HABITS_COLUMNS: [(&str, &str); 16] = [
    (
        "joint_type",
        "joint type; the first row is the workmanship of whole systems",
    ),
    ("work", "workmanship: unsealed, ordinary, mastic"),
    ("systems", "systems that have such seams"),
    (
        "looked",
        "systems in which somebody looked at one; totals alone hardly tell joint types apart",
    ),
    ("seams", "seams of the kind in all of them"),
    (
        "catalogue_mean_l_s",
        "mean flow at 25 Pa that the catalogue has, L/s per metre or each",
    ),
    ("learned_mean_l_s", "the same of these crews"),
    ("learned_mean_p05_l_s", "lower bound of its band"),
    ("learned_mean_p95_l_s", "upper bound of its band"),
    ("basis", "m or each: what the means are counted by"),
    ("mean_factor", "learned mean over catalogue's mean"),
    (
        "habit_gsd",
        "factor by which crews differ with this joint alone; in the first row, in everything",
    ),
    ("habit_gsd_p05", "lower bound of its band"),
    ("habit_gsd_p95", "upper bound of its band"),
    (
        "whole_gsd",
        "factor by which single seams differ, all reasons together",
    ),
    (
        "informed",
        "part of the doubt about the mean that these systems took away, 0 to 1",
    ),
];

/// Rows of which the systems took away less than this part of the doubt keep the catalogue's figure in the overlay.
const LEAST_INFORMED: f64 = 0.2;
/// Fewer systems than this make no catalogue: bands lean on the count. Engineering estimate.
const LEAST_SYSTEMS: usize = 30;
/// A row that was looked at in fewer systems keeps its figure: what totals say of it could as well be said of others (in a study
/// of invented houses such rows were off by more than their bands). Engineering estimate.
const LEAST_LOOKED: usize = 10;

/// Whether enough was learned of a row to put it into a catalogue.
#[must_use]
pub fn is_learned(habits: &Habits, row: &RowHabit) -> bool {
    habits.systems >= LEAST_SYSTEMS && row.looked >= LEAST_LOOKED && row.informed >= LEAST_INFORMED
}

/// What was learned, one row a joint type and state, with 90 % bands; the first row is the workmanship of whole systems. Means
/// are arithmetic means of flow at 25 Pa in L/s per metre or each.
#[must_use]
pub fn habits_csv(habits: &Habits, catalog: &Catalog) -> String {
    let mut first: [String; HABITS_COLUMNS.len()] = Default::default();
    first[0] = "(workmanship of whole systems)".to_owned();
    first[2] = habits.systems.to_string();
    first[11] = tidy(habits.workmanship_gsd.best).to_string();
    first[12] = tidy(habits.workmanship_gsd.p05).to_string();
    first[13] = tidy(habits.workmanship_gsd.p95).to_string();
    let of_row = |row: &RowHabit| {
        let (joint, mean) = joint_of(catalog, row)?;
        let l_s = |factor: f64| tidy(mean * factor * 1000.0).to_string();
        Some([
            row.joint_type.clone(),
            row.work.clone(),
            row.systems.to_string(),
            row.looked.to_string(),
            row.seams.to_string(),
            l_s(1.0),
            l_s(row.mean_factor.best),
            l_s(row.mean_factor.p05),
            l_s(row.mean_factor.p95),
            joint.basis.word().to_owned(),
            tidy(row.mean_factor.best).to_string(),
            tidy(row.habit_gsd.best).to_string(),
            tidy(row.habit_gsd.p05).to_string(),
            tidy(row.habit_gsd.p95).to_string(),
            tidy(row.whole_gsd).to_string(),
            tidy(row.informed).to_string(),
        ])
    };
    let rows = [first]
        .into_iter()
        .chain(habits.rows.iter().filter_map(of_row));
    csv_table(&HABITS_COLUMNS.map(|(name, _)| name), rows)
}

/// Rounded to six significant digits: more than any of this is sure of, and the catalogue's own figures come out as they are.
fn tidy(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

fn joint_of<'c>(catalog: &'c Catalog, row: &RowHabit) -> Option<(&'c JointType, f64)> {
    let joint = catalog.joint(&row.joint_type)?;
    let work = Work::from_word(&row.work)?;
    Some((joint, joint.state(work).mean_q25))
}

/// The joint types of which enough was learned, as a catalogue of one's own to lay over the built-in one
/// ([`Catalog::overlay`]); its source says where each figure comes from. Empty but for the header where nothing was learned.
///
/// A state of which little was learned ([`is_learned`]) keeps its figures. Better work cannot leak more than worse: where what was learned
/// says so, the worse state is raised to the better one. A spread is kept wide enough for the workmanship and habit that the
/// catalogue counts with ([`shared_variance`]).
#[must_use]
pub fn learned_csv(habits: &Habits, catalog: &Catalog) -> String {
    let of_joint = |joint: &JointType| {
        let learned = |work: Work| {
            habits.rows.iter().find(|row| {
                row.joint_type == joint.id && row.work == work.word() && is_learned(habits, row)
            })
        };
        let any = Work::ALL.iter().any(|work| learned(*work).is_some());
        any.then(|| overlay_row(joint, habits.systems, &learned))
    };
    csv_table(JOINT_COLUMNS, catalog.joints().iter().filter_map(of_joint))
}

fn overlay_row<'h>(
    joint: &JointType,
    systems: usize,
    learned: &dyn Fn(Work) -> Option<&'h RowHabit>,
) -> Vec<String> {
    let (mut means, mut gsds) = (Vec::new(), Vec::new());
    let (mut sources, mut sures) = (Vec::new(), Vec::new());
    for work in Work::ALL {
        let state = joint.state(work);
        match learned(work) {
            None => {
                means.push(state.mean_q25 * 1000.0);
                gsds.push(state.gsd);
                sources.push(state.source.text.clone());
                sures.push(state.source.sure.code().to_owned());
            }
            Some(row) => {
                let mean = |factor: f64| state.mean_q25 * factor * 1000.0;
                means.push(mean(row.mean_factor.best));
                gsds.push(if joint.field_made {
                    row.whole_gsd
                        .max(exp((shared_variance() + square(0.1)).sqrt()))
                } else {
                    row.whole_gsd
                });
                sources.push(format!(
                    "learned from {} of {systems} systems by one hierarchical model; 90 % band of the mean {:.3} to {:.3} L/s; before: {}",
                    row.systems,
                    mean(row.mean_factor.p05),
                    mean(row.mean_factor.p95),
                    state.source.text,
                ));
                sures.push("calculated".to_owned());
            }
        }
    }
    for worse in [1, 0] {
        if means[worse] < means[worse + 1] {
            means[worse] = means[worse + 1];
            sources[worse] = format!(
                "raised to the better state, which was found to leak more; else: {}",
                sources[worse]
            );
        }
    }
    let number = |value: f64| tidy(value).to_string();
    JOINT_COLUMNS
        .iter()
        .map(|column| match *column {
            "id" => joint.id.clone(),
            "name" => joint.name.clone(),
            "group" => joint.group.clone(),
            "basis" => joint.basis.word().to_owned(),
            "mean_unsealed_l_s" => number(means[0]),
            "mean_ordinary_l_s" => number(means[1]),
            "mean_mastic_l_s" => number(means[2]),
            "gsd_unsealed" => number(gsds[0].clamp(1.01, 10.0)),
            "gsd_ordinary" => number(gsds[1].clamp(1.01, 10.0)),
            "gsd_mastic" => number(gsds[2].clamp(1.01, 10.0)),
            "n" => number(joint.states[0].n),
            "n_mastic" => number(joint.states[2].n),
            "field_made" => if joint.field_made { "yes" } else { "no" }.to_owned(),
            "gross_chance" => number(joint.gross_chance),
            "thick_divisor" => number(joint.thick_divisor),
            "source_unsealed" => sources[0].clone(),
            "sure_unsealed" => sures[0].clone(),
            "source_ordinary" => sources[1].clone(),
            "sure_ordinary" => sures[1].clone(),
            "source_mastic" => sources[2].clone(),
            "sure_mastic" => sures[2].clone(),
            _ => joint.note.clone(),
        })
        .collect()
}
