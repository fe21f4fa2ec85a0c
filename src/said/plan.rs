//! Words of a plan that answers and drawings share.

use super::figures::number;
use crate::seal::{Basis, Plan};

/// Hours and minutes: `45 min`, `3 h 40 min`.
pub fn hours(minutes: f64) -> String {
    let whole = minutes.round().max(0.0);
    let (h, m) = ((whole / 60.0).floor(), whole % 60.0);
    match (h as u64, m as u64) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

/// What the plan's leakage is of.
pub fn basis(plan: &Plan) -> String {
    match plan.ask.basis {
        Basis::Total => format!(
            "total leakage at {} Pa",
            number(plan.allocation.test_setup.pressure_pa, 0)
        ),
        Basis::Outside => format!(
            "leakage to outside at {} Pa",
            number(plan.allocation.to_outside_setup.pressure_pa, 0)
        ),
        Basis::Running => "leakage of all seams while the unit runs".to_owned(),
    }
}
