//! Answers about what sealing does: rooms, house, energy and cost before and after, as text, JSON and CSV.

mod csv;
mod json;
pub(super) mod said;
pub(super) mod seasons;
pub(super) mod tables;
#[cfg(test)]
mod tests;
pub(super) mod text;

pub use csv::{COLUMNS, effects_csv};
pub use json::{FORMAT, effects_json};
pub use text::{EffectsTextSettings, effects_text};
