//! `ductseam limits --record --format json`: the contract `ductseam/record/1`.

use serde::Serialize;

use super::json::{FitJson, fit_json, verdict};
use super::record::{date, fit_of};
use super::record_readings::set_up;
use super::said;
use crate::limits::{Answer, Found};
use crate::report::cautions::{Caution, cautions};
use crate::report::words;
use crate::system::System;

/// Name and version of the format.
pub const RECORD_FORMAT: &str = "ductseam/record/1";

#[derive(Debug, Serialize)]
struct Json<'a> {
    format: &'static str,
    title: &'a str,
    /// `YYYY-MM-DD`.
    date: Option<String>,
    stage: Option<&'static str>,
    tester: Option<&'a str>,
    weather: Option<&'a str>,
    set_up: Option<&'a str>,
    instruments: Option<&'a str>,
    duct_air_k: Option<f64>,
    indoor_air_k: Option<f64>,
    outdoor_air_k: Option<f64>,
    air_pressure_pa: f64,
    air_pressure_by_elevation: bool,
    baseline_before_pa: Option<f64>,
    baseline_after_pa: Option<f64>,
    /// One standard deviation as part of the reading; null where each reading says its own.
    flow_error_sd_part: Option<f64>,
    pressure_error_sd_part: f64,
    pressure_error_sd_least_pa: f64,
    pressure_error_source: &'a str,
    errors_stated_as_limits: bool,
    meter_corrects_density: bool,
    floor_area_m2: Option<f64>,
    airflow_m3_s: Option<f64>,
    airflow_by: Option<&'static str>,
    /// `answered` or `doubtful`.
    status: &'static str,
    /// Why it is doubtful.
    reasons: Vec<String>,
    cautions: Vec<Caution>,
    readings: Vec<Reading<'a>>,
    results: Vec<ResultJson<'a>>,
    limits: Vec<Judgement<'a>>,
}

#[derive(Debug, Serialize)]
struct Reading<'a> {
    id: &'a str,
    date: Option<&'a str>,
    /// What is not stated is named with what was taken.
    set_up: String,
    /// Whether the series of `--series` stands in its place.
    is_replaced: bool,
    pressure_pa: f64,
    pressurise: bool,
    flow_m3_s: f64,
    note: &'a str,
}

#[derive(Debug, Serialize)]
struct ResultJson<'a> {
    scope: &'static str,
    method: &'static str,
    /// Of the fit of a series; null for other methods.
    fit: Option<FitJson>,
    /// Points of a series given beside the sketch; empty for readings of the sketch.
    series: Vec<PointJson<'a>>,
    flow_25_pa_m3_s: f64,
    half_95_m3_s: f64,
}

#[derive(Debug, Serialize)]
struct PointJson<'a> {
    id: &'a str,
    pressure_pa: f64,
    pressure_sd_pa: f64,
    flow_m3_s: f64,
    flow_sd_m3_s: f64,
}

#[derive(Debug, Serialize)]
struct Judgement<'a> {
    id: &'a str,
    limit_m3_s: Option<f64>,
    verdict: &'static str,
}

/// The record as JSON.
#[must_use]
pub fn record_json(system: &System, answer: &Answer<'_>) -> String {
    let record = &system.record;
    let reasons = answer.record_doubts();
    crate::report::pretty(&Json {
        format: RECORD_FORMAT,
        title: &system.title,
        date: date(system),
        stage: answer.stage.map(|stage| stage.words()),
        tester: record.tester.as_deref(),
        weather: record.weather.as_deref(),
        set_up: record.set_up.as_deref(),
        instruments: record.instruments.as_deref(),
        duct_air_k: record.duct_k,
        indoor_air_k: record.indoor_k,
        outdoor_air_k: record.outdoor_k,
        air_pressure_pa: record.air_pressure_pa(system.elevation_m),
        air_pressure_by_elevation: record.barometer_pa.is_none(),
        baseline_before_pa: record.baseline_before_pa,
        baseline_after_pa: record.baseline_after_pa,
        flow_error_sd_part: record.flow_part_sd,
        pressure_error_sd_part: record.pressure_error.part_sd,
        pressure_error_sd_least_pa: record.pressure_error.least_sd_pa,
        pressure_error_source: &record.pressure_error.source,
        errors_stated_as_limits: record.errors_are_limits,
        meter_corrects_density: answer.meter_corrects,
        floor_area_m2: system.floor_area_m2,
        airflow_m3_s: system.unit.airflow_m3_s.map(|(flow, _)| flow),
        airflow_by: system
            .unit
            .airflow_m3_s
            .map(|(_, by)| words::airflow_by(by)),
        status: if reasons.is_empty() {
            "answered"
        } else {
            "doubtful"
        },
        reasons,
        cautions: cautions(system),
        readings: system
            .readings
            .iter()
            .filter_map(|measured| {
                Some(Reading {
                    id: &measured.id,
                    date: measured.date.as_deref(),
                    set_up: set_up(system, measured),
                    is_replaced: answer.replaced.contains(&measured.id),
                    pressure_pa: measured.setup.pressure_pa,
                    pressurise: measured.setup.pressurise,
                    flow_m3_s: measured.fan_flow_m3_s()?,
                    note: &measured.note,
                })
            })
            .collect(),
        results: answer
            .found
            .iter()
            .filter_map(|found| {
                let at = found.at_25.as_ref().ok()?;
                Some(ResultJson {
                    scope: found.basis.scope.words(),
                    method: said::method(at),
                    fit: fit_of(at).map(fit_json),
                    series: points(found),
                    flow_25_pa_m3_s: at.flow_m3_s(),
                    half_95_m3_s: at.half_95_m3_s(),
                })
            })
            .collect(),
        limits: answer
            .held
            .iter()
            .map(|held| {
                let judged = held.judged.as_ref().ok();
                Judgement {
                    id: &held.limit.id,
                    limit_m3_s: judged.map(|judged| judged.limit_m3_s),
                    verdict: judged.map_or("not-comparable", |judged| verdict(judged.verdict)),
                }
            })
            .collect(),
    })
}

fn points<'a>(found: &'a Found<'_>) -> Vec<PointJson<'a>> {
    let given = found.readings.iter().filter(|_| found.is_given);
    given
        .map(|reading| PointJson {
            id: &reading.id,
            pressure_pa: reading.point.pressure_pa,
            pressure_sd_pa: reading.point.pressure_sd_pa,
            flow_m3_s: reading.point.flow_m3_s,
            flow_sd_m3_s: reading.point.flow_sd_m3_s,
        })
        .collect()
}
