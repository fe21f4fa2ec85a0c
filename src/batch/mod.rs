//! Many systems: each record alone in, alone out, and what they say together of the habits of crews.
//!
//! [`Record`] is a sketch with a name, one line of NDJSON. [`answer()`] spreads its leakage and gives rows of three tables in
//! long form ([`Table`]): systems, joint types of each system, seams of each system; a record that cannot be answered gives a
//! row that says why. Records know nothing of each other, so any engine that hands out lines can run them. [`learn`] then
//! reads what each answer says of its crew ([`HouseEvidence`]) and learns the population's means and spreads of each joint
//! type, which can be laid over the catalogue.
//!
//! The command `ductseam batch` drives it over folders and streams.

mod answer;
mod evidence;
pub mod learn;
mod record;
mod tables;

pub use answer::{Answered, Ask, answer};
pub use evidence::{Cell, FlowSeen, HouseEvidence, MayBeOpen, SeamSeen, evidence};
pub use record::{Fault, MOST_ID_BYTES, MOST_RECORD_BYTES, Record};
pub use tables::{Column, Row, RowFormat, Selection, Table, known as known_columns};

#[cfg(feature = "cli")]
pub(crate) use record::too_long;
