//! Hypotheses of open seams: their anchors, and the pairs that are not listed.

use super::best_point::{Search, best_point};
use super::case::{Case, Open};
use super::draws::map_in_order;
use super::hypotheses::{Anchor, HOPELESS, Hypotheses, Weighed, evidence};
use super::problem::{Problem, Rows};
use super::readout::{Disturbance, Readout};
use super::settle::tilt_without;
use super::surrogate::Surrogate;
use crate::math::{exp, ln};

/// Hypotheses this much less likely (ln) than the likeliest are not refined.
const WORTH_REFINING: f64 = 9.0;

/// The larger of two that may be no number.
fn larger(a: f64, b: f64) -> f64 {
    if b > a || a.is_nan() { b } else { a }
}

impl Hypotheses {
    /// Seams that can hang open, with a first guess of how well each explains the evidence.
    pub(super) fn open_seams<R: Readout>(&self, problem: &Problem<'_, R>) -> Vec<(usize, f64)> {
        let main = &self.anchors[0];
        let seams: Vec<usize> = (0..problem.prior.n_seams())
            .filter(|&i| {
                problem
                    .prior
                    .open_law(i)
                    .is_some_and(|law| law.chance > 0.0)
            })
            .collect();
        let looked = |i: usize| -> f64 {
            // What the looks at this seam say of it when it is open, each over the spread of its own u.
            problem
                .looks
                .looks
                .iter()
                .filter(|l| l.seam == i)
                .map(|l| {
                    let (u, slopes) = l.form(problem.prior, Open::one(i));
                    let variance = slopes.iter().map(|(_, s)| s * s).sum();
                    l.moments(u, variance).0
                })
                .sum()
        };
        let guess = map_in_order(seams.len(), |at| {
            let i = seams[at];
            let case = Case {
                wrong: 0,
                open: Open::one(i),
            };
            let seen = looked(i);
            if seen < -HOPELESS {
                return f64::NEG_INFINITY;
            }
            let on_cheap = problem.on(&main.surrogate);
            let from = |start: &[f64]| {
                let best = best_point(
                    &on_cheap,
                    case,
                    &self.tilts[0],
                    start,
                    Search::NEAR,
                    &mut on_cheap.readout.work(),
                );
                evidence(problem, case, &best)
            };
            // With nothing open the main point may have stretched this very seam, or all, to reach a reading: then an
            // opening is to be sought from the prior's middle too.
            let middle = vec![0.0; main.best.xi.len()];
            larger(from(&main.best.xi), from(&middle)) + seen
        });
        seams
            .into_iter()
            .zip(guess)
            .filter(|(_, g)| *g > f64::NEG_INFINITY)
            .collect()
    }

    /// Anchors of open seams: solved at the best guess of the cheap model, and once more where that is worth it.
    pub(super) fn open_anchors<R: Readout>(
        &mut self,
        problem: &Problem<'_, R>,
        opens: &[Open],
    ) -> Vec<Anchor> {
        let looked: Vec<bool> = opens
            .iter()
            .map(|open| problem.looks.looks.iter().any(|l| open.has(l.seam)))
            .collect();
        let dim = problem.prior.dim();
        let own_tilts = map_in_order(opens.len(), |i| {
            looked[i]
                .then(|| tilt_without(problem, &self.tilts[0].sites, opens[i], dim))
                .flatten()
        });
        let tilt_of: Vec<usize> = own_tilts
            .into_iter()
            .map(|tilt| match tilt {
                Some(tilt) => {
                    self.tilts.push(tilt);
                    self.tilts.len() - 1
                }
                None => 0,
            })
            .collect();
        let first = &self.anchors[0];
        let rough = map_in_order(opens.len(), |i| {
            let case = Case {
                wrong: 0,
                open: opens[i],
            };
            let tilt = &self.tilts[tilt_of[i]];
            let start = if tilt_of[i] == 0 {
                first.best.xi.clone()
            } else {
                let mut x = first.best.xi.clone();
                self.tilts[0].apply(&mut x);
                tilt.undo(&x)
            };
            let mut work = problem.readout.work();
            let near = self.improve(problem, case, tilt_of[i], start, &mut work);
            let middle = vec![0.0; dim];
            let mut work = problem.readout.work();
            let other = self.improve(problem, case, tilt_of[i], middle, &mut work);
            let of = |anchor: &Anchor| evidence(problem, case, &anchor.best);
            if of(&other) > of(&near) || of(&near).is_nan() {
                other
            } else {
                near
            }
        });
        let top = rough
            .iter()
            .map(|a| {
                evidence(
                    problem,
                    Case {
                        wrong: 0,
                        open: a.open,
                    },
                    &a.best,
                )
            })
            .fold(f64::NEG_INFINITY, f64::max);
        let again: Vec<Anchor> = map_in_order(rough.len(), |i| {
            let anchor = &rough[i];
            let case = Case {
                wrong: 0,
                open: anchor.open,
            };
            let worth = evidence(problem, case, &anchor.best) > top - WORTH_REFINING;
            worth.then(|| {
                let mut work = problem.readout.work();
                self.improve(
                    problem,
                    case,
                    anchor.tilt,
                    anchor.best.xi.clone(),
                    &mut work,
                )
            })
        })
        .into_iter()
        .zip(rough)
        .map(|(better, rough)| better.unwrap_or(rough))
        .collect();
        again
    }

    /// Solves the readings at ξ, makes a cheap model there, and finds its best point.
    pub(super) fn improve<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        case: Case,
        tilt_at: usize,
        xi: Vec<f64>,
        work: &mut R::Work,
    ) -> Anchor {
        let tilt = &self.tilts[tilt_at];
        let mut rows = Rows::new(problem.prior, problem.readings.len());
        let mut x = xi.clone();
        tilt.apply(&mut x);
        let none = vec![Disturbance::default(); problem.readings.len()];
        let solved = problem.values(&x, case, &none, &mut rows, work);
        let mut surrogate = if solved {
            Surrogate::at(problem, &mut rows, work)
        } else {
            self.anchors[0].surrogate.clone()
        };
        surrogate.take_disturbances(&self.anchors[0].surrogate);
        let best = {
            let on_cheap = problem.on(&surrogate);
            best_point(
                &on_cheap,
                case,
                tilt,
                &xi,
                Search::NEAR,
                &mut on_cheap.readout.work(),
            )
        };
        Anchor {
            surrogate,
            tilt: tilt_at,
            best,
            open: case.open,
            wrong: case.wrong,
        }
    }

    /// All pairs that are not listed: each open seam with a second one that comes after it in the order of the singles.
    /// The evidence is estimated from the likeliest second one.
    pub(super) fn second_by_chance<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        singles: &[(usize, f64)],
        listed: usize,
        anchors_from: usize,
    ) -> Vec<Weighed> {
        let looked = |i: usize| problem.looks.looks.iter().any(|l| l.seam == i);
        let made = map_in_order(singles.len(), |a| {
            // Two of the listed are a hypothesis of their own; a look would want a bent prior of its own.
            let mut partners: Vec<(usize, f64)> = Vec::new();
            let mut sum = 0.0;
            let mut likeliest = (0, 0.0);
            for (b, &(seam, _)) in singles.iter().enumerate().skip(a + 1) {
                if (a < listed && b < listed) || looked(seam) {
                    continue;
                }
                let odds = exp(problem.ln_odds(seam));
                sum += odds;
                partners.push((seam, sum));
                if odds > likeliest.1 {
                    likeliest = (seam, odds);
                }
            }
            if partners.is_empty() {
                return None;
            }
            let (one, two) = (singles[a].0, likeliest.0);
            let pair = Case {
                wrong: 0,
                open: Open::two(one, two),
            };
            let with = self.weigh(problem, pair, anchors_from + a);
            Some(Weighed {
                case: Case {
                    wrong: 0,
                    open: Open::one(one),
                },
                evidence: with.evidence - ln(likeliest.1) + ln(sum),
                partners,
                ..with
            })
        });
        made.into_iter().flatten().collect()
    }
}
