//! Suspicious but legal things, seen on the whole system.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use super::types::{Measured, PieceKind, Relation, RunIdx, Side, System, TestKind, Warning};
use crate::math::powf;
use crate::quantity::Flow;

/// Leakage above this part of the airflow is suspicious. Engineering estimate.
const MUCH_LEAKAGE: f64 = 0.40;
/// Tests far from the usual pressure: below or above these parts of it. Engineering estimate: 10 to 60 Pa of 25 Pa.
const PRESSURES: (f64, f64) = (0.4, 2.4);
/// A reading this many times above or below the prior mean deserves a second look. Engineering estimate.
const FAR: f64 = 10.0;
/// A to-outside reading above this part of the total is large for ducts that are all inside. Engineering estimate.
const LARGE_OUTSIDE: f64 = 0.25;
/// Sides that add up to more than this times the total. Engineering estimate.
const SIDES_OVER: f64 = 1.25;

/// Looks the whole system over and adds its warnings.
pub(super) fn look_over(system: &mut System) {
    let mut found = Vec::new();
    sides(system, &mut found);
    readings(system, &mut found);
    system.warnings.extend(
        found
            .into_iter()
            .map(|(code, text): (&str, String)| Warning {
                code: code.to_owned(),
                text,
            }),
    );
}

type Found = Vec<(&'static str, String)>;

fn sides(system: &System, found: &mut Found) {
    for side in [Side::Supply, Side::Return] {
        let word = if side == Side::Supply {
            "supply"
        } else {
            "return"
        };
        let runs = system.runs.iter().filter(|r| r.side == side).count();
        if runs == 0 {
            found.push((
                if side == Side::Return {
                    "no-return-drawn"
                } else {
                    "no-supply-drawn"
                },
                format!("no {word} run is drawn: the {word} side is the unit's own seams only"),
            ));
        } else if system.largest_opening(side).is_none() {
            found.push((
                "no-opening-drawn",
                format!("no {word} run ends in a register or grille"),
            ));
        }
    }
}

fn readings(system: &System, found: &mut Found) {
    if system.readings.is_empty() {
        found.push((
            "no-reading",
            "no reading is given: the answer rests on what is known of joint types alone"
                .to_owned(),
        ));
    }
    let show = |q: f64| Flow::new(q).show(system.units);
    for m in &system.readings {
        let usual = m.setup.kind.recipe().usual_pa.abs();
        let (low, high) = (PRESSURES.0 * usual, PRESSURES.1 * usual);
        if !(low..=high).contains(&m.setup.pressure_pa) {
            found.push((
                "unusual-pressure",
                format!(
                    "reading `{}` was taken at {} Pa, far from the usual {} Pa",
                    m.id,
                    crate::quantity::significant(m.setup.pressure_pa, 3),
                    crate::quantity::significant(usual, 3)
                ),
            ));
        }
        // What was sealed is meant to leak less.
        if m.stage == 0 {
            far_from_prior(system, m, found);
        }
    }
    // Before any sealing: readings of several stages do not compare.
    let of = |kind: TestKind| {
        system
            .readings
            .iter()
            .find(|m| m.stage == 0 && m.setup.kind == kind && m.relation == Relation::Equals)
    };
    let total = of(TestKind::Total);
    if let (Some(total), Some((airflow, _))) = (total, system.unit.airflow_m3_s)
        && total.value > MUCH_LEAKAGE * airflow
    {
        found.push((
            "leakage-above-40-percent",
            format!(
                "reading `{}` of {} is more than 40 % of the airflow of {}: look for a disconnected duct or a missed mask",
                total.id,
                show(total.value),
                show(airflow)
            ),
        ));
    }
    if let Some(outside) = of(TestKind::ToOutside) {
        if let Some(total) = total
            && outside.value > total.value
        {
            found.push((
                "outside-above-total",
                format!("reading `{}` to outside is larger than the total `{}`: they cannot both be right at one pressure", outside.id, total.id),
            ));
        }
        let inside = system
            .seams
            .iter()
            .all(|s| !system.places[s.place].unconditioned);
        let base = total.map_or_else(|| system.prior_q25_m3_s(), |t| t.value);
        if inside && outside.value > LARGE_OUTSIDE * base {
            found.push((
                "ducts-inside-leak-outside",
                format!("all ducts are drawn inside, yet reading `{}` shows {} to outside: is a place wrong, or a wall cavity open to outdoors?", outside.id, show(outside.value)),
            ));
        }
    }
    if let (Some(total), Some(supply), Some(ret)) = (
        total,
        of(TestKind::OneSide(Side::Supply)),
        of(TestKind::OneSide(Side::Return)),
    ) {
        let sum = supply.value + ret.value;
        if sum > SIDES_OVER * total.value {
            found.push((
                "sides-above-total",
                format!("the two sides add up to {}, much more than the total of {}: does the barrier leak, or was a mask missed?", show(sum), show(total.value)),
            ));
        }
    }
}

fn far_from_prior(system: &System, m: &Measured, found: &mut Found) {
    let sum = |want: &dyn Fn(usize) -> f64| -> f64 { (0..system.seams.len()).map(want).sum() };
    let q = |i: usize| system.seams[i].mean_q25_m3_s;
    let at_25 = match m.setup.kind {
        TestKind::Total => system.prior_q25_m3_s(),
        TestKind::ToOutside => sum(&|i| system.prior_to_outside_m3_s(&system.seams[i])),
        TestKind::OneSide(side) | TestKind::Guarded(side) => system.prior_side_q25_m3_s(side),
        TestKind::Isolated(run) => {
            let below = runs_below(system, run);
            let ids: BTreeSet<&str> = system
                .runs
                .iter()
                .zip(&below)
                .filter(|(_, b)| **b)
                .map(|(r, _)| r.id.as_str())
                .collect();
            sum(&|i| {
                if ids.contains(system.seams[i].run.as_str()) {
                    q(i)
                } else {
                    0.0
                }
            })
        }
        TestKind::RoughIn
        | TestKind::Pan(_)
        | TestKind::HouseFanOpen
        | TestKind::HouseFanMasked
        | TestKind::Running
        | TestKind::RunningHeld => return, // No flow of the ducts' own seams alone is read there.
    };
    // 0.6 is the usual exponent of residential ducts; good enough for a factor of ten.
    let prior = at_25 * powf(m.setup.pressure_pa / 25.0, 0.6);
    if m.relation != Relation::Equals || prior <= 0.0 {
        return;
    }
    let ratio = m.value / prior;
    if !(1.0 / FAR..=FAR).contains(&ratio) {
        let way = if ratio > 1.0 { "above" } else { "below" };
        found.push((
            "reading-far-from-expectation",
            format!(
                "reading `{}` of {} is more than ten times {way} the {} that the sketch leads one to expect: check unit, set-up and sketch",
                m.id,
                Flow::new(m.value).show(system.units),
                Flow::new(prior).show(system.units)
            ),
        ));
    }
}

/// For every run whether it is the given one or hangs on it; links to other runs do not count.
fn runs_below(system: &System, run: RunIdx) -> Vec<bool> {
    let mut below = vec![false; system.runs.len()];
    below[run] = true;
    let Some((_, head)) = system.graph.edge_endpoints(system.runs[run].first_piece) else {
        return below;
    };
    let mut seen = vec![false; system.graph.node_count()];
    seen[head.index()] = true;
    let mut waiting = vec![head];
    while let Some(node) = waiting.pop() {
        for edge in system
            .graph
            .edges(node)
            .filter(|e| e.weight().kind != PieceKind::Link)
        {
            if let Some(r) = edge.weight().run {
                below[r] = true;
            }
            if !std::mem::replace(&mut seen[edge.target().index()], true) {
                waiting.push(edge.target());
            }
        }
    }
    below
}
