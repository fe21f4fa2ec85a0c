//! The sketch: the YAML file a person writes, read with the place of every value, and all that is wrong with it at once.
//!
//! [`read`] turns a text into a [`Sketch`] or into [`Diagnostics`]. What the words mean for each other (a takeoff off a run that is not there,
//! runs in a circle) is found when [`crate::system`] joins them; it reports with the same [`Diagnostics`]. Nothing here knows of flow.
//!
//! # Example
//!
//! ```
//! use ductseam::sketch::{self, Side};
//!
//! let text = "ductseam: 1\ntitle: a trunk (invented)\nair handler: {place: attic}\nruns:\n  \
//!     - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, walk: [north 16 ft, cap]}\n";
//! let sketch = sketch::read(text, "trunk.yaml").unwrap();
//! assert_eq!(sketch.runs[0].id.value, "trunk");
//! assert_eq!(sketch.runs[0].walk.len(), 2);
//!
//! // What is wrong is told with its place and what to write instead.
//! let wrong = sketch::read(&text.replace("16 ft", "16"), "trunk.yaml").unwrap_err();
//! let told = wrong.render(false);
//! assert!(told.contains("trunk.yaml:5:") && told.contains("`16` has no unit"), "{told}");
//! ```

mod angles;
mod beliefs;
mod choices;
mod crew;
mod crew_tables;
mod diagnostics;
pub mod edit;
mod energy;
mod energy_tables;
mod entries;
mod evidence_tables;
mod fields;
mod house;
mod limit_items;
mod limit_tables;
mod limits;
mod looks;
mod meant;
mod minutes_table;
mod named;
pub(crate) mod parts;
mod price;
mod read;
mod reader;
mod reading_kinds;
mod readings;
mod render;
mod run_tables;
mod runs;
mod scanner;
mod schema;
mod sections;
mod sides;
mod span;
mod stated;
mod steps;
mod tables;
mod tree;
mod types;
mod unit;
mod variant_tables;
mod variants;
mod whole;
mod words;
mod written;

pub use diagnostics::{Diagnostic, Diagnostics, nearest, quoted, some_of};
pub use read::{read, read_bytes, starter};
pub use schema::schema;
pub use sections::with_sections;
pub use span::{Marked, Span};
pub use types::{
    AirHandler, AirflowBy, Amount, Appliance, Barrier, Bin, Blower, BootKind, Climate, CoilAt,
    Conditioning, Crew, Door, Draft, ElbowKind, Energy, FanAt, FilterAt, FlowAt, Fuel, Heading,
    HeaterKind, House, LimitItem, LoadAt, Look, Mask, Material, Minutes, Overrides, OwnLeak,
    OwnLimit, OwnMethod, Place, PlaceAir, PlaceLike, Plenum, Price, Prior, Reach, ReadValue,
    Reading, ReadingKind, Record, Relation, Room, Run, SealClass, Sealing, Seen, SetUp, Side,
    Sketch, Smoke, Start, Step, StepKind, SuspectTape, Takeoff, TapAt, Usual, Variant, When,
    WorkChange,
};

pub(crate) use choices::{Choices, choices, is_end};
pub(crate) use limits::RUNS as MOST_RUNS;
pub(crate) use read::read_in_part;
pub(crate) use words::tail_words;
pub(crate) use written::{Item, Written, holds};

#[cfg(test)]
mod tests;
