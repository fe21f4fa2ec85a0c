//! A design before any test: everything that `predict` says of a model, with and without choices.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::allocate::AllocateSettings;
use ductseam::catalog::Catalog;
use ductseam::predict::{PredictSettings, predict};
use ductseam::system::System;

fn model(name: &str) -> System {
    let file = format!("models/{name}.yaml");
    let text = std::fs::read_to_string(&file).expect("run from the crate's folder");
    let sketch = ductseam::sketch::read(&text, &file).expect("sound");
    ductseam::system::build(&sketch, &text, &file, Catalog::builtin()).expect("sound")
}

fn designs(c: &mut Criterion) {
    let mut group = c.benchmark_group("predict");
    group.sample_size(10);
    for name in ["bungalow", "two-storey"] {
        let system = model(name);
        let whole = PredictSettings::default();
        let alone = PredictSettings {
            choices: 0,
            in_pairs: 0,
            ..PredictSettings::default()
        };
        let few = PredictSettings {
            draws: AllocateSettings {
                draws: 500,
                ..AllocateSettings::default()
            },
            ..alone.clone()
        };
        let seams = system.seams.len();
        for (what, settings) in [
            ("choices and pairs too", &whole),
            ("2000 draws", &alone),
            ("500 draws", &few),
        ] {
            group.bench_function(format!("{name}, {seams} seams, {what}"), |b| {
                b.iter(|| {
                    black_box(predict(&system, Catalog::builtin(), settings).expect("it settles"))
                });
            });
        }
    }
    group.finish();
}

criterion_group!(benches, designs);
criterion_main!(benches);
