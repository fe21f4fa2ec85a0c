//! What was solved, in words, and figures as they are shown.

use super::case::{CurveUse, FlowCase};
use crate::quantity::{Flow, Pressure, Temperature, UnitSystem, significant};
use crate::report::figures;
pub use crate::report::figures::{number, signed_flow as flow};
use crate::report::words;
use crate::system::{Barrier, BlowerKind, Mover, TestKind};

/// Temperature of all air where nothing is heated or cooled, K.
const ROOM_AIR_K: f64 = 293.15;

/// The set-up in words, with its pressure and places.
pub fn set_up(case: &FlowCase<'_>) -> String {
    let (system, setup) = (case.system, case.setup);
    let recipe = setup.kind.recipe();
    match recipe.mover {
        Mover::DuctFan => {
            let here = words::setup(system, setup);
            if here.starts_with(recipe.words) {
                here
            } else {
                format!("{}. Here: {here}", recipe.words)
            }
        }
        Mover::HouseFan => {
            let pan = match setup.kind {
                TestKind::Pan(opening) => format!(", pan on `{}`", system.openings[opening].id),
                _ => String::new(),
            };
            format!(
                "{}, here at {}{pan}",
                recipe.words,
                pressure(signed_pa(case), UnitSystem::Si)
            )
        }
        Mover::Blower | Mover::BlowerAndHouseFan => recipe.words.to_owned(),
    }
}

/// Signed pressure that the set-up holds at its tap or in the house, Pa.
pub fn signed_pa(case: &FlowCase<'_>) -> f64 {
    if case.setup.pressurise {
        case.setup.pressure_pa
    } else {
        -case.setup.pressure_pa
    }
}

/// One paragraph: what was solved and on what it rests.
pub fn solved(case: &FlowCase<'_>, units: UnitSystem) -> String {
    let setup = case.setup;
    let mut said = format!("Set-up `{}`: {}. ", setup.kind.recipe().id, set_up(case));
    if matches!(setup.kind, TestKind::Guarded(_)) {
        let barrier = match setup.barrier {
            Barrier::Filter => "filter",
            Barrier::BlowerInlet => "blower inlet",
            Barrier::BlowerOutlet => "blower outlet",
        };
        said.push_str(&format!("The barrier is at the {barrier}. "));
    }
    said.push_str(
        "Before any reading: every seam leaks the catalogue's mean for its kind of joint at 25 Pa, with the catalogue's \
         exponent; readings are not used.",
    );
    if let Some(curve) = curve(case, units) {
        said.push(' ');
        said.push_str(&curve);
    }
    if case.is_running() {
        let air = Temperature::new(case.supply_air_k);
        if (case.supply_air_k - ROOM_AIR_K).abs() > 0.01 {
            said.push_str(&format!(" Supply air at {}.", temperature(air, units)));
        } else {
            said.push_str(" Air neither heated nor cooled.");
        }
    }
    said.push_str(" Flows are at 1.204 kg/m3.");
    said
}

/// Where the blower's curve comes from and what was done with it.
fn curve(case: &FlowCase<'_>, units: UnitSystem) -> Option<String> {
    let blower = &case.system.unit.blower;
    let own = blower.kind == BlowerKind::Points;
    Some(match case.curve {
        CurveUse::Still => return None,
        CurveUse::Scaled { airflow_m3_s } => format!(
            "The blower's curve ({}) is scaled by {:.3} so that the blower moves {}, {}.",
            if own {
                "the sketch's own points"
            } else {
                "estimated"
            },
            case.state.blower_factor,
            Flow::new(airflow_m3_s).show(units),
            airflow_by(case)
        ),
        CurveUse::AsItIs if own => {
            let beside = match case.system.unit.airflow_m3_s {
                Some((flow, _)) => format!(
                    " (beside it the sketch gives {}, {})",
                    Flow::new(flow).show(units),
                    airflow_by(case)
                ),
                None => String::new(),
            };
            format!("The blower's curve goes through the sketch's own points{beside}.")
        }
        CurveUse::AsItIs => "The blower's curve is an estimate, taken as it is.".to_owned(),
    })
}

fn airflow_by(case: &FlowCase<'_>) -> &'static str {
    let by = case.system.unit.airflow_m3_s.map(|airflow| airflow.1);
    by.map_or("stated nowhere", words::airflow_by)
}

/// A flow with its unit.
pub fn flow_with_unit(m3_s: f64, units: UnitSystem) -> String {
    format!("{} {}", flow(m3_s, units), figures::flow_unit(units))
}

/// A pressure with its unit; in inch-pound units inches of water too, as static pressures are spoken of.
pub fn pressure(pa: f64, units: UnitSystem) -> String {
    let shown = number(pa, if pa.abs() >= 9.95 { 0 } else { 1 });
    match units {
        UnitSystem::Si => format!("{shown} Pa"),
        UnitSystem::Ip => format!(
            "{} in. w.g. ({shown} Pa)",
            number(Pressure::from_pa(pa).to_in_wg(), 3)
        ),
    }
}

/// A part in per cent.
pub fn percent(part: f64) -> String {
    let value = 100.0 * part;
    format!(
        "{} %",
        number(value, if value.abs() >= 9.95 { 0 } else { 1 })
    )
}

/// A velocity in ft/min or m/s.
pub fn velocity(m_s: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => number(crate::quantity::Velocity::from_m_s(m_s).to_fpm(), 0),
        UnitSystem::Si => number(m_s, 1),
    }
}

/// The unit of [`velocity`].
pub fn velocity_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "ft/min",
        UnitSystem::Si => "m/s",
    }
}

fn temperature(air: Temperature, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => format!("{} °F", significant(air.to_fahrenheit(), 3)),
        UnitSystem::Si => format!("{} °C", significant(air.to_celsius(), 3)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_never_printed_as_one() {
        assert_eq!(number(f64::NAN, 1), "n/a");
        assert_eq!(number(f64::NEG_INFINITY, 0), "n/a");
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(number(-0.06, 1), "-0.1");
        assert_eq!(number(10.0, 0), "10");
    }
}
