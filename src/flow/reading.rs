//! What can be read in a set-up, kind by kind.
//!
//! A new kind of reading is a variant of [`Observable`] and its line in [`Prepared::reading_of`].

use super::builder::NodeId;
use super::map::Prepared;
use super::probe::{Against, Probe, Section};
pub use crate::system::Observable;
use crate::system::{LeadsTo, Reads, Side, System, TestKind};

/// What a set-up reads, in terms of its network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Flow of the fan on the ducts or in the door: [`Outcome::fan_flow_m3_s`](super::Outcome::fan_flow_m3_s).
    FanFlow,
    /// Something else.
    Probe(Probe),
}

/// What a set-up reads by itself.
pub(super) fn usual(kind: TestKind) -> Observable {
    match (kind.recipe().reads, kind) {
        (Reads::BlowerFlow, _) => Observable::BlowerFlow,
        (Reads::PanPressure, TestKind::Pan(opening)) => Observable::BehindOpening(opening),
        (Reads::DuctFanFlow | Reads::HouseFanFlow | Reads::PanPressure, _) => Observable::FanFlow,
    }
}

impl Prepared {
    /// A kind of reading in this set-up; `None` where it cannot be taken: nothing runs, or the place takes no part or
    /// is no node.
    pub fn reading_of(&self, system: &System, kind: Observable) -> Option<Reading> {
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
            Observable::FanFlow => self.has_fan.then_some(Reading::FanFlow),
            Observable::BlowerFlow => map.blower.map(|b| Reading::Probe(Probe::Flow(b))),
            Observable::RegisterFlow(opening) => {
                map.openings[opening].map(|b| Reading::Probe(Probe::Flow(b)))
            }
            Observable::PlenumStatic(side) => {
                let (at, still) = plenum(side);
                pressure(at, still, house)
            }
            Observable::StaticRise => {
                let (at, still) = plenum(Side::Supply);
                let (from, from_still) = plenum(Side::Return);
                let against = match from_still {
                    Some(section) => Against::Still(from, section),
                    None => Against::Node(from),
                };
                pressure(at, still, against)
            }
            Observable::BehindOpening(opening) => {
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
            Observable::Room(room) => pressure(map.rooms.get(room).copied()??, None, house),
            Observable::Place(place) => pressure(map.places.get(place).copied()??, None, house),
            Observable::House => pressure(map.house?, None, Against::Outdoors),
        }
    }
}
