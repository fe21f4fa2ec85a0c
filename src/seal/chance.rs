//! What would be left, draw by draw, with the flow solver.

use super::draws::Left;
use super::running::leak;
use super::types::{Basis, SealError};
use crate::math::exp;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::allocate::{AllocateSettings, map_in_order};
use crate::flow::{Disturbance, Network, SeamLaws, prepare, solve};
use crate::system::{SeamIdx, Setup, TestKind};

/// Draws that one workspace solves after one another.
const CHUNK: usize = 64;

/// Solves the set-up of a basis in every draw.
pub(super) struct Solver {
    network: Option<Network>,
    running_pa: Option<Vec<f64>>,
    /// Whether the set-up is that to outside.
    outside: bool,
    /// Draws that did not settle.
    unsettled: AtomicUsize,
}

impl Solver {
    /// For a basis; in running each seam keeps the pressure that it has now.
    pub fn new(
        left: &Left<'_>,
        basis: Basis,
        running_pa: Option<&[f64]>,
    ) -> Result<Self, SealError> {
        let allocation = &left.posterior.allocation;
        let setup: Option<&Setup> = match basis {
            Basis::Total => Some(&allocation.test_setup),
            Basis::Outside => Some(&allocation.to_outside_setup),
            Basis::Running => None,
        };
        match setup {
            Some(setup) => Solver::of(left, setup),
            None => Ok(Solver {
                network: None,
                running_pa: running_pa.map(<[f64]>::to_vec),
                outside: false,
                unsettled: AtomicUsize::new(0),
            }),
        }
    }

    /// For a set-up of a test.
    pub fn of(left: &Left<'_>, setup: &Setup) -> Result<Self, SealError> {
        // As the draws themselves were solved.
        let settings = AllocateSettings::default().flow;
        let prepared = prepare(left.system, setup, &settings)?;
        Ok(Solver {
            network: Some(prepared.network),
            running_pa: None,
            outside: setup.kind == TestKind::ToOutside,
            unsettled: AtomicUsize::new(0),
        })
    }

    /// Solves that did not settle, over all calls.
    pub fn unsettled(&self) -> usize {
        self.unsettled.load(Ordering::Relaxed)
    }

    /// What a reading would find in every draw after some seams were sealed, m³/s. A draw that does not settle, which is
    /// counted, keeps the sum of the flows that its seams have in this set-up, with the cuts taken off.
    pub fn totals(&self, left: &Left<'_>, sealed: &[(SeamIdx, usize)]) -> Vec<f64> {
        let Some(network) = &self.network else {
            return self.running(left, sealed);
        };
        let chunks = left.count().div_ceil(CHUNK);
        map_in_order(chunks, |chunk| {
            let mut ws = network.workspace();
            let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
            let (from, to) = (chunk * CHUNK, ((chunk + 1) * CHUNK).min(left.count()));
            (from..to)
                .map(|draw| {
                    left.after(draw, sealed, &mut ln_q25, &mut n);
                    let laws = SeamLaws {
                        ln_q25: &ln_q25,
                        n: &n,
                    };
                    let mut found = solve(network, laws, Disturbance::default(), &mut ws);
                    if !found.status.is_solved() {
                        ws.clear_start();
                        found = solve(network, laws, Disturbance::default(), &mut ws);
                    }
                    if found.status.is_solved() {
                        return found.fan_flow_m3_s.abs();
                    }
                    ws.clear_start();
                    self.unsettled.fetch_add(1, Ordering::Relaxed);
                    self.added_up(left, draw, sealed)
                })
                .collect::<Vec<f64>>()
        })
        .concat()
    }

    fn running(&self, left: &Left<'_>, sealed: &[(SeamIdx, usize)]) -> Vec<f64> {
        let Some(pa) = &self.running_pa else {
            return vec![0.0; left.count()];
        };
        let (mut ln_q25, mut n) = (Vec::new(), Vec::new());
        (0..left.count())
            .map(|draw| {
                left.after(draw, sealed, &mut ln_q25, &mut n);
                (0..pa.len())
                    .map(|seam| leak(exp(ln_q25[seam]), n[seam], pa[seam]))
                    .sum()
            })
            .collect()
    }

    /// The flows of all seams with the cuts taken off; masks left out.
    fn added_up(&self, left: &Left<'_>, draw: usize, sealed: &[(SeamIdx, usize)]) -> f64 {
        let of = |seam: SeamIdx| {
            if self.outside {
                left.outside(draw, seam)
            } else {
                left.test(draw, seam)
            }
        };
        let all: f64 = (0..left.system.seams.len()).map(of).sum();
        let cut: f64 = sealed
            .iter()
            .map(|&(seam, method)| of(seam) * (1.0 - left.part(draw, seam, method)))
            .sum();
        all - cut
    }
}
