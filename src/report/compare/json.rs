//! `ductseam compare --format json`: the contract `ductseam/compare/1`.
//!
//! SI throughout. Volume flows are at 1.204 kg/m³. What is no number is null. Fields are only ever added within
//! version 1.

use serde::Serialize;

use super::parting::{self, by_joint_type, by_side};
use super::why::usual;
use crate::allocate::{self, CompareAnswer, ComparedReading};
use crate::report::cautions::{Caution, cautions};
use crate::report::json_parts::{self as parts, Band, Look, Warning};
use crate::report::words;
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/compare/1";

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct Answer {
    /// [`FORMAT`].
    pub format: &'static str,
    /// Title of the sketch.
    pub title: String,
    /// Seed of the draws.
    pub seed: u64,
    /// Number of draws.
    pub draws: usize,
    /// `converged` or `doubtful`.
    pub status: &'static str,
    /// Why it is doubtful; empty when converged.
    pub reasons: Vec<String>,
    /// Sum of squared `residual_sd` of the readings taken as right.
    pub chi_square: f64,
    /// How many readings are in that sum.
    pub chi_square_readings: usize,
    /// Readings in the order of the sketch.
    pub readings: Vec<Reading>,
    /// Looks against the model, in the order of the sketch.
    pub looks: Vec<Look>,
    /// Seams by side, before and after.
    pub by_side: Vec<Parting>,
    /// Seams by joint type, before and after, the greatest change first.
    pub by_joint_type: Vec<Parting>,
    /// What usually makes measured and modelled differ, most first.
    pub usual_causes: Vec<Usual>,
    /// Chance, given all evidence, that nothing hangs open.
    pub nothing_open_chance: f64,
    /// What the person should know.
    pub warnings: Vec<Warning>,
    /// Safety.
    pub cautions: Vec<Caution>,
}

/// A usual cause of a difference.
#[derive(Debug, Serialize)]
pub struct Usual {
    /// Stable code.
    pub code: &'static str,
    /// Words.
    pub words: String,
    /// Leakage in the total test that hangs on it.
    pub worth_m3_s: f64,
}

/// A reading against the model.
#[derive(Debug, Serialize)]
pub struct Reading {
    /// Id.
    pub id: String,
    /// `total`, `to outside`, `supply`, `return`, else the word of the set-up as in `ductseam flow --set-up`.
    pub kind: &'static str,
    /// What was read, by the words of `readings[].observable` in `ductseam/allocation/1`.
    pub observable: &'static str,
    /// Opening, room or place that it was read at; null where the word says all.
    pub at: Option<String>,
    /// How many sealing steps had been done when it was read.
    pub stage: usize,
    /// `equals` (a value was read) or `below` (only an upper bound).
    pub relation: &'static str,
    /// The set-up in words.
    pub setup: String,
    /// Unit of values and bands: `m3/s` or `Pa`.
    pub unit: &'static str,
    /// What was read.
    pub measured: f64,
    /// One standard deviation of the meter.
    pub measured_sd: f64,
    /// Where the error comes from, in words.
    pub error_source: String,
    /// Modelled with all evidence.
    pub modelled: Band,
    /// Modelled with all evidence but this reading.
    pub without: Band,
    /// Modelled before any evidence.
    pub prior: Band,
    /// Measured less modelled mean, in standard deviations of the meter.
    pub residual_sd: f64,
    /// Measured less the mean without it, in standard deviations of meter and model together.
    pub residual_without_sd: f64,
    /// Two-sided chance of a reading so far out, given all other evidence.
    pub chance_without: f64,
    /// Two-sided chance of such a reading before any evidence.
    pub prior_chance: f64,
    /// Chance, given all evidence, that its set-up was wrong.
    pub wrong_setup_chance: f64,
    /// One sentence.
    pub verdict: String,
    /// What a poor fit usually means; empty when the fit is ordinary.
    pub note: String,
    /// Causes that would explain it, likeliest first; empty when the fit is ordinary.
    pub causes: Vec<Cause>,
}

/// A cause that would explain a reading.
#[derive(Debug, Serialize)]
pub struct Cause {
    /// In words.
    pub words: String,
    /// What the reading would be then, in the unit of the reading.
    pub expected: f64,
    /// Measured less expected, in standard errors.
    pub residual_sd: f64,
    /// Chance among the causes listed, taken as equally likely before the reading.
    pub chance: f64,
}

/// Seams of one kind, before any evidence and with all of it.
#[derive(Debug, Serialize)]
pub struct Parting {
    /// `supply`, `return`, or a joint type id of the catalogue.
    pub id: String,
    /// Number of seams.
    pub count: usize,
    /// Mean flow with 25 Pa across each seam before any evidence, m³/s.
    pub before_m3_s: f64,
    /// The same with all evidence.
    pub after_m3_s: f64,
    /// After over before; null where nothing was expected.
    pub factor: Option<f64>,
}

impl From<&parting::Parting> for Parting {
    fn from(found: &parting::Parting) -> Self {
        Self {
            id: found.id.clone(),
            count: found.count,
            before_m3_s: found.before_m3_s,
            after_m3_s: found.after_m3_s,
            factor: found.factor(),
        }
    }
}

/// The answer as JSON text, indented, with a final newline.
///
/// # Panics
/// Never: the answer holds only texts, numbers and lists of them.
#[must_use]
pub fn compare_json(system: &System, answer: &CompareAnswer) -> String {
    let allocation = &answer.allocation;
    let (status, reasons) = parts::status(allocation);
    let (chi_square, chi_square_readings) = answer.chi_square;
    let part = |found: Vec<parting::Parting>| found.iter().map(Into::into).collect();
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: allocation.title.clone(),
        seed: allocation.seed,
        draws: allocation.draws,
        status,
        reasons,
        chi_square,
        chi_square_readings,
        readings: answer
            .readings
            .iter()
            .map(|compared| reading(system, &allocation.readings[compared.reading], compared))
            .collect(),
        looks: parts::looks(allocation),
        by_side: part(by_side(allocation)),
        by_joint_type: part(by_joint_type(allocation)),
        usual_causes: usual(system, allocation)
            .into_iter()
            .map(|why| Usual {
                code: why.code,
                words: why.words,
                worth_m3_s: why.worth_m3_s,
            })
            .collect(),
        nothing_open_chance: allocation.nothing_open_chance,
        warnings: parts::warnings(system, allocation),
        cautions: cautions(system),
    })
}

fn reading(
    system: &System,
    reading: &allocate::ReadingResult,
    compared: &ComparedReading,
) -> Reading {
    let (observable, at) = words::observable_id(system, reading.observable);
    Reading {
        id: reading.id.clone(),
        kind: parts::kind(&reading.setup),
        observable,
        at,
        stage: reading.stage,
        relation: parts::relation(reading.relation),
        setup: words::setup(system, &reading.setup),
        unit: parts::unit(reading.unit),
        measured: reading.measured,
        measured_sd: reading.measured_sd,
        error_source: reading.error_source.clone(),
        modelled: reading.modelled.into(),
        without: compared.without.into(),
        prior: reading.prior.into(),
        residual_sd: reading.residual_sd,
        residual_without_sd: compared.residual_without_sd,
        chance_without: compared.chance_without,
        prior_chance: reading.prior_chance,
        wrong_setup_chance: reading.wrong_setup_chance,
        verdict: compared.verdict.clone(),
        note: reading.note.clone(),
        causes: compared
            .causes
            .iter()
            .map(|cause| Cause {
                words: cause.words.clone(),
                expected: cause.expected,
                residual_sd: cause.residual_sd,
                chance: cause.chance,
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;
    use serde_json::Value;

    #[test]
    fn readings_come_back_with_both_residuals_and_their_causes() {
        let system = samples::system();
        let text = compare_json(&system, &samples::compared(&system));
        let answer: Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(answer["format"], "ductseam/compare/1");
        assert_eq!(answer["chi_square"], 14.6);
        assert_eq!(answer["chi_square_readings"], 2);
        let total = &answer["readings"][0];
        assert_eq!(total["residual_sd"], -2.7);
        assert_eq!(total["residual_without_sd"], 3.4);
        assert_eq!(total["causes"][0]["expected"], 0.08);
        assert_eq!(answer["readings"][1]["unit"], "Pa");
        assert_eq!(answer["readings"][1]["without"]["mean"], 0.7 * -62.5);
        assert_eq!(answer["by_side"].as_array().expect("sides").len(), 2);
        for part in answer["by_joint_type"].as_array().expect("types") {
            let factor = part["factor"].as_f64().expect("expected");
            assert!((factor - 0.5).abs() < 1e-12, "{part}");
        }
        assert_eq!(answer["looks"].as_array().expect("looks").len(), 3);
    }
}
