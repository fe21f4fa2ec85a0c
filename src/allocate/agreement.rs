//! Each reading against the model, with words for what a poor fit usually means.

use super::case;
use super::draws::map_in_order;
use super::error_law::ReadingLaw;
use super::network_readout::NetworkReadout;
use super::record::Recorded;
use super::rto::Draw;
use super::types::{ReadingResult, SeamFlow};
use super::weights::{self, band};
use crate::math::hypot;
use crate::system::{Measured, Observable, Relation, TestKind};

/// A reading this many meter errors off the model gets a note.
const FAR_SD: f64 = 2.0;
/// Least chance of a right set-up for its own mean to be worth anything.
const LEAST_RIGHT: f64 = 0.02;
/// A reading this unlikely before any reading gets a note.
const UNLIKELY: f64 = 0.02;

/// Compares reading k with the model.
pub(crate) fn reading(
    k: usize,
    measured: &Measured,
    law: &ReadingLaw,
    readout: &NetworkReadout,
    posterior: &Recorded,
    prior: &Recorded,
    tails: &[(f64, f64)],
) -> ReadingResult {
    let layout = posterior.layout;
    let (mut values, mut pairs) = (Vec::new(), Vec::new());
    posterior.column(layout.modelled(k), &mut values);
    let modelled = band(&values, &posterior.weights, &mut pairs);
    posterior.column(layout.mask(k), &mut values);
    let mask_leak = weights::mean(&values, &posterior.weights);
    prior.column(layout.modelled(k), &mut values);
    let before = band(&values, &prior.weights, &mut pairs);

    let y = measured.value;
    let wrong = wrong_chance(k, &posterior.draws, &posterior.weights);
    posterior.column(layout.modelled(k), &mut values);
    let right = mean_if_right(k, &values, posterior, wrong).unwrap_or(modelled.mean);
    let sd = hypot(measured.relative_sd * y, measured.floor_sd);
    // The meter's error, and for a house fan the envelope's own doubt.
    let apart = law.whole().sigma;
    let residual = match measured.relation {
        Relation::Equals => (y - right) / apart,
        Relation::Below => ((y - right) / apart).min(0.0),
    };
    let below: Vec<f64> = tails.iter().map(|t| t.0).collect();
    let above: Vec<f64> = tails.iter().map(|t| t.1).collect();
    let (below, above) = (
        weights::mean(&below, &prior.weights),
        weights::mean(&above, &prior.weights),
    );
    let chance = match law.relation {
        Relation::Equals => (2.0 * if above < below { above } else { below }).clamp(0.0, 1.0),
        Relation::Below => below.clamp(0.0, 1.0),
    };
    let seams: Vec<usize> = (0..layout.n_seams)
        .filter(|&i| readout.counts(k, i))
        .collect();
    let flows = map_in_order(seams.len(), |at| {
        let (mut values, mut pairs) = (Vec::new(), Vec::new());
        posterior.column(layout.reading(k) + seams[at], &mut values);
        SeamFlow {
            seam: seams[at],
            flow_m3_s: band(&values, &posterior.weights, &mut pairs),
        }
    });
    ReadingResult {
        id: measured.id.clone(),
        setup: measured.setup.clone(),
        relation: measured.relation,
        observable: measured.observable,
        unit: measured.unit(),
        stage: measured.stage,
        measured: y,
        measured_sd: sd,
        error_source: measured.error_source.clone(),
        modelled,
        prior: before,
        mask_leak_m3_s: mask_leak,
        residual_sd: residual,
        prior_chance: chance,
        wrong_setup_chance: wrong,
        note: note(
            measured,
            residual,
            chance,
            before.p50,
            layout.n_readings == 1,
        ),
        seams: flows,
    }
}

/// Posterior chance that the set-up of reading k was wrong.
fn wrong_chance(k: usize, draws: &[Draw], weights: &[f64]) -> f64 {
    let is_wrong: Vec<f64> = draws
        .iter()
        .map(|d| f64::from(u8::from(is_wrong(d, k))))
        .collect();
    weights::mean(&is_wrong, weights)
}

/// Posterior chance that the set-up of at least one reading was wrong.
pub(crate) fn any_wrong_chance(posterior: &Recorded) -> f64 {
    let any: Vec<f64> = posterior
        .draws
        .iter()
        .map(|d| f64::from(u8::from(d.case.wrong != 0)))
        .collect();
    weights::mean(&any, &posterior.weights)
}

fn is_wrong(draw: &Draw, k: usize) -> bool {
    case::is_wrong(draw.case.wrong, k)
}

/// Mean of a quantity over the draws that take reading k as right; `None` when next to none do.
fn mean_if_right(k: usize, values: &[f64], posterior: &Recorded, wrong: f64) -> Option<f64> {
    if 1.0 - wrong < LEAST_RIGHT {
        return None;
    }
    let weights: Vec<f64> = posterior
        .draws
        .iter()
        .zip(&posterior.weights)
        .map(|(d, w)| if is_wrong(d, k) { 0.0 } else { *w })
        .collect();
    Some(weights::mean(values, &weights))
}

/// Words for a poor fit; empty for an ordinary one.
fn note(
    measured: &Measured,
    residual: f64,
    chance: f64,
    prior_median: f64,
    is_lone: bool,
) -> String {
    let far = residual.abs() > FAR_SD;
    if !(far || chance < UNLIKELY) {
        return String::new();
    }
    let above = if far {
        residual > 0.0
    } else {
        measured.value > prior_median
    };
    // Suction and return flows are below zero: more of them is a smaller number.
    let above = above != (measured.value < 0.0 && prior_median < 0.0);
    let how = match (far, chance < UNLIKELY, is_lone) {
        (true, true, false) => "unlikely from the sketch, and the other readings do not allow it",
        (true, false, false) => "the model and the other readings do not reach it",
        (true, false, true) => "the model does not reach it",
        _ => "unlikely from the sketch alone",
    };
    let direction = if measured.relation == Relation::Below || !above {
        "less than expected"
    } else {
        "more than expected"
    };
    let usual = usual_causes(measured, direction.starts_with("more"));
    format!("{direction} ({how}); usual causes: {usual}")
}

/// What a reading that is too high or too low usually comes from.
fn usual_causes(measured: &Measured, above: bool) -> &'static str {
    match (measured.observable, measured.setup.kind, above) {
        (Observable::BehindOpening(_), _, true) => {
            "a run that leaks outdoors more than said or hangs loose, another register shut, or a pan that is not tight"
        }
        (Observable::BehindOpening(_), _, false) => {
            "a run that leaks indoors rather than outdoors, a place more indoors than said, or a house fan short of its \
             pressure"
        }
        (Observable::PlenumStatic(_) | Observable::StaticRise, ..) => {
            "a filter or coil other than said, registers or dampers shut, another blower speed, or a tap in fast air"
        }
        (Observable::BlowerFlow | Observable::RegisterFlow(_), ..) => {
            "a blower on another speed, dampers other than said, a crushed duct, or a hood or plate off its range"
        }
        (Observable::Room(_) | Observable::House | Observable::Place(_), ..) => {
            "wind, a door or window not as said, or an exhaust fan running"
        }
        (Observable::FanFlow, TestKind::HouseFanOpen | TestKind::HouseFanMasked, _) => {
            "a house whose own leaks are other than said, an open window or flue, or an exhaust fan running"
        }
        (_, TestKind::ToOutside, false) => {
            "a place that is more indoors than said, a house not held at the duct's pressure, or joints better sealed \
             than said"
        }
        (_, TestKind::ToOutside, true) => {
            "a place that is more outdoors than said, a house not quite at the duct's pressure, a piece that hangs \
             loose, or a run that the sketch leaves out"
        }
        (_, TestKind::Isolated(_), false) => {
            "a plug in the wrong run, a shut damper behind the plug, or joints better sealed than said"
        }
        (_, TestKind::Isolated(_), true) => {
            "a plug that leaks, a register left unmasked, or a joint of this run that hangs loose"
        }
        (_, TestKind::OneSide(_) | TestKind::Guarded(_), true) => {
            "a barrier that leaks, an opening left unmasked, a piece that hangs loose, or a run that the sketch leaves out"
        }
        (_, _, false) => {
            "a shut damper or a barrier that keeps part of the ducts from the fan, the wrong range on the meter, a tap \
             away from the ducts, or joints better sealed than said"
        }
        (_, _, true) => {
            "a register or an air intake left unmasked, a piece that hangs loose or open, a run or cavity that the \
             sketch leaves out, or the wrong range on the meter"
        }
    }
}
