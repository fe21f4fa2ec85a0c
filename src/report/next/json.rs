//! `ductseam next --format json`: the contract `ductseam/next/1`.
//!
//! SI throughout. Volume flows are at 1.204 kg/m³. Fields are only ever added within version 1.

use serde::Serialize;

use super::{advised, all_cautions};
use crate::allocate::{self, Action, NextAnswer};
use crate::report::cautions::Caution;
use crate::report::json_parts::{self as parts, Warning};
use crate::report::words;
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/next/1";

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct Answer {
    /// [`FORMAT`].
    pub format: &'static str,
    /// Title of the sketch.
    pub title: String,
    /// Seed of the draws.
    pub seed: u64,
    /// Draws behind the gains.
    pub draws: usize,
    /// `converged` or `doubtful`: the allocation that the advice starts from.
    pub status: &'static str,
    /// Why it is doubtful; empty when converged.
    pub reasons: Vec<String>,
    /// Why nothing is advised, where a caution forbids it; else null.
    pub stopped: Option<String>,
    /// What `variance_gain` is the doubt about, in words.
    pub target: String,
    /// The plan that `caught_gain_m3_s` is about.
    pub plan: Plan,
    /// How many candidates, from the first on, gain as much by hour as the first within chance: another seed may put any of
    /// them first.
    pub level: usize,
    /// What could be done, most extra leakage caught by hour first; empty where stopped.
    pub candidates: Vec<Candidate>,
    /// What could not be judged.
    pub left_out: Vec<LeftOut>,
    /// What the person should know.
    pub warnings: Vec<Warning>,
    /// Safety.
    pub cautions: Vec<Caution>,
}

/// Sealing the best seams.
#[derive(Debug, Serialize)]
pub struct Plan {
    /// How many seams it seals.
    pub seams: usize,
    /// Leakage it would catch as things are known now, m³/s in the test.
    pub caught_now_m3_s: f64,
    /// Leakage it would catch if everything were known, m³/s in the test.
    pub caught_at_best_m3_s: f64,
}

/// Something that can be done.
#[derive(Debug, Serialize)]
pub struct Candidate {
    /// 1 for the best.
    pub rank: usize,
    /// `smoke` or `test`.
    pub kind: &'static str,
    /// What it is, in words.
    pub what: String,
    /// Ids of the seams looked at; empty for a test.
    pub seams: Vec<String>,
    /// The test; null for smoke.
    pub test: Option<Test>,
    /// Minutes it takes.
    pub minutes: f64,
    /// Where the minutes come from.
    pub minutes_source: String,
    /// Extra leakage that the plan would catch after it, m³/s in the test, mean over what it may show.
    pub caught_gain_m3_s: f64,
    /// Standard error of that from the number of draws, m³/s; 0 where the gain is none.
    pub caught_gain_error_m3_s: f64,
    /// The gain by hour of work.
    pub caught_gain_per_hour_m3_s: f64,
    /// Part of the variance of the target that it takes away, 0 to 1.
    pub variance_gain: f64,
    /// The same by hour of work.
    pub variance_gain_per_hour: f64,
    /// Why, in one line.
    pub why: String,
    /// Something to mind before or while doing it; empty when there is nothing special.
    pub caution: String,
    /// One line for the sketch, the result left open.
    pub sketch_line: String,
}

/// A test.
#[derive(Debug, Serialize)]
pub struct Test {
    /// `total`, `to outside`, `supply`, `return`, else the word of the set-up as in `ductseam flow --set-up`.
    pub kind: &'static str,
    /// The set-up in words.
    pub setup: String,
    /// Pressure held, Pa, magnitude.
    pub pressure_pa: f64,
    /// Blown up (true) or pulled down.
    pub pressurise: bool,
    /// What is read, by the words of `readings[].observable` in `ductseam/allocation/1`.
    pub observable: &'static str,
    /// Opening, room or place that it is read at; null where the word says all.
    pub at: Option<String>,
    /// Unit of what is read: `m3/s` or `Pa`.
    pub unit: &'static str,
}

/// Something that could not be judged.
#[derive(Debug, Serialize)]
pub struct LeftOut {
    /// What it is.
    pub what: String,
    /// Why.
    pub reason: String,
}

/// The answer as JSON text, indented, with a final newline.
///
/// # Panics
/// Never: the answer holds only texts, numbers and lists of them.
#[must_use]
pub fn next_json(system: &System, answer: &NextAnswer) -> String {
    let (status, reasons) = parts::status(&answer.allocation);
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: answer.allocation.title.clone(),
        seed: answer.allocation.seed,
        draws: answer.draws,
        status,
        reasons,
        stopped: answer.stopped.clone(),
        target: answer.target.clone(),
        plan: Plan {
            seams: answer.plan_seams,
            caught_now_m3_s: answer.caught_now_m3_s,
            caught_at_best_m3_s: answer.caught_at_best_m3_s,
        },
        level: if answer.stopped.is_some() {
            0
        } else {
            answer.level()
        },
        candidates: advised(answer)
            .iter()
            .enumerate()
            .map(|(at, found)| candidate(system, answer, at + 1, found))
            .collect(),
        left_out: answer
            .left_out
            .iter()
            .map(|(what, reason)| LeftOut {
                what: what.clone(),
                reason: reason.clone(),
            })
            .collect(),
        warnings: parts::warnings(system, &answer.allocation),
        cautions: all_cautions(system, answer),
    })
}

fn candidate(
    system: &System,
    answer: &NextAnswer,
    rank: usize,
    found: &allocate::Candidate,
) -> Candidate {
    let (kind, seams, test) = match &found.action {
        Action::Smoke { seams, .. } => ("smoke", parts::ids(&answer.allocation, seams), None),
        Action::Test {
            setup, observable, ..
        } => {
            let (word, at) = words::observable_id(system, *observable);
            let test = Test {
                kind: parts::kind(setup),
                setup: words::setup(system, setup),
                pressure_pa: setup.pressure_pa,
                pressurise: setup.pressurise,
                observable: word,
                at,
                unit: parts::unit(observable.unit()),
            };
            ("test", Vec::new(), Some(test))
        }
    };
    Candidate {
        rank,
        kind,
        what: found.action.words().to_owned(),
        seams,
        test,
        minutes: found.minutes,
        minutes_source: found.minutes_source.clone(),
        caught_gain_m3_s: found.caught_gain_m3_s,
        caught_gain_error_m3_s: found.caught_gain_error_m3_s,
        caught_gain_per_hour_m3_s: found.caught_gain_per_hour_m3_s,
        variance_gain: found.variance_gain,
        variance_gain_per_hour: found.variance_gain_per_hour,
        why: found.why.clone(),
        caution: found.caution.clone(),
        sketch_line: found.sketch_line.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;
    use serde_json::Value;

    #[test]
    fn a_look_names_its_seams_and_a_test_its_set_up() {
        let system = samples::system();
        let text = next_json(&system, &samples::next(&system));
        let answer: Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(answer["format"], "ductseam/next/1");
        assert_eq!(answer["plan"]["seams"], 10);
        assert_eq!(answer["stopped"], Value::Null);
        assert_eq!(answer["level"], 1);
        assert_eq!(
            answer["candidates"][0]["caught_gain_error_m3_s"],
            0.0046 / 10.0
        );
        let (look, pan) = (&answer["candidates"][0], &answer["candidates"][1]);
        assert_eq!(look["kind"], "smoke");
        assert_eq!(look["seams"][0], system.seams[3].id.as_str());
        assert_eq!(look["test"], Value::Null);
        assert_eq!(pan["rank"], 2);
        assert_eq!(pan["test"]["kind"], "pan");
        assert_eq!(pan["test"]["unit"], "Pa");
        assert_eq!(pan["test"]["observable"], "behind-register");
        assert_eq!(pan["test"]["at"], system.openings[0].id.as_str());
        assert_eq!(pan["test"]["pressurise"], false);
        assert_eq!(pan["minutes"], 12.0);
        assert_eq!(answer["left_out"][0]["reason"], "no register for the fan");
        let codes: Vec<&str> = answer["cautions"]
            .as_array()
            .expect("cautions")
            .iter()
            .map(|caution| caution["code"].as_str().expect("a code"))
            .collect();
        assert!(codes.contains(&"house-fan"), "{codes:?}");
    }

    #[test]
    fn where_asbestos_is_suspected_no_candidate_leaves_the_program() {
        let mut system = samples::system();
        let found = samples::stopped(&mut system);
        let answer: Value = serde_json::from_str(&next_json(&system, &found)).expect("JSON");
        assert!(
            answer["stopped"]
                .as_str()
                .expect("why")
                .contains("asbestos")
        );
        assert_eq!(answer["candidates"].as_array().expect("a list").len(), 0);
        assert_eq!(answer["cautions"][0]["stop"], true);
    }
}
