//! How much an answer hangs on what is believed beforehand: the key `sensitivity` of `ductseam/allocation/1`.

use serde::Serialize;

use super::json_parts::{Band, ids};
use crate::allocate::{self, Allocation};

/// What each changed belief does to the answer.
#[derive(Debug, Serialize)]
pub struct Sensitivity {
    /// Ids of the seams looked at: the largest by share, in order of rank.
    pub top: Vec<String>,
    /// Their shares as the answer stands.
    pub shares: Vec<f64>,
    /// One entry a change.
    pub changes: Vec<Change>,
    /// Pairs whose order some change turns round by more than the draws' own error.
    pub flips: Vec<Flip>,
}

/// One changed belief.
#[derive(Debug, Serialize)]
pub struct Change {
    /// What was changed, with both values, in words.
    pub words: String,
    /// Test flow of all seams with the change, m³/s.
    pub total: Band,
    /// Hidden part of it with the change, mean.
    pub hidden_share: f64,
    /// Shares of the seams of `top`, in its order.
    pub shares: Vec<f64>,
    /// Ranks of the same seams, 1 the largest.
    pub ranks: Vec<usize>,
    /// Chance that nothing hangs open.
    pub nothing_open_chance: f64,
    /// `converged` or `doubtful`: the computation with the change.
    pub status: &'static str,
}

/// Two seams whose order turns round.
#[derive(Debug, Serialize)]
pub struct Flip {
    /// Id of the seam that is larger in the answer as it stands.
    pub larger: String,
    /// Id of the seam that becomes the larger.
    pub smaller: String,
    /// Position in `changes` of what turns them round.
    pub change: usize,
}

/// The section.
pub fn sensitivity(allocation: &Allocation, found: &allocate::Sensitivity) -> Sensitivity {
    let id = |seam: usize| allocation.seams[seam].id.clone();
    Sensitivity {
        top: ids(allocation, &found.top),
        shares: found.shares.clone(),
        changes: found
            .changes
            .iter()
            .map(|change| Change {
                words: change.words.clone(),
                total: change.total_m3_s.into(),
                hidden_share: change.hidden_share,
                shares: change.shares.clone(),
                ranks: change.ranks.clone(),
                nothing_open_chance: change.nothing_open_chance,
                status: if change.doubtful {
                    "doubtful"
                } else {
                    "converged"
                },
            })
            .collect(),
        flips: found
            .flips
            .iter()
            .map(|(larger, smaller, change)| Flip {
                larger: id(*larger),
                smaller: id(*smaller),
                change: *change,
            })
            .collect(),
    }
}
