//! The whole allocation, step by step.

use super::agreement;
use super::best_point::informed_part;
use super::doubt;
use super::draws::{for_each, prepare};
use super::error::AllocateError;
use super::error_law::ReadingLaw;
use super::groups::groups;
use super::network_readout::NetworkReadout;
use super::prior::{Prior, SeamPrior};
use super::problem::Problem;
use super::readout::Disturbance;
use super::record::{self, Layout, Recorded};
use super::rto::Sampler;
use super::settings::AllocateSettings;
use super::summary;
use super::types::{Allocation, Diagnostics, Method};
use super::weights;
use crate::system::{Measured, Setup, System, TEST_PRESSURE_PA, TestKind};

/// Most readings; a set of wrong set-ups is kept as bits of one word.
const MOST_READINGS: usize = 64;
/// Most memory for the draws, bytes: what an ordinary computer has to spare.
const MOST_BYTES: f64 = 4e9;
/// An exponent shift of which the readings take away less than this part of its variance counts as not informed.
const INFORMED: f64 = 0.01;

/// Spreads the measured leakage of a system over its seams.
///
/// Prior, readings and draws as told in [`super`]; results in the order of the system, the same bytes for the same
/// input on any number of threads. Memory grows with seams × draws × (5 + readings).
///
/// # Errors
/// [`AllocateError`] for input that makes no sense. A computation that did not go well is no error: see
/// [`Allocation::status`].
pub fn allocate(system: &System, settings: &AllocateSettings) -> Result<Allocation, AllocateError> {
    settings.validate()?;
    if system.seams.is_empty() {
        return Err(AllocateError::NoSeams);
    }
    let measured = &system.readings;
    if measured.len() > MOST_READINGS {
        return Err(AllocateError::BadSetting {
            setting: "readings",
            what: "at most 64",
            found: measured.len() as f64,
        });
    }
    refuse_too_large(system, settings)?;
    let gauges = shared_gauges(measured);
    let prior = Prior::new(&seam_priors(system), settings.prior, gauges.len())?;
    let laws = reading_laws(measured, &gauges, &prior, settings)?;
    let test_setup = test_setup(system);
    let to_outside_setup = to_outside_setup(system, &test_setup);
    let setups = measured.iter().map(|m| (m.id.as_str(), &m.setup));
    let answers = [("total", &test_setup), ("to outside", &to_outside_setup)];
    let readout = NetworkReadout::new(system, setups.chain(answers), &settings.flow)?;
    let disturbance_sd: Vec<Disturbance> = measured
        .iter()
        .map(|m| disturbance_sd(&m.setup, settings))
        .collect();
    let mut problem = Problem {
        prior: &prior,
        readings: &laws,
        error_law: settings.error_law,
        readout,
        disturbance_sd: &disturbance_sd,
    };

    let sampler = prepare(&mut problem, settings.draws, settings.seed);
    let problem = &problem;
    let layout = Layout {
        n_seams: system.seams.len(),
        n_readings: laws.len(),
    };
    let (draws, records) = for_each(
        problem,
        settings.draws,
        layout.len(),
        |i, scratch, work, row| record::posterior(&sampler, problem, layout, i, scratch, work, row),
    );
    let posterior = Recorded::new(layout, draws, records);
    let (draws, records) = for_each(
        problem,
        settings.prior_draws,
        layout.len(),
        |i, scratch, work, row| {
            record::prior(settings.seed, problem, layout, i, scratch, work, row)
        },
    );
    let before = Recorded::new(layout, draws, records);

    let readings: Vec<_> = measured
        .iter()
        .enumerate()
        .map(|(k, measured)| {
            let tails = prior_tails(k, &laws[k], &before, settings);
            agreement::reading(
                k,
                measured,
                &laws[k],
                &problem.readout,
                &posterior,
                &before,
                &tails,
            )
        })
        .collect();
    let seams = summary::seams(system, &prior, &posterior, settings.top);
    let house = summary::house(system, &test_setup, &posterior, &before);
    let groups = groups(system, &posterior);
    let diagnostics = diagnostics(&prior, &sampler, &posterior);
    let warnings = doubt::warnings(system, &readings, &seams, &house, &diagnostics);
    Ok(Allocation {
        title: system.title.clone(),
        seed: settings.seed,
        draws: settings.draws,
        top: settings.top,
        status: doubt::status(&diagnostics, settings.draws, &readings),
        test_setup,
        to_outside_setup,
        readings,
        seams,
        by_joint_type: groups.by_joint_type,
        by_run: groups.by_run,
        by_place: groups.by_place,
        by_reach: groups.by_reach,
        hidden: groups.hidden,
        house,
        diagnostics,
        warnings,
    })
}

/// Refuses what would not fit in memory: one number per seam, draw and set-up is kept.
fn refuse_too_large(system: &System, settings: &AllocateSettings) -> Result<(), AllocateError> {
    let columns = (5 + system.readings.len()) * system.seams.len();
    let bytes = 8.0 * columns as f64 * (settings.draws + settings.prior_draws) as f64;
    if bytes > MOST_BYTES {
        return Err(AllocateError::TooLarge {
            seams: system.seams.len(),
            draws: settings.draws,
            gigabytes: bytes / 1e9,
            most: MOST_BYTES / 1e9,
        });
    }
    Ok(())
}

fn seam_priors(system: &System) -> Vec<SeamPrior> {
    system
        .seams
        .iter()
        .map(|s| SeamPrior {
            id: s.id.clone(),
            joint_type: s.joint_type.clone(),
            mean_q25_m3_s: s.mean_q25_m3_s,
            gsd: s.gsd,
            n: s.n,
            field_made: s.field_made,
        })
        .collect()
}

/// Names of gauges that took more than one reading, in alphabetical order. Readings that name no gauge are taken to
/// come from one.
fn shared_gauges(measured: &[Measured]) -> Vec<&str> {
    let mut names: Vec<&str> = measured.iter().map(|m| m.gauge.as_str()).collect();
    names.sort_unstable();
    let mut shared: Vec<&str> = names
        .windows(2)
        .filter(|pair| pair[0] == pair[1])
        .map(|pair| pair[0])
        .collect();
    shared.dedup();
    shared
}

fn reading_laws(
    measured: &[Measured],
    gauges: &[&str],
    prior: &Prior,
    settings: &AllocateSettings,
) -> Result<Vec<ReadingLaw>, AllocateError> {
    measured
        .iter()
        .map(|m| {
            let gauge = gauges
                .binary_search(&m.gauge.as_str())
                .ok()
                .map(|g| prior.gauge_at(g));
            settings.error_law.reading(
                &m.id,
                m.relation,
                m.flow_m3_s,
                m.relative_sd,
                m.floor_sd_m3_s,
                gauge,
            )
        })
        .collect()
}

/// The set-up that answers are given for: that of the first total reading, else the usual one.
/// The total set-up that answers are for: that of the unplugged total read nearest 25 Pa, else the usual one.
fn test_setup(system: &System) -> Setup {
    nearest_25_pa(system, TestKind::Total).unwrap_or_else(|| system.total_setup())
}

/// The to-outside set-up that answers are for: that of the reading nearest 25 Pa, else the test set-up with the house
/// held at the ducts' pressure.
fn to_outside_setup(system: &System, test: &Setup) -> Setup {
    nearest_25_pa(system, TestKind::ToOutside).unwrap_or_else(|| Setup {
        kind: TestKind::ToOutside,
        ..test.clone()
    })
}

fn nearest_25_pa(system: &System, kind: TestKind) -> Option<Setup> {
    let away = |setup: &Setup| (setup.pressure_pa - TEST_PRESSURE_PA).abs();
    system
        .readings
        .iter()
        .map(|m| &m.setup)
        .filter(|s| s.kind == kind && s.plugged.is_empty())
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .cloned()
}

fn disturbance_sd(setup: &Setup, settings: &AllocateSettings) -> Disturbance {
    let is_outside = matches!(setup.kind, TestKind::ToOutside);
    Disturbance {
        house_pa: if is_outside {
            settings.nulling_sd_pa
        } else {
            0.0
        },
        tap_pa: settings.tap_sd_pa,
    }
}

/// Tail chances of reading k at every prior draw. The gauge's shared part is put back into σ.
fn prior_tails(
    k: usize,
    law: &ReadingLaw,
    before: &Recorded,
    settings: &AllocateSettings,
) -> Vec<(f64, f64)> {
    let mut whole = law.clone();
    if let Some((_, s)) = law.gauge.as_ref() {
        whole.sigma = law.sigma.hypot(s * law.y);
        whole.sigma_wide = law.sigma_wide.hypot(s * law.y);
    }
    let mut flows = Vec::new();
    before.column(before.layout.modelled(k), &mut flows);
    flows
        .iter()
        .map(|&h| whole.tails(h, settings.error_law.wide_chance))
        .collect()
}

fn diagnostics(prior: &Prior, sampler: &Sampler, posterior: &Recorded) -> Diagnostics {
    let layout = posterior.layout;
    let largest = |at: usize| posterior.rows().map(|row| row[at]).fold(0.0_f64, f64::max);
    let failures: f64 = posterior.rows().map(|row| row[layout.failures()]).sum();
    let n_draws = posterior.draws.len() as f64;
    Diagnostics {
        method: if layout.n_readings == 0 {
            Method::Prior
        } else {
            Method::Rto
        },
        effective_draws: weights::effective_draws(&posterior.weights),
        pareto_k: weights::pareto_k(&posterior.weights),
        r_hat: None,
        best_point_steps: sampler.main.steps,
        best_point_settled: sampler.main.settled,
        failed_draws: posterior.draws.iter().filter(|d| !d.solved).count(),
        mean_draw_steps: posterior
            .draws
            .iter()
            .map(|d| f64::from(d.steps))
            .sum::<f64>()
            / n_draws,
        flow_failures: failures as u64,
        flow_iterations: largest(layout.iterations()) as u32,
        worst_imbalance: largest(layout.imbalance()),
        any_wrong_setup_chance: agreement::any_wrong_chance(posterior),
        uninformed_exponents: prior
            .types()
            .iter()
            .enumerate()
            .filter(|(t, _)| informed_part(&sampler.main, prior.exponent_at(*t)) < INFORMED)
            .map(|(_, name)| name.clone())
            .collect(),
    }
}
