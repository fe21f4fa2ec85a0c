//! Systems built from hand-made sketches, counted by hand.

use super::hand::*;
use super::*;
use crate::catalog::Catalog;
use crate::sketch::{
    Diagnostics, ElbowKind, Heading, Marked, Material, Sketch, Smoke, StepKind, Takeoff,
};

fn build_ok(sketch: &Sketch) -> System {
    match build(sketch, "", "hand", Catalog::builtin()) {
        Ok(system) => system,
        Err(wrong) => panic!("{wrong}: {:#?}", wrong.items),
    }
}

fn build_wrong(sketch: &Sketch) -> Diagnostics {
    match build(sketch, "", "hand", Catalog::builtin()) {
        Ok(_) => panic!("the sketch was taken"),
        Err(wrong) => wrong,
    }
}

fn codes(sketch: &Sketch) -> Vec<&'static str> {
    build_wrong(sketch).items.iter().map(|d| d.code).collect()
}

fn ids<'s>(system: &'s System, run: &str) -> Vec<&'s str> {
    system
        .seams
        .iter()
        .filter(|s| s.run == run)
        .map(|s| s.id.as_str())
        .collect()
}

fn amount(system: &System, run: &str, joint: &str) -> f64 {
    system
        .seams
        .iter()
        .filter(|s| s.run == run && s.joint_type == joint)
        .map(|s| s.amount)
        .sum()
}

#[test]
fn a_trunk_brings_a_joint_per_section_two_lock_seams_and_its_cap() {
    let system = build_ok(&small_house());
    // 24 ft in sections of 4 ft: one joint at the plenum and five between; 56 in round, above 1.2 m: two seams
    let ids = ids(&system, "S");
    assert_eq!(
        ids.iter().filter(|i| i.contains("joint")).count(),
        6,
        "{ids:?}"
    );
    assert_eq!(ids.iter().filter(|i| i.contains("lock seam")).count(), 6);
    assert!((amount(&system, "S", "seam-snaplock-rect") - 2.0 * 24.0 * 0.3048).abs() < 1e-9);
    assert!((amount(&system, "S", "endcap-rect") - 56.0 * 0.0254).abs() < 1e-9);
    assert_eq!(ids.len(), 13);
}

#[test]
fn a_pipe_branch_brings_the_seams_of_its_walk() {
    let system = build_ok(&small_house());
    // collar | 4 ft | elbow | 9 ft in two sections | boot: joints 1 collar-pipe, 2 at elbow, 3 after it, 4 between, 5 at boot
    assert_eq!(
        ids(&system, "kitchen"),
        [
            "kitchen/tab collar",
            "kitchen/joint 1",
            "kitchen/lock seam 1",
            "kitchen/joint 2",
            "kitchen/adjustable elbow",
            "kitchen/joint 3",
            "kitchen/lock seam 2",
            "kitchen/joint 4",
            "kitchen/lock seam 3",
            "kitchen/joint 5",
            "kitchen/boot",
            "kitchen/boot gap",
        ]
    );
    let circumference = std::f64::consts::PI * 6.0 * 0.0254;
    assert!((amount(&system, "kitchen", "joint-round-crimp") - 5.0 * circumference).abs() < 1e-9);
    assert!((amount(&system, "kitchen", "seam-snaplock-round") - 13.0 * 0.3048).abs() < 1e-9);
    assert!((amount(&system, "kitchen", "boot-to-surface") - 28.0 * 0.0254).abs() < 1e-9);
}

#[test]
fn a_flex_branch_brings_one_collar_and_two_flex_collars() {
    let system = build_ok(&small_house());
    assert_eq!(
        ids(&system, "bath"),
        [
            "bath/tab collar",
            "bath/flex collar",
            "bath/flex collar 2",
            "bath/boot",
            "bath/boot gap"
        ]
    );
    assert!(
        system
            .defaults
            .iter()
            .any(|d| d.about == "takeoffs of flex duct" && d.taken == "tab collar")
    );
}

#[test]
fn a_panned_return_brings_two_edges_two_ends_and_the_gap_of_its_box() {
    let system = build_ok(&small_house());
    assert_eq!(
        ids(&system, "R"),
        [
            "R/pan end",
            "R/pan edge 1",
            "R/pan end 2",
            "R/return box gap"
        ]
    );
    assert!((amount(&system, "R", "pan-edge") - 2.0 * 12.0 * 0.3048).abs() < 1e-9);
}

#[test]
fn the_unit_brings_its_own_seams_first_and_the_forgotten_ones_come_last() {
    let system = build_ok(&small_house());
    let all: Vec<&str> = system.seams.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(
        all[..6],
        [
            "unit/cabinet inlet section",
            "unit/cabinet outlet section",
            "unit/supply connection",
            "unit/return connection",
            "unit/filter slot",
            "unit/line entry",
        ]
    );
    assert_eq!(
        all[all.len() - 2..],
        ["supply/unsketched", "return/unsketched"]
    );
    let of = |id: &str| &system.seams[system.seam_by_id(id).expect("a seam")];
    // 11.3, 6.0 and 2.5 L/s are the cabinet's rows; ordinary work is the default
    let cabinet = of("unit/cabinet inlet section").mean_q25_m3_s
        + of("unit/cabinet outlet section").mean_q25_m3_s;
    assert!((cabinet - 6.0e-3).abs() < 1e-12);
    let others: f64 = system
        .seams
        .iter()
        .filter(|s| s.side == Side::Supply && s.role != SeamRole::Unsketched)
        .map(|s| s.mean_q25_m3_s)
        .sum();
    assert!((of("supply/unsketched").mean_q25_m3_s - 0.05 * others).abs() < 1e-12);
    assert_eq!(of("supply/unsketched").reach, Reach::None);
}

#[test]
fn a_takeoff_cuts_the_trunk_at_its_spot() {
    let system = build_ok(&small_house());
    let trunk: Vec<(&str, f64)> = system
        .graph
        .edge_weights()
        .filter(|p| p.run == Some(0))
        .map(|p| (p.id.as_str(), p.length_m))
        .collect();
    let names: Vec<&str> = trunk.iter().map(|t| t.0).collect();
    assert_eq!(
        names,
        [
            "S/straight 1",
            "S/straight 1 from 6 ft",
            "S/straight 1 from 12 ft"
        ]
    );
    assert!((trunk.iter().map(|t| t.1).sum::<f64>() - 24.0 * 0.3048).abs() < 1e-12);
    let collar = &system.seams[system.seam_by_id("kitchen/tab collar").expect("a collar")];
    let SeamAt::Junction(node) = collar.at else {
        panic!("{:?}", collar.at)
    };
    assert_eq!(system.graph[node].id, "S at 6 ft");
    let first = system.runs[1].first_piece;
    assert_eq!(system.graph.edge_endpoints(first).expect("ends").0, node);
}

#[test]
fn two_takeoffs_at_one_spot_share_a_junction_and_the_walk_stays_put_when_more_come() {
    let mut sketch = small_house();
    let before = build_ok(&sketch);
    let extra = run(
        "den",
        Side::Supply,
        "S at 6 right",
        "6 in",
        None,
        vec![on(3.0), boot("10x4 in")],
    );
    sketch.runs.push(extra);
    let after = build_ok(&sketch);
    let tail = |s: &System, r: usize| {
        s.graph
            .edge_endpoints(s.runs[r].first_piece)
            .expect("ends")
            .0
    };
    assert_eq!(tail(&after, 1), tail(&after, 4));
    for seam in &before.seams {
        assert!(after.seam_by_id(&seam.id).is_some(), "{} is gone", seam.id);
    }
}

#[test]
fn a_loop_walked_round_a_square_ends_where_it_began() {
    let mut s = sketch();
    let turn = |h| elbow(ElbowKind::Fixed, h);
    let walk = vec![
        to(Heading::North, 10.0),
        turn(Heading::Left),
        on(10.0),
        turn(Heading::Left),
        on(10.0),
        turn(Heading::Left),
        on(10.0),
        StepKind::Cap,
    ];
    s.runs = vec![run(
        "loop",
        Side::Supply,
        "supply plenum",
        "12x8 in",
        None,
        walk,
    )];
    let system = build_ok(&s);
    let end = system.graph.node_weights().last().expect("nodes");
    for x in end.position_m {
        assert!(x.abs() < 1e-12, "{:?}", end.position_m);
    }
    assert_eq!(end.id, "loop at 40 ft");
}

#[test]
fn joins_closes_a_loop_on_purpose() {
    let mut s = small_house();
    let ring = vec![
        on(10.0),
        StepKind::Joins {
            run: said("S".to_owned()),
            along: Some(said(ft(20.0))),
        },
    ];
    s.runs
        .push(run("ring", Side::Supply, "S at 2 left", "6 in", None, ring));
    let system = build_ok(&s);
    // a tree has one edge less than nodes; the link adds the loop
    assert_eq!(system.graph.edge_count(), system.graph.node_count());
    let link = system
        .graph
        .edge_weights()
        .find(|p| p.kind == PieceKind::Link && p.run == Some(4))
        .expect("a link");
    assert_eq!(link.id, "ring/joining");
    assert!(system.seam_by_id("ring/joining").is_some());
}

#[test]
fn the_first_word_of_step_run_material_and_all_wins() {
    use crate::catalog::Work;
    let mut s = small_house();
    s.usual = [
        (None, Work::Unsealed),
        (Some(Material::Round), Work::Mastic),
    ]
    .map(|(material, work)| {
        let over = crate::sketch::Overrides {
            work: Some(said(work)),
            ..Default::default()
        };
        crate::sketch::Usual {
            material,
            at: Default::default(),
            seam: None,
            joint: None,
            section: None,
            gauge: None,
            compression: None,
            roughness: None,
            lined: None,
            over,
        }
    })
    .to_vec();
    s.runs[2].over.work = Some(said(Work::Ordinary));
    s.runs[2].walk[1].over.work = Some(said(Work::Mastic));
    let system = build_ok(&s);
    let work = |id: &str| system.seams[system.seam_by_id(id).expect("a seam")].work;
    assert_eq!(work("S/joint 1"), Work::Unsealed);
    assert_eq!(work("kitchen/joint 1"), Work::Mastic);
    assert_eq!(work("bath/tab collar"), Work::Ordinary);
    assert_eq!(work("bath/boot gap"), Work::Mastic);
    assert!(
        !system.defaults.iter().any(|d| d.taken.starts_with("work")),
        "{:?}",
        system.defaults
    );
}

#[test]
fn an_own_leak_replaces_the_figure_of_the_main_seam() {
    let mut s = small_house();
    let own = |q: f64| crate::sketch::OwnLeak {
        q25: said(crate::quantity::Flow::new(q)),
        spread: None,
        n: Some(said(0.55)),
        source: said("bench test".to_owned()),
    };
    s.runs[1].walk[0].over.leak = Some(own(2.5e-3));
    s.runs[0].walk[0].over.leak = Some(own(6.0e-3));
    let system = build_ok(&s);
    let of = |id: &str| &system.seams[system.seam_by_id(id).expect("a seam")];
    let collar = of("kitchen/tab collar");
    assert!(
        (collar.mean_q25_m3_s - 2.5e-3).abs() < 1e-15
            && (collar.gsd - 1.5).abs() < 1e-15
            && (collar.n - 0.55).abs() < 1e-15
    );
    assert!(!collar.field_made);
    // a straight length shares it out over its six joints
    for k in 1..=6 {
        assert!((of(&format!("S/joint {k}")).mean_q25_m3_s - 1.0e-3).abs() < 1e-15);
    }
}

#[test]
fn groups_of_looks_find_their_seams() {
    let mut s = small_house();
    s.looks = [
        "all boots",
        "all takeoffs",
        "all collars",
        "all joints of S",
        "all of run kitchen",
        "all in basement",
        "Kitchen/Tab Collar",
    ]
    .iter()
    .map(|g| smoke(g, Smoke::None))
    .collect();
    let system = build_ok(&s);
    let counts: Vec<usize> = system.looks.iter().map(|l| l.seams.len()).collect();
    // boots: body and gap of two boots, gap of one return box; takeoffs: two tab collars; collars: those and two flex collars
    assert_eq!(counts[..5], [5, 2, 4, 6, 12]);
    assert_eq!(
        counts[5],
        system.seams.len() - 2,
        "all but the two unsketched seams are in the basement"
    );
    assert_eq!(counts[6], 1);
}

#[test]
fn a_total_reading_takes_the_usual_set_up_and_lists_it() {
    let mut s = small_house();
    s.readings = vec![total(200.0)];
    let system = build_ok(&s);
    let m = &system.readings[0];
    assert_eq!(m.setup, system.total_setup());
    assert_eq!(m.setup.fan, FanPlace::Opening(2));
    assert!((m.relative_sd - 0.03).abs() < 1e-12 && (m.floor_sd - 0.5e-3).abs() < 1e-12);
    for taken in [
        "pressure: 25 Pa",
        "fan: R/return box",
        "tap: supply plenum",
        "mask: flange",
    ] {
        assert!(
            system
                .defaults
                .iter()
                .any(|d| d.about == "reading test" && d.taken == taken),
            "{taken}"
        );
    }
}

#[test]
fn all_errors_come_at_once() {
    let mut s = small_house();
    s.runs[1].from = Marked {
        value: crate::sketch::Start::Off {
            run: said("T".to_owned()),
            along: Some(said(ft(6.0))),
            face: None,
        },
        at: Default::default(),
    };
    s.runs[2].over.place = Some(said("basment".to_owned()));
    s.runs[3].walk.pop();
    s.looks = vec![smoke("bath/tap collar", Smoke::Wisp)];
    s.readings = vec![crate::sketch::Reading {
        plugged: vec![said("bth".to_owned())],
        ..total(200.0)
    }];
    let wrong = build_wrong(&s);
    let mut found: Vec<&str> = wrong.items.iter().map(|d| d.code).collect();
    found.sort();
    assert_eq!(
        found,
        ["E0202", "E0205", "E0205", "E0215", "E0230"],
        "{:#?}",
        wrong.items
    );
    let place = wrong
        .items
        .iter()
        .find(|d| d.code == "E0202")
        .expect("the place");
    assert!(
        place
            .hint
            .as_deref()
            .is_some_and(|h| h.contains("did you mean `basement`?"))
    );
}

#[test]
fn an_accidental_loop_is_refused_and_named() {
    let mut s = small_house();
    s.runs.push(run(
        "A",
        Side::Supply,
        "B at 1",
        "6 in",
        None,
        vec![on(4.0), StepKind::Cap],
    ));
    s.runs.push(run(
        "B",
        Side::Supply,
        "A at 1",
        "6 in",
        None,
        vec![on(4.0), StepKind::Cap],
    ));
    let wrong = build_wrong(&s);
    assert_eq!(wrong.items.len(), 1, "{:#?}", wrong.items);
    assert_eq!(
        (wrong.items[0].code, wrong.items[0].title.as_str()),
        (
            "E0214",
            "these runs start from each other: `A` from `B` from `A`"
        )
    );
    assert_eq!(
        codes(&{
            let mut s = small_house();
            s.runs.push(run(
                "A",
                Side::Supply,
                "A at 1",
                "6 in",
                None,
                vec![on(4.0), StepKind::Cap],
            ));
            s
        }),
        ["E0214"]
    );
}

#[test]
fn takeoffs_must_fit_where_they_sit() {
    let with = |r| {
        let mut s = small_house();
        s.runs.push(r);
        codes(&s)
    };
    let cap = || vec![on(4.0), StepKind::Cap];
    assert_eq!(
        with(run("far", Side::Supply, "S at 25", "6 in", None, cap())),
        ["E0218"]
    );
    assert_eq!(
        with(run(
            "tall",
            Side::Supply,
            "S at 3 left",
            "10 in",
            None,
            cap()
        )),
        ["E0220"]
    );
    assert_eq!(
        with(run(
            "wide",
            Side::Supply,
            "kitchen at 2",
            "8 in",
            None,
            cap()
        )),
        ["E0220"]
    );
    assert_eq!(
        with(run("soft", Side::Supply, "bath at 5", "4 in", None, cap())),
        ["E0219"]
    );
    assert_eq!(
        with(run("back", Side::Return, "S at 3", "6 in", None, cap())),
        ["E0216"]
    );
    let mut fits = small_house();
    fits.runs
        .push(run("top", Side::Supply, "S at 3 top", "10 in", None, cap()));
    build_ok(&fits);
}

#[test]
fn the_summary_adds_up() {
    let system = build_ok(&small_house());
    let sum = summary(&system);
    assert_eq!(
        sum.seams,
        sum.joint_types.iter().map(|t| t.count).sum::<usize>()
    );
    assert!(
        (sum.sides.iter().map(|s| s.prior_q25_m3_s).sum::<f64>() - sum.prior_q25_m3_s).abs()
            < 1e-12
    );
    let trunk = &sum.runs[0];
    assert_eq!((trunk.id.as_str(), trunk.pieces, trunk.seams), ("S", 3, 13));
    assert!((trunk.surface_m2 - 56.0 * 0.0254 * 24.0 * 0.3048).abs() < 1e-9);
}

#[test]
fn a_hundred_thousand_pieces_are_built() {
    let mut s = sketch();
    s.runs = vec![run(
        "S",
        Side::Supply,
        "supply plenum",
        "40x20 in",
        None,
        vec![on(40_000.0 / 2.0), StepKind::Cap],
    )];
    for i in 0..20_000 {
        let walk = vec![
            StepKind::Takeoff(Takeoff::TabCollar),
            on(4.0),
            elbow(ElbowKind::Adjustable, Heading::Up),
            boot("10x4 in"),
        ];
        s.runs.push(run(
            &format!("b{i}"),
            Side::Supply,
            &format!("S at {}", i + 1),
            "6 in",
            None,
            walk,
        ));
    }
    // one section of duct a foot would be absurd: the trunk is one welded length here
    s.usual = vec![crate::sketch::Usual {
        material: Some(Material::Rectangular),
        at: Default::default(),
        seam: None,
        joint: None,
        section: Some(said(ft(100.0))),
        gauge: None,
        compression: None,
        roughness: None,
        lined: None,
        over: Default::default(),
    }];
    let system = build_ok(&s);
    assert!(
        system.graph.edge_count() >= 100_000,
        "{}",
        system.graph.edge_count()
    );
}

#[test]
fn a_barrier_belongs_to_one_side_only() {
    let mut s = small_house();
    s.readings = vec![crate::sketch::Reading {
        barrier: Some(said(Barrier::Filter)),
        ..total(200.0)
    }];
    assert_eq!(codes(&s), ["E0224"]);
}

#[test]
fn suspicious_things_are_warned_of_and_not_refused() {
    let warned =
        |s: &Sketch| -> Vec<String> { build_ok(s).warnings.into_iter().map(|w| w.code).collect() };
    let mut s = small_house();
    assert_eq!(warned(&s), ["no-reading"]);
    // 10 times the prior of about 100 cfm, and far more than 40 % of 1000 cfm
    s.air_handler.airflow = Some((
        said(crate::quantity::Flow::from_cfm(1000.0)),
        AirflowBy::Plate,
    ));
    s.readings = vec![total(3000.0)];
    assert_eq!(
        warned(&s),
        ["reading-far-from-expectation", "leakage-above-40-percent"]
    );
    let outside = crate::sketch::Reading {
        id: said("out".to_owned()),
        kind: crate::sketch::ReadingKind::ToOutside,
        ..total(150.0)
    };
    s.readings = vec![total(100.0), outside];
    assert!(warned(&s).contains(&"outside-above-total".to_owned()));
    s.readings = vec![total(100.0)];
    assert_eq!(warned(&s), Vec::<String>::new());
    s.runs.pop();
    assert!(warned(&s).contains(&"no-return-drawn".to_owned()));
}

#[test]
fn isolated_readings_take_fan_and_tap_at_their_own_register() {
    let mut s = small_house();
    s.readings = vec![crate::sketch::Reading {
        kind: crate::sketch::ReadingKind::Isolated {
            run: said("bath".to_owned()),
        },
        ..total(10.0)
    }];
    let system = build_ok(&s);
    assert_eq!(system.readings[0].setup, system.isolated_setup(2));
    assert_eq!(system.readings[0].setup.fan, FanPlace::Opening(1));
    assert_eq!(system.readings[0].setup.tap, TapPlace::Opening(1));
}
