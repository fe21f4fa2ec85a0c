//! Laws that solved networks obey, with floating houses, blowers, velocity pressures and takeoffs.

#[path = "common/balance_audit.rs"]
#[allow(dead_code)] // the sweep uses the rest
mod balance_audit;
#[path = "common/random_networks.rs"]
#[allow(dead_code)] // the sweep uses the rest
mod random_networks;

use ductseam::flow::{
    AbstractNetwork, Against, BlowerCurve, BranchId, BranchLaw, Disturbance, FlowSettings,
    LagMethod, Network, NodeId, Outcome, Probe, SeamLaws, Section, Sensitivity, Workspace,
    probe_sensitivities, read, sensitivities, solve, solve_traced,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use random_networks::{
    AIR, ATTIC, BLOWER, HOUSE, INLET, OUTDOORS, OUTLET, Plan, Running, TAME, Wild, duct,
    random_ducts, running_system,
};

fn rng(seed: u64) -> Pcg64 {
    Pcg64::seed_from_u64(seed)
}

fn exact() -> FlowSettings {
    FlowSettings {
        imbalance_rel: 1e-12,
        ..FlowSettings::default()
    }
}

/// Nodes and branches of a plan as the builder counts them.
fn handles(plan: &Plan) -> (Vec<NodeId>, Vec<BranchId>) {
    let mut network = AbstractNetwork::new(AIR);
    let nodes = (0..plan.nodes).map(|_| network.node("")).collect();
    let legs = (0..plan.legs.len())
        .map(|_| {
            network.branch(
                "",
                NodeId::default(),
                NodeId::default(),
                BranchLaw::Lossless,
            )
        })
        .collect();
    (nodes, legs)
}

fn solved(plan: &Plan, settings: &FlowSettings) -> (Network, Workspace, Outcome) {
    let net = plan.build(settings).expect("a sound plan");
    let mut ws = net.workspace();
    let outcome = solve(&net, plan.laws(), Disturbance::default(), &mut ws);
    assert!(outcome.status.is_solved(), "{outcome:?}");
    (net, ws, outcome)
}

/// Systems with a blower and a floating house, lags as asked.
fn running(seed: u64, leaks_on_static: bool, forks: bool) -> Plan {
    let mut rng = rng(seed);
    let how = Running {
        registers: rng.random_range(1..8),
        velocity: rng.random_range(2.0..5.0),
        leaks_on_static,
        forks,
        decades: 1.0,
    };
    running_system(&mut rng, how)
}

/// The same under a test fan at the blower's outlet, registers masked, a static tap out in the supply.
fn tested(seed: u64) -> Plan {
    let mut plan = running(seed, true, true);
    plan.legs[BLOWER].law = BranchLaw::Component {
        dp_pa: 5.0,
        q_m3_s: 0.5,
        m: 2.0,
    };
    for leg in &mut plan.legs[4..] {
        if leg.head == HOUSE {
            leg.law = BranchLaw::Path {
                q_m3_s: 2e-4,
                dp_pa: 25.0,
                n: 0.6,
            };
        }
    }
    plan.held.push((OUTDOORS, 0.0));
    (plan.fan, plan.pressure) = (OUTLET, [25.0, -25.0][(seed % 2) as usize]);
    // Leg 4 is the coil, 5 the first main of the supply side.
    plan.tap = plan.legs[5].head;
    if let BranchLaw::Duct(shape) = &plan.legs[5].law {
        plan.tap_beside = Some((5, shape.area_m2));
    }
    plan
}

/// Plans of every kind.
fn all_kinds(seed: u64) -> Vec<Plan> {
    let zones = Wild {
        zones: true,
        house: true,
        open: true,
        ..TAME
    };
    let mut random = rng(seed);
    let nodes = random.random_range(2..40);
    vec![
        random_ducts(&mut random, nodes, zones),
        running(seed, false, false),
        running(seed, true, false),
        running(seed, true, true),
        tested(seed),
    ]
}

#[test]
fn every_node_balances_and_the_whole_does() {
    for seed in 0..40 {
        for plan in all_kinds(seed) {
            let (net, ws, outcome) = solved(&plan, &exact());
            let audit = balance_audit::audit(&plan, &net, &ws, &handles(&plan).1);
            assert!(audit.holds(&plan, &outcome), "seed {seed}: {}", audit.worst);
            // All that is given to the network leaks out of it.
            let given: f64 = audit.given.iter().map(|&node| audit.out[node]).sum();
            let off = (given - audit.leaked).abs();
            assert!(off <= 1e-9 * audit.largest, "seed {seed}: {off}");
        }
    }
}

#[test]
fn content_falls_at_every_accepted_step_with_blowers_and_floating_zones() {
    let zones = Wild {
        zones: true,
        decades: 4.0,
        sealed: true,
        ..TAME
    };
    let mut steps = 0;
    for seed in 0..60 {
        let mut random = rng(seed);
        let nodes = random.random_range(2..60);
        for plan in [
            random_ducts(&mut random, nodes, zones),
            running(seed, false, false),
        ] {
            let net = plan.build(&FlowSettings::default()).expect("sound");
            let mut ws = net.workspace();
            let mut trace = Vec::new();
            let nominal = Disturbance::default();
            let outcome = solve_traced(&net, plan.laws(), nominal, &mut ws, &mut trace);
            assert!(outcome.status.is_solved(), "seed {seed}");
            steps += trace.len();
            for pair in trace.windows(2) {
                let slack = 1e-12 * pair[0].content.abs();
                assert!(
                    pair[1].content <= pair[0].content + slack,
                    "seed {seed}: {pair:?}"
                );
            }
        }
    }
    assert!(steps > 300, "{steps} steps say little");
}

/// All pressures times k, blower curve and all: flows times kⁿ where every law is a power law of exponent n.
#[test]
fn equal_exponents_scale_with_the_pressures() {
    for seed in 0..30 {
        let mut random = rng(seed);
        let n = random.random_range(0.5..1.0);
        let nodes = random.random_range(3..25);
        let zones = Wild {
            zones: true,
            ..TAME
        };
        let mut plan = random_ducts(&mut random, nodes, zones);
        plan.n.fill(n);
        plan.covers.iter_mut().for_each(|cover| cover.n = n);
        for leg in &mut plan.legs {
            leg.law = BranchLaw::Path {
                q_m3_s: 0.02 * random_networks::spread(&mut random, 1.0),
                dp_pa: 4.0,
                n,
            };
        }
        plan.held.clear();
        plan.house = 60.0;
        let (points, k) = ([(0.0, 0.02), (400.0, 0.01), (900.0, 0.004)], 7.3_f64);
        // Blower curves scale too: k in rise, kⁿ in flow.
        let scaled = points.map(|(rise, flow)| (k * rise, k.powf(n) * flow));
        let (a, b) = (random.random_range(0..nodes), random.random_range(0..nodes));
        let with = |points: &[(f64, f64)], k: f64| {
            let mut plan = plan.clone();
            (plan.pressure, plan.house) = (k * 300.0, k * plan.house);
            if a != b {
                let curve = BlowerCurve::new(points).expect("it falls");
                plan.leg(a, b, BranchLaw::Blower(curve));
            }
            plan
        };
        let (_, one_ws, one) = solved(&with(&points, 1.0), &exact());
        let (_, more_ws, more) = solved(&with(&scaled, k), &exact());
        let factor = k.powf(n);
        let scale = one.fan_flow_m3_s.abs()
            + one_ws
                .seam_flow()
                .iter()
                .fold(0.0, |m: f64, q| m.max(q.abs()));
        // The cubic below 0.01 Pa does not scale: hence seams well above it, and 1e-5 of the largest flow.
        for (seam, (q, more)) in (one_ws.seam_flow().iter())
            .zip(more_ws.seam_flow())
            .enumerate()
        {
            if one_ws.seam_dp()[seam].abs() > 1.0 {
                let off = (more - factor * q).abs();
                assert!(
                    off <= 1e-5 * factor * scale,
                    "seed {seed} seam {seam}: {off} of {scale}"
                );
            }
        }
        let off = (more.fan_flow_m3_s - factor * one.fan_flow_m3_s).abs();
        assert!(
            off <= 1e-5 * factor * scale,
            "seed {seed}: {off} of {scale}"
        );
    }
}

/// d(pressure at i)/d(flow let out at j) is the same with i and j changed about: the matrix of a network without lags
/// is symmetric. A seam of flow q lets q·d(ln q25) more out.
#[test]
fn pressures_answer_to_leaks_elsewhere_reciprocally() {
    let mut compared = 0;
    for seed in 0..60 {
        let zones = Wild {
            open: true,
            house: true,
            ..TAME
        };
        let mut random = rng(seed);
        let nodes = random.random_range(4..40);
        let plans = [
            random_ducts(&mut random, nodes, zones),
            running(seed, false, false),
        ];
        for mut plan in plans {
            for node in 0..plan.nodes {
                plan.slit(node, None, 1e-3, 0.65);
            }
            let (first, count) = (plan.slits.len() - plan.nodes, plan.slits.len());
            let (net, mut ws, _) = solved(&plan, &exact());
            let (nodes, _) = handles(&plan);
            let (mut d_ln, mut d_n) = (vec![0.0; count], vec![0.0; count]);
            let mut answers: Vec<Option<Vec<f64>>> = Vec::new();
            for &at in &nodes {
                let probe = Probe::Pressure {
                    at,
                    against: Against::Outdoors,
                    still: None,
                };
                let got =
                    probe_sensitivities(&net, plan.laws(), &mut ws, probe, &mut d_ln, &mut d_n);
                answers.push(got.map(|_| d_ln[first..].to_vec()));
            }
            let q = &ws.seam_flow()[first..];
            for (i, j) in (0..plan.nodes).flat_map(|i| (0..i).map(move |j| (i, j))) {
                if let (Some(at_i), Some(at_j)) = (&answers[i], &answers[j])
                    && q[i].abs() > 1e-9
                    && q[j].abs() > 1e-9
                {
                    let (a, b) = (at_i[j] / q[j], at_j[i] / q[i]);
                    assert!(
                        a <= 0.0 && b <= 0.0,
                        "seed {seed}: more leakage, more pressure"
                    );
                    assert!(
                        (a - b).abs() <= 1e-10 * (a.abs() + b.abs()) + 1e-12,
                        "seed {seed} {i} {j}: {a} {b}"
                    );
                    compared += usize::from(a.abs() > 1e-6);
                }
            }
        }
    }
    assert!(compared > 5000, "{compared} pairs say little");
}

#[test]
fn opening_a_leak_never_lowers_the_total_whatever_floats() {
    let zones = Wild {
        zones: true,
        ..TAME
    };
    for seed in 0..25 {
        let mut random = rng(seed);
        let nodes = random.random_range(2..30);
        let plan = random_ducts(&mut random, nodes, zones);
        let (net, mut ws, before) = solved(&plan, &exact());
        for seam in 0..plan.slits.len() {
            let mut more = plan.clone();
            more.ln_q25[seam] += 0.5;
            let after = solve(&net, more.laws(), Disturbance::default(), &mut ws);
            assert!(after.status.is_solved(), "seed {seed}, seam {seam}");
            let rise = after.fan_flow_m3_s - before.fan_flow_m3_s;
            assert!(
                rise >= -1e-11 * before.fan_flow_m3_s,
                "seed {seed}, seam {seam}: {rise}"
            );
        }
    }
}

/// What is read: the fan's flow, or a probe.
#[derive(Clone, Copy, Debug)]
enum Goal {
    FanFlow,
    Probe(Probe),
}

impl Goal {
    fn value(self, net: &Network, ws: &Workspace, outcome: &Outcome) -> f64 {
        match self {
            Goal::FanFlow => outcome.fan_flow_m3_s,
            Goal::Probe(probe) => read(net, ws, probe).expect("the place takes part"),
        }
    }
}

/// Adjoint against central differences in ln q25 and n of some seams, the house's and the tap's pressure.
fn holds_against_differences(plan: &Plan, goal: Goal, name: &str) {
    let (net, mut ws, _) = solved(plan, &exact());
    let count = plan.slits.len();
    let (mut d_ln, mut d_n) = (vec![0.0; count], vec![0.0; count]);
    let laws = plan.laws();
    let held: Sensitivity = match goal {
        Goal::FanFlow => sensitivities(&net, laws, &mut ws, &mut d_ln, &mut d_n),
        Goal::Probe(probe) => {
            probe_sensitivities(&net, laws, &mut ws, probe, &mut d_ln, &mut d_n).expect("part")
        }
    };
    let start = ws.clone();
    let at = |ln_q25: &[f64], n: &[f64], disturbance: Disturbance| {
        let mut ws = start.clone();
        let outcome = solve(&net, SeamLaws { ln_q25, n }, disturbance, &mut ws);
        assert!(outcome.status.is_solved(), "{name}: {outcome:?}");
        goal.value(&net, &ws, &outcome)
    };
    let largest = |list: &[f64]| list.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    let (scale, scale_n) = (largest(&d_ln), largest(&d_n));
    let h = 1e-4;
    // What the solver leaves: four units in the last place of a pressure, 1e-12 of the largest flow.
    let flows = ws.seam_flow().iter().map(|q| q.abs());
    let noise = match goal {
        Goal::Probe(Probe::Pressure { .. }) => 4.0 * f64::EPSILON * 100.0 / h,
        _ => 1e-12 * flows.sum::<f64>() / h,
    };
    let nominal = Disturbance::default();
    for seam in (0..count).step_by(count.div_ceil(12)) {
        let moved = |list: &[f64], by: f64| {
            let mut list = list.to_vec();
            list[seam] += by;
            list
        };
        let (ln_q25, n) = (&plan.ln_q25, &plan.n);
        let up = at(&moved(ln_q25, h), n, nominal);
        let down = at(&moved(ln_q25, -h), n, nominal);
        let off = (up - down) / (2.0 * h) - d_ln[seam];
        assert!(
            off.abs() <= 1e-6 * scale + noise,
            "{name} {goal:?} seam {seam}: {off} of {scale}"
        );
        let up = at(ln_q25, &moved(n, h), nominal);
        let down = at(ln_q25, &moved(n, -h), nominal);
        let off = (up - down) / (2.0 * h) - d_n[seam];
        assert!(
            off.abs() <= 1e-6 * scale_n + noise,
            "{name} {goal:?} n {seam}: {off} of {scale_n}"
        );
    }
    let by = |house_pa: f64, tap_pa: f64| {
        let at = |sign: f64| {
            let disturbance = Disturbance {
                house_pa: sign * house_pa,
                tap_pa: sign * tap_pa,
            };
            at(&plan.ln_q25, &plan.n, disturbance)
        };
        (at(1.0) - at(-1.0)) / 2e-3
    };
    let (house, tap) = (by(1e-3, 0.0), by(0.0, 1e-3));
    let scale = house.abs().max(tap.abs()).max(scale / 100.0);
    assert!(
        (house - held.house_pa).abs() <= 1e-5 * scale,
        "{name} {goal:?}: {house} {held:?}"
    );
    assert!(
        (tap - held.tap_pa).abs() <= 1e-5 * scale,
        "{name} {goal:?}: {tap} {held:?}"
    );
}

/// Pressures (total and static, against outdoors and against another node), a flow, what a held node gives.
fn goals(plan: &Plan, at: usize, beside: usize, against: usize) -> Vec<Goal> {
    let (nodes, legs) = handles(plan);
    let network = plan.described();
    let area = match &plan.legs[beside].law {
        BranchLaw::Duct(shape) => shape.area_m2,
        _ => 0.05,
    };
    let still: Section = network.stream(legs[beside], area);
    let pressure = |against, still| {
        Goal::Probe(Probe::Pressure {
            at: nodes[at],
            against,
            still,
        })
    };
    vec![
        Goal::FanFlow,
        pressure(Against::Outdoors, None),
        pressure(Against::Outdoors, Some(still)),
        pressure(Against::Node(nodes[against]), Some(still)),
        Goal::Probe(Probe::Flow(legs[beside])),
        Goal::Probe(Probe::Given(nodes[plan.fan])),
    ]
}

#[test]
fn adjoints_match_differences_under_a_test_fan() {
    for seed in 0..12 {
        let zones = Wild {
            zones: true,
            house: seed % 2 == 0,
            ..TAME
        };
        let mut random = rng(seed);
        let nodes = random.random_range(4..25);
        let mut plan = random_ducts(&mut random, nodes, zones);
        if seed % 2 == 0 {
            // No leak near zero, where differences of 1e-3 Pa leave the cubic's curvature in.
            plan.house = 7.0;
        }
        plan.legs.iter_mut().for_each(|leg| {
            if matches!(leg.law, BranchLaw::Lossless) {
                leg.law = BranchLaw::Duct(duct(0.12, 3.0, 1.0));
            }
        });
        if seed % 3 == 0 {
            plan.tap = nodes - 1;
        }
        for goal in goals(&plan, nodes / 2, 0, nodes) {
            holds_against_differences(&plan, goal, &format!("fan {seed}"));
        }
    }
}

#[test]
fn adjoints_match_differences_while_a_blower_runs_and_the_house_floats() {
    for seed in 0..8 {
        for (leaks, forks) in [(false, false), (true, false), (true, true)] {
            let plan = running(seed, leaks, forks);
            for goal in goals(&plan, plan.legs[5].head, 5, HOUSE) {
                holds_against_differences(&plan, goal, &format!("blower {seed} {leaks} {forks}"));
            }
            for goal in goals(&plan, ATTIC, BLOWER, INLET).drain(1..) {
                holds_against_differences(&plan, goal, &format!("blower {seed} {leaks} {forks}"));
            }
        }
    }
}

#[test]
fn adjoints_match_differences_with_a_static_tap_elsewhere() {
    for seed in 0..8 {
        let plan = tested(seed);
        for goal in goals(&plan, plan.legs[5].tail, 5, HOUSE) {
            holds_against_differences(&plan, goal, &format!("tap {seed}"));
        }
        let (nodes, _) = handles(&plan);
        let outdoors = Goal::Probe(Probe::Given(nodes[OUTDOORS]));
        holds_against_differences(&plan, outdoors, &format!("tap {seed}"));
    }
}

fn shuffled(n: usize, random: &mut Pcg64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    for i in (1..n).rev() {
        order.swap(i, random.random_range(0..=i));
    }
    order
}

#[test]
fn numbering_of_nodes_branches_and_seams_changes_nothing() {
    for seed in 0..25 {
        for plan in all_kinds(seed) {
            let mut random = rng(500 + seed);
            let to = shuffled(plan.nodes, &mut random);
            let leg_order = shuffled(plan.legs.len(), &mut random);
            let seam_order = shuffled(plan.slits.len(), &mut random);
            let mut leg_to = vec![0; plan.legs.len()];
            for (new, &old) in leg_order.iter().enumerate() {
                leg_to[old] = new;
            }
            let mut turned = plan.clone();
            turned.legs = leg_order.iter().map(|&at| plan.legs[at].clone()).collect();
            for leg in &mut turned.legs {
                (leg.tail, leg.head) = (to[leg.tail], to[leg.head]);
            }
            turned.slits = seam_order
                .iter()
                .map(|&at| plan.slits[at].clone())
                .collect();
            turned.ln_q25 = seam_order.iter().map(|&at| plan.ln_q25[at]).collect();
            turned.n = seam_order.iter().map(|&at| plan.n[at]).collect();
            for slit in &mut turned.slits {
                slit.node = to[slit.node];
                slit.zone = slit.zone.map(|zone| to[zone]);
                slit.beside = slit.beside.map(|(leg, area)| (leg_to[leg], area));
            }
            for cover in &mut turned.covers {
                cover.node = to[cover.node];
                cover.zone = cover.zone.map(|zone| to[zone]);
            }
            turned.held.iter_mut().for_each(|held| held.0 = to[held.0]);
            for fork in &mut turned.forks {
                (fork.branch, fork.common) = (leg_to[fork.branch], leg_to[fork.common]);
                fork.straight = fork.straight.map(|leg| leg_to[leg]);
            }
            (turned.fan, turned.tap) = (to[plan.fan], to[plan.tap]);
            turned.tap_beside = plan.tap_beside.map(|(leg, area)| (leg_to[leg], area));
            let (net, ws, _) = solved(&plan, &exact());
            let (turned_net, turned_ws, _) = solved(&turned, &exact());
            let audit = balance_audit::audit(&plan, &net, &ws, &handles(&plan).1);
            for (node, &turned) in to.iter().enumerate() {
                let (a, b) = (ws.node_pressure(node), turned_ws.node_pressure(turned));
                assert_eq!(a.is_some(), b.is_some(), "seed {seed}");
                if let (Some(a), Some(b)) = (a, b) {
                    assert!(
                        (a - b).abs() <= 1e-7 * audit.pressure,
                        "seed {seed} {node}: {a} {b}"
                    );
                }
            }
            for (new, &old) in seam_order.iter().enumerate() {
                let off = (turned_ws.seam_flow()[new] - ws.seam_flow()[old]).abs();
                assert!(
                    off <= 1e-8 * audit.largest,
                    "seed {seed}, seam {old}: {off}"
                );
            }
            let legs = handles(&plan).1;
            for (old, &new) in leg_to.iter().enumerate() {
                let flow = |net: &Network, ws: &Workspace, at: usize| net.branch_flow(ws, legs[at]);
                let (a, b) = (flow(&net, &ws, old), flow(&turned_net, &turned_ws, new));
                assert_eq!(a.is_some(), b.is_some(), "seed {seed}");
                let off = (a.unwrap_or(0.0) - b.unwrap_or(0.0)).abs();
                assert!(
                    off <= 1e-8 * audit.largest,
                    "seed {seed}, branch {old}: {off}"
                );
            }
        }
    }
}

/// A fan, a duct and a leak at its end beside the stream; f = 2n·p_v/p_s as asked, by the area of the section.
fn one_static_leak(f: f64, n: f64) -> Plan {
    let mut plan = Plan {
        nodes: 2,
        pressure: 25.0,
        ..Plan::default()
    };
    plan.leg(0, 1, BranchLaw::Duct(duct(0.1, 6.0, 0.5)));
    // All the flow leaks at the end: q = q25·(ps/25)ⁿ; with q chosen, total pressure is 25 less the duct's loss.
    let q = 0.03;
    let law = ductseam::flow::DuctLaw::new(&duct(0.1, 6.0, 0.5), AIR);
    let total = 25.0 - law.pressure_drop(q);
    // pv + ps = total, 2n·pv = f·ps.
    let ps = total / (1.0 + f / (2.0 * n));
    let pv = total - ps;
    let area = q * (0.5 * AIR.density / pv).sqrt();
    plan.slit(1, None, q * (25.0 / ps).powf(n), n);
    plan.slits[0].beside = Some((0, area));
    plan
}

#[test]
fn relaxed_steps_shrink_the_gap_in_every_round_and_both_methods_end_alike() {
    for f in [0.1, 0.3, 0.6, 1.0, 1.5, 2.0, 3.0] {
        for n in [0.5, 0.6, 0.8] {
            let plan = one_static_leak(f, n);
            let with = |method| {
                let settings = FlowSettings {
                    lag_method: method,
                    ..FlowSettings::default()
                };
                solved(&plan, &settings)
            };
            let (_, newton_ws, newton) = with(LagMethod::Newton);
            let (_, relaxed_ws, relaxed) = with(LagMethod::Relaxed);
            let (a, b) = (newton_ws.seam_flow()[0], relaxed_ws.seam_flow()[0]);
            // By hand: the flow that the plan was made from.
            assert!((a / 0.03 - 1.0).abs() < 1e-9, "f {f}: {a}");
            assert!((b / 0.03 - 1.0).abs() < 1e-9, "f {f}: {b}");
            assert!(
                newton.lag_rounds <= relaxed.lag_rounds,
                "{newton:?} {relaxed:?}"
            );
        }
    }
}

/// Every round leaves a smaller gap than the one before.
fn shrinks(gaps: &[f64], name: &str) {
    assert!(gaps.len() > 2, "{name}: {gaps:?}");
    for pair in gaps.windows(2) {
        assert!(pair[1] < pair[0], "{name}: {gaps:?}");
    }
}

#[test]
fn relaxed_steps_shrink_the_gap_in_running_systems_too() {
    let mut settled = 0;
    for seed in 0..40 {
        let plan = running(seed, true, false);
        let (_, newton, _) = solved(&plan, &FlowSettings::default());
        let settings = FlowSettings {
            lag_method: LagMethod::Relaxed,
            ..FlowSettings::default()
        };
        let net = plan.build(&settings).expect("sound");
        let mut relaxed = net.workspace();
        let outcome = solve(&net, plan.laws(), Disturbance::default(), &mut relaxed);
        // Slow where a leak has hardly any static pressure, but on the way.
        shrinks(relaxed.lag_gaps_pa(), &format!("seed {seed}"));
        if outcome.status.is_solved() {
            settled += 1;
            let flows = newton.seam_flow().iter();
            let largest = flows.fold(0.0, |m: f64, q| m.max(q.abs()));
            for (a, b) in newton.seam_flow().iter().zip(relaxed.seam_flow()) {
                assert!((a - b).abs() <= 1e-7 * largest, "seed {seed}: {a} {b}");
            }
        }
    }
    assert!(settled >= 20, "{settled} of 40 settled");
}
