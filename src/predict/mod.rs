//! What a design will probably leak, before any test.
//!
//! [`predict()`] draws from what the catalogue expects of every seam of a sketch, with the crew's workmanship in common,
//! solves the total test and the test to outside in every draw, and says what comes out: total, sides, to outside, by
//! joint type and run, leakage class, and the chance to be at or below each limit of the sketch. The same draws made of
//! the system built otherwise ([`Choice`]) say what would change it most, one thing at a time and in pairs, and hold the
//! sketch's variants side by side. Friction and static pressure of the running design and a list of materials go with it.
//!
//! # Limits
//!
//! Readings, looks and sealing steps of a sketch are left out here: [`crate::allocate`] takes them. Every figure is the
//! catalogue's; which one is an engineering estimate stands there. A choice changes leakage alone: what a spin-in collar
//! costs in pressure is not told.

mod choices;
mod design;
mod expected;
mod materials;
mod run;
mod types;

#[cfg(test)]
mod tests;

pub use run::{PredictSettings, predict};
pub use types::{
    Choice, Design, DuctLine, Expected, FastPiece, FittingLine, LimitOutlook, Materials, Outlook,
    PracticeRow, Prediction, Register, SealantLine, SeamLine, VariantOutlook, What,
};
