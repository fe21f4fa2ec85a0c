//! Modelled against measured: each reading held against all the other evidence, with causes that would explain a misfit.

use super::advice_types::{Cause, CompareAnswer, ComparedReading};
use super::draws::map_in_order;
use super::error::AllocateError;
use super::error_law::ReadingLaw;
use super::evidence::reading_law;
use super::network_readout::{NetworkReadout, Wanted};
use super::readout::{Disturbance, Readout};
use super::run::{Run, run};
use super::settings::AllocateSettings;
use super::types::{Allocation, Band};
use super::weights::{self, band};
use crate::catalog::opening::opening_area;
use crate::math::{hypot, ln, normal, square};
use crate::system::{
    LookAt, Measured, Mover, Observable, Openings, Relation, SeamRole, Setup, Side, System,
    TapPlace, TestKind,
};

/// Draws of each run that leaves one reading out.
const DRAWS: usize = 600;
/// A reading this many standard deviations off the other evidence gets causes.
const FAR_SD: f64 = 2.0;
/// Most causes listed.
const MOST_CAUSES: usize = 6;
/// Farthest from the reading, in standard deviations, that a cause may leave it.
const FARTHEST: f64 = 3.0;
/// Causes less likely than this among the listed are dropped.
const LEAST_CHANCE: f64 = 0.01;

/// Compares every reading with the model, and with all the evidence but itself.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn compare(
    system: &System,
    settings: &AllocateSettings,
) -> Result<CompareAnswer, AllocateError> {
    let allocation = run(system, settings, &[], |run| run.allocation())?;
    against_others(system, settings, allocation)
}

/// Holds every reading of an allocation against all the evidence but itself.
pub(super) fn against_others(
    system: &System,
    settings: &AllocateSettings,
    allocation: Allocation,
) -> Result<CompareAnswer, AllocateError> {
    let mut readings = Vec::new();
    for (k, measured) in system.readings.iter().enumerate() {
        let others = without(system, k);
        let fewer = AllocateSettings {
            draws: settings.draws.min(DRAWS),
            stage: Some(measured.stage),
            ..settings.clone()
        };
        let wanted = Wanted {
            name: &measured.id,
            setup: &measured.setup,
            observable: measured.observable,
            stage: measured.stage,
        };
        readings.push(run(&others, &fewer, &[wanted], |run| {
            held_against(run, k, measured, settings, &allocation)
        })??);
    }
    let fair: Vec<f64> = allocation
        .readings
        .iter()
        .filter(|r| r.wrong_setup_chance < 0.5 && r.relation == Relation::Equals)
        .map(|r| r.residual_sd)
        .collect();
    Ok(CompareAnswer {
        chi_square: (fair.iter().map(|r| r * r).sum(), fair.len()),
        allocation,
        readings,
    })
}

/// The system with one reading taken out.
fn without(system: &System, k: usize) -> System {
    let mut others = system.clone();
    let gone = others.readings.remove(k);
    for look in &mut others.looks {
        look.at = match look.at {
            LookAt::Reading(i) if i == k => LookAt::Total(gone.setup.pressure_pa.max(1.0)),
            LookAt::Reading(i) if i > k => LookAt::Reading(i - 1),
            at => at,
        };
    }
    others
}

fn held_against(
    run: &Run<'_>,
    k: usize,
    measured: &Measured,
    settings: &AllocateSettings,
    allocation: &Allocation,
) -> Result<ComparedReading, AllocateError> {
    let layout = run.posterior.layout;
    let (mut values, mut pairs) = (Vec::new(), Vec::new());
    run.posterior.column(layout.extra(0), &mut values);
    let usable: Vec<f64> = values
        .iter()
        .zip(&run.posterior.weights)
        .map(|(v, w)| if v.is_nan() { 0.0 } else { *w })
        .collect();
    let modelled = band(&values, &usable, &mut pairs);
    let squares: Vec<f64> = values.iter().map(|v| square(v - modelled.mean)).collect();
    let spread = weights::mean(&squares, &usable).sqrt();
    // Nothing is shared with the readings left in: the whole error is this one's own.
    let law = reading_law(run.system, measured, None, 0, settings)?.whole();
    let residual = match measured.relation {
        Relation::Equals => (measured.value - modelled.mean) / hypot(law.sigma, spread),
        Relation::Below => ((measured.value - modelled.mean) / hypot(law.sigma, spread)).min(0.0),
    };
    let chance = chance(&law, &values, &usable, settings.error_law.wide_chance);
    let wrong = allocation.readings[k].wrong_setup_chance;
    // Written so that NaN is far.
    let is_far = !(residual.abs() <= FAR_SD) || chance < 0.05 || wrong > 0.2;
    let causes = if is_far {
        causes(run, measured, &law, (modelled.mean, spread), allocation)?
    } else {
        Vec::new()
    };
    Ok(ComparedReading {
        reading: k,
        unit: measured.unit(),
        without: modelled,
        residual_without_sd: residual,
        chance_without: chance,
        verdict: verdict(measured, &modelled, residual, chance, is_far, &causes),
        causes,
    })
}

/// Chance of a reading at least as far out on its own side, doubled; of keeping a bound.
fn chance(law: &ReadingLaw, values: &[f64], weights: &[f64], wide_chance: f64) -> f64 {
    let tails: Vec<(f64, f64)> = values.iter().map(|&h| law.tails(h, wide_chance)).collect();
    let below: Vec<f64> = tails.iter().map(|t| t.0).collect();
    let above: Vec<f64> = tails.iter().map(|t| t.1).collect();
    let (below, above) = (
        weights::mean(&below, weights),
        weights::mean(&above, weights),
    );
    match law.relation {
        Relation::Equals => (2.0 * below.min(above)).clamp(0.0, 1.0),
        Relation::Below => below.clamp(0.0, 1.0),
    }
}

/// A way in which a set-up or the ducts may differ from what was said.
struct Variant {
    words: String,
    setup: Setup,
    /// Seams that leak like an opening of this area instead, m².
    opened: Option<(usize, f64)>,
}

/// Solves every cause that can be named at the mean of the evidence without the reading.
fn causes(
    run: &Run<'_>,
    measured: &Measured,
    law: &ReadingLaw,
    (modelled, spread): (f64, f64),
    allocation: &Allocation,
) -> Result<Vec<Cause>, AllocateError> {
    let variants = variants(run.system, measured, allocation);
    let layout = run.posterior.layout;
    let mean = |column: usize| {
        let mut values = Vec::new();
        (0..layout.n_seams)
            .map(|i| {
                run.posterior.column(column + i, &mut values);
                weights::mean(&values, &run.posterior.weights)
            })
            .collect::<Vec<f64>>()
    };
    let (q25, n) = (mean(layout.q25()), mean(layout.exponents()));
    let ln_q25: Vec<f64> = q25.iter().map(|q| ln(*q)).collect();
    let solved = map_in_order(variants.len(), |i| {
        let variant = &variants[i];
        let wanted = Wanted {
            name: &variant.words,
            setup: &variant.setup,
            observable: measured.observable,
            stage: measured.stage,
        };
        let readout = NetworkReadout::new(run.system, [wanted], &run.settings.flow).ok()?;
        let (mut l, mut e) = (ln_q25.clone(), n.clone());
        if let Some((seam, area)) = variant.opened {
            l[seam] = ln(area / opening_area(1.0, 25.0));
            e[seam] = 0.5;
        }
        let read = readout.read(0, &l, &e, Disturbance::default(), &mut readout.work());
        read.settled.then_some(read.value)
    });
    let typical = |expected: f64| {
        // The spread of the other evidence grows with what is expected.
        let part = spread / measured.value.abs().max(law.sigma);
        hypot(law.sigma, part * expected.abs().min(measured.value.abs()))
    };
    let mut found: Vec<Cause> = variants
        .into_iter()
        .zip(solved)
        .filter_map(|(variant, expected)| {
            let expected = expected?;
            let (gap, width) = (measured.value - expected, typical(expected));
            let is_bound = measured.relation == Relation::Below;
            Some(Cause {
                words: variant.words,
                expected,
                residual_sd: if is_bound { gap.min(0.0) } else { gap } / law.sigma,
                chance: if is_bound {
                    normal::cdf(gap / width)
                } else {
                    normal::density(gap / width) / width
                },
            })
        })
        .collect();
    // A cause that misses the reading as well, or brings it hardly nearer, explains nothing.
    let without = (measured.value - modelled).abs();
    found.retain(|c| {
        let miss = match measured.relation {
            Relation::Equals => (measured.value - c.expected).abs(),
            Relation::Below => (c.expected - measured.value).max(0.0),
        };
        miss <= FARTHEST * typical(c.expected) && miss < 0.5 * without
    });
    found.sort_by(|a, b| b.chance.total_cmp(&a.chance).then(a.words.cmp(&b.words)));
    found.truncate(MOST_CAUSES);
    let sum: f64 = found.iter().map(|c| c.chance).sum();
    if !(sum > 0.0) {
        return Ok(Vec::new());
    }
    for cause in &mut found {
        cause.chance /= sum;
    }
    found.retain(|c| c.chance >= LEAST_CHANCE);
    Ok(found)
}

fn variants(system: &System, measured: &Measured, allocation: &Allocation) -> Vec<Variant> {
    let setup = &measured.setup;
    let mut list = Vec::new();
    let mut add = |words: String, setup: Setup, opened: Option<(usize, f64)>| {
        list.push(Variant {
            words,
            setup,
            opened,
        });
    };
    if measured.observable == Observable::FanFlow {
        let recipe = setup.kind.recipe();
        let masked = recipe.openings == Openings::Masked;
        let taps = recipe.mover == Mover::DuctFan;
        for (i, seam) in system.seams.iter().enumerate().filter(|_| masked) {
            if let SeamRole::BootGap(opening) = seam.role {
                add(
                    format!("register of {} left unmasked", seam.run),
                    setup.clone(),
                    Some((i, system.openings[opening].size.area().si())),
                );
            }
        }
        for (r, duct) in system.runs.iter().enumerate() {
            if setup.plugged.contains(&r) {
                let mut open = setup.clone();
                open.plugged.retain(|&p| p != r);
                add(format!("plug in {} let go", duct.id), open, None);
            } else if taps && duct.opening.is_some() && !matches!(setup.kind, TestKind::Isolated(_))
            {
                let mut shut = setup.clone();
                shut.plugged.push(r);
                add(
                    format!("{} shut off by a damper or crushed", duct.id),
                    shut,
                    None,
                );
            }
        }
        let other = match setup.kind {
            TestKind::Total => Some((TestKind::ToOutside, "house shut up, at the ducts' pressure")),
            TestKind::ToOutside => Some((TestKind::Total, "house not held: a door or window open")),
            TestKind::OneSide(_) => Some((TestKind::Total, "barrier missing or blown off")),
            _ => None,
        };
        if let Some((kind, words)) = other {
            add(
                words.to_owned(),
                Setup {
                    kind,
                    ..setup.clone()
                },
                None,
            );
        }
        for (tap, side, words) in [
            (
                TapPlace::SupplyPlenum,
                Side::Supply,
                "tap in the supply plenum",
            ),
            (
                TapPlace::ReturnPlenum,
                Side::Return,
                "tap in the return plenum",
            ),
        ] {
            let fits =
                !matches!(setup.kind, TestKind::OneSide(s) | TestKind::Guarded(s) if s != side);
            if taps && setup.tap != tap && fits && !matches!(setup.kind, TestKind::Isolated(_)) {
                add(
                    words.to_owned(),
                    Setup {
                        tap,
                        ..setup.clone()
                    },
                    None,
                );
            }
        }
        for (times, words) in [
            (0.5, "pressure half of what was said"),
            (2.0, "pressure twice what was said"),
        ] {
            add(
                words.to_owned(),
                Setup {
                    pressure_pa: times * setup.pressure_pa,
                    ..setup.clone()
                },
                None,
            );
        }
    }
    let mut seams: Vec<usize> = (0..system.seams.len())
        .filter(|&i| {
            allocation.seams[i].prior_gross_chance > 0.0 && system.seams[i].opening_m2 > 0.0
        })
        .collect();
    seams.sort_by(|&a, &b| {
        let chance = |i: usize| allocation.seams[i].gross_chance;
        chance(b).total_cmp(&chance(a)).then(a.cmp(&b))
    });
    for seam in seams.into_iter().take(8) {
        let open = allocation
            .gross
            .iter()
            .find(|g| g.seams.contains(&seam) && g.opening_m2.mean > 0.0)
            .map_or(
                system.look_figures.open_part * system.seams[seam].opening_m2,
                |g| g.opening_m2.mean,
            );
        add(
            format!("{} hangs open", system.seams[seam].id),
            setup.clone(),
            Some((seam, open)),
        );
    }
    list
}

fn verdict(
    measured: &Measured,
    modelled: &Band,
    residual: f64,
    chance: f64,
    is_far: bool,
    causes: &[Cause],
) -> String {
    if measured.relation == Relation::Below && !is_far {
        return "the bound is kept".to_owned();
    }
    if !is_far {
        return format!(
            "agrees with all other evidence ({:.1} standard deviations off)",
            residual.abs()
        );
    }
    if !residual.is_finite() {
        return "could not be judged: the model without this reading was not solved".to_owned();
    }
    // Suction and return flows are below zero: more of them is a smaller number.
    let below_zero = measured.value < 0.0 && modelled.mean < 0.0;
    let way = if (measured.value > modelled.mean) != below_zero {
        "more"
    } else {
        "less"
    };
    let start = format!(
        "{way} than all other evidence leads one to expect (chance {})",
        if chance < 0.001 {
            "below 0.1 %".to_owned()
        } else {
            format!("{:.1} %", 100.0 * chance)
        }
    );
    match causes.first() {
        Some(cause) => format!("{start}; would be explained best by: {}", cause.words),
        None => format!("{start}; none of the usual causes explains it"),
    }
}
