//! Time of the answers: best point, draws and chains, allocation, next, compare, sensitivity.
//!
//! Compare figures of one run only; budgets and results stand in `DEVELOPERS.md`.

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::allocate::{
    AllocateSettings, ClosedForm, ClosedSetup, Disturbance, ErrorLaw, Looks, NextAsk, Prior,
    PriorKnobs, Problem, ReadingLaw, SeamPrior, allocate, compare, next, sample, sensitivity,
};
use ductseam::catalog::Catalog;
use ductseam::sketch::{self, Relation};
use ductseam::system::{self, System};

const BUNGALOW: &str = include_str!("../models/bungalow.yaml");
const LOOSE: &str = include_str!("../models/loose-takeoff.yaml");

fn build(text: &str) -> System {
    let read = sketch::read(text, "bench").expect("the sketch is sound");
    system::build(&read, text, "bench", Catalog::builtin()).expect("the sketch is sound")
}

/// An invented bungalow of about 150 seams with other evidence than its own.
fn bungalow(evidence: &str) -> System {
    let (ducts, _) = BUNGALOW
        .split_once("\nreadings:\n")
        .expect("the model has readings");
    build(&format!("{ducts}\n{evidence}"))
}

/// Three readings and twenty looks.
fn house() -> System {
    let mut text = String::from(
        "readings:\n\
         \x20 - {id: total, total: 268 cfm at 25 Pa ± 3 %, gauge: A}\n\
         \x20 - {id: supply side, supply: 150 cfm at 25 Pa ± 4 %, gauge: A}\n\
         \x20 - {id: outside, to outside: 24 cfm at 25 Pa ± 5 %, gauge: A}\n\
         looks:\n",
    );
    text.push_str(&looks());
    bungalow(&text)
}

/// Smoke at both seams of ten boots.
fn looks() -> String {
    let mut text = String::new();
    let seams = RUNS
        .iter()
        .take(10)
        .flat_map(|run| ["boot", "boot gap"].map(|seam| format!("{run}/{seam}")));
    for (seam, seen) in seams.zip(["none", "wisp", "none", "strong"].into_iter().cycle()) {
        writeln!(text, "  - {{seam: {seam}, smoke: {seen}, by: one}}").expect("a string takes all");
    }
    text
}

const RUNS: [&str; 11] = [
    "living front",
    "living side",
    "dining",
    "kitchen",
    "entry",
    "bath",
    "hall",
    "bedroom 1 north",
    "bedroom 1 west",
    "bedroom 2",
    "bedroom 3",
];

/// Fifteen sharp readings in tension with one another and twenty looks: a first weighted run is worth too little.
fn rich() -> System {
    let mut text = String::from(
        "readings:\n\
         \x20 - {id: total, total: [192 cfm at 15 Pa ± 1 %, 268 cfm at 25 Pa ± 1 %, 415 cfm at 50 Pa ± 1 %], gauge: A}\n\
         \x20 - {id: supply side, supply: 150 cfm at 25 Pa ± 1 %, gauge: A}\n",
    );
    let cfm = [5.1, 3.2, 3.6, 5.4, 3.0, 4.4, 4.1, 3.3, 4.8, 3.4, 5.0];
    for (run, cfm) in RUNS.iter().zip(cfm) {
        writeln!(
            text,
            "  - {{id: {run} alone, isolated: {cfm} cfm at 25 Pa ± 0.1 cfm, run: {run}, gauge: A}}"
        )
        .expect("a string takes all");
    }
    text.push_str("looks:\n");
    text.push_str(&looks());
    bungalow(&text)
}

fn answers(bench: &mut Criterion) {
    let (house, rich, loose) = (house(), rich(), build(LOOSE));
    let usual = AllocateSettings::default();
    // One draw: what is left is the way to the best points of all hypotheses.
    let one = AllocateSettings {
        draws: 1,
        prior_draws: 1,
        ..AllocateSettings::default()
    };
    let says = |name: &str, system: &System| {
        let found = allocate(system, &usual).expect("the sketch is sound");
        println!(
            "{name}: {} seams, {} readings, {} looks, method {}, {} cases, worth {:.0}",
            system.seams.len(),
            system.readings.len(),
            system.looks.len(),
            found.diagnostics.method.word(),
            found.diagnostics.hypotheses,
            found.diagnostics.effective_draws,
        );
        found
    };
    let found = says("house", &house);
    says("rich", &rich);
    says("loose takeoff", &loose);

    let mut group = bench.benchmark_group("answers");
    group.sample_size(10);
    group.measurement_time(Duration::from_secs(5));
    group.bench_function("house, best points, hypotheses and 1 draw", |b| {
        b.iter(|| allocate(black_box(&house), &one).expect("sound"));
    });
    group.bench_function("house, 2000 draws", |b| {
        b.iter(|| allocate(black_box(&house), &usual).expect("sound"));
    });
    group.bench_function("rich house, 2000 draws", |b| {
        b.iter(|| allocate(black_box(&rich), &usual).expect("sound"));
    });
    group.bench_function("loose takeoff, open seams, 2000 draws", |b| {
        b.iter(|| allocate(black_box(&loose), &usual).expect("sound"));
    });
    group.bench_function("house, next, all candidates", |b| {
        b.iter(|| next(black_box(&house), &usual, &NextAsk::default()).expect("sound"));
    });
    group.bench_function("house, compare", |b| {
        b.iter(|| compare(black_box(&house), &usual).expect("sound"));
    });
    group.bench_function("house, sensitivity without its base", |b| {
        b.iter(|| sensitivity(black_box(&house), &usual, &found).expect("sound"));
    });
    group.finish();
}

/// 2000 draws of the house on one thread and on two; the pools are made beforehand.
#[cfg(feature = "parallel")]
fn threads(bench: &mut Criterion) {
    let house = house();
    let usual = AllocateSettings::default();
    let mut group = bench.benchmark_group("house, 2000 draws, threads");
    group.sample_size(10);
    group.measurement_time(Duration::from_secs(5));
    for count in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(count)
            .build()
            .expect("a pool of few threads");
        group.bench_function(count.to_string(), |b| {
            b.iter(|| pool.install(|| allocate(black_box(&house), &usual).expect("sound")));
        });
    }
    group.finish();
}

#[cfg(not(feature = "parallel"))]
fn threads(_: &mut Criterion) {}

/// Ten readings of 10⁵ seams without friction; one draw, so that the best point takes the time.
fn many_seams(bench: &mut Criterion) {
    const SEAMS: usize = 100_000;
    const READINGS: usize = 10;
    let seams: Vec<SeamPrior> = (0..SEAMS)
        .map(|i| SeamPrior {
            id: format!("seam {i}"),
            joint_type: format!("type {}", i % 20),
            mean_q25_m3_s: 1e-6 * (1.0 + (i % 7) as f64),
            gsd: 3.0,
            n: 0.6,
            field_made: true,
        })
        .collect();
    let prior = Prior::new(&seams, PriorKnobs::default(), 0).expect("sound seams");
    let law = ErrorLaw::default();
    // Reading k is of every tenth seam from the k-th on; each reads a fifth above what the means say.
    let setups: Vec<ClosedSetup> = (0..READINGS)
        .map(|k| ClosedSetup::at(25.0, SEAMS, |i| i % READINGS == k))
        .collect();
    let readings: Vec<ReadingLaw> = (0..READINGS)
        .map(|k| {
            let mean: f64 = seams
                .iter()
                .skip(k)
                .step_by(READINGS)
                .map(|s| s.mean_q25_m3_s)
                .sum();
            law.reading("reading", Relation::Equals, 1.2 * mean, 0.03, 1e-6, None)
                .expect("a sound reading")
        })
        .collect();
    let none = [Disturbance::default(); READINGS];
    let looks = Looks::default();
    let mut group = bench.benchmark_group("100000 seams, 10 readings, closed form");
    group.sample_size(10);
    group.measurement_time(Duration::from_secs(5));
    for draws in [1, 2] {
        group.bench_function(format!("best points and {draws} draws"), |b| {
            b.iter(|| {
                let mut problem = Problem {
                    prior: &prior,
                    readings: &readings,
                    looks: &looks,
                    error_law: law,
                    readout: ClosedForm {
                        setups: setups.clone(),
                    },
                    disturbance_sd: &none,
                };
                black_box(sample(&mut problem, draws, 1))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, answers, threads, many_seams);
criterion_main!(benches);
