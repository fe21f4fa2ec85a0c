//! Words that the forms of the answer share.

use crate::catalog::{HUNDRED_FT2, Limit, Measure, Stage};
use crate::limits::{At25, Forms, Held, How, OfAirflow};
use crate::quantity::{UnitSystem, significant};
use crate::report::figures::{flow, flow_unit, leak, number, percent};
use crate::report::lines::wrapped;
use crate::report::words::airflow_by;

/// A flow by floor area: `4 cfm per 100 ft2`, `0.203 L/(s·m2)`.
pub fn by_floor(m3_s_m2: f64, units: UnitSystem) -> String {
    let unit = match units {
        UnitSystem::Ip => "cfm per 100 ft2",
        UnitSystem::Si => "L/s per m2",
    };
    format!("{} {unit}", bare_by_floor(m3_s_m2, units))
}

/// The same without its unit.
pub fn bare_by_floor(m3_s_m2: f64, units: UnitSystem) -> String {
    let area = match units {
        UnitSystem::Ip => HUNDRED_FT2,
        UnitSystem::Si => 1.0,
    };
    significant(flow(m3_s_m2 * area, units), 3)
}

/// Figure and measure of a limit.
pub fn measure(limit: &Limit, units: UnitSystem) -> String {
    let figure = match limit.measure {
        Measure::Flow(m3_s) => format!("{} {}", leak(m3_s, units), flow_unit(units)),
        Measure::PerFloorArea(by) => format!("{} of floor", by_floor(by, units)),
        Measure::PartOfAirflow(part) => format!("{} of airflow", percent(part)),
        Measure::Class(class) => format!("class {} by duct surface", significant(class, 3)),
    };
    if limit.least_m3_s > 0.0 {
        format!(
            "{figure}, at least {} {}",
            leak(limit.least_m3_s, units),
            flow_unit(units)
        )
    } else {
        figure
    }
}

/// Stages in words.
pub fn stages(limit: &Limit) -> String {
    if limit.stages.is_empty() {
        return "any stage".to_owned();
    }
    let words: Vec<&str> = limit.stages.iter().map(|stage| stage.words()).collect();
    words.join(" or ")
}

/// Whose it is: issuer, edition, section.
pub fn whose(limit: &Limit) -> String {
    let parts = [&limit.issuer, &limit.edition, &limit.section];
    let parts: Vec<&str> = parts
        .into_iter()
        .map(String::as_str)
        .filter(|part| !part.is_empty())
        .collect();
    parts.join(", ")
}

/// Stage of a test.
pub fn stage(stage: Option<Stage>) -> &'static str {
    stage.map_or("stage not stated", Stage::words)
}

/// A part of the airflow with its divisor: never a bare percentage.
pub fn of_airflow(of: &OfAirflow, units: UnitSystem) -> (String, String) {
    (
        percent(of.part),
        format!(
            "of an airflow of {} {}, {}",
            leak(of.airflow_m3_s, units),
            flow_unit(units),
            airflow_by(of.by)
        ),
    )
}

/// The flow that is held against a limit, where it is not the reading's own.
pub fn held_as(held: &Held, units: UnitSystem) -> Option<String> {
    let at = held.flow.as_ref()?;
    let with_unit = |m3_s| with_unit(m3_s, units);
    if let Some(past) = held.barrier_m3_s {
        return Some(format!(
            "{} held against it: the reading less {} past the barrier",
            with_unit(at.flow_m3_s()),
            with_unit(past)
        ));
    }
    at.is_at_most().then(|| {
        format!(
            "at most {}: the leak past the barrier is in it, so it is never called above",
            with_unit(at.flow_m3_s())
        )
    })
}

/// A flow with its unit.
pub fn with_unit(m3_s: f64, units: UnitSystem) -> String {
    format!("{} {}", leak(m3_s, units), flow_unit(units))
}

/// The half-width of the 95 % band, or that it is not known: wider than the flow itself.
pub fn half_95(at: &At25, units: UnitSystem) -> String {
    if at.half_95_m3_s() >= at.flow_m3_s() {
        "± not known (95 % band wider than the flow itself)".to_owned()
    } else {
        format!("± {} (95 %)", leak(at.half_95_m3_s(), units))
    }
}

/// Where pressures and coefficients of the openings come from.
pub fn opening_sources(forms: &Forms<'_>) -> String {
    let all: Vec<String> = forms
        .openings
        .iter()
        .map(|one| {
            format!(
                "Cd {} at {} Pa: {}",
                one.coefficient, one.pressure_pa, one.source
            )
        })
        .collect();
    wrapped("  ", &format!("{}.", all.join("; ")))
}

/// How sure a limit's figure is, in a stable word.
pub fn sure(limit: &Limit) -> &'static str {
    if limit.own {
        "own"
    } else {
        limit.source.sure.code()
    }
}

/// The method by which a flow at 25 Pa was had, in a stable word.
pub fn method(at: &At25) -> &'static str {
    match at.how() {
        How::OnePoint { .. } => "one-point",
        How::Repeats { .. } => "repeats",
        How::TwoPoints { .. } => "two-point",
        How::Series(_) => "series",
    }
}

/// A pressure without its unit.
pub fn pascals(pa: f64) -> String {
    let text = number(pa, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}
