//! The flow solver against convex optimisers that minimise its content function (`tests/data/content`).
//!
//! The balances of a network are the gradient of a convex function. Optimisers that never see a balance find the
//! same pressures.

#[path = "common/networks.rs"]
mod networks;

use ductseam::flow::{Disturbance, FlowSettings, SeamAtNode, SeamLaws, content, solve};
use networks::{agree, index, list, num, nums, read_case, skeleton};

/// Relative to the largest pressure or flow of its kind; the optimisers' own tolerance is 1e-15.
const AGREEMENT: f64 = 1e-10;

fn check(name: &str) {
    let case = read_case("content", name);
    let answer = &case["answer"];
    assert!(num(&answer["tolerance_rel"]) < 0.01 * AGREEMENT);
    let (mut network, nodes, _) = skeleton(&case);
    let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
    for seam in list(&case["seams"]) {
        network.seam(SeamAtNode {
            node: nodes[index(&seam["node"])],
            house_share: 0.0,
            fixed_pa: num(&seam["zone_pa"]),
            part: 1.0,
        });
        ln_q25.push(num(&seam["q25_m3_s"]).ln());
        n.push(num(&seam["n"]));
    }
    let fan = &case["fan"];
    let (at, tap) = (nodes[index(&fan["node"])], nodes[index(&fan["tap"])]);
    network.hold(at, tap, num(&fan["tap_pa"]));
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
        .map(|node| ws.node_pressure(node.index()).expect("node is there"))
        .collect();
    let expected = nums(&answer["node_pressure_pa"]);
    agree(
        &format!("{name}: pressure"),
        &pressures,
        &expected,
        AGREEMENT,
    );
    let expected = nums(&answer["seam_flow_m3_s"]);
    agree(
        &format!("{name}: seam"),
        ws.seam_flow(),
        &expected,
        AGREEMENT,
    );
    let least = num(&answer["content_w"]);
    let own = content(&net, &mut ws);
    assert!((own / least - 1.0).abs() < 1e-12, "{name}: {own} {least}");
}

#[test]
fn three_small_networks_by_their_dual() {
    for name in ["tree_three_branches", "one_loop", "zones_inward"] {
        check(name);
    }
}

#[test]
fn random_networks_with_loops() {
    for name in ["random_50", "random_200"] {
        check(name);
    }
}
