//! The sampler against formulas: lossless systems whose posterior is known, or known in one respect.

use super::*;
use crate::sketch::Relation;

/// Knobs so small that ln q25 is nearly a straight line in x everywhere it matters.
const TINY: PriorKnobs = PriorKnobs {
    workmanship_sd: 0.004,
    habit_sd: 0.003,
    exponent_sd: 0.0,
    added_variance: 0.0,
};

fn seams(count: usize, gsd: f64) -> Vec<SeamPrior> {
    (0..count)
        .map(|i| SeamPrior {
            id: format!("seam {i}"),
            joint_type: format!("type {}", i % 3),
            mean_q25_m3_s: 1e-3 * (1.0 + i as f64),
            gsd,
            n: 0.6,
            field_made: i % 4 != 3,
        })
        .collect()
}

fn law(relation: Relation, y: f64, relative: f64) -> ReadingLaw {
    ErrorLaw::default()
        .reading("r", relation, y, relative, 0.0, None)
        .unwrap()
}

fn never_wrong() -> ErrorLaw {
    ErrorLaw {
        wide_chance: 0.0,
        ..ErrorLaw::default()
    }
}

fn draw(
    prior: &Prior,
    readings: &[ReadingLaw],
    error_law: ErrorLaw,
    setups: Vec<ClosedSetup>,
    draws: usize,
) -> Sample {
    let none = vec![Disturbance::default(); readings.len()];
    let mut problem = Problem {
        prior,
        readings,
        looks: &Looks::default(),
        error_law,
        readout: ClosedForm { setups },
        disturbance_sd: &none,
    };
    sample(&mut problem, draws, 7)
}

/// Weighted mean and standard deviation of ln Σ q25 over some seams.
fn ln_total(sample: &Sample, n_seams: usize, takes: impl Fn(usize) -> bool) -> (f64, f64) {
    let totals: Vec<f64> = sample
        .ln_q25
        .chunks_exact(n_seams)
        .map(|row| {
            row.iter()
                .enumerate()
                .filter(|(i, _)| takes(*i))
                .map(|(_, l)| l.exp())
                .sum::<f64>()
                .ln()
        })
        .collect();
    let mean = weighted_mean(&totals, &sample.weights);
    let squares: Vec<f64> = totals.iter().map(|t| (t - mean).powi(2)).collect();
    (mean, weighted_mean(&squares, &sample.weights).sqrt())
}

#[test]
fn with_tiny_spreads_the_draws_follow_the_conjugate_normal_formulas() {
    let list = seams(12, 1.02);
    let prior = Prior::new(&list, TINY, 0).unwrap();
    let n = list.len();
    // Linear: h = h₀ + gᵀx with g from the prior alone. One reading 1 % above h₀ with 1 % error.
    let (mut l, mut e) = (vec![0.0; n], vec![0.0; n]);
    prior.laws(&vec![0.0; prior.dim()], &mut l, &mut e);
    let q: Vec<f64> = l.iter().map(|l| l.exp()).collect();
    let h0: f64 = q.iter().sum();
    let mut g = vec![0.0; prior.dim()];
    prior.pull_back(
        &vec![0.0; prior.dim()],
        Open::default(),
        0,
        &q,
        &vec![0.0; n],
        &mut g,
    );
    let y = 1.01 * h0;
    let sigma = 0.01 * y;
    let spread: f64 = g.iter().map(|g| g * g).sum();
    // Conjugate normal: the posterior of the sum.
    let gain = spread / (spread + sigma * sigma);
    let (want_mean, want_sd) = (h0 + gain * (y - h0), (spread * (1.0 - gain)).sqrt());

    let draws = 4000;
    let setups = vec![ClosedSetup::at(25.0, n, |_| true)];
    let sample = draw(
        &prior,
        &[law(Relation::Equals, y, 0.01)],
        never_wrong(),
        setups,
        draws,
    );
    let (mean, sd) = ln_total(&sample, n, |_| true);
    // Four Monte Carlo errors of a mean and of a standard deviation, plus the curvature of exp at this spread.
    let curvature = spread / (h0 * h0);
    let relative = want_sd / want_mean;
    assert!((mean - want_mean.ln()).abs() < 4.0 * relative / (draws as f64).sqrt() + curvature);
    assert!((sd / relative - 1.0).abs() < 4.0 / (2.0 * draws as f64).sqrt() + 0.01);
    assert!(
        sample.effective_draws > 0.99 * draws as f64,
        "{}",
        sample.effective_draws
    );
}

#[test]
fn without_readings_the_draws_are_the_prior() {
    let list = seams(6, 3.0);
    let prior = Prior::new(&list, PriorKnobs::default(), 0).unwrap();
    let draws = 4000;
    let sample = draw(&prior, &[], ErrorLaw::default(), vec![], draws);
    assert!(sample.weights.iter().all(|w| (w - 1.0).abs() < 1e-15));
    for i in 0..list.len() {
        let (mean, sd) = ln_total(&sample, list.len(), |j| j == i);
        let (want, s) = prior.lognormal(i, 0);
        assert!((mean - want).abs() < 4.0 * s / (draws as f64).sqrt());
        assert!((sd / s - 1.0).abs() < 4.0 / (2.0 * draws as f64).sqrt());
    }
}

/// One seam, one reading, wide spreads: the posterior of ln q25 is one-dimensional, and quadrature gives it exactly.
fn by_quadrature(prior: &Prior, likelihood: impl Fn(f64) -> f64) -> (f64, f64) {
    let (m, s) = prior.lognormal(0, 0);
    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
    let steps = 40_000;
    for i in 0..=steps {
        let z = -9.0 + 18.0 * f64::from(i) / f64::from(steps);
        let l = m + s * z;
        let w = (-0.5 * z * z).exp() * likelihood(l.exp());
        sum += w;
        first += w * l;
        second += w * l * l;
    }
    let mean = first / sum;
    (mean, (second / sum - mean * mean).sqrt())
}

fn check_one_seam(law: &ReadingLaw, error_law: ErrorLaw) {
    let list = seams(1, 3.0);
    let prior = Prior::new(
        &list,
        PriorKnobs {
            exponent_sd: 0.0,
            added_variance: 0.0,
            ..PriorKnobs::default()
        },
        0,
    )
    .unwrap();
    let p = error_law.wide_chance;
    let likelihood = |h: f64| match law.relation {
        Relation::Equals => {
            let density = |s: f64| (-0.5 * ((law.y - h) / s).powi(2)).exp() / s;
            (1.0 - p) * density(law.sigma) + p * density(law.sigma_wide)
        }
        Relation::Below => law.tails(h, p).0,
    };
    let (want_mean, want_sd) = by_quadrature(&prior, likelihood);
    let draws = 8000;
    let setups = vec![ClosedSetup::at(25.0, 1, |_| true)];
    let sample = draw(&prior, std::slice::from_ref(law), error_law, setups, draws);
    let (mean, sd) = ln_total(&sample, 1, |_| true);
    // Four Monte Carlo errors; 0.06 covers the heavier tails of a mixture in the error of a standard deviation.
    let error = want_sd / sample.effective_draws.sqrt();
    assert!(
        (mean - want_mean).abs() < 4.0 * error,
        "mean {mean} {want_mean} {error}"
    );
    assert!((sd / want_sd - 1.0).abs() < 0.06, "sd {sd} {want_sd}");
    assert!(sample.draws.iter().all(|d| d.solved));
    assert!(
        sample.effective_draws > 2000.0,
        "{}",
        sample.effective_draws
    );
}

#[test]
fn one_seam_and_a_value_agree_with_quadrature_near_and_far_from_the_prior() {
    // The prior median is 0.55 L/s.
    for y in [0.2e-3, 0.6e-3, 5e-3] {
        check_one_seam(&law(Relation::Equals, y, 0.05), never_wrong());
        check_one_seam(&law(Relation::Equals, y, 0.05), ErrorLaw::default());
    }
}

#[test]
fn one_seam_and_a_bound_agree_with_quadrature() {
    for y in [0.1e-3, 0.6e-3, 5e-3] {
        check_one_seam(&law(Relation::Below, y, 0.05), never_wrong());
        check_one_seam(&law(Relation::Below, y, 0.05), ErrorLaw::default());
    }
}

#[test]
fn linear_rows_give_equal_weights_under_each_hypothesis() {
    let list = seams(9, 1.0001);
    let knobs = PriorKnobs {
        workmanship_sd: 3e-5,
        habit_sd: 2e-5,
        exponent_sd: 0.0,
        added_variance: 0.0,
    };
    let prior = Prior::new(&list, knobs, 0).unwrap();
    let n = list.len();
    let (mut l, mut e) = (vec![0.0; n], vec![0.0; n]);
    prior.laws(&vec![0.0; prior.dim()], &mut l, &mut e);
    let part = |takes: &dyn Fn(usize) -> bool| -> f64 {
        (0..n).filter(|&i| takes(i)).map(|i| l[i].exp()).sum()
    };
    let odd = |i: usize| i % 2 == 1;
    let readings = [
        law(Relation::Equals, part(&|_| true) * 1.0001, 1e-4),
        law(Relation::Equals, part(&odd) * 0.9999, 1e-4),
    ];
    let setups = vec![
        ClosedSetup::at(25.0, n, |_| true),
        ClosedSetup::at(25.0, n, odd),
    ];
    let sample = draw(&prior, &readings, never_wrong(), setups, 500);
    let least = sample.weights.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(least > 0.99, "{least}");
    assert!(sample.draws.iter().all(|d| d.solved));
}

#[test]
fn readings_that_contradict_widen_the_answer_and_agreeing_ones_narrow_it() {
    let list = seams(10, 3.0);
    let prior = Prior::new(&list, PriorKnobs::default(), 0).unwrap();
    let n = list.len();
    let all = || ClosedSetup::at(25.0, n, |_| true);
    let spread = |ys: &[f64]| {
        let readings: Vec<_> = ys.iter().map(|&y| law(Relation::Equals, y, 0.03)).collect();
        let setups = ys.iter().map(|_| all()).collect();
        let sample = draw(&prior, &readings, ErrorLaw::default(), setups, 2000);
        assert!(
            sample.effective_draws > 400.0,
            "{ys:?}: {}",
            sample.effective_draws
        );
        ln_total(&sample, n, |_| true).1
    };
    let one = spread(&[0.05]);
    let agreeing = spread(&[0.05, 0.05]);
    let contradicting = spread(&[0.05, 0.10]);
    assert!(agreeing < 0.9 * one, "{agreeing} {one}");
    assert!(contradicting > 2.0 * one, "{contradicting} {one}");
}

#[test]
fn the_draws_do_not_depend_on_what_was_drawn_before() {
    // One stream per index: a longer run repeats a shorter one's unweighted input, so the first draws of the prior agree.
    let list = seams(5, 3.0);
    let prior = Prior::new(&list, PriorKnobs::default(), 0).unwrap();
    let short = draw(&prior, &[], ErrorLaw::default(), vec![], 10);
    let long = draw(&prior, &[], ErrorLaw::default(), vec![], 40);
    assert_eq!(short.ln_q25[..], long.ln_q25[..short.ln_q25.len()]);
}

#[cfg(feature = "parallel")]
#[test]
fn one_thread_and_two_give_the_same_bytes() {
    let list = seams(20, 3.0);
    let prior = Prior::new(&list, PriorKnobs::default(), 0).unwrap();
    let n = list.len();
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let setups = vec![
                ClosedSetup::at(25.0, n, |_| true),
                ClosedSetup::at(12.0, n, |i| i % 2 == 0),
            ];
            let readings = [
                law(Relation::Equals, 0.15, 0.03),
                law(Relation::Equals, 0.05, 0.03),
            ];
            draw(&prior, &readings, ErrorLaw::default(), setups, 300)
        })
    };
    let (one, two) = (run(1), run(2));
    assert_eq!(one.weights, two.weights);
    assert_eq!(one.ln_q25, two.ln_q25);
    assert_eq!(one.effective_draws.to_bits(), two.effective_draws.to_bits());
}

/// Chains hold their random streams by number, never by thread.
#[test]
fn chains_on_one_thread_and_two_give_the_same_bytes() {
    let list = seams(12, 3.0);
    let prior = Prior::new(&list, PriorKnobs::default(), 0).unwrap();
    let n = list.len();
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let readings = [law(Relation::Equals, 0.08, 0.03)];
            let none = vec![Disturbance::default()];
            let mut problem = Problem {
                prior: &prior,
                readings: &readings,
                looks: &Looks::default(),
                error_law: ErrorLaw::default(),
                readout: ClosedForm {
                    setups: vec![ClosedSetup::at(25.0, n, |_| true); 3],
                },
                disturbance_sd: &none,
            };
            sample_by_chains(&mut problem, 200, 7)
        })
    };
    let (one, two) = (run(1), run(2));
    assert_eq!(one.ln_q25, two.ln_q25);
    assert_eq!(one.effective_draws.to_bits(), two.effective_draws.to_bits());
}

/// Before and after sealing on one system: the second reading tells what remains of the sealed seams, and the first what
/// they leaked.
#[test]
fn a_reading_after_sealing_speaks_of_the_same_seams() {
    let list: Vec<SeamPrior> = seams(2, 2.0)
        .into_iter()
        .map(|s| SeamPrior {
            field_made: false,
            mean_q25_m3_s: 1e-2,
            ..s
        })
        .collect();
    let step = SealedLaw {
        seams: vec![(0, 0.1)],
        shared_sd: 0.3,
        own_sd: 0.4,
    };
    let prior = Prior::new(&list, TINY, 0).unwrap().with_sealing(vec![step]);
    let mut after = law(Relation::Equals, 0.012, 0.02);
    after.stage = 1;
    let readings = [law(Relation::Equals, 0.03, 0.02), after];
    let none = vec![Disturbance::default(); 2];
    let mut problem = Problem {
        prior: &prior,
        readings: &readings,
        looks: &Looks::default(),
        error_law: ErrorLaw {
            wide_chance: 0.0,
            ..ErrorLaw::default()
        },
        readout: ClosedForm {
            setups: vec![ClosedSetup::at(25.0, 2, |_| true); 2],
        },
        disturbance_sd: &none,
    };
    let drawn = sample(&mut problem, 8000, 3);
    // Against a plain grid over (ln q of seam 0, ln q of seam 1, ln of what remains), exponents playing no part at 25 Pa.
    let (s, remain_sd) = (2.0_f64.ln(), 0.3_f64.hypot(0.4));
    let (m, step_z) = (1e-2_f64.ln() - 0.5 * s * s, 0.05);
    let grid: Vec<f64> = (-90..=90).map(|i| f64::from(i) * step_z).collect();
    let (mut sum, mut first) = (0.0, [0.0; 2]);
    for a in &grid {
        for b in &grid {
            let (qa, qb) = ((m + s * a).exp(), (m + s * b).exp());
            let before = (qa + qb - 0.03) / (0.02 * 0.03);
            if before.abs() > 8.0 {
                continue;
            }
            for c in &grid {
                let left = 0.1 * (remain_sd * c).exp();
                let r = (qa * left + qb - 0.012) / (0.02 * 0.012);
                let w = (-0.5 * (a * a + b * b + c * c + before * before + r * r)).exp();
                sum += w;
                first[0] += w * qa.ln();
                first[1] += w * qb.ln();
            }
        }
    }
    for seam in 0..2 {
        let values: Vec<f64> = drawn.ln_q25.iter().skip(seam).step_by(2).copied().collect();
        let (found, want) = (weighted_mean(&values, &drawn.weights), first[seam] / sum);
        assert!(
            (found - want).abs() < 0.02,
            "{seam}: {found} against {want}"
        );
    }
}
