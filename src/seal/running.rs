//! What each seam leaks while the unit runs.

use super::draws::Left;
use crate::flow::{SeamLaws, running_state};
use crate::system::System;

/// Pressure across every seam while the unit runs, every seam leaking its mean, Pa; `None` where that does not settle.
pub(super) fn running_pa(left: &Left<'_>) -> Option<Vec<f64>> {
    let seams = &left.posterior.allocation.seams;
    let ln_q25: Vec<f64> = seams.iter().map(|seam| seam.q25_m3_s.mean.ln()).collect();
    let n: Vec<f64> = seams.iter().map(|seam| seam.n).collect();
    running_pressures(left.system, &ln_q25, &n)
}

/// Pressure across every seam while the unit runs, the seams leaking by these laws, Pa; `None` where that does not settle.
pub(crate) fn running_pressures(system: &System, ln_q25: &[f64], n: &[f64]) -> Option<Vec<f64>> {
    let found = running_state(system, SeamLaws { ln_q25, n }).ok()?;
    found.outcome.status.is_solved().then_some(found.seam_pa)
}

/// Flow of a seam at a pressure, either way, m³/s.
pub(crate) fn leak(q25_m3_s: f64, n: f64, pa: f64) -> f64 {
    q25_m3_s * (pa.abs() / crate::flow::REFERENCE_PA).powf(n)
}
