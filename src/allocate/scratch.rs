//! What one draw starts from: its random stream, and the scratch memory that it is made in.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::case::Case;
use super::problem::{Problem, Rows};
use super::readout::{Disturbance, Readout};
use crate::math::StandardNormal;

/// What a random stream is for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Purpose {
    Posterior,
    PriorPredictive,
    /// What hangs open in a draw of the prior.
    Open,
    /// A made-up truth.
    Invented,
    /// One chain.
    Chain,
    /// Where the evenly spaced choice of hypotheses begins.
    Offset,
    /// Readings and looks that are made up to see what they would be worth.
    MadeUp,
}

/// Scratch memory of one thread.
pub(crate) struct Scratch {
    pub rows: Rows,
    /// Hypothesis.
    pub case: Case,
    /// Picks what a hypothesis leaves open, 0 to 1.
    pub pick: f64,
    /// Whitened coordinates of the bent prior.
    pub xi: Vec<f64>,
    /// Whitened coordinates of the prior.
    pub x: Vec<f64>,
    pub(super) x_rest: Vec<f64>,
    pub disturbances: Vec<Disturbance>,
    pub(super) c: Vec<f64>,
    pub(super) c_trial: Vec<f64>,
    pub(super) eta: Vec<f64>,
    pub(super) miss: Vec<f64>,
    /// A(x)·V, `K × rank`.
    pub(super) b: Vec<f64>,
    pub(super) matrix: Vec<f64>,
    pub(super) step: Vec<f64>,
}

impl Scratch {
    pub(crate) fn new<R: Readout>(problem: &Problem<'_, R>) -> Self {
        let (k, dim) = (problem.readings.len(), problem.prior.dim());
        Scratch {
            rows: Rows::new(problem.prior, k),
            case: Case::default(),
            pick: 0.0,
            xi: vec![0.0; dim],
            x: vec![0.0; dim],
            x_rest: vec![0.0; dim],
            disturbances: vec![Disturbance::default(); k],
            c: vec![0.0; k],
            c_trial: vec![0.0; k],
            eta: vec![0.0; k],
            miss: vec![0.0; k],
            b: vec![0.0; k * k],
            matrix: vec![0.0; k * k],
            step: vec![0.0; k],
        }
    }

    /// Fills ξ with N(0, I) and the disturbances from their law.
    pub(crate) fn randomise<R: Readout>(
        &mut self,
        problem: &Problem<'_, R>,
        seed: u64,
        purpose: Purpose,
        index: usize,
    ) {
        let mut random = stream(seed, purpose, index);
        for (d, sd) in self.disturbances.iter_mut().zip(problem.disturbance_sd) {
            let (house, tap): (f64, f64) =
                (random.sample(StandardNormal), random.sample(StandardNormal));
            *d = Disturbance {
                house_pa: sd.house_pa * house,
                tap_pa: sd.tap_pa * tap,
            };
        }
        self.pick = random.random();
        for x in &mut self.xi {
            *x = random.sample(StandardNormal);
        }
    }
}

/// The random stream of one draw: state and increment both come from seed, purpose and index, never from a thread.
pub(crate) fn stream(seed: u64, purpose: Purpose, index: usize) -> Pcg64 {
    let purpose = match purpose {
        Purpose::Posterior => 0x5eed_0001,
        Purpose::PriorPredictive => 0x5eed_0002,
        Purpose::Open => 0x5eed_0006,
        Purpose::Invented => 0x5eed_0007,
        Purpose::Chain => 0x5eed_0003,
        Purpose::Offset => 0x5eed_0004,
        Purpose::MadeUp => 0x5eed_0005,
    };
    let mut bytes = [0; 32];
    let mut mixer = seed ^ mixed(purpose) ^ mixed(index as u64 ^ 0x9e37_79b9_7f4a_7c15);
    for chunk in bytes.chunks_exact_mut(8) {
        mixer = mixer.wrapping_add(0x9e37_79b9_7f4a_7c15);
        chunk.copy_from_slice(&mixed(mixer).to_le_bytes());
    }
    Pcg64::from_seed(bytes)
}

/// The finishing mix of the SplitMix64 generator (public domain; from memory).
fn mixed(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A number between 0 and 1 that belongs to a seed.
pub(crate) fn offset(seed: u64) -> f64 {
    stream(seed, Purpose::Offset, 0).random()
}
