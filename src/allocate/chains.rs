//! Chains for rich evidence, where few weighted draws carry all the weight: gradient moves on the cheap model and jumps
//! between hypotheses, each corrected by the flow solver.
//!
//! # Target
//! That of [`super::rto`], in the whitened coordinates ξ of a hypothesis' bent prior and standardised disturbances ε:
//! ```text
//! ln π = ln p(b) − ½|ξ|² − ½|ε|² − ½Σ rₖ² + Σ ln gₖ + ln φ/site
//! ```
//! # Gradient moves
//! With y = (I + V·S²·Vᵀ)^½·(ξ − ξ*) the posterior is nearly N(0, I) where readings are nearly linear: the metric is
//! I + JᵀJ at the best point. A trajectory turns (y, momentum) exactly and kicks by what the cheap model's potential
//! has beyond ½|y|²; it is accepted on the cheap model first, and only then is the true one solved, with the second
//! acceptance
//! ```text
//! min(1, exp[(ln π(ξ') + U(ξ')) − (ln π(ξ) + U(ξ))])
//! ```
//! U being the cheap potential. Both together leave π as it is (delayed acceptance: "Markov chain Monte Carlo using an
//! approximation", Journal of Computational and Graphical Statistics 14, 2005; turning instead of drifting: "Split
//! Hamiltonian Monte Carlo", Statistics and Computing 24, 2014; from memory).
//!
//! # Jumps
//! Every few moves a draw of the weighted sampler, hypothesis and all, is offered with the chance min(1, w'/w): an
//! independence step, whose weights are those of [`super::rto`]. Pairs of open seams that are not listed as hypotheses of
//! their own are left out here.

use rand::RngExt;
use rand_pcg::Pcg64;

use super::best_point::{add_scaled, dot};
use super::case::is_wrong;
use super::convergence::{Trace, converged};
use super::draws::map_in_order;
use super::problem::{Problem, Rows};
use super::readout::{Disturbance, Readout};
use super::record::{self, Layout, Recorded};
use super::rto::{Draw, Sampler};
use super::scratch::{Purpose, Scratch, stream};
use super::surrogate::SurrogateWork;
use crate::math::{StandardNormal, exp, ln, sin_cos};

/// Chains; a fixed number, so that the answer does not hang on threads.
const CHAINS: usize = 8;
/// How the length of trajectories is set before anything is kept: longer after each one that the true model lets pass,
/// shorter after each that it does not, to about six in ten.
const LONGER: f64 = 1.04;
const SHORTER: f64 = 0.94;
const SHORTEST: f64 = 0.01;
/// Most tries for a hypothesis that is listed in full.
const MOST_PICKS: usize = 1000;
/// Moves before anything is kept.
const BURN_IN: usize = 200;
/// Moves between jumps.
const JUMP_EVERY: usize = 3;
/// Steps of one trajectory, and the angle of each in radians before jitter: a quarter turn in all.
const STEPS: usize = 5;
const ANGLE: f64 = 0.32;
/// Moves for one kept draw, tried in order until the chains agree.
const THINNING: [usize; 2] = [2, 6];

/// What the chains gave.
pub(crate) struct Chained {
    pub recorded: Recorded,
    pub r_hat: f64,
    pub effective: f64,
}

/// Runs chains until they agree, or as long as allowed.
pub(crate) fn run<R: Readout>(
    sampler: &Sampler,
    problem: &Problem<'_, R>,
    layout: Layout,
    draws: usize,
    seed: u64,
) -> Chained {
    let kept = draws.div_ceil(CHAINS);
    let mut last = None;
    for thin in THINNING {
        let chains = map_in_order(CHAINS, |c| {
            Chain::start(sampler, problem, layout, seed, c).map(|chain| chain.run(kept, thin))
        });
        let chains: Vec<Kept> = chains.into_iter().flatten().collect();
        let traces: Vec<Vec<Trace>> = chains.iter().map(|c| c.traces.clone()).collect();
        let (r_hat, effective) = converged(&traces);
        let enough =
            r_hat < super::doubt::WIDEST_R_HAT && effective >= super::doubt::LEAST_EFFECTIVE;
        last = Some((chains, r_hat, effective));
        if enough {
            break;
        }
    }
    let (chains, r_hat, effective) = last.unwrap_or((Vec::new(), f64::NAN, 0.0));
    let mut outcomes = Vec::with_capacity(draws);
    let mut records = Vec::with_capacity(draws * layout.len());
    // Turn and turn about, so that any first part of the draws holds all chains.
    'all: for i in 0..kept {
        for chain in &chains {
            if outcomes.len() == draws {
                break 'all;
            }
            outcomes.push(chain.draws[i]);
            records.extend_from_slice(&chain.records[i * layout.len()..(i + 1) * layout.len()]);
        }
    }
    Chained {
        recorded: Recorded::new(layout, outcomes, records),
        r_hat,
        effective,
    }
}

/// What one chain kept.
struct Kept {
    draws: Vec<Draw>,
    records: Vec<f64>,
    traces: Vec<Trace>,
}

/// Where a chain stands.
#[derive(Clone)]
struct Point {
    hypothesis: usize,
    xi: Vec<f64>,
    /// Standardised disturbances: house and tap of each reading.
    eps: Vec<f64>,
    /// ln π with the true model.
    ln_target: f64,
}

struct Chain<'a, 'p, R: Readout> {
    sampler: &'a Sampler,
    problem: &'a Problem<'p, R>,
    layout: Layout,
    random: Pcg64,
    scratch: Scratch,
    work: R::Work,
    cheap: SurrogateWork,
    cheap_rows: Rows,
    at: Point,
    /// Part of the full angle of a trajectory; fixed once draws are kept.
    reach: f64,
    is_settling: bool,
}

impl<'a, 'p, R: Readout> Chain<'a, 'p, R> {
    /// Even chains start at draws of the weighted sampler, odd ones far out, at draws of the prior as the looks bent it.
    fn start(
        sampler: &'a Sampler,
        problem: &'a Problem<'p, R>,
        layout: Layout,
        seed: u64,
        number: usize,
    ) -> Option<Self> {
        let (k, dim) = (problem.readings.len(), problem.prior.dim());
        let mut chain = Chain {
            sampler,
            problem,
            layout,
            random: stream(seed, Purpose::Chain, number),
            scratch: Scratch::new(problem),
            work: problem.readout.work(),
            cheap: SurrogateWork::new(k),
            cheap_rows: Rows::new(problem.prior, k),
            at: Point {
                hypothesis: 0,
                xi: vec![0.0; dim],
                eps: vec![0.0; 2 * k],
                ln_target: f64::NEG_INFINITY,
            },
            reach: 1.0,
            is_settling: true,
        };
        for _ in 0..50 {
            let found = if number.is_multiple_of(2) {
                chain.offer().map(|(point, _)| point)
            } else {
                let mut point = chain.at.clone();
                point.hypothesis = chain.closed_hypothesis();
                for x in point.xi.iter_mut().chain(&mut point.eps) {
                    *x = chain.random.sample(StandardNormal);
                }
                chain
                    .ln_target(&point)
                    .map(|ln_target| Point { ln_target, ..point })
            };
            if let Some(found) = found {
                chain.at = found;
                return Some(chain);
            }
        }
        None
    }

    fn run(mut self, kept: usize, thin: usize) -> Kept {
        let mut found = Kept {
            draws: Vec::with_capacity(kept),
            records: Vec::with_capacity(kept * self.layout.len()),
            traces: Vec::with_capacity(kept),
        };
        let mut row = vec![0.0; self.layout.len()];
        let mut moves = 0;
        let mut tick = |chain: &mut Self| {
            chain.gradient_move();
            moves += 1;
            if moves % JUMP_EVERY == 0 {
                chain.jump();
            }
        };
        for _ in 0..BURN_IN {
            tick(&mut self);
        }
        self.is_settling = false;
        for _ in 0..kept {
            for _ in 0..thin {
                tick(&mut self);
            }
            row.fill(0.0);
            let fine = self.stand_at_point()
                && record::fill(
                    self.problem,
                    self.layout,
                    &self.scratch,
                    &mut self.work,
                    &mut row,
                );
            found.draws.push(Draw {
                ln_weight: if fine { 0.0 } else { f64::NEG_INFINITY },
                case: self.case(),
                steps: 0,
                solved: fine,
            });
            found
                .traces
                .push(Trace::of(&row, self.layout, self.at.ln_target));
            found.records.extend_from_slice(&row);
        }
        found
    }

    /// A hypothesis by its part of the draws, those left out that draw a second open seam anew: the chains' target holds
    /// the listed pairs alone.
    fn closed_hypothesis(&mut self) -> usize {
        for _ in 0..MOST_PICKS {
            let found = self.sampler.at_part(self.random.random());
            if !self.sampler.is_open_ended(found) {
                return found;
            }
        }
        // The first is that nothing is wrong and nothing open, or the likeliest beside it.
        0
    }

    fn case(&self) -> super::case::Case {
        self.sampler.of(self.at.hypothesis).0.case
    }

    /// Sets scratch to the point and solves the true model there.
    fn stand_at_point(&mut self) -> bool {
        let point = self.at.clone();
        self.ln_target(&point).is_some()
    }

    fn set_disturbances(&mut self, eps: &[f64]) {
        for (k, (d, sd)) in self
            .scratch
            .disturbances
            .iter_mut()
            .zip(self.problem.disturbance_sd)
            .enumerate()
        {
            *d = Disturbance {
                house_pa: sd.house_pa * eps[2 * k],
                tap_pa: sd.tap_pa * eps[2 * k + 1],
            };
        }
    }

    /// ln π with the true model; leaves scratch and work there.
    fn ln_target(&mut self, point: &Point) -> Option<f64> {
        let (proposal, guide) = self.sampler.of(point.hypothesis);
        self.set_disturbances(&point.eps);
        let Scratch {
            xi,
            x,
            rows,
            disturbances,
            case,
            ..
        } = &mut self.scratch;
        *case = proposal.case;
        xi.copy_from_slice(&point.xi);
        x.copy_from_slice(&point.xi);
        guide.tilt.apply(x);
        if !self
            .problem
            .values(x, proposal.case, disturbances, rows, &mut self.work)
        {
            return None;
        }
        let value = self.problem.ln_chance(proposal.case)
            + self.problem.ln_left_out(proposal.case.wrong, rows)
            + guide.tilt.ln_beyond(&self.problem.looks.looks, x)
            - 0.5 * (dot(xi, xi) + dot(&point.eps, &point.eps) + dot(&rows.r, &rows.r));
        value.is_finite().then_some(value)
    }

    /// A draw of the weighted sampler and its ln weight; leaves scratch and work there.
    fn offer(&mut self) -> Option<(Point, f64)> {
        let hypothesis = self.closed_hypothesis();
        let k = self.problem.readings.len();
        let eps: Vec<f64> = (0..2 * k)
            .map(|_| self.random.sample(StandardNormal))
            .collect();
        self.set_disturbances(&eps);
        for x in &mut self.scratch.xi {
            *x = self.random.sample(StandardNormal);
        }
        let (proposal, guide) = self.sampler.of(hypothesis);
        self.scratch.case = proposal.case;
        let (solved, _, ln_weight) = proposal.solve(
            self.problem,
            &guide,
            &mut self.scratch,
            &mut self.work,
            &mut self.cheap,
        );
        if !solved {
            return None;
        }
        let mut point = Point {
            hypothesis,
            xi: self.scratch.xi.clone(),
            eps,
            ln_target: 0.0,
        };
        point.ln_target = self.ln_target(&point)?;
        Some((point, ln_weight))
    }

    /// One independence step over hypotheses and all.
    fn jump(&mut self) {
        let here = self.at.clone();
        if self.ln_target(&here).is_none() {
            return;
        }
        let (proposal, guide) = self.sampler.of(here.hypothesis);
        let Some(ln_weight) =
            proposal.weigh(self.problem, guide.tilt, &mut self.scratch, &mut self.work)
        else {
            // A point where the map folds is never offered: stay, so that balance holds.
            return;
        };
        let accept: f64 = self.random.random();
        if let Some((point, offered)) = self.offer()
            && ln(accept) < offered - ln_weight
        {
            self.at = point;
        }
    }

    /// One trajectory on the cheap model, corrected by the true one.
    fn gradient_move(&mut self) {
        let dim = self.at.xi.len();
        let n = dim + self.at.eps.len();
        let (proposal, _) = self.sampler.of(self.at.hypothesis);
        let mut y = vec![0.0; n];
        for ((y, xi), best) in y.iter_mut().zip(&self.at.xi).zip(&proposal.xi_best) {
            *y = xi - best;
        }
        proposal.stretch(&mut y[..dim]);
        y[dim..].copy_from_slice(&self.at.eps);
        let mut momentum: Vec<f64> = (0..n).map(|_| self.random.sample(StandardNormal)).collect();
        let jitter: f64 = self.random.random();
        let angle = self.reach * ANGLE * (0.7 + 0.6 * jitter);
        let (accept_first, accept_second): (f64, f64) =
            (self.random.random(), self.random.random());
        let mut beyond = vec![0.0; n];
        let Some(u_here) = self.cheap_potential(&y, &mut beyond) else {
            return;
        };
        let begin = u_here + 0.5 * dot(&momentum, &momentum);
        let mut u_there = u_here;
        for _ in 0..STEPS {
            add_scaled(&mut momentum, -0.5 * angle, &beyond);
            let (sin, cos) = sin_cos(angle);
            for (y, p) in y.iter_mut().zip(&mut momentum) {
                (*y, *p) = (cos * *y + sin * *p, cos * *p - sin * *y);
            }
            let Some(u) = self.cheap_potential(&y, &mut beyond) else {
                return;
            };
            u_there = u;
            add_scaled(&mut momentum, -0.5 * angle, &beyond);
        }
        let end = u_there + 0.5 * dot(&momentum, &momentum);
        // Written so that NaN is refused.
        if !(ln(accept_first) < begin - end) {
            self.settle_reach(false);
            return;
        }
        let mut xi = y[..dim].to_vec();
        proposal.shrink(&mut xi);
        add_scaled(&mut xi, 1.0, &proposal.xi_best);
        let mut point = Point {
            hypothesis: self.at.hypothesis,
            xi,
            eps: y[dim..].to_vec(),
            ln_target: 0.0,
        };
        let Some(ln_target) = self.ln_target(&point) else {
            self.settle_reach(false);
            return;
        };
        point.ln_target = ln_target;
        let passes = ln(accept_second) < (ln_target + u_there) - (self.at.ln_target + u_here);
        if passes {
            self.at = point;
        }
        self.settle_reach(passes);
    }

    fn settle_reach(&mut self, passed: bool) {
        if self.is_settling {
            let by = if passed { LONGER } else { SHORTER };
            self.reach = (self.reach * by).clamp(SHORTEST, 1.0);
        }
    }

    /// U(y) on the cheap model, and its slopes less y in `beyond`.
    fn cheap_potential(&mut self, y: &[f64], beyond: &mut [f64]) -> Option<f64> {
        let (proposal, guide) = self.sampler.of(self.at.hypothesis);
        let problem = self.problem.on(guide.surrogate);
        problem.readout.restart(&mut self.cheap);
        let dim = self.at.xi.len();
        let case = proposal.case;
        let mut xi = y[..dim].to_vec();
        proposal.shrink(&mut xi);
        add_scaled(&mut xi, 1.0, &proposal.xi_best);
        let mut x = xi.clone();
        guide.tilt.apply(&mut x);
        let eps = &y[dim..];
        self.set_disturbances(eps);
        let rows = &mut self.cheap_rows;
        if !problem.values(&x, case, &self.scratch.disturbances, rows, &mut self.cheap) {
            return None;
        }
        problem.slopes(&x, case, rows, &mut self.cheap);
        let looks = &problem.looks.looks;
        let u = 0.5 * (dot(&xi, &xi) + dot(eps, eps) + dot(&rows.r, &rows.r))
            - problem.ln_left_out(case.wrong, rows)
            - guide.tilt.ln_beyond(looks, &x);
        let mut slope = vec![0.0; dim];
        for k in 0..rows.r.len() {
            let law = &problem.readings[k];
            let wrong = is_wrong(case.wrong, k);
            // r·dr/dx less the slope of what the row leaves out.
            let left_out = law.left_out_slope(rows.h[k], wrong) / rows.dr_dh[k];
            let pull = rows.r[k] - left_out;
            add_scaled(&mut slope, pull, &rows.slopes[k * dim..(k + 1) * dim]);
            let (house, tap) = guide.surrogate.disturbance_slopes(k);
            let sd = problem.disturbance_sd[k];
            let factor = law.gauge.map_or(1.0, |(at, s)| exp(s * x[at])) * rows.dr_dh[k];
            beyond[dim + 2 * k] = pull * factor * house * sd.house_pa;
            beyond[dim + 2 * k + 1] = pull * factor * tap * sd.tap_pa;
        }
        guide.tilt.add_slopes_beyond(looks, &x, &mut slope);
        guide.tilt.root(&mut slope);
        add_scaled(&mut slope, 1.0, &xi);
        proposal.shrink(&mut slope);
        for (b, (s, y)) in beyond[..dim].iter_mut().zip(slope.iter().zip(y)) {
            *b = s - y;
        }
        u.is_finite().then_some(u)
    }
}
