//! `ductseam predict --format json`: the contract `ductseam/prediction/1`.
//!
//! SI. Volume flows are at 1.204 kg/m³. Fields are only ever added within version 1.

use serde::Serialize;

use super::{choice, kind};
use crate::allocate::{Allocation, GroupResult};
use crate::catalog::Limit;
use crate::predict::{
    self, Choice, Design, FastPiece, LimitOutlook, Materials, Outlook, Prediction,
};
use crate::report::cautions::{Caution, cautions};
use crate::report::json_parts::{self as parts, Band, Warning};
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/prediction/1";

#[derive(Debug, Serialize)]
struct Answer<'a> {
    format: &'static str,
    title: &'a str,
    seed: u64,
    draws: usize,
    /// `converged` or `doubtful`.
    status: &'static str,
    reasons: &'a [String],
    /// Draws behind choices and pairs; variants have all.
    choice_draws: usize,
    /// Pressure of the total test, Pa.
    test_pa: f64,
    total_m3_s: Band,
    supply_m3_s: Band,
    return_m3_s: Band,
    to_outside_m3_s: Band,
    floor_area_m2: Option<f64>,
    surface_m2: f64,
    /// Inch-pound leakage class of the ducts; null without duct surface.
    leakage_class: Option<Band>,
    /// The tightest European class that its mean reaches, in words; null where none is.
    tightness_class: Option<&'a str>,
    limits: Vec<LimitRow<'a>>,
    by_joint_type: Vec<Group<'a>>,
    by_run: Vec<Group<'a>>,
    by_place: Vec<Group<'a>>,
    /// The sketch as it stands, in the draws of choices and pairs.
    base: Way,
    choices: Vec<ChoiceRow>,
    pairs: Vec<ChoiceRow>,
    variants: Vec<Variant<'a>>,
    /// Null where the running design could not be solved.
    design: Option<DesignRow<'a>>,
    materials: MaterialRows<'a>,
    warnings: Vec<Warning>,
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct LimitRow<'a> {
    id: &'a str,
    words: &'a str,
    /// `total`, `to outside`, `supply` or `return`.
    scope: &'static str,
    /// Null where the sketch does not state what it is measured by; `why` says so.
    allowed_m3_s: Option<f64>,
    why: Option<String>,
    leakage_m3_s: Band,
    chance: Option<f64>,
    /// What the stage leaves out; empty for nothing.
    left_out: &'static str,
    source: &'a str,
    how_sure: &'static str,
}

#[derive(Debug, Serialize)]
struct Group<'a> {
    id: &'a str,
    name: &'a str,
    count: usize,
    test_m3_s: Band,
    share: f64,
}

#[derive(Debug, Serialize)]
struct Way {
    total_m3_s: Band,
    to_outside_m3_s: Band,
    /// Inch-pound leakage class of the ducts; null without duct surface.
    leakage_class_mean: Option<f64>,
    surface_m2: f64,
    /// By limit of the sketch; null where the limit is not known as a flow.
    limit_chances: Vec<Option<f64>>,
}

#[derive(Debug, Serialize)]
struct ChoiceRow {
    /// `work`, `seal-class`, `swap`, `inside`, `shorter` or `pair`.
    kind: &'static str,
    words: String,
    total_cut_m3_s: f64,
    outside_cut_m3_s: f64,
    after: Way,
}

#[derive(Debug, Serialize)]
struct Variant<'a> {
    id: &'a str,
    static_pa: Option<f64>,
    after: Way,
}

#[derive(Debug, Serialize)]
struct DesignRow<'a> {
    airflow_m3_s: f64,
    airflow_stated: bool,
    own_curve: bool,
    /// Plenum to plenum.
    static_pa: f64,
    static_practice: Practice,
    /// Straight duct faster than is usual.
    fast: Vec<PieceRow<'a>>,
    steepest: Option<PieceRow<'a>>,
    friction_practice: Practice,
    registers: Vec<RegisterRow<'a>>,
    doubt: &'a str,
}

#[derive(Debug, Serialize)]
struct Practice {
    value: f64,
    source: &'static str,
}

#[derive(Debug, Serialize)]
struct PieceRow<'a> {
    piece: &'a str,
    velocity_m_s: f64,
    usual_at_most: Practice,
    friction_pa_m: f64,
}

#[derive(Debug, Serialize)]
struct RegisterRow<'a> {
    opening: &'a str,
    room: Option<&'a str>,
    loss_pa: f64,
    flow_m3_s: f64,
    meant_m3_s: Option<f64>,
}

#[derive(Debug, Serialize)]
struct MaterialRows<'a> {
    ducts: Vec<Duct<'a>>,
    fittings: Vec<Fitting<'a>>,
    seams: Vec<Seam<'a>>,
    /// For sealing every seam by hand, each by the method that suits it best.
    sealants: Vec<Sealant<'a>>,
    insulation: Vec<Insulation>,
}

#[derive(Debug, Serialize)]
struct Duct<'a> {
    made_of: &'a str,
    size: String,
    length_m: f64,
    lengths: usize,
    surface_m2: f64,
}

#[derive(Debug, Serialize)]
struct Fitting<'a> {
    what: &'a str,
    size: String,
    count: usize,
}

#[derive(Debug, Serialize)]
struct Seam<'a> {
    joint_type: &'a str,
    name: &'a str,
    count: usize,
    /// `m` or `each`.
    basis: &'static str,
    amount: f64,
}

#[derive(Debug, Serialize)]
struct Sealant<'a> {
    material: &'a str,
    unit: &'a str,
    amount: f64,
    seams: usize,
}

#[derive(Debug, Serialize)]
struct Insulation {
    resistance_m2_k_w: f64,
    area_m2: f64,
}

/// The prediction as JSON text.
#[must_use]
pub fn predict_json(system: &System, found: &Prediction) -> String {
    let expected = &found.expected;
    let allocation = &expected.allocation;
    let house = &allocation.house;
    let status = if found.doubts.is_empty() {
        "converged"
    } else {
        "doubtful"
    };
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: &allocation.title,
        seed: allocation.seed,
        draws: allocation.draws,
        status,
        reasons: &found.doubts,
        choice_draws: found.choice_draws,
        test_pa: house.test_pressure_pa,
        total_m3_s: house.total_m3_s.into(),
        supply_m3_s: house.supply_m3_s.into(),
        return_m3_s: house.return_m3_s.into(),
        to_outside_m3_s: house.to_outside_m3_s.into(),
        floor_area_m2: system.floor_area_m2,
        surface_m2: expected.surface_m2,
        leakage_class: expected.class.map(Band::from),
        tightness_class: expected.tightness.as_deref(),
        limits: expected
            .limits
            .iter()
            .map(|row| limit(&system.limits[row.limit], row))
            .collect(),
        by_joint_type: groups(&allocation.by_joint_type),
        by_run: groups(&allocation.by_run),
        by_place: groups(&allocation.by_place),
        base: way(&found.base),
        choices: choices(system, &found.choices),
        pairs: choices(system, &found.pairs),
        variants: found
            .variants
            .iter()
            .map(|variant| Variant {
                id: &variant.id,
                static_pa: variant.static_pa,
                after: way(&variant.after),
            })
            .collect(),
        design: found.design.as_ref().map(|found| design(system, found)),
        materials: materials(&found.materials),
        warnings: warnings(system, allocation),
        cautions: cautions(system),
    })
}

fn warnings(system: &System, allocation: &Allocation) -> Vec<Warning> {
    parts::warnings(system, allocation)
}

fn limit<'a>(limit: &'a Limit, row: &LimitOutlook) -> LimitRow<'a> {
    LimitRow {
        id: &limit.id,
        words: &limit.words,
        scope: limit.scope.words(),
        allowed_m3_s: row.allowed_m3_s.ok(),
        why: row.allowed_m3_s.err().map(|why| why.to_string()),
        leakage_m3_s: row.leakage_m3_s.into(),
        chance: row.chance,
        left_out: row.left_out,
        source: &limit.source.text,
        how_sure: limit.source.sure.code(),
    }
}

fn groups(groups: &[GroupResult]) -> Vec<Group<'_>> {
    groups
        .iter()
        .map(|group| Group {
            id: &group.id,
            name: &group.name,
            count: group.count,
            test_m3_s: group.test_m3_s.into(),
            share: group.share.mean,
        })
        .collect()
}

fn way(found: &Outlook) -> Way {
    Way {
        total_m3_s: found.total_m3_s.into(),
        to_outside_m3_s: found.outside_m3_s.into(),
        leakage_class_mean: found.class,
        surface_m2: found.surface_m2,
        limit_chances: found.chances.clone(),
    }
}

fn choices(system: &System, found: &[Choice]) -> Vec<ChoiceRow> {
    found
        .iter()
        .map(|made| ChoiceRow {
            kind: kind(&made.what),
            words: choice(system, &made.what),
            total_cut_m3_s: made.total_cut_m3_s,
            outside_cut_m3_s: made.outside_cut_m3_s,
            after: way(&made.after),
        })
        .collect()
}

fn practice(row: predict::PracticeRow) -> Practice {
    Practice {
        value: row.value,
        source: row.source,
    }
}

fn piece(found: &FastPiece) -> PieceRow<'_> {
    PieceRow {
        piece: &found.id,
        velocity_m_s: found.velocity_m_s,
        usual_at_most: practice(found.practice),
        friction_pa_m: found.friction_pa_m,
    }
}

fn design<'a>(system: &'a System, found: &'a Design) -> DesignRow<'a> {
    DesignRow {
        airflow_m3_s: found.airflow_m3_s,
        airflow_stated: found.airflow_stated,
        own_curve: found.own_curve,
        static_pa: found.static_pa,
        static_practice: practice(found.static_practice),
        fast: found.fast.iter().map(piece).collect(),
        steepest: found.steepest.as_ref().map(piece),
        friction_practice: practice(found.friction_practice),
        registers: found
            .registers
            .iter()
            .map(|register| {
                let opening = &system.openings[register.opening];
                RegisterRow {
                    opening: &opening.id,
                    room: opening.room.as_deref(),
                    loss_pa: register.loss_pa,
                    flow_m3_s: register.flow_m3_s,
                    meant_m3_s: register.meant_m3_s,
                }
            })
            .collect(),
        doubt: &found.doubt,
    }
}

fn materials(found: &Materials) -> MaterialRows<'_> {
    let si = crate::quantity::UnitSystem::Si;
    MaterialRows {
        ducts: found
            .ducts
            .iter()
            .map(|line| Duct {
                made_of: &line.made_of,
                size: line.size.show(si),
                length_m: line.length_m,
                lengths: line.lengths,
                surface_m2: line.surface_m2,
            })
            .collect(),
        fittings: found
            .fittings
            .iter()
            .map(|line| Fitting {
                what: &line.what,
                size: line.size.show(si),
                count: line.count,
            })
            .collect(),
        seams: found
            .seams
            .iter()
            .map(|line| Seam {
                joint_type: &line.joint_type,
                name: &line.name,
                count: line.count,
                basis: line.basis.word(),
                amount: line.amount,
            })
            .collect(),
        sealants: found
            .sealants
            .iter()
            .map(|line| Sealant {
                material: &line.material,
                unit: &line.unit,
                amount: line.amount,
                seams: line.seams,
            })
            .collect(),
        insulation: found
            .insulation
            .iter()
            .map(|&(resistance_m2_k_w, area_m2)| Insulation {
                resistance_m2_k_w,
                area_m2,
            })
            .collect(),
    }
}
