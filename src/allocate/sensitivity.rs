//! How much the answer hangs on what is believed beforehand.

use super::advice_types::{KnobChange, Sensitivity};
use super::error::AllocateError;
use super::run::allocate;
use super::settings::AllocateSettings;
use super::types::Allocation;
use crate::math::{exp, hypot, ln, square};
use crate::system::{Seen, System};

/// Draws of each changed run.
const DRAWS: usize = 1000;
/// Most chance of a wrong set-up that a change may lead to.
const MOST_WRONG: f64 = 0.9;
/// Seams that are followed.
const FOLLOWED: usize = 10;
/// Two shares that differ by less than this part of the larger are no rank worth speaking of: twice the Monte Carlo error
/// of a share from 1000 draws (engineering estimate).
const LEAST_DIFFERENCE: f64 = 0.06;

/// Runs the allocation again with each knob changed and says what moves.
///
/// # Errors
/// [`AllocateError`] where the system cannot be computed at all; a change that the rows' spreads do not allow is left
/// out.
pub fn sensitivity(
    system: &System,
    settings: &AllocateSettings,
    allocation: &Allocation,
) -> Result<Sensitivity, AllocateError> {
    let mut order: Vec<usize> = (0..allocation.seams.len()).collect();
    order.sort_by(|&a, &b| {
        let share = |i: usize| allocation.seams[i].share;
        share(b).total_cmp(&share(a)).then(a.cmp(&b))
    });
    order.truncate(FOLLOWED);
    let shares: Vec<f64> = order.iter().map(|&i| allocation.seams[i].share).collect();
    let own_errors = share_errors(allocation, &order);
    let (mut changes, mut errors) = (Vec::new(), Vec::new());
    for (words, changed) in changed(system, settings) {
        let changed = AllocateSettings {
            draws: settings.draws.min(DRAWS),
            ..changed
        };
        let found = match allocate(system, &changed) {
            Ok(found) => found,
            Err(AllocateError::SpreadTooSmall { .. }) => continue,
            Err(error) => return Err(error),
        };
        let share = |i: usize| found.seams[i].share;
        errors.push(share_errors(&found, &order));
        changes.push(KnobChange {
            words,
            total_m3_s: found.house.total_m3_s,
            hidden_share: found.hidden.share.mean,
            ranks: order
                .iter()
                .map(|&i| {
                    1 + (0..found.seams.len())
                        .filter(|&j| share(j) > share(i))
                        .count()
                })
                .collect(),
            shares: order.iter().map(|&i| share(i)).collect(),
            nothing_open_chance: found.nothing_open_chance,
            doubtful: matches!(found.status, super::types::Status::Doubtful { .. }),
        });
    }
    let mut flips = Vec::new();
    for a in 0..order.len() {
        for b in a + 1..order.len() {
            let apart = |shares: &[f64], errors: &[f64], a: usize, b: usize| {
                let gap = shares[a] - shares[b];
                gap > LEAST_DIFFERENCE * shares[a] && gap > 3.0 * hypot(errors[a], errors[b])
            };
            if !apart(&shares, &own_errors, a, b) {
                continue;
            }
            let first = (0..changes.len()).find(|&c| apart(&changes[c].shares, &errors[c], b, a));
            if let Some(number) = first {
                flips.push((order[a], order[b], number));
            }
        }
    }
    Ok(Sensitivity {
        top: order,
        shares,
        changes,
        flips,
    })
}

/// About the Monte Carlo error of the shares: a third of a seam's band over the total, over the root of what the draws are
/// worth.
fn share_errors(allocation: &Allocation, seams: &[usize]) -> Vec<f64> {
    let worth = allocation.diagnostics.effective_draws.max(1.0).sqrt();
    let total = allocation.house.total_m3_s.mean;
    seams
        .iter()
        .map(|&i| {
            let (band, open) = (
                allocation.seams[i].test_m3_s,
                allocation.seams[i].gross_chance,
            );
            // An open seam of small chance stands outside the band and still makes most of the mean.
            let rare = if open > 0.0 {
                (band.mean - band.p50).max(0.0) * ((1.0 - open) / open).sqrt()
            } else {
                0.0
            };
            hypot((band.p95 - band.p05) / 3.3, rare) / total / worth
        })
        .collect()
}

/// Settings with one knob changed, and words for the change.
fn changed(system: &System, settings: &AllocateSettings) -> Vec<(String, AllocateSettings)> {
    let mut list = Vec::new();
    let mut add = |words: String, change: &dyn Fn(&mut AllocateSettings)| {
        let mut changed = settings.clone();
        change(&mut changed);
        list.push((words, changed));
    };
    let (work, habit) = (
        exp(settings.prior.workmanship_sd),
        exp(settings.prior.habit_sd),
    );
    for to in [1.0 + 0.6 * (work - 1.0), 1.0 + 1.6 * (work - 1.0)] {
        // More that is shared leaves less for the seam itself; rows are widened so that this stays as it was.
        let widen = (square(ln(to)) - square(ln(work))).max(0.0);
        add(
            format!("workmanship spread {work:.2} to {to:.2}"),
            &|s: &mut AllocateSettings| {
                s.prior.workmanship_sd = ln(to);
                s.prior.added_variance += widen;
            },
        );
    }
    for to in [1.0 + 0.5 * (habit - 1.0), 1.0 + 2.0 * (habit - 1.0)] {
        let widen = (square(ln(to)) - square(ln(habit))).max(0.0);
        add(
            format!("joint type spread {habit:.2} to {to:.2}"),
            &|s: &mut AllocateSettings| {
                s.prior.habit_sd = ln(to);
                s.prior.added_variance += widen;
            },
        );
    }
    add("exponent spread doubled".to_owned(), &|s| {
        s.prior.exponent_sd *= 2.0;
    });
    for factor in [0.5, 2.0] {
        let said = if factor < 1.0 { "halved" } else { "doubled" };
        add(format!("chance to hang open {said}"), &|s| {
            s.gross_factor *= factor;
        });
        if !system.readings.is_empty() {
            add(format!("chance of a wrong set-up {said}"), &|s| {
                s.error_law.wide_chance = (factor * s.error_law.wide_chance).min(MOST_WRONG);
            });
        }
    }
    if system
        .looks
        .iter()
        .any(|l| matches!(l.seen, Seen::Smoke(_)))
    {
        for factor in [0.6, 1.7] {
            add(
                format!("smoke thresholds times {factor}"),
                &|s: &mut AllocateSettings| s.smoke_factor *= factor,
            );
        }
    }
    list
}
