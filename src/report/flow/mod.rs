//! Answers of `ductseam flow`: a system solved in one set-up, as text, JSON and CSV.

mod case;
mod csv;
mod json;
mod said;
mod sums;
mod tables;
#[cfg(test)]
mod tests;
mod text;

pub use case::{CurveUse, FlowCase};
pub use csv::{COLUMNS, flow_csv};
pub(crate) use json::piece_kind;
pub use json::{FORMAT, flow_json};
pub use said::{pressure, velocity, velocity_unit};
pub use text::{FlowTextSettings, flow_text};
