//! Turns answers into text, JSON and CSV. Knows no terminal and no file.
//!
//! # Example
//!
//! ```
//! # use ductseam::{catalog::Catalog, sketch, system};
//! # let text = "
//! # ductseam: 1
//! # title: two registers (invented)
//! # air handler: {place: attic, airflow: 500 cfm assumed}
//! # runs:
//! #   - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}
//! #   - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
//! #   - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
//! #   - {id: hall, side: return, from: return plenum, size: 12x8 in, place: attic, walk: [south 4 ft, return box 14x12 in]}
//! # readings: [{id: first, total: 60 cfm at 25 Pa ± 3 %}]
//! # ";
//! # let catalog = Catalog::builtin();
//! # let sketch = sketch::read(text, "two.yaml").map_err(|found| found.render(false)).unwrap();
//! # let system = system::build(&sketch, text, "two.yaml", catalog).map_err(|found| found.render(false)).unwrap();
//! use ductseam::allocate::{AllocateSettings, allocate};
//! use ductseam::quantity::UnitSystem;
//! use ductseam::report::{ALLOCATION_FORMAT, TextSettings, allocation_csv, allocation_json, allocation_text};
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let answer = allocate(&system, &AllocateSettings { draws: 500, ..Default::default() }).unwrap();
//! let text = allocation_text(&system, &answer, None, TextSettings { units: UnitSystem::Ip, rows: 0 });
//! assert!(text.contains("kitchen/tab collar"));
//! assert!(allocation_json(&system, &answer, None).contains(ALLOCATION_FORMAT));
//! // One row a seam, and the header.
//! assert_eq!(allocation_csv(&answer).lines().count(), 1 + system.seams.len());
//! ```

mod allocation_csv;
mod allocation_json;
mod allocation_text;
mod catalog_joint;
mod catalog_json;
mod catalog_methods;
mod catalog_text;
mod cautions;
mod charts;
mod check;
mod check_crew;
mod check_evidence;
mod check_running;
mod check_seams;
mod compare;
pub(crate) mod csv_table;
mod effects;
mod evidence_text;
mod exercise;
mod flow;
mod house;
mod joints;
mod json_parts;
mod limits;
mod lines;
mod next;
mod open_text;
mod plan;
mod predict;
mod prove;
#[cfg(test)]
mod samples;
mod sensitivity_json;
mod sensitivity_text;
pub(crate) mod words;

use crate::said::figures;

pub use allocation_csv::{COLUMNS as ALLOCATION_COLUMNS, allocation_csv};
pub use allocation_json::{FORMAT as ALLOCATION_FORMAT, allocation_json};
pub use allocation_text::{TextSettings, allocation_text};
pub use catalog_joint::explain_joint;
pub use catalog_json::{FORMAT as CATALOG_FORMAT, catalog_json, joint_json};
pub use catalog_text::catalog_text;
pub use cautions::{Caution, cautions};
pub use check::{CHECK_FORMAT, check_json, check_text};
pub use check_seams::check_seams_text;
pub(crate) use flow::piece_kind;

pub use compare::{
    COLUMNS as COMPARE_COLUMNS, FORMAT as COMPARE_FORMAT, compare_csv, compare_json, compare_text,
};
pub use effects::{
    COLUMNS as EFFECTS_COLUMNS, EffectsTextSettings, FORMAT as EFFECTS_FORMAT, effects_csv,
    effects_json, effects_text,
};
pub use exercise::{
    ANSWERS_FORMAT, Answers, MARKS_FORMAT, Names as ExerciseNames, exercise_sketch, fingerprint,
    handout_text, marks_json, marks_text, read_answers, reads_back,
};
pub use flow::{
    COLUMNS as FLOW_COLUMNS, CurveUse, FORMAT as FLOW_FORMAT, FlowCase, FlowTextSettings, flow_csv,
    flow_json, flow_text,
};

pub use house::{House, house_html};
pub use joints::{
    COLUMNS as JOINTS_COLUMNS, FORMAT as JOINTS_FORMAT, JointsTextSettings, joints_csv,
    joints_json, joints_text,
};
pub use next::{
    COLUMNS as NEXT_COLUMNS, FORMAT as NEXT_FORMAT, NextTextSettings, next_csv, next_json,
    next_text,
};

pub use limits::{
    COLUMNS as LIMITS_COLUMNS, FORMAT as LIMITS_FORMAT, LIST_COLUMNS, LIST_FORMAT, RECORD_COLUMNS,
    RECORD_FORMAT, limit_list_csv, limit_list_json, limit_list_text, limits_csv, limits_json,
    limits_text, record_csv, record_json, record_text,
};
pub use lines::wrapped as paragraph;
pub use plan::{
    COLUMNS as PLAN_COLUMNS, FORMAT as PLAN_FORMAT, PlanTextSettings, WORK_COLUMNS, plan_csv,
    plan_json, plan_text, work_list_csv, work_list_text,
};
pub use predict::{
    COLUMNS as PREDICT_COLUMNS, FORMAT as PREDICT_FORMAT, PredictTextSettings, predict_csv,
    predict_json, predict_text,
};
pub use prove::{
    COLUMNS as PROVE_COLUMNS, FORMAT as PROVE_FORMAT, ProveTextSettings, prove_csv, prove_json,
    prove_text,
};

use crate::allocate::Allocation;
use crate::system::{System, Warning};

/// Warnings of the system first, then those of the allocation, each said once.
fn all_warnings<'a>(
    system: &'a System,
    allocation: &'a Allocation,
) -> impl Iterator<Item = &'a Warning> {
    let fresh = |warning: &&Warning| !system.warnings.contains(warning);
    system
        .warnings
        .iter()
        .chain(allocation.warnings.iter().filter(fresh))
}

/// An answer as JSON text, indented, with a final newline.
fn pretty(answer: &impl serde::Serialize) -> String {
    serde_json::to_string_pretty(answer).expect("texts, numbers and lists always serialise") + "\n"
}
