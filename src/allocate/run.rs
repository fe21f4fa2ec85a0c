//! The whole allocation, step by step.

use super::agreement;
use super::best_point::informed_part;
use super::chains;
use super::doubt;
use super::draws::for_each;
use super::error::AllocateError;
use super::error_law::ReadingLaw;
use super::evidence::Evidence;
use super::groups::groups;
use super::network_readout::{NetworkReadout, Wanted};
use super::open_seams;
use super::prior::Prior;
use super::problem::Problem;
use super::readout::Readout;
use super::record::{self, Layout, Recorded};
use super::rto::Sampler;
use super::seen;
use super::settings::AllocateSettings;
use super::summary;
use super::types::{Allocation, Diagnostics, Method};
use super::weights;
use crate::system::{Observable, Setup, System, TEST_PRESSURE_PA, TestKind};

/// Most readings; a set of wrong set-ups is kept as bits of one word.
const MOST_READINGS: usize = 64;
/// Most memory for the draws, bytes: what an ordinary computer has to spare.
const MOST_BYTES: f64 = 4e9;
/// Most draws, in times those asked for, before chains take over.
const MOST_MORE: f64 = 5.0;
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
    run(system, settings, &[], |run| run.allocation())
}

/// Draws of the posterior with all that they were made from.
pub(crate) struct Run<'r> {
    pub system: &'r System,
    pub settings: &'r AllocateSettings,
    pub evidence: &'r Evidence,
    pub problem: &'r Problem<'r, NetworkReadout>,
    pub sampler: &'r Sampler,
    pub posterior: Recorded,
    pub before: Recorded,
    pub test_setup: Setup,
    to_outside_setup: Setup,
    worth: Worth,
}

/// Makes the draws and hands them to `then`. `extras` are set-ups that are read at every draw besides.
///
/// # Errors
/// As [`allocate`].
pub(crate) fn run<T>(
    system: &System,
    settings: &AllocateSettings,
    extras: &[Wanted<'_>],
    then: impl FnOnce(&Run<'_>) -> T,
) -> Result<T, AllocateError> {
    let stage = check(system, settings)?;
    let evidence = Evidence::new(system, settings)?;
    let test_setup = test_setup(system);
    let to_outside_setup = to_outside_setup(system, &test_setup);
    let wanted = system.readings.iter().map(|m| Wanted {
        name: &m.id,
        setup: &m.setup,
        observable: m.observable,
        stage: m.stage,
    });
    let answers = [("total", &test_setup), ("to outside", &to_outside_setup)];
    let answers = answers.map(|(name, setup)| Wanted {
        name,
        setup,
        observable: Observable::FanFlow,
        stage,
    });
    let all = wanted.chain(answers).chain(extras.iter().copied());
    let readout = NetworkReadout::new(system, all, &settings.flow)?;
    let mut problem = Problem {
        prior: &evidence.prior,
        readings: &evidence.laws,
        looks: &evidence.looks,
        error_law: settings.error_law,
        readout,
        disturbance_sd: &evidence.disturbance_sd,
    };
    let layout = Layout {
        n_seams: system.seams.len(),
        n_readings: evidence.laws.len(),
        n_looks: evidence.looks.looks.len(),
        n_extras: extras.len(),
        stage,
    };
    refuse_too_large(system, layout, settings)?;
    let (sampler, posterior, worth) = draw(&mut problem, layout, settings);
    let problem = &problem;
    let (draws, records) = for_each(
        problem,
        settings.prior_draws,
        layout.len(),
        |i, scratch, (work, _), row| {
            record::prior(settings.seed, problem, layout, i, scratch, work, row)
        },
    );
    Ok(then(&Run {
        system,
        settings,
        evidence: &evidence,
        problem,
        sampler: &sampler,
        posterior,
        before: Recorded::new(layout, draws, records),
        test_setup,
        to_outside_setup,
        worth,
    }))
}

/// Refuses what cannot be computed; the stage that answers are for.
fn check(system: &System, settings: &AllocateSettings) -> Result<usize, AllocateError> {
    settings.validate()?;
    if system.seams.is_empty() {
        return Err(AllocateError::NoSeams);
    }
    if system.readings.len() > MOST_READINGS {
        return Err(AllocateError::BadSetting {
            setting: "readings",
            what: "at most 64",
            found: system.readings.len() as f64,
        });
    }
    let stage = settings.stage.unwrap_or(system.sealing.len());
    if stage > system.sealing.len() {
        return Err(AllocateError::BadSetting {
            setting: "stage",
            what: "at most the number of sealing steps",
            found: stage as f64,
        });
    }
    Ok(stage)
}

impl Run<'_> {
    /// The answer.
    pub(crate) fn allocation(&self) -> Allocation {
        let (system, settings) = (self.system, self.settings);
        let (posterior, before) = (&self.posterior, &self.before);
        let prior = &self.evidence.prior;
        let laws = &self.evidence.laws;
        let readings: Vec<_> = system
            .readings
            .iter()
            .enumerate()
            .map(|(k, measured)| {
                let tails = prior_tails(k, &laws[k], before, settings);
                agreement::reading(
                    k,
                    measured,
                    &laws[k],
                    &self.problem.readout,
                    posterior,
                    before,
                    &tails,
                )
            })
            .collect();
        let seams = summary::seams(system, prior, posterior, settings);
        let house = summary::house(system, &self.test_setup, posterior, before);
        let groups = groups(system, posterior, settings.share_asked);
        let diagnostics = diagnostics(prior, self.sampler, posterior, &self.worth);
        let signatures = self.sampler.signatures(self.problem);
        let gross = open_seams::candidates(prior, posterior, &signatures);
        let warnings = doubt::warnings(system, &readings, &seams, &gross, &house, &diagnostics);
        Allocation {
            title: system.title.clone(),
            seed: settings.seed,
            draws: posterior.draws.len(),
            share_asked: settings.share_asked,
            top: settings.top,
            status: doubt::status(&diagnostics, posterior.draws.len(), &readings),
            test_setup: self.test_setup.clone(),
            to_outside_setup: self.to_outside_setup.clone(),
            readings,
            seams,
            by_joint_type: groups.by_joint_type,
            by_run: groups.by_run,
            by_place: groups.by_place,
            by_reach: groups.by_reach,
            hidden: groups.hidden,
            house,
            gross,
            nothing_open_chance: open_seams::nothing_open(prior, posterior),
            looks: seen::looks(system, self.evidence, posterior, before),
            stage: posterior.layout.stage,
            diagnostics,
            warnings,
        }
    }
}

/// Refuses what would not fit in memory: some numbers per seam, reading and look are kept of every draw.
fn refuse_too_large(
    system: &System,
    layout: Layout,
    settings: &AllocateSettings,
) -> Result<(), AllocateError> {
    let bytes = bytes_of(layout, settings.draws + settings.prior_draws);
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

fn bytes_of(layout: Layout, draws: usize) -> f64 {
    8.0 * layout.len() as f64 * draws as f64
}

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
        .filter(|m| m.observable == Observable::FanFlow)
        .map(|m| &m.setup)
        .filter(|s| s.kind == kind && s.plugged.is_empty())
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .cloned()
}

/// Tail chances of reading k at every prior draw. The gauge's shared part is put back into σ.
fn prior_tails(
    k: usize,
    law: &ReadingLaw,
    before: &Recorded,
    settings: &AllocateSettings,
) -> Vec<(f64, f64)> {
    let whole = law.whole();
    let mut flows = Vec::new();
    before.column(before.layout.modelled(k), &mut flows);
    flows
        .iter()
        .map(|&h| whole.tails(h, settings.error_law.wide_chance))
        .collect()
}

/// What the draws are worth and where they come from.
struct Worth {
    method: Method,
    effective: f64,
    pareto_k: Option<f64>,
    r_hat: Option<f64>,
}

/// The acceptance rule: weighted draws where they are worth enough; else a second, larger run that knows better how likely
/// each hypothesis is; else chains.
fn draw<R: Readout>(
    problem: &mut Problem<'_, R>,
    layout: Layout,
    settings: &AllocateSettings,
) -> (Sampler, Recorded, Worth) {
    let plain = problem.readings.is_empty() && problem.looks.is_empty();
    let asked = settings.draws as f64;
    // A run of so few draws that they could never be enough is judged by their number.
    let wanted = if asked < doubt::LEAST_EFFECTIVE {
        0.5 * asked
    } else {
        doubt::LEAST_EFFECTIVE
    };
    let first = Sampler::new(problem, settings.draws, settings.seed);
    let problem = &*problem;
    let make = |sampler: &Sampler, draws: usize| {
        let (outcomes, records) =
            for_each(problem, draws, layout.len(), |i, scratch, work, row| {
                record::posterior(sampler, problem, layout, i, scratch, work, row)
            });
        let weighted = Recorded::new(layout, outcomes, records);
        let worth = Worth {
            method: if plain { Method::Prior } else { Method::Rto },
            effective: weights::effective_draws(&weighted.weights),
            pareto_k: weights::pareto_k(&weighted.weights),
            r_hat: None,
        };
        (weighted, worth)
    };
    let (weighted, worth) = make(&first, settings.draws);
    if plain || worth.is_enough(wanted) {
        return (first, weighted, worth);
    }
    // Shared out by what the first run found, the draws are usually worth more; then only as many more are made as needed.
    let times = (1.3 * wanted / worth.effective).clamp(1.0, MOST_MORE);
    let room = (MOST_BYTES / bytes_of(layout, 1)).floor();
    let draws = (times * asked).ceil().min(room).max(asked) as usize;
    let second = first.second(&weighted.draws, &weighted.weights, draws);
    drop(weighted);
    let (weighted, worth) = make(&second, draws);
    if worth.is_enough(wanted) {
        return (second, weighted, worth);
    }
    let chained = chains::run(&second, problem, layout, settings.draws, settings.seed);
    let agree = chained.r_hat < doubt::WIDEST_R_HAT;
    let lost = chained.recorded.draws.is_empty();
    if lost || (!agree && worth.has_light_tail() && worth.effective > chained.effective) {
        return (second, weighted, worth);
    }
    let worth = Worth {
        method: Method::Chains,
        effective: chained.effective.min(asked),
        pareto_k: None,
        r_hat: Some(chained.r_hat),
    };
    (second, chained.recorded, worth)
}

impl Worth {
    fn has_light_tail(&self) -> bool {
        self.pareto_k.is_none_or(|k| k < doubt::HEAVIEST_TAIL)
    }

    fn is_enough(&self, wanted: f64) -> bool {
        self.effective >= wanted && self.has_light_tail()
    }
}

fn diagnostics(
    prior: &Prior,
    sampler: &Sampler,
    posterior: &Recorded,
    worth: &Worth,
) -> Diagnostics {
    let layout = posterior.layout;
    let largest = |at: usize| posterior.rows().map(|row| row[at]).fold(0.0_f64, f64::max);
    let failures: f64 = posterior.rows().map(|row| row[layout.failures()]).sum();
    let n_draws = posterior.draws.len() as f64;
    Diagnostics {
        method: worth.method,
        effective_draws: worth.effective,
        pareto_k: worth.pareto_k,
        r_hat: worth.r_hat,
        best_point_steps: sampler.main.steps,
        best_point_settled: sampler.main.settled,
        failed_draws: posterior.draws.iter().filter(|d| !d.solved).count(),
        mean_draw_steps: posterior
            .draws
            .iter()
            .map(|d| f64::from(d.steps))
            .sum::<f64>()
            / n_draws.max(1.0),
        flow_failures: failures as u64,
        flow_iterations: largest(layout.iterations()) as u32,
        worst_imbalance: largest(layout.imbalance()),
        any_wrong_setup_chance: agreement::any_wrong_chance(posterior),
        hypotheses: {
            let mut cases: Vec<(u64, super::case::Open)> = posterior
                .draws
                .iter()
                .map(|d| (d.case.wrong, d.case.open))
                .collect();
            cases.sort_unstable();
            cases.dedup();
            cases.len()
        },
        uninformed_exponents: prior
            .types()
            .iter()
            .enumerate()
            .filter(|(t, _)| informed_part(&sampler.main, prior.exponent_at(*t)) < INFORMED)
            .map(|(_, name)| name.clone())
            .collect(),
    }
}
