//! The sampler against posteriors that were computed without any code of this project: `tests/data/posterior20`.

use ductseam::allocate::{
    ClosedForm, ClosedSetup, Disturbance, ErrorLaw, Looks, Prior, PriorKnobs, Problem, ReadingLaw,
    Sample, SeamPrior, WideError, sample, weighted_mean, weighted_quantile,
};
use ductseam::sketch::Relation;
use serde_json::Value;

const POSTERIOR20: &str = include_str!("data/posterior20/posterior20.json");
const HOUSE4: &str = include_str!("data/posterior20/house4.json");
/// Draws of one run for the 20 seams.
const DRAWS: usize = 5_000;
/// Draws of one run for the four seams, whose reference is exact: more draws see smaller faults.
const DRAWS_OF_FOUR: usize = 25_000;
/// Our own Monte Carlo errors come from the spread of the answers of this many runs of [`DRAWS`] with other seeds.
const RUNS: u64 = 32;

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .expect("the reference file holds numbers here")
}

fn list(value: &Value) -> &[Value] {
    value
        .as_array()
        .expect("the reference file holds lists here")
}

fn seams(file: &Value) -> Vec<SeamPrior> {
    let is_made = |id: &str| {
        file["joint_types"].as_array().is_some_and(|types| {
            types
                .iter()
                .any(|t| t["id"] == id && t["field_made"] == Value::Bool(true))
        })
    };
    list(&file["seams"])
        .iter()
        .enumerate()
        .map(|(i, seam)| {
            let joint_type = seam["joint_type"].as_str().unwrap_or("factory").to_owned();
            SeamPrior {
                id: format!("seam {i}"),
                mean_q25_m3_s: number(&seam["mean_q25_m3_s"]),
                gsd: number(&seam["gsd"]),
                n: number(&seam["n"]),
                field_made: is_made(&joint_type),
                joint_type,
            }
        })
        .collect()
}

/// The error law of the reference files: a twentieth of the readings with twice the σ.
fn error_law(file: &Value) -> ErrorLaw {
    ErrorLaw {
        wide_chance: number(&file["error_law"]["wide_share"]),
        wide: WideError::TimesSigma(number(&file["error_law"]["wide_sd_factor"])),
        ..ErrorLaw::default()
    }
}

fn reading(law: &ErrorLaw, from: &Value) -> ReadingLaw {
    let made = law
        .reading(
            "reading",
            Relation::Equals,
            number(&from["measured_m3_s"]),
            number(&from["relative_sd"]),
            number(&from["floor_sd_m3_s"]),
            None,
        )
        .expect("the reference readings are sound");
    assert!((made.sigma / number(&from["sigma_m3_s"]) - 1.0).abs() < 1e-12);
    made
}

fn draw(
    prior: &Prior,
    law: ErrorLaw,
    readings: &[ReadingLaw],
    setups: &[ClosedSetup],
    draws: usize,
    seed: u64,
) -> Sample {
    let none = vec![Disturbance::default(); readings.len()];
    let mut problem = Problem {
        prior,
        readings,
        looks: &Looks::default(),
        error_law: law,
        readout: ClosedForm {
            setups: setups.to_vec(),
        },
        disturbance_sd: &none,
    };
    sample(&mut problem, draws, seed)
}

/// mean, sd, p05, p50, p95 of a quantity of each draw, in that order.
fn figures(sample: &Sample, n_seams: usize, quantity: impl Fn(&[f64]) -> f64) -> [f64; 5] {
    let values: Vec<f64> = sample.ln_q25.chunks_exact(n_seams).map(quantity).collect();
    let mean = weighted_mean(&values, &sample.weights);
    let squares: Vec<f64> = values.iter().map(|v| (v - mean).powi(2)).collect();
    let mut pairs: Vec<(f64, f64)> = values
        .iter()
        .copied()
        .zip(sample.weights.iter().copied())
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let at = |p: f64| weighted_quantile(&pairs, p);
    [
        mean,
        weighted_mean(&squares, &sample.weights).sqrt(),
        at(0.05),
        at(0.5),
        at(0.95),
    ]
}

fn share(sample: &Sample, n_seams: usize, seam: usize) -> f64 {
    let shares: Vec<f64> = sample
        .ln_q25
        .chunks_exact(n_seams)
        .map(|row| row[seam].exp() / row.iter().map(|l| l.exp()).sum::<f64>())
        .collect();
    weighted_mean(&shares, &sample.weights)
}

/// Mean over the runs and its standard error.
fn pooled(runs: &[f64]) -> (f64, f64) {
    let count = runs.len() as f64;
    let mean = runs.iter().sum::<f64>() / count;
    let variance = runs.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / (count - 1.0);
    (mean, (variance / count).sqrt())
}

/// Gathers gaps between our pooled figures and the reference in combined standard errors.
///
/// Where our error rules, gaps follow Student's law with 31 degrees of freedom: beyond 4 lies 0.04 % of it, and its mean
/// square is 31/29. So at most 1 % of the figures may exceed four combined errors, none six, and the mean square
/// must stay below 2: figures of one run are tied together, so it scatters more than 1/√count. (Eight longer runs
/// were tried first: with 7 degrees of freedom the errors themselves are too uncertain for such limits.)
#[derive(Default)]
struct Gaps(Vec<f64>);

impl Gaps {
    fn add(&mut self, runs: &[f64], want: f64, want_error: f64) {
        let (mean, error) = pooled(runs);
        self.0.push((mean - want) / error.hypot(want_error));
    }

    fn check(&self, what: &str) {
        let beyond = |limit: f64| {
            self.0
                .iter()
                .filter(|g| g.is_nan() || g.abs() >= limit)
                .count()
        };
        let mean_square = self.0.iter().map(|g| g * g).sum::<f64>() / self.0.len() as f64;
        println!(
            "{what}: {} figures, {} beyond 4, mean square {mean_square:.2}",
            self.0.len(),
            beyond(4.0)
        );
        assert_eq!(beyond(6.0), 0, "{what}: {:?}", self.0);
        assert!(beyond(4.0) * 100 <= self.0.len(), "{what}: {:?}", self.0);
        assert!(mean_square < 2.0, "{what}: {mean_square}");
    }
}

fn check_set(name: &str, n_readings: usize) {
    let file: Value = serde_json::from_str(POSTERIOR20).expect("the reference file is JSON");
    let list_of_seams = seams(&file);
    let n = list_of_seams.len();
    let knobs = PriorKnobs {
        workmanship_sd: number(&file["prior"]["workmanship_sd"]),
        habit_sd: number(&file["prior"]["habit_sd"]),
        exponent_sd: number(&file["prior"]["exponent_sd"]),
        added_variance: 0.0,
    };
    let prior = Prior::new(&list_of_seams, knobs, 0).expect("the reference prior is sound");
    let law = error_law(&file);
    let stated = &list(&file["readings"])[..n_readings];
    let readings: Vec<ReadingLaw> = stated.iter().map(|r| reading(&law, r)).collect();
    let setups: Vec<ClosedSetup> = stated
        .iter()
        .map(|r| {
            let is_supply_alone = r["supply_side_alone"] == Value::Bool(true);
            ClosedSetup::at(number(&r["pressure_pa"]), n, |i| {
                !is_supply_alone || file["seams"][i]["side"] == "supply"
            })
        })
        .collect();
    let runs: Vec<Sample> = (1..=RUNS)
        .map(|seed| draw(&prior, law, &readings, &setups, DRAWS, seed))
        .collect();
    for run in &runs {
        println!(
            "{name}: {:.0} of {DRAWS} effective, k {:.2?}, {} failed",
            run.effective_draws,
            run.pareto_k.unwrap_or(f64::NAN),
            run.draws.iter().filter(|d| !d.solved).count()
        );
        assert!(run.best_point_settled && run.draws.iter().all(|d| d.solved));
        assert!(run.pareto_k.is_none_or(|k| k < 0.7));
    }
    let reference = &file["sets"][name]["importance"];
    let mut gaps = Gaps::default();
    let keys = ["mean", "sd", "p05", "p50", "p95"];
    let mut compare = |want: &Value, quantity: &dyn Fn(&[f64]) -> f64| {
        let ours: Vec<[f64; 5]> = runs.iter().map(|run| figures(run, n, quantity)).collect();
        for (at, key) in keys.iter().enumerate() {
            let of_runs: Vec<f64> = ours.iter().map(|f| f[at]).collect();
            gaps.add(
                &of_runs,
                number(&want[*key]),
                number(&want[format!("se_{key}")]),
            );
        }
    };
    for i in 0..n {
        compare(&reference["ln_q25"][i], &|row| row[i]);
    }
    compare(&reference["total_q25_m3_s"], &|row| {
        row.iter().map(|l| l.exp()).sum()
    });
    for i in 0..n {
        let of_runs: Vec<f64> = runs.iter().map(|run| share(run, n, i)).collect();
        let want = &reference["ln_q25"][i];
        gaps.add(&of_runs, number(&want["share"]), number(&want["se_share"]));
    }
    gaps.check(name);
}

#[test]
fn one_total_gives_the_reference_posterior() {
    check_set("A", 1);
}

#[test]
fn a_total_and_one_side_give_the_reference_posterior() {
    check_set("B", 2);
}

#[test]
fn two_pressures_and_one_side_give_the_reference_posterior() {
    check_set("C", 3);
}

#[test]
fn four_factory_seams_give_the_posterior_of_nested_quadrature() {
    let file: Value = serde_json::from_str(HOUSE4).expect("the reference file is JSON");
    let list_of_seams = seams(&file);
    let n = list_of_seams.len();
    let knobs = PriorKnobs {
        exponent_sd: 0.0,
        added_variance: 0.0,
        ..PriorKnobs::default()
    };
    let prior = Prior::new(&list_of_seams, knobs, 0).expect("the reference prior is sound");
    let law = error_law(&file);
    let readings = [reading(&law, &file)];
    let setups = [ClosedSetup::at(number(&file["pressure_pa"]), n, |_| true)];
    let runs: Vec<Sample> = (1..=RUNS)
        .map(|seed| draw(&prior, law, &readings, &setups, DRAWS_OF_FOUR, seed))
        .collect();
    let mut gaps = Gaps::default();
    let mut compare = |want: &Value, quantity: &dyn Fn(&[f64]) -> f64| {
        let ours: Vec<[f64; 5]> = runs.iter().map(|run| figures(run, n, quantity)).collect();
        for (at, key) in ["mean", "sd", "p05", "p50", "p95"].iter().enumerate() {
            let of_runs: Vec<f64> = ours.iter().map(|f| f[at]).collect();
            gaps.add(&of_runs, number(&want[*key]), 0.0);
        }
    };
    for i in 0..n {
        compare(&file["ln_q25"][i], &|row| row[i]);
    }
    compare(&file["total_q25_m3_s"], &|row| {
        row.iter().map(|l| l.exp()).sum()
    });
    for i in 0..n {
        let of_runs: Vec<f64> = runs.iter().map(|run| share(run, n, i)).collect();
        gaps.add(&of_runs, number(&file["ln_q25"][i]["share"]), 0.0);
    }
    gaps.check("house of four seams");
}
