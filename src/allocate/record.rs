//! What is kept of every draw, as one flat row of numbers.

use super::case::{Case, Open};
use super::looks::Looks;
use super::prior::Prior;
use super::problem::Problem;
use super::readout::{Disturbance, Readout};
use super::rto::{Draw, Sampler};
use super::scratch::{Purpose, Scratch, stream};
use super::surrogate::SurrogateWork;
use super::weights;
use crate::math::exp;
use rand::RngExt;
use rand_pcg::Pcg64;

/// Where things stand in a draw's record.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Layout {
    pub n_seams: usize,
    pub n_readings: usize,
    pub n_looks: usize,
    /// Set-ups that are read besides.
    pub n_extras: usize,
    /// Steps of sealing that the answers are after.
    pub stage: usize,
}

impl Layout {
    /// Flows at 25 Pa, m³/s.
    pub fn q25(&self) -> usize {
        0
    }
    /// Flow exponents.
    pub fn exponents(&self) -> usize {
        self.n_seams
    }
    /// Flows in the test set-up, m³/s.
    pub fn test(&self) -> usize {
        2 * self.n_seams
    }
    /// Pressures in the test set-up, Pa.
    pub fn test_pa(&self) -> usize {
        3 * self.n_seams
    }
    /// Flows in the to-outside set-up, m³/s.
    pub fn outside(&self) -> usize {
        4 * self.n_seams
    }
    /// Flows in reading k's set-up, m³/s.
    pub fn reading(&self, k: usize) -> usize {
        (5 + k) * self.n_seams
    }
    fn scalars(&self) -> usize {
        (5 + self.n_readings) * self.n_seams
    }
    /// Modelled value of reading k.
    pub fn modelled(&self, k: usize) -> usize {
        self.scalars() + k
    }
    /// Mask leak in reading k, m³/s.
    pub fn mask(&self, k: usize) -> usize {
        self.scalars() + self.n_readings + k
    }
    /// Mask leak in the test set-up, m³/s.
    pub fn test_mask(&self) -> usize {
        self.scalars() + 2 * self.n_readings
    }
    /// Flow solves that failed.
    pub fn failures(&self) -> usize {
        self.test_mask() + 1
    }
    /// Most steps of a flow solve.
    pub fn iterations(&self) -> usize {
        self.test_mask() + 2
    }
    /// Worst imbalance of a flow solve.
    pub fn imbalance(&self) -> usize {
        self.test_mask() + 3
    }
    /// Chance of look l.
    pub fn look(&self, l: usize) -> usize {
        self.test_mask() + 4 + l
    }
    /// Value of extra set-up e.
    pub fn extra(&self, e: usize) -> usize {
        self.look(self.n_looks) + e
    }
    /// Length of a record.
    pub fn len(&self) -> usize {
        self.extra(self.n_extras)
    }
}

/// Draws of one kind with their records.
pub(crate) struct Recorded {
    pub layout: Layout,
    pub draws: Vec<Draw>,
    pub weights: Vec<f64>,
    pub records: Vec<f64>,
}

impl Recorded {
    pub(crate) fn new(layout: Layout, draws: Vec<Draw>, records: Vec<f64>) -> Self {
        let ln_weights: Vec<f64> = draws.iter().map(|d| d.ln_weight).collect();
        Recorded {
            layout,
            weights: weights::from_logarithms(&ln_weights),
            draws,
            records,
        }
    }

    /// Records in order of the draws.
    pub(crate) fn rows(&self) -> impl Iterator<Item = &[f64]> {
        self.records.chunks_exact(self.layout.len())
    }

    /// One number of every draw.
    pub(crate) fn column(&self, at: usize, into: &mut Vec<f64>) {
        into.clear();
        into.extend(self.records.iter().skip(at).step_by(self.layout.len()));
    }
}

/// Makes one posterior draw and records it.
pub(crate) fn posterior<R: Readout>(
    sampler: &Sampler,
    problem: &Problem<'_, R>,
    layout: Layout,
    index: usize,
    scratch: &mut Scratch,
    (work, cheap): &mut (R::Work, SurrogateWork),
    record: &mut [f64],
) -> Draw {
    let mut draw = sampler.draw(problem, index, scratch, work, cheap);
    if draw.solved && !fill(problem, layout, scratch, work, record) {
        draw.ln_weight = f64::NEG_INFINITY;
        draw.solved = false;
    }
    draw
}

/// Makes one prior draw and records it.
pub(crate) fn prior<R: Readout>(
    seed: u64,
    problem: &Problem<'_, R>,
    layout: Layout,
    index: usize,
    scratch: &mut Scratch,
    work: &mut R::Work,
    record: &mut [f64],
) -> Draw {
    problem.readout.restart(work);
    scratch.randomise(problem, seed, Purpose::PriorPredictive, index);
    scratch.x.copy_from_slice(&scratch.xi);
    let Scratch {
        x,
        case,
        rows,
        disturbances,
        ..
    } = scratch;
    *case = Case {
        wrong: 0,
        open: open_by_chance(
            problem.prior,
            &Looks::default(),
            &mut stream(seed, Purpose::Open, index),
        ),
    };
    let solved = problem.values(x, *case, disturbances, rows, work)
        && fill(problem, layout, scratch, work, record);
    let ln_weight = if solved { 0.0 } else { f64::NEG_INFINITY };
    Draw {
        ln_weight,
        case: scratch.case,
        steps: 0,
        solved,
    }
}

/// Fills a record from a draw at which the readings' set-ups stand solved; solves the two set-ups that answers are
/// given for. False when a solve failed.
pub(crate) fn fill<R: Readout>(
    problem: &Problem<'_, R>,
    layout: Layout,
    scratch: &Scratch,
    work: &mut R::Work,
    record: &mut [f64],
) -> bool {
    let rows = &scratch.rows;
    let n_seams = layout.n_seams;
    let at = layout.stage * n_seams..(layout.stage + 1) * n_seams;
    let (ln_q25, n) = (&rows.ln_q25[at.clone()], &rows.n[at]);
    let (test, outside) = (layout.n_readings, layout.n_readings + 1);
    let none = Disturbance::default();
    problem.readout.start_from_equal(test, work);
    let at_test = problem.readout.read(test, ln_q25, n, none, work);
    problem.readout.start_from_equal(outside, work);
    let at_outside = problem.readout.read(outside, ln_q25, n, none, work);
    for (to, ln_q25) in record[layout.q25()..].iter_mut().zip(ln_q25) {
        *to = exp(*ln_q25);
    }
    record[layout.exponents()..][..n_seams].copy_from_slice(n);
    problem
        .readout
        .seam_flows(test, work, &mut record[layout.test()..][..n_seams]);
    problem
        .readout
        .seam_pressures(test, work, &mut record[layout.test_pa()..][..n_seams]);
    problem
        .readout
        .seam_flows(outside, work, &mut record[layout.outside()..][..n_seams]);
    for k in 0..layout.n_readings {
        problem
            .readout
            .seam_flows(k, work, &mut record[layout.reading(k)..][..n_seams]);
        record[layout.modelled(k)] = rows.readings[k].value;
        record[layout.mask(k)] = rows.readings[k].mask_leak_m3_s;
    }
    for (l, look) in problem.looks.looks.iter().enumerate() {
        let u = look.u(problem.prior, scratch.case.open, &rows.ln_q25, &scratch.x);
        record[layout.look(l)] = exp(look.ln_chance(u));
    }
    for e in 0..layout.n_extras {
        let at = outside + 1 + e;
        let read = problem.readout.read(at, ln_q25, n, none, work);
        record[layout.extra(e)] = read.value;
        if !read.settled {
            record[layout.extra(e)] = f64::NAN;
        }
    }
    record[layout.test_mask()] = at_test.mask_leak_m3_s;
    let mut fine = true;
    for read in rows.readings.iter().chain([&at_test, &at_outside]) {
        if !read.settled {
            fine = false;
            record[layout.failures()] += 1.0;
        }
        let steps = f64::from(read.iterations);
        record[layout.iterations()] = record[layout.iterations()].max(steps);
        record[layout.imbalance()] = record[layout.imbalance()].max(read.worst_imbalance);
    }
    fine
}

/// Which seams hang open, drawn from the prior given what was claimed: none, one or two, each set by its own odds.
pub(crate) fn open_by_chance(prior: &Prior, looks: &Looks, random: &mut Pcg64) -> Open {
    let claims = |open: Open| exp(looks.ln_claims(prior, open));
    let nothing = claims(Open::default());
    // Odds of each seam against nothing open; claims speak of one seam each, so that pairs are products.
    let odds: Vec<f64> = (0..prior.n_seams())
        .map(|seam| {
            let chance = prior.open_law(seam).map_or(0.0, |law| law.chance);
            if chance > 0.0 {
                chance / (1.0 - chance) * claims(Open::one(seam)) / nothing
            } else {
                0.0
            }
        })
        .collect();
    let first: f64 = odds.iter().sum();
    let squares: f64 = odds.iter().map(|o| o * o).sum();
    let pairs = (0.5 * (first * first - squares)).max(0.0);
    let pick = |weights: &dyn Fn(usize) -> f64, sum: f64, at: f64| {
        let mut left = at * sum;
        let mut last = 0;
        for seam in 0..odds.len() {
            let weight = weights(seam);
            if weight > 0.0 {
                last = seam;
                left -= weight;
                if left < 0.0 {
                    break;
                }
            }
        }
        last
    };
    let at = random.random::<f64>() * (1.0 + first + pairs);
    let (one_at, two_at): (f64, f64) = (random.random(), random.random());
    if at < 1.0 {
        Open::default()
    } else if at < 1.0 + first {
        Open::one(pick(&|i| odds[i], first, one_at))
    } else {
        let one = pick(&|i| odds[i] * (first - odds[i]), 2.0 * pairs, one_at);
        let others = |i: usize| if i == one { 0.0 } else { odds[i] };
        let two = pick(&others, first - odds[one], two_at);
        Open::two(one, two)
    }
}
