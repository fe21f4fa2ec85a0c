//! Networks stored as JSON with the answers of an independent solver.

#![allow(dead_code)] // each test uses its part

use approx::abs_diff_eq;
use ductseam::air::Air;
use ductseam::flow::{AbstractNetwork, BlowerCurve, BranchId, BranchLaw, DuctShape, NodeId};
use serde_json::Value;

/// A case of `tests/data`.
pub fn read_case(folder: &str, name: &str) -> Value {
    let path = format!(
        "{}/tests/data/{folder}/{name}.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).expect("case is in the repository");
    serde_json::from_str(&text).expect("case is JSON")
}

pub fn num(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

pub fn nums(value: &Value) -> Vec<f64> {
    list(value).iter().map(num).collect()
}

pub fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

pub fn index(value: &Value) -> usize {
    value.as_u64().expect("an index") as usize
}

pub fn branch_law(branch: &Value) -> BranchLaw {
    if branch["kind"] == "component" {
        BranchLaw::Component {
            dp_pa: num(&branch["dp_pa"]),
            q_m3_s: num(&branch["q_m3_s"]),
            m: num(&branch["m"]),
        }
    } else if branch["kind"] == "path" {
        BranchLaw::Path {
            q_m3_s: num(&branch["q_m3_s"]),
            dp_pa: num(&branch["dp_pa"]),
            n: num(&branch["n"]),
        }
    } else if branch["kind"] == "blower" {
        let points = list(&branch["points"]).iter().map(nums);
        let points: Vec<(f64, f64)> = points.map(|p| (p[0], p[1])).collect();
        BranchLaw::Blower(BlowerCurve::new(&points).expect("a falling curve"))
    } else {
        BranchLaw::Duct(DuctShape {
            area_m2: num(&branch["area_m2"]),
            hydraulic_diameter_m: num(&branch["hydraulic_diameter_m"]),
            length_m: num(&branch["length_m"]),
            roughness_m: num(&branch["roughness_m"]),
            friction_factor: num(&branch["friction_factor"]),
            loss: num(&branch["loss"]),
        })
    }
}

pub fn agree(what: &str, got: &[f64], expected: &[f64], tolerance: f64) {
    assert_eq!(got.len(), expected.len(), "{what}");
    let scale = expected.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    for (i, (got, expected)) in got.iter().zip(expected).enumerate() {
        assert!(
            abs_diff_eq!(got, expected, epsilon = tolerance * scale),
            "{what} {i}: {got} against {expected}"
        );
    }
}

/// Network of a case with its air, nodes and branches.
pub fn skeleton(case: &Value) -> (AbstractNetwork, Vec<NodeId>, Vec<BranchId>) {
    let mut network = AbstractNetwork::new(air(case));
    let nodes: Vec<NodeId> = list(&case["nodes"])
        .iter()
        .map(|name| network.node(name.as_str().expect("a name")))
        .collect();
    let branches = list(&case["branches"])
        .iter()
        .enumerate()
        .map(|(i, branch)| {
            let (tail, head) = (index(&branch["tail"]), index(&branch["head"]));
            let law = branch_law(branch);
            network.branch(format!("branch {i}"), nodes[tail], nodes[head], law)
        })
        .collect();
    (network, nodes, branches)
}

pub fn air(case: &Value) -> Air {
    Air {
        density: num(&case["air"]["rho"]),
        viscosity: num(&case["air"]["mu"]),
    }
}
