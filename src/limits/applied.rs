//! What a limit comes to for one system.

use crate::catalog::class::class_flow;
use crate::catalog::{Limit, Measure, Scope};
use crate::system::{Side, System, TEST_PRESSURE_PA};

/// Why a limit cannot be told as a flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Unknown {
    /// The floor area is not stated.
    #[error("the floor area is not stated (`floor area` under `house`)")]
    FloorArea,
    /// The airflow is not stated.
    #[error(
        "the airflow is not stated (`airflow` under `air handler`): a percentage needs its divisor"
    )]
    Airflow,
    /// No duct is sketched on the side.
    #[error("no duct is sketched there: a class needs the surface of the ducts")]
    Surface,
}

/// Surface of the sketched ducts that a scope speaks of, plenums included, m².
#[must_use]
pub fn duct_surface_m2(system: &System, scope: Scope) -> f64 {
    let side = match scope {
        Scope::Total | Scope::Outside => None,
        Scope::Supply => Some(Side::Supply),
        Scope::Return => Some(Side::Return),
    };
    let pieces = system.graph.edge_weights();
    pieces
        .filter(|piece| side.is_none_or(|side| piece.side == side))
        .fold(0.0, |sum, piece| sum + piece.surface_m2)
}

/// The flow at 25 Pa that a limit allows a system, m³/s at 1.204 kg/m³.
///
/// A class is by the surface of the sketched ducts of its scope; a measured total held against it holds the leakage of
/// cabinet and boots too, which no reading can leave out.
///
/// # Errors
/// [`Unknown`] where the system does not state what the limit is measured by.
pub fn flow_at_25_pa(limit: &Limit, system: &System) -> Result<f64, Unknown> {
    let flow = match limit.measure {
        Measure::Flow(flow) => flow,
        Measure::PerFloorArea(by) => by * system.floor_area_m2.ok_or(Unknown::FloorArea)?,
        Measure::PartOfAirflow(part) => {
            let (airflow, _) = system.unit.airflow_m3_s.ok_or(Unknown::Airflow)?;
            part * airflow
        }
        Measure::Class(class) => {
            let surface = duct_surface_m2(system, limit.scope);
            if surface <= 0.0 {
                return Err(Unknown::Surface);
            }
            class_flow(class, surface, TEST_PRESSURE_PA)
        }
    };
    Ok(flow.max(limit.least_m3_s))
}
