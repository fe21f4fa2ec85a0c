//! Normal running with given seams, as those who only want the state ask for it.

use super::assemble::prepare;
use super::error::FlowError;
use super::state::{FlowState, match_airflow, state};
use super::types::{FlowSettings, SeamLaws};
use crate::system::{System, TestKind};

/// The running system, its seams leaking by `laws`; the blower's curve is scaled to the airflow stated, unless it is the
/// person's own. Whether the solve settled stands in the state.
///
/// # Errors
/// As [`prepare`].
pub fn running_state(system: &System, laws: SeamLaws<'_>) -> Result<FlowState, FlowError> {
    let setup = system.setup(TestKind::Running);
    let mut prepared = prepare(system, &setup, &FlowSettings::default())?;
    Ok(match system.unit.airflow_for_curve_m3_s() {
        Some(airflow) => match_airflow(system, &mut prepared, laws, airflow),
        None => state(system, &prepared, laws),
    })
}
