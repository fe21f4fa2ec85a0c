//! What stands round the ducts: house, closed rooms, buffer zones and outdoors.

use super::branch_law::BranchLaw;
use super::builder::{AbstractNetwork, NodeId};
use super::setup::Boundary;
use crate::math::powf;
use crate::system::{
    Door, HousePressure, LeadsTo, LeakPath, Mover, Opening, Place, PlaceIdx, System,
};

/// Part of the envelope's stated leakage that at least goes straight outdoors, when paths through buffer zones seem
/// to carry more than all of it. Engineering estimate.
const LEAST_STRAIGHT_PART: f64 = 0.2;

/// Part of the envelope's stated leakage that at most goes through zones whose paths nobody stated. Engineering
/// estimate: half of a house's leakage passes its attic, basement and garage.
const MOST_PART_THROUGH_ZONES: f64 = 0.5;

/// Pressure at which paths through zones are compared with the envelope, Pa.
const COMPARED_AT_PA: f64 = 50.0;

/// Nodes of the surroundings; none where a test fan on the ducts leaves them at given pressures.
#[derive(Debug, Clone, Default)]
pub(super) struct Surroundings {
    pub(super) house: Option<NodeId>,
    pub(super) outdoors: Option<NodeId>,
    /// Node of each room that is not at the house's pressure.
    pub(super) rooms: Vec<Option<NodeId>>,
    /// Node of each place between house and outdoors.
    pub(super) places: Vec<Option<NodeId>>,
    /// Whether a path joins house and outdoors.
    pub(super) grounded: bool,
}

/// What a seam leaks into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Zone {
    /// A part of the house's pressure.
    Share(f64),
    /// A node.
    Node(NodeId),
}

impl Surroundings {
    pub(super) fn new(system: &System, found: &Boundary, network: &mut AbstractNetwork) -> Self {
        if found.recipe.mover == Mover::DuctFan {
            return Surroundings::default();
        }
        let house = network.node("house");
        let outdoors = network.node("outdoors");
        let mut around = Surroundings {
            house: Some(house),
            outdoors: Some(outdoors),
            rooms: vec![None; system.rooms.len()],
            places: vec![None; system.places.len()],
            grounded: false,
        };
        if !found.recipe.doors_opened {
            around.close_rooms(system, house, network);
        }
        let through = around.zones(system, house, outdoors, network);
        if let Some(envelope) = &system.envelope {
            around.grounded = true;
            let whole = flow_at(envelope, COMPARED_AT_PA);
            let part = (1.0 - through / whole).max(LEAST_STRAIGHT_PART);
            path(network, "envelope", house, outdoors, envelope, part);
        } else if found.recipe.house == HousePressure::Floats {
            // Without a known envelope the house stands at outdoor pressure, whatever paths zones have.
            around.grounded = false;
        }
        around
    }

    fn close_rooms(&mut self, system: &System, house: NodeId, network: &mut AbstractNetwork) {
        for (at, room) in system.rooms.iter().enumerate() {
            if room.door == Door::Closed {
                let node = network.node(room.name.clone());
                self.rooms[at] = Some(node);
                for (k, one) in room.paths.iter().enumerate() {
                    let name = format!("{} path {}", room.name, k + 1);
                    path(network, &name, node, house, one, 1.0);
                }
            }
        }
    }

    /// Adds the zones that seams touch; returns what passes through them between house and outdoors, m³/s.
    fn zones(
        &mut self,
        system: &System,
        house: NodeId,
        outdoors: NodeId,
        network: &mut AbstractNetwork,
    ) -> f64 {
        let mut touched = vec![false; system.places.len()];
        for seam in &system.seams {
            touched[seam.place] = true;
        }
        let scale = derived_scale(system, &touched);
        let mut through = 0.0;
        for (at, place) in system.places.iter().enumerate() {
            if !touched[at] {
                continue;
            }
            self.places[at] = if place.house_share >= 1.0 {
                Some(house)
            } else if let (Some(out), Some(inn)) = (&place.to_outdoors, &place.to_house) {
                let part = if is_derived(place) { scale } else { 1.0 };
                let node = network.node(place.name.clone());
                path(
                    network,
                    &format!("{} to house", place.name),
                    node,
                    house,
                    inn,
                    part,
                );
                path(
                    network,
                    &format!("{} to outdoors", place.name),
                    node,
                    outdoors,
                    out,
                    part,
                );
                through += part * in_series(inn, out);
                self.grounded = true;
                Some(node)
            } else if place.house_share <= 0.0 {
                Some(outdoors)
            } else {
                // A share without paths: only a house that is held, or stands at 0, gives it a pressure.
                None
            };
        }
        through
    }

    /// What a seam in a place leaks into.
    pub(super) fn zone(&self, system: &System, place: PlaceIdx) -> Zone {
        let node = self.places.get(place).copied().flatten();
        node.map_or(Zone::Share(system.places[place].house_share), Zone::Node)
    }

    /// What lies before an opening.
    ///
    /// The house where nothing else is known; there is one wherever openings stand open.
    pub(super) fn before(&self, opening: &Opening) -> NodeId {
        let house = self.house.unwrap_or_default();
        match opening.leads_to {
            LeadsTo::Outdoors => self.outdoors.unwrap_or(house),
            LeadsTo::Room => opening
                .room_index
                .and_then(|room| self.rooms[room])
                .unwrap_or(house),
        }
    }
}

/// Whether neither of a place's paths was stated.
fn is_derived(place: &Place) -> bool {
    let given = |path: &Option<LeakPath>| path.as_ref().is_some_and(LeakPath::is_given);
    !given(&place.to_outdoors) && !given(&place.to_house)
}

/// Factor on the paths of zones that were derived from a share alone, so that together they stay below
/// [`MOST_PART_THROUGH_ZONES`] of the envelope. Both paths of a zone take it: its share stays.
fn derived_scale(system: &System, touched: &[bool]) -> f64 {
    let Some(envelope) = &system.envelope else {
        return 1.0;
    };
    let through: f64 = system
        .places
        .iter()
        .zip(touched)
        .filter(|(place, touched)| **touched && is_derived(place))
        .filter_map(|(place, _)| {
            Some(in_series(
                place.to_house.as_ref()?,
                place.to_outdoors.as_ref()?,
            ))
        })
        .sum();
    let most = MOST_PART_THROUGH_ZONES * flow_at(envelope, COMPARED_AT_PA);
    if through > most { most / through } else { 1.0 }
}

fn path(
    network: &mut AbstractNetwork,
    name: &str,
    tail: NodeId,
    head: NodeId,
    path: &LeakPath,
    part: f64,
) {
    let law = BranchLaw::Path {
        q_m3_s: part * path.q_m3_s,
        dp_pa: path.dp_pa,
        n: path.n,
    };
    network.branch(name, tail, head, law);
}

fn flow_at(path: &LeakPath, dp_pa: f64) -> f64 {
    path.q_m3_s * powf(dp_pa / path.dp_pa, path.n)
}

/// Flow through two paths one behind the other at 50 Pa over both, m³/s: where the flows are equal, by bisection.
fn in_series(a: &LeakPath, b: &LeakPath) -> f64 {
    let (mut low, mut high) = (0.0, COMPARED_AT_PA);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if flow_at(a, middle) < flow_at(b, COMPARED_AT_PA - middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    flow_at(a, low)
}
