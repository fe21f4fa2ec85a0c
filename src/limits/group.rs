//! Readings sorted by set-up: what each speaks of, and which say nothing of a limit.

use super::measured::{AtPressure, Basis};
use super::series::Point;
use crate::catalog::{Scope, Stage};
use crate::math::hypot;
use crate::system::{Measured, Relation, Setup, Side, System, TestKind, USUAL_FLOW_ERROR};

/// Readings of one set-up.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// What they speak of.
    pub basis: Basis,
    /// Steps of sealing that were done.
    pub sealed_steps: usize,
    /// Whether the other side was held at the same pressure.
    pub guarded: bool,
    /// Whether the ducts were blown up and not pulled down.
    pub pressurise: bool,
    /// Whether they are of a series given beside the sketch.
    pub is_given: bool,
    /// The readings, at 1.204 kg/m³.
    pub readings: Vec<AtPressure>,
}

/// The readings of a system by set-up, and those that say nothing of a limit. A reading of the kind rough-in says its stage
/// by itself; only a stage that was `asked` for goes before it.
#[must_use]
pub fn group(
    system: &System,
    stage: Option<Stage>,
    asked: Option<Stage>,
) -> (Vec<Group>, Vec<String>) {
    let mut left_out = Vec::new();
    let mut groups: Vec<(Setup, Group)> = Vec::new();
    for measured in &system.readings {
        let Some(flow) = measured.fan_flow_m3_s() else {
            continue;
        };
        let (scope, guarded, stage) = match measured.setup.kind {
            TestKind::Total => (Scope::Total, false, stage),
            TestKind::ToOutside => (Scope::Outside, false, stage),
            TestKind::OneSide(side) => (of_side(side), false, stage),
            TestKind::Guarded(side) => (of_side(side), true, stage),
            TestKind::RoughIn => (Scope::Total, false, asked.or(Some(Stage::RoughInNoHandler))),
            _ => continue,
        };
        if !measured.setup.plugged.is_empty() {
            left_out.push(format!(
                "`{}`: runs were plugged off, so it is not the whole",
                measured.id
            ));
            continue;
        }
        let basis = Basis { scope, stage };
        let reading = at_pressure(system, measured, flow, basis);
        let alike = Setup {
            pressure_pa: 0.0,
            ..measured.setup.clone()
        };
        let known = groups
            .iter_mut()
            .find(|(setup, group)| *setup == alike && group.sealed_steps == measured.stage);
        match known {
            Some((_, group)) => group.readings.push(reading),
            None => groups.push((
                alike,
                Group {
                    basis,
                    sealed_steps: measured.stage,
                    guarded,
                    pressurise: measured.setup.pressurise,
                    is_given: false,
                    readings: vec![reading],
                },
            )),
        }
    }
    (
        groups.into_iter().map(|(_, group)| group).collect(),
        left_out,
    )
}

fn of_side(side: Side) -> Scope {
    match side {
        Side::Supply => Scope::Supply,
        Side::Return => Scope::Return,
    }
}

fn at_pressure(system: &System, measured: &Measured, flow: f64, basis: Basis) -> AtPressure {
    let record = &system.record;
    // The record's instrument error stands in where the reading states none of its own.
    let part_sd = match record.flow_part_sd {
        Some(part) if measured.error_is_usual => part,
        _ => measured.relative_sd,
    };
    let flow_sd_m3_s = hypot(part_sd * flow, measured.floor_sd);
    // An error stated as a flow holds the instrument's too, which all readings share.
    let instrument = record.flow_part_sd.unwrap_or(USUAL_FLOW_ERROR);
    let shared_part_sd = if part_sd > 0.0 {
        part_sd
    } else {
        instrument.min(flow_sd_m3_s / flow)
    };
    let pressure_pa = measured.setup.pressure_pa;
    AtPressure {
        id: measured.id.clone(),
        basis,
        point: Point {
            pressure_pa,
            pressure_sd_pa: record.pressure_error.sd_pa(pressure_pa),
            flow_m3_s: flow,
            flow_sd_m3_s,
        },
        shared_part_sd,
        is_bound: measured.relation == Relation::Below,
    }
}
