//! One flow solve: of a house, cold and warm, with its sensitivities, and as the network grows.

mod common;

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use ductseam::catalog::Catalog;
use ductseam::flow::{
    Disturbance, FlowSettings, SeamLaws, SeamPressure, prepare, sensitivities, solve,
};
use ductseam::system::TestKind;

fn laws<'a>(ln_q25: &'a [f64], n: &'a [f64]) -> SeamLaws<'a> {
    SeamLaws { ln_q25, n }
}

fn house(c: &mut Criterion) {
    let case = common::houses(150, true);
    let net = case.network.build(&FlowSettings::default()).expect("sound");
    let mut ws = net.workspace();
    // A draw near the last one: every seam two per cent off, to and fro.
    let moved: Vec<f64> = case
        .ln_q25
        .iter()
        .enumerate()
        .map(|(i, ln)| ln + if i % 2 == 0 { 0.02 } else { -0.02 })
        .collect();
    let mut group = c.benchmark_group("house of 150 seams");
    group.bench_function("cold", |b| {
        b.iter(|| {
            ws.clear_start();
            black_box(solve(
                &net,
                laws(&case.ln_q25, &case.n),
                Disturbance::default(),
                &mut ws,
            ))
        });
    });
    let mut flip = false;
    group.bench_function("warm", |b| {
        b.iter(|| {
            flip = !flip;
            let ln_q25 = if flip { &moved } else { &case.ln_q25 };
            black_box(solve(
                &net,
                laws(ln_q25, &case.n),
                Disturbance::default(),
                &mut ws,
            ))
        });
    });
    let (mut d_ln, mut d_n) = (vec![0.0; case.n.len()], vec![0.0; case.n.len()]);
    solve(
        &net,
        laws(&case.ln_q25, &case.n),
        Disturbance::default(),
        &mut ws,
    );
    group.bench_function("sensitivities", |b| {
        b.iter(|| {
            black_box(sensitivities(
                &net,
                laws(&case.ln_q25, &case.n),
                &mut ws,
                &mut d_ln,
                &mut d_n,
            ))
        });
    });
    group.finish();
}

/// A model with static pressures at its seams: the usual test, and running with all takeoffs.
fn model(c: &mut Criterion) {
    let file = "models/two-storey.yaml";
    let text = std::fs::read_to_string(file).expect("run from the crate's folder");
    let sketch = ductseam::sketch::read(&text, file).expect("sound");
    let system = ductseam::system::build(&sketch, &text, file, Catalog::builtin()).expect("sound");
    let (ln_q25, n) = system.prior_laws();
    let moved: Vec<f64> = ln_q25.iter().map(|ln| ln + 0.02).collect();
    let mut group = c.benchmark_group("two-storey model");
    for (word, kind) in [("total", TestKind::Total), ("running", TestKind::Running)] {
        for seam_pressure in [SeamPressure::Total, SeamPressure::Static] {
            let settings = FlowSettings {
                seam_pressure,
                ..FlowSettings::default()
            };
            let prepared = prepare(&system, &system.setup(kind), &settings).expect("sound");
            let net = &prepared.network;
            let mut ws = net.workspace();
            group.bench_function(format!("{word}, {seam_pressure:?}, cold"), |b| {
                b.iter(|| {
                    ws.clear_start();
                    black_box(solve(
                        net,
                        laws(&ln_q25, &n),
                        Disturbance::default(),
                        &mut ws,
                    ))
                });
            });
            let mut flip = false;
            group.bench_function(format!("{word}, {seam_pressure:?}, warm"), |b| {
                b.iter(|| {
                    flip = !flip;
                    let ln_q25 = if flip { &moved } else { &ln_q25 };
                    black_box(solve(
                        net,
                        laws(ln_q25, &n),
                        Disturbance::default(),
                        &mut ws,
                    ))
                });
            });
        }
    }
    group.finish();
}

fn growth(c: &mut Criterion) {
    let mut group = c.benchmark_group("cold solve by seams");
    group.sample_size(10);
    for seams in [100, 1_000, 10_000, 100_000, 1_000_000] {
        let case = common::houses(seams, true);
        let net = case.network.build(&FlowSettings::default()).expect("sound");
        let mut ws = net.workspace();
        let laws = laws(&case.ln_q25, &case.n);
        group.throughput(Throughput::Elements(case.n.len() as u64));
        group.bench_function(BenchmarkId::from_parameter(case.n.len()), |b| {
            b.iter(|| {
                ws.clear_start();
                black_box(solve(&net, laws, Disturbance::default(), &mut ws))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, house, model, growth);
criterion_main!(benches);
