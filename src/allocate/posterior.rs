//! The draws themselves, for those who go on from them.

use super::case::Open;
use super::error::AllocateError;
use super::run::{Run, run};
use super::settings::AllocateSettings;
use super::types::Allocation;
use crate::math::ln;
use crate::system::System;

/// Weighted draws of a posterior: one row a draw, columns in the order of the system's seams or readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// The answer that was made from them.
    pub allocation: Allocation,
    /// Weights, the largest 1.
    pub weights: Vec<f64>,
    /// Seams that hang open.
    pub open: Vec<Open>,
    /// Readings taken to have had a wrong set-up, bit k for reading k.
    pub wrong_setups: Vec<u64>,
    /// Flow of each seam at 25 Pa at the stage of the answer, m³/s, draw by draw.
    pub q25_m3_s: Vec<f64>,
    /// Exponent of each seam.
    pub n: Vec<f64>,
    /// Flow of each seam in the test set-up, m³/s.
    pub test_m3_s: Vec<f64>,
    /// Flow of each seam in the to-outside set-up, m³/s.
    pub to_outside_m3_s: Vec<f64>,
    /// Modelled value of each reading, in its unit, gauge factors left out.
    pub modelled: Vec<f64>,
    /// ln of the chance of all looks that speak of flow.
    pub ln_looks: Vec<f64>,
}

/// Makes the draws that [`allocate`](super::allocate) sums up.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn posterior(system: &System, settings: &AllocateSettings) -> Result<Posterior, AllocateError> {
    run(system, settings, &[], of)
}

pub(super) fn of(run: &Run<'_>) -> Posterior {
    let recorded = &run.posterior;
    let layout = recorded.layout;
    let part = |from: usize, length: usize| -> Vec<f64> {
        recorded
            .rows()
            .flat_map(|row| row[from..from + length].iter().copied())
            .collect()
    };
    let n = layout.n_seams;
    Posterior {
        allocation: run.allocation(),
        weights: recorded.weights.clone(),
        open: recorded.draws.iter().map(|d| d.case.open).collect(),
        wrong_setups: recorded.draws.iter().map(|d| d.case.wrong).collect(),
        q25_m3_s: part(layout.q25(), n),
        n: part(layout.exponents(), n),
        test_m3_s: part(layout.test(), n),
        to_outside_m3_s: part(layout.outside(), n),
        modelled: part(layout.modelled(0), layout.n_readings),
        ln_looks: recorded
            .rows()
            .map(|row| {
                (0..layout.n_looks)
                    .map(|l| ln(row[layout.look(l)]))
                    .sum::<f64>()
            })
            .collect(),
    }
}
