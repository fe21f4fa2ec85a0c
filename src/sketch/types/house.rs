//! The house: its rooms' doors, the places in it, what burns fuel there.

use super::super::span::Marked;
use super::energy::PlaceAir;
use crate::quantity::{Area, Flow, Fraction, Length, Pressure, Size};

/// The house around the ducts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct House {
    /// Conditioned floor area served by this system.
    pub floor_area: Option<Marked<Area>>,
    /// Ceiling height of a storey.
    pub height: Option<Marked<Length>>,
    /// Height above sea level.
    pub elevation: Option<Marked<Length>>,
    /// Leakage of the envelope: flow at a pressure difference.
    pub envelope: Option<Marked<FlowAt>>,
}

/// A flow at a pressure difference: `2400 cfm at 50 Pa`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowAt {
    /// The flow.
    pub flow: Flow,
    /// The pressure difference.
    pub pressure: Pressure,
}

/// How a room's door stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Door {
    /// Open: the room is at the house's pressure.
    Open,
    /// Closed: air passes by the paths alone.
    Closed,
}

/// What the sketch says of a room that a run serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Its name, as a run names it.
    pub room: Marked<String>,
    /// Its door; open if not said.
    pub door: Option<Marked<Door>>,
    /// Gap under the door: height by width.
    pub undercut: Option<Marked<Size>>,
    /// Transfer grille or jump duct to the rest of the house.
    pub transfer: Option<Marked<Size>>,
}

/// How a place stands between the house and outdoors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlaceLike {
    /// At house pressure.
    Inside,
    /// At outdoor pressure.
    Outside,
    /// Between the two.
    Buffer,
}

/// A place as the sketch declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name, for instance `basement`.
    pub name: Marked<String>,
    /// Its kind.
    pub like: Marked<PlaceLike>,
    /// Part of the house's pressure against outdoors at which the place sits: 1 inside, 0 outdoors.
    /// From `zone reading: 46 of 50 Pa to outdoors` (0.92), `4 of 50 Pa to house` (0.92), or `40 % outside` (0.60).
    pub house_share: Option<Marked<Fraction>>,
    /// Leakage between the place and outdoors.
    pub to_outdoors: Option<Marked<FlowAt>>,
    /// Leakage between the place and the house.
    pub to_house: Option<Marked<FlowAt>>,
    /// Its temperatures, and what comes back of the ducts' losses.
    pub air: PlaceAir,
}

/// Draft of a fuel-burning appliance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Draft {
    /// Natural draft into a chimney.
    Natural,
    /// Fan assisted (induced draft) into a chimney.
    FanAssisted,
    /// Sealed combustion or direct vent.
    Sealed,
}

/// A fuel-burning appliance.
#[derive(Debug, Clone, PartialEq)]
pub struct Appliance {
    /// What it is.
    pub appliance: Marked<String>,
    /// How it vents.
    pub draft: Marked<Draft>,
    /// Where it stands.
    pub place: Marked<String>,
}

/// Answer to: was old white or grey tape or wrap seen that may hold asbestos?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SuspectTape {
    /// Nobody looked (the default).
    #[default]
    NotChecked,
    /// Looked, none seen.
    NoneSeen,
    /// Seen, or cannot be ruled out.
    Suspected,
}
