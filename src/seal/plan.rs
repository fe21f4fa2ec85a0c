//! The plan: from a question to a work order.

use super::chance::Solver;
use super::choices::{Choices, flow};
use super::draws::Left;
use super::frontier::frontier;
use super::greedy::{Bounds, greedy};
use super::improve::{Cuts, Limits};
use super::running::running_pa;
use super::search::{Found, Goal, search};
use super::steps::tell;
use super::types::{Basis, OutOfReach, Plan, PlanAsk, Rival, SealError};
use crate::allocate::Band;
use crate::system::{SeamIdx, SuspectTape, System};

/// Most choices that a search looks at: those with the best mean cut for their time.
const MOST_CHOICES: usize = 800;
/// Most times that the margin is moved.
const MOST_MOVES: usize = 5;
/// With so few choices every try is made from all starts.
const FEW_CHOICES: usize = 150;
/// Chances by which a plan may seem to miss by sums and still be solved to see.
const HAIRS: [f64; 3] = [0.01, 0.005, 0.002];

/// Chooses what to seal.
///
/// # Errors
/// [`SealError::BadAsk`] for figures out of range, [`SealError::NoPrices`] for money without a price,
/// [`SealError::Flow`] where a set-up cannot be prepared.
pub fn plan(left: &Left<'_>, ask: &PlanAsk) -> Result<Plan, SealError> {
    check(ask)?;
    let system = left.system;
    let running = running_pa(left);
    let choices = Choices::of(left, ask.basis, running.as_deref());
    if ask.money.is_some() && choices.money_per_minute.is_none() {
        return Err(SealError::NoPrices);
    }
    if ask.basis == Basis::Running && running.is_none() {
        return Err(SealError::BadAsk {
            what: "the basis",
            needs: "one that can be solved; the running system did not settle",
            found: "running".to_owned(),
        });
    }
    let solver = Solver::new(left, ask.basis, running.as_deref())?;
    let before = solver.totals(left, &[]);
    let is_limited = ask.minutes.is_some() || ask.money.is_some() || ask.target_m3_s.is_some();
    let narrowed = choices.narrowed(MOST_CHOICES).filter(|_| is_limited);
    let work = |choices| Work {
        left,
        ask,
        choices,
        solver: &solver,
        before: &before,
        running: running.as_deref(),
    };
    if let Some(why) = stop(system) {
        let work = work(&choices);
        return work.answer(Made::nothing(&work), None, Some(why));
    }
    if let Some(best) = &narrowed {
        let work = work(best);
        let (made, out) = work.make()?;
        // Only a target may need what was left aside.
        if out.is_none() {
            return work.answer(made, out, None);
        }
    }
    let work = work(&choices);
    let (made, out) = work.make()?;
    work.answer(made, out, None)
}

fn check(ask: &PlanAsk) -> Result<(), SealError> {
    let bad = |what, needs, found: f64| {
        Err(SealError::BadAsk {
            what,
            needs,
            found: found.to_string(),
        })
    };
    for (what, value) in [
        ("the time at hand", ask.minutes),
        ("the money at hand", ask.money),
        ("the target", ask.target_m3_s),
    ] {
        if let Some(value) = value
            && !(value.is_finite() && value >= 0.0)
        {
            return bad(what, "zero or more", value);
        }
    }
    if !(0.5..=0.999).contains(&ask.chance) {
        return bad("the chance", "50 % to 99.9 %", ask.chance);
    }
    Ok(())
}

fn stop(system: &System) -> Option<String> {
    (system.suspect_tape == SuspectTape::Suspected).then(|| {
        "old tape on these ducts may hold asbestos: nothing is cut, peeled, covered or sealed before it has been looked \
         at by somebody licensed for it"
            .to_owned()
    })
}

struct Work<'w> {
    left: &'w Left<'w>,
    ask: &'w PlanAsk,
    choices: &'w Choices,
    solver: &'w Solver,
    before: &'w [f64],
    running: Option<&'w [f64]>,
}

/// A plan with what is left after it.
#[derive(Clone)]
struct Made {
    found: Found,
    after: Vec<f64>,
    margin: f64,
    moves: usize,
}

impl Made {
    fn nothing(work: &Work<'_>) -> Self {
        Made {
            found: Found {
                picked: Vec::new(),
                gap: 0.0,
                proved: true,
            },
            after: work.before.to_vec(),
            margin: 0.0,
            moves: 0,
        }
    }
}

impl Work<'_> {
    fn sealed(&self, picked: &[usize]) -> Vec<(SeamIdx, usize)> {
        let mut sealed: Vec<(SeamIdx, usize)> = picked
            .iter()
            .map(|&c| (self.choices.all[c].seam, self.choices.all[c].method))
            .collect();
        sealed.sort_unstable();
        sealed
    }

    fn made(&self, found: Found) -> Made {
        let after = if found.picked.is_empty() {
            self.before.to_vec()
        } else {
            self.solver.totals(self.left, &self.sealed(&found.picked))
        };
        Made {
            found,
            after,
            margin: 0.0,
            moves: 0,
        }
    }

    fn met(&self, after: &[f64], target: f64) -> f64 {
        self.left.chance(|draw| after[draw] <= target)
    }

    fn limits(&self) -> (f64, f64) {
        (
            self.ask.minutes.unwrap_or(f64::INFINITY),
            self.ask.money.unwrap_or(f64::INFINITY),
        )
    }

    fn most(&self) -> Result<Made, SealError> {
        let (minutes, money) = self.limits();
        let found = if minutes.is_infinite() && money.is_infinite() {
            Found {
                picked: self.choices.all_that_shows(),
                gap: 0.0,
                proved: true,
            }
        } else {
            search(self.choices, Goal::Most { minutes, money }, self.ask.nodes)?
                .unwrap_or_else(|| Made::nothing(self).found)
        };
        Ok(self.made(found))
    }

    fn make(&self) -> Result<(Made, Option<OutOfReach>), SealError> {
        let Some(target) = self.ask.target_m3_s else {
            return Ok((self.most()?, None));
        };
        if self.met(self.before, target) >= self.ask.chance {
            return Ok((Made::nothing(self), None));
        }
        let usual = self.most()?;
        let mut most = usual.clone();
        let mut chance = self.met(&most.after, target);
        if chance < self.ask.chance && self.ask.minutes.is_none() && self.ask.money.is_none() {
            most = self.made(Found {
                picked: self.choices.strongest(),
                gap: 0.0,
                proved: true,
            });
            chance = self.met(&most.after, target);
        }
        if chance < self.ask.chance {
            // Another plan of the same time may do better by chance than the one with most cut.
            if let Some(met) = self.within_limits(target) {
                return Ok((self.least(met, target)?, None));
            }
            let reach = self.out_of_reach(&most, target, chance)?;
            // Joints taken apart for a target that is missed all the same help nobody.
            return Ok((usual, Some(reach)));
        }
        Ok((self.least(most, target)?, None))
    }

    /// A plan within time and money at hand that meets the target by chance, if one is found.
    fn within_limits(&self, target: f64) -> Option<Made> {
        let (minutes, money) = self.limits();
        if minutes.is_infinite() && money.is_infinite() {
            return None;
        }
        let cuts = self.cuts(target);
        let picked = cuts.quickest(Vec::new(), Limits { minutes, money })?;
        let made = self.made(Found {
            picked,
            gap: f64::INFINITY,
            proved: false,
        });
        (self.met(&made.after, target) >= self.ask.chance).then_some(made)
    }

    fn cuts(&self, target: f64) -> Cuts<'_> {
        Cuts::new(
            self.left,
            self.choices,
            (self.ask.basis, self.running),
            self.before,
            (target, self.ask.chance),
        )
    }

    /// The quickest plan that meets the target with the chance asked for; `most` is known to meet it.
    fn least(&self, most: Made, target: f64) -> Result<Made, SealError> {
        let (minutes, money) = self.limits();
        let mut cuts = self.cuts(target);
        let mut best = most;
        let mut after = best.after.clone();
        let mut margin = 0.0;
        let mut moves = 0;
        for step in 0..=MOST_MOVES {
            moves = step;
            // Cuts in the draws round the quantile asked for stand for the programme's.
            let mut tailored = self.choices.clone();
            for (choice, cut) in tailored.all.iter_mut().zip(cuts.tail(&after)) {
                choice.cut = cut;
            }
            let needed = (cuts.tail_before(&after) - target + margin) / cuts.adding_up;
            let goal = Goal::Least {
                cut: needed.min(tailored.cut(&best.found.picked)).max(0.0),
                minutes,
                money,
            };
            let Some(found) = search(&tailored, goal, self.ask.nodes)? else {
                break;
            };
            let limits = Limits { minutes, money };
            // All starts once; then on from what was found.
            let picked = if step == 0 || self.choices.all.len() <= FEW_CHOICES {
                cuts.quickest(found.picked, limits)
            } else {
                let again = cuts.grown(best.found.picked.clone(), limits);
                let other = cuts.grown(found.picked, limits);
                cuts.quickest_of(again.into_iter().chain(other).collect(), limits)
            };
            let Some(picked) = picked else { break };
            // What swaps found has no proof.
            let made = self.made(Found {
                picked,
                gap: f64::INFINITY,
                proved: false,
            });
            let miss = self.left.quantile(&made.after, self.ask.chance) - target;
            if self.met(&made.after, target) >= self.ask.chance {
                let quicker = self.choices.minutes(&made.found.picked)
                    < self.choices.minutes(&best.found.picked) - 1e-9;
                if step > 0 && !quicker {
                    break;
                }
                if quicker {
                    best = Made {
                        margin,
                        ..made.clone()
                    };
                }
            } else {
                // Sums flattered it: hold them to what the flow solver found.
                margin += 1.1 * miss.max(0.0);
                cuts.hold_to(&made.found.picked, &made.after);
            }
            after = made.after;
        }
        best.moves = moves;
        // Sums are a little off: plans that seem to miss by a hair are solved too.
        let limits = Limits { minutes, money };
        let again = |cuts: &Cuts<'_>, best: &Made, limits| {
            let picked = best.found.picked.clone();
            if self.choices.all.len() <= FEW_CHOICES {
                return cuts.quickest(picked, limits);
            }
            let start = cuts.grown(picked, limits);
            cuts.quickest_of(start.into_iter().collect(), limits)
        };
        for hair in HAIRS {
            cuts.relax(self.ask.chance - hair);
            let Some(picked) = again(&cuts, &best, limits) else {
                continue;
            };
            if self.choices.minutes(&picked) > self.choices.minutes(&best.found.picked) - 1e-9 {
                continue;
            }
            let made = self.made(Found {
                picked,
                ..best.found.clone()
            });
            if self.met(&made.after, target) >= self.ask.chance {
                best = Made {
                    margin: best.margin,
                    moves,
                    ..made
                };
                break;
            }
        }
        Ok(best)
    }

    fn out_of_reach(&self, most: &Made, target: f64, chance: f64) -> Result<OutOfReach, SealError> {
        let everything = self.choices.strongest();
        let limited = self.ask.minutes.is_some() || self.ask.money.is_some();
        let (after, best_chance, for_want_of_time) = if limited {
            let all = self.solver.totals(self.left, &self.sealed(&everything));
            let with_all = self.met(&all, target);
            let want = with_all >= self.ask.chance;
            (all, with_all, want)
        } else {
            (most.after.clone(), chance, false)
        };
        let mut touched = vec![false; self.left.system.seams.len()];
        for &c in &everything {
            touched[self.choices.all[c].seam] = true;
        }
        let not_sealed: Vec<f64> = (0..self.left.count())
            .map(|draw| {
                (0..touched.len())
                    .filter(|&seam| !touched[seam])
                    .map(|seam| flow(self.left, self.ask.basis, self.running, draw, seam))
                    .sum()
            })
            .collect();
        let best_m3_s = self.left.quantile(&after, self.ask.chance);
        Ok(OutOfReach {
            best_m3_s,
            short_m3_s: (best_m3_s - target).max(0.0),
            best_chance,
            not_sealed_m3_s: self.left.band(&not_sealed),
            for_want_of_time,
        })
    }

    fn answer(
        &self,
        made: Made,
        out_of_reach: Option<OutOfReach>,
        stopped: Option<String>,
    ) -> Result<Plan, SealError> {
        let picked = &made.found.picked;
        let told = tell(
            self.left,
            self.choices,
            picked,
            self.running,
            self.ask.basis,
        );
        let cut: Vec<f64> = self
            .before
            .iter()
            .zip(&made.after)
            .map(|(before, after)| before - after)
            .collect();
        let cut_m3_s = if picked.is_empty() {
            Band::default()
        } else {
            self.left.band(&cut)
        };
        let minutes = self.choices.minutes(picked);
        let rival = {
            let (most_minutes, money) = self.limits();
            let bounds = match self.ask.target_m3_s {
                // The greedy way to as much cut.
                Some(_) if out_of_reach.is_none() => Bounds {
                    minutes: f64::INFINITY,
                    money,
                    enough: self.choices.cut(picked),
                },
                _ => Bounds {
                    minutes: most_minutes,
                    money,
                    enough: f64::INFINITY,
                },
            };
            let greedy = if picked.is_empty() {
                Vec::new()
            } else {
                greedy(self.choices, bounds)
            };
            Rival {
                minutes: self.choices.minutes(&greedy),
                cut_m3_s: self.choices.cut(&greedy),
                steps: greedy.len(),
            }
        };
        let points = if stopped.is_some() {
            Vec::new()
        } else {
            frontier(self.left, self.choices, self.before, self.ask, self.running)?
        };
        Ok(Plan {
            allocation: self.left.posterior.allocation.clone(),
            ask: self.ask.clone(),
            minutes,
            money: self
                .choices
                .money_per_minute
                .map(|_| self.choices.money(picked)),
            before_m3_s: self.left.band(self.before),
            after_m3_s: self.left.band(&made.after),
            cut_m3_s,
            target_chance: self
                .ask
                .target_m3_s
                .map(|target| self.met(&made.after, target)),
            out_of_reach,
            margin_m3_s: made.margin,
            margin_steps: made.moves,
            gap: made.found.gap,
            proved: made.found.proved,
            greedy: rival,
            frontier: points,
            steps: told.steps,
            hidden: told.hidden,
            left: told.left,
            look_first: told.look_first,
            materials: told.materials,
            cure_h: told.cure_h,
            worth_m3_s_min: told.worth_m3_s_min,
            unsettled: self.solver.unsettled(),
            stopped,
            halted: None,
            draws: self.left.count(),
        })
    }
}
