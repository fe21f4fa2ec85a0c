//! What takes part in each kind of leakage test, on a small invented house.

use ductseam::catalog::Catalog;
use ductseam::flow::{
    Disturbance, FlowError, FlowSettings, Network, Outcome, SeamLaws, SeamPressure, Workspace,
    assemble, prepare, solve,
};
use ductseam::system::{
    FanPlace, Mask, RunIdx, Seam, SeamRole, Setup, Side, System, TapPlace, TestKind, build,
};

const HOUSE: &str = "\
ductseam: 1
title: A house for checking set-ups (invented)
house: {elevation: 0 ft}
places: {basement: inside, attic: outside}
air handler: {place: basement, coil: after blower, filter: unit}
runs:
  - {id: S, side: supply, from: supply plenum, size: 14x8 in, place: basement, walk: [north 20 ft, cap]}
  - {id: kitchen, from: S at 6 ft left, size: 6 in, place: attic, walk: [tab collar, 30 ft, boot 10x4 in]}
  - {id: bath, from: S at 12 ft right, size: 5 in, place: basement, walk: [tab collar, 8 ft, boot 10x4 in]}
  - {id: R, side: return, from: return plenum, size: 16x8 in, place: basement, walk: [south 12 ft, return box 20x14 in]}
";

fn house() -> System {
    let sketch = ductseam::sketch::read(HOUSE, "house.yaml")
        .unwrap_or_else(|e| panic!("{}", e.render(false)));
    build(&sketch, HOUSE, "house.yaml", Catalog::builtin())
        .unwrap_or_else(|e| panic!("{}", e.render(false)))
}

fn run(system: &System, id: &str) -> RunIdx {
    system
        .runs
        .iter()
        .position(|run| run.id == id)
        .expect("run is in the sketch")
}

fn network(system: &System, setup: &Setup) -> Network {
    assemble(system, setup, &FlowSettings::default()).expect("set-up is sound")
}

fn solved(system: &System, setup: &Setup, settings: &FlowSettings) -> (Outcome, Workspace) {
    let net = assemble(system, setup, settings).expect("set-up is sound");
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let mut ws = net.workspace();
    let outcome = solve(&net, laws, Disturbance::default(), &mut ws);
    assert!(outcome.status.is_solved(), "{outcome:?}");
    (outcome, ws)
}

/// Every seam takes part exactly where `expected` says so.
fn check_counted(system: &System, setup: &Setup, expected: impl Fn(&Seam) -> bool) {
    let net = network(system, setup);
    for (index, seam) in system.seams.iter().enumerate() {
        assert_eq!(net.seam_counts(index), expected(seam), "{}", seam.id);
    }
}

#[test]
fn a_total_test_counts_every_seam_and_adds_up() {
    let system = house();
    let setup = system.total_setup();
    let under_fan = |seam: &Seam| match (setup.fan, seam.role) {
        (FanPlace::Opening(fan), SeamRole::BootGap(gap)) => fan == gap,
        _ => false,
    };
    check_counted(&system, &setup, |seam| !under_fan(seam));
    let (outcome, ws) = solved(&system, &setup, &FlowSettings::default());
    let seams: f64 = ws.seam_flow().iter().sum();
    let sum = seams + outcome.mask_leak_m3_s;
    assert!((sum / outcome.fan_flow_m3_s - 1.0).abs() < 1e-12);
    assert!(outcome.mask_leak_m3_s > 0.0);
    // No seam feels more than the fan's own pressure, and in so short a system hardly less than the tap's.
    let all: f64 = system.seams.iter().map(|s| s.mean_q25_m3_s).sum();
    assert!(seams < 1.3 * all && seams > 0.6 * all, "{seams} of {all}");
}

#[test]
fn a_barrier_at_the_filter_gives_each_seam_to_one_side() {
    let system = house();
    let (supply, mut back) = (
        system.one_side_setup(Side::Supply),
        system.one_side_setup(Side::Return),
    );
    // With the fan at the panel on one side and at the grille on the other, no seam is under a fan twice.
    back.mask = Mask::Flange;
    let (supply_net, return_net) = (network(&system, &supply), network(&system, &back));
    for (index, seam) in system.seams.iter().enumerate() {
        let under_fan =
            matches!((back.fan, seam.role), (FanPlace::Opening(f), SeamRole::BootGap(g)) if f == g);
        let sides = (supply_net.seam_counts(index), return_net.seam_counts(index));
        if under_fan {
            assert_eq!(sides, (false, false), "{}", seam.id);
        } else {
            assert!(sides.0 != sides.1, "{} {sides:?}", seam.id);
        }
        if seam.run == "R" {
            assert!(!sides.0, "{}", seam.id);
        }
    }
}

#[test]
fn an_isolated_run_counts_its_own_seams_alone() {
    let system = house();
    let setup = system.isolated_setup(run(&system, "kitchen"));
    let under_fan = |seam: &Seam| matches!((setup.fan, seam.role), (FanPlace::Opening(f), SeamRole::BootGap(g)) if f == g);
    check_counted(&system, &setup, |seam| {
        seam.run == "kitchen" && !under_fan(seam)
    });
    let (outcome, _) = solved(&system, &setup, &FlowSettings::default());
    assert!(outcome.mask_leak_m3_s > 0.0, "the plug leaks");
}

#[test]
fn an_isolated_trunk_takes_its_branches_along() {
    let system = house();
    let mut setup = system.isolated_setup(run(&system, "S"));
    let bath = system.runs[run(&system, "bath")]
        .opening
        .expect("bath ends in a boot");
    setup.fan = FanPlace::Opening(bath);
    setup.tap = TapPlace::Opening(bath);
    let net = network(&system, &setup);
    for (index, seam) in system.seams.iter().enumerate() {
        let own = matches!(seam.run.as_str(), "S" | "kitchen" | "bath");
        let under_fan = seam.role == SeamRole::BootGap(bath);
        assert_eq!(net.seam_counts(index), own && !under_fan, "{}", seam.id);
    }
}

#[test]
fn a_plugged_run_drops_out_of_a_total_test() {
    let system = house();
    let mut setup = system.total_setup();
    setup.fan = FanPlace::BlowerPanel;
    setup.plugged = vec![run(&system, "kitchen")];
    check_counted(&system, &setup, |seam| seam.run != "kitchen");

    // The plug leaks 0.3 L/s at 25 Pa, and the register's mask behind it, 0.05 L/s, is out of the test.
    let (plugged, _) = solved(&system, &setup, &FlowSettings::default());
    setup.plugged.clear();
    let (open, _) = solved(&system, &setup, &FlowSettings::default());
    let more = plugged.mask_leak_m3_s - open.mask_leak_m3_s;
    assert!((more - 0.25e-3).abs() < 0.02e-3, "{more}");
}

#[test]
fn a_plug_in_the_throat_leaves_the_boot_gap_out() {
    let system = house();
    let mut setup = system.total_setup();
    setup.fan = FanPlace::BlowerPanel;
    setup.mask = Mask::Throat;
    check_counted(&system, &setup, |seam| {
        !matches!(seam.role, SeamRole::BootGap(_))
    });
}

#[test]
fn with_the_house_at_the_ducts_pressure_indoor_seams_hardly_leak() {
    let system = house();
    let (total, _) = solved(&system, &system.total_setup(), &FlowSettings::default());
    let (outside, ws) = solved(
        &system,
        &system.to_outside_setup(),
        &FlowSettings::default(),
    );
    assert!(outside.fan_flow_m3_s < total.fan_flow_m3_s);
    let (mut indoors, mut outdoors) = (0.0, 0.0);
    for (seam, flow) in system.seams.iter().zip(ws.seam_flow()) {
        if system.places[seam.place].house_share > 0.5 {
            indoors += flow.abs();
        } else {
            outdoors += flow.abs();
        }
    }
    assert!(outdoors > 0.0 && indoors < outdoors, "{indoors} {outdoors}");
}

/// Moving air lowers the static pressure both ways, so with static pressure at the seams it is nearly so.
#[test]
fn pulling_down_reads_what_blowing_up_reads() {
    let system = house();
    let mut setup = system.total_setup();
    for (seam_pressure, within) in [(SeamPressure::Total, 1e-9), (SeamPressure::Static, 0.01)] {
        let settings = FlowSettings {
            seam_pressure,
            ..FlowSettings::default()
        };
        setup.pressurise = true;
        let (up, _) = solved(&system, &setup, &settings);
        setup.pressurise = false;
        let (down, ws) = solved(&system, &setup, &settings);
        let ratio = down.fan_flow_m3_s / up.fan_flow_m3_s;
        assert!((ratio - 1.0).abs() < within, "{seam_pressure:?} {ratio}");
        assert!(
            ws.seam_flow().iter().sum::<f64>() < 0.0,
            "leaks flow inward"
        );
    }
}

#[test]
fn a_fan_behind_the_barrier_is_refused_by_name() {
    let system = house();
    let mut setup = system.one_side_setup(Side::Return);
    setup.fan = FanPlace::BlowerPanel;
    let refused = assemble(&system, &setup, &FlowSettings::default()).map(|_| ());
    assert!(
        matches!(refused, Err(FlowError::FanOutside { .. })),
        "{refused:?}"
    );
}

#[test]
fn finer_cuts_change_the_total_by_less_than_a_thousandth() {
    let system = house();
    let flow = |longest_segment_m| {
        let settings = FlowSettings {
            longest_segment_m,
            ..FlowSettings::default()
        };
        solved(&system, &system.total_setup(), &settings)
            .0
            .fan_flow_m3_s
    };
    let (usual, fine) = (flow(3.0), flow(0.3));
    assert!((usual / fine - 1.0).abs() < 1e-3, "{usual} {fine}");
}

#[test]
fn a_rough_in_has_neither_cabinet_nor_boot_gaps() {
    let system = house();
    check_counted(&system, &system.setup(TestKind::RoughIn), |seam| {
        let cabinet = seam.piece.starts_with("unit/");
        !cabinet && !matches!(seam.role, SeamRole::BootGap(_))
    });
}

#[test]
fn a_guarded_side_reads_what_the_barrier_leaks_less() {
    let system = house();
    let settings = FlowSettings::default();
    let (open, _) = solved(&system, &system.one_side_setup(Side::Return), &settings);
    let guarded = system.setup(TestKind::Guarded(Side::Return));
    let (guarded, _) = solved(&system, &guarded, &settings);
    let barrier = open.fan_flow_m3_s - guarded.fan_flow_m3_s;
    // 0.5 L/s at 25 Pa, and the barrier feels a little less than the tap.
    assert!((4.0e-4..=5.1e-4).contains(&barrier), "{barrier}");
}

/// Behind a pan nothing shows where the run is tight to outdoors, and all of the house's pressure where it is open
/// there. Common practice.
#[test]
fn a_pan_over_a_run_that_is_open_outdoors_nears_the_house_pressure() {
    let system = house();
    let kitchen = system.runs[run(&system, "kitchen")]
        .opening
        .expect("a boot");
    let pan = |scale: f64| {
        let setup = system.setup(TestKind::Pan(kitchen));
        let prepared = prepare(&system, &setup, &FlowSettings::default()).expect("sound");
        // All seams of the attic run `scale` times as leaky.
        let ln_q25: Vec<f64> = (system.seams.iter())
            .map(|s| {
                let more = if s.run == "kitchen" { scale } else { 1.0 };
                (s.mean_q25_m3_s * more).ln()
            })
            .collect();
        let n: Vec<f64> = system.seams.iter().map(|s| s.n).collect();
        let laws = SeamLaws {
            ln_q25: &ln_q25,
            n: &n,
        };
        let mut ws = prepared.network.workspace();
        let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
        assert!(outcome.status.is_solved(), "{outcome:?}");
        prepared.reading(&ws, &outcome).expect("a pan reads")
    };
    let (tight, usual, open) = (pan(1e-3), pan(1.0), pan(1e4));
    assert!((0.0..0.1).contains(&tight), "{tight}");
    assert!(tight < usual && usual < open, "{usual}");
    assert!((45.0..=50.001).contains(&open), "{open}");
}

#[test]
fn a_run_without_a_register_cannot_take_a_pan_but_the_set_up_is_refused_with_words() {
    let system = house();
    let mut setup = system.isolated_setup(run(&system, "S"));
    setup.fan = FanPlace::BlowerPanel;
    let refused = prepare(&system, &setup, &FlowSettings::default()).map(|_| ());
    let error = refused.expect_err("nowhere to put the fan");
    assert!(error.to_string().contains('`') && !error.hint().is_empty());
}
