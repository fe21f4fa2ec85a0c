//! Time of an allocation: a house of the models, all readings, 2000 draws.

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::allocate::{AllocateSettings, allocate};
use ductseam::catalog::Catalog;
use ductseam::{sketch, system};

const HOUSES: [(&str, &str); 2] = [
    (
        "bungalow, one reading",
        include_str!("../models/bungalow.yaml"),
    ),
    (
        "two-storey, four readings",
        include_str!("../models/two-storey.yaml"),
    ),
];

fn houses(bench: &mut Criterion) {
    let mut group = bench.benchmark_group("allocate");
    group.sample_size(10);
    for (name, text) in HOUSES {
        let read = sketch::read(text, name).expect("the models are sound");
        let built =
            system::build(&read, text, name, Catalog::builtin()).expect("the models are sound");
        group.bench_function(name, |b| {
            b.iter(|| {
                allocate(&built, &AllocateSettings::default()).expect("the models are sound")
            });
        });
    }
    group.finish();
}

criterion_group!(benches, houses);
criterion_main!(benches);
