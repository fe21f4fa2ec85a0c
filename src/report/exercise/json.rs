//! `ductseam exercise --mark --format json`: the contract `ductseam/marks/1`.
//!
//! SI but for minutes; volume flows at 1.204 kg/m³, in the total set-up. Fields are only ever added within version 1.

use serde::Serialize;

use super::{Answers, why, why_id};
use crate::report::cautions::{Caution, cautions};
use crate::system::{SeamIdx, System};
use crate::teach::{Marks, PlanMarks};

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/marks/1";

#[derive(Debug, Serialize)]
struct Answer<'a> {
    format: &'static str,
    title: &'a str,
    /// Fingerprint of the sketch.
    sketch: &'a str,
    /// Seams of the system.
    seams: usize,
    total_m3_s: f64,
    /// Seams named, in the learner's order.
    named: Vec<Named<'a>>,
    /// The learner's list, then its rivals of the same length.
    score: Score,
    /// Mean over k = 1 to the length of the list of what its first k seams catch, as a part of what the k leakiest leak.
    order_score: f64,
    /// Whether the list names more than a fifth of all seams (own figure): then its catch says little.
    is_long: bool,
    guess: Score,
    joint_type: Score,
    program: Score,
    best: Score,
    /// The leakiest seams, as many as were named.
    best_seams: Vec<&'a str>,
    /// Why the program's list is doubtful.
    program_reasons: &'a [String],
    /// What there was to be learnt.
    chosen: &'a str,
    missed: Vec<Missed<'a>>,
    leak_little: Vec<Named<'a>>,
    /// Null where nothing may be sealed; then `stopped` says why.
    plan: Option<Plan<'a>>,
    /// Whether the list says what is sealed; else all it names counts as sealed.
    seal_stated: bool,
    /// Seams whose `seal` was left empty where others say it: not sealed.
    seal_blank: usize,
    stopped: Option<&'a str>,
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct Named<'a> {
    seam: &'a str,
    true_rank: usize,
}

#[derive(Debug, Serialize)]
struct Score {
    caught_m3_s: f64,
    /// Part of the best possible.
    score: f64,
}

#[derive(Debug, Serialize)]
struct Missed<'a> {
    seam: &'a str,
    true_rank: usize,
    test_m3_s: f64,
    part: f64,
    why: Vec<Reason>,
}

#[derive(Debug, Serialize)]
struct Reason {
    code: &'static str,
    words: String,
}

#[derive(Debug, Serialize)]
struct Plan<'a> {
    sealed: Vec<Sealed<'a>>,
    refused: Vec<Refused<'a>>,
    cut_m3_s: f64,
    minutes: f64,
    said_minutes: Option<f64>,
    best_by_number: Best<'a>,
    /// Null where as many seams can take nothing away, as for a plan that seals none.
    score_by_number: Option<f64>,
    best_by_minutes: Best<'a>,
    score_by_minutes: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Sealed<'a> {
    seam: &'a str,
    method: &'a str,
    cut_m3_s: f64,
    minutes: f64,
}

#[derive(Debug, Serialize)]
struct Refused<'a> {
    seam: &'a str,
    reason: &'a str,
}

#[derive(Debug, Serialize)]
struct Best<'a> {
    cut_m3_s: f64,
    seams: Vec<&'a str>,
}

/// The marks as JSON.
#[must_use]
pub fn marks_json(system: &System, answers: &Answers, marks: &Marks) -> String {
    let id = |seam: SeamIdx| system.seams[seam].id.as_str();
    let score = |caught: f64| Score {
        caught_m3_s: caught,
        score: marks.score(caught),
    };
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: &system.title,
        sketch: &answers.sketch,
        seams: marks.seams,
        total_m3_s: marks.total_m3_s,
        named: marks
            .named
            .iter()
            .zip(&marks.true_ranks)
            .map(|(&seam, &true_rank)| Named {
                seam: id(seam),
                true_rank,
            })
            .collect(),
        score: score(marks.caught_m3_s),
        order_score: marks.order_score,
        is_long: marks.is_long,
        guess: score(marks.guess_m3_s),
        joint_type: score(marks.joint_type_m3_s),
        program: score(marks.program_m3_s),
        best: score(marks.best_m3_s),
        best_seams: marks.best.iter().map(|&seam| id(seam)).collect(),
        program_reasons: &marks.program_doubts,
        chosen: answers.chosen_words(),
        missed: marks
            .missed
            .iter()
            .map(|one| Missed {
                seam: id(one.seam),
                true_rank: one.rank,
                test_m3_s: one.test_m3_s,
                part: one.part,
                why: one
                    .why
                    .iter()
                    .map(|&reason| Reason {
                        code: why_id(reason),
                        words: why(system, reason),
                    })
                    .collect(),
            })
            .collect(),
        leak_little: marks
            .leak_little
            .iter()
            .map(|&(seam, true_rank)| Named {
                seam: id(seam),
                true_rank,
            })
            .collect(),
        plan: marks.plan.as_ref().map(|marks| plan(system, marks)),
        seal_stated: marks.says_seal,
        seal_blank: marks.seal_blank,
        stopped: marks.stopped.as_deref(),
        cautions: cautions(system),
    })
}

fn plan<'a>(system: &'a System, marks: &'a PlanMarks) -> Plan<'a> {
    let id = |seam: SeamIdx| system.seams[seam].id.as_str();
    let ids = |seams: &[SeamIdx]| seams.iter().map(|&seam| id(seam)).collect();
    Plan {
        sealed: marks
            .sealed
            .iter()
            .map(|one| Sealed {
                seam: id(one.seam),
                method: &system.crew.methods[one.method].id,
                cut_m3_s: one.cut_m3_s,
                minutes: one.minutes,
            })
            .collect(),
        refused: marks
            .refused
            .iter()
            .map(|(seam, reason)| Refused {
                seam: id(*seam),
                reason,
            })
            .collect(),
        cut_m3_s: marks.cut_m3_s,
        minutes: marks.minutes,
        said_minutes: marks.said_minutes,
        best_by_number: Best {
            cut_m3_s: marks.best_by_number.0,
            seams: ids(&marks.best_by_number.1),
        },
        score_by_number: marks.score_by_number(),
        best_by_minutes: Best {
            cut_m3_s: marks.best_by_minutes.0,
            seams: ids(&marks.best_by_minutes.2),
        },
        score_by_minutes: marks.score_by_minutes(),
    }
}
