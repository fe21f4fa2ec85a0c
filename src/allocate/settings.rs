//! Settings of an allocation.

use super::error::AllocateError;
use super::error_law::ErrorLaw;
use super::prior::PriorKnobs;
use crate::flow::{FlowSettings, SeamPressure};

/// Settings of an allocation; every default is meant to be used.
#[derive(Debug, Clone)]
pub struct AllocateSettings {
    /// Seed of all random streams; default 1.
    pub seed: u64,
    /// Draws of the posterior; default 2000.
    pub draws: usize,
    /// Draws of the prior for "before any reading"; default 400.
    pub prior_draws: usize,
    /// "Among the largest" means among this many; default 10.
    pub top: usize,
    /// Spreads shared by many seams.
    pub prior: PriorKnobs,
    /// Error law of readings.
    pub error_law: ErrorLaw,
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
            top: 10,
            prior: PriorKnobs::default(),
            error_law: ErrorLaw::default(),
            nulling_sd_pa: 0.5,
            tap_sd_pa: 0.15,
            flow: FlowSettings {
                // Thousands of solves, of air that hardly moves.
                seam_pressure: SeamPressure::Total,
                ..FlowSettings::default()
            },
        }
    }
}

impl AllocateSettings {
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
        self.error_law.validate()
    }
}
