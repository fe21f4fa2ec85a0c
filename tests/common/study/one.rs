//! One invented system: its truth, its answer, and where the one lies in the other.

use ductseam::allocate::{
    AllocateError, AllocateSettings, Method, Posterior, Status, Truth, invent, posterior,
    weighted_quantile,
};
use ductseam::flow::{self, Disturbance, Prepared, SeamLaws};
use ductseam::system::{Reach, Setup, Side, System};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::Set;
use super::likelihood::{Likelihood, look_pressures};
use super::numbers::mixed;
use super::tally::LEVELS;

/// With more readings than this the posterior looks at sets of at most two wrong set-ups ...
const ALL_WRONG_SETS_UP_TO: usize = 4;
/// ... so truths with more are drawn again, and counted.
const MOST_WRONG: usize = 2;
/// Numbers of further tries at one truth begin this far apart.
const TRIES_APART: usize = 10_000_000;
/// Part of the seams that is picked to be sealed first.
const PICKED: f64 = 0.2;

/// What one system showed.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Weighted part of the draws below the truth, quantity by quantity.
    pub ranks: Vec<f64>,
    /// Whether the bands of [`LEVELS`] held the truth, quantity by quantity.
    pub held: Vec<[bool; 4]>,
    /// Part of the seams whose bands of [`LEVELS`] held the truth.
    pub seams_held: [f64; 4],
    /// True leakage of a fifth of the seams as a part of the most that a fifth could hold: picked by posterior mean, by
    /// prior mean, and on average at random.
    pub capture: [f64; 3],
    /// How many seams truly hang open.
    pub open: usize,
    /// Whether one that does is in the first group of candidates.
    pub open_in_first: bool,
    /// Whether one that does was given a chance above one half.
    pub open_likely: bool,
    /// Seams in the first group of candidates.
    pub first_size: usize,
    /// Whether any group was given a chance above one half.
    pub alarm: bool,
    /// Stated chance that nothing hangs open.
    pub nothing_open: f64,
    /// Stated chance to hang open of every seam that can, and whether it does.
    pub seam_open: Vec<(f64, bool)>,
    /// Readings whose set-up was truly wrong.
    pub wrong: usize,
    /// Truths thrown away first because more than two set-ups were wrong.
    pub thrown: usize,
    /// Effective draws.
    pub effective: f64,
    /// Whether the answer came from chains.
    pub chains: bool,
    /// Whether the computation was called doubtful.
    pub doubts_itself: bool,
    /// Whether the readings were called doubtful.
    pub doubts_readings: bool,
    /// Draws that failed.
    pub failed: usize,
}

/// What all systems of a set share.
pub struct Bench<'a> {
    set: &'a Set,
    settings: AllocateSettings,
    seed: u64,
    prior_order: Vec<usize>,
    look_pa: Vec<f64>,
    test: Solved,
    outside: Solved,
}

impl<'a> Bench<'a> {
    pub fn new(set: &'a Set, settings: AllocateSettings, before: &Posterior, seed: u64) -> Self {
        // Set-ups of the answer come from the readings, whose values do not matter here.
        let few = AllocateSettings {
            draws: 30,
            ..settings.clone()
        };
        let like = posterior(&set.system, &few)
            .expect("a sound system")
            .allocation;
        Bench {
            set,
            seed,
            prior_order: falling(before),
            look_pa: look_pressures(&set.system, &settings),
            test: Solved::new(&set.system, &like.test_setup, &settings),
            outside: Solved::new(&set.system, &like.to_outside_setup, &settings),
            settings,
        }
    }

    /// Names of the ranked quantities.
    pub fn names(&self) -> Vec<String> {
        let house = [
            "total",
            "supply",
            "return",
            "hidden",
            "to outside",
            "largest seam",
        ];
        let mut names: Vec<String> = house.map(str::to_owned).to_vec();
        if self.set.is_exact {
            names.push("ln-likelihood".to_owned());
            let readings = &self.set.system.readings;
            names.extend(readings.iter().map(|r| format!("reading {}", r.id)));
        }
        names
    }

    /// Invents a truth, draws the posterior, and compares.
    pub fn run(&self, index: usize) -> Result<Outcome, AllocateError> {
        let (system, truth, thrown) = self.truth(index)?;
        let mut settings = self.settings.clone();
        settings.seed = mixed(self.seed, 2 * index as u64);
        let found = if self.set.is_blind {
            let mut unseen = system.clone();
            unseen.looks.clear();
            posterior(&unseen, &settings)?
        } else {
            posterior(&system, &settings)?
        };
        let mut coin = Pcg64::seed_from_u64(mixed(self.seed, 2 * index as u64 + 1));

        let n = system.seams.len();
        let true_q25: Vec<f64> = truth.ln_q25[..n].iter().map(|l| l.exp()).collect();
        let true_test = self.test.flows(&truth);
        let true_outside = self.outside.flows(&truth);
        let likelihood = Likelihood::new(&system, &settings, &self.look_pa);
        let quantities = |test: &[f64], outside: &[f64], q25: &[f64], modelled: &[f64], open| {
            let mut all = self.house(test, outside);
            if self.set.is_exact {
                all.push(likelihood.ln(modelled, q25, open));
                all.extend_from_slice(modelled);
            }
            all
        };
        let true_values = quantities(
            &true_test,
            &true_outside,
            &true_q25,
            &truth.exact,
            truth.open,
        );
        let k = system.readings.len();
        let drawn: Vec<Vec<f64>> = (0..found.weights.len())
            .map(|d| {
                let row = |all: &[f64], len: usize| all[d * len..(d + 1) * len].to_vec();
                quantities(
                    &row(&found.test_m3_s, n),
                    &row(&found.to_outside_m3_s, n),
                    &row(&found.q25_m3_s, n),
                    &row(&found.modelled, k),
                    found.open[d],
                )
            })
            .collect();
        let (ranks, held) = true_values
            .iter()
            .enumerate()
            .map(|(q, truth)| {
                let values = drawn.iter().map(|row| row[q]);
                place(values, &found.weights, *truth, coin.random())
            })
            .unzip();
        let mut seams_held = [0.0; 4];
        for (seam, truth) in true_q25.iter().enumerate() {
            let values = found.q25_m3_s.iter().skip(seam).step_by(n).copied();
            let (_, held) = place(values, &found.weights, *truth, 0.5);
            for (sum, held) in seams_held.iter_mut().zip(held) {
                *sum += f64::from(u8::from(held)) / n as f64;
            }
        }
        let mut outcome = Outcome {
            ranks,
            held,
            seams_held,
            capture: self.capture(&true_test, &found),
            wrong: truth.wrong.iter().filter(|w| **w).count(),
            thrown,
            ..with_gross(&truth, &found)
        };
        judge(&mut outcome, &found);
        Ok(outcome)
    }

    fn truth(&self, index: usize) -> Result<(System, Truth, usize), AllocateError> {
        let mut thrown = 0;
        loop {
            let at = index + thrown * TRIES_APART;
            let (system, truth) = invent(&self.set.system, &self.set.settings, self.seed, at)?;
            let wrong = truth.wrong.iter().filter(|w| **w).count();
            if truth.wrong.len() <= ALL_WRONG_SETS_UP_TO || wrong <= MOST_WRONG {
                return Ok((system, truth, thrown));
            }
            thrown += 1;
        }
    }

    /// Total, both sides, what is out of reach, to outside, and the largest seam.
    fn house(&self, test: &[f64], outside: &[f64]) -> Vec<f64> {
        let seams = &self.set.system.seams;
        let sum = |takes: &dyn Fn(usize) -> bool| -> f64 {
            (0..seams.len())
                .filter(|&i| takes(i))
                .map(|i| test[i])
                .sum()
        };
        let within_reach =
            |i: usize| matches!(seams[i].reach, Reach::Open | Reach::UnderInsulation);
        vec![
            sum(&|_| true),
            sum(&|i| seams[i].side == Side::Supply),
            sum(&|i| seams[i].side == Side::Return),
            sum(&|i| !within_reach(i)),
            outside.iter().sum(),
            test.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        ]
    }

    fn capture(&self, true_test: &[f64], found: &Posterior) -> [f64; 3] {
        let n = true_test.len();
        let picked = ((PICKED * n as f64) as usize).max(1);
        let held_by =
            |order: &[usize]| -> f64 { order[..picked].iter().map(|&i| true_test[i]).sum() };
        let mut best: Vec<usize> = (0..n).collect();
        best.sort_by(|&a, &b| true_test[b].total_cmp(&true_test[a]));
        let most = held_by(&best);
        let at_random = true_test.iter().sum::<f64>() * picked as f64 / n as f64;
        [
            held_by(&falling(found)),
            held_by(&self.prior_order),
            at_random,
        ]
        .map(|part| part / most)
    }
}

/// Seams by falling posterior mean of the test flow.
fn falling(found: &Posterior) -> Vec<usize> {
    let means: Vec<f64> = found
        .allocation
        .seams
        .iter()
        .map(|s| s.test_m3_s.mean)
        .collect();
    let mut order: Vec<usize> = (0..means.len()).collect();
    order.sort_by(|&a, &b| means[b].total_cmp(&means[a]).then(a.cmp(&b)));
    order
}

/// What was said of open seams.
fn with_gross(truth: &Truth, found: &Posterior) -> Outcome {
    let answer = &found.allocation;
    let first = answer.gross.first();
    let is_open = |&seam: &usize| truth.open.has(seam);
    Outcome {
        open: truth.open.count(),
        open_in_first: first.is_some_and(|group| group.seams.iter().any(is_open)),
        open_likely: truth
            .open
            .seams()
            .any(|i| answer.seams[i].gross_chance > 0.5),
        first_size: first.map_or(0, |group| group.seams.len()),
        alarm: answer.gross.iter().any(|group| group.chance > 0.5),
        nothing_open: answer.nothing_open_chance,
        seam_open: answer
            .seams
            .iter()
            .filter(|seam| seam.prior_gross_chance > 0.0)
            .map(|seam| (seam.gross_chance, truth.open.has(seam.seam)))
            .collect(),
        ranks: Vec::new(),
        held: Vec::new(),
        seams_held: [0.0; 4],
        capture: [0.0; 3],
        wrong: 0,
        thrown: 0,
        effective: 0.0,
        chains: false,
        doubts_itself: false,
        doubts_readings: false,
        failed: 0,
    }
}

/// How the computation went by its own account.
fn judge(outcome: &mut Outcome, found: &Posterior) {
    let diagnostics = &found.allocation.diagnostics;
    outcome.effective = diagnostics.effective_draws;
    outcome.chains = diagnostics.method == Method::Chains;
    outcome.failed = diagnostics.failed_draws;
    let Status::Doubtful { reasons } = &found.allocation.status else {
        return;
    };
    for reason in reasons {
        if reason.starts_with("reading ") || reason.starts_with("the readings ") {
            outcome.doubts_readings = true;
        } else {
            outcome.doubts_itself = true;
        }
    }
}

/// Rank of the truth, ties split by the coin, and whether each band holds it.
fn place(
    values: impl Iterator<Item = f64>,
    weights: &[f64],
    truth: f64,
    coin: f64,
) -> (f64, [bool; 4]) {
    let mut pairs: Vec<(f64, f64)> = values
        .zip(weights.iter().copied())
        .filter(|(_, w)| *w > 0.0)
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut below, mut equal, mut total) = (0.0, 0.0, 0.0);
    for &(value, weight) in &pairs {
        total += weight;
        match value.total_cmp(&truth) {
            std::cmp::Ordering::Less => below += weight,
            std::cmp::Ordering::Equal => equal += weight,
            std::cmp::Ordering::Greater => {}
        }
    }
    let held = LEVELS.map(|level| {
        let (low, high) = (0.5 - 0.5 * level, 0.5 + 0.5 * level);
        truth >= weighted_quantile(&pairs, low) && truth <= weighted_quantile(&pairs, high)
    });
    ((below + coin * equal) / total, held)
}

/// A set-up ready to be solved.
struct Solved {
    prepared: Prepared,
    direction: f64,
}

impl Solved {
    fn new(system: &System, setup: &Setup, settings: &AllocateSettings) -> Self {
        Solved {
            prepared: flow::prepare(system, setup, &settings.flow).expect("a sound set-up"),
            direction: if setup.pressurise { 1.0 } else { -1.0 },
        }
    }

    /// Flow of each seam in the direction of the test, m³/s.
    fn flows(&self, truth: &Truth) -> Vec<f64> {
        let network = &self.prepared.network;
        let n = network.seam_count();
        let laws = SeamLaws {
            ln_q25: &truth.ln_q25[..n],
            n: &truth.n[..n],
        };
        let mut work = network.workspace();
        let outcome = flow::solve(network, laws, Disturbance::default(), &mut work);
        assert!(outcome.status.is_solved(), "{:?}", outcome.status);
        work.seam_flow()
            .iter()
            .map(|q| self.direction * q)
            .collect()
    }
}
