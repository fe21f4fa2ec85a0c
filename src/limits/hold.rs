//! Limits chosen, and each held against the readings of its scope.

use super::answer::{Asked, Found, Held};
use super::checks::{Part, side_alone};
use super::judge::{NotComparable, judge};
use super::measured::At25;
use crate::catalog::{Catalog, Limit, Scope};
use crate::system::System;

/// Own limits first, in the order of the sketch, then those asked for.
pub(super) fn hold(
    found: &[Found<'_>],
    system: &System,
    catalog: &Catalog,
    asked: &Asked,
) -> Vec<Held> {
    let mut chosen: Vec<Limit> = Vec::new();
    let also = asked
        .all
        .then_some(catalog.limits())
        .into_iter()
        .flatten()
        .filter(|limit| found.iter().any(|one| one.basis.meets(limit).is_ok()));
    for limit in system.limits.iter().chain(&asked.limits).chain(also) {
        if !chosen.iter().any(|known| known.id == limit.id) {
            chosen.push(limit.clone());
        }
    }
    let mut held = Vec::new();
    for limit in chosen {
        let of_scope = || {
            let all = found.iter().enumerate();
            all.filter(|(_, one)| one.basis.scope == limit.scope)
        };
        for (k, one) in of_scope() {
            let Ok(at) = &one.at_25 else { continue };
            let (at, barrier_m3_s) = alone(found, one, at);
            held.push(Held {
                found: Some(k),
                judged: judge(&limit, &at, system),
                flow: Some(at),
                barrier_m3_s,
                limit: limit.clone(),
            });
        }
        if held.last().is_none_or(|last: &Held| last.limit != limit) {
            // Nothing was read, or what was read cannot be brought to 25 Pa.
            let unread = of_scope().find_map(|(k, one)| {
                let error = *one.at_25.as_ref().err()?;
                Some((k, NotComparable::NotAt25(one.ids[0].clone(), error)))
            });
            let (found, why) = match unread {
                Some((k, why)) => (Some(k), why),
                None => (None, NotComparable::NoReading(limit.scope.words())),
            };
            held.push(Held {
                found,
                judged: Err(why),
                flow: None,
                barrier_m3_s: None,
                limit,
            });
        }
    }
    held
}

/// What a reading says of what it is held against: a side read with the other open holds the leak past the barrier, which
/// is taken off where the other side and the total were read too; else it is the most that the side can be.
fn alone(found: &[Found<'_>], one: &Found<'_>, at: &At25) -> (At25, Option<f64>) {
    let other = match one.basis.scope {
        Scope::Supply => Scope::Return,
        Scope::Return => Scope::Supply,
        Scope::Total | Scope::Outside => return (at.clone(), None),
    };
    if one.guarded {
        return (at.clone(), None);
    }
    let of = |scope: Scope| {
        found.iter().find_map(|beside| {
            let alike = beside.basis.scope == scope
                && beside.basis.stage == one.basis.stage
                && beside.sealed_steps == one.sealed_steps;
            let at = beside.at_25.as_ref().ok().filter(|_| alike)?;
            Some(Part {
                at,
                guarded: beside.guarded,
            })
        })
    };
    let this = Part { at, guarded: false };
    match (of(other), of(Scope::Total)) {
        (Some(other), Some(total)) => side_alone(this, other, total.at),
        _ => None,
    }
    .map_or_else(|| (at.at_most(), None), |(at, past)| (at, Some(past)))
}
