//! What can be wrong with the input of an allocation.

use thiserror::Error;

use crate::flow::FlowError;

/// Why no allocation could be made.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum AllocateError {
    /// The system has no seam.
    #[error("the system has no seam: there is nothing to spread leakage over")]
    NoSeams,
    /// A spread leaves nothing for the seam itself.
    #[error(
        "joint type `{joint_type}` of seam `{seam}` has too small a spread: expected a geometric standard deviation above {least:.3}, found {gsd:.3}"
    )]
    SpreadTooSmall {
        /// Seam.
        seam: String,
        /// Joint type.
        joint_type: String,
        /// Spread found.
        gsd: f64,
        /// The shared part, which it must exceed.
        least: f64,
    },
    /// A seam's figure makes no sense.
    #[error("seam `{seam}`: expected {what}, found {found}")]
    BadSeam {
        /// Seam.
        seam: String,
        /// What was expected.
        what: &'static str,
        /// What was found.
        found: f64,
    },
    /// A reading's figure makes no sense.
    #[error("reading `{reading}`: expected {what}, found {found}")]
    BadReading {
        /// Reading.
        reading: String,
        /// What was expected.
        what: &'static str,
        /// What was found.
        found: f64,
    },
    /// A setting makes no sense.
    #[error("setting `{setting}`: expected {what}, found {found}")]
    BadSetting {
        /// Setting.
        setting: &'static str,
        /// What was expected.
        what: &'static str,
        /// What was found.
        found: f64,
    },
    /// The draws would not fit in memory.
    #[error("{draws} draws of {seams} seams take {gigabytes:.0} GB, expected at most {most:.0} GB")]
    TooLarge {
        /// Seams.
        seams: usize,
        /// Draws asked for.
        draws: usize,
        /// Memory needed, GB.
        gigabytes: f64,
        /// Most that is used, GB.
        most: f64,
    },
    /// What was read cannot be read off the model.
    #[error("reading `{reading}` is of something that the model of its set-up does not hold")]
    NotReadable {
        /// Reading.
        reading: String,
    },
    /// A set-up cannot be turned into a network.
    #[error("the set-up of `{reading}` cannot be solved: {source}")]
    Flow {
        /// Reading, or `total` or `to outside` for the set-ups that answers are given for.
        reading: String,
        /// Why.
        #[source]
        source: FlowError,
    },
}

impl AllocateError {
    /// What to do about it, when that can be said.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            AllocateError::SpreadTooSmall { .. } => {
                Some("give the row or the seam a larger spread, or mark it as factory made")
            }
            AllocateError::BadReading { .. } => Some("check the reading's flow and its error"),
            AllocateError::TooLarge { .. } => {
                Some("ask for fewer draws, or split the system into several sketches")
            }
            AllocateError::NotReadable { .. } => Some(
                "a room must have a door that stands shut, and a place must float between house and outdoors, to have a pressure of its own",
            ),
            AllocateError::Flow { .. } => {
                Some("check where fan, tap, barrier and plugs of this reading sit in the sketch")
            }
            _ => None,
        }
    }
}
