//! Readings as plain sums over seams: ducts without friction. The sampler is checked against outside answers on these.

use super::readout::{Disturbance, Readings, Readout};
use crate::math::{exp, ln};

/// One set-up without friction: every seam feels its own fixed pressure.
///
/// # Equation
/// ```text
/// h = mask + Σ aᵢ·exp(ln q25ᵢ)·(pᵢ/25)^nᵢ
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedSetup {
    /// Part `aᵢ` of each seam that takes part; 0 for a seam that does not.
    pub part: Vec<f64>,
    /// Pressure `pᵢ` across each seam, Pa, positive.
    pub pressure_pa: Vec<f64>,
    /// Leak of masks and plugs, m³/s.
    pub mask_leak_m3_s: f64,
}

impl ClosedSetup {
    /// All seams of a list of `n_seams` for which `takes_part` holds, at one pressure.
    pub fn at(pressure_pa: f64, n_seams: usize, takes_part: impl Fn(usize) -> bool) -> Self {
        ClosedSetup {
            part: (0..n_seams)
                .map(|i| if takes_part(i) { 1.0 } else { 0.0 })
                .collect(),
            pressure_pa: vec![pressure_pa; n_seams],
            mask_leak_m3_s: 0.0,
        }
    }
}

/// A [`Readout`] of closed-form set-ups. A disturbance of the tap adds to every seam's pressure; one of the house
/// changes nothing here.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedForm {
    /// Set-ups: one per reading, in order.
    pub setups: Vec<ClosedSetup>,
}

/// Flows of the last read of each set-up, m³/s, and pressures, Pa.
#[derive(Debug, Clone)]
pub struct ClosedWork {
    flows: Vec<Vec<f64>>,
    pressures: Vec<Vec<f64>>,
}

impl Readout for ClosedForm {
    type Work = ClosedWork;

    fn work(&self) -> ClosedWork {
        let zeros: Vec<Vec<f64>> = self
            .setups
            .iter()
            .map(|s| vec![0.0; s.part.len()])
            .collect();
        ClosedWork {
            flows: zeros.clone(),
            pressures: zeros,
        }
    }

    fn restart(&self, _: &mut ClosedWork) {}

    fn keep_start(&mut self, _: &ClosedWork) {}

    fn read(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        disturbance: Disturbance,
        work: &mut ClosedWork,
    ) -> Readings {
        let at = &self.setups[setup];
        let mut total = at.mask_leak_m3_s;
        for i in 0..at.part.len() {
            let pressure = (at.pressure_pa[i] + disturbance.tap_pa).max(1e-3);
            let flow = at.part[i] * exp(ln_q25[i] + n[i] * ln(pressure / 25.0));
            work.flows[setup][i] = flow;
            work.pressures[setup][i] = pressure;
            total += flow;
        }
        Readings {
            value: total,
            mask_leak_m3_s: at.mask_leak_m3_s,
            settled: total.is_finite(),
            iterations: 0,
            worst_imbalance: 0.0,
        }
    }

    fn slopes(
        &self,
        setup: usize,
        _: &[f64],
        _: &[f64],
        work: &mut ClosedWork,
        d_ln_q25: &mut [f64],
        d_n: &mut [f64],
    ) {
        for i in 0..d_ln_q25.len() {
            d_ln_q25[i] = work.flows[setup][i];
            d_n[i] = work.flows[setup][i] * ln(work.pressures[setup][i] / 25.0);
        }
    }

    fn seam_flows(&self, setup: usize, work: &ClosedWork, flows: &mut [f64]) {
        flows.copy_from_slice(&work.flows[setup]);
    }

    fn seam_pressures(&self, setup: usize, work: &ClosedWork, pressures: &mut [f64]) {
        pressures.copy_from_slice(&work.pressures[setup]);
    }
}
