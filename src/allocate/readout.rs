//! The seam between the sampler and whatever turns seam laws into readings.

pub use crate::flow::Disturbance;

/// What one set-up gave at given seam laws.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Readings {
    /// What the meter would read without its own error: m³/s or Pa.
    pub value: f64,
    /// Part of it that masks and plugs leak, m³/s.
    pub mask_leak_m3_s: f64,
    /// Whether the solve settled.
    pub settled: bool,
    /// Steps of the solve.
    pub iterations: u32,
    /// Worst imbalance, as a part of the largest flow.
    pub worst_imbalance: f64,
}

/// A model of readings: a set of set-ups, each a smooth function of the seam laws.
///
/// Two kinds live in this crate: duct networks solved by [`crate::flow`], and closed-form sums without friction,
/// against which the sampler is checked from outside.
pub trait Readout: Sync {
    /// Scratch memory of one thread.
    type Work: Send;

    /// New scratch memory, at the kept warm start.
    fn work(&self) -> Self::Work;

    /// Puts the kept warm start back, so that what follows does not depend on what came before.
    fn restart(&self, work: &mut Self::Work);

    /// Keeps the state in `work` as the warm start.
    fn keep_start(&mut self, work: &Self::Work);

    /// Solves set-up `setup` at these laws (ln of m³/s at 25 Pa; exponents).
    fn read(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        disturbance: Disturbance,
        work: &mut Self::Work,
    ) -> Readings;

    /// Starts the next [`read`](Self::read) of this set-up from the last one of an equal set-up before it, if any.
    fn start_from_equal(&self, _setup: usize, _work: &mut Self::Work) {}

    /// Slopes of the value of the last [`read`](Self::read) of this set-up in each ln q25 and each n.
    fn slopes(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        work: &mut Self::Work,
        d_ln_q25: &mut [f64],
        d_n: &mut [f64],
    );

    /// Flows through the seams at the last [`read`](Self::read) of this set-up, m³/s, positive in the direction of
    /// the test; 0 where a seam takes no part. With the mask leak they add up to the reading.
    fn seam_flows(&self, setup: usize, work: &Self::Work, flows: &mut [f64]);

    /// Pressure differences across the seams then, Pa, as magnitudes; 0 where a seam takes no part.
    fn seam_pressures(&self, setup: usize, work: &Self::Work, pressures: &mut [f64]);
}
