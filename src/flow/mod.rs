//! Air flow in a duct system: prepared for a test, or running.
//!
//! [`prepare`] turns a [`System`](crate::system::System) in one [`Setup`](crate::system::Setup) into a
//! [`Network`] and a [`Map`] of where everything went; [`solve`] finds the pressure at every node for given seam
//! laws; [`sensitivities`] and [`probe_sensitivities`] say how a reading answers to each seam; [`state()`] reads
//! everything off. Only numbers of seams, pressures and flows are known here.
//!
//! Signs and units: flow positive from a branch's tail to its head, leakage positive out of the duct,
//! pressures gauge against outdoors in Pa, flows in m³/s of air at 1.204 kg/m³ (so a flow is a mass flow
//! divided by that density and balances at any altitude and any mix of temperatures).
//!
//! # Method
//!
//! Nodes hold total pressure. Each element (duct, component, leak path, blower, leak) passes a flow that rises with
//! its own pressure difference, so the balances of all nodes are the gradient of a convex content function: one
//! solution, whatever the loops. Newton's method with that function as its guard finds it; the matrix is eliminated
//! without subtraction in an order analysed once (leaves first, hubs such as the house last).
//!
//! Three things hang on flows that the same solve finds: the velocity pressure that static pressure lacks at leaks
//! and taps, and the losses of takeoffs by division of flow. They are held during Newton's method and then
//! moved until they agree, by Newton on the whole: (I − A)·δ = gap with A the answer of each to all, solved by
//! Krylov steps on the factor at hand. Derivatives go through the transpose of that whole fixed point.
//!
//! # Limits
//!
//! Steady, isothermal in each piece, pressures below 2.5 kPa. Between Re 2000 and 4000 no friction law is exact. A
//! takeoff whose air runs backwards, or outside its tables, is used as it is and noted ([`StateNote`]). Fittings close
//! behind one another, sag and pinching of flex, and the effect of elbows on a blower are not modelled. Curves of
//! blowers must fall. Where velocity pressures are many times the static pressure a solution need not exist, and a
//! solve may end as not converged.
//!
//! # Checked against
//!
//! Networks in 40-digit and running systems in 50-digit arithmetic (pressures and flows within 1e-9, derivatives within
//! 1e-8 of the largest), convex optimisers that minimise the content, friction and fitting tables, published running
//! pressures as loose bands.
//!
//! `cargo run --release --example flow_sweep` solves 100 000 random systems of 2 to 3000 nodes, every answer balanced
//! again from its flows. With seed 1, none wrong:
//!
//! | family | systems | settled | refused by name | not settled | most steps |
//! |---|---|---|---|---|---|
//! | tap at the fan, conductances over 12 decades | 8334 | 8334 | 0 | 0 | 14 |
//! | tap elsewhere, within 10 MPa at the fan | 4961 | 4961 | 0 | 0 | 98 |
//! | tap elsewhere, beyond any fan | 3373 | 1022 | 2351 | 0 | 146 |
//! | floating zones, 12 decades | 8334 | 8334 | 0 | 0 | 14 |
//! | blower and floating house | 8334 | 8334 | 0 | 0 | 11 |
//! | blowers driven backwards | 8333 | 8333 | 0 | 0 | 16 |
//! | sealed seams, or nothing drives | 8333 | 8333 | 0 | 0 | 14 |
//! | leaks on static pressure | 8333 | 8333 | 0 | 0 | 21 |
//! | leaks and tap on static pressure, tap elsewhere | 8333 | 8333 | 0 | 0 | 10 |
//! | takeoffs by division of flow | 8333 | 8333 | 0 | 0 | 13 |
//! | running: all of these | 8333 | 8333 | 0 | 0 | 41 |
//! | the same, air far too fast for its pressures | 8333 | 8307 | 0 | 26 | 430 |
//! | faulty: islands, bad figures, taps outside, meshes | 8333 | 0 | 8333 | 0 | |
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
//! use ductseam::flow::{FlowSettings, SeamLaws, prepare, state};
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let setup = system.total_setup();
//! let prepared = prepare(&system, &setup, &FlowSettings::default()).unwrap();
//! // Every seam leaks what the catalogue expects of it.
//! let (ln_q25, n) = system.prior_laws();
//! let found = state(&system, &prepared, SeamLaws { ln_q25: &ln_q25, n: &n });
//!
//! assert!(found.outcome.status.is_solved());
//! assert!((found.supply_plenum_pa.unwrap() - 25.0).abs() < 1e-3); // held there
//! let leaks: f64 = found.seam_m3_s.iter().sum();
//! assert!(found.reading.unwrap() >= leaks); // the fan feeds the leaks, and those of the masks
//! ```

mod adjoint;
mod assemble;
mod balance;
mod batch_exp;
mod blower;
mod branch_law;
mod builder;
mod element;
mod error;
mod friction;
mod junction;
mod krylov;
mod lag;
mod leaks;
mod map;
mod matrix;
mod network;
mod newton;
mod number;
mod probe;
mod quadrature;
mod reading;
mod running;
mod seam_law;
mod setup;
mod start;
mod state;
mod streams;
mod surroundings;
mod takeoffs;
mod tap;
mod types;
#[cfg(test)]
mod warm_tests;
mod whole;

pub use adjoint::{Sensitivity, sensitivities};
pub use assemble::{assemble, prepare};
pub use blower::{BlowerCurve, BlowerLaw};
pub use branch_law::BranchLaw;
pub use builder::{AbstractNetwork, BranchId, NodeId, SeamAtNode, Takeoff};
pub use element::{DuctLaw, DuctShape, Response, Warm};
pub use error::FlowError;
pub use friction::{colebrook_white, friction_factor};
pub use junction::{BranchForm, JunctionLaw, Source, Stream};
pub use map::{Map, Prepared, TakeoffAt};
pub use network::{Network, Workspace};
pub use newton::{content, solve, solve_traced};
pub use probe::{Against, Answer, Probe, Section, answers, probe_sensitivities, read};
pub use reading::{Observable, Reading};
pub use running::running_state;
pub use seam_law::{PowerLaw, REFERENCE_PA, SWITCH_PA};
pub use setup::{
    BARRIER_LEAK, MASK_EXPONENT, MASK_TAPE_LEAK, PANEL_SHARE, RUN_PLUG_LEAK, THROAT_PLUG_LEAK,
};
pub use state::{
    FlowState, OpeningState, PieceState, RoomState, StateNote, match_airflow, state, state_from,
};
pub use types::{
    Disturbance, FlowSettings, LagMethod, Outcome, SeamLaws, SeamPressure, Status, TraceStep,
};
