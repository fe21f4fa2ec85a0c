//! Choosing spots: first in order of priority, then improving in rounds.

use super::pattern::{Spot, patterns};
use super::spot::{Ground, between};
use super::{Label, Placed};

/// Rounds of improvement at most.
const ROUNDS: usize = 4;
/// Spots that a label without one tries to make free in a round.
const TRIES: usize = 30;
/// Labels that one may push away for it.
const PUSHED: usize = 2;
/// Times that any label tries to make room, in all.
const TRIES_IN_ALL: usize = 6000;
/// Smallest gain that is one.
const GAIN: f64 = 1e-9;

/// A label's spot with what it costs whatever the others do.
#[derive(Debug, Clone, Copy)]
struct Choice {
    spot: Spot,
    alone: f64,
}

/// Labels on the sheet.
pub(super) struct Board<'a> {
    ground: &'a Ground,
    leaders: Vec<bool>,
    /// By priority, the highest first; equal ones as asked.
    order: Vec<usize>,
    chosen: Vec<Option<Choice>>,
    /// Costs on the ground by label and pattern, once they are known.
    known: Vec<Vec<Option<f64>>>,
    tries_left: usize,
}

impl<'a> Board<'a> {
    pub fn new(ground: &'a Ground, labels: &[Label]) -> Board<'a> {
        let mut order: Vec<usize> = (0..labels.len())
            .filter(|&k| ground.blocks[k].is_some())
            .collect();
        order.sort_by(|&a, &b| labels[b].priority.total_cmp(&labels[a].priority));
        Board {
            ground,
            leaders: labels.iter().map(|label| label.leader).collect(),
            order,
            chosen: vec![None; labels.len()],
            known: vec![Vec::new(); labels.len()],
            tries_left: TRIES_IN_ALL,
        }
    }

    /// Every label takes the cheapest spot that is free, in order of priority.
    pub fn fill(&mut self) {
        for label in self.order.clone() {
            self.chosen[label] = self.best(label);
        }
    }

    /// Rounds of improvement, until nothing changes.
    pub fn improve(&mut self) {
        for _ in 0..ROUNDS {
            let mut changed = false;
            for label in self.order.clone() {
                changed |= if self.chosen[label].is_some() {
                    self.settle_better(label)
                } else {
                    self.make_room(label)
                };
            }
            for label in self.order.clone() {
                changed |= self.uncross(label);
            }
            if !changed {
                break;
            }
        }
    }

    pub fn placed(&self) -> Vec<Option<Placed>> {
        self.chosen
            .iter()
            .zip(&self.ground.blocks)
            .map(|(choice, block)| Some(block.as_ref()?.placed(&choice.as_ref()?.spot)))
            .collect()
    }

    /// The cheapest free spot with all others where they are.
    fn best(&mut self, label: usize) -> Option<Choice> {
        let mut best: Option<(f64, Choice)> = None;
        for k in 0..patterns().len() {
            let least = patterns()[k].cost;
            if best.is_some_and(|(cost, _)| least >= cost) {
                break;
            }
            let Some(choice) = self.choice(label, k) else {
                continue;
            };
            let most = best.map_or(f64::INFINITY, |(cost, _)| cost);
            let cost = self.with_others(label, &choice, most);
            if cost < most {
                best = Some((cost, choice));
            }
        }
        best.map(|(_, choice)| choice)
    }

    /// What a pattern makes of a label on the ground; `None` where it cannot be.
    fn choice(&mut self, label: usize, k: usize) -> Option<Choice> {
        let all = patterns();
        let block = self.ground.blocks[label].as_ref()?;
        let known = &mut self.known[label];
        if known.is_empty() {
            known.resize(all.len(), None);
        }
        if known[k].is_some_and(f64::is_infinite) {
            return None;
        }
        let spot = block.spot(&all[k], self.leaders[label]);
        let alone = *known[k].get_or_insert_with(|| {
            spot.as_ref().map_or(f64::INFINITY, |spot| {
                all[k].cost + self.ground.cost(block, spot)
            })
        });
        spot.filter(|_| alone.is_finite())
            .map(|spot| Choice { spot, alone })
    }

    /// Cost of a choice beside all others; infinite as soon as it reaches `most`.
    fn with_others(&self, label: usize, choice: &Choice, most: f64) -> f64 {
        let mut cost = choice.alone;
        for (other, there) in self.chosen.iter().enumerate() {
            if cost >= most {
                return f64::INFINITY;
            }
            if let Some(there) = there.as_ref().filter(|_| other != label) {
                cost += between(&choice.spot, &there.spot);
            }
        }
        cost
    }

    /// Looks for a cheaper spot for a label that has one.
    fn settle_better(&mut self, label: usize) -> bool {
        let Some(now) = self.chosen[label] else {
            return false;
        };
        let cost = self.with_others(label, &now, f64::INFINITY);
        let Some(best) = self.best(label) else {
            return false;
        };
        let gained = self.with_others(label, &best, f64::INFINITY) < cost - GAIN;
        if gained {
            self.chosen[label] = Some(best);
        }
        gained
    }

    /// Pushes one or two others to spots of their own for a label that has none.
    fn make_room(&mut self, label: usize) -> bool {
        let mut tries = TRIES;
        for k in 0..patterns().len() {
            if tries == 0 || self.tries_left == 0 {
                return false;
            }
            let Some(choice) = self.choice(label, k) else {
                continue;
            };
            let pushed: Vec<usize> = self
                .order
                .iter()
                .copied()
                .filter(|&other| {
                    self.chosen[other]
                        .is_some_and(|there| between(&choice.spot, &there.spot).is_infinite())
                })
                .collect();
            if pushed.len() > PUSHED {
                continue;
            }
            tries -= 1;
            self.tries_left -= 1;
            let before: Vec<Option<Choice>> = pushed.iter().map(|&k| self.chosen[k]).collect();
            for &other in &pushed {
                self.chosen[other] = None;
            }
            self.chosen[label] = Some(choice);
            if pushed.iter().all(|&other| {
                self.chosen[other] = self.best(other);
                self.chosen[other].is_some()
            }) {
                return true;
            }
            self.chosen[label] = None;
            for (&other, was) in pushed.iter().zip(before) {
                self.chosen[other] = was;
            }
        }
        false
    }

    /// Asks two labels whose leaders cross once more, in the other order.
    fn uncross(&mut self, label: usize) -> bool {
        let Some(here) = self.chosen[label] else {
            return false;
        };
        let crossing = self.order.iter().copied().find(|&other| {
            other != label
                && self.chosen[other].is_some_and(|there| between(&here.spot, &there.spot) > 0.0)
        });
        let Some(other) = crossing else {
            return false;
        };
        let Some(there) = self.chosen[other] else {
            return false;
        };
        let before = self.pair(label, other);
        for (first, second) in [(label, other), (other, label)] {
            (self.chosen[label], self.chosen[other]) = (None, None);
            self.chosen[first] = self.best(first);
            self.chosen[second] = self.best(second);
            if self.pair(label, other) < before - GAIN {
                return true;
            }
        }
        (self.chosen[label], self.chosen[other]) = (Some(here), Some(there));
        false
    }

    /// Cost of two labels together; infinite where one has no spot.
    fn pair(&self, a: usize, b: usize) -> f64 {
        let (Some(one), Some(two)) = (self.chosen[a], self.chosen[b]) else {
            return f64::INFINITY;
        };
        // Their own crossing counts twice, before as after.
        self.with_others(a, &one, f64::INFINITY) + self.with_others(b, &two, f64::INFINITY)
    }
}
