//! What sealing does, as values.

use super::change::Change;
use crate::allocate::Band;
use crate::system::{DefaultUsed, OpeningIdx, PlaceIdx, SeamIdx, Side, Warning};

/// How the answer is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffectsSettings {
    /// What is done with the blower's curve, before; after the work the same curve stays.
    pub curve: CurveChoice,
    /// Seams listed on each side that draw from, or blow into, places outside the conditioned space; 8 by default.
    pub listed: usize,
}

impl Default for EffectsSettings {
    fn default() -> Self {
        EffectsSettings {
            curve: CurveChoice::Usual,
            listed: 8,
        }
    }
}

/// What is done with the blower's curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CurveChoice {
    /// Scaled to the sketch's airflow, unless the curve is the sketch's own or no airflow is stated.
    Usual,
    /// Taken as it is.
    AsItIs,
    /// Scaled so that the blower moves this airflow before the work, m³/s.
    ScaledTo(f64),
}

/// What a system does before and after, over all draws. Flows at 1.204 kg/m³, pressures against outdoors.
#[derive(Debug, Clone, PartialEq)]
pub struct Effects {
    /// Draws that count.
    pub draws: usize,
    /// Draws that were left out because their flow did not settle.
    pub left_out: usize,
    /// Airflow to which the blower's curve was scaled before the work, m³/s; `None` where it was taken as it is.
    pub scaled_to_m3_s: Option<f64>,
    /// Factor on the blower's curve, before and after.
    pub blower_factor: f64,
    /// Rooms in the system's order.
    pub rooms: Vec<RoomEffect>,
    /// Registers and grilles in the system's order.
    pub registers: Vec<RegisterEffect>,
    /// Static pressure in the supply plenum, Pa.
    pub supply_static_pa: Option<Change>,
    /// Static pressure in the return plenum, Pa.
    pub return_static_pa: Option<Change>,
    /// Rise of static pressure from return to supply plenum, Pa.
    pub external_static_pa: Option<Change>,
    /// Flow through the blower, m³/s.
    pub blower_m3_s: Change,
    /// Electric power of the blower, W; `None` where the sketch gives none.
    pub fan_w: Option<Change>,
    /// Leakage of the supply and of the return side.
    pub sides: [SideEffect; 2],
    /// Leakage by place, places that seams touch in the system's order.
    pub places: Vec<PlaceEffect>,
    /// Pressure of the house, Pa: from the ducts and closed doors alone, without wind, stack or exhaust fans.
    pub house_pa: Change,
    /// Whether the house's pressure could be told: an envelope is known.
    pub envelope_known: bool,
    /// Air change of the house; `None` without floor area.
    pub infiltration: Option<InfiltrationEffect>,
    /// Return leaks that draw from outside the conditioned space, the largest before first.
    pub drawn: Vec<SeamEffect>,
    /// Supply leaks that blow there, the largest before first.
    pub blown: Vec<SeamEffect>,
    /// The zone that stands lowest of those with natural draft; `None` without such an appliance.
    pub draft: Option<DraftEffect>,
    /// Whether next to no duct and no leak lies outside the conditioned space.
    pub indoors: bool,
    /// What that means, in words.
    pub indoors_words: String,
    /// Heating; `None` where there is none or it cannot be told (then a note says why).
    pub heating: Option<SeasonEffect>,
    /// Cooling; `None` likewise.
    pub cooling: Option<SeasonEffect>,
    /// Year of the prices.
    pub year: Option<u16>,
    /// The word for the money; may be empty.
    pub currency: String,
    /// Everything that stood in for something unsaid.
    pub defaults: Vec<DefaultUsed>,
    /// What the person should know.
    pub notes: Vec<Warning>,
}

/// A room.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomEffect {
    /// Index in [`System::rooms`](crate::system::System::rooms).
    pub room: usize,
    /// Its name.
    pub name: String,
    /// Sum of the design flows of its supply runs, m³/s; `None` unless every one states its own.
    pub meant_m3_s: Option<f64>,
    /// What its supply registers bring, m³/s.
    pub supplied_m3_s: Change,
    /// Part of what was meant.
    pub part_of_meant: Option<Change>,
    /// What its grilles take, m³/s.
    pub returned_m3_s: Change,
}

impl RoomEffect {
    /// Whether supplies serve it, or were meant to.
    #[must_use]
    pub fn is_served(&self) -> bool {
        self.meant_m3_s.is_some()
            || self.supplied_m3_s.before.mean > 0.0
            || self.supplied_m3_s.after.mean > 0.0
    }
}

/// A register or grille.
#[derive(Debug, Clone, PartialEq)]
pub struct RegisterEffect {
    /// Index in [`System::openings`](crate::system::System::openings).
    pub opening: OpeningIdx,
    /// Its id.
    pub id: String,
    /// Its run.
    pub run: String,
    /// Side.
    pub side: Side,
    /// Room, where the run names one.
    pub room: Option<String>,
    /// Flow meant, m³/s.
    pub meant_m3_s: Option<f64>,
    /// Flow the usual way, into the room for a supply register and out of it for a grille, m³/s.
    pub flow_m3_s: Change,
}

/// Leakage of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct SideEffect {
    /// Side.
    pub side: Side,
    /// Out of the ducts, m³/s.
    pub out_m3_s: Change,
    /// Into the ducts, m³/s.
    pub in_m3_s: Change,
    /// Part of the blower's flow that goes to (supply) or comes from (return) outside the conditioned space.
    pub outside_part: Change,
}

/// Leakage at one place, all above zero.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceEffect {
    /// Place.
    pub place: PlaceIdx,
    /// Its name.
    pub name: String,
    /// Whether it is outside the conditioned space.
    pub unconditioned: bool,
    /// Its pressure, Pa.
    pub pressure_pa: Change,
    /// Supply leakage out of the ducts, m³/s.
    pub supply_out_m3_s: Change,
    /// Supply leakage into the ducts, m³/s.
    pub supply_in_m3_s: Change,
    /// Return leakage out of the ducts, m³/s.
    pub return_out_m3_s: Change,
    /// Return leakage into the ducts, m³/s.
    pub return_in_m3_s: Change,
}

/// A seam that leaks outside the conditioned space.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamEffect {
    /// Seam.
    pub seam: SeamIdx,
    /// Its id.
    pub id: String,
    /// Where it lies.
    pub place: String,
    /// Leakage out of the ducts for a supply seam, into them for a return seam, m³/s.
    pub flow_m3_s: Change,
}

/// Air change of the house.
#[derive(Debug, Clone, PartialEq)]
pub struct InfiltrationEffect {
    /// Volume of the house, m³.
    pub volume_m3: f64,
    /// Natural infiltration with the air handler off, m³/s.
    pub natural_m3_s: f64,
    /// Supply leakage to outdoors less return leakage from there, m³/s.
    pub unbalanced_m3_s: Change,
    /// Infiltration through the envelope with the fan running, m³/s.
    pub running_m3_s: Change,
}

/// The zone with natural draft that stands lowest.
#[derive(Debug, Clone, PartialEq)]
pub struct DraftEffect {
    /// The zone before, in most draws.
    pub zone_before: String,
    /// The zone after, in most draws.
    pub zone_after: String,
    /// Its pressure against outdoors, Pa; the lowest zone of each draw.
    pub pa: Change,
    /// The appliances.
    pub appliances: String,
}

/// Heating or cooling. Bands hold the draws with regain at its low and at its high figure.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonEffect {
    /// Indoor temperature, K.
    pub indoors_k: f64,
    /// Mean outdoor temperature, K.
    pub outdoors_k: f64,
    /// Temperature in the supply plenum before, K.
    pub supply_air_k: f64,
    /// Heat that the equipment puts into the air before and after, W; below zero when it cools.
    pub capacity_w: f64,
    /// Rise over the equipment, K; below zero when it cools.
    pub rise_k: Change,
    /// Surface over resistance of the ducts outside the conditioned space, supply and return, W/K.
    pub ua_w_k: [f64; 2],
    /// Regain of the supply side, low and high.
    pub supply_regain: (f64, f64),
    /// Delivery effectiveness without regain.
    pub delivery: Change,
    /// Delivery effectiveness with regain.
    pub delivered: Change,
    /// Distribution efficiency.
    pub distribution: Change,
    /// Part of the energy that the work saves: 1 − before/after of the distribution efficiency, or of the bins' sums.
    pub saved_part: Band,
    /// Energy bought that it saves in a year, J.
    pub saved_j: Option<Band>,
    /// Money that it saves in a year.
    pub saved_money: Option<Band>,
    /// Symbol of the unit in which the energy is bought; empty where no price says.
    pub unit: &'static str,
    /// What energy and money rest on, in words; says why one is missing.
    pub basis: String,
}
