//! The picture of a system: laid out from the walks, to scale, as one SVG sheet.
//!
//! Plan view by level with risers in words, or an isometric view; places shaded and named; every seam where it is, its
//! leakage as width and lightness of the mark, its doubt as a pale collar, its reach as the mark's end. Labels are placed
//! so that none overlaps another.
//!
//! # Frame
//! A sheet is measured in millimetres, x to the right, y **down**, origin at its upper left corner. North is up in a plan, right and up in an isometric view.

mod ask;
mod base;
mod fittings;
mod free_columns;
mod free_way;
mod geometry;
mod key;
mod label;
mod layer;
mod legend;
mod letters;
mod levels;
mod names;
mod notes;
mod numbered;
mod palette;
#[cfg(feature = "png")]
mod png;
mod project;
mod running_layer;
mod scale;
mod scene;
mod seams_layer;
mod sheet;
mod sheet_draw;
mod spots;
mod spread;
mod svg;
mod symbols;
mod taper;
#[cfg(test)]
mod tests;
mod text;
mod tracks;
mod types_layer;
mod under;
mod unit_box;
mod words;

pub use ask::{DrawAsk, DrawError, Drawing, DrawnFacts, Layer, Sheet, View};
pub use label::{Label, Labelled, Obstacle, Placed, Rect, Shape, place_labels};
#[cfg(feature = "png")]
pub use png::{PngError, png};
pub use sheet_draw::draw;
pub use text::{TextSize, measure};
