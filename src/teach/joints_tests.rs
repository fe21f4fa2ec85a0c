use super::*;
use crate::sketch;
use crate::system::build;

const TWO_JOINTS: &str = "
ductseam: 1
title: one duct (invented)
air handler: {place: attic, work: mastic}
prior: {gross chance: 0 times}
runs:
  - id: A
    side: supply
    from: supply plenum
    size: 12x8 in
    place: attic
    walk: [north 16 ft, cap]
";

fn built(text: &str) -> System {
    let read = sketch::read(text, "one.yaml").expect("sound");
    build(&read, text, "one.yaml", Catalog::builtin()).expect("sound")
}

fn model(text: &str) -> System {
    built(text)
}

fn settings() -> AllocateSettings {
    AllocateSettings {
        draws: 500,
        ..AllocateSettings::default()
    }
}

fn asked(systems: &[System], ask: JointsAsk) -> JointTypes {
    joint_types(systems, Catalog::builtin(), &settings(), ask).expect("an answer")
}

#[test]
fn shares_and_chances_add_up_to_one_and_ranks_follow_shares() {
    let systems = [
        model(include_str!("../../models/bungalow.yaml")),
        model(include_str!("../../models/slab-attic.yaml")),
    ];
    for by in [By::Test, By::Running] {
        let ask = JointsAsk {
            by,
            with_readings: false,
        };
        let answer = asked(&systems, ask);
        let part = |one: &TypePart| match by {
            By::Test => one.test,
            By::Running => one.running.expect("airflows are stated"),
        };
        let shares: f64 = answer.types.iter().map(|one| part(one).share).sum();
        let chances: f64 = answer
            .types
            .iter()
            .map(|one| part(one).leakiest_chance)
            .sum();
        assert!((shares - 1.0).abs() < 1e-9, "{shares}");
        assert!((chances - 1.0).abs() < 1e-9, "{chances}");
        for (at, one) in answer.types.iter().enumerate() {
            assert_eq!(part(one).rank, at + 1);
        }
        let count: usize = answer.types.iter().map(|one| one.count).sum();
        assert_eq!(count, systems[0].seams.len() + systems[1].seams.len());
        // The mean of the types' flows is the mean of the systems' totals.
        let of_types: f64 = answer
            .types
            .iter()
            .map(|one| part(one).flow_m3_s.mean)
            .sum();
        let of_systems: f64 = answer
            .systems
            .iter()
            .map(|one| match by {
                By::Test => one.test_m3_s.mean,
                By::Running => one.running_m3_s.expect("running").mean,
            })
            .sum::<f64>()
            / 2.0;
        assert!((of_types / of_systems - 1.0).abs() < 1e-9);
    }
}

#[test]
fn mastic_on_one_type_cuts_what_the_catalogues_means_say_and_no_other() {
    let system = built(TWO_JOINTS);
    let answer = asked(std::slice::from_ref(&system), JointsAsk::default());
    let catalog = Catalog::builtin();
    let drive = answer
        .types
        .iter()
        .find(|one| one.joint_type == "joint-slip-drive")
        .expect("a rectangular duct has drives");
    let seam = system
        .seams
        .iter()
        .find(|seam| seam.joint_type == "joint-slip-drive")
        .expect("a seam");
    let joint = catalog.joint("joint-slip-drive").expect("a row");
    let ratio = joint.state(Work::Mastic).mean_q25 / joint.state(seam.work).mean_q25;
    // The exponents are alike, and nothing hangs open.
    assert!((joint.state(Work::Mastic).n - seam.n).abs() < 1e-12);
    assert!((drive.to_mastic.of_type - (1.0 - ratio)).abs() < 1e-9);
    assert!(
        (drive.to_mastic.of_total / (drive.to_mastic.cut_m3_s / answer.systems[0].test_m3_s.mean)
            - 1.0)
            .abs()
            < 1e-9
    );
    // The cabinet is mastic already.
    let cabinet = answer
        .types
        .iter()
        .find(|one| one.joint_type.starts_with("cabinet"))
        .expect("a unit");
    assert_eq!(cabinet.to_mastic.seams, 0);
    assert!(cabinet.to_mastic.cut_m3_s.abs() < 1e-15);
}

#[test]
fn without_an_airflow_nothing_is_said_of_running_and_ranking_by_it_is_refused() {
    let system = built(TWO_JOINTS);
    let answer = asked(std::slice::from_ref(&system), JointsAsk::default());
    assert_eq!(answer.systems[0].no_running, Some(NO_AIRFLOW));
    assert!(answer.types.iter().all(|one| one.running.is_none()));
    let ask = JointsAsk {
        by: By::Running,
        with_readings: false,
    };
    let error = joint_types(&[system], Catalog::builtin(), &settings(), ask);
    assert!(matches!(error, Err(JointsError::NoRunning { .. })));
    let none = joint_types(&[], Catalog::builtin(), &settings(), ask);
    assert!(matches!(none, Err(JointsError::NoSystem)));
}

#[test]
fn before_any_test_neither_looks_nor_sealing_tell() {
    let text = include_str!("../../models/bungalow.yaml");
    let id = "kitchen/tab collar";
    let plain = built(text);
    let told = built(&format!(
        "{text}looks:\n  - {{seam: {id}, sealed: yes}}\nsealing:\n  - {{id: one day, seams: [unit/filter slot]}}\n"
    ));
    let seam = told.seams.iter().find(|s| s.id == id).expect("a seam");
    assert_eq!(seam.work, Work::Mastic, "the look told");
    let joint_type = seam.joint_type.clone();
    let mastic = |answer: &JointTypes| {
        let found = answer.types.iter().find(|one| one.joint_type == joint_type);
        found.expect("a type").works[2]
    };
    let before = asked(std::slice::from_ref(&told), JointsAsk::default());
    assert_eq!(before, asked(&[plain], JointsAsk::default()));
    let ask = JointsAsk {
        with_readings: true,
        ..JointsAsk::default()
    };
    assert_eq!(mastic(&asked(&[told], ask)), mastic(&before) + 1);
}

#[test]
fn readings_count_only_when_asked_for() {
    let system = model(include_str!("../../models/bungalow.yaml"));
    let before = asked(std::slice::from_ref(&system), JointsAsk::default());
    let mut changed = system.clone();
    changed.readings[0].value *= 0.3;
    let again = asked(std::slice::from_ref(&changed), JointsAsk::default());
    assert_eq!(before, again);
    let ask = JointsAsk {
        with_readings: true,
        ..JointsAsk::default()
    };
    let with = asked(&[system], ask);
    let lower = asked(&[changed], ask);
    assert!(lower.systems[0].test_m3_s.mean < 0.5 * with.systems[0].test_m3_s.mean);
}
