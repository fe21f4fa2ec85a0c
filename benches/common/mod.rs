//! Duct-like networks of any size for the benchmarks; invented, seeded.

use ductseam::air::Air;
use ductseam::flow::{AbstractNetwork, BranchLaw, DuctShape, NodeId, SeamAtNode};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// A network with its seam laws.
pub struct Case {
    pub network: AbstractNetwork,
    pub ln_q25: Vec<f64>,
    pub n: Vec<f64>,
}

fn duct(d: f64, length: f64, loss: f64) -> BranchLaw {
    BranchLaw::Duct(DuctShape {
        area_m2: std::f64::consts::FRAC_PI_4 * d * d,
        hydraulic_diameter_m: d,
        length_m: length,
        roughness_m: 9e-5,
        friction_factor: 1.0,
        loss,
    })
}

/// Trunks with a branch every two metres and five seams a branch, about `seams` seams in all; every tenth trunk
/// is joined to the next at its end when `loops`.
pub fn houses(seams: usize, loops: bool) -> Case {
    let mut rng = Pcg64::seed_from_u64(seams as u64);
    let mut network = AbstractNetwork::new(Air::standard());
    let plenum = network.node("plenum");
    network.hold(plenum, plenum, 25.0);
    let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
    let mut trunk_end: Option<NodeId> = None;
    let mut trunk = 0;
    while n.len() < seams {
        trunk += 1;
        let mut at = plenum;
        for k in 0..8 {
            let next = network.node(format!("trunk {trunk} joint {k}"));
            network.branch(format!("trunk {trunk}"), at, next, duct(0.4, 2.0, 0.05));
            at = next;
            let mut along = at;
            for piece in 0..3 {
                let next = network.node(format!("branch {trunk}.{k} piece {piece}"));
                let loss = [0.9, 0.3, 1.2][piece];
                network.branch(
                    format!("branch {trunk}.{k}"),
                    along,
                    next,
                    duct(0.15, 1.5, loss),
                );
                along = next;
            }
            for (node, count) in [(at, 2), (along, 3)] {
                for _ in 0..count {
                    network.seam(SeamAtNode {
                        node,
                        house_share: 0.1 * f64::from(rng.random_range(0..3_u8)),
                        fixed_pa: 0.0,
                        part: 1.0,
                    });
                    ln_q25.push(rng.random_range(-9.0..-6.0));
                    n.push([0.55, 0.6, 0.65][rng.random_range(0..3)]);
                }
            }
        }
        if loops
            && trunk % 10 == 0
            && let Some(other) = trunk_end
        {
            network.branch(
                format!("loop at trunk {trunk}"),
                other,
                at,
                duct(0.2, 5.0, 1.0),
            );
        }
        trunk_end = Some(at);
    }
    Case { network, ln_q25, n }
}
