//! What to seal with the time, money or limit at hand, and what was achieved afterwards.
//!
//! [`plan()`] chooses seams and methods, [`Left`] says what sealing leaves, [`prove()`] holds readings from before and
//! after against each other. [`BeforeAfter`] hands both states to [`crate::effects`].
//!
//! # What sealing leaves
//! Of a seam's leakage q the part f·q remains,
//! ```text
//! f = m + (1 − m)·min(1, r)
//! m = min(1, missed·exp(s_m·z − s_m²/2)),     r = remains·exp(s_r·z' + s_e·e)
//! ```
//! with the missed part m and the common term of r shared by all seams that one method seals on one job (z, z' standard
//! normal, one each a method and draw) and e each seam's own. Without the shared terms misses would cancel over many
//! seams and the chance to reach a target would be overstated. A seam that hangs open is put back first and then leaks
//! as its joint type does.
//!
//! # The plan
//! Binary choices x (one way a seam at most), y (a place is gone to) and z (a method is set up):
//! ```text
//! most  Σ cut·x              within  Σ minutes·x + Σ set-up·y + Σ once·z ≤ minutes at hand, money likewise
//! least minutes              with    Σ cut·x ≥ needed + margin, within what is at hand
//! with  Σ_ways x ≤ y of the seam's place,     x ≤ z of its method
//! ```
//! where `cut` is the mean over the posterior draws of what the way takes away. A chance over all draws is out of reach of
//! such a programme. For a target `cut` is therefore the mean over the draws round the quantile asked for, and the plan
//! found is one start of several: others are grown and thinned for every set of places, and the best are changed step by
//! step (dropped, swapped) by their chance over all draws, cuts adding up. Every plan is then solved anew with the flow
//! solver, draw by draw; where sums flattered it, a margin is added and the whole done again, at most five times. No plan
//! for a target is proved the quickest; the gap told of a plan by time is that of the programme of mean cuts. Searches are
//! limited in nodes and counts, never in time.
//!
//! # Limits
//! Cuts are taken as adding up, which the flow solve corrects at the end (sealing one seam raises the pressure at the
//! others, by a percent or so). Minutes and what remains are the crew's own figures or estimates.
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
//! use ductseam::allocate::{AllocateSettings, posterior};
//! use ductseam::seal::{Left, PlanAsk, plan};
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let draws = posterior(&system, &AllocateSettings { draws: 500, ..Default::default() }).unwrap();
//! let left = Left::new(&system, &draws, 1).unwrap();
//! let hour = plan(&left, &PlanAsk { minutes: Some(60.0), frontier: 0, ..Default::default() }).unwrap();
//! assert!(hour.minutes <= 60.0 && !hour.steps.is_empty());
//! assert!(hour.after_m3_s.mean < hour.before_m3_s.mean);
//! ```

mod chance;
mod choices;
mod draws;
mod frontier;
mod greedy;
mod improve;
mod order;
mod pairs;
mod plan;
mod prove;
mod running;
mod search;
mod so_far;
mod steps;
mod types;

pub use draws::Left;
pub use pairs::BeforeAfter;
pub use plan::plan;
pub use prove::{CameOut, Pair, Proof, Sealed, prove};
pub(crate) use running::{leak, mean_laws, running_pressures};
pub use types::{
    Basis, Frontier, Hidden, LookFirst, Material, OutOfReach, Plan, PlanAsk, Rival, SealError, Step,
};
