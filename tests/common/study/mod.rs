//! Simulation-based calibration on whole systems: truths are drawn from the prior of a sketch, readings and looks are
//! made of them by the flow solver with all errors, and the answer must hold the truth as often as it says.
//!
//! It checks the computation alone: neither the catalogue nor anyone's sketch. In the study's own evidence sets the law
//! that makes readings and the law of the posterior are the same to the letter: errors are absolute, and wide errors are
//! a multiple of them.
#![allow(dead_code)] // tests use a part, the example the rest

mod likelihood;
pub mod numbers;
mod one;
mod sets;
mod tally;

use ductseam::allocate::{AllocateSettings, Posterior, posterior};
use ductseam::system::System;

#[allow(unused_imports)] // as above
pub use sets::{NAMES, set};
#[allow(unused_imports)] // as above
pub use tally::{Findings, Gross, LEVELS, NOTHING_FROM, SEAM_FROM};

/// A system with its evidence, and the settings that both make and judge it.
pub struct Set {
    /// Short name.
    pub name: String,
    /// What is read and seen, in words.
    pub words: String,
    /// Ducts, set-ups, errors and looks; the values read are placeholders.
    pub system: System,
    /// Settings by which truths and evidence are made.
    pub settings: AllocateSettings,
    /// Settings by which the posterior is drawn; anything else than `settings` is a fault that must show. Seed and draws
    /// are set by the study.
    pub judged_by: AllocateSettings,
    /// Whether the posterior is kept from seeing the looks: a fault too.
    pub is_blind: bool,
    /// Whether one law makes readings and judges them, so that single readings and the likelihood can be ranked.
    pub is_exact: bool,
}

/// Runs the study of one set. The same bytes for the same arguments on any number of threads.
pub fn study(set: &Set, systems: usize, draws: usize, seed: u64) -> Findings {
    let mut settings = set.judged_by.clone();
    settings.draws = draws;
    // Only notes on readings need draws of the prior.
    settings.prior_draws = 50;
    let before = unread(&set.system, &settings, seed);
    let bench = one::Bench::new(set, settings, &before, seed);
    let outcomes = in_order(systems, |index| bench.run(index));
    tally::tally(set, bench.names(), &before, outcomes)
}

/// Runs one system of a set alone, as [`study`] would, for its time: for those that take long.
pub fn one_alone(set: &Set, index: usize, draws: usize, seed: u64) {
    let mut settings = set.judged_by.clone();
    settings.draws = draws;
    settings.prior_draws = 50;
    let before = unread(&set.system, &settings, seed);
    let bench = one::Bench::new(set, settings, &before, seed);
    match bench.run(index) {
        Ok(_) => eprintln!("{} {index}: answered", set.name),
        Err(error) => eprintln!("{} {index}: {error}", set.name),
    }
}

/// The system before anything was read or seen: draws of the prior.
fn unread(system: &System, settings: &AllocateSettings, seed: u64) -> Posterior {
    let mut bare = system.clone();
    bare.readings.clear();
    bare.looks.clear();
    let settings = AllocateSettings {
        draws: 4000,
        seed: numbers::mixed(seed, u64::MAX),
        ..settings.clone()
    };
    posterior(&bare, &settings).expect("a sound system")
}

/// Maps 0..count in order, in parallel where threads are at hand.
fn in_order<T: Send>(count: usize, job: impl Fn(usize) -> T + Sync + Send) -> Vec<T> {
    #[cfg(feature = "parallel")]
    {
        use rayon::prelude::*;
        (0..count).into_par_iter().map(job).collect()
    }
    #[cfg(not(feature = "parallel"))]
    {
        (0..count).map(job).collect()
    }
}
