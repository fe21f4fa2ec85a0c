//! Running systems and tests with static pressures against an independent solver in 50-digit arithmetic
//! (`tests/data/running`).

#[path = "common/networks.rs"]
mod networks;

use ductseam::flow::{
    AbstractNetwork, BranchForm, BranchId, Disturbance, FlowSettings, JunctionLaw, LagMethod,
    NodeId, Probe, SeamAtNode, SeamLaws, Stream, Takeoff, probe_sensitivities, sensitivities,
    solve,
};
use networks::{agree, air, index, list, num, nums, read_case, skeleton};
use serde_json::Value;

/// Relative to the largest flow or pressure of the network.
const AGREEMENT: f64 = 1e-9;
/// Relative to the largest derivative of its kind.
const SENSITIVITY: f64 = 1e-8;

struct Built {
    network: AbstractNetwork,
    nodes: Vec<NodeId>,
    branches: Vec<BranchId>,
    ln_q25: Vec<f64>,
    n: Vec<f64>,
}

fn build(case: &Value) -> Built {
    let (mut network, nodes, branches) = skeleton(case);
    let (air, given) = (air(case), list(&case["branches"]));
    let stream = |network: &AbstractNetwork, velocity: &Value| {
        let branch = branches[index(&velocity["branch"])];
        network.stream(branch, num(&velocity["area_m2"]))
    };
    let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
    for seam in list(&case["seams"]) {
        network.seam(SeamAtNode {
            node: nodes[index(&seam["node"])],
            house_share: 0.0,
            fixed_pa: seam["zone_pa"].as_f64().unwrap_or(0.0),
            part: 1.0,
        });
        if !seam["zone_node"].is_null() {
            network.seam_into(nodes[index(&seam["zone_node"])]);
        }
        if !seam["velocity"].is_null() {
            let section = stream(&network, &seam["velocity"]);
            network.seam_beside(section);
        }
        ln_q25.push(num(&seam["q25_m3_s"]).ln());
        n.push(num(&seam["n"]));
    }
    for junction in case["junctions"].as_array().into_iter().flatten() {
        let area = |at: usize| num(&given[at]["area_m2"]);
        let (b, c) = (index(&junction["branch"]), index(&junction["common"]));
        let straight = junction["straight"].as_u64().map(|at| at as usize);
        let is_return = junction["side"] == "return";
        let form = match junction["form"].as_str() {
            Some("wye") => BranchForm::wye(num(&junction["angle_deg"])),
            _ if junction["low"] == true => BranchForm::LOW_TEE,
            _ => BranchForm::TEE,
        };
        let parts = if is_return {
            Stream::Converging
        } else {
            Stream::Diverging
        };
        network.takeoff(Takeoff {
            law: JunctionLaw::new(form, parts, area(c), area(b), straight.map(area), air),
            branch: branches[b],
            common: branches[c],
            straight: straight.map(|at| branches[at]),
            against: is_return,
        });
    }
    let fan = &case["fan"];
    let mut held = list(&case["held"]).iter();
    if fan.is_null() {
        let first = held.next().expect("held or fan");
        let node = nodes[index(&first["node"])];
        network.hold(node, node, num(&first["pa"]));
    } else {
        let (at, tap) = (nodes[index(&fan["node"])], nodes[index(&fan["tap"])]);
        network.hold(at, tap, num(&fan["tap_pa"]));
        if !fan["tap_velocity"].is_null() {
            let section = stream(&network, &fan["tap_velocity"]);
            network.tap_beside(section);
        }
    }
    for other in held {
        network.open_to(nodes[index(&other["node"])], num(&other["pa"]));
    }
    Built {
        network,
        nodes,
        branches,
        ln_q25,
        n,
    }
}

/// With Newton's method, and with relaxed steps alone where only velocity pressures at leaks are lagged.
fn check_both(name: &str) {
    let case = read_case("running", name);
    check(name, &case, LagMethod::Newton);
    if case["junctions"].is_null() {
        check(name, &case, LagMethod::Relaxed);
    }
}

fn check(name: &str, case: &Value, lag_method: LagMethod) {
    let answer = &case["answer"];
    let built = build(case);
    let settings = FlowSettings {
        imbalance_rel: 1e-13,
        lag_method,
        ..FlowSettings::default()
    };
    let net = built.network.build(&settings).expect("case is sound");
    let mut ws = net.workspace();
    let laws = SeamLaws {
        ln_q25: &built.ln_q25,
        n: &built.n,
    };
    let outcome = solve(&net, laws, Disturbance::default(), &mut ws);
    assert!(
        outcome.status.is_solved(),
        "{name} {lag_method:?}: {outcome:?}"
    );
    let pressures: Vec<f64> = built
        .nodes
        .iter()
        .map(|node| ws.node_pressure(node.index()).expect("node is there"))
        .collect();
    let expected = nums(&answer["node_pressure_pa"]);
    agree(
        &format!("{name}: pressure"),
        &pressures,
        &expected,
        AGREEMENT,
    );
    let flows: Vec<f64> = built
        .branches
        .iter()
        .map(|&branch| net.branch_flow(&ws, branch).expect("no lossless links"))
        .collect();
    let expected = nums(&answer["branch_flow_m3_s"]);
    agree(&format!("{name}: flow"), &flows, &expected, AGREEMENT);
    let expected = nums(&answer["seam_flow_m3_s"]);
    agree(
        &format!("{name}: seam"),
        ws.seam_flow(),
        &expected,
        AGREEMENT,
    );
    let expected = nums(&answer["seam_dp_pa"]);
    agree(
        &format!("{name}: seam dp"),
        ws.seam_dp(),
        &expected,
        AGREEMENT,
    );

    let seams = built.n.len();
    let (mut d_ln, mut d_n) = (vec![0.0; seams], vec![0.0; seams]);
    let blower = list(&case["branches"])
        .iter()
        .position(|branch| branch["kind"] == "blower");
    let what = match blower {
        Some(at) => {
            let probe = Probe::Flow(built.branches[at]);
            probe_sensitivities(&net, laws, &mut ws, probe, &mut d_ln, &mut d_n)
                .expect("the blower runs");
            "blower_flow"
        }
        None if case["fan"].is_null() => return,
        None => {
            sensitivities(&net, laws, &mut ws, &mut d_ln, &mut d_n);
            "fan_flow"
        }
    };
    let expected = nums(&answer[format!("d_{what}_d_ln_q25")]);
    agree(&format!("{name}: d ln q25"), &d_ln, &expected, SENSITIVITY);
    let expected = nums(&answer[format!("d_{what}_d_n")]);
    agree(&format!("{name}: d n"), &d_n, &expected, SENSITIVITY);
}

macro_rules! cases {
    ($($name:ident)*) => { $(#[test] fn $name() {
        check_both(stringify!($name).trim_start_matches("r#"));
    })* };
}

cases! {
    altitude attic_and_garage blower_two_leaks closed_room constant_flow converging_return fast_air
    faster_air house_floats r#loop pan return_wyes tap_elsewhere three_tees wyes
}
