//! A system before and after: the same draws with other leaks.

/// Equally weighted draws of all seams before and after some work. Row-major: draw by draw, seams in the order of the
/// system.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BeforeAfter {
    /// ln of the flow at 25 Pa in m³/s before.
    pub ln_q25_before: Vec<f64>,
    /// The same after.
    pub ln_q25_after: Vec<f64>,
    /// Exponents before.
    pub n_before: Vec<f64>,
    /// Exponents after.
    pub n_after: Vec<f64>,
    /// Seams in a draw.
    pub n_seams: usize,
}

impl BeforeAfter {
    /// Number of draws.
    #[must_use]
    pub fn draws(&self) -> usize {
        self.ln_q25_before
            .len()
            .checked_div(self.n_seams)
            .unwrap_or(0)
    }
}
