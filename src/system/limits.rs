//! Limits that hold here, and the record of the test, as far as the sketch says.

use super::notes::Notes;
use super::notes::{ESTIMATE, PRACTICE, SAID};
use super::reading_errors::{FLOOR_PA, USUAL_PRESSURE_ERROR};
use crate::catalog::{Catalog, Limit, Scope, Source, Stage, Sure, plain_id};
use crate::quantity::SIGMAS_OF_95_PERCENT;
use crate::sketch::{Diagnostic, LimitItem, Marked, OwnLimit, Sketch, quoted};

/// The record of a test, SI; `None` where nothing is said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TestRecord {
    /// Whether the sketch has the section at all.
    pub stated: bool,
    /// Day, `YYYY-MM-DD`.
    pub date: Option<String>,
    /// Stage of the building.
    pub stage: Option<Stage>,
    /// Who tested.
    pub tester: Option<String>,
    /// Weather.
    pub weather: Option<String>,
    /// How registers, doors, dampers stood.
    pub set_up: Option<String>,
    /// Instruments.
    pub instruments: Option<String>,
    /// Air in the ducts, K.
    pub duct_k: Option<f64>,
    /// Air in the house, K.
    pub indoor_k: Option<f64>,
    /// Air outdoors, K.
    pub outdoor_k: Option<f64>,
    /// Absolute pressure of the air, Pa.
    pub barometer_pa: Option<f64>,
    /// Pressure at the tap with the fan off, before, Pa.
    pub baseline_before_pa: Option<f64>,
    /// The same after, Pa.
    pub baseline_after_pa: Option<f64>,
    /// Error of the flow gauge, one standard deviation as part of its reading.
    pub flow_part_sd: Option<f64>,
    /// Error of the pressure gauge.
    pub pressure_error: PressureError,
    /// Whether errors are stated and were taken as limits of 95 %, 1.96 standard deviations.
    pub errors_are_limits: bool,
    /// Whether the meter's flows are corrected for density already.
    pub corrected: bool,
    /// Whether the sketch says so.
    pub corrected_said: bool,
}

/// Error of a pressure gauge, one standard deviation: the larger of a part of the reading and a least error.
#[derive(Debug, Clone, PartialEq)]
pub struct PressureError {
    /// Part of the reading.
    pub part_sd: f64,
    /// Least, Pa.
    pub least_sd_pa: f64,
    /// Where it comes from.
    pub source: String,
}

impl Default for PressureError {
    fn default() -> Self {
        Self {
            part_sd: USUAL_PRESSURE_ERROR,
            least_sd_pa: FLOOR_PA,
            source: format!(
                "{ESTIMATE}: the larger of 1 % and {FLOOR_PA} Pa, one standard deviation: a digital gauge and its baseline"
            ),
        }
    }
}

impl PressureError {
    /// One standard deviation at a pressure, Pa.
    #[must_use]
    pub fn sd_pa(&self, pressure_pa: f64) -> f64 {
        (self.part_sd * pressure_pa.abs()).max(self.least_sd_pa)
    }
}

/// The limits, own ones in place of built-in ones of the same id.
pub(super) fn limits(sketch: &Sketch, catalog: &Catalog, notes: &mut Notes) -> Vec<Limit> {
    let mut found: Vec<Limit> = Vec::new();
    for item in &sketch.limits {
        match item {
            LimitItem::Own(said) => found.push(own(said, catalog, notes)),
            LimitItem::Known(id) => {
                let id_plain = plain_id(&id.value);
                let has_own = sketch.limits.iter().any(|other| {
                    matches!(other, LimitItem::Own(_)) && other.plain_id() == id_plain
                });
                if has_own {
                    continue;
                }
                match catalog.limit(&id.value) {
                    Some(limit) => found.push(limit.clone()),
                    None => notes.wrong(unknown(id, catalog)),
                }
            }
        }
    }
    found
}

fn unknown(id: &Marked<String>, catalog: &Catalog) -> Diagnostic {
    let problem = Diagnostic::new(
        "E0296",
        id.at,
        format!("no built-in limit is called {}", quoted(&id.value)),
    )
    .label("unknown limit");
    match catalog.nearest_limit(&id.value) {
        Some(near) => problem.suggest(Some(near)),
        None => problem.hint(format!(
            "`ductseam limits --list` shows them; write your own like `{{id: {}, total: 4 cfm per 100 ft2, source: town \
             code 2021}}`",
            id.value
        )),
    }
}

fn own(said: &OwnLimit, catalog: &Catalog, notes: &mut Notes) -> Limit {
    let built_in = catalog.limit(&said.id.value);
    if let Some(limit) = built_in {
        notes.warn(
            "limit-overridden",
            format!(
                "`{}` is your own figure ({}); the built-in limit of that name is set aside",
                limit.id, said.source.value
            ),
        );
    }
    Limit {
        id: built_in.map_or_else(|| said.id.value.clone(), |limit| limit.id.clone()),
        words: match said.scope {
            Scope::Supply | Scope::Return => format!("{} side", said.scope.words()),
            scope => scope.words().to_owned(),
        },
        issuer: "own".to_owned(),
        edition: String::new(),
        section: String::new(),
        stages: said.stage.iter().map(|stage| stage.value).collect(),
        scope: said.scope,
        measure: said.measure.value,
        least_m3_s: said.at_least.as_ref().map_or(0.0, |flow| flow.value.si()),
        condition: text(&said.condition).unwrap_or_default(),
        source: Source {
            text: format!("{SAID}: {}", said.source.value),
            sure: Sure::Read,
        },
        own: true,
    }
}

fn text(said: &Option<Marked<String>>) -> Option<String> {
    said.as_ref().map(|said| said.value.clone())
}

/// The record.
pub(super) fn record(sketch: &Sketch, notes: &mut Notes) -> TestRecord {
    let said = &sketch.record;
    let has_errors = said.flow_error.is_some()
        || said.pressure_error.is_some()
        || said.pressure_error_least.is_some();
    let errors_are_limits = said
        .errors_are_limits
        .as_ref()
        .is_none_or(|said| said.value);
    if has_errors && said.errors_are_limits.is_none() {
        notes.assume(
            "record",
            "the errors of the instruments are limits of 95 %: 1.96 standard deviations",
            PRACTICE,
        );
    }
    // A limit is taken as the half-width of a 95 % interval.
    let k = if errors_are_limits {
        SIGMAS_OF_95_PERCENT
    } else {
        1.0
    };
    let kelvin = |said: &Option<Marked<crate::quantity::Temperature>>| {
        said.as_ref().map(|found| found.value.si())
    };
    let pascal = |said: &Option<Marked<crate::quantity::Pressure>>| {
        said.as_ref().map(|found| found.value.si())
    };
    let mut pressure_error = PressureError::default();
    if said.pressure_error.is_some() || said.pressure_error_least.is_some() {
        pressure_error = PressureError {
            part_sd: said
                .pressure_error
                .as_ref()
                .map_or(0.0, |part| part.value.si())
                / k,
            least_sd_pa: pascal(&said.pressure_error_least).unwrap_or(0.0) / k,
            source: SAID.to_owned(),
        };
    }
    TestRecord {
        stated: said.at.is_some(),
        date: text(&said.date),
        stage: said.stage.as_ref().map(|stage| stage.value),
        tester: text(&said.tester),
        weather: text(&said.weather),
        set_up: text(&said.set_up),
        instruments: text(&said.instruments),
        duct_k: kelvin(&said.duct_air),
        indoor_k: kelvin(&said.indoor_air),
        outdoor_k: kelvin(&said.outdoor_air),
        barometer_pa: pascal(&said.barometer),
        baseline_before_pa: pascal(&said.baseline_before),
        baseline_after_pa: pascal(&said.baseline_after),
        flow_part_sd: said.flow_error.as_ref().map(|part| part.value.si() / k),
        pressure_error,
        errors_are_limits: has_errors && errors_are_limits,
        corrected: said.corrected.as_ref().is_none_or(|said| said.value),
        corrected_said: said.corrected.is_some(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Measure;

    fn full() -> crate::system::System {
        let text = include_str!("../../tests/good/full.yaml");
        let sketch = crate::sketch::read(text, "full.yaml").expect("a good sketch");
        crate::system::build(&sketch, text, "full.yaml", Catalog::builtin()).expect("a good system")
    }

    #[test]
    fn what_is_written_comes_out_in_si() {
        let system = full();
        let record = &system.record;
        assert_eq!((record.stated, record.stage), (true, Some(Stage::Final)));
        assert_eq!(record.date.as_deref(), Some("2026-11-02"));
        // A limit of 5 % is 1.96 standard deviations: 5/1.959964.
        let sd = record.flow_part_sd.expect("stated");
        assert!((sd - 0.025_510_7).abs() < 1e-6, "{sd}");
        assert!((record.barometer_pa.expect("stated") - 98_000.0).abs() < 1e-6);
        assert!((record.indoor_k.expect("stated") - 293.15).abs() < 1e-9);
        assert!((record.pressure_error.sd_pa(25.0) - 0.25 / 1.959_964).abs() < 1e-6);
        let ids: Vec<&str> = system
            .limits
            .iter()
            .map(|limit| limit.id.as_str())
            .collect();
        assert_eq!(
            ids,
            [
                "energy-code-2021-final",
                "town rule",
                "contract",
                "supply rule",
                "return rule"
            ]
        );
        assert_eq!(system.limits[2].measure, Measure::PartOfAirflow(0.06));
        assert_eq!(system.limits[3].scope, Scope::Supply);
    }

    #[test]
    fn an_own_figure_stands_in_place_of_the_built_in_one_and_is_told() {
        let text = include_str!("../../tests/good/base.yaml").to_owned()
            + "limits: [energy-code-2021-final, {id: Energy code 2021 final, total: 5 cfm per 100 ft2, source: town}]\n";
        let sketch = crate::sketch::read(&text, "own.yaml").expect("a good sketch");
        let system = crate::system::build(&sketch, &text, "own.yaml", Catalog::builtin())
            .expect("a good system");
        assert_eq!(system.limits.len(), 1);
        assert!(system.limits[0].own && system.limits[0].id == "energy-code-2021-final");
        assert!(system.warnings.iter().any(|w| w.code == "limit-overridden"));
    }
}
