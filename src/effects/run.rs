//! From paired draws to effects.

use super::change::Change;
use super::defaults::Defaults;
use super::ducts::{leaks_by_place, lumps, outside_parts};
use super::error::EffectsError;
use super::gather::{draft, places, seams, sides};
use super::infiltration::{USUAL_ACH, running_infiltration_m3_s};
use super::rooms::{registers, rooms};
use super::season::{Facts, season};
use super::surroundings::Mode;
use super::types::{CurveChoice, Effects, EffectsSettings, InfiltrationEffect};
use crate::flow::{
    FlowSettings, FlowState, Prepared, SeamLaws, Status, Workspace, match_airflow, prepare,
    state_from,
};
use crate::math::{exp, ln};
use crate::quantity::{AirChange, Length};
use crate::seal::BeforeAfter;
use crate::system::{PieceKind, Plant, Side, System, TestKind, USUAL_HEIGHT_M};

/// Part of the draws that may fail to settle.
const MAY_FAIL: f64 = 0.5;
/// Part of the ducts' surface outside the conditioned space below which the ducts count as indoors. Engineering
/// estimate.
const INDOOR_SURFACE: f64 = 0.05;
/// Part of the blower's flow that may leak outside then. Engineering estimate.
const INDOOR_LEAK: f64 = 0.01;
/// A reading to outside above this is at odds with ducts indoors, m³/s: 10 cfm, an engineering estimate.
const INDOOR_READING_M3_S: f64 = 0.0047;
/// Rise of static pressure that units are commonly made for, Pa: 0.5 inch of water. Common practice, from memory.
const RATED_STATIC_PA: f64 = 125.0;

/// What the work does: the running system of every draw solved before and after.
///
/// # Errors
/// [`EffectsError`]: lists that do not fit the system, a running system that cannot be set up or does not settle, an
/// airflow that its blower cannot move.
///
/// # Accuracy
/// Each solve balances every node within 1e-10 of the largest flow. Work: two solves a draw, each from the solution at
/// the mean leaks, so that the answer does not hang on the order of the draws.
pub fn effects(
    system: &System,
    pairs: &BeforeAfter,
    settings: &EffectsSettings,
) -> Result<Effects, EffectsError> {
    check(system, pairs)?;
    let start = start(system, pairs, settings)?;
    let all = pairs.draws();
    let states: Vec<(FlowState, FlowState)> = (0..all)
        .filter_map(|draw| start.pair(system, pairs, draw))
        .collect();
    let left_out = all - states.len();
    if left_out as f64 > MAY_FAIL * all as f64 {
        return Err(EffectsError::TooFewSettled {
            left_out,
            draws: all,
        });
    }
    Ok(summed(system, settings, &start, &states, left_out))
}

fn check(system: &System, pairs: &BeforeAfter) -> Result<(), EffectsError> {
    let n_seams = system.seams.len();
    let sizes = |what, expected, found| EffectsError::Sizes {
        what,
        expected,
        found,
    };
    if pairs.n_seams != n_seams {
        return Err(sizes("seams in a draw", n_seams, pairs.n_seams));
    }
    let draws = pairs.draws();
    if draws == 0 {
        return Err(EffectsError::NoDraws);
    }
    for (what, list, may_be_sealed) in [
        ("leaks before", &pairs.ln_q25_before, true),
        ("leaks after", &pairs.ln_q25_after, true),
        ("exponents before", &pairs.n_before, false),
        ("exponents after", &pairs.n_after, false),
    ] {
        if list.len() != draws * n_seams {
            return Err(sizes(what, draws * n_seams, list.len()));
        }
        let sound = |value: &f64| {
            if may_be_sealed {
                *value < f64::INFINITY
            } else {
                (0.5..=1.0).contains(value)
            }
        };
        if let Some(at) = list.iter().position(|value| !sound(value)) {
            return Err(EffectsError::BadSeam {
                seam: system.seams[at % n_seams].id.clone(),
                what: if may_be_sealed {
                    "the logarithm of a flow"
                } else {
                    "an exponent from 0.5 to 1"
                },
                found: list[at],
            });
        }
    }
    Ok(())
}

/// The system ready to run, solved at the mean leaks before the work.
struct Start {
    prepared: Prepared,
    workspace: Workspace,
    mean: FlowState,
    scaled_to_m3_s: Option<f64>,
    factor: f64,
}

fn start(
    system: &System,
    pairs: &BeforeAfter,
    settings: &EffectsSettings,
) -> Result<Start, EffectsError> {
    let setup = system.setup(TestKind::Running);
    let mut prepared = prepare(system, &setup, &FlowSettings::default())?;
    let (ln_q25, n) = means(pairs);
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let scaled_to_m3_s = match settings.curve {
        CurveChoice::AsItIs => None,
        CurveChoice::ScaledTo(airflow) => Some(airflow),
        CurveChoice::Usual => system.unit.airflow_for_curve_m3_s(),
    };
    let mut factor = 1.0;
    if let Some(airflow_m3_s) = scaled_to_m3_s {
        let matched = match_airflow(system, &mut prepared, laws, airflow_m3_s);
        if !matched.outcome.status.is_solved() {
            return Err(EffectsError::Airflow { airflow_m3_s });
        }
        factor = matched.blower_factor;
    }
    let mut workspace = prepared.network.workspace();
    let mean = state_from(system, &prepared, laws, &mut workspace);
    match mean.outcome.status {
        Status::NotConverged { node } | Status::OutOfReach { node } => {
            let node = prepared.network.node_name(node).to_owned();
            Err(EffectsError::Unsettled { node })
        }
        Status::Converged | Status::RoundingLimited => Ok(Start {
            prepared,
            workspace,
            mean,
            scaled_to_m3_s,
            factor,
        }),
    }
}

/// Mean flow and mean exponent of every seam before the work.
fn means(pairs: &BeforeAfter) -> (Vec<f64>, Vec<f64>) {
    let (seams, draws) = (pairs.n_seams, pairs.draws() as f64);
    let mean = |of: &[f64], seam: usize, map: fn(f64) -> f64| {
        of.iter()
            .skip(seam)
            .step_by(seams)
            .map(|v| map(*v))
            .sum::<f64>()
            / draws
    };
    (0..seams)
        .map(|seam| {
            (
                ln(mean(&pairs.ln_q25_before, seam, exp)),
                mean(&pairs.n_before, seam, |n| n),
            )
        })
        .unzip()
}

impl Start {
    /// A draw before and after; `None` where either does not settle.
    fn pair(
        &self,
        system: &System,
        pairs: &BeforeAfter,
        draw: usize,
    ) -> Option<(FlowState, FlowState)> {
        let row = draw * pairs.n_seams..(draw + 1) * pairs.n_seams;
        let mut ws = self.workspace.clone();
        let mut solved = |ln_q25: &[f64], n: &[f64]| {
            let laws = SeamLaws { ln_q25, n };
            let found = state_from(system, &self.prepared, laws, &mut ws);
            if found.outcome.status.is_solved() {
                return Some(found);
            }
            // Far from the means a cold start may do better.
            ws = self.prepared.network.workspace();
            let found = state_from(system, &self.prepared, laws, &mut ws);
            found.outcome.status.is_solved().then_some(found)
        };
        let before = solved(
            &pairs.ln_q25_before[row.clone()],
            &pairs.n_before[row.clone()],
        )?;
        let after = solved(&pairs.ln_q25_after[row.clone()], &pairs.n_after[row])?;
        Some((before, after))
    }
}

/// One figure of every pair.
pub(super) fn of(states: &[(FlowState, FlowState)], value: impl Fn(&FlowState) -> f64) -> Change {
    Change::of(
        states
            .iter()
            .map(|(before, after)| (value(before), value(after))),
    )
}

/// One figure of every pair, where the system at the means has it.
fn maybe(
    states: &[(FlowState, FlowState)],
    mean: &FlowState,
    value: impl Fn(&FlowState) -> Option<f64>,
) -> Option<Change> {
    value(mean)?;
    Some(of(states, |state| value(state).unwrap_or(f64::NAN)))
}

fn summed(
    system: &System,
    settings: &EffectsSettings,
    start: &Start,
    states: &[(FlowState, FlowState)],
    left_out: usize,
) -> Effects {
    let mean = &start.mean;
    let mut defaults = Defaults::default();
    if left_out > 0 {
        defaults.note(
            "draws-left-out",
            format!("{left_out} draws did not settle and are left out."),
        );
    }
    let external = |state: &FlowState| Some(state.supply_plenum_pa? - state.return_plenum_pa?);
    let power = |state: &FlowState| Some(state.blower_m3_s? * state.blower_rise_pa?);
    let fan_w = system.energy.fan_w.and_then(|watts| {
        let usual = power(mean).filter(|usual| *usual > 0.0)?;
        maybe(states, mean, |state| Some(watts * power(state)? / usual))
    });
    let external_static_pa = maybe(states, mean, external);
    let infiltration = infiltration(system, states, &mut defaults);
    let lumps = lumps(system, &mut defaults);
    let (indoors, indoors_words) = indoors(system, mean, &lumps, &mut defaults);
    let touched = touched(system);
    let more_infiltration: Vec<(f64, f64)> = infiltration.as_ref().map_or_else(Vec::new, |found| {
        let more = |state: &FlowState| {
            let natural = found.natural_m3_s;
            let unbalanced = unbalanced_m3_s(system, state);
            running_infiltration_m3_s(natural, unbalanced) - natural
        };
        states.iter().map(|(b, a)| (more(b), more(a))).collect()
    });
    let facts = Facts {
        system,
        mean,
        pairs: states,
        lumps: &lumps,
        touched: &touched,
        more_infiltration: &more_infiltration,
    };
    let [heating, cooling] = plants(system)
        .map(|(mode, plant)| plant.and_then(|plant| season(&facts, mode, &plant, &mut defaults)));
    if cooling.is_some() {
        defaults.note(
            "cooling-is-sensible",
            "Cooling is told by temperatures alone: return leaks that draw moist air cost more than told here.",
        );
    }
    let after_static = external_static_pa.map_or(0.0, |change: Change| change.after.mean);
    if after_static > RATED_STATIC_PA {
        defaults.note(
            "static-pressure-high",
            format!(
                "After the work {after_static:.0} Pa stand between the plenums; units are commonly made for 125 Pa \
                 (0.5 inch of water; common practice, from memory): see the nameplate.",
            ),
        );
    }
    Effects {
        draws: states.len(),
        left_out,
        scaled_to_m3_s: start.scaled_to_m3_s,
        blower_factor: start.factor,
        rooms: rooms(system, states),
        registers: registers(system, states),
        supply_static_pa: maybe(states, mean, |state| state.supply_plenum_pa),
        return_static_pa: maybe(states, mean, |state| state.return_plenum_pa),
        external_static_pa,
        blower_m3_s: of(states, |state| state.blower_m3_s.unwrap_or(f64::NAN)),
        fan_w,
        sides: sides(system, states),
        places: places(system, states, &touched),
        house_pa: of(states, |state| state.house_pa),
        envelope_known: system.envelope.is_some(),
        infiltration,
        drawn: seams(system, states, Side::Return, settings.listed),
        blown: seams(system, states, Side::Supply, settings.listed),
        draft: draft(system, states),
        indoors,
        indoors_words,
        heating,
        cooling,
        year: system.energy.year,
        currency: system.energy.currency.clone(),
        defaults: defaults.used,
        notes: defaults.notes,
    }
}

/// What heats and cools: as said, or, where the sketch says nothing of energy, a furnace and whatever has a coil.
fn plants(system: &System) -> [(Mode, Option<Plant>); 2] {
    let energy = &system.energy;
    let coil = || {
        [system.unit.inlet_piece, system.unit.outlet_piece]
            .iter()
            .any(|piece| system.graph[*piece].kind == PieceKind::Coil)
    };
    let usual = |there: bool| (!energy.stated && there).then(Plant::default);
    [
        (
            Mode::Heating,
            energy.heating.clone().or_else(|| usual(true)),
        ),
        (
            Mode::Cooling,
            energy.cooling.clone().or_else(|| usual(coil())),
        ),
    ]
}

/// Places in which a duct or a seam lies.
fn touched(system: &System) -> Vec<bool> {
    let mut touched = vec![false; system.places.len()];
    for seam in &system.seams {
        touched[seam.place] = true;
    }
    for piece in system.graph.edge_weights() {
        touched[piece.place] |= piece.surface_m2 > 0.0;
    }
    touched
}

/// Supply leakage to outdoors less return leakage from there, m³/s. Of what leaks into a place that follows the house's
/// pressure in part, that part counts as inside (engineering estimate).
fn unbalanced_m3_s(system: &System, state: &FlowState) -> f64 {
    let [supply, back] = leaks_by_place(system, state);
    system
        .places
        .iter()
        .enumerate()
        .map(|(at, place)| (1.0 - place.house_share) * (supply[at] - back[at]))
        .sum()
}

fn infiltration(
    system: &System,
    states: &[(FlowState, FlowState)],
    defaults: &mut Defaults,
) -> Option<InfiltrationEffect> {
    let Some(area_m2) = system.floor_area_m2 else {
        defaults.note(
            "floor-area-unknown",
            "What the leaks do to the house's air change cannot be told: say `floor area` under `house`.",
        );
        return None;
    };
    let height_m = defaults.or(
        system.energy.height_m,
        USUAL_HEIGHT_M,
        "house",
        &format!("height: {}", Length::new(USUAL_HEIGHT_M).show(system.units)),
        "common practice",
    );
    let rate = defaults.or(
        system.energy.infiltration_per_s,
        AirChange::from_per_hour(USUAL_ACH).si(),
        "house",
        &format!("natural infiltration {USUAL_ACH} air changes an hour"),
        "the figure that ASHRAE 152 takes (second hand)",
    );
    let volume_m3 = area_m2 * height_m;
    let natural_m3_s = rate * volume_m3;
    Some(InfiltrationEffect {
        volume_m3,
        natural_m3_s,
        unbalanced_m3_s: of(states, |state| unbalanced_m3_s(system, state)),
        running_m3_s: of(states, |state| {
            running_infiltration_m3_s(natural_m3_s, unbalanced_m3_s(system, state))
        }),
    })
}

/// Whether next to nothing lies outside, and what that means.
fn indoors(
    system: &System,
    mean: &FlowState,
    lumps: &[super::ducts::Lump; 2],
    defaults: &mut Defaults,
) -> (bool, String) {
    let outside: f64 = lumps.iter().map(|lump| lump.outside_m2).sum();
    let all: f64 = outside + lumps.iter().map(|lump| lump.inside_m2).sum::<f64>();
    let leaks = outside_parts(system, mean);
    let indoors = outside <= INDOOR_SURFACE * all && leaks.iter().all(|part| *part < INDOOR_LEAK);
    if !indoors {
        return (
            false,
            "Ducts or leaks lie outside the conditioned space: what leaks there is lost, what leaks inside is not."
                .to_owned(),
        );
    }
    let at_odds = system.readings.iter().find(|reading| {
        reading.setup.kind == TestKind::ToOutside && reading.value > INDOOR_READING_M3_S
    });
    if let Some(reading) = at_odds {
        defaults.note(
            "indoors-yet-leaks-outside",
            format!(
                "The sketch has the ducts inside the conditioned space, yet reading `{}` to outside is {}: floor and wall \
                 cavities often stand open to outdoors. Put such ducts in a place of their own that is not inside.",
                reading.id,
                crate::quantity::Flow::new(reading.value).show(system.units)
            ),
        );
    }
    (
        true,
        "The ducts lie inside the conditioned space: what leaks stays in the house, so that sealing saves next to no \
         energy. It still moves air to the rooms it was meant for."
            .to_owned(),
    )
}
