//! Which hypotheses are drawn from: wrong set-ups, open seams, and how likely each looks before any draw.
//!
//! Every set of wrong set-ups (for few readings, else all of at most two and the best of more) with nothing open; every seam that can hang open,
//! alone and with one wrong set-up; pairs of open seams among the ten that explain the evidence best, and every other pair
//! as one open seam with a second, not looked at, that is drawn by its prior chance. Each gets a
//! Gaussian estimate of its evidence from a cheap model of the readings round its own best point; draws are then shared
//! out by these estimates, and the weights put right what the estimates got wrong.

use std::borrow::Cow;

use super::best_point::{BestPoint, Search, best_point};
use super::case::{Case, Open};
use super::draws::map_in_order;
use super::problem::{Problem, Rows, wrong_sets};
use super::proposal::Proposal;
use super::readout::{Disturbance, Readout};
use super::surrogate::Surrogate;
use super::tilt::Tilt;
use super::weights;
use crate::math::ln;

/// Part of the proposal q(b) that follows the square root of the estimated chances, so that no hypothesis starves.
const TEMPERED: f64 = 0.1;
/// Hypotheses this much less likely (ln) than the likeliest are left out.
pub(crate) const HOPELESS: f64 = 25.0;
/// Draws of a first run from which on its weights say how likely a hypothesis is.
const ENOUGH_TO_TELL: usize = 4;
/// Part of the draws that stays with the first estimates.
const KEPT: f64 = 0.2;
/// Sets of wrong set-ups of each size that are widened by one more.
const WIDENED: usize = 3;
/// Hypotheses within this (ln) of the likeliest get an anchor of their own.
const WORTH_AN_ANCHOR: f64 = 6.0;
/// Pairs that are not listed are left out when they are less likely than this together.
const LEAST_UNLISTED: f64 = 0.02;
/// Seams of which pairs are looked at.
const PAIRED: usize = 10;

/// A point round which the readings are known: its cheap model, bent prior and best point.
pub(crate) struct Anchor {
    pub surrogate: Surrogate,
    /// Which of [`Hypotheses::tilts`].
    pub tilt: usize,
    pub best: BestPoint,
    /// What it was made for.
    pub open: Open,
    pub wrong: u64,
}

/// A hypothesis with its anchor.
pub(crate) struct Weighed {
    pub case: Case,
    pub anchor: usize,
    pub evidence: f64,
    pub best: Option<BestPoint>,
    pub partners: Vec<(usize, f64)>,
}

/// All hypotheses that draws are made from.
pub(crate) struct Hypotheses {
    pub tilts: Vec<Tilt>,
    pub anchors: Vec<Anchor>,
    /// What is drawn from, in the order of their parts of the draws.
    pub drawn: Vec<Drawn>,
}

/// A hypothesis with its part of the draws.
pub(crate) struct Drawn {
    pub proposal: Proposal,
    pub anchor: usize,
    /// Upper end of its part, rising to 1.
    pub end: f64,
    /// Where a second open seam is drawn for each draw: the seams it may be, with their odds summed up.
    pub partners: Vec<(usize, f64)>,
}

impl Drawn {
    /// The proposal of one draw; `at`, 0 to 1, picks the second open seam where there is one to pick.
    pub(crate) fn of_draw<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        at: f64,
    ) -> Cow<'_, Proposal> {
        let Some((_, sum)) = self.partners.last() else {
            return Cow::Borrowed(&self.proposal);
        };
        let wanted = at * sum;
        let picked = self
            .partners
            .partition_point(|(_, reached)| *reached <= wanted)
            .min(self.partners.len() - 1);
        let second = self.partners[picked].0;
        let mut proposal = self.proposal.clone();
        let single = proposal.case;
        for first in single.open.seams() {
            proposal.case.open = Open::two(first, second);
        }
        // p({a, b}) over q·odds_b/Σ odds.
        proposal.ln_factor +=
            problem.ln_chance(proposal.case) - problem.ln_chance(single) - problem.ln_odds(second)
                + ln(*sum);
        Cow::Owned(proposal)
    }
}

impl Hypotheses {
    /// Prepares everything round the best point of the case that nothing is wrong and nothing open.
    pub(crate) fn new<R: Readout>(
        problem: &Problem<'_, R>,
        main: &BestPoint,
        main_tilt: &Tilt,
    ) -> Self {
        let mut found = Hypotheses {
            tilts: vec![main_tilt.clone()],
            anchors: Vec::new(),
            drawn: Vec::new(),
        };
        let k = problem.readings.len();
        let sets = wrong_sets(k, problem.error_law.wide_chance);
        let own: Vec<u64> = if k <= super::problem::ALL_SETS_UP_TO {
            sets.clone()
        } else {
            sets.iter()
                .copied()
                .filter(|s| s.count_ones() <= 1)
                .collect()
        };
        found.anchors = map_in_order(own.len(), |i| {
            let case = Case {
                wrong: own[i],
                open: Open::default(),
            };
            let mut work = problem.readout.work();
            let best = if case.wrong == 0 {
                best_point(
                    problem,
                    case,
                    main_tilt,
                    &main.xi,
                    Search {
                        most_steps: 1,
                        ..Search::NEAR
                    },
                    &mut work,
                )
            } else {
                best_point(problem, case, main_tilt, &main.xi, Search::NEAR, &mut work)
            };
            anchor_at(problem, case, main_tilt, 0, best, &mut work)
        });
        let mut x = main.xi.clone();
        main_tilt.apply(&mut x);
        let mut work = problem.readout.work();
        if let Some((first, others)) = found.anchors.split_first_mut() {
            first
                .surrogate
                .add_disturbances(problem, &x, Case::default(), &mut work);
            for other in others {
                other.surrogate.take_disturbances(&first.surrogate);
            }
        }
        let mut weighed: Vec<Weighed> = sets
            .iter()
            .map(|&wrong| {
                let case = Case {
                    wrong,
                    open: Open::default(),
                };
                let nearest = (0..own.len())
                    .filter(|&a| own[a] & !wrong == 0)
                    .max_by_key(|&a| (own[a].count_ones(), std::cmp::Reverse(a)))
                    .unwrap_or(0);
                found.weigh(problem, case, nearest)
            })
            .collect();
        found.add_many_wrong(problem, &mut weighed);
        let mut singles = found.open_seams(problem);
        let best_singles: Vec<usize> = {
            singles.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            singles.iter().take(PAIRED).map(|s| s.0).collect()
        };
        let mut opens: Vec<Open> = singles.iter().map(|s| Open::one(s.0)).collect();
        for (i, &a) in best_singles.iter().enumerate() {
            opens.extend(best_singles[..i].iter().map(|&b| Open::two(a, b)));
        }
        let from = found.anchors.len();
        let made = found.open_anchors(problem, &opens);
        found.anchors.extend(made);
        let list: Vec<(Case, usize)> = (from..found.anchors.len())
            .flat_map(|a| {
                let open = found.anchors[a].open;
                sets.iter()
                    .filter(|s| s.count_ones() <= 1)
                    .map(move |&wrong| (Case { wrong, open }, a))
            })
            .collect();
        weighed.extend(map_in_order(list.len(), |i| {
            found.weigh(problem, list[i].0, list[i].1)
        }));
        found.refine(problem, &mut weighed);
        weighed.extend(found.second_by_chance(problem, &singles, best_singles.len(), from));
        found.share_out(problem, weighed);
        found
    }

    /// Gives likely hypotheses that lean on another one's anchor an anchor of their own.
    fn refine<R: Readout>(&mut self, problem: &Problem<'_, R>, weighed: &mut [Weighed]) {
        let top = weighed
            .iter()
            .map(|w| w.evidence)
            .fold(f64::NEG_INFINITY, f64::max);
        let likely: Vec<usize> = (0..weighed.len())
            .filter(|&i| weighed[i].evidence > top - WORTH_AN_ANCHOR && weighed[i].best.is_some())
            .collect();
        let made = map_in_order(likely.len(), |at| {
            let w = &weighed[likely[at]];
            let tilt = self.anchors[w.anchor].tilt;
            let mut work = problem.readout.work();
            let start = w.best.as_ref().map(|best| best.xi.clone())?;
            let once = self.improve(problem, w.case, tilt, start, &mut work);
            let xi = once.best.xi.clone();
            Some(self.improve(problem, w.case, tilt, xi, &mut work))
        });
        for (at, anchor) in likely.into_iter().zip(made) {
            if let Some(anchor) = anchor {
                self.anchors.push(anchor);
                weighed[at] = self.weigh(problem, weighed[at].case, self.anchors.len() - 1);
            }
        }
    }

    /// Looks for more than two wrong set-ups at once, where readings contradict one another that much: the best sets of
    /// each size are widened by one reading more, as long as that helps.
    fn add_many_wrong<R: Readout>(&mut self, problem: &Problem<'_, R>, weighed: &mut Vec<Weighed>) {
        let k = problem.readings.len();
        if k <= super::problem::ALL_SETS_UP_TO || !(problem.error_law.wide_chance > 0.0) {
            return;
        }
        let best_of = |list: &[Weighed], size: u32| -> Vec<u64> {
            let mut of_size: Vec<(f64, u64)> = list
                .iter()
                .filter(|w| w.case.wrong.count_ones() == size)
                .map(|w| (w.evidence, w.case.wrong))
                .collect();
            of_size.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            of_size.into_iter().take(WIDENED).map(|s| s.1).collect()
        };
        let top = |list: &[Weighed]| {
            list.iter()
                .map(|w| w.evidence)
                .fold(f64::NEG_INFINITY, f64::max)
        };
        for size in 2..k as u32 {
            let from = best_of(weighed, size);
            let Some(first) = from.first() else { break };
            let best_here = weighed
                .iter()
                .find(|w| w.case.wrong == *first)
                .map_or(f64::NEG_INFINITY, |w| w.evidence);
            if best_here < top(weighed) - HOPELESS {
                break;
            }
            // The best set of this size gets an anchor of its own: the others may be far away.
            let case = Case {
                wrong: *first,
                open: Open::default(),
            };
            let start = self.anchors[0].best.xi.clone();
            let mut work = problem.readout.work();
            let best = best_point(
                problem,
                case,
                &self.tilts[0],
                &start,
                Search::NEAR,
                &mut work,
            );
            let tilt = self.tilts[0].clone();
            let mut anchor = anchor_at(problem, case, &tilt, 0, best, &mut work);
            anchor
                .surrogate
                .take_disturbances(&self.anchors[0].surrogate);
            self.anchors.push(anchor);
            let at = self.anchors.len() - 1;
            let again = self.weigh(problem, case, at);
            if let Some(old) = weighed.iter_mut().find(|w| w.case.wrong == *first) {
                *old = again;
            }
            let mut wider: Vec<u64> = from
                .iter()
                .flat_map(|set| {
                    (0..k)
                        .filter(move |b| set >> b & 1 == 0)
                        .map(move |b| set | 1 << b)
                })
                .collect();
            wider.sort_unstable();
            wider.dedup();
            wider.retain(|set| weighed.iter().all(|w| w.case.wrong != *set));
            let more = map_in_order(wider.len(), |i| {
                let case = Case {
                    wrong: wider[i],
                    open: Open::default(),
                };
                self.weigh(problem, case, at)
            });
            weighed.extend(more);
        }
    }

    /// Shares the draws out anew by what a first run found: a hypothesis that was drawn often enough gets the part of the
    /// weights that fell to it, the others keep theirs, and all keep a little of what they had.
    pub(crate) fn share_out_by(&mut self, found: &[(usize, f64)]) {
        let n = self.drawn.len();
        let (mut sums, mut counts) = (vec![0.0; n], vec![0usize; n]);
        for (hypothesis, weight) in found {
            sums[*hypothesis] += weight;
            counts[*hypothesis] += 1;
        }
        let whole: f64 = sums.iter().sum();
        if !(whole > 0.0) {
            return;
        }
        let mut before = 0.0;
        let old: Vec<f64> = self
            .drawn
            .iter()
            .map(|d| {
                let part = d.end - before;
                before = d.end;
                part
            })
            .collect();
        let wanted: Vec<f64> = (0..n)
            .map(|b| {
                if counts[b] >= ENOUGH_TO_TELL {
                    sums[b] / whole
                } else {
                    old[b]
                }
            })
            .collect();
        let sum: f64 = wanted.iter().sum();
        let mut reached = 0.0;
        for (b, drawn) in self.drawn.iter_mut().enumerate() {
            let q = (1.0 - KEPT) * wanted[b] / sum + KEPT * old[b];
            drawn.proposal.ln_factor += ln(old[b]) - ln(q);
            reached += q;
            drawn.end = if b + 1 == n { 1.0 } else { reached };
        }
    }

    /// Estimates a hypothesis from an anchor's cheap model.
    pub(super) fn weigh<R: Readout>(
        &self,
        problem: &Problem<'_, R>,
        case: Case,
        anchor: usize,
    ) -> Weighed {
        let at = &self.anchors[anchor];
        let best = ((at.wrong, at.open) != (case.wrong, case.open)).then(|| {
            let on_cheap = problem.on(&at.surrogate);
            best_point(
                &on_cheap,
                case,
                &self.tilts[at.tilt],
                &at.best.xi,
                Search::NEAR,
                &mut on_cheap.readout.work(),
            )
        });
        let tilt = &self.tilts[at.tilt];
        let point = best.as_ref().unwrap_or(&at.best);
        let mut x = point.xi.clone();
        tilt.apply(&mut x);
        let seen = tilt.ln_beyond(&problem.looks.looks, &x);
        Weighed {
            case,
            anchor,
            evidence: evidence(problem, case, point) + seen,
            best,
            partners: Vec::new(),
        }
    }

    /// Gives each hypothesis its part of the draws and puts −ln q(b) into its factor.
    fn share_out<R: Readout>(&mut self, problem: &Problem<'_, R>, mut weighed: Vec<Weighed>) {
        let top = weighed
            .iter()
            .map(|w| w.evidence)
            .fold(f64::NEG_INFINITY, f64::max);
        if top.is_finite() {
            weighed.retain(|w| w.evidence > top - HOPELESS);
        } else {
            // Nothing could be judged: the plainest hypothesis stays, and its draws will show what is wrong.
            weighed.truncate(1);
            weighed.iter_mut().for_each(|w| w.evidence = 0.0);
        }
        // Pairs that are not listed are known by chance alone; where they are next to nothing, their few draws would only
        // carry great weights.
        let likely: Vec<f64> = weighed.iter().map(|w| w.evidence).collect();
        let likely = weights::from_logarithms(&likely);
        let unlisted: f64 = weighed
            .iter()
            .zip(&likely)
            .filter(|(w, _)| !w.partners.is_empty())
            .map(|(_, l)| l)
            .sum();
        if unlisted < LEAST_UNLISTED * likely.iter().sum::<f64>() {
            weighed.retain(|w| w.partners.is_empty());
        }
        let part = |scale: f64| {
            let raised: Vec<f64> = weighed.iter().map(|w| scale * w.evidence).collect();
            let parts = weights::from_logarithms(&raised);
            let sum: f64 = parts.iter().sum();
            parts
                .into_iter()
                .map(move |p| if sum > 0.0 { p / sum } else { 1.0 })
                .collect::<Vec<f64>>()
        };
        let (plain, tempered) = (part(1.0), part(0.5));
        let mut reached = 0.0;
        let last = weighed.len().saturating_sub(1);
        for (b, w) in weighed.into_iter().enumerate() {
            let q = (1.0 - TEMPERED) * plain[b] + TEMPERED * tempered[b];
            reached = if b == last { 1.0 } else { reached + q };
            let anchor = &self.anchors[w.anchor];
            let best = w.best.as_ref().unwrap_or(&anchor.best);
            let mut proposal = Proposal::around(
                w.case,
                &self.tilts[anchor.tilt],
                &best.xi,
                &best.rows.r,
                &best.slopes,
            );
            proposal.ln_factor = problem.ln_chance(w.case) - ln(q);
            self.drawn.push(Drawn {
                proposal,
                anchor: w.anchor,
                end: reached,
                partners: w.partners,
            });
        }
    }
}

/// Gaussian estimate of ln(chance × evidence), without what looks say beyond their sites.
pub(crate) fn evidence<R: Readout>(problem: &Problem<'_, R>, case: Case, best: &BestPoint) -> f64 {
    let value = problem.ln_chance(case) + problem.ln_left_out(case.wrong, &best.rows)
        - best.objective
        - best.half_ln_det;
    if value.is_nan() {
        f64::NEG_INFINITY
    } else {
        value
    }
}

fn anchor_at<R: Readout>(
    problem: &Problem<'_, R>,
    case: Case,
    tilt: &Tilt,
    tilt_at: usize,
    best: BestPoint,
    work: &mut R::Work,
) -> Anchor {
    let mut rows = Rows::new(problem.prior, problem.readings.len());
    let mut x = best.xi.clone();
    tilt.apply(&mut x);
    let none = vec![Disturbance::default(); problem.readings.len()];
    problem.values(&x, case, &none, &mut rows, work);
    Anchor {
        surrogate: Surrogate::at(problem, &mut rows, work),
        tilt: tilt_at,
        best,
        open: case.open,
        wrong: case.wrong,
    }
}
