//! Bands against the truth of invented systems: a small, seeded calibration. The long one is `examples/calibration.rs`.

#[path = "common/calibration.rs"]
mod calibration;
#[path = "common/model_calibration.rs"]
mod model_calibration;

/// χ² with nine degrees of freedom is above this once in a thousand (tables).
const CHI2_9_ONE_IN_A_THOUSAND: f64 = 27.88;

#[test]
fn ninety_per_cent_bands_hold_the_truth_ninety_times_in_a_hundred() {
    let systems = 300;
    let found = calibration::study(systems, 24, 500, 20);
    assert!((0.88..=0.92).contains(&found.seam_coverage), "{found:?}");
    let margin = 3.0 * (0.09 / systems as f64).sqrt();
    for (name, coverage) in calibration::QUANTITIES.iter().zip(found.coverage) {
        assert!((coverage - 0.9).abs() <= margin, "{name}: {found:?}");
    }
    for (name, chi2) in calibration::QUANTITIES.iter().zip(found.rank_chi2) {
        assert!(chi2 < CHI2_9_ONE_IN_A_THOUSAND, "{name}: {found:?}");
    }
    assert_eq!(found.failed, 0);
}

/// A whole system through sketch, flow solver and all errors, too short to judge finely: bands that were half or
/// twice as wide as they should be would cover 59 % or 99.9 %.
#[test]
fn bands_hold_the_truth_of_whole_systems() {
    let text = include_str!("../models/classroom-rig.yaml");
    let sketch = ductseam::sketch::read(text, "classroom-rig.yaml").expect("a good sketch");
    let catalog = ductseam::catalog::Catalog::builtin();
    let system = ductseam::system::build(&sketch, text, "classroom-rig.yaml", catalog)
        .expect("a good system");
    let found = model_calibration::study(&system, 16, 500, 11);
    let covered = found.seams.0 as f64 / found.seams.1 as f64;
    assert!((0.82..=0.97).contains(&covered), "{covered} {found:?}");
    for (name, held) in model_calibration::QUANTITIES.iter().zip(found.held) {
        assert!(held >= 10, "{name} of 16: {found:?}");
    }
    assert!(found.effective / 16.0 > 100.0, "{found:?}");
}
