//! Settings of an allocation.

use super::error::AllocateError;
use super::error_law::ErrorLaw;
use super::prior::PriorKnobs;
use crate::flow::{FlowSettings, SeamPressure};
use crate::math::ln;
use crate::system::Beliefs;

/// Settings of an allocation; every default is meant to be used.
#[derive(Debug, Clone)]
pub struct AllocateSettings {
    /// Seed of all random streams; default 1.
    pub seed: u64,
    /// Draws of the posterior; default 2000.
    pub draws: usize,
    /// Draws of the prior for "before any reading"; default 400.
    pub prior_draws: usize,
    /// [`GroupResult::share_chance`](super::GroupResult::share_chance) is the chance of holding more than this part;
    /// default 0.25.
    pub share_asked: f64,
    /// Sealing steps that the answers are for; all of them if `None`.
    pub stage: Option<usize>,
    /// "Among the largest" means among this many; default 10.
    pub top: usize,
    /// Spreads shared by many seams.
    pub prior: PriorKnobs,
    /// Error law of readings.
    pub error_law: ErrorLaw,
    /// Factor on every seam's chance to hang open; default 1.
    pub gross_factor: f64,
    /// Factor on both smoke thresholds; default 1.
    pub smoke_factor: f64,
    /// Standard deviation of the logarithm of a looker's offset; the system's own figure if `None`.
    pub observer_sd: Option<f64>,
    /// Standard deviation of the pressure left between duct and house in a to-outside reading, Pa; default 0.5
    /// (engineering estimate).
    pub nulling_sd_pa: f64,
    /// Standard deviation of the tap's baseline error, Pa; default 0.15 (engineering estimate).
    pub tap_sd_pa: f64,
    /// Settings of the flow solver.
    pub flow: FlowSettings,
}

impl Default for AllocateSettings {
    fn default() -> Self {
        AllocateSettings {
            seed: 1,
            draws: 2000,
            prior_draws: 400,
            share_asked: 0.25,
            stage: None,
            top: 10,
            prior: PriorKnobs::default(),
            error_law: ErrorLaw::default(),
            gross_factor: 1.0,
            smoke_factor: 1.0,
            observer_sd: None,
            nulling_sd_pa: 0.5,
            tap_sd_pa: 0.15,
            flow: FlowSettings {
                // Thousands of solves, of air that hardly moves.
                seam_pressure: SeamPressure::Total,
                // A thousandth of a meter's error is 3e-5 of a flow; sums still agree to eight digits.
                imbalance_rel: 1e-8,
                // Twenty times what strong test fans make (engineering estimate): a draw in which the tap would need more
                // cannot have been read.
                farthest_fan_pa: 1e5,
                ..FlowSettings::default()
            },
        }
    }
}

impl AllocateSettings {
    /// These settings with what the person believes laid over them.
    #[must_use]
    pub fn with_beliefs(mut self, beliefs: &Beliefs) -> Self {
        let lay = |to: &mut f64, said: Option<f64>| {
            if let Some(said) = said {
                *to = said;
            }
        };
        lay(
            &mut self.prior.workmanship_sd,
            beliefs.workmanship_gsd.map(ln),
        );
        lay(&mut self.prior.habit_sd, beliefs.habit_gsd.map(ln));
        lay(&mut self.prior.exponent_sd, beliefs.exponent_sd);
        lay(&mut self.gross_factor, beliefs.gross_factor);
        lay(&mut self.error_law.wide_chance, beliefs.wrong_setup_chance);
        lay(&mut self.error_law.gauge_shared, beliefs.gauge_shared);
        lay(&mut self.smoke_factor, beliefs.smoke_factor);
        lay(&mut self.nulling_sd_pa, beliefs.nulling_sd_pa);
        lay(&mut self.tap_sd_pa, beliefs.tap_sd_pa);
        self.observer_sd = beliefs.observer_sd.or(self.observer_sd);
        self
    }

    /// Checks the figures.
    ///
    /// # Errors
    /// [`AllocateError::BadSetting`].
    pub fn validate(&self) -> Result<(), AllocateError> {
        for (setting, found) in [("draws", self.draws), ("prior_draws", self.prior_draws)] {
            if found == 0 {
                return Err(AllocateError::BadSetting {
                    setting,
                    what: "at least 1",
                    found: 0.0,
                });
            }
        }
        for (setting, found) in [
            ("gross_factor", self.gross_factor),
            ("observer_sd", self.observer_sd.unwrap_or(0.0)),
            ("nulling_sd_pa", self.nulling_sd_pa),
            ("tap_sd_pa", self.tap_sd_pa),
            ("workmanship_sd", self.prior.workmanship_sd),
            ("habit_sd", self.prior.habit_sd),
            ("exponent_sd", self.prior.exponent_sd),
        ] {
            if !(found >= 0.0 && found.is_finite()) {
                return Err(AllocateError::BadSetting {
                    setting,
                    what: "zero or more",
                    found,
                });
            }
        }
        if !(self.smoke_factor > 0.0 && self.smoke_factor.is_finite()) {
            return Err(AllocateError::BadSetting {
                setting: "smoke_factor",
                what: "more than zero",
                found: self.smoke_factor,
            });
        }
        if !(0.0..=1.0).contains(&self.share_asked) {
            return Err(AllocateError::BadSetting {
                setting: "share_asked",
                what: "a part of 1",
                found: self.share_asked,
            });
        }
        self.error_law.validate()
    }
}
