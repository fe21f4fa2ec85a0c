//! Time of what a page asks after a change: the sketch looked at, changed, answered quickly and whole.

#[path = "common/sketches.rs"]
mod sketches;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::board::call;
use serde_json::{Value, json};

const BUNGALOW: &str = include_str!("../models/bungalow.yaml");
const TWO_STOREY: &str = include_str!("../models/two-storey.yaml");

/// Asks, and refuses to time a refusal.
fn ask(request: &str) -> String {
    let reply = call(black_box(request));
    assert!(reply.starts_with("{\"ok\":true"), "{reply}");
    reply
}

fn request(value: &Value) -> String {
    value.to_string()
}

fn board(bench: &mut Criterion) {
    let large = sketches::large(BUNGALOW, 3000);
    let mut group = bench.benchmark_group("board");
    group.sample_size(10);
    for (name, text) in [
        ("bungalow", BUNGALOW),
        ("two-storey", TWO_STOREY),
        ("large", large.as_str()),
    ] {
        let look = request(&json!({"ask": "look", "text": text}));
        group.bench_function(format!("look, {name}"), |b| b.iter(|| ask(&look)));
        let change = request(&json!({"ask": "change", "text": text, "changes": [
            {"do": "set", "path": ["runs", 2, "size"], "value": "7 in"}
        ]}));
        group.bench_function(format!("change, {name}"), |b| b.iter(|| ask(&change)));
    }
    for (name, text) in [("bungalow", BUNGALOW), ("two-storey", TWO_STOREY)] {
        for draws in [500, 2000] {
            let answers =
                request(&json!({"ask": "answers", "text": text, "draws": draws, "seed": 1}));
            group.bench_function(format!("shares and bands, {draws} draws, {name}"), |b| {
                b.iter(|| ask(&answers));
            });
            let all = request(
                &json!({"ask": "answers", "text": text, "draws": draws, "seed": 1,
                "time": "3 h", "next": true}),
            );
            group.bench_function(
                format!("with next looks and plan, {draws} draws, {name}"),
                |b| {
                    b.iter(|| ask(&all));
                },
            );
        }
    }
    group.finish();
}

criterion_group!(benches, board);
criterion_main!(benches);
