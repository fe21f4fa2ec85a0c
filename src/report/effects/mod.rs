//! Answers about what sealing does: rooms, house, energy and cost before and after, as text, JSON and CSV.

mod csv;
mod json;
mod said;
mod seasons;
mod tables;
#[cfg(test)]
mod tests;
mod text;

pub use csv::{COLUMNS, effects_csv};
pub use json::{FORMAT, effects_json};
pub use text::{EffectsTextSettings, effects_text};
