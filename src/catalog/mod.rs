//! Joint types, ways of sealing, duct roughness, fitting losses and component losses: figures, each with its source and how sure it is.
//!
//! # Example
//!
//! ```
//! use ductseam::catalog::{Catalog, JOINTS_CSV, Sure, Work};
//!
//! let collar = Catalog::builtin().joint("takeoff-tab-collar").unwrap();
//! assert!(collar.state(Work::Mastic).mean_q25 < collar.state(Work::Unsealed).mean_q25);
//! assert_eq!(collar.state(Work::Unsealed).source.sure, Sure::Estimate); // nobody published one
//!
//! // Own rows are laid over the built-in ones; a row without a source is refused.
//! let header = JOINTS_CSV.lines().next().unwrap();
//! let refused = Catalog::builtin().clone().overlay(&format!("{header}\nown-clip,clip\n"), "own.csv").unwrap_err();
//! assert_eq!(refused[0].line, 2);
//! ```

mod alternatives;
pub mod class;
mod error;
mod evidence;
mod joints;
mod limit_rows;
mod limit_words;
mod limits;
mod methods;
pub mod opening;
mod own_method;
mod read;
mod store;
mod tables;
mod types;
mod units;

pub use alternatives::Alternative;
pub use error::CatalogError;
pub use evidence::{LookFigures, LookRow, TaskRow};
pub use joints::JOINT_COLUMNS;
pub(crate) use limit_rows::HUNDRED_FT2;
pub use limit_words::{LimitWords, NotALimit, limit_words, measure_words};
pub use limits::{ClassRow, ClassScale, Limit, Measure, Scope, Stage, plain_id};
pub use methods::{MethodRow, ServeRow};
pub use own_method::MethodFault;
pub use store::{Catalog, JOINTS_CSV};
pub use types::{
    Basis, Component, Exponent, Fitting, GROSS_CHANCE_SOURCE, HABIT_GSD, JointType, Roughness,
    SPREAD_SOURCE, Source, State, Sure, WORKMANSHIP_GSD, Work, shared_variance,
};
