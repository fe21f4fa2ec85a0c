//! Air flow in a duct system that is prepared for a leakage test.
//!
//! [`assemble`] turns a [`System`](crate::system::System) in one [`Setup`](crate::system::Setup) into a
//! [`Network`]; [`solve`] finds the pressure at every node for given seam laws, and [`sensitivities`] how
//! the fan flow answers to each seam. Only numbers of seams, pressures and flows are known here.
//!
//! Signs and units: flow positive from a branch's tail to its head, leakage positive out of the duct,
//! pressures gauge against outdoors in Pa, flows in m³/s of air at 1.204 kg/m³ (so a flow is a mass flow
//! divided by that density and balances at any altitude).
//!
//! Limit: a node holds one pressure that drives losses and leaks alike. In a leakage test with masked
//! registers the air crawls and the velocity pressure ρv²/2 is far below 1 Pa; a running system needs the
//! static pressure at its seams, which [`Network`] leaves room for but does not yet compute.

mod adjoint;
mod assemble;
mod balance;
mod batch_exp;
mod branch_law;
mod builder;
mod element;
mod error;
mod friction;
mod matrix;
mod network;
mod newton;
mod quadrature;
mod seam_law;
mod setup;
mod types;
#[cfg(test)]
mod warm_tests;

pub use adjoint::{Sensitivity, sensitivities};
pub use assemble::assemble;
pub use branch_law::BranchLaw;
pub use builder::{AbstractNetwork, NodeId, SeamAtNode};
pub use element::{DuctLaw, DuctShape, Response, Warm};
pub use error::FlowError;
pub use friction::{colebrook_white, friction_factor};
pub use network::{Network, Workspace};
pub(crate) use newton::solve_roughly;
pub use newton::{content, solve, solve_traced};
pub use seam_law::{PowerLaw, REFERENCE_PA, SWITCH_PA};
pub use setup::{
    BARRIER_LEAK, MASK_EXPONENT, MASK_TAPE_LEAK, PANEL_SHARE, RUN_PLUG_LEAK, THROAT_PLUG_LEAK,
};
pub use types::{Disturbance, FlowSettings, Outcome, SeamLaws, Status, TraceStep};
