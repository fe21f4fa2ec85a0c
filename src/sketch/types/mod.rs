//! What a sketch says, typed and with the place in the file where each thing was said.
//!
//! These types hold the words of the person who walked the ducts. They know no flow and no graph:
//! [`crate::system`] turns them into pieces and seams.

mod beliefs;
mod crew;
mod energy;
mod house;
mod limits;
mod readings;
mod unit;
mod variants;
mod walk;

pub use beliefs::{Minutes, Prior, Sealing};
pub use crew::{Crew, OwnMethod, SetUp};
pub use energy::{Bin, Climate, Conditioning, Energy, Fuel, HeaterKind, LoadAt, PlaceAir, Price};
pub use house::{Appliance, Door, Draft, FlowAt, House, Place, PlaceLike, Room, SuspectTape};
pub use limits::{LimitItem, OwnLimit, Record};
pub use readings::{
    Amount, Barrier, FanAt, Look, Mask, ReadValue, Reading, ReadingKind, Relation, Seen, Smoke,
    TapAt, When,
};
pub use unit::{AirHandler, AirflowBy, Blower, CoilAt, FilterAt, Plenum};
pub use variants::{SealClass, Variant, WorkChange};
pub use walk::{
    BootKind, ElbowKind, Heading, Material, Overrides, OwnLeak, Reach, Run, Side, Start, Step,
    StepKind, Takeoff, Usual,
};

use super::span::Marked;
use crate::quantity::UnitSystem;

/// A whole sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// The title line.
    pub title: Marked<String>,
    /// Free words about the job.
    pub note: Option<Marked<String>>,
    /// Units in which answers are shown.
    pub units: UnitSystem,
    /// The house.
    pub house: House,
    /// What is said of rooms, in file order.
    pub rooms: Vec<Room>,
    /// Places named by the person, in file order.
    pub places: Vec<Place>,
    /// The air handler.
    pub air_handler: AirHandler,
    /// Appliances that burn fuel.
    pub combustion: Vec<Appliance>,
    /// Whether old tape or wrap that may hold asbestos was seen.
    pub suspect_tape: SuspectTape,
    /// Usual ways of building, by duct material.
    pub usual: Vec<Usual>,
    /// Runs in file order.
    pub runs: Vec<Run>,
    /// Measured values.
    pub readings: Vec<Reading>,
    /// What was seen at seams.
    pub looks: Vec<Look>,
    /// What was sealed between readings, in the order of the work.
    pub sealing: Vec<Sealing>,
    /// What the person believes instead of the usual figures.
    pub prior: Prior,
    /// How long looks and tests take.
    pub minutes: Vec<Minutes>,
    /// How a crew seals.
    pub crew: Crew,
    /// Heating, cooling, climate and prices.
    pub energy: Energy,
    /// Other ways of building the same system, in file order.
    pub variants: Vec<Variant>,
    /// Limits named or stated, in file order.
    pub limits: Vec<LimitItem>,
    /// The record of the test.
    pub record: Record,
}
