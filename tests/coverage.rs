//! Bands against the truth of invented systems: a small, seeded calibration. The long one is `examples/calibration`.

#[path = "common/calibration.rs"]
mod calibration;
#[path = "common/study/mod.rs"]
mod study;

use ductseam::allocate::AllocateSettings;
use study::numbers::binomial_99;
use study::{Findings, Set};

/// χ² with nine degrees of freedom is above this once in a thousand (tables).
const CHI2_9_ONE_IN_A_THOUSAND: f64 = 27.88;
/// Position of the 90 % bands among the levels.
const NINETY: usize = 2;

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
    let set = Set {
        name: "rig".to_owned(),
        words: "relative errors".to_owned(),
        system,
        settings: AllocateSettings::default(),
        judged_by: AllocateSettings::default(),
        is_blind: false,
        is_exact: false,
    };
    let found = study::study(&set, 16, 500, 11);
    let covered = found.seams[NINETY].0;
    assert!((0.82..=0.97).contains(&covered), "{covered} {found:?}");
    for quantity in &found.quantities {
        assert!(quantity.held[NINETY] >= 10, "{quantity:?}");
    }
    assert!(found.effective > 100.0, "{found:?}");
}

/// What is wrong with a study of few systems, if anything. Loose: each of its checks fails a sound sampler less than
/// once in a thousand.
///
/// - Bands half as wide as they should be hold 59 % of the seams instead of 90.
/// - Draws that do not see a kind of evidence, or see it with a wrong threshold or error, explain it worse than the truth
///   does: the truth's likelihood ranks too high.
/// - A shifted law (a mean taken for a median) shifts the mean rank of house quantities.
fn complaints(found: &Findings) -> Vec<String> {
    let mut wrong = Vec::new();
    let n = found.systems as f64;
    let (part, error) = found.seams[NINETY];
    if (part - 0.9).abs() > 3.5 * error.max(0.01) {
        wrong.push(format!("90 % bands of seams hold {part:.3} ± {error:.3}"));
    }
    for quantity in &found.quantities {
        // Ranks are uniform: mean ½, variance 1/12.
        let off = (quantity.mean_rank - 0.5) * (12.0 * n).sqrt();
        if off.abs() > 4.0 {
            wrong.push(format!("{}: mean rank {off:.1} errors off", quantity.name));
        }
        let (low, _) = binomial_99(found.systems, 0.9);
        if quantity.held[NINETY] + 2 < low {
            wrong.push(format!("{}: held {:?}", quantity.name, quantity.held));
        }
    }
    if !found.errors.is_empty() || found.failed > 0 {
        wrong.push(format!("{} failed, {:?}", found.failed, found.errors));
    }
    wrong
}

fn small(name: &str, systems: usize, spoil: impl Fn(&mut Set)) -> Findings {
    let mut set = study::set(name).expect("a set of that name");
    spoil(&mut set);
    study::study(&set, systems, 300, 3)
}

#[test]
fn the_numbers_that_judge_agree_with_tables() {
    study::numbers::check_against_tables();
}

#[test]
fn looks_are_weighed_as_they_are_made() {
    let found = small("looks", 20, |_| {});
    assert_eq!(complaints(&found), Vec::<String>::new());
}

/// The study itself must be able to fail: draws that have not seen the looks.
#[test]
fn draws_that_are_blind_to_looks_are_found_out() {
    let found = small("looks", 20, |set| set.is_blind = true);
    assert!(!complaints(&found).is_empty(), "{found:?}");
}

#[test]
fn pan_pressures_are_weighed_as_they_are_made() {
    let found = small("pan", 12, |_| {});
    assert_eq!(complaints(&found), Vec::<String>::new());
}

/// What is wrong with what is said of open seams in the set `gross`: stated chances that nothing hangs open must be true
/// on the whole (draws that never open a seam state 1 and miss half), and must tell one half from the other.
fn complaints_of_open(found: &Findings) -> Vec<String> {
    let mut wrong = complaints(found);
    let gross = &found.gross;
    let stated: f64 = gross.nothing.iter().map(|bin| bin.1).sum();
    let (closed, n) = (found.systems - gross.open, found.systems as f64);
    // Four standard errors of a fair coin at the most.
    if (stated - closed as f64).abs() > 4.0 * (0.25 * n).sqrt() {
        wrong.push(format!("{closed} with nothing open, stated {stated:.1}"));
    }
    let (told, right) = gross.nothing[..2]
        .iter()
        .fold((0, 0), |(told, right), bin| {
            (told + bin.0, right + bin.0 - bin.2)
        });
    if told < 5 || right * 4 < told * 3 || gross.in_first * 2 <= gross.open {
        wrong.push(format!("{right} of {told} found: {gross:?}"));
    }
    wrong
}

#[test]
fn open_seams_are_as_likely_as_is_said() {
    let found = small("gross", 30, |_| {});
    assert_eq!(complaints_of_open(&found), Vec::<String>::new());
}

/// Draws that hold open seams for a fiftieth as likely as they are.
#[test]
fn draws_that_hardly_know_of_open_seams_are_found_out() {
    let found = small("gross", 30, |set| set.judged_by.gross_factor /= 50.0);
    assert!(!complaints_of_open(&found).is_empty(), "{found:?}");
}
