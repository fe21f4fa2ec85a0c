//! Warm starts: a solve must not depend on where it starts from.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::{Disturbance, FlowSettings, Network, SeamLaws, assemble, solve};
use crate::catalog::Catalog;
use crate::{sketch, system};

/// Two readings of a single short run: hardly any flow, hardly any loss.
const SMALL: [(&str, &str, &str); 2] = [
    (
        "classroom-rig.yaml",
        include_str!("../../models/classroom-rig.yaml"),
        "C alone",
    ),
    (
        "loose-takeoff.yaml",
        include_str!("../../models/loose-takeoff.yaml"),
        "kitchen alone",
    ),
];

fn network(name: &str, text: &str, reading: &str) -> (Network, Vec<f64>, Vec<f64>) {
    let read = sketch::read(text, name).expect("the models are sound");
    let built = system::build(&read, text, name, Catalog::builtin()).expect("the models are sound");
    let measured = built.readings.iter().find(|m| m.id == reading);
    let setup = &measured.expect("the model has this reading").setup;
    let net = assemble(&built, setup, &FlowSettings::default()).expect("sound");
    let ln_q25 = built.seams.iter().map(|s| s.mean_q25_m3_s.ln()).collect();
    (net, ln_q25, built.seams.iter().map(|s| s.n).collect())
}

fn laws<'a>(ln_q25: &'a [f64], n: &'a [f64]) -> SeamLaws<'a> {
    SeamLaws { ln_q25, n }
}

#[test]
fn a_warm_start_serves_at_other_laws_and_another_tap_pressure() {
    for (name, text, reading) in SMALL {
        let (net, ln_q25, n) = network(name, text, reading);
        let mut start = net.workspace();
        let first = solve(&net, laws(&ln_q25, &n), Disturbance::default(), &mut start);
        assert!(first.status.is_solved(), "{name}: {first:?}");
        let mut random = Pcg64::seed_from_u64(1);
        for draw in 0..2000 {
            let tap_pa = random.random_range(-0.6..0.6);
            let (whole, disturbed) = (
                random.random_range(-3.0..1.5),
                Disturbance {
                    house_pa: 0.0,
                    tap_pa,
                },
            );
            let drawn: Vec<f64> = ln_q25
                .iter()
                .map(|ln| ln + whole + random.random_range(-2.0..2.0))
                .collect();
            let mut cold = net.workspace();
            let expected = solve(&net, laws(&drawn, &n), disturbed, &mut cold);
            assert!(expected.status.is_solved(), "{name} {draw}: {expected:?}");
            let mut ws = net.workspace();
            ws.copy_start_from(&start);
            let warm = solve(&net, laws(&drawn, &n), disturbed, &mut ws);
            assert!(
                warm.status.is_solved() && warm.iterations <= 20,
                "{name}, draw {draw} at {tap_pa:+}: {warm:?}"
            );
            let apart = (warm.fan_flow_m3_s / expected.fan_flow_m3_s - 1.0).abs();
            assert!(apart < 1e-9, "{name}, draw {draw}: {apart}");
        }
    }
}

#[test]
fn a_tap_behind_openings_that_no_fan_can_hold_up_is_given_up_in_few_steps() {
    // The fan stands at the bungalow's blower panel, the tap at a far register, and every seam of that trunk leaks 300 L/s at 25 Pa.
    let name = "bungalow.yaml";
    let text = include_str!("../../models/bungalow.yaml")
        .replace("    tap: supply plenum\n", "    tap: bedroom 1 west\n");
    let (_, mut ln_q25, n) = network(name, &text, "pre-test");
    let read = sketch::read(&text, name).expect("sound");
    let built = system::build(&read, &text, name, Catalog::builtin()).expect("sound");
    for (seam, ln) in built.seams.iter().zip(&mut ln_q25) {
        if seam.run == "west trunk" {
            *ln = 0.3_f64.ln();
        }
    }
    let reach = |farthest_fan_pa: f64| {
        let settings = FlowSettings {
            farthest_fan_pa,
            ..FlowSettings::default()
        };
        let net = assemble(&built, &built.readings[0].setup, &settings).expect("sound");
        let mut ws = net.workspace();
        solve(&net, laws(&ln_q25, &n), Disturbance::default(), &mut ws)
    };
    let (far, near) = (reach(1e12), reach(1e5));
    assert!(far.fan_flow_m3_s > 0.0 && far.status.is_solved(), "{far:?}");
    assert!(!near.status.is_solved(), "{near:?}");
    assert!(near.iterations < 150, "{near:?}");
}
