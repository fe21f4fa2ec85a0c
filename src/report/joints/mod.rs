//! Joint types by what they leak, as text, JSON, CSV.

mod csv;
mod json;
#[cfg(test)]
mod tests;
mod text;

pub use csv::{COLUMNS, joints_csv};
pub use json::{FORMAT, joints_json};
pub use text::{JointsTextSettings, joints_text};
