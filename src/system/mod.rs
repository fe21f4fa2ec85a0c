//! The duct system as a graph of junctions and pieces with their seams, built from a sketch.
//!
//! # Example
//!
//! ```
//! use ductseam::{catalog::Catalog, sketch, system};
//!
//! let text = "
//! ductseam: 1
//! title: one branch (invented)
//! air handler: {place: attic}
//! runs:
//!   - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}
//!   - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
//! ";
//! let sketch = sketch::read(text, "one.yaml").unwrap();
//! let system = system::build(&sketch, text, "one.yaml", Catalog::builtin()).unwrap();
//! let collar = &system.seams[system.seam_by_id("kitchen/tab collar").unwrap()];
//! assert_eq!(collar.joint_type, "takeoff-tab-collar");
//! assert_eq!(system.places[collar.place].name, "attic");
//! ```

mod beliefs;
mod blower;
mod book;
mod bounds;
mod build;
mod closing;
mod crew;
mod crew_build;
mod ends;
mod energy;
mod evidence;
#[cfg(test)]
mod evidence_tests;
mod fittings;
mod frame;
mod groups;
#[cfg(test)]
mod hand;
mod layout;
mod limits;
mod looks;
mod notes;
mod observed;
mod openings;
mod order;
mod places;
mod plenum;
#[cfg(test)]
mod properties;
mod reading_errors;
mod readings;
mod rebuilt;
mod recipe;
mod running;
#[cfg(test)]
mod running_tests;
mod sealing;
mod setups;
mod shape;
mod site;
mod spaces;
mod stand_open;
mod straight;
mod summary;
mod test_air;
mod tested;
#[cfg(test)]
mod tests;
mod trade;
mod types;
mod unit;
mod unknown_seam;
mod variant;
mod walk;
mod warn;

pub use build::build;
pub use crew::{Crew, SealMethod, Way};
pub use energy::{Energy, EnergyPrice, PlaceAir, Plant};
pub(crate) use groups::run_in_words;
pub use limits::{PressureError, TestRecord};
pub use places::known_places;
pub(crate) use reading_errors::USUAL_FLOW_ERROR;
pub use recipe::{
    HOUSE_FAN_PA, HousePressure, Mover, Openings, Part, RECIPES, Reads, Recipe, TEST_PRESSURE_PA,
};
pub use spaces::USUAL_HEIGHT_M;
pub use summary::{CheckSummary, JointTypeSummary, PlaceSummary, RunSummary, SideSummary, summary};
pub use types::{
    AirflowBy, Appliance, Barrier, Beliefs, Blower, BlowerKind, ComponentLoss, DefaultUsed, Door,
    Draft, FanPlace, Fuel, HeaterKind, Junction, JunctionForm, LeadsTo, LeakPath, Look, LookAt,
    Mask, Measured, Observable, Opening, OpeningIdx, Piece, PieceKind, Place, PlaceIdx, Reach,
    ReadingUnit, Relation, Room, Run, RunIdx, SealingStep, Seam, SeamAt, SeamIdx, SeamRole, Seen,
    Setup, Side, SuspectTape, System, TakeoffForm, TapPlace, Task, TestKind, Unit, Warning,
};
pub use variant::{Change, Variant, sealed_by_class};
