use super::*;
use crate::allocate::{AllocateSettings, Open, posterior};
use crate::catalog::Catalog;

const BUNGALOW: &str = include_str!("../../models/bungalow.yaml");

fn bungalow(more: &str) -> System {
    let text = format!("{BUNGALOW}{more}");
    let read = crate::sketch::read(&text, "bungalow.yaml").expect("sound");
    crate::system::build(&read, &text, "bungalow.yaml", Catalog::builtin()).expect("sound")
}

fn drawn(system: &System) -> Posterior {
    let settings = AllocateSettings {
        draws: 1500,
        ..AllocateSettings::default()
    };
    posterior(system, &settings).expect("sound")
}

/// ∫ g(z)·φ(z) dz by the midpoint rule on −8..8.
fn mean_over_normal(g: impl Fn(f64) -> f64) -> f64 {
    let step = 1e-3;
    (0..16_000)
        .map(|k| {
            let z = -8.0 + (f64::from(k) + 0.5) * step;
            g(z) * (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() * step
        })
        .sum()
}

#[test]
fn the_mean_part_that_remains_is_that_of_the_formula() {
    let system = bungalow("");
    let draws = drawn(&system);
    let left = Left::new(&system, &draws, 3).expect("its own draws");
    for (method, by) in system.crew.methods.iter().enumerate() {
        // Missed and remaining parts are independent; the two spreads of the latter add up in variance.
        let s = by.missed_shared_gsd.ln();
        let missed = mean_over_normal(|z| (by.missed * (s * z - 0.5 * s * s).exp()).min(1.0));
        let spread = by.remains_own_gsd.ln().hypot(by.remains_shared_gsd.ln());
        let remains = mean_over_normal(|z| (by.remains * (spread * z).exp()).min(1.0));
        let expected = missed + (1.0 - missed) * remains;
        let seams: Vec<usize> = (0..100).collect();
        let found: f64 = seams
            .iter()
            .map(|&seam| {
                (0..left.count())
                    .filter(|&draw| !left.is_open(draw, seam))
                    .map(|draw| left.weights[draw] * left.part(draw, seam, method))
                    .sum::<f64>()
                    / (1.0 - left.open_chance(seam))
            })
            .sum::<f64>()
            / 100.0;
        // Some 1000 independent draws of a shared spread near 0.6 of the mean: 2 %, twice that allowed.
        assert!(
            (found / expected - 1.0).abs() < 0.05,
            "{}: {found} for {expected}",
            by.id
        );
    }
}

#[test]
fn misses_of_one_crew_do_not_cancel_over_many_seams() {
    let system = bungalow("");
    let draws = drawn(&system);
    let left = Left::new(&system, &draws, 3).expect("its own draws");
    let mesh = system.crew.method("mastic-mesh").expect("a method");
    let mean_of = |seams: std::ops::Range<usize>| -> Vec<f64> {
        (0..left.count())
            .map(|draw| {
                let sum: f64 = seams
                    .clone()
                    .map(|seam| left.sealed_part(draw, seam, mesh, &system.crew.methods[mesh]))
                    .sum();
                sum / seams.len() as f64
            })
            .collect()
    };
    let spread = |values: &[f64]| {
        let band = left.band(values);
        band.p95 - band.p05
    };
    let (one, many) = (spread(&mean_of(0..1)), spread(&mean_of(0..180)));
    // Independent misses would leave a thirteenth of it.
    assert!(many > 0.4 * one, "{many} of {one}");
}

#[test]
fn what_hangs_open_is_put_back_by_hand_and_left_open_from_inside() {
    let system = bungalow("");
    let mut draws = drawn(&system);
    let seam = system
        .seams
        .iter()
        .position(|s| s.id == "kitchen/tab collar")
        .expect("a collar");
    let n = system.seams.len();
    for draw in 0..draws.weights.len() {
        draws.open[draw] = Open::one(seam);
        draws.q25_m3_s[draw * n + seam] = 0.1;
    }
    let left = Left::new(&system, &draws, 3).expect("its own draws");
    let (mesh, inside) = (
        system.crew.method("mastic-mesh").expect("a method"),
        system.crew.method("inside").expect("a method"),
    );
    assert!((left.open_chance(seam) - 1.0).abs() < 1e-12);
    for draw in 0..50 {
        let after = 0.1 * left.part(draw, seam, mesh);
        assert!(after <= system.seams[seam].mean_q25_m3_s, "{after}");
        assert!((left.part(draw, seam, inside) - 1.0).abs() < 1e-12);
        let (mut ln_q25, mut exponents) = (Vec::new(), Vec::new());
        left.after(draw, &[(seam, mesh)], &mut ln_q25, &mut exponents);
        assert!((exponents[seam] - system.seams[seam].n).abs() < 1e-12);
    }
}

#[test]
fn a_seam_that_was_put_together_and_sealed_since_hangs_open_no_more() {
    let system = bungalow("\nsealing: [{id: one, seams: kitchen/tab collar}]\n");
    let mut draws = drawn(&system);
    assert_eq!(draws.allocation.stage, 1);
    let seam = system.sealing[0].seams[0];
    draws.open.fill(Open::one(seam));
    let left = Left::new(&system, &draws, 3).expect("its own draws");
    assert!(left.open_chance(seam).abs() < 1e-12);
}

#[test]
fn evenly_spaced_draws_stand_for_the_weights() {
    let system = bungalow("");
    let mut draws = drawn(&system);
    // Far from equal weights.
    for (draw, weight) in draws.weights.iter_mut().enumerate() {
        *weight *= if draw.is_multiple_of(3) { 1.0 } else { 0.02 };
    }
    let left = Left::new(&system, &draws, 3).expect("its own draws");
    let total = |draw: usize| -> f64 { (0..system.seams.len()).map(|s| left.test(draw, s)).sum() };
    let mean: f64 = (0..left.count()).map(|d| left.weights[d] * total(d)).sum();
    let picked = left.evenly(200);
    let even: f64 = picked.iter().map(|&d| total(d)).sum::<f64>() / 200.0;
    assert!((even / mean - 1.0).abs() < 0.002, "{even} for {mean}");
    assert!(
        picked
            .iter()
            .filter(|&&d| left.kept[d].is_multiple_of(3))
            .count()
            > 180
    );
}
