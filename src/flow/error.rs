//! Why a network cannot be made.

use thiserror::Error;

/// A system that cannot be solved in a set-up. Every variant names the thing to look at.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum FlowError {
    /// Ducts that hang on nothing.
    #[error("piece `{piece}` is not connected to the rest of the ducts")]
    Island {
        /// A piece or node of the loose part.
        piece: String,
    },
    /// The fan blows into a part that does not take part in the test.
    #[error("the fan at `{place}` is not on the part of the ducts under test")]
    FanOutside {
        /// Where the fan is.
        place: String,
    },
    /// The tap is in a part that does not take part in the test.
    #[error("the pressure tap at `{place}` is not on the part of the ducts under test")]
    TapOutside {
        /// Where the tap is.
        place: String,
    },
    /// A figure outside what physics allows.
    #[error("`{name}` needs {needs}, found {found}")]
    BadFigure {
        /// Piece, seam or setting.
        name: String,
        /// What it must be.
        needs: &'static str,
        /// What it is, as text.
        found: String,
    },
    /// So many loops that the elimination would fill up.
    #[error("the ducts form too dense a mesh to solve: {nonzeros} entries for {nodes} nodes")]
    TooMeshed {
        /// Nodes.
        nodes: usize,
        /// Entries wanted.
        nonzeros: usize,
    },
}

impl FlowError {
    /// What to do about it, to be shown on its own line.
    pub fn hint(&self) -> &'static str {
        match self {
            FlowError::Island { .. } => "start the run at a plenum or off another run",
            FlowError::FanOutside { .. } => {
                "name a register of the tested part with `fan`, or move the barrier"
            }
            FlowError::TapOutside { .. } => "name a tap on the tested part with `tap`",
            FlowError::BadFigure { .. } => "correct the figure in the sketch",
            FlowError::TooMeshed { .. } => "take out some of the `joins`",
        }
    }
}
