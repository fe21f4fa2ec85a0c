//! What a trainer needs: which joint types leak most, and classroom exercises with a known truth.
//!
//! # Joint types
//! [`joint_types()`] draws invented systems from the prior of one or several systems and sums up by joint type: what each
//! brings in the total test and while running, its share, its chance to be the leakiest, and what better workmanship of
//! that type alone would change. [`ranking`] orders the whole catalogue by the metre and by the piece.
//!
//! # Exercises
//! [`make`] draws a truth from the prior of a system and makes readings and looks from it; [`mark`] holds a learner's list
//! against the truth:
//! ```text
//! score of a ranking = Σ true flow of the k seams named / Σ true flow of the k leakiest
//! order score        = mean over j = 1..k of the same, of the first j seams named and the j leakiest
//! score of a plan    = Σ mean cut of the seams sealed   / most that the same number, or the same minutes, can cut
//! ```
//! with true flows in the total set-up. Beside it stand the same scores of a blind guess (k of N seams, its mean), of the
//! joint types alone (the k seams that the catalogue expects to leak most) and of the program's own allocation.
//!
//! # Limits
//! Cuts are taken as adding up. The truth comes from the same prior that the program allocates with, so its own score
//! is that of somebody whose beliefs are right on average; in a real house it will be lower.

mod exercise;
mod joint_parts;
mod joints;
mod learner;
mod learner_columns;
mod mark;
mod missed;
mod otherwise;
mod ranking;
mod sealed;
mod work_plan;

pub use exercise::{Chosen, Exercise, ExerciseError, SeamTruth, Teachable, make};
pub use joint_parts::{By, Change, JointTypes, JointsAsk, JointsError, Part, SystemPart, TypePart};
pub use joints::joint_types;
pub use learner::{Learner, LearnerFault, LearnerFaults, read_learner};
pub use mark::{Marks, mark};
pub use missed::{Missed, Why};
pub use ranking::{Ranked, ranking};
pub use sealed::mean_part;
pub use work_plan::{PlanMarks, Sealing};
