//! From a system to prior, readings and looks as the sampler sees them.

use super::error::AllocateError;
use super::error_law::ReadingLaw;
use super::looks::{Claim, LookLaw, Looks, Sight};
use super::prior::{OpenLaw, Prior, SealedLaw, SeamPrior};
use super::readout::Disturbance;
use super::settings::AllocateSettings;
use crate::catalog::Basis;
use crate::catalog::opening::opening_area;
use crate::flow::{self, SeamLaws};
use crate::math::{hypot, ln};
use crate::sketch::Smoke;
use crate::system::{
    Look, LookAt, Measured, Observable, Reach, ReadingUnit, SeamRole, Seen, Setup, System, TestKind,
};

/// Standard deviation of the logarithm of the envelope's leakage where the sketch states it (engineering estimate).
const ENVELOPE_STATED_SD: f64 = 0.1;
/// The same where it is estimated from the floor area: a factor of two either way is not rare (engineering estimate).
const ENVELOPE_GUESSED_SD: f64 = 0.4;
/// What a pressure read in a wrong set-up may be off by, as a part of the pressure held (engineering estimate).
const WIDE_PART_OF_HELD: f64 = 0.2;
/// What a nulling flow read in a wrong set-up may be off by, as a part of the airflow (engineering estimate).
const WIDE_PART_OF_AIRFLOW: f64 = 0.1;
/// What a pressure may be off by while the blower runs, Pa (engineering estimate).
const WIDE_RUNNING_PA: f64 = 10.0;
/// Chance to hang open of a seam that somebody says does, where its kind is taken never to (engineering estimate).
const LEAST_IF_SAID: f64 = 5e-4;
/// Least pressure across a seam at which smoke says anything, Pa (engineering estimate).
pub(crate) const LEAST_LOOK_PA: f64 = 1.0;

/// Prior, readings and looks.
pub(crate) struct Evidence {
    pub prior: Prior,
    pub laws: Vec<ReadingLaw>,
    pub looks: Looks,
    /// For each look of the system the laws it became, and why it became none.
    pub look_laws: Vec<LookOutcome>,
    pub disturbance_sd: Vec<Disturbance>,
}

/// What became of one look.
#[derive(Debug, Clone, Default)]
pub(crate) struct LookOutcome {
    /// Positions in [`Looks::looks`].
    pub looks: Vec<usize>,
    /// Positions in [`Looks::claims`].
    pub claims: Vec<usize>,
    /// Why nothing was weighed; empty when something was.
    pub why_not: String,
}

impl Evidence {
    /// Makes all laws of a system.
    ///
    /// # Errors
    /// [`AllocateError`] for figures that make no sense.
    pub(crate) fn new(system: &System, settings: &AllocateSettings) -> Result<Self, AllocateError> {
        let measured = &system.readings;
        let gauges = shared_gauges(measured);
        let observers = observers(&system.looks);
        let figures = &system.look_figures;
        let claimed = claimed_open(system);
        let open = system
            .seams
            .iter()
            .enumerate()
            .map(|(i, seam)| {
                let said = claimed.contains(&i);
                let least = if said { LEAST_IF_SAID } else { 0.0 };
                let chance = (seam.gross_chance * settings.gross_factor).clamp(least, 0.5);
                let full = seam.opening_m2 / opening_area(1.0, 25.0);
                (chance > 0.0 && full > 0.0).then(|| OpenLaw {
                    chance,
                    median_q25_m3_s: figures.open_part * full,
                    ln_sd: ln(figures.open_gsd),
                    n: figures.open_n,
                })
            })
            .collect();
        let sealed = system
            .sealing
            .iter()
            .map(|step| SealedLaw {
                seams: step
                    .seams
                    .iter()
                    .copied()
                    .zip(step.remains.iter().copied())
                    .collect(),
                shared_sd: ln(figures.remains_shared_gsd),
                own_sd: ln(figures.remains_own_gsd),
            })
            .collect();
        let envelope = measured.iter().any(|m| m.setup.is_house_fan());
        let prior = Prior::new(
            &seam_priors(system),
            settings.prior,
            gauges.len() + usize::from(envelope),
        )?
        .with_open(open)
        .with_observers(observers.len())
        .with_sealing(sealed);
        let laws = reading_laws(system, &gauges, &prior, settings)?;
        let (looks, look_laws) = look_laws(system, &observers, settings)?;
        Ok(Evidence {
            laws,
            looks,
            look_laws,
            disturbance_sd: measured
                .iter()
                .map(|m| disturbance_sd(&m.setup, settings))
                .collect(),
            prior,
        })
    }
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

/// Gauges that took more than one reading of a unit, sorted. Readings that name no gauge are taken to come from one.
fn shared_gauges(measured: &[Measured]) -> Vec<(bool, &str)> {
    let mut names: Vec<(bool, &str)> = measured
        .iter()
        .filter(|m| !m.setup.is_house_fan())
        .map(gauge_key)
        .collect();
    names.sort_unstable();
    let mut shared: Vec<(bool, &str)> = names
        .windows(2)
        .filter(|pair| pair[0] == pair[1])
        .map(|pair| pair[0])
        .collect();
    shared.dedup();
    shared
}

fn gauge_key(measured: &Measured) -> (bool, &str) {
    (
        measured.unit() == ReadingUnit::Pressure,
        measured.gauge.as_str(),
    )
}

fn reading_laws(
    system: &System,
    gauges: &[(bool, &str)],
    prior: &Prior,
    settings: &AllocateSettings,
) -> Result<Vec<ReadingLaw>, AllocateError> {
    let envelope = prior.gauge_at(gauges.len());
    system
        .readings
        .iter()
        .map(|m| {
            let gauge = gauges
                .binary_search(&gauge_key(m))
                .ok()
                .filter(|_| !m.setup.is_house_fan())
                .map(|g| prior.gauge_at(g));
            reading_law(system, m, gauge, envelope, settings)
        })
        .collect()
}

/// Law of one reading; `gauge` and `envelope` are positions in x of what it may share with others.
pub(crate) fn reading_law(
    system: &System,
    m: &Measured,
    gauge: Option<usize>,
    envelope: usize,
    settings: &AllocateSettings,
) -> Result<ReadingLaw, AllocateError> {
    let mut law =
        settings
            .error_law
            .reading(&m.id, m.relation, m.value, m.relative_sd, m.floor_sd, gauge)?;
    law.stage = m.stage;
    if m.setup.is_house_fan() && m.observable == Observable::FanFlow {
        let stated = system.envelope.as_ref().is_some_and(|path| path.is_given());
        let sd = if stated {
            ENVELOPE_STATED_SD
        } else {
            ENVELOPE_GUESSED_SD
        };
        law.gauge = Some((envelope, sd));
    }
    let airflow = system.unit.airflow_m3_s.map_or(0.0, |(flow, _)| flow);
    law.sigma_wide_floor = match (m.unit(), m.setup.kind) {
        // What is read is a difference that may be near nothing.
        (ReadingUnit::Flow, TestKind::RunningHeld) => WIDE_PART_OF_AIRFLOW * airflow,
        (ReadingUnit::Flow, _) => 0.0,
        (ReadingUnit::Pressure, TestKind::Running) => WIDE_RUNNING_PA,
        (ReadingUnit::Pressure, _) => WIDE_PART_OF_HELD * m.setup.pressure_pa,
    };
    law.sigma_wide = hypot(law.sigma_wide, law.sigma_wide_floor);
    Ok(law)
}

/// Seams that somebody saw hanging open.
fn claimed_open(system: &System) -> Vec<usize> {
    system
        .looks
        .iter()
        .filter(|look| look.seen == Seen::Hanging)
        .flat_map(|look| look.seams.iter().copied())
        .collect()
}

/// People who looked; those who gave no name are one.
fn observers(looks: &[Look]) -> Vec<&str> {
    let mut names: Vec<&str> = looks
        .iter()
        .filter(|l| matches!(l.seen, Seen::Smoke(_)))
        .map(|l| l.by.as_str())
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}

fn look_laws(
    system: &System,
    observers: &[&str],
    settings: &AllocateSettings,
) -> Result<(Looks, Vec<LookOutcome>), AllocateError> {
    let figures = &system.look_figures;
    let mut looks = Looks::default();
    let mut outcomes = Vec::new();
    let mut solved: Vec<(Setup, Vec<f64>)> = Vec::new();
    for look in &system.looks {
        let mut outcome = LookOutcome::default();
        match &look.seen {
            Seen::Smoke(seen) => {
                let setup = look_setup(system, look.at);
                let pressures = pressures(system, setup, settings, &mut solved)?;
                let observer = observers.binary_search(&look.by.as_str()).ok();
                let mut still = 0;
                for &seam in &look.seams {
                    if pressures[seam] < LEAST_LOOK_PA {
                        still += 1;
                        continue;
                    }
                    outcome.looks.push(looks.looks.len());
                    looks.looks.push(smoke_law(
                        system,
                        settings,
                        (seam, look.stage),
                        *seen,
                        observer,
                        pressures[seam],
                    ));
                }
                if still > 0 && outcome.looks.is_empty() {
                    outcome.why_not = "no pressure stands across it in the set-up of this look, so smoke says nothing".into();
                }
            }
            Seen::Gap(width) => {
                for &seam in &look.seams {
                    let at = &system.seams[seam];
                    if at.basis != Basis::PerMetre || !(width.si() > 0.0) {
                        outcome.why_not =
                            "a gap's width says nothing of a joint that is counted by the piece: say what smoke does instead".into();
                        continue;
                    }
                    let area = figures.gap_cd / 0.6 * width.si() * at.amount;
                    outcome.looks.push(looks.looks.len());
                    looks.looks.push(LookLaw {
                        seam,
                        stage: look.stage,
                        sight: Sight::Gap(ln(area / opening_area(1.0, 25.0))),
                        sd: ln(figures.gap_gsd),
                        observer: None,
                        ln_pressure: 0.0,
                        ln_amount: 0.0,
                    });
                }
            }
            Seen::Sealed | Seen::Hanging => {
                let hanging = look.seen == Seen::Hanging;
                for &seam in &look.seams {
                    outcome.claims.push(looks.claims.len());
                    looks.claims.push(Claim {
                        seam,
                        stage: look.stage,
                        if_open: if hanging {
                            figures.hanging_if_open
                        } else {
                            figures.sealed_if_open
                        },
                        if_not: if hanging { figures.hanging_if_not } else { 1.0 },
                    });
                }
            }
        }
        outcomes.push(outcome);
    }
    Ok((looks, outcomes))
}

/// Law of smoke at one seam.
pub(crate) fn smoke_law(
    system: &System,
    settings: &AllocateSettings,
    (seam, stage): (usize, usize),
    seen: Smoke,
    observer: Option<usize>,
    pressure_pa: f64,
) -> LookLaw {
    let figures = &system.look_figures;
    let at = &system.seams[seam];
    let shift = ln(settings.smoke_factor);
    let (wisp, strong) = (
        ln(figures.wisp_from) + shift,
        ln(figures.strong_from) + shift,
    );
    let covered = matches!(at.reach, Reach::UnderInsulation | Reach::BehindFinish);
    LookLaw {
        seam,
        stage,
        sight: match seen {
            Smoke::None => Sight::Between(f64::NEG_INFINITY, wisp),
            Smoke::Wisp => Sight::Between(wisp, strong),
            Smoke::Strong => Sight::Between(strong, f64::INFINITY),
        },
        sd: if covered {
            figures.under_insulation_sd
        } else {
            figures.sd
        },
        observer: observer.map(|o| (o, settings.observer_sd.unwrap_or(figures.observer_sd))),
        ln_pressure: ln(pressure_pa / 25.0),
        ln_amount: ln(at.amount),
    }
}

pub(crate) fn look_setup(system: &System, at: LookAt) -> Setup {
    match at {
        LookAt::Reading(reading) => system.readings[reading].setup.clone(),
        LookAt::Total(pressure_pa) => Setup {
            pressure_pa,
            ..system.total_setup()
        },
    }
}

/// Pressures across the seams in a set-up with every seam at its prior mean, Pa; kept for the next look.
fn pressures(
    system: &System,
    setup: Setup,
    settings: &AllocateSettings,
    solved: &mut Vec<(Setup, Vec<f64>)>,
) -> Result<Vec<f64>, AllocateError> {
    if let Some((_, found)) = solved.iter().find(|(s, _)| *s == setup) {
        return Ok(found.clone());
    }
    let prepared =
        flow::prepare(system, &setup, &settings.flow).map_err(|source| AllocateError::Flow {
            reading: "a look".to_owned(),
            source,
        })?;
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let mut ws = prepared.network.workspace();
    flow::solve(&prepared.network, laws, Disturbance::default(), &mut ws);
    let found: Vec<f64> = ws
        .seam_dp()
        .iter()
        .enumerate()
        .map(|(i, dp)| {
            if prepared.network.seam_counts(i) {
                dp.abs()
            } else {
                0.0
            }
        })
        .collect();
    solved.push((setup, found.clone()));
    Ok(found)
}

pub(crate) fn disturbance_sd(setup: &Setup, settings: &AllocateSettings) -> Disturbance {
    let is_outside = matches!(setup.kind, TestKind::ToOutside);
    let has_tap = !matches!(
        setup.kind,
        TestKind::Running
            | TestKind::RunningHeld
            | TestKind::Pan(_)
            | TestKind::HouseFanOpen
            | TestKind::HouseFanMasked
    );
    Disturbance {
        house_pa: if is_outside {
            settings.nulling_sd_pa
        } else {
            0.0
        },
        tap_pa: if has_tap { settings.tap_sd_pa } else { 0.0 },
    }
}

/// Whether a seam can be looked at by anyone.
pub(crate) fn can_be_seen(role: SeamRole, reach: Reach) -> bool {
    role != SeamRole::Unsketched && matches!(reach, Reach::Open | Reach::UnderInsulation)
}
