//! The part of `check` about the running system: blower, envelope, leak paths of places, rooms.

use serde::Serialize;

use super::lines::wrapped;
use crate::quantity::{Flow, UnitSystem, significant};
use crate::system::{BlowerKind, Door, LeakPath, System};

/// What the sketch says of the running system: what it leaves open stands among the defaults.
pub(super) fn text(system: &System, units: UnitSystem) -> String {
    let mut lines = Vec::new();
    let path = |path: &LeakPath| {
        let (flow, at) = (Flow::new(path.q_m3_s), significant(path.dp_pa, 3));
        format!("{} at {at} Pa", flow.show(units))
    };
    if system.unit.blower.kind == BlowerKind::Points {
        let points: Vec<String> = system
            .unit
            .blower
            .points
            .iter()
            .map(|(rise, q)| {
                format!(
                    "{} at {} Pa",
                    Flow::new(*q).show(units),
                    significant(*rise, 3)
                )
            })
            .collect();
        lines.push(("blower", points.join(", ")));
    }
    if let Some(envelope) = system.envelope.as_ref().filter(|e| e.is_given()) {
        lines.push(("envelope", path(envelope)));
    }
    for place in &system.places {
        let said = [&place.to_outdoors, &place.to_house];
        if said.into_iter().flatten().any(LeakPath::is_given)
            && let (Some(out), Some(house)) = (&place.to_outdoors, &place.to_house)
        {
            let words = format!("{} to outdoors, {} to the house", path(out), path(house));
            lines.push((place.name.as_str(), words));
        }
    }
    for room in &system.rooms {
        if room.door == Door::Open && room.paths.is_empty() {
            continue;
        }
        let door = match room.door {
            Door::Open => "door open",
            Door::Closed => "door closed",
        };
        let paths: Vec<String> = room.paths.iter().map(path).collect();
        let words = match paths.is_empty() {
            true => door.to_owned(),
            false => format!("{door}, passes {}", paths.join(" and ")),
        };
        lines.push((room.name.as_str(), words));
    }
    if lines.is_empty() {
        return String::new();
    }
    let mut text = String::from("While running\n");
    for (what, words) in lines {
        text.push_str(&wrapped(&format!("  {what}: "), &words));
    }
    text.push('\n');
    text
}

/// The running system for programs, SI.
#[derive(Debug, Serialize)]
pub(super) struct Running<'a> {
    blower: Blower<'a>,
    envelope: Option<Path<'a>>,
    places: Vec<Place<'a>>,
    rooms: Vec<Room<'a>>,
}

#[derive(Debug, Serialize)]
struct Blower<'a> {
    kind: &'static str,
    points: Vec<Point>,
    source: &'a str,
}

#[derive(Debug, Serialize)]
struct Point {
    rise_pa: f64,
    flow_m3_s: f64,
}

#[derive(Debug, Serialize)]
struct Path<'a> {
    flow_m3_s: f64,
    pressure_pa: f64,
    n: f64,
    source: &'a str,
}

#[derive(Debug, Serialize)]
struct Place<'a> {
    name: &'a str,
    to_outdoors: Option<Path<'a>>,
    to_house: Option<Path<'a>>,
}

#[derive(Debug, Serialize)]
struct Room<'a> {
    name: &'a str,
    door: &'static str,
    paths: Vec<Path<'a>>,
}

/// What is known of the running system.
pub(super) fn running(system: &System) -> Running<'_> {
    let blower = &system.unit.blower;
    Running {
        blower: Blower {
            kind: match blower.kind {
                BlowerKind::FixedSpeed => "fixed speed",
                BlowerKind::ConstantFlow => "constant flow",
                BlowerKind::Points => "points",
            },
            points: blower
                .points
                .iter()
                .map(|&(rise_pa, flow_m3_s)| Point { rise_pa, flow_m3_s })
                .collect(),
            source: &blower.source,
        },
        envelope: system.envelope.as_ref().map(path),
        places: system
            .places
            .iter()
            .filter(|place| place.to_outdoors.is_some() || place.to_house.is_some())
            .map(|place| Place {
                name: &place.name,
                to_outdoors: place.to_outdoors.as_ref().map(path),
                to_house: place.to_house.as_ref().map(path),
            })
            .collect(),
        rooms: system
            .rooms
            .iter()
            .map(|room| Room {
                name: &room.name,
                door: match room.door {
                    Door::Open => "open",
                    Door::Closed => "closed",
                },
                paths: room.paths.iter().map(path).collect(),
            })
            .collect(),
    }
}

fn path(path: &LeakPath) -> Path<'_> {
    Path {
        flow_m3_s: path.q_m3_s,
        pressure_pa: path.dp_pa,
        n: path.n,
        source: &path.source,
    }
}
