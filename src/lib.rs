//! Where forced-air ducts probably leak.
//!
//! A person sketches the ducts as a walk (trunks, takeoffs, elbows, boots), a test fan reads one flow or a few,
//! and this crate spreads what was read over the seams, with honest doubt: by what is known of each joint type,
//! by what each reading adds, and by the pressure that each seam feels.
//!
//! # The way of the data
//!
//! ```text
//! text ─► sketch ─► system ─► flow ─► allocate ─► seal ─► effects ─► report ─► text, JSON, CSV
//!         spans      graph     p, q     posterior   plan
//!                      └► limits          └► predict └► teach
//!    quantity, air, catalog, math serve all               cli drives the line, batch many
//! ```
//!
//! Each stage is a function from a value to a value; a module knows only those before it. SI inside; units live
//! in [`quantity`] alone. Flow is positive from a piece's tail to its head, leakage positive out of the duct,
//! pressures are gauge against outdoors, volume flows are at 1.204 kg/m³.
//!
//! # Example
//!
//! A trunk with one branch, tested at 25 Pa, and the seam that probably leaks most:
//!
//! ```
//! use ductseam::allocate::{AllocateSettings, allocate};
//! use ductseam::{catalog::Catalog, sketch, system};
//!
//! let text = "
//! ductseam: 1
//! title: two registers (invented)
//! air handler: {place: attic}
//! runs:
//!   - id: trunk
//!     side: supply
//!     from: supply plenum
//!     size: 12x8 in
//!     place: attic
//!     walk: [north 16 ft, cap]
//!   - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
//!   - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
//! readings:
//!   - {id: first, total: 60 cfm at 25 Pa ± 3 %}
//! ";
//! let catalog = Catalog::builtin();
//! let sketch = sketch::read(text, "two.yaml").map_err(|found| found.render(false)).unwrap();
//! let system = system::build(&sketch, text, "two.yaml", &catalog).map_err(|found| found.render(false)).unwrap();
//! let answer = allocate(&system, &AllocateSettings { draws: 500, ..Default::default() }).unwrap();
//!
//! let shares: f64 = answer.seams.iter().map(|seam| seam.share).sum();
//! assert!((shares - 1.0).abs() < 1e-9);
//! let most = answer.seams.iter().max_by(|a, b| a.share.total_cmp(&b.share)).unwrap();
//! assert_eq!(most.run, "unit"); // the cabinet, at full pressure
//! ```
//!
//! # Where to go next
//!
//! [`guide`] for people: a tutorial from a paper sketch to proof, a page for every command, the equations, the words, and
//! where it ends. For those who build on the crate: [`sketch`] for the file, [`system`] for pieces and seams, [`flow`] for the solver and its equations,
//! [`allocate`] for prior, readings and draws, [`catalog`] for every figure with its source.
//!
//! # What it does not do
//!
//! It names probable places, never certain ones. It checks its own computation, not the catalogue nor anyone's
//! sketch. Local codes and licensed trades decide what may be touched.
#![forbid(unsafe_code)]
#![warn(missing_docs)]
#![cfg_attr(not(test), warn(clippy::disallowed_methods))]

pub mod air;
pub mod allocate;
pub mod batch;
pub mod board;
pub mod catalog;
#[cfg(feature = "cli")]
pub mod cli;
#[cfg(feature = "cli")]
mod disk;
pub mod drawing;
pub mod effects;
pub mod flow;
pub mod guide;
#[cfg(feature = "cli")]
mod hex;
pub mod limits;
mod math;
#[cfg(feature = "page")]
pub mod page;
pub mod predict;
pub mod quantity;
pub mod report;
mod said;
pub mod seal;
pub mod sketch;
pub mod system;
pub mod takeoff;
pub mod teach;
