//! What another workmanship of one joint type takes away, over draws that were made of the sketch as it stands.

use super::joint_parts::Change;
use crate::allocate::Open;
use crate::catalog::{Catalog, Work};
use crate::flow::REFERENCE_PA;
use crate::math::powf;
use crate::system::{self, SeamIdx, SeamRole, System};

/// Draws of one system, on the basis that ranks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Draws<'d> {
    /// Weight of each draw.
    pub weights: &'d [f64],
    /// Flow of each seam, draw by draw, m³/s.
    pub flows: &'d [f64],
    /// Seams that hang open in each draw.
    pub open: &'d [Open],
}

/// One joint type of a system made in another workmanship.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Remade {
    /// Seams of the type.
    pub own: Vec<SeamIdx>,
    /// How many of them change.
    pub changed: usize,
    /// Factor on the flow of every seam that does not hang open.
    pub factors: Vec<f64>,
}

impl Remade {
    /// The system rewritten so ([`System::built_otherwise`]): the ratio of the means at 25 Pa, and what the other exponent
    /// makes of it at the seam's pressure. What the sketch forgot follows its side.
    pub fn of(
        system: &System,
        catalog: &Catalog,
        joint_type: &str,
        work: Work,
        pa: Option<&[f64]>,
    ) -> Remade {
        let own: Vec<SeamIdx> = (0..system.seams.len())
            .filter(|&at| system.seams[at].joint_type == joint_type)
            .collect();
        let helps = |at: &SeamIdx| {
            let seam = &system.seams[*at];
            let joint = catalog.joint(joint_type);
            seam.work < work
                && !seam.own_figure
                && seam.role != SeamRole::Unsketched
                && joint.is_some_and(|j| j.state(work).mean_q25 < j.state(seam.work).mean_q25)
        };
        let seams: Vec<SeamIdx> = own.iter().copied().filter(helps).collect();
        let changed = seams.len();
        if changed == 0 {
            return Remade {
                own,
                changed,
                factors: vec![1.0; system.seams.len()],
            };
        }
        let built = system.built_otherwise(catalog, &[system::Change::Work { seams, work }]);
        let factors = system.seams.iter().zip(&built.seams).enumerate();
        let factors = factors.map(|(at, (was, now))| {
            let pa = pa.map_or(0.0, |pa| pa[at].abs());
            let steeper = if pa > 0.0 {
                powf(pa / REFERENCE_PA, now.n - was.n)
            } else {
                1.0
            };
            now.mean_q25_m3_s / was.mean_q25_m3_s * steeper
        });
        Remade {
            own,
            changed,
            factors: factors.collect(),
        }
    }
}

/// Sums up over systems. A seam that hangs open in a draw leaks as before: another workmanship of a joint does not
/// keep it from hanging open, as in the sketch rewritten so.
pub(super) fn change<'d>(systems: impl Iterator<Item = (Draws<'d>, Remade)>) -> Change {
    let (mut seams, mut cut, mut own_cut, mut own, mut total) = (0, 0.0, 0.0, 0.0, 0.0);
    for (draws, remade) in systems {
        let n_seams = remade.factors.len();
        let mut is_own = vec![false; n_seams];
        for &at in &remade.own {
            is_own[at] = true;
        }
        seams += remade.changed;
        let rows = draws.flows.chunks(n_seams.max(1));
        for ((row, weight), open) in rows.zip(draws.weights).zip(draws.open) {
            for (at, flow) in row.iter().enumerate() {
                let goes = if open.has(at) {
                    0.0
                } else {
                    weight * flow * (1.0 - remade.factors[at])
                };
                total += weight * flow;
                cut += goes;
                if is_own[at] {
                    own += weight * flow;
                    own_cut += goes;
                }
            }
        }
    }
    let part = |cut: f64, of: f64| if of > 0.0 { cut / of } else { 0.0 };
    Change {
        seams,
        cut_m3_s: cut,
        of_type: part(own_cut, own),
        of_total: part(cut, total),
    }
}

#[cfg(test)]
#[path = "otherwise_tests.rs"]
mod tests;
