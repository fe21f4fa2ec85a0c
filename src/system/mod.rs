//! The duct system as a graph of junctions and pieces with their seams, built from a sketch.

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
mod order;
mod places;
#[cfg(test)]
mod properties;
mod readings;
mod setups;
mod shape;
mod site;
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
pub use setups::TEST_PRESSURE_PA;
pub use summary::{CheckSummary, JointTypeSummary, PlaceSummary, RunSummary, SideSummary, summary};
pub use types::{
    AirflowBy, Appliance, Barrier, ComponentLoss, DefaultUsed, Draft, FanPlace, Junction, Look,
    Mask, Measured, Opening, OpeningIdx, Piece, PieceKind, Place, PlaceIdx, Reach, Relation, Run,
    RunIdx, Seam, SeamAt, SeamIdx, SeamRole, Seen, Setup, Side, SuspectTape, System, TapPlace,
    TestKind, Unit, Warning,
};
