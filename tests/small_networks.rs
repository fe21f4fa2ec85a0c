//! Small networks against an independent root-finder in 40-digit arithmetic (`tests/data/networks`).

#[path = "common/networks.rs"]
mod networks;

use ductseam::flow::{
    AbstractNetwork, Disturbance, FlowSettings, NodeId, SeamAtNode, SeamLaws, sensitivities, solve,
};
use networks::{agree, index, list, num, nums, read_case, skeleton};
use serde_json::Value;

/// Relative to the largest flow or pressure of the network.
const AGREEMENT: f64 = 1e-9;
/// Relative to the largest derivative of its kind.
const SENSITIVITY: f64 = 1e-8;

fn build(case: &Value) -> (AbstractNetwork, Vec<NodeId>, Vec<f64>, Vec<f64>) {
    let (mut network, nodes, _) = skeleton(case);
    let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
    for seam in list(&case["seams"]) {
        // Every zone moves with the house, so that d/d(house) is the sum over zones.
        network.seam(SeamAtNode {
            node: nodes[index(&seam["node"])],
            house_share: 1.0,
            fixed_pa: num(&seam["zone_pa"]),
            part: 1.0,
        });
        ln_q25.push(num(&seam["q25_m3_s"]).ln());
        n.push(num(&seam["n"]));
    }
    let fan = &case["fan"];
    if fan.is_null() {
        let (first, rest) = list(&case["held"]).split_first().expect("held or fan");
        let node = nodes[index(&first["node"])];
        network.hold(node, node, num(&first["pressure_pa"]));
        for other in rest {
            network.open_to(nodes[index(&other["node"])], num(&other["pressure_pa"]));
        }
    } else {
        let (at, tap) = (nodes[index(&fan["node"])], nodes[index(&fan["tap"])]);
        network.hold(at, tap, num(&fan["tap_pa"]));
    }
    (network, nodes, ln_q25, n)
}

fn check(name: &str) {
    let case = read_case("networks", name);
    let answer = &case["answer"];
    let (network, nodes, ln_q25, n) = build(&case);
    let settings = FlowSettings {
        imbalance_rel: 1e-13,
        ..FlowSettings::default()
    };
    let net = network.build(&settings).expect("case is sound");
    let mut ws = net.workspace();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let outcome = solve(&net, laws, Disturbance::default(), &mut ws);
    assert!(outcome.status.is_solved(), "{name}: {outcome:?}");
    let pressures: Vec<f64> = nodes
        .iter()
        .map(|node| {
            ws.node_pressure(node.index())
                .expect("node is in the network")
        })
        .collect();
    agree(
        &format!("{name}: pressure"),
        &pressures,
        &nums(&answer["node_pressure_pa"]),
        AGREEMENT,
    );
    agree(
        &format!("{name}: seam flow"),
        ws.seam_flow(),
        &nums(&answer["seam_flow_m3_s"]),
        AGREEMENT,
    );
    let sense = if pressures[0] < 0.0 && !case["fan"].is_null() {
        -1.0
    } else {
        1.0
    };
    if list(&case["held"]).len() > 1 {
        // The case's reading is the seams' sum alone, ours is what the fan feeds, the open register included.
        let fed = num(&answer["held"][0]["injected_m3_s"]);
        agree(
            &format!("{name}: feed"),
            &[outcome.fan_flow_m3_s],
            &[fed],
            AGREEMENT,
        );
        return;
    }
    let reading = sense * num(&answer["reading_m3_s"]);
    agree(
        &format!("{name}: reading"),
        &[outcome.fan_flow_m3_s],
        &[reading],
        AGREEMENT,
    );

    let (mut d_ln, mut d_n) = (vec![0.0; n.len()], vec![0.0; n.len()]);
    let sensitivity = sensitivities(&net, laws, &mut ws, &mut d_ln, &mut d_n);
    let signed = |key: &str| {
        nums(&answer[key])
            .iter()
            .map(|v| sense * v)
            .collect::<Vec<_>>()
    };
    agree(
        &format!("{name}: d ln q25"),
        &d_ln,
        &signed("d_ln_q25"),
        SENSITIVITY,
    );
    agree(&format!("{name}: d n"), &d_n, &signed("d_n"), SENSITIVITY);
    let house: f64 = signed("d_zone_pa").iter().sum();
    agree(
        &format!("{name}: d house"),
        &[sensitivity.house_pa],
        &[house],
        SENSITIVITY,
    );
    if !case["fan"].is_null() {
        let tap = sense * num(&answer["d_tap_pa"]);
        agree(
            &format!("{name}: d tap"),
            &[sensitivity.tap_pa],
            &[tap],
            SENSITIVITY,
        );
    }
}

macro_rules! cases {
    ($($name:ident)*) => { $(#[test] fn $name() { check(stringify!($name)); })* };
}

cases! {
    almost_no_difference depressurised fan_far_from_tap long_chain one_loop open_register
    single_leaky_duct tree_low_flow tree_three_branches two_loops_coil zones_inward
}
