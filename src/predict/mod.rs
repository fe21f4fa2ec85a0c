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
//! use ductseam::allocate::AllocateSettings;
//! use ductseam::predict::{PredictSettings, predict};
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let settings = PredictSettings {
//!     draws: AllocateSettings { draws: 500, ..Default::default() },
//!     choices: 2,
//!     in_pairs: 0,
//!     ..Default::default()
//! };
//! let found = predict(&system, catalog, &settings).unwrap();
//! let cuts: Vec<f64> = found.choices.iter().map(|choice| choice.total_cut_m3_s).collect();
//! assert!(cuts[0] > 0.0 && cuts.is_sorted_by(|a, b| a >= b)); // what takes off most stands first
//! ```

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
