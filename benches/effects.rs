//! What sealing does: 24 pairs of draws on two models, every reachable seam sealed to a quarter.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use ductseam::catalog::Catalog;
use ductseam::effects::{EffectsSettings, effects};
use ductseam::seal::BeforeAfter;
use ductseam::system::{Reach, System};
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;

/// Pairs of draws.
const PAIRS: usize = 24;

/// Every seam by its own prior spread; after, those that a hand reaches leak a quarter.
fn pairs(system: &System) -> BeforeAfter {
    let mut rng = Pcg64::seed_from_u64(1);
    let mut pairs = BeforeAfter {
        n_seams: system.seams.len(),
        ..BeforeAfter::default()
    };
    for _ in 0..PAIRS {
        for seam in &system.seams {
            let spread = seam.gsd.ln();
            let z: f64 = StandardNormal.sample(&mut rng);
            let before = seam.mean_q25_m3_s.ln() - 0.5 * spread * spread + spread * z;
            let left = if seam.reach == Reach::Open { 0.25 } else { 1.0 };
            pairs.ln_q25_before.push(before);
            pairs.ln_q25_after.push(before + f64::ln(left));
            pairs.n_before.push(seam.n);
            pairs.n_after.push(seam.n);
        }
    }
    pairs
}

fn models(c: &mut Criterion) {
    let mut group = c.benchmark_group("effects of 24 pairs");
    for name in ["two-storey", "bungalow"] {
        let file = format!("models/{name}.yaml");
        let text = std::fs::read_to_string(&file).expect("run from the crate's folder");
        let sketch = ductseam::sketch::read(&text, &file).expect("sound");
        let system =
            ductseam::system::build(&sketch, &text, &file, Catalog::builtin()).expect("sound");
        let pairs = pairs(&system);
        let settings = EffectsSettings::default();
        group.bench_function(format!("{name}, {} seams", system.seams.len()), |b| {
            b.iter(|| black_box(effects(&system, &pairs, &settings).expect("it settles")));
        });
    }
    group.finish();
}

criterion_group!(benches, models);
criterion_main!(benches);
