//! `ductseam prove --format json`: the contract `ductseam/proof/1`.
//!
//! SI. Volume flows are at 1.204 kg/m³. Fields are only ever added within version 1.

use serde::Serialize;

use super::word;
use crate::report::cautions::{Caution, cautions};
use crate::report::json_parts::{self as parts, Band, Warning};
use crate::report::words;
use crate::seal::Proof;
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/proof/1";

#[derive(Debug, Serialize)]
struct Answer<'a> {
    format: &'static str,
    title: &'a str,
    seed: u64,
    /// `converged` or `doubtful`, of the state after.
    status: &'static str,
    reasons: Vec<String>,
    pairs: Vec<Pair<'a>>,
    not_compared: &'a [String],
    /// Sum of all seams in the test before, all evidence weighed.
    before_m3_s: Band,
    /// The same after.
    after_m3_s: Band,
    to_outside_before_m3_s: Band,
    to_outside_after_m3_s: Band,
    target: Option<Target>,
    sealed: Vec<Sealed<'a>>,
    remaining: Vec<Remaining<'a>>,
    warnings: Vec<Warning>,
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct Target {
    target_m3_s: f64,
    chance: f64,
}

#[derive(Debug, Serialize)]
struct Pair<'a> {
    before: &'a str,
    before_date: Option<&'a str>,
    after: &'a str,
    after_date: Option<&'a str>,
    kind: &'static str,
    setup: String,
    pressure_pa: f64,
    before_m3_s: f64,
    after_m3_s: f64,
    /// Whether the later reading is only an upper bound.
    is_bound: bool,
    cut_m3_s: f64,
    cut_sd_m3_s: f64,
    part: f64,
    part_sd: f64,
    /// Expected from the evidence before the work and the crew's figures.
    expected_m3_s: Band,
    expected_chance: f64,
    /// `better`, `as expected` or `worse`.
    came_out: &'static str,
}

#[derive(Debug, Serialize)]
struct Sealed<'a> {
    seam: &'a str,
    step: &'a str,
    before_m3_s: Band,
    after_m3_s: Band,
    part_left: f64,
    look_again: bool,
}

#[derive(Debug, Serialize)]
struct Remaining<'a> {
    seam: &'a str,
    place: &'a str,
    reach: &'static str,
    after_m3_s: Band,
    share: f64,
}

/// The proof as JSON.
#[must_use]
pub fn prove_json(system: &System, proof: &Proof) -> String {
    let (status, reasons) = parts::status(&proof.after);
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: &proof.after.title,
        seed: proof.after.seed,
        status,
        reasons,
        pairs: proof
            .pairs
            .iter()
            .map(|pair| {
                let (a, b) = (&system.readings[pair.before], &system.readings[pair.after]);
                Pair {
                    before: &a.id,
                    before_date: a.date.as_deref(),
                    after: &b.id,
                    after_date: b.date.as_deref(),
                    kind: parts::kind(&pair.setup),
                    setup: words::setup(system, &pair.setup),
                    pressure_pa: pair.setup.pressure_pa,
                    before_m3_s: pair.before_m3_s,
                    after_m3_s: pair.after_m3_s,
                    is_bound: pair.is_bound,
                    cut_m3_s: pair.cut_m3_s,
                    cut_sd_m3_s: pair.cut_sd_m3_s,
                    part: pair.part,
                    part_sd: pair.part_sd,
                    expected_m3_s: pair.expected_m3_s.into(),
                    expected_chance: pair.expected_chance,
                    came_out: word(pair.came_out),
                }
            })
            .collect(),
        not_compared: &proof.not_compared,
        before_m3_s: proof.before.house.total_m3_s.into(),
        after_m3_s: proof.after.house.total_m3_s.into(),
        to_outside_before_m3_s: proof.before.house.to_outside_m3_s.into(),
        to_outside_after_m3_s: proof.after.house.to_outside_m3_s.into(),
        target: proof.target.map(|(target_m3_s, chance)| Target {
            target_m3_s,
            chance,
        }),
        sealed: proof
            .sealed
            .iter()
            .map(|sealed| Sealed {
                seam: &system.seams[sealed.seam].id,
                step: &system.sealing[sealed.step].id,
                before_m3_s: sealed.before_m3_s.into(),
                after_m3_s: sealed.after_m3_s.into(),
                part_left: sealed.left,
                look_again: sealed.look_again,
            })
            .collect(),
        remaining: proof
            .remaining
            .iter()
            .map(|&index| {
                let seam = &system.seams[index];
                Remaining {
                    seam: &seam.id,
                    place: &system.places[seam.place].name,
                    reach: words::reach(seam.reach),
                    after_m3_s: proof.after.seams[index].test_m3_s.into(),
                    share: proof.after.seams[index].share,
                }
            })
            .collect(),
        warnings: parts::warnings(system, &proof.after),
        cautions: cautions(system),
    })
}
