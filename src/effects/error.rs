//! Why no effects could be told.

use thiserror::Error;

use crate::flow::FlowError;

/// Why no effects could be told.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum EffectsError {
    /// There is no draw.
    #[error("there is no draw before and after to compare")]
    NoDraws,
    /// Lists that belong together differ in length.
    #[error("{what}: expected {expected} figures, found {found}")]
    Sizes {
        /// Which list.
        what: &'static str,
        /// Its length by the number of draws and seams.
        expected: usize,
        /// Its length.
        found: usize,
    },
    /// A figure of a seam makes no sense.
    #[error("seam `{seam}`: expected {what}, found {found}")]
    BadSeam {
        /// Seam.
        seam: String,
        /// What was expected.
        what: &'static str,
        /// What was found.
        found: f64,
    },
    /// The running system cannot be set up.
    #[error("the running system cannot be set up: {0}")]
    Flow(#[from] FlowError),
    /// The running system before the work did not settle.
    #[error(
        "the running system before the work does not settle at the mean leaks: the balance is worst at `{node}`"
    )]
    Unsettled {
        /// Where the balance is worst.
        node: String,
    },
    /// The blower cannot be made to move the airflow.
    #[error(
        "the blower's curve cannot be scaled to the airflow of {airflow_m3_s:.4} m3/s at the mean leaks before the work"
    )]
    Airflow {
        /// Airflow to be met, m³/s.
        airflow_m3_s: f64,
    },
    /// Too many draws did not settle.
    #[error("{left_out} of {draws} draws did not settle: too many to speak for the others")]
    TooFewSettled {
        /// Draws that did not settle.
        left_out: usize,
        /// All draws.
        draws: usize,
    },
}

impl EffectsError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            EffectsError::NoDraws => "give at least one pair of draws".to_owned(),
            EffectsError::Sizes { .. } | EffectsError::BadSeam { .. } => {
                "draws must be made on this very system".to_owned()
            }
            EffectsError::Flow(error) => error.hint().to_owned(),
            EffectsError::Unsettled { .. } | EffectsError::TooFewSettled { .. } => {
                "look at sizes and losses of the ducts there, and at the blower's curve: `flow --set-up running` shows \
                 the solve"
                    .to_owned()
            }
            EffectsError::Airflow { .. } => {
                "are all runs sketched, and is the airflow right? Else take the curve as it is".to_owned()
            }
        }
    }
}
