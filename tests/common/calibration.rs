//! Simulation-based calibration: invent systems from the prior, read them with errors, draw, and count how often bands
//! cover the truth and where the truth ranks among the draws.
//!
//! It checks the computation alone: neither the catalogue nor anyone's sketch.
//!
//! Readings here have an error of fixed standard deviation (a floor, no relative part): then the simulated error law and
//! the law of the posterior are one, exactly, and any departure from the nominal coverage is the sampler's.

use ductseam::allocate::{
    ClosedForm, ClosedSetup, Disturbance, ErrorLaw, Looks, Prior, PriorKnobs, Problem, ReadingLaw,
    SeamPrior, WideError, sample, weighted_quantile,
};
use ductseam::sketch::Relation;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

/// How many times wider an error is when the set-up was wrong.
const WIDE_TIMES: f64 = 20.0;
/// Bins of a rank histogram.
const BINS: usize = 10;

/// House quantities that are ranked, in this order.
pub const QUANTITIES: [&str; 5] = [
    "total",
    "supply side",
    "largest seam",
    "total at 12 Pa",
    "log-likelihood",
];

/// What the study found.
#[derive(Debug, Clone, PartialEq)]
pub struct Findings {
    /// Systems looked at.
    pub systems: usize,
    /// Part of all seams whose 90 % band held the truth.
    pub seam_coverage: f64,
    /// The same for each house quantity.
    pub coverage: [f64; 5],
    /// χ² of the rank histogram of each house quantity, nine degrees of freedom.
    pub rank_chi2: [f64; 5],
    /// Mean part of the draws that is effective.
    pub effective_part: f64,
    /// Largest tail shape of the weights.
    pub worst_pareto_k: f64,
    /// Draws that failed, over all systems.
    pub failed: usize,
}

/// Supply side of the invented system.
fn is_supply(seam: usize) -> bool {
    seam % 3 != 2
}

fn invented_seams(count: usize) -> Vec<SeamPrior> {
    (0..count)
        .map(|i| SeamPrior {
            id: format!("seam {i}"),
            joint_type: format!("type {}", i % 5),
            mean_q25_m3_s: 2e-4 * (1.0 + (i * 7 % 11) as f64),
            gsd: 2.0 + 0.25 * (i % 5) as f64,
            n: 0.55 + 0.02 * (i % 5) as f64,
            field_made: i % 5 != 4,
        })
        .collect()
}

/// Modelled flows of the set-ups at given laws.
fn modelled(setups: &[ClosedSetup], ln_q25: &[f64], n: &[f64]) -> Vec<f64> {
    setups
        .iter()
        .map(|s| {
            (0..ln_q25.len())
                .map(|i| s.part[i] * ln_q25[i].exp() * (s.pressure_pa[i] / 25.0).powf(n[i]))
                .sum()
        })
        .collect()
}

fn log_likelihood(readings: &[ReadingLaw], p: f64, flows: &[f64]) -> f64 {
    readings
        .iter()
        .zip(flows)
        .map(|(law, h)| {
            let density = |s: f64| (-0.5 * ((law.y - h) / s).powi(2)).exp() / s;
            ((1.0 - p) * density(law.sigma) + p * density(law.sigma_wide)).ln()
        })
        .sum()
}

/// Runs the study.
pub fn study(systems: usize, n_seams: usize, draws: usize, seed: u64) -> Findings {
    let law = ErrorLaw {
        wide: WideError::TimesSigma(WIDE_TIMES),
        ..ErrorLaw::default()
    };
    let prior =
        Prior::new(&invented_seams(n_seams), PriorKnobs::default(), 0).expect("a sound prior");
    let setups = vec![
        ClosedSetup::at(25.0, n_seams, |_| true),
        ClosedSetup::at(25.0, n_seams, is_supply),
        ClosedSetup::at(12.0, n_seams, |_| true),
    ];
    let (mut l, mut e) = (vec![0.0; n_seams], vec![0.0; n_seams]);
    prior.laws(&vec![0.0; prior.dim()], &mut l, &mut e);
    let sigmas: Vec<f64> = modelled(&setups, &l, &e).iter().map(|h| 0.04 * h).collect();

    let mut seams_held = 0;
    let mut held = [0usize; 5];
    let mut bins = [[0usize; BINS]; 5];
    let (mut effective, mut worst_k, mut failed) = (0.0, f64::NEG_INFINITY, 0);
    for system in 0..systems {
        let mut random =
            Pcg64::seed_from_u64(seed.wrapping_mul(1_000_003).wrapping_add(system as u64));
        let x: Vec<f64> = (0..prior.dim())
            .map(|_| random.sample(StandardNormal))
            .collect();
        let (mut true_l, mut true_n) = (vec![0.0; n_seams], vec![0.0; n_seams]);
        prior.laws(&x, &mut true_l, &mut true_n);
        let flows = modelled(&setups, &true_l, &true_n);
        // The law is made by hand: a simulated value below zero is as good as any for the computation.
        let readings: Vec<ReadingLaw> = flows
            .iter()
            .zip(&sigmas)
            .map(|(h, s)| {
                let wide = random.random::<f64>() < law.wide_chance;
                let error: f64 = random.sample(StandardNormal);
                let y = h + error * s * if wide { WIDE_TIMES } else { 1.0 };
                ReadingLaw {
                    relation: Relation::Equals,
                    y,
                    sigma: *s,
                    sigma_wide: WIDE_TIMES * s,
                    own_relative_sd: 0.0,
                    sigma_wide_floor: 0.0,
                    stage: 0,
                    gauge: None,
                }
            })
            .collect();
        let none = vec![Disturbance::default(); readings.len()];
        let mut problem = Problem {
            prior: &prior,
            readings: &readings,
            looks: &Looks::default(),
            error_law: law,
            readout: ClosedForm {
                setups: setups.clone(),
            },
            disturbance_sd: &none,
        };
        let drawn = sample(&mut problem, draws, seed ^ (system as u64) << 20);
        effective += drawn.effective_draws / draws as f64;
        worst_k = worst_k.max(drawn.pareto_k.unwrap_or(f64::NEG_INFINITY));
        failed += drawn.draws.iter().filter(|d| !d.solved).count();

        let quantities = |ln_q25: &[f64], n: &[f64]| -> [f64; 5] {
            let flows = modelled(&setups, ln_q25, n);
            let part = |takes: &dyn Fn(usize) -> bool| -> f64 {
                (0..n_seams)
                    .filter(|&i| takes(i))
                    .map(|i| ln_q25[i].exp())
                    .sum()
            };
            let largest = ln_q25.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let ll = log_likelihood(&readings, law.wide_chance, &flows);
            [part(&|_| true), part(&is_supply), largest, flows[2], ll]
        };
        let of_draws: Vec<[f64; 5]> = drawn
            .ln_q25
            .chunks_exact(n_seams)
            .zip(drawn.n.chunks_exact(n_seams))
            .map(|(l, n)| quantities(l, n))
            .collect();
        let truth = quantities(&true_l, &true_n);
        for which in 0..5 {
            let values: Vec<f64> = of_draws.iter().map(|q| q[which]).collect();
            let (is_held, rank) = place(&values, &drawn.weights, truth[which]);
            held[which] += usize::from(is_held);
            bins[which][((rank * BINS as f64) as usize).min(BINS - 1)] += 1;
        }
        for (seam, true_seam) in true_l.iter().enumerate().take(n_seams) {
            let values: Vec<f64> = drawn
                .ln_q25
                .iter()
                .skip(seam)
                .step_by(n_seams)
                .copied()
                .collect();
            seams_held += usize::from(place(&values, &drawn.weights, *true_seam).0);
        }
    }
    let expected = systems as f64 / BINS as f64;
    Findings {
        systems,
        seam_coverage: seams_held as f64 / (systems * n_seams) as f64,
        coverage: held.map(|h| h as f64 / systems as f64),
        rank_chi2: bins.map(|b| {
            b.iter()
                .map(|&c| (c as f64 - expected).powi(2) / expected)
                .sum()
        }),
        effective_part: effective / systems as f64,
        worst_pareto_k: worst_k,
        failed,
    }
}

/// Whether the 90 % band of weighted values holds the truth, and the weighted part of the values below it.
fn place(values: &[f64], weights: &[f64], truth: f64) -> (bool, f64) {
    let mut pairs: Vec<(f64, f64)> = values
        .iter()
        .copied()
        .zip(weights.iter().copied())
        .filter(|(_, w)| *w > 0.0)
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = pairs.iter().map(|(_, w)| w).sum();
    let below: f64 = pairs
        .iter()
        .take_while(|(v, _)| *v < truth)
        .map(|(_, w)| w)
        .sum();
    let holds =
        truth >= weighted_quantile(&pairs, 0.05) && truth <= weighted_quantile(&pairs, 0.95);
    (holds, below / total)
}
