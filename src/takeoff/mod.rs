//! The takeoff, in the estimators' sense: a list of runs, as people keep it in a spreadsheet, made into a sketch.
//!
//! [`draw`] reads a CSV list with one row a run and writes a commented sketch. Columns are known by their headers, in any
//! order and in several usual spellings; units stand in the cells or in the header, and a number without a unit is
//! refused. What a list leaves open (where a takeoff sits, how a run ends) is filled by what is usual; all of it stands
//! as comments in the sketch and in [`Drawn::assumed`].
//!
//! Nothing here joins runs into a graph of pieces: what [`crate::system::build`] finds wrong with the sketch is put in
//! terms of the list by [`Drawn::faults`].
//!
//! ```
//! use ductseam::takeoff::{Settings, draw};
//!
//! let list = "run,from,at,size,length (ft),fittings\n\
//!             trunk,supply plenum,,14x8 in,20,cap\n\
//!             kitchen,trunk,6 ft left,6 in,9,\"tab collar, elbow, boot 10x4 in\"\n";
//! let drawn = draw(list.as_bytes(), "runs.csv", &Settings::default()).unwrap();
//! assert!(drawn.text.contains("walk: [tab collar, 4.5 ft, elbow, 4.5 ft, boot 10x4 in]"));
//! assert_eq!(ductseam::sketch::read(&drawn.text, "house.yaml").unwrap().runs.len(), 2);
//! ```

mod cells;
mod columns;
mod draw;
mod fault;
mod fittings;
mod rows;
mod table;
mod text;
mod tree;
mod walk;
mod write;

pub use draw::{Drawn, Settings, draw};
pub use fault::{Assumed, Fault, Faults};

#[cfg(test)]
mod tests;
