//! What a person checks before trusting an answer: the system in numbers.

use std::collections::BTreeMap;

use super::types::{DefaultUsed, PieceKind, SeamRole, Side, System, Warning};
use crate::catalog::Basis;
use crate::quantity::Size;

/// A system in numbers, for `check`.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckSummary {
    /// Title of the sketch.
    pub title: String,
    /// Runs in sketch order.
    pub runs: Vec<RunSummary>,
    /// Supply side, then return side, each with its part of the unit.
    pub sides: Vec<SideSummary>,
    /// Joint types in use, by id.
    pub joint_types: Vec<JointTypeSummary>,
    /// Places in use.
    pub places: Vec<PlaceSummary>,
    /// Number of pieces, the unit's included.
    pub pieces: usize,
    /// Number of seams, what the sketch forgot included.
    pub seams: usize,
    /// Number of registers and grilles.
    pub openings: usize,
    /// Number of readings.
    pub readings: usize,
    /// Number of looks.
    pub looks: usize,
    /// Prior mean flow of all seams at 25 Pa, m³/s.
    pub prior_q25_m3_s: f64,
    /// Every default that stood in for something unsaid.
    pub defaults: Vec<DefaultUsed>,
    /// Suspicious but legal things.
    pub warnings: Vec<Warning>,
}

/// One run in numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct RunSummary {
    /// Id.
    pub id: String,
    /// Side.
    pub side: Side,
    /// Room served.
    pub room: Option<String>,
    /// Section at its start.
    pub size: Size,
    /// Length along the walk, m.
    pub length_m: f64,
    /// Number of pieces.
    pub pieces: usize,
    /// Number of seams.
    pub seams: usize,
    /// Duct surface, m².
    pub surface_m2: f64,
    /// Prior mean flow of its seams at 25 Pa, m³/s.
    pub prior_q25_m3_s: f64,
    /// Place of most of its surface, else of its first piece.
    pub place: String,
}

/// One side in numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct SideSummary {
    /// Side.
    pub side: Side,
    /// Number of runs.
    pub runs: usize,
    /// Length of its runs, m.
    pub length_m: f64,
    /// Duct surface, m².
    pub surface_m2: f64,
    /// Number of seams.
    pub seams: usize,
    /// Prior mean flow at 25 Pa, m³/s, the unit's part and what the sketch forgot included.
    pub prior_q25_m3_s: f64,
}

/// One joint type in numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct JointTypeSummary {
    /// Joint type id.
    pub joint_type: String,
    /// Its readable name.
    pub name: String,
    /// What its flow is counted by.
    pub basis: Basis,
    /// Number of seams.
    pub count: usize,
    /// Metres of joint, or the number of pieces.
    pub amount: f64,
    /// Prior mean flow at 25 Pa, m³/s.
    pub prior_q25_m3_s: f64,
}

/// One place in numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceSummary {
    /// Name.
    pub name: String,
    /// Part of the house's pressure at which it sits.
    pub house_share: f64,
    /// Where that comes from.
    pub source: String,
    /// Number of seams.
    pub seams: usize,
    /// Duct surface, m².
    pub surface_m2: f64,
}

/// Sums a system up.
pub fn summary(system: &System) -> CheckSummary {
    CheckSummary {
        title: system.title.clone(),
        runs: runs(system),
        sides: [Side::Supply, Side::Return]
            .map(|side| side_summary(system, side))
            .to_vec(),
        joint_types: joint_types(system),
        places: places(system),
        pieces: system.graph.edge_count(),
        seams: system.seams.len(),
        openings: system.openings.len(),
        readings: system.readings.len(),
        looks: system.looks.len(),
        prior_q25_m3_s: system.prior_q25_m3_s(),
        defaults: system.defaults.clone(),
        warnings: system.warnings.clone(),
    }
}

fn runs(system: &System) -> Vec<RunSummary> {
    let mut all: Vec<RunSummary> = system
        .runs
        .iter()
        .map(|run| {
            let first = &system.graph[run.first_piece];
            RunSummary {
                id: run.id.clone(),
                side: run.side,
                room: run.room.clone(),
                size: first.section,
                length_m: run.length_m,
                pieces: 0,
                seams: 0,
                surface_m2: 0.0,
                prior_q25_m3_s: 0.0,
                place: system.places[first.place].name.clone(),
            }
        })
        .collect();
    let mut surface: Vec<BTreeMap<usize, f64>> = vec![BTreeMap::new(); all.len()];
    for piece in system.graph.edge_weights() {
        if let Some(r) = piece.run {
            all[r].pieces += 1;
            all[r].surface_m2 += piece.surface_m2;
            *surface[r].entry(piece.place).or_default() += piece.surface_m2;
        }
    }
    let by_id: BTreeMap<&str, usize> = system
        .runs
        .iter()
        .enumerate()
        .map(|(i, r)| (r.id.as_str(), i))
        .collect();
    for seam in &system.seams {
        if let Some(&r) = by_id.get(seam.run.as_str()) {
            all[r].seams += 1;
            all[r].prior_q25_m3_s += seam.mean_q25_m3_s;
        }
    }
    for (run, surface) in all.iter_mut().zip(&surface) {
        let most = surface
            .iter()
            .filter(|(_, s)| **s > 0.0)
            .max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(a.0)));
        if let Some((&place, _)) = most {
            run.place = system.places[place].name.clone();
        }
    }
    all
}

fn side_summary(system: &System, side: Side) -> SideSummary {
    let runs = || system.runs.iter().filter(|r| r.side == side);
    SideSummary {
        side,
        runs: runs().count(),
        length_m: runs().map(|r| r.length_m).sum(),
        surface_m2: system
            .graph
            .edge_weights()
            .filter(|p| p.side == side)
            .map(|p| p.surface_m2)
            .sum(),
        seams: system.seams.iter().filter(|s| s.side == side).count(),
        prior_q25_m3_s: system.prior_side_q25_m3_s(side),
    }
}

fn joint_types(system: &System) -> Vec<JointTypeSummary> {
    let mut types: BTreeMap<&str, JointTypeSummary> = BTreeMap::new();
    for seam in &system.seams {
        let entry = types
            .entry(&seam.joint_type)
            .or_insert_with(|| JointTypeSummary {
                joint_type: seam.joint_type.clone(),
                name: seam.joint_name.clone(),
                basis: seam.basis,
                count: 0,
                amount: 0.0,
                prior_q25_m3_s: 0.0,
            });
        entry.count += 1;
        entry.amount += seam.amount;
        entry.prior_q25_m3_s += seam.mean_q25_m3_s;
    }
    types.into_values().collect()
}

fn places(system: &System) -> Vec<PlaceSummary> {
    let mut all: Vec<PlaceSummary> = system
        .places
        .iter()
        .map(|p| PlaceSummary {
            name: p.name.clone(),
            house_share: p.house_share,
            source: p.source.clone(),
            seams: 0,
            surface_m2: 0.0,
        })
        .collect();
    for seam in system
        .seams
        .iter()
        .filter(|s| s.role != SeamRole::Unsketched)
    {
        all[seam.place].seams += 1;
    }
    for piece in system
        .graph
        .edge_weights()
        .filter(|p| p.kind == PieceKind::Straight)
    {
        all[piece.place].surface_m2 += piece.surface_m2;
    }
    all
}
