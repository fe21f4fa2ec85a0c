//! `ductseam joints --format json`: the contract `ductseam/joints/1`.
//!
//! SI; volume flows at 1.204 kg/m³. Fields are only ever added within version 1.

use serde::Serialize;

use crate::catalog::{Basis, Catalog, Work};
use crate::report::cautions::{Caution, cautions};
use crate::report::json_parts::Band;
use crate::system;
use crate::teach::{By, Change, JointTypes, Part, TypePart, ranking};

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/joints/1";

#[derive(Debug, Serialize)]
struct Answer<'a> {
    format: &'static str,
    seed: u64,
    /// Draws of each system.
    draws: usize,
    /// `converged` or `doubtful`.
    status: &'static str,
    reasons: &'a [String],
    /// `test` or `running`: what ranks.
    basis: &'static str,
    /// Whether readings and looks count.
    with_readings: bool,
    systems: Vec<System<'a>>,
    /// Joint types of the systems, the largest part first.
    joint_types: Vec<Type<'a>>,
    catalog: Vec<Row<'a>>,
}

#[derive(Debug, Serialize)]
struct System<'a> {
    title: &'a str,
    seams: usize,
    test_m3_s: Band,
    /// Null where the running system is not known; then `no_running` says why.
    running_m3_s: Option<Band>,
    no_running: Option<&'static str>,
    /// As everywhere.
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct Type<'a> {
    joint_type: &'a str,
    name: &'a str,
    /// `m` or `each`.
    basis: &'static str,
    /// Systems in which it occurs.
    systems: usize,
    count: usize,
    /// Metres or pieces.
    amount: f64,
    unsealed: usize,
    ordinary: usize,
    mastic: usize,
    /// Seams with a person's own figures.
    own_figures: usize,
    test: Bring,
    running: Option<Bring>,
    to_ordinary: Changed,
    to_mastic: Changed,
}

#[derive(Debug, Serialize)]
struct Bring {
    /// A system, those without the type counted as zero.
    flow_m3_s: Band,
    share: f64,
    rank: usize,
    leakiest_chance: f64,
}

#[derive(Debug, Serialize)]
struct Changed {
    seams: usize,
    cut_m3_s: f64,
    part_of_type: f64,
    part_of_total: f64,
}

#[derive(Debug, Serialize)]
struct Row<'a> {
    joint_type: &'a str,
    name: &'a str,
    group: &'a str,
    basis: &'static str,
    /// Place among those counted alike, in the order of `states`.
    ranks: [usize; 3],
    /// Unsealed, ordinary, mastic.
    states: [State<'a>; 3],
}

#[derive(Debug, Serialize)]
struct State<'a> {
    work: &'static str,
    /// m³/s at 25 Pa, by the metre or each.
    mean_m3_s: f64,
    p05_m3_s: f64,
    p95_m3_s: f64,
    source: &'a str,
    sure: &'static str,
}

/// The joint types of some systems as JSON; the systems are those of the answer, in its order.
#[must_use]
pub fn joints_json(catalog: &Catalog, systems: &[system::System], found: &JointTypes) -> String {
    crate::report::pretty(&Answer {
        format: FORMAT,
        seed: found.seed,
        draws: found.draws,
        status: if found.doubts.is_empty() {
            "converged"
        } else {
            "doubtful"
        },
        reasons: &found.doubts,
        basis: match found.ask.by {
            By::Test => "test",
            By::Running => "running",
        },
        with_readings: found.ask.with_readings,
        systems: found
            .systems
            .iter()
            .zip(systems)
            .map(|(system, built)| System {
                title: &system.title,
                seams: system.seams,
                test_m3_s: system.test_m3_s.into(),
                running_m3_s: system.running_m3_s.map(Band::from),
                no_running: system.no_running,
                cautions: cautions(built),
            })
            .collect(),
        joint_types: found.types.iter().map(one_type).collect(),
        catalog: rows(catalog),
    })
}

fn one_type(one: &TypePart) -> Type<'_> {
    let [unsealed, ordinary, mastic] = one.works;
    Type {
        joint_type: &one.joint_type,
        name: &one.name,
        basis: one.basis.word(),
        systems: one.systems,
        count: one.count,
        amount: one.amount,
        unsealed,
        ordinary,
        mastic,
        own_figures: one.own_figures,
        test: bring(one.test),
        running: one.running.map(bring),
        to_ordinary: changed(one.to_ordinary),
        to_mastic: changed(one.to_mastic),
    }
}

fn bring(part: Part) -> Bring {
    Bring {
        flow_m3_s: part.flow_m3_s.into(),
        share: part.share,
        rank: part.rank,
        leakiest_chance: part.leakiest_chance,
    }
}

fn changed(change: Change) -> Changed {
    Changed {
        seams: change.seams,
        cut_m3_s: change.cut_m3_s,
        part_of_type: change.of_type,
        part_of_total: change.of_total,
    }
}

/// The catalogue, by basis, the leakiest unsealed first.
fn rows(catalog: &Catalog) -> Vec<Row<'_>> {
    let mut rows = Vec::new();
    for basis in [Basis::PerMetre, Basis::Each] {
        let ranked = Work::ALL.map(|work| ranking(catalog, basis, work));
        for one in &ranked[0] {
            let joint = one.joint;
            let rank = |list: &Vec<crate::teach::Ranked<'_>>| {
                let found = list.iter().find(|other| other.joint.id == joint.id);
                found.map_or(0, |found| found.rank)
            };
            rows.push(Row {
                joint_type: &joint.id,
                name: &joint.name,
                group: &joint.group,
                basis: basis.word(),
                ranks: [rank(&ranked[0]), rank(&ranked[1]), rank(&ranked[2])],
                states: Work::ALL.map(|work| {
                    let state = joint.state(work);
                    let (p05_m3_s, p95_m3_s) = state.band_90();
                    State {
                        work: work.word(),
                        mean_m3_s: state.mean_q25,
                        p05_m3_s,
                        p95_m3_s,
                        source: &state.source.text,
                        sure: state.source.sure.code(),
                    }
                }),
            });
        }
    }
    rows
}
