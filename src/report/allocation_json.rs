//! `ductseam allocate --format json`: the contract `ductseam/allocation/1`.
//!
//! SI throughout. Volume flows are at 1.204 kg/m³. A band is `{mean, p05, p50, p95}` over weighted draws.
//! Fields are only ever added within version 1.

use serde::Serialize;

use super::cautions::{Caution, cautions};
use super::json_parts::{self as parts, Band, Look, Warning};
use super::sensitivity_json::{self, Sensitivity};
use super::words;
use crate::allocate::{self, Allocation};
use crate::catalog::opening;
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/allocation/1";

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
    /// What ranks and `top10_chance` are about: `test`, the total set-up.
    pub basis: &'static str,
    /// How many sealing steps of the sketch had been done in what the figures are for; 0 is before any.
    pub stage: usize,
    /// Id of the last of those steps; null before any.
    pub sealing_step: Option<String>,
    /// The part of all seams' test flow that every `share_chance` is about.
    pub share_asked: f64,
    /// Readings.
    pub readings: Vec<Reading>,
    /// Seams in the order of the sketch.
    pub seams: Vec<Seam>,
    /// Groups by joint type.
    pub by_joint_type: Vec<JointTypeGroup>,
    /// Groups by run.
    pub by_run: Vec<RunGroup>,
    /// Groups by place.
    pub by_place: Vec<PlaceGroup>,
    /// Groups by reach.
    pub by_reach: Vec<ReachGroup>,
    /// Whole-house figures, m³/s.
    pub house: House,
    /// Seams that may hang open, likeliest first.
    pub gross: Vec<Gross>,
    /// Chance, given all evidence, that nothing hangs open.
    pub nothing_open_chance: f64,
    /// Looks against the model, in the order of the sketch.
    pub looks: Vec<Look>,
    /// How much the answer hangs on what is believed beforehand; null unless asked for.
    pub sensitivity: Option<Sensitivity>,
    /// How the computation went.
    pub diagnostics: Diagnostics,
    /// What the person should know.
    pub warnings: Vec<Warning>,
    /// Safety.
    pub cautions: Vec<Caution>,
}

/// A reading against the model.
#[derive(Debug, Serialize)]
pub struct Reading {
    /// Id.
    pub id: String,
    /// `total`, `to outside`, `supply`, `return`, else the word of the set-up as in `ductseam flow --set-up`.
    pub kind: &'static str,
    /// What was read: `fan-flow`, `blower-flow`, `register-flow`, `supply-static`, `return-static`, `static-rise`,
    /// `behind-register`, `room-pressure`, `place-pressure` or `house-pressure`.
    pub observable: &'static str,
    /// Opening, room or place that it was read at; null where the word says all.
    pub at: Option<String>,
    /// How many sealing steps had been done when it was read.
    pub stage: usize,
    /// `equals` (a value was read) or `below` (only an upper bound).
    pub relation: &'static str,
    /// The set-up in words.
    pub setup: String,
    /// Unit of `measured`, `measured_sd`, `modelled`, `prior`: `m3/s` or `Pa`.
    pub unit: &'static str,
    /// What was read.
    pub measured: f64,
    /// One standard deviation of the meter.
    pub measured_sd: f64,
    /// Given all readings.
    pub modelled: Band,
    /// Before any reading.
    pub prior: Band,
    /// Leak of masks, plugs and barriers, part of `modelled.mean`.
    pub mask_leak_m3_s: f64,
    /// Measured minus modelled mean, in standard deviations of the meter.
    pub residual_sd: f64,
    /// Two-sided chance of such a reading before it was made.
    pub prior_chance: f64,
    /// Chance, given all readings, that this one's set-up was wrong (its error is the wide one).
    pub wrong_setup_chance: f64,
    /// What a poor fit usually means.
    pub note: String,
    /// Flows of the seams that take part; where `observable` is `fan-flow` in a test of the ducts, their means and
    /// `mask_leak_m3_s` add up to `modelled.mean`.
    pub seams: Vec<SeamFlow>,
}

/// A seam's flow in one reading.
#[derive(Debug, Serialize)]
pub struct SeamFlow {
    /// Seam id.
    pub id: String,
    /// Flow, m³/s.
    pub flow_m3_s: Band,
}

/// A seam.
#[derive(Debug, Serialize)]
pub struct Seam {
    /// Id.
    pub id: String,
    /// Run id, or `unit`.
    pub run: String,
    /// Piece id.
    pub piece: String,
    /// Joint type id of the catalogue.
    pub joint_type: String,
    /// `supply` or `return`.
    pub side: &'static str,
    /// Place.
    pub place: String,
    /// `open`, `under insulation`, `behind finish` or `none`.
    pub reach: &'static str,
    /// `unsealed`, `ordinary` or `mastic`.
    pub work: &'static str,
    /// Length of the joint, m; null for a type counted by the piece.
    pub length_m: Option<f64>,
    /// Count for a type counted by the piece; null for one measured by length.
    pub count: Option<f64>,
    /// Flow exponent, posterior mean.
    pub n: f64,
    /// Flow at 25 Pa before any reading.
    pub prior_q25_m3_s: Band,
    /// Flow at 25 Pa.
    pub q25_m3_s: Band,
    /// Pressure across the seam in the test, Pa, magnitude.
    pub test_pa: f64,
    /// Flow in the test.
    pub test_m3_s: Band,
    /// Mean part of all seams' test flow; sums to 1.
    pub share: f64,
    /// Mean part of all seams' flow to outside in the to-outside test.
    pub to_outside_share: f64,
    /// Flow while the blower runs; null in this version.
    pub running_m3_s: Option<Band>,
    /// Chance to be among the ten largest test flows.
    pub top10_chance: f64,
    /// Chance, given all evidence, that it hangs open.
    pub gross_chance: f64,
    /// The same before any evidence.
    pub prior_gross_chance: f64,
}

/// One seam, or several that the evidence cannot tell apart, that may hang open.
#[derive(Debug, Serialize)]
pub struct Gross {
    /// Seam ids, likeliest first.
    pub seams: Vec<String>,
    /// Chance, given all evidence, that at least one of them hangs open.
    pub chance: f64,
    /// The same before any evidence.
    pub prior_chance: f64,
    /// Test flow through those that hang open, where any does, m³/s.
    pub test_m3_s: Band,
    /// Free area with a discharge coefficient of 0.6, where any hangs open, m².
    pub opening_m2: Band,
}

macro_rules! group {
    ($(#[$meta:meta])* $name:ident, $key:ident) => {
        $(#[$meta])*
        #[derive(Debug, Serialize)]
        pub struct $name {
            /// Which group.
            pub $key: String,
            /// Number of seams.
            pub count: usize,
            /// Metres of joint, where all of them are measured by length.
            pub length_m: Option<f64>,
            /// Sum of flows at 25 Pa.
            pub q25_m3_s: Band,
            /// Sum of flows in the test.
            pub test_m3_s: Band,
            /// Part of all seams' test flow.
            pub share: f64,
            /// Band of that part.
            pub share_band: Band,
            /// Chance that the group holds more than `share_asked` of all seams' test flow.
            pub share_chance: f64,
        }
        impl From<&allocate::GroupResult> for $name {
            fn from(group: &allocate::GroupResult) -> Self {
                Self {
                    $key: group.id.clone(),
                    count: group.count,
                    length_m: group.amount.filter(|_| group.basis == Some(crate::catalog::Basis::PerMetre)),
                    q25_m3_s: group.q25_m3_s.into(),
                    test_m3_s: group.test_m3_s.into(),
                    share: group.share.mean,
                    share_band: group.share.into(),
                    share_chance: group.share_chance,
                }
            }
        }
    };
}
group!(
    /// Seams of one joint type.
    JointTypeGroup,
    joint_type
);
group!(
    /// Seams of one run.
    RunGroup,
    run
);
group!(
    /// Seams in one place.
    PlaceGroup,
    place
);
group!(
    /// Seams of one reach.
    ReachGroup,
    reach
);

/// Whole-house figures.
#[derive(Debug, Serialize)]
pub struct House {
    /// Pressure of the test, Pa.
    pub test_pa: f64,
    /// All seams, m³/s.
    pub total: Band,
    /// All seams before any reading, m³/s.
    pub prior_total: Band,
    /// Supply side, m³/s.
    pub supply: Band,
    /// Return side, m³/s.
    #[serde(rename = "return")]
    pub return_side: Band,
    /// To outside in the to-outside test, m³/s.
    pub to_outside: Band,
    /// Behind finish or out of reach, m³/s in the test.
    pub hidden: Band,
    /// Hidden part of all seams' test flow.
    pub hidden_share: Band,
    /// Chance that this part is more than `share_asked`.
    pub hidden_share_chance: f64,
    /// Leak of masks and plugs beside the seams, m³/s.
    pub mask_leak: f64,
    /// One opening with the same flow at 25 Pa, discharge coefficient 0.6, m²; null unless the test is at 25 Pa.
    pub equivalent_opening_m2: Option<Band>,
    /// Discharge coefficient of `equivalent_opening_m2`.
    pub equivalent_opening_cd: f64,
}

/// How the computation went.
#[derive(Debug, Serialize)]
pub struct Diagnostics {
    /// `prior`, `rto` (weighted randomise-then-optimise) or `chains` (gradient moves and jumps, corrected by the flow solver).
    pub method: &'static str,
    /// Effective number of draws.
    pub effective_draws: f64,
    /// Tail shape of the weights; below 0.7 they can be trusted.
    pub pareto_k: Option<f64>,
    /// Split R̂ of the chains: spread between them over spread within; null for independent draws.
    pub r_hat: Option<f64>,
    /// Steps to the best point.
    pub iterations: u32,
    /// Draws that did not settle.
    pub failed_draws: usize,
    /// Worst imbalance of a flow solve, part of its largest flow.
    pub worst_imbalance: f64,
    /// Flow solves that did not converge.
    pub flow_failures: u64,
    /// Chance that the set-up of at least one reading was wrong.
    pub any_wrong_setup_chance: f64,
    /// Cases of wrong set-ups and open seams that drew at least once.
    pub hypotheses: usize,
}

/// The answer as JSON text, indented, with a final newline.
///
/// # Panics
/// Never: the answer holds only texts, numbers and lists of them.
#[must_use]
pub fn allocation_json(
    system: &System,
    allocation: &Allocation,
    sensitivity: Option<&allocate::Sensitivity>,
) -> String {
    super::pretty(&answer(system, allocation, sensitivity))
}

fn answer(
    system: &System,
    allocation: &Allocation,
    sensitivity: Option<&allocate::Sensitivity>,
) -> Answer {
    let (status, reasons) = parts::status(allocation);
    let last_step = allocation.stage.checked_sub(1);
    Answer {
        format: FORMAT,
        title: allocation.title.clone(),
        seed: allocation.seed,
        draws: allocation.draws,
        status,
        reasons,
        basis: "test",
        stage: allocation.stage,
        sealing_step: last_step
            .and_then(|last| system.sealing.get(last))
            .map(|step| step.id.clone()),
        share_asked: allocation.share_asked,
        readings: allocation
            .readings
            .iter()
            .map(|found| reading(system, allocation, found))
            .collect(),
        seams: allocation.seams.iter().map(seam).collect(),
        by_joint_type: allocation.by_joint_type.iter().map(Into::into).collect(),
        by_run: allocation.by_run.iter().map(Into::into).collect(),
        by_place: allocation.by_place.iter().map(Into::into).collect(),
        by_reach: allocation.by_reach.iter().map(Into::into).collect(),
        house: House {
            test_pa: allocation.house.test_pressure_pa,
            total: allocation.house.total_m3_s.into(),
            prior_total: allocation.house.prior_total_m3_s.into(),
            supply: allocation.house.supply_m3_s.into(),
            return_side: allocation.house.return_m3_s.into(),
            to_outside: allocation.house.to_outside_m3_s.into(),
            hidden: allocation.hidden.test_m3_s.into(),
            hidden_share: allocation.hidden.share.into(),
            hidden_share_chance: allocation.hidden.share_chance,
            mask_leak: allocation.house.mask_leak_m3_s,
            equivalent_opening_m2: allocation.house.equivalent_opening_m2.map(Into::into),
            equivalent_opening_cd: opening::DISCHARGE_COEFFICIENT,
        },
        gross: allocation
            .gross
            .iter()
            .map(|candidate| Gross {
                seams: parts::ids(allocation, &candidate.seams),
                chance: candidate.chance,
                prior_chance: candidate.prior_chance,
                test_m3_s: candidate.test_m3_s.into(),
                opening_m2: candidate.opening_m2.into(),
            })
            .collect(),
        nothing_open_chance: allocation.nothing_open_chance,
        looks: parts::looks(allocation),
        sensitivity: sensitivity.map(|found| sensitivity_json::sensitivity(allocation, found)),
        diagnostics: Diagnostics {
            method: allocation.diagnostics.method.word(),
            effective_draws: allocation.diagnostics.effective_draws,
            pareto_k: allocation.diagnostics.pareto_k,
            r_hat: allocation.diagnostics.r_hat,
            iterations: allocation.diagnostics.best_point_steps,
            failed_draws: allocation.diagnostics.failed_draws,
            worst_imbalance: allocation.diagnostics.worst_imbalance,
            flow_failures: allocation.diagnostics.flow_failures,
            any_wrong_setup_chance: allocation.diagnostics.any_wrong_setup_chance,
            hypotheses: allocation.diagnostics.hypotheses,
        },
        warnings: parts::warnings(system, allocation),
        cautions: cautions(system),
    }
}

fn reading(system: &System, allocation: &Allocation, reading: &allocate::ReadingResult) -> Reading {
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
        modelled: reading.modelled.into(),
        prior: reading.prior.into(),
        mask_leak_m3_s: reading.mask_leak_m3_s,
        residual_sd: reading.residual_sd,
        prior_chance: reading.prior_chance,
        wrong_setup_chance: reading.wrong_setup_chance,
        note: reading.note.clone(),
        seams: reading
            .seams
            .iter()
            .map(|flow| SeamFlow {
                id: allocation.seams[flow.seam].id.clone(),
                flow_m3_s: flow.flow_m3_s.into(),
            })
            .collect(),
    }
}

fn seam(seam: &allocate::SeamResult) -> Seam {
    let by_length = seam.basis == crate::catalog::Basis::PerMetre;
    Seam {
        id: seam.id.clone(),
        run: seam.run.clone(),
        piece: seam.piece.clone(),
        joint_type: seam.joint_type.clone(),
        side: words::side(seam.side),
        place: seam.place.clone(),
        reach: words::reach(seam.reach),
        work: words::work(seam.work),
        length_m: by_length.then_some(seam.amount),
        count: (!by_length).then_some(seam.amount),
        n: seam.n,
        prior_q25_m3_s: seam.prior_q25_m3_s.into(),
        q25_m3_s: seam.q25_m3_s.into(),
        test_pa: seam.test_pa,
        test_m3_s: seam.test_m3_s.into(),
        share: seam.share,
        to_outside_share: seam.to_outside_share,
        running_m3_s: seam.running_m3_s.map(Into::into),
        top10_chance: seam.top_chance,
        gross_chance: seam.gross_chance,
        prior_gross_chance: seam.prior_gross_chance,
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples;
    use super::*;
    use serde_json::Value;

    #[test]
    fn what_was_read_seen_and_feared_comes_back_out_of_the_text() {
        let system = samples::system();
        let allocation = samples::allocation(&system);
        let text = allocation_json(&system, &allocation, Some(&samples::sensitivity()));
        let answer: Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(answer["format"], "ductseam/allocation/1");
        assert_eq!(answer["share_asked"], 0.25);
        assert_eq!(answer["stage"], 0);
        assert_eq!(answer["sealing_step"], Value::Null);
        let pressure = &answer["readings"][1];
        assert_eq!(pressure["unit"], "Pa");
        assert_eq!(pressure["kind"], "running");
        assert_eq!(pressure["observable"], "return-static");
        assert_eq!(pressure["at"], Value::Null);
        assert_eq!(pressure["measured"], -62.5);
        assert_eq!(answer["readings"][0]["unit"], "m3/s");
        assert_eq!(answer["readings"][0]["at"], Value::Null);
        let gross = &answer["gross"][0];
        assert_eq!(gross["seams"][0], system.seams[3].id.as_str());
        assert_eq!(gross["chance"], 0.83);
        assert_eq!(gross["opening_m2"]["mean"], 0.006_451_6);
        assert_eq!(answer["nothing_open_chance"], 0.12);
        assert_eq!(answer["looks"][2]["weighed"], false);
        assert_eq!(answer["looks"][2]["agreement"], Value::Null);
        assert_eq!(answer["looks"][0]["agreement"], 0.81);
        assert_eq!(answer["seams"][3]["gross_chance"], 0.83);
        assert_eq!(answer["seams"][3]["prior_gross_chance"], 0.005);
        assert!(answer["by_run"][0]["share_chance"].is_f64());
        assert!(answer["house"]["hidden_share_chance"].is_f64());
        assert_eq!(answer["diagnostics"]["method"], "chains");
        assert_eq!(answer["diagnostics"]["hypotheses"], 5);
        let changed = &answer["sensitivity"];
        assert_eq!(changed["changes"][1]["status"], "doubtful");
        assert_eq!(changed["changes"][1]["ranks"][2], 14);
        assert_eq!(changed["flips"][0]["larger"], system.seams[0].id.as_str());
        assert_eq!(changed["flips"][0]["change"], 1);
    }

    #[test]
    fn without_being_asked_for_the_sensitivity_is_null() {
        let system = samples::system();
        let text = allocation_json(&system, &samples::allocation(&system), None);
        let answer: Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(answer["sensitivity"], Value::Null);
    }
}
