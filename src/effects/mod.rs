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
//!
//! # Example
//!
//! ```
//! # use ductseam::{catalog::Catalog, sketch, system};
//! # let text = "
//! # ductseam: 1
//! # title: two registers (invented)
//! # air handler: {place: attic, airflow: 500 cfm assumed}
//! # runs:
//! #   - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}
//! #   - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
//! #   - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
//! #   - {id: hall, side: return, from: return plenum, size: 12x8 in, place: attic, walk: [south 4 ft, return box 14x12 in]}
//! # readings: [{id: first, total: 60 cfm at 25 Pa ± 3 %}]
//! # ";
//! # let catalog = Catalog::builtin();
//! # let sketch = sketch::read(text, "two.yaml").map_err(|found| found.render(false)).unwrap();
//! # let system = system::build(&sketch, text, "two.yaml", catalog).map_err(|found| found.render(false)).unwrap();
//! use ductseam::effects::{EffectsSettings, effects};
//! use ductseam::seal::BeforeAfter;
//!
//! // `system`: a trunk in an attic with two branches and a return, read at 60 cfm; as in the crate's own example.
//! // One draw: every seam at the catalogue's mean before, at a tenth of it after.
//! let (ln_q25, n) = system.prior_laws();
//! let pairs = BeforeAfter {
//!     ln_q25_after: ln_q25.iter().map(|ln| ln - 10f64.ln()).collect(),
//!     ln_q25_before: ln_q25,
//!     n_before: n.clone(),
//!     n_seams: n.len(),
//!     n_after: n,
//! };
//! let found = effects(&system, &pairs, &EffectsSettings::default()).unwrap();
//! let [supply, back] = &found.sides;
//! assert!(supply.out_m3_s.after.mean < 0.2 * supply.out_m3_s.before.mean);
//! assert!(back.in_m3_s.after.mean < 0.2 * back.in_m3_s.before.mean);
//! ```
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
