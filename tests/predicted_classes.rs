//! Predicted leakage classes of whole assemblies against the classes that handbooks and standards give for them.
//!
//! Bands: ASHRAE Handbook Fundamentals (2001, 2005), duct design chapter, leakage classification (from memory), and SMACNA HVAC
//! Air Duct Leakage Test Manual, 1985, table of leakage classes (second-hand). The catalogue's rows of sheet metal were set by
//! the unsealed classes, so that those lines prove the bookkeeping from sketch to class; the sealed ones were not.

use ductseam::allocate::AllocateSettings;
use ductseam::catalog::Catalog;
use ductseam::predict::{PredictSettings, Prediction, predict};
use ductseam::{sketch, system};

/// A long run of one kind on a sealed unit, so that the unit hardly weighs.
fn of(run: &str, variants: &str) -> Prediction {
    let text = format!(
        "ductseam: 1\ntitle: a long run (invented)\nprior: {{gross chance: 0 times}}\nair handler: {{place: attic, work: mastic, supply plenum: {{size: 20x8 in, length: 1 ft, work: mastic}}, return plenum: {{size: 20x8 in, length: 1 ft, work: mastic}}}}\nusual: {{all: {{place: attic, work: unsealed}}}}\n\
         runs:\n  - {{id: S, side: supply, from: supply plenum, {run}}}\n{variants}"
    );
    let catalog = Catalog::builtin();
    let read = sketch::read(&text, "t")
        .map_err(|d| d.render(false))
        .unwrap();
    let system = system::build(&read, &text, "t", catalog)
        .map_err(|d| d.render(false))
        .unwrap();
    let settings = PredictSettings {
        draws: AllocateSettings {
            draws: 3000,
            prior_draws: 1,
            ..AllocateSettings::default()
        }
        .with_beliefs(&system.beliefs),
        choices: 0,
        in_pairs: 0,
        choice_draws: 10,
    };
    predict(&system, catalog, &settings).unwrap()
}

fn within(what: &str, found: f64, (least, most): (f64, f64)) {
    assert!(
        (least..=most).contains(&found),
        "{what}: class {found}, expected {least} to {most}"
    );
}

#[test]
fn rectangular_duct_unsealed_and_by_seal_class() {
    let found = of(
        "size: 20x8 in, walk: [north 400 ft, cap]",
        "variants:\n  - {id: C, seal class: C}\n  - {id: B, seal class: B}\n  - {id: A, seal class: A}\n",
    );
    let class = found.expected.class.unwrap();
    // Class 48 for unsealed rectangular metal, 12 to 110 measured.
    within("unsealed, mean", class.mean, (36.0, 60.0));
    within("unsealed, 5 %", class.p05, (12.0, 30.0));
    within("unsealed, 95 %", class.p95, (60.0, 110.0));
    let by_id = |id: &str| {
        let variant = found.variants.iter().find(|v| v.id == id).unwrap();
        variant.after.class.unwrap()
    };
    // Allowed: 24 with joints sealed, 12 with seams too, 6 with everything.
    let (c, b, a) = (by_id("C"), by_id("B"), by_id("A"));
    within("seal class C", c, (3.0, 24.0));
    within("seal class B", b, (2.0, 12.0));
    within("seal class A", a, (2.0, 6.0));
    assert!(c > b && b >= a);
}

#[test]
fn round_snaplock_unsealed_and_sealed() {
    let found = of(
        "size: 8 in, walk: [north 400 ft, cap]",
        "variants:\n  - {id: sealed, work: mastic}\n",
    );
    let class = found.expected.class.unwrap();
    // Class 30 for unsealed round metal, 6 to 70 measured; 3 sealed.
    within("unsealed, mean", class.mean, (22.0, 38.0));
    within("unsealed, 5 %", class.p05, (6.0, 20.0));
    within("unsealed, 95 %", class.p95, (35.0, 70.0));
    within("sealed", found.variants[0].after.class.unwrap(), (2.0, 5.0));
}

#[test]
fn duct_board_as_usually_closed() {
    let found = of(
        "size: 16x12 in, material: duct board, work: ordinary, walk: [north 400 ft, cap]",
        "",
    );
    // Class 6 for rectangular fibrous glass.
    within("duct board", found.expected.class.unwrap().mean, (4.0, 9.0));
}
