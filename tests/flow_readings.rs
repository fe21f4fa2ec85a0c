//! Every kind of reading in every set-up: its answer to each seam against central differences.

#[path = "common/models.rs"]
mod models;

use ductseam::flow::{
    Disturbance, FlowSettings, Observable, Prepared, Probe, Reading, SeamLaws, answers, prepare,
    probe_sensitivities, read, sensitivities, solve,
};
use ductseam::system::{RECIPES, Side, System, TestKind};
use models::model;

const STEP: f64 = 1e-4;

fn value(prepared: &Prepared, reading: Reading, ln_q25: &[f64], n: &[f64]) -> f64 {
    let mut ws = prepared.network.workspace();
    let laws = SeamLaws { ln_q25, n };
    let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
    assert!(outcome.status.is_solved(), "{outcome:?}");
    match reading {
        Reading::FanFlow => outcome.fan_flow_m3_s,
        Reading::Probe(probe) => read(&prepared.network, &ws, probe).expect("is read"),
    }
}

/// Returns how many kinds could be read.
fn check(system: &System, kind: TestKind) -> usize {
    let settings = FlowSettings {
        imbalance_rel: 1e-12,
        ..FlowSettings::default()
    };
    let setup = system.setup(kind);
    let prepared = prepare(system, &setup, &settings).expect("set-up is sound");
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let kinds = [
        Observable::FanFlow,
        Observable::BlowerFlow,
        Observable::RegisterFlow(0),
        Observable::RegisterFlow(system.openings.len() - 1),
        Observable::PlenumStatic(Side::Supply),
        Observable::PlenumStatic(Side::Return),
        Observable::StaticRise,
        Observable::BehindOpening(1),
        Observable::Room(2),
        Observable::Place(1),
        Observable::House,
    ];
    let mut taken = 0;
    for what in kinds {
        let Some(reading) = prepared.reading_of(system, what) else {
            continue;
        };
        let mut ws = prepared.network.workspace();
        let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
        assert!(outcome.status.is_solved(), "{kind:?} {outcome:?}");
        let (mut d_ln, mut d_n) = (vec![0.0; n.len()], vec![0.0; n.len()]);
        let found = match reading {
            Reading::FanFlow => Some(sensitivities(
                &prepared.network,
                laws,
                &mut ws,
                &mut d_ln,
                &mut d_n,
            )),
            Reading::Probe(probe) => {
                probe_sensitivities(&prepared.network, laws, &mut ws, probe, &mut d_ln, &mut d_n)
            }
        };
        if found.is_none() {
            continue;
        }
        taken += 1;
        let largest = d_ln.iter().fold(0.0, |m: f64, d| m.max(d.abs()));
        // Every ninth seam and the strongest: each is two solves.
        let strongest = d_ln.iter().position(|d| d.abs() >= largest).unwrap_or(0);
        for seam in (0..n.len()).step_by(9).chain([strongest]) {
            let at = |by: f64| {
                let mut moved = ln_q25.clone();
                moved[seam] += by;
                value(&prepared, reading, &moved, &n)
            };
            let difference = (at(STEP) - at(-STEP)) / (2.0 * STEP);
            let size = value(&prepared, reading, &ln_q25, &n).abs();
            // Rounding of the two readings over the step.
            let noise = 1e-11 * size / STEP;
            assert!(
                (difference - d_ln[seam]).abs() <= 1e-6 * largest + noise,
                "{kind:?} {what:?} seam {seam}: {difference} against {} of {largest}",
                d_ln[seam]
            );
        }
    }
    taken
}

#[test]
fn every_kind_of_reading_answers_as_differences_say_in_every_set_up() {
    let system = model("two-storey");
    let kinds = [
        TestKind::Total,
        TestKind::ToOutside,
        TestKind::OneSide(Side::Supply),
        TestKind::OneSide(Side::Return),
        TestKind::Guarded(Side::Supply),
        TestKind::Guarded(Side::Return),
        TestKind::Isolated(2),
        TestKind::RoughIn,
        TestKind::Pan(0),
        TestKind::HouseFanOpen,
        TestKind::HouseFanMasked,
        TestKind::Running,
        TestKind::RunningHeld,
    ];
    assert_eq!(kinds.len(), RECIPES.len());
    for kind in kinds {
        let taken = check(&system, kind);
        assert!(taken >= 2, "{kind:?}: {taken}");
    }
}

#[test]
fn a_running_system_lets_every_kind_be_read() {
    let system = model("two-storey");
    assert!(check(&system, TestKind::Running) >= 8);
}

#[test]
fn opening_the_registers_raises_what_the_house_fan_moves() {
    let system = model("two-storey");
    let settings = FlowSettings::default();
    let (ln_q25, n) = system.prior_laws();
    let fan = |kind: TestKind| {
        let prepared = prepare(&system, &system.setup(kind), &settings).expect("sound");
        value(&prepared, Reading::FanFlow, &ln_q25, &n)
    };
    assert!(fan(TestKind::HouseFanOpen) > fan(TestKind::HouseFanMasked));
}

#[test]
fn a_pan_over_a_run_inside_the_house_reads_nearly_nothing() {
    let system = model("classroom-rig");
    let prepared = prepare(
        &system,
        &system.setup(TestKind::Pan(0)),
        &FlowSettings::default(),
    )
    .expect("sound");
    let Reading::Probe(Probe::Pressure { .. }) = prepared.reads else {
        panic!("a pan reads a pressure");
    };
    let (ln_q25, n) = system.prior_laws();
    assert!(value(&prepared, prepared.reads, &ln_q25, &n).abs() < 1e-6);
}

#[test]
fn answers_side_by_side_are_those_one_by_one() {
    let system = model("two-storey");
    let setup = system.setup(TestKind::Running);
    let prepared = prepare(&system, &setup, &FlowSettings::default()).expect("sound");
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let mut ws = prepared.network.workspace();
    let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
    assert!(outcome.status.is_solved());
    let probes: Vec<Probe> = (0..system.openings.len())
        .map(Observable::RegisterFlow)
        .filter_map(|kind| prepared.reading_of(&system, kind))
        .filter_map(|reading| match reading {
            Reading::Probe(probe) => Some(probe),
            Reading::FanFlow => None,
        })
        .collect();
    assert!(probes.len() > 10);
    let together = answers(&prepared.network, laws, &ws, &probes);
    for (probe, answer) in probes.iter().zip(together) {
        let answer = answer.expect("register is open");
        let (mut d_ln, mut d_n) = (vec![0.0; n.len()], vec![0.0; n.len()]);
        let held = probe_sensitivities(
            &prepared.network,
            laws,
            &mut ws,
            *probe,
            &mut d_ln,
            &mut d_n,
        );
        assert_eq!(Some(answer.held), held);
        assert_eq!(answer.d_ln_q25, d_ln);
        assert_eq!(answer.d_n, d_n);
    }
}
