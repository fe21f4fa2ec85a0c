//! What each seam leaks while the unit runs.

use super::draws::Left;
use crate::allocate::Allocation;
use crate::flow::{SeamLaws, running_state};
use crate::math::{ln, powf};
use crate::system::System;

/// Pressure across every seam while the unit runs, every seam leaking its mean, Pa; `None` where that does not settle.
pub(super) fn running_pa(left: &Left<'_>) -> Option<Vec<f64>> {
    let (ln_q25, n) = mean_laws(&left.posterior.allocation);
    running_pressures(left.system, &ln_q25, &n)
}

/// What a seam leaks at least here, m³/s: one that leaks nothing still has a finite logarithm. Far below anything that is
/// read (engineering estimate).
const LEAST_M3_S: f64 = 1e-12;

/// Every seam's law at its mean: natural logarithms of the flows at the reference pressure (m³/s), and exponents. Means add
/// up to the leakage that was found; medians of skewed flows would not.
pub(crate) fn mean_laws(allocation: &Allocation) -> (Vec<f64>, Vec<f64>) {
    let seams = &allocation.seams;
    (
        seams
            .iter()
            .map(|seam| ln(seam.q25_m3_s.mean.max(LEAST_M3_S)))
            .collect(),
        seams.iter().map(|seam| seam.n).collect(),
    )
}

/// Pressure across every seam while the unit runs, the seams leaking by these laws, Pa; `None` where that does not settle.
pub(crate) fn running_pressures(system: &System, ln_q25: &[f64], n: &[f64]) -> Option<Vec<f64>> {
    let found = running_state(system, SeamLaws { ln_q25, n }).ok()?;
    found.outcome.status.is_solved().then_some(found.seam_pa)
}

/// Flow of a seam at a pressure, either way, m³/s.
pub(crate) fn leak(q25_m3_s: f64, n: f64, pa: f64) -> f64 {
    q25_m3_s * powf(pa.abs() / crate::flow::REFERENCE_PA, n)
}
