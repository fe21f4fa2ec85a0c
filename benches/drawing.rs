//! Pictures of an allocation at hand: one layer, all layers, the page, pixels.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::allocate::{AllocateSettings, Allocation, allocate};
use ductseam::catalog::Catalog;
use ductseam::drawing::{DrawAsk, DrawnFacts, Layer, Sheet, View, draw, png};
use ductseam::report::{House, house_html};
use ductseam::system::System;

/// Dots per millimetre of the pixels: as the program draws them.
const DOTS_PER_MM: f64 = 8.0;

fn model(name: &str) -> System {
    let file = format!("models/{name}.yaml");
    let text = std::fs::read_to_string(&file).expect("run from the crate's folder");
    let sketch = ductseam::sketch::read(&text, &file).expect("sound");
    ductseam::system::build(&sketch, &text, &file, Catalog::builtin()).expect("sound")
}

fn ask(system: &System, layers: &[Layer]) -> DrawAsk {
    DrawAsk {
        layers: layers.to_vec(),
        view: View::Plan,
        sheet: Sheet::Fit,
        units: system.units,
        top: 10,
    }
}

fn facts<'a>(system: &'a System, allocation: &'a Allocation) -> DrawnFacts<'a> {
    DrawnFacts {
        system,
        catalog: Catalog::builtin(),
        allocation: Some(allocation),
        plan: None,
        stop: None,
        cautions: &[],
    }
}

fn pictures(c: &mut Criterion) {
    let mut group = c.benchmark_group("drawing");
    group.sample_size(10);
    for name in ["bungalow", "two-storey", "shop"] {
        let system = model(name);
        let few = AllocateSettings {
            draws: 500,
            ..AllocateSettings::default()
        };
        let allocation = allocate(&system, &few).expect("sound");
        let facts = facts(&system, &allocation);
        let one = ask(&system, &[Layer::Seams]);
        let all = [Layer::Seams, Layer::Top, Layer::Running, Layer::Types];
        let all = ask(&system, &all);
        let seams = system.seams.len();
        for (what, ask) in [("seams", &one), ("four layers", &all)] {
            group.bench_function(format!("{name}, {seams} seams, {what}"), |b| {
                b.iter(|| black_box(draw(&facts, ask).expect("drawn")));
            });
        }
        let drawing = draw(&facts, &all).expect("drawn");
        group.bench_function(format!("{name}, {seams} seams, page"), |b| {
            b.iter(|| {
                black_box(house_html(&House {
                    system: &system,
                    catalog: Catalog::builtin(),
                    units: system.units,
                    allocation: &allocation,
                    drawing: &drawing,
                    predicted: None,
                    compared: None,
                    limits: None,
                    next: None,
                    plan: None,
                    effects: None,
                    proof: None,
                    untold: &[],
                }))
            });
        });
        let sheet = draw(&facts, &one).expect("drawn");
        group.bench_function(format!("{name}, {seams} seams, pixels"), |b| {
            b.iter(|| black_box(png(&sheet.svg, DOTS_PER_MM).expect("painted")));
        });
    }
    group.finish();
}

criterion_group!(benches, pictures);
criterion_main!(benches);
