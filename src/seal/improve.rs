//! Makes a plan for a target quicker, judged by the chance over all draws.
//!
//! Mean cuts do not see which seams make the bad draws bad. Here every choice has its cut in every draw, cuts add up
//! (but for one factor that a flow solve gave), and steps are added, dropped and swapped as long as the plan gets quicker
//! and the chance stays.

use super::choices::{Choices, flow};
use super::draws::Left;
use super::greedy::ROUNDING;
use super::so_far::{SoFar, Uses};
use super::types::Basis;
use crate::allocate::map_in_order;

/// Most changes of one plan.
const MOST_CHANGES: usize = 200;
/// Up to so many steps, pairs of them are swapped for one too.
const PAIRS_UP_TO: usize = 24;
/// Choices that a swap looks at, the best for their time; fewer in long plans.
const SWAPS: (usize, usize) = (40, 12);
/// Plans that are improved by swaps.
const STARTS: usize = 4;
/// Places of which all sets are tried.
const MOST_PLACES: usize = 4;
/// Steps that thinning looks at before it stops.
const THINNED_FROM: usize = 30;

/// Minutes and money at hand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    pub minutes: f64,
    pub money: f64,
}

impl Limits {
    /// Whether one more choice can be paid.
    fn pays(self, choices: &Choices, picked: &[usize], c: usize) -> bool {
        if self.money.is_infinite() {
            return true;
        }
        let mut with = picked.to_vec();
        with.push(c);
        choices.money(&with) <= self.money + ROUNDING
    }

    fn hold(self, choices: &Choices, picked: &[usize], minutes: f64) -> bool {
        minutes <= self.minutes + ROUNDING
            && (self.money.is_infinite() || choices.money(picked) <= self.money + ROUNDING)
    }
}

/// Cut of every choice in every draw.
pub(super) struct Cuts<'c> {
    left: &'c Left<'c>,
    choices: &'c Choices,
    before: &'c [f64],
    of: Vec<Vec<f64>>,
    /// What a plan truly takes away over the sum of its cuts.
    pub adding_up: f64,
    target: f64,
    chance: f64,
}

impl<'c> Cuts<'c> {
    pub fn new(
        left: &'c Left<'c>,
        choices: &'c Choices,
        (basis, running_pa): (Basis, Option<&[f64]>),
        before: &'c [f64],
        (target, chance): (f64, f64),
    ) -> Self {
        let of = choices
            .all
            .iter()
            .map(|choice| {
                (0..left.count())
                    .map(|draw| {
                        flow(left, basis, running_pa, draw, choice.seam)
                            * (1.0 - left.part(draw, choice.seam, choice.method))
                    })
                    .collect()
            })
            .collect();
        Cuts {
            left,
            choices,
            before,
            of,
            adding_up: 1.0,
            target,
            chance,
        }
    }

    /// Leakage left in every draw, cuts adding up.
    pub fn after(&self, picked: &[usize]) -> Vec<f64> {
        let mut after = self.before.to_vec();
        for &c in picked {
            self.change(&mut after, c, -1.0);
        }
        after
    }

    /// Asks for another chance from here on.
    pub fn relax(&mut self, chance: f64) {
        self.chance = chance;
    }

    /// Takes from a flow solve what cuts of a plan truly add up to, on average.
    pub fn hold_to(&mut self, picked: &[usize], solved: &[f64]) {
        self.adding_up = 1.0;
        let sums = self.after(picked);
        let before = self.left.mean(self.before);
        let factor = (before - self.left.mean(solved)) / (before - self.left.mean(&sums));
        if factor.is_finite() && factor > 0.5 {
            // A little less, so that the next plan does not miss by rounding.
            self.adding_up = 0.998 * factor.min(1.0);
        }
    }

    fn change(&self, after: &mut [f64], c: usize, sign: f64) {
        for (after, cut) in after.iter_mut().zip(&self.of[c]) {
            *after += sign * self.adding_up * cut;
        }
    }

    fn met(&self, after: &[f64]) -> f64 {
        self.left.chance(|draw| after[draw] <= self.target)
    }

    fn is_met(&self, after: &[f64]) -> bool {
        self.met(after) >= self.chance
    }

    /// Whether draws stay met when `out` are dropped and `add` is added: stops as soon as too many are lost.
    fn stays_met(&self, after: &[f64], out: &[usize], add: Option<usize>) -> bool {
        let mut lost = 0.0;
        for (draw, after) in after.iter().enumerate() {
            let mut then = *after;
            for &c in out {
                then += self.adding_up * self.of[c][draw];
            }
            if let Some(c) = add {
                then -= self.adding_up * self.of[c][draw];
            }
            if then > self.target {
                lost += self.left.weights[draw];
                if lost > 1.0 - self.chance {
                    return false;
                }
            }
        }
        true
    }

    /// The draws that matter, with weights adding up to 1: those whose leakage lies round the quantile asked for.
    fn tail_draws(&self, after: &[f64]) -> Vec<(usize, f64)> {
        let spread = 1.0 - self.chance;
        let low = self.left.quantile(after, (1.0 - 3.0 * spread).max(0.3));
        let mut tail: Vec<(usize, f64)> = (0..after.len())
            .filter(|&draw| after[draw] >= low)
            .map(|draw| (draw, self.left.weights[draw]))
            .collect();
        let sum: f64 = tail.iter().map(|(_, weight)| weight).sum();
        tail.iter_mut().for_each(|(_, weight)| *weight /= sum);
        tail
    }

    fn mean_in(&self, tail: &[(usize, f64)], c: usize) -> f64 {
        tail.iter()
            .map(|&(draw, weight)| weight * self.of[c][draw])
            .sum()
    }

    /// Mean cut of every choice in the draws that matter.
    pub fn tail(&self, after: &[f64]) -> Vec<f64> {
        let tail = self.tail_draws(after);
        (0..self.of.len()).map(|c| self.mean_in(&tail, c)).collect()
    }

    /// Mean leakage before in the same draws.
    pub fn tail_before(&self, after: &[f64]) -> f64 {
        let tail = self.tail_draws(after);
        tail.iter()
            .map(|&(draw, weight)| weight * self.before[draw])
            .sum()
    }

    /// Adds what takes most off the draws that miss, for its time, until the target is met. `None` where it never is.
    fn completed(
        &self,
        mut picked: Vec<usize>,
        limits: Limits,
        allowed: &[bool],
    ) -> Option<Vec<usize>> {
        let mut after = self.after(&picked);
        let mut so_far = SoFar::of(self.choices, &picked);
        let mut minutes = self.choices.minutes(&picked);
        while !self.is_met(&after) {
            let missing: Vec<(usize, f64)> = (0..after.len())
                .filter(|&draw| after[draw] > self.target)
                .map(|draw| (draw, after[draw] - self.target))
                .collect();
            let gain = |c: usize| -> f64 {
                missing
                    .iter()
                    .map(|&(draw, over)| {
                        self.left.weights[draw] * (self.adding_up * self.of[c][draw]).min(over)
                    })
                    .sum()
            };
            let (c, added, _) = (0..self.choices.all.len())
                .filter(|&c| allowed[c] && !so_far.has(self.choices, c))
                .filter_map(|c| {
                    let added = so_far.added_minutes(self.choices, c);
                    let fits = minutes + added <= limits.minutes + ROUNDING
                        && limits.pays(self.choices, &picked, c);
                    fits.then(|| (c, added, gain(c) / added.max(1e-6)))
                })
                .max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.cmp(&a.0)))?;
            minutes += added;
            so_far.add(self.choices, c);
            self.change(&mut after, c, -1.0);
            picked.push(c);
        }
        Some(picked)
    }

    /// From all that is allowed, drops what spares most minutes for what the bad draws lose, while the target is met.
    fn thinned(&self, limits: Limits, allowed: &[bool]) -> Option<Vec<usize>> {
        let all = [self.choices.everything(), self.choices.strongest()];
        let (mut picked, mut after) = all.into_iter().find_map(|all| {
            let picked: Vec<usize> = all.into_iter().filter(|&c| allowed[c]).collect();
            let after = self.after(&picked);
            self.is_met(&after).then_some((picked, after))
        })?;
        loop {
            let tail = self.tail_draws(&after);
            let uses = Uses::of(self.choices, &picked);
            let mut order: Vec<(f64, usize)> = (0..picked.len())
                .map(|at| {
                    let spared = uses.spared_minutes(self.choices, picked[at]);
                    (spared / self.mean_in(&tail, picked[at]).max(1e-15), at)
                })
                .collect();
            order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            let Some(&(_, at)) = order
                .iter()
                .take(THINNED_FROM)
                .find(|(_, at)| self.stays_met(&after, &[picked[*at]], None))
            else {
                break;
            };
            let c = picked.remove(at);
            self.change(&mut after, c, 1.0);
        }
        let minutes = self.choices.minutes(&picked);
        limits
            .hold(self.choices, &picked, minutes)
            .then_some(picked)
    }

    /// The quickest plan found from several starts: the search's own, and for every set of places one grown and one
    /// thinned.
    pub fn quickest(&self, first: Vec<usize>, limits: Limits) -> Option<Vec<usize>> {
        let sets = self.sets_of_places();
        let grown = map_in_order(sets.len(), |k| {
            [
                self.completed(Vec::new(), limits, &sets[k]),
                self.thinned(limits, &sets[k]),
            ]
        });
        let starts = grown
            .into_iter()
            .flatten()
            .flatten()
            .chain(self.grown(first, limits))
            .collect();
        self.quickest_of(starts, limits)
    }

    /// A plan grown from these picks until the target is met.
    pub fn grown(&self, first: Vec<usize>, limits: Limits) -> Option<Vec<usize>> {
        self.completed(first, limits, &vec![true; self.choices.all.len()])
    }

    /// The quickest of some plans that meet the target, each improved by swaps.
    pub fn quickest_of(&self, mut starts: Vec<Vec<usize>>, limits: Limits) -> Option<Vec<usize>> {
        let minutes = |picked: &Vec<usize>| self.choices.minutes(picked);
        starts.sort_by(|a, b| minutes(a).total_cmp(&minutes(b)).then(a.cmp(b)));
        starts.dedup();
        starts.truncate(STARTS);
        map_in_order(starts.len(), |k| {
            self.quicker(starts[k].clone(), limits.money)
        })
        .into_iter()
        .min_by(|a, b| minutes(a).total_cmp(&minutes(b)).then(a.cmp(b)))
    }

    /// Which choices each set of places allows: all sets of the places with most to cut, the others always allowed.
    fn sets_of_places(&self) -> Vec<Vec<bool>> {
        let mut places: Vec<(f64, usize)> = (0..self.choices.place_minutes.len())
            .map(|place| {
                let here = |c: &&super::choices::Choice| c.place == Some(place);
                let cut: f64 = self.choices.all.iter().filter(here).map(|c| c.cut).sum();
                (cut, place)
            })
            .filter(|(cut, place)| *cut > 0.0 && self.choices.place_minutes[*place] > 0.0)
            .collect();
        places.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        places.truncate(MOST_PLACES);
        (0..1usize << places.len())
            .map(|bits| {
                self.choices
                    .all
                    .iter()
                    .map(|choice| {
                        !places.iter().enumerate().any(|(k, (_, place))| {
                            bits >> k & 1 == 1 && choice.place == Some(*place)
                        })
                    })
                    .collect()
            })
            .collect()
    }

    /// Choices of seams that are not picked.
    fn others<'s>(&'s self, picked: &'s [usize]) -> impl Iterator<Item = usize> + 's {
        (0..self.choices.all.len()).filter(move |&c| {
            let seam = self.choices.all[c].seam;
            !picked.iter().any(|&p| self.choices.all[p].seam == seam)
        })
    }

    /// Drops and swaps steps of a plan that meets the target, as long as that spares minutes.
    fn quicker(&self, mut picked: Vec<usize>, most_money: f64) -> Vec<usize> {
        let mut after = self.after(&picked);
        for _ in 0..MOST_CHANGES {
            let Some((out, add)) = self.best_change(&picked, &after, most_money) else {
                break;
            };
            for &c in &out {
                self.change(&mut after, c, 1.0);
            }
            if let Some(c) = add {
                self.change(&mut after, c, -1.0);
            }
            picked.retain(|c| !out.contains(c));
            picked.extend(add);
        }
        picked.sort_unstable();
        picked
    }

    fn best_change(
        &self,
        picked: &[usize],
        after: &[f64],
        most_money: f64,
    ) -> Option<(Vec<usize>, Option<usize>)> {
        let now = self.choices.minutes(picked);
        let mut best: Option<(f64, Vec<usize>, Option<usize>)> = None;
        let mut consider = |out: &[usize], add: Option<usize>| {
            let mut then: Vec<usize> = picked
                .iter()
                .copied()
                .filter(|c| !out.contains(c))
                .collect();
            then.extend(add);
            let spared = now - self.choices.minutes(&then);
            let so_far = best.as_ref().map_or(1e-6, |best| best.0);
            if spared > so_far
                && self.choices.money(&then) <= most_money
                && self.stays_met(after, out, add)
            {
                best = Some((spared, out.to_vec(), add));
            }
        };
        for &c in picked {
            consider(&[c], None);
        }
        // Another way of the same seam, then other seams, the best for their time.
        let tail = self.tail(after);
        let mut others: Vec<usize> = self.others(picked).collect();
        let rate = |c: usize| tail[c] / self.choices.all[c].minutes.max(1e-6);
        others.sort_by(|&a, &b| rate(b).total_cmp(&rate(a)).then(a.cmp(&b)));
        let few = picked.len() <= PAIRS_UP_TO;
        others.truncate(if few { SWAPS.0 } else { SWAPS.1 });
        for &out in picked {
            let seam = self.choices.all[out].seam;
            for c in 0..self.choices.all.len() {
                if c != out && self.choices.all[c].seam == seam {
                    consider(&[out], Some(c));
                }
            }
            for &add in &others {
                consider(&[out], Some(add));
            }
        }
        if few {
            for (i, &a) in picked.iter().enumerate() {
                for &b in &picked[i + 1..] {
                    consider(&[a, b], None);
                    for &add in &others {
                        consider(&[a, b], Some(add));
                    }
                }
            }
        }
        // A place that is left altogether, what it gave made up elsewhere by one seam.
        for place in 0..self.choices.place_minutes.len() {
            let out: Vec<usize> = picked
                .iter()
                .copied()
                .filter(|&c| self.choices.all[c].place == Some(place))
                .collect();
            if out.len() > 1 {
                consider(&out, None);
                for &add in &others {
                    consider(&out, Some(add));
                }
            }
        }
        best.map(|(_, out, add)| (out, add))
    }
}
