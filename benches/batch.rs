//! One record of a batch, alone on its core, and learning from many.

#[path = "../tests/common/homes.rs"]
mod homes;

use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::allocate::AllocateSettings;
use ductseam::batch::learn::{Beliefs, learn};
use ductseam::batch::{Ask, HouseEvidence, Record, answer};
use ductseam::catalog::Catalog;
use ductseam::system;

fn ask(draws: usize, learn: bool) -> Ask<'static> {
    Ask {
        catalog: Catalog::builtin(),
        settings: AllocateSettings {
            draws,
            ..AllocateSettings::default()
        },
        beliefs: system::Beliefs::default(),
        learn,
    }
}

fn batch(c: &mut Criterion) {
    let one_core = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("a thread");
    let mut group = c.benchmark_group("batch");
    group
        .sample_size(10)
        .measurement_time(Duration::from_secs(10));
    let house = Record {
        id: "two-storey".to_owned(),
        sketch: include_str!("../models/two-storey.yaml").to_owned(),
        seed: None,
    };
    for draws in [500, 2000] {
        let ask = ask(draws, true);
        group.bench_function(format!("one house, {draws} draws"), |b| {
            b.iter(|| one_core.install(|| answer(black_box(&house), &ask)));
        });
    }
    let truth = homes::truth();
    let ask = ask(500, true);
    let evidence: Vec<HouseEvidence> = (0..100)
        .filter_map(|index| answer(&homes::house(&truth, 1, index), &ask).evidence)
        .collect();
    group.bench_function("learning from 100 houses", |b| {
        b.iter(|| {
            one_core.install(|| {
                learn(
                    &mut evidence.as_slice(),
                    Catalog::builtin(),
                    &Beliefs::default(),
                )
            })
        });
    });
    group.finish();
}

criterion_group!(benches, batch);
criterion_main!(benches);
