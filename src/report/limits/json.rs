//! `ductseam limits --format json`: the contract `ductseam/limits/1`.
//!
//! SI. Volume flows at 25 Pa and at 1.204 kg/m³ unless a field says otherwise. What is not known is null. Fields are only ever added within
//! version 1.

use serde::Serialize;

use super::said;
use crate::catalog::{Limit, Measure};
use crate::limits::{Answer, Fit, Found, How, Verdict, Weights};
use crate::report::cautions::{Caution, cautions};
use crate::report::json_parts::Warning;
use crate::report::words::airflow_by;
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/limits/1";

#[derive(Debug, Serialize)]
struct Json<'a> {
    format: &'static str,
    title: &'a str,
    /// `answered` or `doubtful`.
    status: &'static str,
    /// Why it is doubtful.
    reasons: Vec<String>,
    /// Stage of the test; null where not stated.
    stage: Option<&'static str>,
    /// Exponent that moves single readings.
    assumed_exponent: f64,
    assumed_exponent_given: bool,
    density: Density,
    measured: Vec<Measured<'a>>,
    earlier: Vec<Measured<'a>>,
    limits: Vec<Against<'a>>,
    /// Readings of the sketch in whose place the series of `--series` stands.
    replaced: &'a [String],
    left_out: &'a [String],
    warnings: Vec<Warning>,
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct Density {
    /// Density at which every flow stands that is judged or put in a form.
    basis_kg_m3: f64,
    air_pressure_pa: f64,
    by_elevation: bool,
    /// Whether the meter was taken to correct for the density of the air by itself.
    meter_corrects: bool,
}

/// The air of one set-up, and what the flow at 25 Pa is by it.
#[derive(Debug, Serialize)]
struct AirJson {
    fan_kg_m3: f64,
    /// Null where the air of the leaks is not known.
    leak_kg_m3: Option<f64>,
    leak_viscosity_pa_s: Option<f64>,
    /// Flow at 1.204 kg/m³ over the flow indicated: √(ρ_fan/1.204), or 1 where the meter corrects.
    meter_factor: f64,
    /// As the meter indicated it.
    indicated_m3_s: Option<f64>,
    /// Actual volume through the leaks.
    leaks_m3_s: Option<f64>,
    /// At reference air, 20 °C and 101 325 Pa, viscosity included.
    reference_m3_s: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Measured<'a> {
    /// `total`, `to outside`, `supply` or `return`.
    scope: &'static str,
    stage: Option<&'static str>,
    sealing_steps_done: usize,
    guarded: bool,
    /// Whether the ducts were blown up and not pulled down.
    pressurise: bool,
    /// Whether the leak past the barrier may be in it.
    may_hold_barrier_leak: bool,
    readings: Vec<Reading<'a>>,
    /// Why there is no flow at 25 Pa; null where there is one.
    error: Option<String>,
    /// Flow at 25 Pa and 1.204 kg/m³: what is judged.
    flow_m3_s: Option<f64>,
    /// One standard deviation.
    sd_m3_s: Option<f64>,
    /// Half-width of the 95 % band.
    half_95_m3_s: Option<f64>,
    /// Degrees of freedom of the error; null for stated errors (normal law).
    freedom: Option<f64>,
    is_bound: Option<bool>,
    /// `one-point`, `repeats`, `two-point` or `series`.
    method: Option<&'static str>,
    exponent: Option<f64>,
    exponent_sd: Option<f64>,
    /// Whether an assumed exponent moved the flow.
    moved_by_assumption: bool,
    air: AirJson,
    /// Of flows at 1.204 kg/m³, as are the readings.
    fit: Option<FitJson>,
    weighted_fit: Option<FitJson>,
    forms: Option<FormsJson<'a>>,
}

#[derive(Debug, Serialize)]
struct Reading<'a> {
    id: &'a str,
    pressure_pa: f64,
    pressure_sd_pa: f64,
    flow_m3_s: f64,
    flow_sd_m3_s: f64,
    is_bound: bool,
}

/// A fitted line.
#[derive(Debug, Serialize)]
pub struct FitJson {
    points: usize,
    exponent: f64,
    exponent_se: f64,
    /// Natural logarithm of C, C in m³/(s·Paⁿ).
    ln_c: f64,
    ln_c_se: f64,
    r2: f64,
    /// Two-sided 95 % factor of Student's law.
    t: f64,
    flow_25_pa_m3_s: f64,
    /// 95 % band of the scatter at 25 Pa.
    low_25_pa_m3_s: f64,
    high_25_pa_m3_s: f64,
    /// Sum of squared weighted residuals; null for the fit of all points alike.
    chi_square: Option<f64>,
}

#[derive(Debug, Serialize)]
struct FormsJson<'a> {
    by_floor_m3_s_m2: Option<f64>,
    floor_area_m2: Option<f64>,
    part_of_airflow: Option<f64>,
    airflow_m3_s: Option<f64>,
    /// How the airflow was got.
    airflow_by: Option<&'static str>,
    duct_surface_m2: Option<f64>,
    /// Of all that was read, cabinet and boots too.
    leakage_class_ip: Option<f64>,
    leakage_class_si: Option<f64>,
    /// Name of the tightest class reached.
    tightness_class: Option<&'a str>,
    openings: Vec<OpeningJson>,
    /// What is missing for a form.
    missing: Vec<String>,
}

#[derive(Debug, Serialize)]
struct OpeningJson {
    name: &'static str,
    pressure_pa: f64,
    discharge_coefficient: f64,
    /// At 1.204 kg/m³; the area is for the air in the leaks.
    flow_m3_s: f64,
    area_m2: f64,
    source: &'static str,
}

#[derive(Debug, Serialize)]
struct Against<'a> {
    limit: LimitJson<'a>,
    /// Index in `measured`; null where nothing of its scope was read.
    measured: Option<usize>,
    /// The flow held against the limit: the reading's, less the leak past a barrier where that is known.
    held_m3_s: Option<f64>,
    /// The leak past the barrier that was taken off.
    barrier_leak_m3_s: Option<f64>,
    /// Whether the flow is the most that can be, so that it is never called above.
    is_at_most: Option<bool>,
    limit_m3_s: Option<f64>,
    /// Whether the flat flow decides.
    by_least: Option<bool>,
    margin_m3_s: Option<f64>,
    margin_part: Option<f64>,
    /// Chance that the true flow is at or below the limit.
    chance: Option<f64>,
    /// `at-or-below`, `above`, `too-close` or `not-comparable`.
    verdict: &'static str,
    /// The same in words, or why not.
    words: String,
}

/// A limit; also a row of the list.
#[derive(Debug, Serialize)]
pub struct LimitJson<'a> {
    id: &'a str,
    words: &'a str,
    issuer: &'a str,
    edition: &'a str,
    section: &'a str,
    /// Empty for any stage.
    stages: Vec<&'static str>,
    scope: &'static str,
    /// `flow` (m³/s), `by-floor-area` (m³/s per m²), `part-of-airflow` or `leakage-class` (inch-pound).
    measure: &'static str,
    figure: f64,
    least_m3_s: f64,
    condition: &'a str,
    source: &'a str,
    /// `read`, `read-second-hand`, `memory` or so; `own` for a limit entered.
    sure: &'static str,
    own: bool,
}

impl<'a> From<&'a Limit> for LimitJson<'a> {
    fn from(limit: &'a Limit) -> Self {
        let (measure, figure) = measure(limit);
        Self {
            id: &limit.id,
            words: &limit.words,
            issuer: &limit.issuer,
            edition: &limit.edition,
            section: &limit.section,
            stages: limit.stages.iter().map(|stage| stage.words()).collect(),
            scope: limit.scope.words(),
            measure,
            figure,
            least_m3_s: limit.least_m3_s,
            condition: &limit.condition,
            source: &limit.source.text,
            sure: said::sure(limit),
            own: limit.own,
        }
    }
}

/// Stable word of a measure, and its figure in SI.
pub fn measure(limit: &Limit) -> (&'static str, f64) {
    match limit.measure {
        Measure::Flow(figure) => ("flow", figure),
        Measure::PerFloorArea(figure) => ("by-floor-area", figure),
        Measure::PartOfAirflow(figure) => ("part-of-airflow", figure),
        Measure::Class(figure) => ("leakage-class", figure),
    }
}

/// Stable word of a verdict.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::AtOrBelow => "at-or-below",
        Verdict::Above => "above",
        Verdict::TooClose => "too-close",
    }
}

/// The answer as JSON.
#[must_use]
pub fn limits_json(system: &System, answer: &Answer<'_>) -> String {
    let reasons = answer.doubts();
    crate::report::pretty(&Json {
        format: FORMAT,
        title: &system.title,
        status: if reasons.is_empty() {
            "answered"
        } else {
            "doubtful"
        },
        reasons,
        stage: answer.stage.map(|stage| stage.words()),
        assumed_exponent: answer.exponent.0,
        assumed_exponent_given: answer.exponent.1,
        density: Density {
            basis_kg_m3: crate::air::STANDARD_DENSITY,
            air_pressure_pa: system.record.air_pressure_pa(system.elevation_m),
            by_elevation: system.record.barometer_pa.is_none(),
            meter_corrects: answer.meter_corrects,
        },
        measured: answer.found.iter().map(one).collect(),
        earlier: answer.earlier.iter().map(one).collect(),
        limits: answer
            .held
            .iter()
            .map(|held| {
                let judged = held.judged.as_ref().ok();
                Against {
                    limit: (&held.limit).into(),
                    measured: held.found,
                    held_m3_s: held.flow.as_ref().map(|at| at.flow_m3_s()),
                    barrier_leak_m3_s: held.barrier_m3_s,
                    is_at_most: held.flow.as_ref().map(|at| at.is_at_most()),
                    limit_m3_s: judged.map(|j| j.limit_m3_s),
                    by_least: judged.map(|j| j.by_least),
                    margin_m3_s: judged.map(|j| j.margin_m3_s),
                    margin_part: judged.map(|j| j.margin_part),
                    chance: judged.and_then(|j| j.chance),
                    verdict: judged.map_or("not-comparable", |j| verdict(j.verdict)),
                    words: match &held.judged {
                        Ok(judged) => judged.verdict.words().to_owned(),
                        Err(why) => why.to_string(),
                    },
                }
            })
            .collect(),
        replaced: &answer.replaced,
        left_out: &answer.left_out,
        warnings: answer
            .warnings
            .iter()
            .chain(&system.warnings)
            .map(|warning| Warning {
                code: warning.code.clone(),
                text: warning.text.clone(),
            })
            .collect(),
        cautions: cautions(system),
    })
}

fn one<'a>(found: &'a Found<'_>) -> Measured<'a> {
    let at = found.at_25.as_ref().ok();
    let by_air = found.by_air();
    let leak = found.air.leak_is_known.then_some(found.air.leak);
    Measured {
        scope: found.basis.scope.words(),
        stage: found.basis.stage.map(|stage| stage.words()),
        sealing_steps_done: found.sealed_steps,
        guarded: found.guarded,
        pressurise: found.pressurise,
        may_hold_barrier_leak: found.may_hold_barrier(),
        readings: found
            .readings
            .iter()
            .map(|reading| Reading {
                id: &reading.id,
                pressure_pa: reading.point.pressure_pa,
                pressure_sd_pa: reading.point.pressure_sd_pa,
                flow_m3_s: reading.point.flow_m3_s,
                flow_sd_m3_s: reading.point.flow_sd_m3_s,
                is_bound: reading.is_bound,
            })
            .collect(),
        error: found
            .at_25
            .as_ref()
            .err()
            .map(|error| format!("{error}; {}", error.hint())),
        flow_m3_s: at.map(|at| at.flow_m3_s()),
        sd_m3_s: at.map(|at| at.sd_m3_s()),
        half_95_m3_s: at.map(|at| at.half_95_m3_s()),
        freedom: at.and_then(|at| at.freedom()),
        is_bound: at.map(|at| at.is_bound()),
        method: at.map(said::method),
        exponent: at.map(|at| at.exponent().0),
        exponent_sd: at.map(|at| at.exponent().1),
        moved_by_assumption: found.moved_by_assumption(),
        air: AirJson {
            fan_kg_m3: found.air.fan_kg_m3,
            leak_kg_m3: leak.map(|leak| leak.density),
            leak_viscosity_pa_s: leak.map(|leak| leak.viscosity),
            meter_factor: found.meter_factor,
            indicated_m3_s: at.map(|at| at.flow_m3_s() / found.meter_factor),
            leaks_m3_s: by_air.map(|by| by.0),
            reference_m3_s: by_air.map(|by| by.1),
        },
        fit: at.and_then(|at| match at.how() {
            How::Series(fit) => Some(fit_json(fit)),
            _ => None,
        }),
        weighted_fit: found.weighted.as_ref().map(fit_json),
        forms: found.forms.as_ref().map(forms),
    }
}

/// The line of a fit.
pub fn fit_json(fit: &Fit) -> FitJson {
    let (low, high) = fit.band(25.0);
    FitJson {
        points: fit.points,
        exponent: fit.n,
        exponent_se: fit.n_se,
        ln_c: fit.ln_c,
        ln_c_se: fit.ln_c_se,
        r2: fit.r2,
        t: fit.t,
        flow_25_pa_m3_s: fit.flow(25.0),
        low_25_pa_m3_s: low,
        high_25_pa_m3_s: high,
        chi_square: match fit.weights {
            Weights::Alike => None,
            Weights::ByError { chi_square, .. } => Some(chi_square),
        },
    }
}

fn forms<'a>(forms: &'a crate::limits::Forms<'_>) -> FormsJson<'a> {
    let by_floor = forms.by_floor.as_ref().ok();
    let of = forms.of_airflow.as_ref().ok();
    let by_surface = forms.by_surface.as_ref().ok();
    let missing = [
        forms.by_floor.as_ref().err(),
        forms.of_airflow.as_ref().err(),
        forms.by_surface.as_ref().err(),
    ];
    FormsJson {
        by_floor_m3_s_m2: by_floor.map(|by| by.0),
        floor_area_m2: by_floor.map(|by| by.1),
        part_of_airflow: of.map(|of| of.part),
        airflow_m3_s: of.map(|of| of.airflow_m3_s),
        airflow_by: of.map(|of| airflow_by(of.by)),
        duct_surface_m2: by_surface.map(|by| by.surface_m2),
        leakage_class_ip: by_surface.map(|by| by.class_ip),
        leakage_class_si: by_surface.map(|by| by.class_si),
        tightness_class: by_surface.and_then(|by| Some(by.tightness?.name.as_str())),
        openings: forms
            .openings
            .iter()
            .map(|one| OpeningJson {
                name: one.name,
                pressure_pa: one.pressure_pa,
                discharge_coefficient: one.coefficient,
                flow_m3_s: one.flow_m3_s,
                area_m2: one.area_m2,
                source: one.source,
            })
            .collect(),
        missing: missing
            .into_iter()
            .flatten()
            .map(ToString::to_string)
            .collect(),
    }
}
