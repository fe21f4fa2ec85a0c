//! `ductseam flow`: from options to a solved system.

use super::Refused;
use super::args::{Airflow, FlowAsk};
use super::set_up::set_up;
use crate::flow::{FlowSettings, FlowState, SeamLaws, Status, match_airflow, prepare, state};
use crate::quantity::{Pressure, QuantityError, Temperature};
use crate::report::{CurveUse, FlowCase};
use crate::system::{Setup, System};

/// Least and largest pressure that a test may hold, Pa: wide of anything done on ducts.
const PRESSURES_PA: (f64, f64) = (0.1, 5000.0);
/// Coldest and hottest supply air, °C: wide of anything that leaves an air handler.
const SUPPLY_AIR_C: (f64, f64) = (-30.0, 120.0);

/// What the answer is made from, beside the system.
pub struct Solved {
    setup: Setup,
    state: FlowState,
    curve: CurveUse,
    supply_air_k: f64,
    unsettled_at: Option<String>,
}

impl Solved {
    /// The case to report.
    pub fn case<'a>(&'a self, system: &'a System) -> FlowCase<'a> {
        FlowCase {
            system,
            setup: &self.setup,
            state: &self.state,
            curve: self.curve,
            supply_air_k: self.supply_air_k,
            unsettled_at: self.unsettled_at.as_deref(),
        }
    }
}

/// Solves what is asked for, every seam at its prior mean.
pub fn solve(system: &System, ask: &FlowAsk) -> Result<Solved, Refused> {
    let mut setup = set_up(system, &ask.set_up)?;
    let runs = setup.kind.recipe().mover.runs_blower();
    hold(&mut setup, ask, runs)?;
    let mut settings = FlowSettings::default();
    if let Some(said) = &ask.supply_air {
        settings.supply_air_k = supply_air(said, &setup, runs)?;
    }
    let curve = curve(system, ask.airflow, &setup, runs)?;
    let mut prepared = prepare(system, &setup, &settings)
        .map_err(|error| Refused(format!("error: {error}\nhint: {}\n", error.hint())))?;
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let state = match curve {
        CurveUse::Scaled { airflow_m3_s } => {
            match_airflow(system, &mut prepared, laws, airflow_m3_s)
        }
        CurveUse::Still | CurveUse::AsItIs => state(system, &prepared, laws),
    };
    let unsettled_at = match state.outcome.status {
        Status::NotConverged { node } | Status::OutOfReach { node } => {
            Some(prepared.network.node_name(node).to_owned())
        }
        Status::Converged | Status::RoundingLimited => None,
    };
    Ok(Solved {
        setup,
        state,
        curve,
        supply_air_k: settings.supply_air_k,
        unsettled_at,
    })
}

fn hold(setup: &mut Setup, ask: &FlowAsk, runs: bool) -> Result<(), Refused> {
    if runs && (ask.pressure.is_some() || ask.pull) {
        let option = if ask.pull { "--pull" } else { "--pressure" };
        return Err(Refused(format!(
            "error: `{option}` is for tests; in set-up `{}` the blower makes the pressure\nhint: leave it out, or choose \
             a test as in `--set-up total`\n",
            setup.kind.recipe().id
        )));
    }
    if let Some(said) = &ask.pressure {
        let found = Pressure::parse_positive(said).map_err(|e| refuse("--pressure", &e))?;
        within("--pressure", said, found.to_pa(), PRESSURES_PA, "Pa")?;
        setup.pressure_pa = found.to_pa();
    }
    if ask.pull {
        setup.pressurise = false;
    }
    Ok(())
}

fn supply_air(said: &str, setup: &Setup, runs: bool) -> Result<f64, Refused> {
    if !runs {
        return Err(Refused(format!(
            "error: `--supply-air` is for a running system; in set-up `{}` nothing is heated or cooled\nhint: leave it \
             out\n",
            setup.kind.recipe().id
        )));
    }
    let found: Temperature = said.parse().map_err(|e| refuse("--supply-air", &e))?;
    within("--supply-air", said, found.to_celsius(), SUPPLY_AIR_C, "°C")?;
    Ok(found.si())
}

fn curve(
    system: &System,
    said: Option<Airflow>,
    setup: &Setup,
    runs: bool,
) -> Result<CurveUse, Refused> {
    if !runs {
        return match said {
            None => Ok(CurveUse::Still),
            Some(_) => Err(Refused(format!(
                "error: `--airflow` is for a running system; in set-up `{}` the blower stands still\nhint: leave it \
                 out\n",
                setup.kind.recipe().id
            ))),
        };
    }
    let airflow = system.unit.airflow_m3_s.map(|airflow| airflow.0);
    match (said, airflow) {
        (Some(Airflow::AsMeasured), None) => Err(Refused(
            "error: `--airflow as-measured` needs an airflow, and the sketch states none\nhint: say `airflow` under `air \
             handler`, as in `airflow: 1200 cfm by plate at filter`\n"
                .to_owned(),
        )),
        (Some(Airflow::AsMeasured), Some(airflow_m3_s)) => Ok(CurveUse::Scaled { airflow_m3_s }),
        (None, _) => Ok(system
            .unit
            .airflow_for_curve_m3_s()
            .map_or(CurveUse::AsItIs, |airflow_m3_s| CurveUse::Scaled {
                airflow_m3_s,
            })),
        (Some(Airflow::AsCurve), _) => Ok(CurveUse::AsItIs),
    }
}

pub fn refuse(option: &str, error: &QuantityError) -> Refused {
    Refused::with_hint(&format!("`{option}`: {error}"), error.hint())
}

fn within(
    option: &str,
    said: &str,
    value: f64,
    (least, most): (f64, f64),
    unit: &str,
) -> Result<(), Refused> {
    if value >= least && value <= most {
        return Ok(());
    }
    Err(Refused(format!(
        "error: `{option}` needs a figure from {least} to {most} {unit}, found `{said}`\nhint: look at the figure and its \
         unit\n"
    )))
}
