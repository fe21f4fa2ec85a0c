//! Answers of `ductseam limits`: leakage held against limits, the limits and classes themselves, and the record of the test,
//! as text, JSON and CSV.

mod csv;
pub(super) mod fit_words;
mod json;
mod list;
mod record;
mod record_json;
mod record_readings;
pub(super) mod said;
pub(super) mod text;

pub use csv::{COLUMNS, limits_csv};
pub use json::{FORMAT, limits_json};
pub use list::{LIST_COLUMNS, LIST_FORMAT, limit_list_csv, limit_list_json, limit_list_text};
pub use record::{RECORD_COLUMNS, record_csv, record_text};
pub use record_json::{RECORD_FORMAT, record_json};
pub use text::limits_text;
