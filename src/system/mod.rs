//! The duct system as a graph of junctions and pieces with their seams, built from a sketch.

mod blower;
mod book;
mod build;
mod closing;
mod ends;
mod fittings;
mod frame;
#[cfg(test)]
mod hand;
mod layout;
mod looks;
mod notes;
mod openings;
mod order;
mod places;
mod plenum;
#[cfg(test)]
mod properties;
mod readings;
mod recipe;
mod running;
#[cfg(test)]
mod running_tests;
mod setups;
mod shape;
mod site;
mod spaces;
mod straight;
mod summary;
mod tested;
#[cfg(test)]
mod tests;
mod trade;
mod types;
mod unit;
mod walk;
mod warn;

pub use build::build;
pub use recipe::{
    HOUSE_FAN_PA, HousePressure, Mover, Openings, Part, RECIPES, Reads, Recipe, TEST_PRESSURE_PA,
};
pub use summary::{CheckSummary, JointTypeSummary, PlaceSummary, RunSummary, SideSummary, summary};
pub use types::{
    AirflowBy, Appliance, Barrier, Blower, BlowerKind, ComponentLoss, DefaultUsed, Door, Draft,
    FanPlace, Junction, JunctionForm, LeadsTo, LeakPath, Look, Mask, Measured, Opening, OpeningIdx,
    Piece, PieceKind, Place, PlaceIdx, Reach, Relation, Room, Run, RunIdx, Seam, SeamAt, SeamIdx,
    SeamRole, Seen, Setup, Side, SuspectTape, System, TakeoffForm, TapPlace, TestKind, Unit,
    Warning,
};
