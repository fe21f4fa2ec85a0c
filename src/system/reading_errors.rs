//! How far a reading may be off when its person does not say.

use super::notes::Notes;
use crate::quantity::{Flow, Pressure, UnitSystem};
use crate::sketch::{Amount, ReadValue};

/// Relative standard deviation of a flow when nobody says: 3 %, as makers of calibrated test fans commonly state.
pub(crate) const USUAL_FLOW_ERROR: f64 = 0.03;
/// Floor of a flow's standard deviation, m³/s: half a litre a second, about 1 cfm. Engineering estimate.
const FLOOR_M3_S: f64 = 0.5e-3;
/// Relative standard deviation of a pressure when nobody says: 1 %. Engineering estimate: a digital gauge.
pub(super) const USUAL_PRESSURE_ERROR: f64 = 0.01;
/// Floor of a pressure's standard deviation, Pa. Engineering estimate: a digital gauge and its baseline.
pub(super) const FLOOR_PA: f64 = 0.3;

/// Error of one value, one standard deviation.
pub(super) struct Error {
    /// As a part of the value.
    pub relative_sd: f64,
    /// At least, in the value's unit.
    pub floor_sd: f64,
    /// Where it comes from, in words.
    pub source: &'static str,
    /// Whether nobody said it.
    pub is_usual: bool,
}

/// The error of a value: as said, or the usual one, which is noted.
///
/// `corrects` is whether the meter corrects for the density of the air by itself.
pub(super) fn error(
    id: &str,
    value: &ReadValue,
    units: UnitSystem,
    corrects: bool,
    notes: &mut Notes,
) -> Error {
    let stated = "stated with the reading";
    let (usual, floor, floor_words, from) = match value.value.value {
        Amount::Flow(_) => {
            if corrects {
                notes.assume(
                    "readings",
                    "flows are taken as the meter's, corrected to air of 1.204 kg/m3 (20 °C at sea level)",
                    "common practice: a meter that corrects by itself",
                );
            }
            (
                USUAL_FLOW_ERROR,
                FLOOR_M3_S,
                Flow::new(FLOOR_M3_S).show(units),
                "engineering estimate, near what makers of calibrated test fans state",
            )
        }
        Amount::Pressure(_) => (
            USUAL_PRESSURE_ERROR,
            FLOOR_PA,
            Pressure::new(FLOOR_PA).show(UnitSystem::Si),
            "engineering estimate: a digital gauge",
        ),
    };
    if let Some(sd) = &value.absolute_sd {
        return Error {
            relative_sd: 0.0,
            floor_sd: sd.value.si(),
            source: stated,
            is_usual: false,
        };
    }
    let (relative_sd, source) = match (&value.relative_sd, value.value.value) {
        (Some(sd), _) => (sd.value.si(), stated),
        (None, amount) => {
            notes.assume(
                &format!("reading {id}"),
                &format!("error: ± {} % (one standard deviation)", usual * 100.0),
                from,
            );
            let source = match amount {
                Amount::Flow(_) => "assumed: 3 % of the flow, engineering estimate",
                Amount::Pressure(_) => {
                    "assumed: 1 % of the pressure and at least 0.3 Pa, engineering estimate"
                }
            };
            (usual, source)
        }
    };
    let (what, why) = match value.value.value {
        Amount::Flow(_) => (
            "error",
            "engineering estimate: what a gauge can still tell apart",
        ),
        Amount::Pressure(_) => (
            "error of a pressure",
            "engineering estimate: a digital gauge and its baseline",
        ),
    };
    notes.assume("readings", &format!("{what} not below {floor_words}"), why);
    Error {
        relative_sd,
        floor_sd: floor,
        source,
        is_usual: value.relative_sd.is_none(),
    }
}
