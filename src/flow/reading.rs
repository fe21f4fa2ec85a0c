//! What can be read in a set-up, kind by kind.
//!
//! A new kind of reading is a variant of [`ReadingKind`] and its line in [`Prepared::reading_of`].

use super::builder::NodeId;
use super::map::Prepared;
use super::probe::{Against, Probe, Section};
use crate::system::{LeadsTo, OpeningIdx, PlaceIdx, Reads, Side, System, TestKind};

/// What a set-up reads, in terms of its network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Flow of the fan on the ducts or in the door: [`Outcome::fan_flow_m3_s`](super::Outcome::fan_flow_m3_s).
    FanFlow,
    /// Something else.
    Probe(Probe),
}

/// Kinds of reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingKind {
    /// Flow of the test fan, m³/s.
    FanFlow,
    /// Flow of the air handler, m³/s.
    BlowerFlow,
    /// Flow through a register or grille into its room, m³/s; below zero at a return.
    RegisterFlow(OpeningIdx),
    /// Static pressure in the plenum of a side against the house, Pa.
    PlenumStatic(Side),
    /// External static pressure: supply plenum less return plenum, both static, Pa.
    StaticRise,
    /// Pressure behind an opening against its room, Pa; under a pan where that opening is covered.
    BehindOpening(OpeningIdx),
    /// Pressure of a room against the house, Pa.
    Room(usize),
    /// Pressure of a place against the house, Pa.
    Place(PlaceIdx),
    /// Pressure of the house against outdoors, Pa.
    House,
}

impl ReadingKind {
    /// What a set-up reads.
    pub(super) fn of(kind: TestKind) -> Self {
        match (kind.recipe().reads, kind) {
            (Reads::BlowerFlow, _) => ReadingKind::BlowerFlow,
            (Reads::PanPressure, TestKind::Pan(opening)) => ReadingKind::BehindOpening(opening),
            (Reads::DuctFanFlow | Reads::HouseFanFlow | Reads::PanPressure, _) => {
                ReadingKind::FanFlow
            }
        }
    }
}

impl Prepared {
    /// A kind of reading in this set-up; `None` where it cannot be taken: nothing runs, or the place takes no part or
    /// is no node.
    pub fn reading_of(&self, system: &System, kind: ReadingKind) -> Option<Reading> {
        let map = &self.map;
        let unit = &system.unit;
        let pressure = |at: NodeId, still: Option<Section>, against: Against| {
            Some(Reading::Probe(Probe::Pressure { at, against, still }))
        };
        let house = map.house.map_or(Against::Outdoors, Against::Node);
        let plenum = |side: Side| {
            let junction = match side {
                Side::Supply => unit.supply_plenum,
                Side::Return => unit.return_plenum,
            };
            (map.junctions[junction.index()], map.plenum(side))
        };
        match kind {
            ReadingKind::FanFlow => self.has_fan.then_some(Reading::FanFlow),
            ReadingKind::BlowerFlow => map.blower.map(|b| Reading::Probe(Probe::Flow(b))),
            ReadingKind::RegisterFlow(opening) => {
                map.openings[opening].map(|b| Reading::Probe(Probe::Flow(b)))
            }
            ReadingKind::PlenumStatic(side) => {
                let (at, still) = plenum(side);
                pressure(at, still, house)
            }
            ReadingKind::StaticRise => {
                let (at, still) = plenum(Side::Supply);
                let (from, from_still) = plenum(Side::Return);
                let against = match from_still {
                    Some(section) => Against::Still(from, section),
                    None => Against::Node(from),
                };
                pressure(at, still, against)
            }
            ReadingKind::BehindOpening(opening) => {
                let opening = &system.openings[opening];
                let before = match opening.leads_to {
                    LeadsTo::Outdoors => Against::Outdoors,
                    LeadsTo::Room => opening
                        .room_index
                        .and_then(|room| map.rooms.get(room).copied().flatten())
                        .map_or(house, Against::Node),
                };
                pressure(map.junctions[opening.node.index()], None, before)
            }
            ReadingKind::Room(room) => pressure(map.rooms.get(room).copied()??, None, house),
            ReadingKind::Place(place) => pressure(map.places.get(place).copied()??, None, house),
            ReadingKind::House => pressure(map.house?, None, Against::Outdoors),
        }
    }
}
