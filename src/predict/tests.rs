use super::*;
use crate::allocate::AllocateSettings;
use crate::catalog::{Catalog, Work};
use crate::sketch;
use crate::system::{self, Change, System};

const SKETCH: &str = "
ductseam: 1
title: four registers (invented)
house: {floor area: 900 ft2}
air handler: {place: attic, airflow: 600 cfm by plate at filter}
usual: {all: {place: attic}}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, walk: [north 24 ft, cap]}
  - {id: den, from: trunk at 6 ft left, size: 6 in, design flow: 200 cfm, walk: [tab collar, 5 ft, adjustable elbow up, 4 ft, boot 10x4 in]}
  - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
  - {id: back, side: return, from: return plenum, size: 16x10 in, walk: [south 10 ft, return box 20x14 in]}
readings:
  - {id: loud, total: 900 cfm at 25 Pa}
limits:
  - {id: generous, total: 5000 cfm, source: invented}
  - {id: none, total: 0.5 cfm, source: invented}
  - {id: by area, total: 12 cfm per 100 ft2, source: invented}
variants:
  - {id: nothing new, swap: {tab collar: spin-in}}
  - {id: mastic, work: mastic}
";

fn built(text: &str) -> System {
    let sketch = sketch::read(text, "t").map_err(|d| d.render(false));
    let sketch = sketch.unwrap();
    let system = system::build(&sketch, text, "t", Catalog::builtin());
    system.map_err(|d| d.render(false)).unwrap()
}

fn quick() -> PredictSettings {
    PredictSettings {
        draws: AllocateSettings {
            draws: 600,
            prior_draws: 1,
            ..AllocateSettings::default()
        },
        choice_draws: 300,
        choices: 8,
        in_pairs: 3,
    }
}

#[test]
fn readings_are_left_out_and_sides_add_up_to_the_total() {
    let system = built(SKETCH);
    let found = predict(&system, Catalog::builtin(), &quick()).unwrap();
    let house = &found.expected.allocation.house;
    let mut silent = system.clone();
    silent.readings.clear();
    let without = predict(&silent, Catalog::builtin(), &quick()).unwrap();
    assert_eq!(found, without);
    let sum = house.supply_m3_s.mean + house.return_m3_s.mean;
    assert!((sum / house.total_m3_s.mean - 1.0).abs() < 1e-9);
    // The catalogue's means at 25 Pa; friction takes a little, a seam that may hang open adds.
    let prior = system.seams.iter().map(|s| s.mean_q25_m3_s).sum::<f64>();
    let ratio = house.total_m3_s.mean / prior;
    assert!((0.85..1.35).contains(&ratio), "{ratio}");
}

#[test]
fn a_limit_far_off_is_sure_and_a_limit_at_the_median_a_coin_toss() {
    let mut system = built(SKETCH);
    let found = predict(&system, Catalog::builtin(), &quick()).unwrap();
    assert_eq!(found.expected.limits[0].chance, Some(1.0));
    assert_eq!(found.expected.limits[1].chance, Some(0.0));
    let median = found.expected.allocation.house.total_m3_s.p50;
    system.limits[2].measure = crate::catalog::Measure::Flow(median);
    let found = predict(&system, Catalog::builtin(), &quick()).unwrap();
    let chance = found.expected.limits[2].chance.unwrap();
    assert!((chance - 0.5).abs() < 0.01, "{chance}");
    system.floor_area_m2 = None;
    system.limits[2].measure = crate::catalog::Measure::PerFloorArea(1e-3);
    let found = predict(&system, Catalog::builtin(), &quick()).unwrap();
    assert_eq!(found.expected.limits[2].chance, None);
    assert!(found.expected.limits[2].allowed_m3_s.is_err());
}

#[test]
fn pairs_take_off_more_than_either_and_hardly_more_than_both() {
    let found = predict(&built(SKETCH), Catalog::builtin(), &quick()).unwrap();
    assert!(!found.pairs.is_empty());
    let cut_of = |what: &What| {
        let single = found.choices.iter().find(|c| c.what == *what);
        single.expect("a pair is of choices").total_cut_m3_s
    };
    for pair in &found.pairs {
        let What::Both(a, b) = &pair.what else {
            panic!("a pair");
        };
        let (a, b) = (cut_of(a), cut_of(b));
        let tolerance = 1e-3 * found.as_sketched.total_m3_s.mean;
        assert!(pair.total_cut_m3_s >= a.max(b) - tolerance, "{pair:?}");
        // Less leakage means more pressure at the others: cuts fall short of their sum, they do not exceed it by much.
        assert!(
            pair.total_cut_m3_s <= 1.02 * (a + b) + tolerance,
            "{pair:?}"
        );
    }
}

#[test]
fn a_variant_without_change_gives_the_same_bytes_and_mastic_leaks_less() {
    let mut system = built(SKETCH);
    system.variants[0].changes.clear();
    let found = predict(&system, Catalog::builtin(), &quick()).unwrap();
    assert_eq!(found.variants[0].after, found.as_sketched);
    let mastic = &found.variants[1].after;
    assert!(mastic.total_m3_s.mean < 0.6 * found.as_sketched.total_m3_s.mean);
    assert!(mastic.chances[2] >= found.as_sketched.chances[2]);
}

#[test]
fn what_is_built_otherwise_takes_the_catalogues_other_row() {
    let (system, catalog) = (built(SKETCH), Catalog::builtin());
    let collar = system.seams.iter().position(|s| s.id == "den/tab collar");
    let collar = collar.unwrap();
    let mean = |id: &str, work| catalog.joint(id).unwrap().state(work).mean_q25;
    let swapped = system.built_otherwise(
        catalog,
        &[Change::Swap {
            from: "takeoff-tab-collar".to_owned(),
            to: "takeoff-spin-in".to_owned(),
        }],
    );
    let ratio = swapped.seams[collar].mean_q25_m3_s / system.seams[collar].mean_q25_m3_s;
    let by_table = mean("takeoff-spin-in", system.seams[collar].work)
        / mean("takeoff-tab-collar", system.seams[collar].work);
    assert!((ratio - by_table).abs() < 1e-12);
    assert_eq!(swapped.seams[collar].joint_type, "takeoff-spin-in");

    let halved = system.built_otherwise(
        catalog,
        &[Change::Shorter {
            runs: vec![0],
            by: 0.5,
        }],
    );
    let of_trunk = |s: &System, name: &str| -> f64 {
        let seams = s
            .seams
            .iter()
            .filter(|seam| seam.run == "trunk" && seam.joint_type == name);
        seams.map(|seam| seam.amount).sum()
    };
    assert!(
        (of_trunk(&halved, "seam-snaplock-rect") / of_trunk(&system, "seam-snaplock-rect") - 0.5)
            .abs()
            < 1e-12
    );
    assert!((of_trunk(&halved, "endcap-rect") - of_trunk(&system, "endcap-rect")).abs() < 1e-12);
    assert!((halved.runs[0].length_m - 0.5 * system.runs[0].length_m).abs() < 1e-12);

    // What the sketch forgot keeps its part of the side.
    let part = |s: &System| {
        let side = s
            .seams
            .iter()
            .filter(|seam| seam.side == crate::system::Side::Supply);
        let (mut forgotten, mut rest) = (0.0, 0.0);
        for seam in side {
            if seam.joint_type == "unsketched" {
                forgotten += seam.mean_q25_m3_s;
            } else {
                rest += seam.mean_q25_m3_s;
            }
        }
        forgotten / rest
    };
    assert!((part(&halved) - part(&system)).abs() < 1e-12);
}

#[test]
fn a_person_s_own_figure_stays() {
    let text = SKETCH.replace(
        "walk: [tab collar, 8 ft, boot 8x4 in]",
        "walk: [{step: tab collar, leak: 3 cfm at 25 Pa, source: measured}, 8 ft, boot 8x4 in]",
    );
    let system = built(&text);
    let own = system.seams.iter().position(|s| s.own_figure).unwrap();
    let made = system.built_otherwise(
        Catalog::builtin(),
        &[Change::Work {
            seams: vec![own],
            work: Work::Mastic,
        }],
    );
    assert_eq!(made.seams[own], system.seams[own]);
}

#[test]
fn brought_inside_nothing_leaks_outside_and_the_total_stays() {
    let found = predict(&built(SKETCH), Catalog::builtin(), &quick()).unwrap();
    let inside = found
        .choices
        .iter()
        .find(|c| matches!(c.what, What::Inside { .. }))
        .expect("the attic can be left");
    assert!(inside.after.outside_m3_s.mean < 1e-6);
    assert!(inside.total_cut_m3_s.abs() < 1e-6 * found.as_sketched.total_m3_s.mean);
}

#[test]
fn materials_count_metres_pieces_and_seams() {
    let system = built(SKETCH);
    let found = predict(&system, Catalog::builtin(), &quick())
        .unwrap()
        .materials;
    // 24 + 9 + 8 + 10 ft are walked; plenums come besides.
    let plenums = system.graph.edge_weights();
    let plenums = plenums.filter(|p| p.kind == crate::system::PieceKind::Plenum);
    let plenums: f64 = plenums.map(|p| p.length_m).sum();
    let listed: f64 = found.ducts.iter().map(|line| line.length_m).sum();
    assert!((listed - plenums - 51.0 * 0.3048).abs() < 1e-9, "{listed}");
    // The trunk is one length although two branches leave it.
    let of_trunk = |line: &&DuctLine| line.size == "12x8 in".parse().unwrap();
    let trunk = found.ducts.iter().find(of_trunk).unwrap();
    assert_eq!(trunk.lengths, 1);
    let collars = found
        .fittings
        .iter()
        .filter(|line| line.what == "tab collar");
    assert_eq!(collars.map(|line| line.count).sum::<usize>(), 2);
    let seams: usize = found.seams.iter().map(|line| line.count).sum();
    let known = system.seams.iter().filter(|s| s.joint_type != "unsketched");
    assert_eq!(seams, known.count());
    let mastic = found.sealants.iter().find(|line| line.material == "mastic");
    assert!(mastic.is_some_and(|line| line.amount > 0.0 && line.unit == "L"));
}

#[test]
fn the_running_design_is_told() {
    let found = predict(&built(SKETCH), Catalog::builtin(), &quick()).unwrap();
    let design = found.design.expect("it can be solved");
    // 600 cfm, within the solver's tolerance
    assert!((design.airflow_m3_s - 600.0 * 4.719_474_432e-4).abs() < 1e-4);
    assert!(design.static_pa > 0.0 && design.doubt.is_empty());
    let fastest = design
        .fast
        .first()
        .expect("600 cfm in two small branches is fast");
    assert!(fastest.velocity_m_s > fastest.practice.value);
    assert!(design.registers.iter().any(|r| r.meant_m3_s.is_some()));
}

#[test]
fn places_and_joint_types_that_change_places_do_so_at_once() {
    let (system, catalog) = (built(SKETCH), Catalog::builtin());
    let bare = super::expected::before_any_test(&system);
    let attic = bare.places.iter().position(|p| p.name == "attic").unwrap();
    let inside = bare.places.iter().position(|p| p.name == "inside").unwrap();
    let there_and_back = [
        Change::Move {
            from: attic,
            to: inside,
        },
        Change::Move {
            from: inside,
            to: attic,
        },
    ];
    let moved = bare.built_otherwise(catalog, &there_and_back);
    assert!(moved.seams.iter().all(|seam| seam.place == inside));
}

#[test]
fn what_looks_said_is_forgotten_before_any_test() {
    let looked = format!("{SKETCH}looks:\n  - {{seam: den/tab collar, sealed: yes}}\n");
    let (seen, plain) = (built(&looked), built(SKETCH));
    assert_ne!(seen.seams, plain.seams);
    assert_eq!(seen.before_any_test().seams, plain.seams);
    let settings = quick();
    let (a, b) = (
        predict(&seen, Catalog::builtin(), &settings).unwrap(),
        predict(&plain, Catalog::builtin(), &settings).unwrap(),
    );
    assert_eq!(a.as_sketched, b.as_sketched);
}
