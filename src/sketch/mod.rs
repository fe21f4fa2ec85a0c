//! The sketch: the YAML file a person writes, read with the place of every value, and all that is wrong with it at once.
//!
//! [`read`] turns a text into a [`Sketch`] or into [`Diagnostics`]. What the words mean for each other (a takeoff off a run that is not there,
//! runs in a circle) is found when [`crate::system`] joins them; it reports with the same [`Diagnostics`]. Nothing here knows of flow.

mod angles;
mod diagnostics;
mod entries;
mod fields;
mod house;
mod limits;
mod meant;
mod read;
mod reader;
mod readings;
mod render;
mod run_tables;
mod runs;
mod scanner;
mod schema;
mod sides;
mod span;
mod steps;
mod tables;
mod tree;
mod types;
mod unit;
mod whole;
mod words;

pub use diagnostics::{Diagnostic, Diagnostics, nearest, quoted, some_of};
pub use read::{read, read_bytes, starter};
pub use schema::schema;
pub use span::{Marked, Span};
pub use types::{
    AirHandler, AirflowBy, Appliance, Barrier, Blower, BootKind, CoilAt, Door, Draft, ElbowKind,
    FanAt, FilterAt, FlowAt, Heading, House, Look, Mask, Material, Overrides, OwnLeak, Place,
    PlaceLike, Plenum, Reach, Reading, ReadingKind, Relation, Room, Run, Seen, Side, Sketch, Smoke,
    Start, Step, StepKind, SuspectTape, Takeoff, TapAt, Usual,
};

pub(crate) use words::tail_words;

#[cfg(test)]
mod tests;
