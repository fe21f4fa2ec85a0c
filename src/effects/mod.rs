//! What sealing does: flows of rooms, pressures, leaks to outside, air change, energy and cost, before and after.
//!
//! [`effects()`] solves the running system for paired draws of all seams and reads everything off twice. Before the
//! work the blower's curve is scaled to the airflow at the mean leaks; the same curve serves every draw, before and
//! after, so that the blower answers to the tighter ducts.
//!
//! Total leakage tells of rooms; leakage outside the conditioned space tells of energy. The two are kept apart: what
//! leaks inside starves a room and wastes next to nothing.
//!
//! Energy: delivery effectiveness and distribution efficiency in the form of ASHRAE 152 ([`delivery_effectiveness`],
//! [`with_regain`]), leaks from the solved network instead of a test at 25 Pa, conduction from the sketched ducts'
//! surface and insulation outside the conditioned space. The heat that the equipment gives is held as the work is done. The
//! part that comes back is a range, the two ends of published tables; every band holds both.
//!
//! # Limits
//!
//! Steady air at room temperature for the flows. Each side is one lump for heat. Cooling is sensible: what moisture
//! return leaks draw is left out, so that a humid attic costs more than told. No exhaust fans, no wind or stack beyond
//! the natural infiltration. Comfort and the life of the equipment are given no price.
//!
//! # Source
//!
//! ASHRAE 152 (2004, 2014) for the equations (from memory, and rebuilt from a heat balance by the tests); sources of
//! single figures stand beside them and in [`Effects::defaults`].
// A comparison written as `!(a > b)` sends NaN the doubtful way on purpose.
#![allow(clippy::neg_cmp_op_on_partial_ord)]

mod change;
mod defaults;
mod delivery;
mod draft_stop;
mod ducts;
mod error;
mod gather;
mod infiltration;
mod rooms;
mod run;
mod season;
mod surroundings;
mod types;
mod zones;

pub use change::Change;
pub use delivery::{
    CP, Ducts, conduction_factor, degree_day_energy_j, delivery_effectiveness,
    delivery_effectiveness_by_enthalpy, expansion_valve_factor, load_factor, with_regain,
};
pub use draft_stop::{USUAL_DRAFT_LIMIT, draft_stop};
pub use error::EffectsError;
pub use infiltration::{USUAL_ACH, combined_infiltration_m3_s, running_infiltration_m3_s};
pub use run::effects;
pub use types::{
    CurveChoice, DraftEffect, Effects, EffectsSettings, InfiltrationEffect, PlaceEffect,
    RegisterEffect, RoomEffect, SeamEffect, SeasonEffect, SideEffect,
};
pub use zones::{LowestZone, lowest_zone};
