//! Effects as JSON: the contract `ductseam/effects/1`.
//!
//! SI throughout. Volume flows are at 1.204 kg/m³, pressures against outdoors. What is not known is null. Fields are
//! only ever added within version 1.

use serde::Serialize;

use super::said::{all_cautions, whole};
use crate::effects::{self, Effects};
use crate::report::cautions::Caution;
use crate::report::json_parts::{Band, Warning};
use crate::report::words;
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/effects/1";

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct Answer {
    /// [`FORMAT`].
    pub format: &'static str,
    /// Title of the sketch.
    pub title: String,
    /// Draws that count.
    pub draws: usize,
    /// Draws left out because their flow did not settle.
    pub left_out: usize,
    /// Airflow to which the blower's curve was scaled before the work, m³/s; null where it was taken as it is.
    pub scaled_to_m3_s: Option<f64>,
    /// Factor on the blower's curve.
    pub blower_factor: f64,
    /// Flow through the blower, m³/s.
    pub blower_m3_s: Change,
    /// Static pressure in the supply plenum, Pa.
    pub supply_static_pa: Option<Change>,
    /// Static pressure in the return plenum, Pa.
    pub return_static_pa: Option<Change>,
    /// Static pressure from return to supply plenum, Pa.
    pub external_static_pa: Option<Change>,
    /// Electric power of the blower, W.
    pub fan_w: Option<Change>,
    /// Rooms in the system's order.
    pub rooms: Vec<Room>,
    /// Registers and grilles in the system's order.
    pub registers: Vec<Register>,
    /// Supply, then return.
    pub sides: Vec<Side>,
    /// Leakage by place.
    pub places: Vec<Place>,
    /// Return leaks that draw from outside the conditioned space, the largest before first.
    pub drawn: Vec<Seam>,
    /// Supply leaks that blow there, the largest before first.
    pub blown: Vec<Seam>,
    /// Pressure of the house, Pa; null where no envelope is known.
    pub house_pa: Option<Change>,
    /// Air change of the house; null without a floor area.
    pub infiltration: Option<Infiltration>,
    /// The zone with natural draft that stands lowest; null without one.
    pub draft: Option<Draft>,
    /// Whether next to no duct and no leak lies outside the conditioned space.
    pub indoors: bool,
    /// What that means, in words.
    pub indoors_words: String,
    /// Heating; null where it cannot be told.
    pub heating: Option<Season>,
    /// Cooling; null where it cannot be told.
    pub cooling: Option<Season>,
    /// Year of the prices.
    pub year: Option<u16>,
    /// The word for the money; null where the sketch gives none.
    pub currency: Option<String>,
    /// What stood in for something unsaid.
    pub defaults: Vec<Default>,
    /// What the person should know.
    pub warnings: Vec<Warning>,
    /// Safety, stops first.
    pub cautions: Vec<Caution>,
}

/// A figure before and after.
#[derive(Debug, Serialize)]
pub struct Change {
    /// Before.
    pub before: Band,
    /// After.
    pub after: Band,
    /// After less before, draw by draw.
    pub change: Band,
}

impl From<&effects::Change> for Change {
    fn from(found: &effects::Change) -> Self {
        Self {
            before: found.before.into(),
            after: found.after.into(),
            change: found.change.into(),
        }
    }
}

/// A room.
#[derive(Debug, Serialize)]
pub struct Room {
    /// Name.
    pub room: String,
    /// Sum of the design flows of its supply runs, m³/s; null unless every one states its own.
    pub meant_m3_s: Option<f64>,
    /// What its registers bring, m³/s.
    pub supplied_m3_s: Change,
    /// Part of what was meant.
    pub part_of_meant: Option<Change>,
    /// What its grilles take, m³/s.
    pub returned_m3_s: Change,
}

/// A register or grille.
#[derive(Debug, Serialize)]
pub struct Register {
    /// Id of its boot.
    pub id: String,
    /// Run.
    pub run: String,
    /// `supply` or `return`.
    pub side: &'static str,
    /// Room.
    pub room: Option<String>,
    /// Flow meant, m³/s.
    pub meant_m3_s: Option<f64>,
    /// Flow the usual way, m³/s.
    pub flow_m3_s: Change,
}

/// Leakage of a side.
#[derive(Debug, Serialize)]
pub struct Side {
    /// `supply` or `return`.
    pub side: &'static str,
    /// Out of the ducts, m³/s.
    pub out_m3_s: Change,
    /// Into the ducts, m³/s.
    pub in_m3_s: Change,
    /// Part of the blower's flow that goes to, or comes from, outside the conditioned space.
    pub outside_part: Change,
}

/// Leakage at a place.
#[derive(Debug, Serialize)]
pub struct Place {
    /// Name.
    pub place: String,
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

/// A seam.
#[derive(Debug, Serialize)]
pub struct Seam {
    /// Id.
    pub seam: String,
    /// Place.
    pub place: String,
    /// Leakage the usual way, m³/s.
    pub flow_m3_s: Change,
}

/// Air change of the house.
#[derive(Debug, Serialize)]
pub struct Infiltration {
    /// Volume of the house, m³.
    pub volume_m3: f64,
    /// Natural infiltration at rest, m³/s.
    pub natural_m3_s: f64,
    /// Supply leakage to outdoors less return leakage from there, m³/s.
    pub unbalanced_m3_s: Change,
    /// Through the envelope while the unit runs, m³/s.
    pub running_m3_s: Change,
}

/// The zone with natural draft that stands lowest.
#[derive(Debug, Serialize)]
pub struct Draft {
    /// Zone before, in most draws.
    pub zone_before: String,
    /// Zone after, in most draws.
    pub zone_after: String,
    /// Its pressure against outdoors, Pa.
    pub pa: Change,
    /// Appliances.
    pub appliances: String,
}

/// Heating or cooling.
#[derive(Debug, Serialize)]
pub struct Season {
    /// Indoor temperature, K.
    pub indoors_k: f64,
    /// Mean outdoor temperature, K.
    pub outdoors_k: f64,
    /// Temperature in the supply plenum before, K.
    pub supply_air_k: f64,
    /// Heat put into the air, W; below zero when it cools.
    pub capacity_w: f64,
    /// Rise over the equipment, K; below zero when it cools.
    pub rise_k: Change,
    /// Surface over resistance of supply ducts outside the conditioned space, W/K.
    pub supply_ua_w_k: f64,
    /// The same of return ducts, W/K.
    pub return_ua_w_k: f64,
    /// Part of the supply ducts' losses that comes back, low.
    pub regain_low: f64,
    /// The same, high.
    pub regain_high: f64,
    /// Delivery effectiveness without regain.
    pub delivery_effectiveness: Change,
    /// Delivery effectiveness with regain, low and high together.
    pub delivery_with_regain: Change,
    /// Distribution efficiency, low and high regain together.
    pub distribution_efficiency: Change,
    /// Part of the energy that is saved.
    pub saved_part: Band,
    /// Energy saved in a year, J.
    pub saved_j: Option<Band>,
    /// Money saved in a year, rounded to two digits.
    pub saved_money: Option<Band>,
    /// Unit in which the energy is bought; null where no price says.
    pub unit: Option<&'static str>,
    /// What energy and money rest on, in words.
    pub basis: String,
}

/// A default.
#[derive(Debug, Serialize)]
pub struct Default {
    /// What it is about.
    pub about: String,
    /// What was taken.
    pub taken: String,
    /// Where it comes from.
    pub source: String,
}

/// The answer as JSON text, indented, with a final newline.
///
/// # Panics
/// Never: the answer holds only texts, numbers and lists of them.
#[must_use]
pub fn effects_json(system: &System, effects: &Effects) -> String {
    let maybe = |change: &Option<effects::Change>| change.as_ref().map(Into::into);
    let seams = |seams: &[effects::SeamEffect]| seams.iter().map(seam).collect();
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: system.title.clone(),
        draws: effects.draws,
        left_out: effects.left_out,
        scaled_to_m3_s: effects.scaled_to_m3_s,
        blower_factor: effects.blower_factor,
        blower_m3_s: (&effects.blower_m3_s).into(),
        supply_static_pa: maybe(&effects.supply_static_pa),
        return_static_pa: maybe(&effects.return_static_pa),
        external_static_pa: maybe(&effects.external_static_pa),
        fan_w: maybe(&effects.fan_w),
        rooms: effects.rooms.iter().map(room).collect(),
        registers: effects.registers.iter().map(register).collect(),
        sides: effects.sides.iter().map(side).collect(),
        places: effects.places.iter().map(place).collect(),
        drawn: seams(&effects.drawn),
        blown: seams(&effects.blown),
        house_pa: effects.envelope_known.then(|| (&effects.house_pa).into()),
        infiltration: effects.infiltration.as_ref().map(infiltration),
        draft: effects.draft.as_ref().map(draft),
        indoors: effects.indoors,
        indoors_words: effects.indoors_words.clone(),
        heating: effects.heating.as_ref().map(season),
        cooling: effects.cooling.as_ref().map(season),
        year: effects.year,
        currency: (!effects.currency.is_empty()).then(|| effects.currency.clone()),
        defaults: effects
            .defaults
            .iter()
            .map(|used| Default {
                about: used.about.clone(),
                taken: used.taken.clone(),
                source: used.source.clone(),
            })
            .collect(),
        warnings: system
            .warnings
            .iter()
            .chain(&effects.notes)
            .map(|warning| Warning {
                code: warning.code.clone(),
                text: warning.text.clone(),
            })
            .collect(),
        cautions: all_cautions(system, effects),
    })
}

fn room(found: &effects::RoomEffect) -> Room {
    Room {
        room: found.name.clone(),
        meant_m3_s: found.meant_m3_s,
        supplied_m3_s: (&found.supplied_m3_s).into(),
        part_of_meant: found.part_of_meant.as_ref().map(Into::into),
        returned_m3_s: (&found.returned_m3_s).into(),
    }
}

fn register(found: &effects::RegisterEffect) -> Register {
    Register {
        id: found.id.clone(),
        run: found.run.clone(),
        side: words::side(found.side),
        room: found.room.clone(),
        meant_m3_s: found.meant_m3_s,
        flow_m3_s: (&found.flow_m3_s).into(),
    }
}

fn side(found: &effects::SideEffect) -> Side {
    Side {
        side: words::side(found.side),
        out_m3_s: (&found.out_m3_s).into(),
        in_m3_s: (&found.in_m3_s).into(),
        outside_part: (&found.outside_part).into(),
    }
}

fn place(found: &effects::PlaceEffect) -> Place {
    Place {
        place: found.name.clone(),
        unconditioned: found.unconditioned,
        pressure_pa: (&found.pressure_pa).into(),
        supply_out_m3_s: (&found.supply_out_m3_s).into(),
        supply_in_m3_s: (&found.supply_in_m3_s).into(),
        return_out_m3_s: (&found.return_out_m3_s).into(),
        return_in_m3_s: (&found.return_in_m3_s).into(),
    }
}

fn seam(found: &effects::SeamEffect) -> Seam {
    Seam {
        seam: found.id.clone(),
        place: found.place.clone(),
        flow_m3_s: (&found.flow_m3_s).into(),
    }
}

fn infiltration(found: &effects::InfiltrationEffect) -> Infiltration {
    Infiltration {
        volume_m3: found.volume_m3,
        natural_m3_s: found.natural_m3_s,
        unbalanced_m3_s: (&found.unbalanced_m3_s).into(),
        running_m3_s: (&found.running_m3_s).into(),
    }
}

fn draft(found: &effects::DraftEffect) -> Draft {
    Draft {
        zone_before: found.zone_before.clone(),
        zone_after: found.zone_after.clone(),
        pa: (&found.pa).into(),
        appliances: found.appliances.clone(),
    }
}

fn season(found: &effects::SeasonEffect) -> Season {
    Season {
        indoors_k: found.indoors_k,
        outdoors_k: found.outdoors_k,
        supply_air_k: found.supply_air_k,
        capacity_w: found.capacity_w,
        rise_k: (&found.rise_k).into(),
        supply_ua_w_k: found.ua_w_k[0],
        return_ua_w_k: found.ua_w_k[1],
        regain_low: found.supply_regain.0,
        regain_high: found.supply_regain.1,
        delivery_effectiveness: (&found.delivery).into(),
        delivery_with_regain: (&found.delivered).into(),
        distribution_efficiency: (&found.distribution).into(),
        saved_part: found.saved_part.into(),
        saved_j: found.saved_j.map(Into::into),
        saved_money: found.saved_money.map(|money| whole(money).into()),
        unit: (!found.unit.is_empty()).then_some(found.unit),
        basis: found.basis.clone(),
    }
}
