//! Spreads measured leakage over the seams, with honest doubt.
//!
//! Prior ([`Prior`]): leaks at 25 Pa are lognormal, tied together by the system's workmanship and the crew's habit
//! with each joint type; a seam may hang open ([`OpenLaw`]); sealing between readings leaves part of a leak
//! ([`SealedLaw`]). Readings ([`ErrorLaw`]): flows and pressures modelled by a solve of the duct network in their
//! set-up, with the meter's error, its calibration shared by readings of one gauge, pressure errors of the set-up, and
//! a small chance that the set-up was wrong. Looks ([`Looks`]): smoke as an ordinal report, gaps as a width, claims of
//! what hangs open or is sound. Posterior: draws by weighted randomise-then-optimise over hypotheses about wrong
//! set-ups and open seams; where those are worth too little, chains of gradient moves and jumps. Everything reported
//! comes from the draws, and an answer that cannot be trusted says so ([`Status`]).
//!
//! [`allocate`] answers; [`posterior()`] hands out the draws; [`next()`] ranks what can still be looked at or tested;
//! [`compare()`] holds each reading against all other evidence; [`study()`] answers these three from one set of draws;
//! [`sensitivity()`] says what hangs on the prior;
//! [`invent()`] makes up truths with readings and looks.
//!
//! # Limits
//!
//! At most two seams hang open at once; pairs are looked for among the ten likeliest. An open seam is an opening beside
//! an unbroken path: the air beyond a joint that has come right apart is not cut off. The envelope's leakage is one
//! factor on what a house fan reads. Flows while running are not drawn.
//!
//! # Checked against
//!
//! Posteriors computed without any code of this project, by importance sampling, an ensemble of chains, the no-U-turn
//! sampler, quadrature and closed forms: 20 seams by readings alone, with looks, with open seams, with ten readings and
//! twenty looks, with contradictory readings, with claims; every figure within the combined Monte Carlo errors.
//! Calibration on invented systems: [`crate::guide`].
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
//! use ductseam::allocate::{AllocateSettings, allocate};
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let answer = allocate(&system, &AllocateSettings { draws: 500, ..Default::default() }).unwrap();
//! let band = answer.house.total_m3_s;
//! assert!(band.p05 < band.mean && band.mean < band.p95);
//!
//! // Shares of all seams add up to one, and the first of them is a guess with a wide band.
//! let most = &answer.seams[answer.leakiest_first()[0]];
//! assert!(most.test_m3_s.p95 > 2.0 * most.test_m3_s.p05);
//! ```
// A comparison written as `!(a < b)` sends NaN the doubtful way on purpose; small matrices are walked by index.
#![allow(clippy::neg_cmp_op_on_partial_ord, clippy::needless_range_loop)]

mod advice_types;
mod agreement;
mod best_point;
mod case;
mod chains;
mod closed_form;
mod compare;
mod convergence;
mod doubt;
mod draws;
mod error;
mod error_law;
mod evidence;
mod groups;
mod hypotheses;
mod invent;
mod looks;
mod network_readout;
mod next;
mod open_hypotheses;
mod open_seams;
mod posterior;
mod prior;
mod problem;
mod proposal;
mod readout;
mod record;
mod rto;
mod run;
mod scratch;
mod seen;
mod sensitivity;
mod settings;
mod settle;
mod sights;
mod sites;
mod small;
mod study;
mod summary;
mod surrogate;
mod tilt;
mod types;
mod weights;

#[cfg(test)]
mod sampler_tests;

pub use advice_types::{
    Action, Candidate, Cause, CompareAnswer, ComparedReading, KnobChange, NextAnswer, Sensitivity,
};
pub use case::{Case, Open};
pub use closed_form::{ClosedForm, ClosedSetup, ClosedWork};
pub use compare::compare;
pub(crate) use doubt::SET_ASIDE;
pub(crate) use draws::map_in_order;
pub use draws::{Sample, sample, sample_by_chains};
pub use error::AllocateError;
pub use error_law::{ErrorLaw, ReadingLaw, Residual, WideError};
pub use invent::{Truth, invent};
pub use looks::{Claim, LookLaw, Looks, Sight};
pub use next::{NextAsk, Target, next};
pub use posterior::{Posterior, posterior};
pub use prior::{EXPONENT_RANGE, OpenLaw, Prior, PriorKnobs, SealedLaw, SeamPrior};
pub use problem::Problem;
pub use readout::{Disturbance, Readings, Readout};
pub use rto::Draw;
pub use run::allocate;
pub use sensitivity::sensitivity;
pub use settings::AllocateSettings;
pub use sights::{Sights, sights};
pub use study::{Study, posterior_and_next, study};
pub use types::{
    Allocation, Band, Diagnostics, GrossCandidate, GroupResult, House, LookResult, Method,
    ReadingResult, SeamFlow, SeamResult, Status,
};
pub(crate) use weights::band as weighted_band;
pub use weights::{
    effective_draws, mean as weighted_mean, pareto_k, quantile as weighted_quantile,
};
