//! The proof after sealing: readings from before and after on one basis, and what remains.

use super::chance::Solver;
use super::choices::gaps;
use super::draws::Left;
use super::types::SealError;
use crate::allocate::{AllocateSettings, Allocation, Band, Posterior, posterior};
use crate::math::normal::cdf as normal_cdf;
use crate::math::square;
use crate::system::{LookAt, Measured, Mover, Observable, Relation, SeamIdx, Setup, System};

/// A reading this far out in what was expected is called better or worse than that (two-sided chance). Common practice
/// of statistics.
const UNEXPECTED: f64 = 0.1;
/// Part of a seam's leakage that remains from which its sealing is worth a second look. Engineering estimate: hand work
/// takes away 50 to 80 % of what it reaches.
const STILL_LEAKS: f64 = 0.5;

/// A first reading below this has nothing to be a part of, m³/s: below what meters show. Engineering estimate.
const LEAST_M3_S: f64 = 1e-5;

/// What was achieved.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// All evidence weighed, before any sealing.
    pub before: Allocation,
    /// All evidence weighed, after all sealing.
    pub after: Allocation,
    /// Readings on one basis.
    pub pairs: Vec<Pair>,
    /// Why other readings are not compared, in words.
    pub not_compared: Vec<String>,
    /// Seams that were sealed, the largest before first.
    pub sealed: Vec<Sealed>,
    /// Seams that remain, the largest first, with whether a hand can reach them.
    pub remaining: Vec<SeamIdx>,
    /// Leakage to come down to, m³/s in the test, and the chance, all evidence weighed, that it is met.
    pub target: Option<(f64, f64)>,
}

/// Two readings on one basis.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Index of the earlier reading.
    pub before: usize,
    /// Index of the later one.
    pub after: usize,
    /// What both were taken in.
    pub setup: Setup,
    /// Read before, m³/s.
    pub before_m3_s: f64,
    /// Read after, m³/s.
    pub after_m3_s: f64,
    /// Whether the later one is an upper bound.
    pub is_bound: bool,
    /// Difference, m³/s; at least this where the later is a bound.
    pub cut_m3_s: f64,
    /// Its standard deviation, m³/s.
    pub cut_sd_m3_s: f64,
    /// Difference as a part of the first.
    pub part: f64,
    /// Its standard deviation.
    pub part_sd: f64,
    /// What the evidence from before the work and the crew's figures led one to expect after it, m³/s.
    pub expected_m3_s: Band,
    /// Two-sided chance of a reading at least as far out.
    pub expected_chance: f64,
    /// How it came out.
    pub came_out: CameOut,
}

/// A reading against what was expected of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CameOut {
    /// Less is left.
    Better,
    /// Within what was to be expected.
    AsExpected,
    /// More is left.
    Worse,
}

/// A sealed seam.
#[derive(Debug, Clone, PartialEq)]
pub struct Sealed {
    /// The seam.
    pub seam: SeamIdx,
    /// Last step that sealed it.
    pub step: usize,
    /// In the test before, m³/s.
    pub before_m3_s: Band,
    /// In the test after, m³/s.
    pub after_m3_s: Band,
    /// Mean after over mean before.
    pub left: f64,
    /// Whether it should be looked at again.
    pub look_again: bool,
}

/// Holds readings from before and after the sealing listed in a sketch against each other.
///
/// # Equation
/// ```text
/// cut = y₀ − y₁,     var(cut) = (1 − g)·(r₀²y₀² + r₁²y₁²) + g·(r₀y₀ − r₁y₁)² + a₀² + a₁²
/// ```
/// where y readings; r their relative, a their absolute standard deviations; g the part of the variance that readings
/// on one gauge share, 0 for two gauges. A meter that reads 3 % high does so twice, and hardly hurts the difference in
/// per cent.
///
/// # Errors
/// [`SealError::NoPair`] where nothing was sealed or no two readings share a basis, each with what to do.
pub fn prove(
    system: &System,
    settings: &AllocateSettings,
    target_m3_s: Option<f64>,
) -> Result<Proof, SealError> {
    let last = system.sealing.len();
    if last == 0 {
        return Err(no_pair(
            "the sketch lists no sealing",
            "say what was sealed under `sealing`, and give a reading from before it and one with `after:` its id",
        ));
    }
    let (found, not_compared) = pairs_of(system);
    if found.is_empty() {
        return Err(lonely(system, &not_compared));
    }
    let at = |stage: usize| AllocateSettings {
        stage: Some(stage),
        ..settings.clone()
    };
    let first = posterior(system, &at(0))?;
    let then = posterior(system, &at(last))?;
    let unsealed = before_the_work(system);
    let known = posterior(&unsealed, &at(0))?;
    let left = Left::new(&unsealed, &known, settings.seed)?;
    let mut pairs = Vec::new();
    for (before, after) in found {
        pairs.push(pair(system, settings, &left, (before, after))?);
    }
    Ok(Proof {
        sealed: sealed(system, &first.allocation, &then.allocation),
        remaining: remaining(&then.allocation),
        target: target_m3_s.map(|target| (target, chance_of(&then, target))),
        before: first.allocation,
        after: then.allocation,
        pairs,
        not_compared,
    })
}

fn no_pair(wrong: impl Into<String>, hint: impl Into<String>) -> SealError {
    SealError::NoPair {
        wrong: wrong.into(),
        hint: hint.into(),
    }
}

/// A flow of a fan on the ducts: what a fan in a door moves tells of the envelope too.
fn is_flow(measured: &Measured) -> bool {
    measured.observable == Observable::FanFlow
        && measured.setup.kind.recipe().mover == Mover::DuctFan
}

/// Pairs on one basis, each later reading with the last one before any sealing; and why others have none.
fn pairs_of(system: &System) -> (Vec<(usize, usize)>, Vec<String>) {
    let (mut pairs, mut apart) = (Vec::new(), Vec::new());
    for (after, later) in system.readings.iter().enumerate() {
        if later.stage == 0 || !is_flow(later) {
            continue;
        }
        let earlier = |same: &dyn Fn(&Measured) -> bool| {
            system
                .readings
                .iter()
                .rposition(|m| m.stage == 0 && is_flow(m) && same(m))
        };
        let one_basis = |m: &Measured| {
            m.setup == later.setup && m.relation == Relation::Equals && m.value.abs() > LEAST_M3_S
        };
        if let Some(before) = earlier(&one_basis) {
            pairs.push((before, after));
            continue;
        }
        apart.push(match earlier(&|m| m.setup.kind == later.setup.kind) {
            Some(near) => format!(
                "`{}` and `{}` are of one kind but not on one basis: {}",
                system.readings[near].id,
                later.id,
                differs(&system.readings[near], later)
            ),
            None => format!(
                "`{}` has no reading of its kind from before the sealing",
                later.id
            ),
        });
    }
    (pairs, apart)
}

/// What differs between two readings of one kind.
fn differs(a: &Measured, b: &Measured) -> String {
    let mut found = Vec::new();
    let mut say = |differs: bool, words: String| {
        if differs {
            found.push(words);
        }
    };
    let (s, t) = (&a.setup, &b.setup);
    say(
        s.pressure_pa != t.pressure_pa,
        format!("read at {} and at {} Pa", s.pressure_pa, t.pressure_pa),
    );
    say(
        s.pressurise != t.pressurise,
        "one blown up, the other pulled down".to_owned(),
    );
    say(s.fan != t.fan, "the fan stood elsewhere".to_owned());
    say(s.tap != t.tap, "the tap was elsewhere".to_owned());
    say(s.mask != t.mask, "masked otherwise".to_owned());
    say(s.plugged != t.plugged, "other runs were plugged".to_owned());
    say(
        s.barrier != t.barrier,
        "the barrier was elsewhere".to_owned(),
    );
    say(
        a.relation != Relation::Equals,
        format!("`{}` is only an upper bound", a.id),
    );
    say(
        a.value.abs() <= LEAST_M3_S,
        format!("`{}` found no leakage", a.id),
    );
    found.join(", ")
}

fn lonely(system: &System, apart: &[String]) -> SealError {
    let has = |later: bool| {
        system
            .readings
            .iter()
            .any(|m| is_flow(m) && (m.stage > 0) == later)
    };
    match (has(false), has(true)) {
        (false, _) => no_pair(
            "no flow was read before the sealing",
            "without a reading from before there is no proof; what remains is told by `ductseam allocate`",
        ),
        (true, false) => no_pair(
            "no flow was read after the sealing",
            "test again in the set-up of the first reading, once the sealant has dried, and add it with `after:` the id \
             of the last step",
        ),
        (true, true) => no_pair(
            format!("no two readings share a basis: {}", apart.join("; ")),
            "test once more in the set-up of the first reading: same fan and tap, same masks, same pressure",
        ),
    }
}

/// The system as it was known before the work.
fn before_the_work(system: &System) -> System {
    let mut before = system.clone();
    before.readings.retain(|m| m.stage == 0);
    // Looks during a reading follow it to its new place.
    let mut moved = vec![None; system.readings.len()];
    let mut next = 0;
    for (at, measured) in system.readings.iter().enumerate() {
        if measured.stage == 0 {
            moved[at] = Some(next);
            next += 1;
        }
    }
    before.looks.retain_mut(|look| {
        if look.stage > 0 {
            return false;
        }
        match look.at {
            LookAt::Total(_) => true,
            LookAt::Reading(at) => match moved[at] {
                Some(to) => {
                    look.at = LookAt::Reading(to);
                    true
                }
                None => false,
            },
        }
    });
    before.sealing.clear();
    before
}

/// Seams sealed up to a stage, each by the method that suits it best by hand.
fn as_planned(system: &System, left: &Left<'_>, stage: usize) -> Vec<(SeamIdx, usize)> {
    let gaps = gaps(left);
    let mut sealed: Vec<(SeamIdx, usize)> = system
        .sealing
        .iter()
        .take(stage)
        .flat_map(|step| step.seams.iter().copied())
        .filter_map(|seam| {
            let methods = &system.crew.methods;
            let by_hand = system
                .ways(seam)
                .iter()
                .map(|way| way.method)
                .find(|&m| !methods[m].from_inside && methods[m].gap_to_m >= gaps[seam].0);
            // Sealed though the sketch calls it out of reach: somebody reached it all the same.
            let any = methods.iter().position(|method| !method.from_inside);
            Some((seam, by_hand.or(any)?))
        })
        .collect();
    sealed.sort_unstable();
    sealed.dedup_by_key(|(seam, _)| *seam);
    sealed
}

fn pair(
    system: &System,
    settings: &AllocateSettings,
    left: &Left<'_>,
    (before, after): (usize, usize),
) -> Result<Pair, SealError> {
    let (a, b) = (&system.readings[before], &system.readings[after]);
    let (y0, y1) = (a.value.abs(), b.value.abs());
    let shared = if a.gauge == b.gauge {
        settings.error_law.gauge_shared
    } else {
        0.0
    };
    let (s0, s1) = (a.relative_sd * y0, b.relative_sd * y1);
    let floors = square(a.floor_sd) + square(b.floor_sd);
    let own = (1.0 - shared) * (s0 * s0 + s1 * s1);
    let cut_sd = (own + shared * square(s0 - s1) + floors).sqrt();
    // Of the ratio y1/y0: a shared relative error falls out of it.
    let (r0, r1) = (s0 / y0, s1 / y1.max(f64::MIN_POSITIVE));
    let ratio = y1 / y0;
    let ratio_var = square(ratio)
        * ((1.0 - shared) * (r0 * r0 + r1 * r1)
            + shared * square(r0 - r1)
            + square(a.floor_sd / y0))
        + square(b.floor_sd / y0);
    let solver = Solver::of(left, &a.setup)?;
    let sealed = as_planned(system, left, b.stage);
    let expected = solver.totals(left, &sealed);
    // Chance of a reading below this one, the meter's error included.
    let sd = (s1 * s1 + square(b.floor_sd)).sqrt().max(1e-9);
    let below: f64 = expected
        .iter()
        .zip(&left.weights)
        .map(|(value, weight)| weight * normal_cdf((y1 - value) / sd))
        .sum();
    let chance = (2.0 * below.min(1.0 - below)).clamp(0.0, 1.0);
    let is_bound = b.relation == Relation::Below;
    let came_out = match (chance < UNEXPECTED, below < 0.5) {
        (true, true) => CameOut::Better,
        // A bound that lies high says nothing.
        (true, false) if !is_bound => CameOut::Worse,
        _ => CameOut::AsExpected,
    };
    Ok(Pair {
        before,
        after,
        setup: a.setup.clone(),
        before_m3_s: y0,
        after_m3_s: y1,
        is_bound,
        cut_m3_s: y0 - y1,
        cut_sd_m3_s: cut_sd,
        part: 1.0 - ratio,
        part_sd: ratio_var.sqrt(),
        expected_m3_s: left.band(&expected),
        expected_chance: chance,
        came_out,
    })
}

fn sealed(system: &System, before: &Allocation, after: &Allocation) -> Vec<Sealed> {
    let mut found: Vec<Sealed> = Vec::new();
    for (step, work) in system.sealing.iter().enumerate() {
        for &seam in &work.seams {
            found.retain(|other| other.seam != seam);
            let (was, is) = (before.seams[seam].test_m3_s, after.seams[seam].test_m3_s);
            let left = if was.mean > 0.0 {
                is.mean / was.mean
            } else {
                0.0
            };
            found.push(Sealed {
                seam,
                step,
                before_m3_s: was,
                after_m3_s: is,
                left,
                look_again: left > STILL_LEAKS,
            });
        }
    }
    found.sort_by(|a, b| {
        b.before_m3_s
            .mean
            .total_cmp(&a.before_m3_s.mean)
            .then(a.seam.cmp(&b.seam))
    });
    found
}

fn remaining(after: &Allocation) -> Vec<SeamIdx> {
    let mut order: Vec<SeamIdx> = (0..after.seams.len()).collect();
    order.sort_by(|&a, &b| {
        let flow = |seam: SeamIdx| after.seams[seam].test_m3_s.mean;
        flow(b).total_cmp(&flow(a)).then(a.cmp(&b))
    });
    order
}

/// Chance that the seams' leakage in the test is at or below a flow.
fn chance_of(posterior: &Posterior, target_m3_s: f64) -> f64 {
    let n = posterior.allocation.seams.len().max(1);
    let sum: f64 = posterior.weights.iter().sum();
    posterior
        .test_m3_s
        .chunks_exact(n)
        .zip(&posterior.weights)
        .filter(|(flows, _)| {
            flows.iter().sum::<f64>() + posterior.allocation.house.mask_leak_m3_s <= target_m3_s
        })
        .map(|(_, weight)| weight / sum)
        .sum()
}
