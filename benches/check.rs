//! Time of a check: a sketch read and built into pieces and seams.

#[path = "common/sketches.rs"]
mod sketches;

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use ductseam::catalog::Catalog;
use ductseam::{sketch, system};

const BUNGALOW: &str = include_str!("../models/bungalow.yaml");

fn seams(text: &str) -> usize {
    let read = sketch::read(text, "bench.yaml").expect("the sketch is sound");
    let built = system::build(&read, text, "bench.yaml", Catalog::builtin());
    built.expect("the sketch is sound").seams.len()
}

fn check(bench: &mut Criterion) {
    let large = sketches::large(BUNGALOW, 800);
    let mut group = bench.benchmark_group("check");
    group.sample_size(10);
    for (name, text) in [("bungalow", BUNGALOW), ("100 more trunks", &large)] {
        group.throughput(Throughput::Elements(seams(text) as u64));
        group.bench_function(name, |b| b.iter(|| seams(black_box(text))));
    }
    group.finish();
}

criterion_group!(benches, check);
criterion_main!(benches);
