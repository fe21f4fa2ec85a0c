//! Answers of `ductseam compare`: modelled against measured, as text, JSON and CSV.

mod csv;
mod json;
pub(super) mod parting;
pub(super) mod text;
pub(super) mod why;

pub use csv::{COLUMNS, compare_csv};
pub use json::{FORMAT, compare_json};
pub use text::compare_text;
