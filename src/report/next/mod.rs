//! Answers of `ductseam next`: what to look at or test next, as text, JSON and CSV.

mod csv;
mod json;
pub(super) mod text;

pub use csv::{COLUMNS, next_csv};
pub use json::{FORMAT, next_json};
pub use text::{NextTextSettings, next_text};

use super::cautions::{Caution, cautions, house_fan};
use crate::allocate::{Action, Candidate, NextAnswer};
use crate::system::{Mover, System};

/// What is advised: nothing where a caution forbids it.
pub(super) fn advised(answer: &NextAnswer) -> &[Candidate] {
    if answer.stopped.is_some() {
        &[]
    } else {
        &answer.candidates
    }
}

/// Cautions of the system, and that of fans in doors where one is advised.
pub(super) fn all_cautions(system: &System, answer: &NextAnswer) -> Vec<Caution> {
    let mut found = cautions(system);
    if advised(answer).iter().any(pulls_on_flues) {
        // After the stops, before the rest.
        let at = found.iter().take_while(|caution| caution.stop).count();
        found.insert(at, house_fan());
    }
    found
}

/// Whether a fan in a door takes part.
fn pulls_on_flues(candidate: &Candidate) -> bool {
    match &candidate.action {
        Action::Smoke { .. } => false,
        Action::Test { setup, .. } => matches!(
            setup.kind.recipe().mover,
            Mover::HouseFan | Mover::BlowerAndHouseFan
        ),
    }
}
