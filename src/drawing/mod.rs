//! The picture of a system: laid out from the walks, to scale, as one SVG sheet.
//!
//! Plan view by level with risers in words, or an isometric view; places shaded and named; every seam where it is, its
//! leakage as width and lightness of the mark, its doubt as a pale collar, its reach as the mark's end. Labels are placed
//! so that none overlaps another.
//!
//! # Frame
//! A sheet is measured in millimetres, x to the right, y **down**, origin at its upper left corner. North is up in a plan, right and up in an isometric view.
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
//! use ductseam::drawing::{DrawAsk, DrawnFacts, Layer, Sheet, View, draw};
//! use ductseam::quantity::UnitSystem;
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! let facts = DrawnFacts { system: &system, catalog, allocation: None, plan: None, stop: None, cautions: &[] };
//! let ask = DrawAsk {
//!     layers: vec![Layer::Ducts],
//!     view: View::Plan,
//!     sheet: Sheet::A4,
//!     units: UnitSystem::Ip,
//!     top: 10,
//! };
//! let sheet = draw(&facts, &ask).unwrap();
//! assert_eq!((sheet.width_mm, sheet.height_mm), (297.0, 210.0));
//! assert!(sheet.svg.starts_with("<svg") && sheet.svg.contains("kitchen"));
//! ```

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
