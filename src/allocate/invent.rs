//! Invented truths: systems whose seams are drawn from the prior, and readings and looks made of them with all errors.
//! For studies of calibration, for teaching, and for tests.

use rand::RngExt;

use super::case::Open;
use super::error::AllocateError;
use super::evidence::Evidence;
use super::looks::{LookLaw, Sight};
use super::network_readout::{NetworkReadout, Wanted};
use super::readout::{Disturbance, Readout};
use super::record::open_by_chance;
use super::scratch::{Purpose, stream};
use super::settings::AllocateSettings;
use crate::math::{StandardNormal, exp, ln};
use crate::quantity::Length;
use crate::sketch::Smoke;
use crate::system::{Look, Relation, Seen, System};

/// What is true of an invented system.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// Seams that hang open.
    pub open: Open,
    /// ln of each seam's flow at 25 Pa, m³/s, stage by stage of sealing.
    pub ln_q25: Vec<f64>,
    /// Exponent of each seam, stage by stage.
    pub n: Vec<f64>,
    /// What each reading would be without the meter's own error, in its unit.
    pub exact: Vec<f64>,
    /// ln of the chance of the looks made up, see [`Posterior::ln_looks`](super::Posterior::ln_looks).
    pub ln_looks: f64,
    /// Readings whose set-up was made wrong.
    pub wrong: Vec<bool>,
}

/// Draws a truth from the prior of a system, and gives the system with readings and looks made from it: kinds, set-ups
/// and errors are those of the system, values and reports are invented. The same seed and index give the same truth.
///
/// Errors follow [`ErrorLaw`](super::ErrorLaw) with σ of the exact value. A bound stays a bound: its value is kept where
/// the made-up one is below, else it becomes a value. A claim that a seam hangs loose or is sound is kept as it is, and
/// what hangs open is drawn given it, so that claims too are weighed as they should be. A look at several seams becomes
/// one look a seam.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn invent(
    system: &System,
    settings: &AllocateSettings,
    seed: u64,
    index: usize,
) -> Result<(System, Truth), AllocateError> {
    settings.validate()?;
    let evidence = Evidence::new(system, settings)?;
    let prior = &evidence.prior;
    let mut random = stream(seed, Purpose::Invented, index);
    let open = open_by_chance(prior, &evidence.looks, &mut random);
    let x: Vec<f64> = (0..prior.dim())
        .map(|_| random.sample(StandardNormal))
        .collect();
    let n_seams = prior.n_seams();
    let size = n_seams * prior.n_stages();
    let (mut ln_q25, mut n) = (vec![0.0; size], vec![0.0; size]);
    prior.laws_if(&x, open, &mut ln_q25, &mut n);
    let mut made = system.clone();
    let wanted = system.readings.iter().map(|m| Wanted {
        name: &m.id,
        setup: &m.setup,
        observable: m.observable,
        stage: m.stage,
    });
    let readout = NetworkReadout::new(system, wanted, &settings.flow)?;
    let mut work = readout.work();
    let (mut exact, mut wrong) = (Vec::new(), Vec::new());
    for (k, measured) in system.readings.iter().enumerate() {
        let mut normal = || -> f64 { random.sample(StandardNormal) };
        let sd = evidence.disturbance_sd[k];
        let disturbance = Disturbance {
            house_pa: sd.house_pa * normal(),
            tap_pa: sd.tap_pa * normal(),
        };
        let at = measured.stage * n_seams..(measured.stage + 1) * n_seams;
        let read = readout.read(k, &ln_q25[at.clone()], &n[at], disturbance, &mut work);
        if !read.settled {
            return Err(AllocateError::BadReading {
                reading: measured.id.clone(),
                what: "a set-up that can be solved for the invented truth",
                found: read.value,
            });
        }
        let factor = evidence.laws[k].gauge.map_or(1.0, |(at, s)| exp(s * x[at]));
        let h = read.value * factor;
        let law = evidence.laws[k].of_value(h, measured, &settings.error_law)?;
        let error = normal();
        let is_wrong = random.random::<f64>() < settings.error_law.wide_chance;
        let value = h + error * law.sigma_if(is_wrong);
        let to = &mut made.readings[k];
        if measured.relation == Relation::Equals || value > measured.value {
            to.relation = Relation::Equals;
            to.value = value;
        }
        exact.push(h);
        wrong.push(is_wrong);
    }
    let mut ln_looks = 0.0;
    made.looks.clear();
    for (look, outcome) in system.looks.iter().zip(&evidence.look_laws) {
        if outcome.looks.is_empty() {
            made.looks.push(look.clone());
            continue;
        }
        // Each seam of a group is seen by itself: it becomes a look of its own.
        for law in outcome.looks.iter().map(|&l| &evidence.looks.looks[l]) {
            let exactly = law.u(prior, open, &ln_q25, &x);
            let u = exactly + law.sd * random.sample::<f64, _>(StandardNormal);
            let (seen, sight) = reported(system, settings, &look.seen, law.sight, u);
            ln_looks += LookLaw { sight, ..*law }.ln_chance(exactly);
            made.looks.push(Look {
                seams: vec![law.seam],
                is_group: false,
                seen,
                ..look.clone()
            });
        }
    }
    Ok((
        made,
        Truth {
            open,
            ln_q25,
            n,
            exact,
            ln_looks,
            wrong,
        },
    ))
}

/// What somebody says who sees u, and its law.
fn reported(
    system: &System,
    settings: &AllocateSettings,
    seen: &Seen,
    sight: Sight,
    u: f64,
) -> (Seen, Sight) {
    match (seen, sight) {
        (Seen::Gap(width), Sight::Gap(ln_gap)) => {
            let width = Length::new(width.si() * exp(u - ln_gap));
            (Seen::Gap(width), Sight::Gap(u))
        }
        _ => {
            let shift = ln(settings.smoke_factor);
            let (wisp, strong) = (
                ln(system.look_figures.wisp_from) + shift,
                ln(system.look_figures.strong_from) + shift,
            );
            let (said, range) = if u < wisp {
                (Smoke::None, (f64::NEG_INFINITY, wisp))
            } else if u < strong {
                (Smoke::Wisp, (wisp, strong))
            } else {
                (Smoke::Strong, (strong, f64::INFINITY))
            };
            (Seen::Smoke(said), Sight::Between(range.0, range.1))
        }
    }
}
