//! Time of plans and proofs, the draws at hand: house of 188 seams, 2000 draws.
//!
//! Compare figures of one run only; budgets and results stand in `DEVELOPERS.md`.

use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::allocate::{AllocateSettings, posterior};
use ductseam::catalog::Catalog;
use ductseam::seal::{Left, PlanAsk, plan, prove};
use ductseam::system::System;

fn model(name: &str) -> System {
    let file = format!("models/{name}.yaml");
    let text = std::fs::read_to_string(&file).expect("run from the crate's folder");
    let sketch = ductseam::sketch::read(&text, &file).expect("sound");
    ductseam::system::build(&sketch, &text, &file, Catalog::builtin()).expect("sound")
}

fn plans(c: &mut Criterion) {
    let mut group = c.benchmark_group("plan");
    group.sample_size(10);
    group.measurement_time(Duration::from_secs(10));
    let cfm = |value: f64| value * 0.3048_f64.powi(3) / 60.0;
    for (name, target) in [("bungalow", 180.0), ("two-storey", 130.0)] {
        let system = model(name);
        let settings = AllocateSettings::default();
        let draws = posterior(&system, &settings).expect("sound");
        let of = |ask: PlanAsk| {
            let left = Left::new(&system, &draws, 1).expect("its own draws");
            plan(&left, &ask).expect("a plan")
        };
        let seams = system.seams.len();
        group.bench_function(format!("{name}, {seams} seams, 4 h, no frontier"), |b| {
            b.iter(|| {
                black_box(of(PlanAsk {
                    minutes: Some(240.0),
                    frontier: 0,
                    ..PlanAsk::default()
                }))
            });
        });
        group.bench_function(format!("{name}, {seams} seams, 4 h, frontier"), |b| {
            b.iter(|| {
                black_box(of(PlanAsk {
                    minutes: Some(240.0),
                    ..PlanAsk::default()
                }))
            });
        });
        group.bench_function(format!("{name}, {seams} seams, target, frontier"), |b| {
            b.iter(|| {
                black_box(of(PlanAsk {
                    target_m3_s: Some(cfm(target)),
                    ..PlanAsk::default()
                }))
            });
        });
    }
    let sealed = model("bungalow-sealed");
    group.bench_function("prove, draws included", |b| {
        b.iter(|| black_box(prove(&sealed, &AllocateSettings::default(), None).expect("a proof")));
    });
    group.finish();
}

criterion_group!(benches, plans);
criterion_main!(benches);
