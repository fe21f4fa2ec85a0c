//! The proof: the error of a difference against readings made up at random, and what must be refused.

use ductseam::allocate::AllocateSettings;
use ductseam::catalog::Catalog;
use ductseam::seal::{CameOut, Proof, SealError, prove};
use ductseam::system::System;
use ductseam::{sketch, system};
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;

const SEALED: &str = include_str!("../models/bungalow-sealed.yaml");

fn built(text: &str) -> System {
    let read = sketch::read(text, "sealed.yaml")
        .map_err(|wrong| wrong.render(false))
        .expect("a good sketch");
    system::build(&read, text, "sealed.yaml", Catalog::builtin())
        .map_err(|wrong| wrong.render(false))
        .expect("a good system")
}

fn settings() -> AllocateSettings {
    AllocateSettings {
        draws: 500,
        ..AllocateSettings::default()
    }
}

fn proof(text: &str) -> Result<Proof, SealError> {
    prove(&built(text), &settings(), Some(0.05))
}

#[test]
fn the_error_of_a_difference_is_that_of_readings_made_up_at_random() {
    let found = proof(SEALED).expect("a proof");
    let pair = &found.pairs[0];
    let system = built(SEALED);
    let (a, b) = (&system.readings[pair.before], &system.readings[pair.after]);
    assert_eq!(a.gauge, b.gauge);
    let shared = settings().error_law.gauge_shared;
    let mut random = Pcg64::seed_from_u64(4);
    let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
    let (mut cuts, mut parts) = (Vec::new(), Vec::new());
    for _ in 0..200_000 {
        let gauge = shared.sqrt() * normal();
        let mut read = |value: f64, relative: f64, floor: f64| {
            value * (1.0 + relative * (gauge + (1.0 - shared).sqrt() * normal())) + floor * normal()
        };
        let y0 = read(a.value, a.relative_sd, a.floor_sd);
        let y1 = read(b.value, b.relative_sd, b.floor_sd);
        cuts.push(y0 - y1);
        parts.push(1.0 - y1 / y0);
    }
    let sd = |values: &[f64]| {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt()
    };
    // 200 000 draws know a standard deviation within 0.2 %; the quotient is linearised, its curvature a further 1 %.
    assert!((pair.cut_sd_m3_s / sd(&cuts) - 1.0).abs() < 0.01);
    assert!((pair.part_sd / sd(&parts) - 1.0).abs() < 0.03);
    assert!((pair.cut_m3_s - (a.value - b.value)).abs() < 1e-15);
    assert!((pair.part - (1.0 - b.value / a.value)).abs() < 1e-15);
}

#[test]
fn readings_by_two_gauges_prove_less_than_by_one() {
    let two = SEALED
        .replace("after: second day", "after: second day\n    gauge: B")
        .replace("date: 2026-10-05\n", "date: 2026-10-05\n    gauge: A\n");
    let (one, two) = (proof(SEALED).expect("one"), proof(&two).expect("two"));
    assert!(two.pairs[0].part_sd > 1.2 * one.pairs[0].part_sd);
}

#[test]
fn what_is_left_is_told_by_both_readings_and_what_was_sealed_leaks_less() {
    let found = proof(SEALED).expect("a proof");
    // 268 and 139 cfm were read; 1 cfm is 0.3048³/60 m³/s.
    let cfm = 0.3048_f64.powi(3) / 60.0;
    let near = |found: f64, read: f64| (found / cfm - read).abs() < 0.03 * read;
    assert!(near(found.before.house.total_m3_s.mean, 268.0));
    assert!(near(found.after.house.total_m3_s.mean, 139.0));
    for sealed in &found.sealed {
        assert!(
            sealed.left < 0.7,
            "{}: {}",
            found.after.seams[sealed.seam].id,
            sealed.left
        );
    }
    // A seam that nobody touched leaks as before.
    let touched = |seam: usize| found.sealed.iter().any(|s| s.seam == seam);
    let untouched = found.remaining.iter().copied().find(|&s| !touched(s));
    let seam = untouched.expect("some are not sealed");
    let (before, after) = (&found.before.seams[seam], &found.after.seams[seam]);
    assert!((after.q25_m3_s.mean / before.q25_m3_s.mean - 1.0).abs() < 0.1);
}

#[test]
fn a_retest_far_off_is_called_worse_or_better_and_an_ordinary_one_neither() {
    let with = |cfm: &str| {
        let text = SEALED.replace("total: 139 cfm", &format!("total: {cfm} cfm"));
        proof(&text).expect("a proof").pairs[0].came_out
    };
    assert_eq!(with("180"), CameOut::AsExpected);
    assert_eq!(with("262"), CameOut::Worse);
    assert_eq!(with("40"), CameOut::Better);
}

#[test]
fn without_two_readings_on_one_basis_there_is_no_proof_but_advice() {
    let hint = |text: &str| {
        let error = proof(text).expect_err("no proof");
        format!("{error} / {}", error.hint().expect("advice"))
    };
    let unsealed = include_str!("../models/bungalow.yaml");
    assert!(hint(unsealed).contains("lists no sealing"));
    let other = SEALED.replace("total: 139 cfm at 25 Pa", "total: 139 cfm at 50 Pa");
    let said = hint(&other);
    assert!(said.contains("25 and at 50 Pa"), "{said}");
    let outside = SEALED.replace("total: 139 cfm", "to outside: 139 cfm");
    assert!(hint(&outside).contains("no reading of its kind"));
    let once = SEALED
        .replace("    after: second day\n", "")
        .replace("2026-10-08", "2026-10-05");
    assert!(hint(&once).contains("no flow was read after"));
}
