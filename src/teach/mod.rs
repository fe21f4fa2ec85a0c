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
//!
//! # Example
//!
//! ```
//! # use ductseam::{catalog::Catalog, sketch, system};
//! # let text = "
//! # ductseam: 1
//! # title: two registers (invented)
//! # air handler: {place: attic, airflow: 500 cfm assumed}
//! # runs:
//! #   - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}
//! #   - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
//! #   - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
//! #   - {id: hall, side: return, from: return plenum, size: 12x8 in, place: attic, walk: [south 4 ft, return box 14x12 in]}
//! # readings: [{id: first, total: 60 cfm at 25 Pa ± 3 %}]
//! # ";
//! # let catalog = Catalog::builtin();
//! # let sketch = sketch::read(text, "two.yaml").map_err(|found| found.render(false)).unwrap();
//! # let system = system::build(&sketch, text, "two.yaml", catalog).map_err(|found| found.render(false)).unwrap();
//! use ductseam::allocate::AllocateSettings;
//! use ductseam::teach::{make, mark, read_learner};
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let exercise = make(&system, 7).unwrap();
//! let leakiest = exercise.truth.iter().max_by(|a, b| a.test_m3_s.total_cmp(&b.test_m3_s)).unwrap();
//!
//! // A learner who names the leakiest seam of all, and no other.
//! let list = read_learner(&exercise.system, &format!("seam\n{}\n", leakiest.id)).unwrap();
//! let settings = AllocateSettings { draws: 500, ..Default::default() };
//! let marks = mark(&exercise.system, &exercise.truth, &settings, &list).unwrap();
//! assert_eq!(marks.true_ranks, [1]);
//! assert!((marks.score(marks.caught_m3_s) - 1.0).abs() < 1e-12);
//! ```

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
