//! Chance of all readings and looks, as a quantity to be ranked: draws that ignore the evidence fail on it first.
//!
//! Written again from the documented laws, not taken from the code under test. Any function of truth and evidence may be
//! ranked, so small differences (a fixed pressure at a look) cost sharpness and nothing else. One person's offset is
//! summed over instead of drawn, so that it is a function of the seams alone.

use ductseam::allocate::{AllocateSettings, Open};
use ductseam::flow::{self, Disturbance, SeamLaws};
use ductseam::sketch::Smoke;
use ductseam::system::{LookAt, Reach, ReadingUnit, Seen, Setup, System};

use super::numbers::normal_cdf;
use super::sets::WIDE_TIMES;

/// Part of the pressure held by which a pressure read in a wrong set-up is off besides.
const WIDE_PART_OF_HELD: f64 = 0.2;
/// Least chance of a look, so that a logarithm stays finite.
const LEAST: f64 = 1e-300;

/// Likelihood of one system's evidence.
pub struct Likelihood<'a> {
    system: &'a System,
    wide_chance: f64,
    looks: Vec<OneLook>,
    observer_sd: f64,
}

struct OneLook {
    seam: usize,
    ln_pressure: f64,
    bounds: (f64, f64),
    sd: f64,
}

impl<'a> Likelihood<'a> {
    /// `look_pa` is the pressure across each seam while it was looked at, Pa.
    pub fn new(system: &'a System, settings: &AllocateSettings, look_pa: &[f64]) -> Self {
        let figures = &system.look_figures;
        let shift = settings.smoke_factor.ln();
        let (wisp, strong) = (
            figures.wisp_from.ln() + shift,
            figures.strong_from.ln() + shift,
        );
        let looks = system
            .looks
            .iter()
            .filter_map(|look| {
                let Seen::Smoke(seen) = look.seen else {
                    return None;
                };
                let seam = look.seams[0];
                let is_bare = system.seams[seam].reach == Reach::Open;
                Some(OneLook {
                    seam,
                    ln_pressure: (look_pa[seam] / 25.0).ln(),
                    bounds: match seen {
                        Smoke::None => (f64::NEG_INFINITY, wisp),
                        Smoke::Wisp => (wisp, strong),
                        Smoke::Strong => (strong, f64::INFINITY),
                    },
                    sd: if is_bare {
                        figures.sd
                    } else {
                        figures.under_insulation_sd
                    },
                })
            })
            .collect();
        Likelihood {
            system,
            wide_chance: settings.error_law.wide_chance,
            looks,
            observer_sd: settings.observer_sd.unwrap_or(figures.observer_sd),
        }
    }

    /// ln of it, at modelled values of the readings and the seams' flows at 25 Pa.
    pub fn ln(&self, modelled: &[f64], q25_m3_s: &[f64], open: Open) -> f64 {
        self.ln_readings(modelled) + self.ln_looks(q25_m3_s, open)
    }

    fn ln_readings(&self, modelled: &[f64]) -> f64 {
        self.system
            .readings
            .iter()
            .zip(modelled)
            .map(|(reading, h)| {
                let sigma = reading.floor_sd;
                let mut wide = WIDE_TIMES * sigma;
                if reading.unit() == ReadingUnit::Pressure {
                    wide = wide.hypot(WIDE_PART_OF_HELD * reading.setup.pressure_pa);
                }
                let density = |s: f64| (-0.5 * ((reading.value - h) / s).powi(2)).exp() / s;
                let p = self.wide_chance;
                ((1.0 - p) * density(sigma) + p * density(wide))
                    .max(LEAST)
                    .ln()
            })
            .sum()
    }

    fn ln_looks(&self, q25_m3_s: &[f64], open: Open) -> f64 {
        if self.looks.is_empty() {
            return 0.0;
        }
        // ∫ Π chance(u + s_o·z) φ(z) dz by the trapezoidal rule.
        let at: Vec<f64> = (-8..=8).map(|i| 0.5 * f64::from(i)).collect();
        let sums: Vec<f64> = at
            .iter()
            .map(|z| {
                let looks = self.looks.iter().map(|look| {
                    let seam = &self.system.seams[look.seam];
                    let n = if open.has(look.seam) {
                        self.system.look_figures.open_n
                    } else {
                        seam.n
                    };
                    let u = q25_m3_s[look.seam].ln() + n * look.ln_pressure - seam.amount.ln()
                        + self.observer_sd * z;
                    let (a, b) = ((look.bounds.0 - u) / look.sd, (look.bounds.1 - u) / look.sd);
                    between(a, b).max(LEAST).ln()
                });
                looks.sum::<f64>() - 0.5 * z * z
            })
            .collect();
        let most = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        most + sums.iter().map(|s| (s - most).exp()).sum::<f64>().ln()
    }
}

/// Φ(b) − Φ(a), taken in the tail where both lie.
fn between(a: f64, b: f64) -> f64 {
    if a > 0.0 {
        normal_cdf(-a) - normal_cdf(-b)
    } else {
        normal_cdf(b) - normal_cdf(a)
    }
}

/// Pressure across each seam in the set-up of the looks, at the catalogue's means, Pa.
pub fn look_pressures(system: &System, settings: &AllocateSettings) -> Vec<f64> {
    let Some(LookAt::Total(pressure_pa)) = system.looks.first().map(|look| look.at) else {
        return Vec::new();
    };
    let setup = Setup {
        pressure_pa,
        ..system.total_setup()
    };
    let prepared = flow::prepare(system, &setup, &settings.flow).expect("a sound set-up");
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let mut work = prepared.network.workspace();
    flow::solve(&prepared.network, laws, Disturbance::default(), &mut work);
    work.seam_dp().iter().map(|dp| dp.abs()).collect()
}
