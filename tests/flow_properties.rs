//! Laws that every solved network must obey, on seeded random networks.

use ductseam::air::Air;
use ductseam::flow::{
    AbstractNetwork, BranchLaw, Disturbance, DuctShape, FlowSettings, Network, NodeId, Outcome,
    SeamAtNode, SeamLaws, Status, Workspace, content, sensitivities, solve, solve_traced,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// The air to which leak coefficients are referred, so that they hold as they stand.
const AIR: Air = Air {
    density: 1.204,
    viscosity: 1.813_405_882_15e-5,
};

/// A random network by its parts, so that it can be shuffled and changed.
#[derive(Clone)]
struct Parts {
    nodes: usize,
    branches: Vec<(usize, usize, BranchLaw)>,
    seams: Vec<(usize, f64)>,
    ln_q25: Vec<f64>,
    n: Vec<f64>,
    fan: usize,
    tap: usize,
    pressure: f64,
    house: f64,
}

/// How wild a random network is.
#[derive(Clone, Copy)]
struct Wild {
    /// Half the decades over which seams spread.
    decades: f64,
    apart: bool,
    lossless: bool,
    zones: bool,
}

const TAME: Wild = Wild {
    decades: 1.0,
    apart: false,
    lossless: false,
    zones: false,
};

fn random_branch(rng: &mut Pcg64, wild: Wild) -> BranchLaw {
    if wild.lossless {
        return BranchLaw::Lossless;
    }
    let spread = wild.decades / 6.0;
    match rng.random_range(0..10) {
        0 => BranchLaw::Component {
            dp_pa: 40.0 * 10f64.powf(spread * rng.random_range(-2.0..2.0)),
            q_m3_s: 0.5,
            m: rng.random_range(1.0..2.0),
        },
        1 => BranchLaw::Lossless,
        kind => {
            let d = 0.15 * 10f64.powf(spread * rng.random_range(-1.0..1.0));
            BranchLaw::Duct(DuctShape {
                area_m2: std::f64::consts::FRAC_PI_4 * d * d,
                hydraulic_diameter_m: d,
                length_m: if kind == 2 {
                    0.0
                } else {
                    rng.random_range(0.1..10.0)
                },
                roughness_m: d * 10f64.powf(rng.random_range(-5.0..-1.5)),
                friction_factor: rng.random_range(1.0..6.0),
                loss: if kind < 6 {
                    rng.random_range(0.01..20.0)
                } else {
                    0.0
                },
            })
        }
    }
}

fn random_parts(seed: u64, wild: Wild) -> Parts {
    let mut rng = Pcg64::seed_from_u64(seed);
    let nodes = rng.random_range(2..40);
    let mut branches = Vec::new();
    for head in 1..nodes {
        let tail = rng.random_range(0..head);
        branches.push((tail, head, random_branch(&mut rng, wild)));
    }
    for _ in 0..rng.random_range(0..6) {
        let (a, b) = (rng.random_range(0..nodes), rng.random_range(0..nodes));
        branches.push((a, b, random_branch(&mut rng, wild)));
    }
    let count = rng.random_range(1..60);
    let share = |rng: &mut Pcg64| match rng.random_range(0..3) {
        0 => 1.0,
        1 => 0.0,
        _ => rng.random_range(0.0..1.0),
    };
    let seams = (0..count)
        .map(|_| (rng.random_range(0..nodes), share(&mut rng)))
        .collect();
    let ln_q25 = (0..count)
        .map(|_| (1e-3 * 10f64.powf(wild.decades * rng.random_range(-1.0..1.0))).ln())
        .collect();
    let n = (0..count).map(|_| rng.random_range(0.5..1.0)).collect();
    Parts {
        nodes,
        branches,
        seams,
        ln_q25,
        n,
        fan: 0,
        tap: if wild.apart {
            rng.random_range(0..nodes)
        } else {
            0
        },
        pressure: if rng.random_range(0..3) == 0 {
            -25.0
        } else {
            25.0
        },
        house: if wild.zones {
            [0.0, 25.0, -25.0, 3.0][rng.random_range(0..4)]
        } else {
            0.0
        },
    }
}

fn network(parts: &Parts, settings: &FlowSettings) -> Network {
    let mut network = AbstractNetwork::new(AIR);
    let nodes: Vec<NodeId> = (0..parts.nodes)
        .map(|i| network.node(format!("node {i}")))
        .collect();
    for (i, (tail, head, law)) in parts.branches.iter().enumerate() {
        network.branch(
            format!("branch {i}"),
            nodes[*tail],
            nodes[*head],
            law.clone(),
        );
    }
    for &(node, house_share) in &parts.seams {
        network.seam(SeamAtNode {
            node: nodes[node],
            house_share,
            fixed_pa: 0.0,
            part: 1.0,
        });
    }
    network.hold(nodes[parts.fan], nodes[parts.tap], parts.pressure);
    network.house(parts.house);
    network.build(settings).expect("connected by its tree")
}

fn solved(parts: &Parts, settings: &FlowSettings) -> (Network, Workspace, Outcome) {
    let net = network(parts, settings);
    let mut ws = net.workspace();
    let outcome = solve(&net, laws(parts), Disturbance::default(), &mut ws);
    (net, ws, outcome)
}

fn laws(parts: &Parts) -> SeamLaws<'_> {
    SeamLaws {
        ln_q25: &parts.ln_q25,
        n: &parts.n,
    }
}

fn exact() -> FlowSettings {
    FlowSettings {
        imbalance_rel: 1e-13,
        ..FlowSettings::default()
    }
}

#[test]
fn nasty_networks_with_the_tap_at_the_fan_all_converge() {
    let wild = Wild {
        decades: 6.0,
        zones: true,
        ..TAME
    };
    let (mut most, mut sum) = (0, 0);
    for seed in 0..600 {
        let (.., outcome) = solved(&random_parts(seed, wild), &FlowSettings::default());
        assert!(outcome.status.is_solved(), "seed {seed}: {outcome:?}");
        most = most.max(outcome.iterations);
        sum += outcome.iterations;
    }
    println!("most steps {most}, mean {:.1}", f64::from(sum) / 600.0);
    assert!(most <= 60, "{most} steps");
}

#[test]
fn nasty_networks_with_the_tap_elsewhere_all_converge() {
    let wild = Wild {
        decades: 3.0,
        zones: false,
        apart: true,
        ..TAME
    };
    let (mut most, mut absurd) = (0, 0);
    for seed in 0..600 {
        let parts = random_parts(seed, wild);
        let (_, ws, outcome) = solved(&parts, &FlowSettings::default());
        let fan = ws.node_pressure(parts.fan).expect("fan is there");
        if fan.abs() > 1e7 {
            // No fan holds 25 Pa so far behind such leaks: a hundred atmospheres would be needed.
            absurd += 1;
            continue;
        }
        assert!(outcome.status.is_solved(), "seed {seed}: {outcome:?}");
        let tap = ws.node_pressure(parts.tap).expect("tap is there");
        // Far below the fan's pressure the tap's last digits are rounding.
        let within = 1e-9 + 8.0 * f64::EPSILON * fan.abs();
        let off = (tap - parts.pressure).abs();
        assert!(off <= within, "seed {seed}: {tap}, fan at {fan}");
        most = most.max(outcome.iterations);
    }
    println!("most steps {most}, beyond any fan {absurd}");
    assert!(absurd < 60, "{absurd} of 600 left out");
}

#[test]
fn leaks_add_up_to_what_the_fan_feeds_into_the_ducts() {
    for seed in 0..80 {
        let parts = random_parts(seed, TAME);
        let (_, ws, outcome) = solved(&parts, &exact());
        let sense = parts.pressure.signum();
        let leaks: f64 = sense * ws.seam_flow().iter().sum::<f64>();
        let fed = outcome.fan_flow_m3_s;
        assert!((leaks / fed - 1.0).abs() < 1e-12, "seed {seed}");
        // No inner node may make or lose air, however many there are.
        assert!(outcome.worst_imbalance < 1e-11 * fed, "seed {seed}");
    }
}

#[test]
fn content_falls_at_every_accepted_step() {
    let wild = Wild {
        decades: 4.0,
        zones: true,
        ..TAME
    };
    for seed in 0..150 {
        let parts = random_parts(seed, wild);
        let net = network(&parts, &FlowSettings::default());
        let mut ws = net.workspace();
        let mut trace = Vec::new();
        let outcome = solve_traced(
            &net,
            laws(&parts),
            Disturbance::default(),
            &mut ws,
            &mut trace,
        );
        assert!(outcome.status.is_solved(), "seed {seed}");
        for pair in trace.windows(2) {
            let slack = 1e-12 * pair[0].content.abs();
            assert!(
                pair[1].content <= pair[0].content + slack,
                "seed {seed}: {pair:?}"
            );
        }
        if let Some(last) = trace.last() {
            let found = content(&net, &mut ws);
            assert!(
                (found - last.content).abs() <= 1e-12 * found.abs(),
                "seed {seed}"
            );
        }
    }
}

#[test]
fn opening_a_seam_never_lowers_the_total() {
    for seed in 0..40 {
        let parts = random_parts(seed, TAME);
        let (.., before) = solved(&parts, &exact());
        for seam in 0..parts.seams.len() {
            let mut more = parts.clone();
            more.ln_q25[seam] += 0.5;
            let (.., after) = solved(&more, &exact());
            let rise = after.fan_flow_m3_s - before.fan_flow_m3_s;
            assert!(
                rise >= -1e-12 * before.fan_flow_m3_s,
                "seed {seed}, seam {seam}"
            );
        }
    }
}

#[test]
fn order_of_nodes_branches_and_seams_changes_nothing() {
    for seed in 0..60 {
        let wild = Wild {
            apart: seed % 2 == 1,
            ..TAME
        };
        let parts = random_parts(seed, wild);
        let (_, ws, outcome) = solved(&parts, &exact());
        let mut rng = Pcg64::seed_from_u64(1000 + seed);
        let to = shuffled(parts.nodes, &mut rng);
        let seam_order = shuffled(parts.seams.len(), &mut rng);
        let branch_order = shuffled(parts.branches.len(), &mut rng);
        let turned = Parts {
            branches: branch_order
                .iter()
                .map(|&i| parts.branches[i].clone())
                .map(|(a, b, law)| (to[b], to[a], law))
                .collect(),
            seams: seam_order
                .iter()
                .map(|&i| (to[parts.seams[i].0], parts.seams[i].1))
                .collect(),
            ln_q25: seam_order.iter().map(|&i| parts.ln_q25[i]).collect(),
            n: seam_order.iter().map(|&i| parts.n[i]).collect(),
            fan: to[parts.fan],
            tap: to[parts.tap],
            ..parts.clone()
        };
        let (_, turned_ws, turned_outcome) = solved(&turned, &exact());
        let scale = outcome.fan_flow_m3_s;
        assert!(
            (turned_outcome.fan_flow_m3_s / scale - 1.0).abs() < 1e-11,
            "seed {seed}"
        );
        for (at, &seam) in seam_order.iter().enumerate() {
            let off = turned_ws.seam_flow()[at] - ws.seam_flow()[seam];
            assert!(off.abs() < 1e-11 * scale, "seed {seed}, seam {seam}: {off}");
        }
    }
}

fn shuffled(n: usize, rng: &mut Pcg64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    for i in (1..n).rev() {
        order.swap(i, rng.random_range(0..=i));
    }
    order
}

#[test]
fn lossless_ducts_with_equal_exponents_scale_with_the_pressure() {
    let wild = Wild {
        lossless: true,
        ..TAME
    };
    for seed in 0..20 {
        let mut parts = random_parts(seed, wild);
        parts.pressure = 25.0;
        parts.n.fill(0.62);
        let bare: f64 = parts
            .seams
            .iter()
            .zip(&parts.ln_q25)
            .map(|(_, ln)| ln.exp())
            .sum();
        let (.., at_25) = solved(&parts, &exact());
        assert!(
            (at_25.fan_flow_m3_s / bare - 1.0).abs() < 1e-12,
            "seed {seed}"
        );
        parts.pressure = 50.0;
        let (.., at_50) = solved(&parts, &exact());
        let factor = 2f64.powf(0.62);
        assert!(
            (at_50.fan_flow_m3_s / bare / factor - 1.0).abs() < 1e-12,
            "seed {seed}"
        );
    }
}

#[test]
fn pulling_down_mirrors_blowing_up() {
    for seed in 0..20 {
        let mut parts = random_parts(seed, TAME);
        parts.pressure = 25.0;
        let (_, up, up_outcome) = solved(&parts, &exact());
        parts.pressure = -25.0;
        let (_, down, down_outcome) = solved(&parts, &exact());
        let scale = up_outcome.fan_flow_m3_s;
        assert!(down_outcome.fan_flow_m3_s > 0.0);
        assert!((down_outcome.fan_flow_m3_s / scale - 1.0).abs() < 1e-12);
        for (u, d) in up.seam_flow().iter().zip(down.seam_flow()) {
            assert!((u + d).abs() < 1e-12 * scale);
        }
    }
}

#[test]
fn a_sealed_seam_leaks_nothing_and_the_rest_still_solves() {
    for seed in 0..20 {
        let mut parts = random_parts(seed, TAME);
        parts.ln_q25[0] = f64::NEG_INFINITY;
        let (_, ws, outcome) = solved(&parts, &exact());
        assert!(outcome.status.is_solved());
        assert!(ws.seam_flow()[0].abs() < f64::MIN_POSITIVE);
    }
}

#[test]
fn perfectly_tight_ducts_take_no_flow() {
    let mut parts = random_parts(3, TAME);
    parts.ln_q25.fill(f64::NEG_INFINITY);
    let (_, _, outcome) = solved(&parts, &FlowSettings::default());
    assert!(outcome.status.is_solved(), "{outcome:?}");
    assert!(outcome.fan_flow_m3_s.abs() < f64::MIN_POSITIVE);
}

#[test]
fn pressure_falls_along_a_leaky_branch() {
    let mut parts = random_parts(0, TAME);
    let mut rng = Pcg64::seed_from_u64(9);
    parts.nodes = 12;
    parts.branches = (1..12)
        .map(|i| {
            let law = loop {
                let law = random_branch(&mut rng, TAME);
                if matches!(law, BranchLaw::Duct(_)) {
                    break law;
                }
            };
            (i - 1, i, law)
        })
        .collect();
    parts.seams = (0..12).map(|i| (i, 0.0)).collect();
    parts.ln_q25 = vec![3e-3_f64.ln(); 12];
    parts.n = vec![0.6; 12];
    parts.pressure = 25.0;
    let (_, ws, outcome) = solved(&parts, &exact());
    assert_eq!(outcome.status, Status::Converged);
    for i in 1..12 {
        let (before, after) = (ws.node_pressure(i - 1), ws.node_pressure(i));
        assert!(after < before, "{i}: {after:?} {before:?}");
        assert!(after > Some(0.0));
    }
}

#[test]
fn sensitivities_match_central_differences() {
    for seed in 0..40 {
        let wild = Wild {
            apart: seed % 2 == 0,
            zones: seed % 3 == 0,
            ..TAME
        };
        let mut parts = random_parts(seed, wild);
        if wild.apart {
            parts.house = 0.0;
        }
        let net = network(&parts, &exact());
        let mut ws = net.workspace();
        solve(&net, laws(&parts), Disturbance::default(), &mut ws);
        let count = parts.seams.len();
        let (mut d_ln, mut d_n) = (vec![0.0; count], vec![0.0; count]);
        let held = sensitivities(&net, laws(&parts), &mut ws, &mut d_ln, &mut d_n);

        let mut flow = |parts: &Parts, disturbance| {
            let outcome = solve(&net, laws(parts), disturbance, &mut ws);
            assert!(outcome.status.is_solved(), "seed {seed}");
            outcome.fan_flow_m3_s
        };
        let h = 1e-4;
        let nominal = Disturbance::default();
        let largest = d_ln.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
        let largest_n = d_n.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
        for seam in 0..count {
            let mut change = |up: bool, by_n: bool| {
                let mut moved = parts.clone();
                let h = if up { h } else { -h };
                if by_n {
                    moved.n[seam] += h
                } else {
                    moved.ln_q25[seam] += h
                }
                flow(&moved, nominal)
            };
            let finite = (change(true, false) - change(false, false)) / (2.0 * h);
            let finite_n = (change(true, true) - change(false, true)) / (2.0 * h);
            assert!(
                (finite - d_ln[seam]).abs() < 1e-6 * largest,
                "seed {seed} seam {seam}"
            );
            assert!(
                (finite_n - d_n[seam]).abs() < 1e-6 * largest_n,
                "seed {seed} n {seam}"
            );
        }
        let house = |pa| Disturbance {
            house_pa: pa,
            tap_pa: 0.0,
        };
        let tap = |pa| Disturbance {
            house_pa: 0.0,
            tap_pa: pa,
        };
        let by_house = (flow(&parts, house(h)) - flow(&parts, house(-h))) / (2.0 * h);
        let by_tap = (flow(&parts, tap(h)) - flow(&parts, tap(-h))) / (2.0 * h);
        let scale = held.tap_pa.abs();
        assert!(
            (by_house - held.house_pa).abs() < 2e-4 * scale,
            "seed {seed}: {by_house} {held:?}"
        );
        assert!(
            (by_tap - held.tap_pa).abs() < 2e-4 * scale,
            "seed {seed}: {by_tap} {held:?}"
        );
    }
}

#[test]
fn a_warm_start_ends_where_a_cold_one_does() {
    for seed in 0..30 {
        let wild = Wild {
            apart: seed % 2 == 0,
            ..TAME
        };
        let parts = random_parts(seed, wild);
        let (net, mut ws, _) = solved(&parts, &exact());
        let mut moved = parts.clone();
        for ln in &mut moved.ln_q25 {
            *ln += 0.3;
        }
        let warm = solve(&net, laws(&moved), Disturbance::default(), &mut ws);
        ws.clear_start();
        let cold = solve(&net, laws(&moved), Disturbance::default(), &mut ws);
        assert!(
            (warm.fan_flow_m3_s / cold.fan_flow_m3_s - 1.0).abs() < 1e-11,
            "seed {seed}"
        );
    }
}

#[test]
fn a_house_at_the_ducts_pressure_leaves_only_what_leaks_outdoors() {
    // All seams indoors: nothing flows; the pressure differences are zero to rounding.
    let mut parts = random_parts(5, TAME);
    parts.pressure = 25.0;
    parts.house = 25.0;
    for seam in &mut parts.seams {
        seam.1 = 1.0;
    }
    let (_, ws, outcome) = solved(&parts, &FlowSettings::default());
    assert!(outcome.status.is_solved(), "{outcome:?}");
    assert!(outcome.fan_flow_m3_s.abs() < 1e-12);
    // One seam outdoors again.
    parts.seams[0].1 = 0.0;
    let (_, ws_one, outcome) = solved(&parts, &FlowSettings::default());
    assert!(outcome.status.is_solved(), "{outcome:?}");
    assert!(ws_one.seam_flow()[0] > 0.0);
    assert!(ws.seam_dp().iter().all(|dp| dp.abs() < 1e-9));
}
