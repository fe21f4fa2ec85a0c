//! Reads the house, its rooms and the places in it.

use std::collections::BTreeMap;

use super::diagnostics::{Diagnostic, quoted};
use super::energy;
use super::entries::twin_key;
use super::limits;
use super::reader::Reader;
use super::runs::unique;
use super::span::{Marked, Span};
use super::tables;
use super::tree::{Kind, Node};
use super::types::{House, Place, PlaceAir, PlaceLike, Room};
use super::whole::{each, flow_at, quantity};
use super::words;
use crate::quantity::{Fraction, Pressure};

/// Reads `house`.
pub(super) fn house<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<House> {
    let entries = reader.mapping(node, &tables::HOUSE)?;
    Some(House {
        floor_area: quantity(reader, &entries, "floor area", &limits::FLOOR),
        height: quantity(reader, &entries, "height", &limits::HEIGHT),
        elevation: quantity(reader, &entries, "elevation", &limits::ELEVATION),
        envelope: entries.get("envelope").and_then(|node| {
            flow_at(
                reader,
                node,
                "the leakage of an envelope",
                "2400 cfm at 50 Pa",
                &limits::PATH_PRESSURE,
            )
        }),
    })
}

/// Reads `places`.
pub(super) fn places<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Place> {
    let Kind::Mapping(pairs) = &node.kind else {
        reader.wrong_shape(node, "the places", "a mapping like `attic: outside`");
        return Vec::new();
    };
    let mut places: Vec<Place> = Vec::new();
    let mut seen: BTreeMap<String, Span> = BTreeMap::new();
    for (key, value) in pairs {
        let Some(name) = reader.id(key, "the name of a place") else {
            continue;
        };
        if let Some(first) = seen.get(&name.value) {
            reader.report(twin_key(name.at, &name.value, *first));
            continue;
        }
        seen.insert(name.value.clone(), name.at);
        if value.kind == Kind::Nothing {
            reader.report(
                Diagnostic::new(
                    "E0111",
                    name.at,
                    format!("nothing is written for {}", quoted(&name.value)),
                )
                .label("no value follows")
                .hint("write inside, outside or buffer"),
            );
            continue;
        }
        places.extend(place(reader, name, value));
    }
    places
}

fn place<'t>(reader: &mut Reader<'t>, name: Marked<String>, node: &Node<'t>) -> Option<Place> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let like = reader.choice(node, "a place", words::LIKE)?;
        return Some(Place {
            name,
            like,
            house_share: None,
            to_outdoors: None,
            to_house: None,
            air: PlaceAir::default(),
        });
    }
    let entries = reader.mapping(node, &tables::PLACE_TABLE)?;
    let like = entries
        .get("like")
        .and_then(|node| reader.choice(node, "a place", words::LIKE));
    let path = |reader: &mut Reader<'t>, key: &str| {
        flow_at(
            reader,
            entries.get(key)?,
            "a leak path",
            "900 cfm at 50 Pa",
            &limits::PATH_PRESSURE,
        )
    };
    let to_outdoors = path(reader, "to outdoors");
    let to_house = path(reader, "to house");
    let by_zone = entries
        .get("zone reading")
        .map(|node| zone_reading(reader, node));
    let by_part = entries.get("outside").map(|node| {
        let part: Marked<Fraction> = reader.quantity(node, &limits::OUTSIDE)?;
        Some(Marked::new(Fraction::new(1.0 - part.value.si()), part.at))
    });
    if let (Some(zone), Some(part)) = (entries.key_at("zone reading"), entries.key_at("outside")) {
        reader.report(
            Diagnostic::new("E0140", part, "a place says twice how far it is outdoors")
                .label("and again here")
                .also(zone, "said here")
                .hint("keep the zone reading, which is measured"),
        );
        return None;
    }
    let house_share = match (by_zone, by_part) {
        (Some(share), _) | (_, Some(share)) => Some(share?),
        _ => None,
    };
    let like = like?;
    let share_at = entries
        .key_at("zone reading")
        .or_else(|| entries.key_at("outside"));
    if let (Some(said), Some(_), Some(second)) = (
        share_at,
        entries.key_at("to outdoors"),
        entries.key_at("to house"),
    ) {
        reader.report(
            Diagnostic::new("E0140", second, "a place says twice how far it is outdoors")
                .label("the two leak paths say it too")
                .also(said, "said here")
                .hint("keep the zone reading with one leak path, or the two leak paths alone"),
        );
        return None;
    }
    let between = house_share
        .as_ref()
        .map(|share| share.at)
        .or_else(|| entries.key_at("to outdoors"))
        .or_else(|| entries.key_at("to house"));
    if let Some(at) = between
        && like.value != PlaceLike::Buffer
    {
        reader.report(
            Diagnostic::new(
                "E0171",
                at,
                format!(
                    "only a buffer stands between house and outdoors, but {} does not",
                    quoted(&name.value)
                ),
            )
            .label("said of a place that is not a buffer")
            .also(like.at, "said here")
            .hint("write `like: buffer`, or take this out"),
        );
        return None;
    }
    let air = energy::place_air(reader, &entries, &name.value, &like)?;
    Some(Place {
        name,
        like,
        house_share,
        to_outdoors,
        to_house,
        air,
    })
}

/// Reads `rooms`.
pub(super) fn rooms<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Room> {
    let rooms = each(reader, node, "the rooms", room);
    let mut seen: BTreeMap<String, Span> = BTreeMap::new();
    for room in &rooms {
        let name = Marked::new(room.room.value.to_lowercase(), room.room.at);
        unique(reader, &name, "rooms", &mut seen);
    }
    rooms
}

fn room<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Room> {
    let entries = reader.mapping(node, &tables::ROOM)?;
    let name = entries
        .get("room")
        .and_then(|node| reader.name(node, "a room"));
    let door = entries
        .get("door")
        .and_then(|node| reader.choice(node, "a door", words::DOOR));
    let undercut = entries
        .get("undercut")
        .and_then(|node| reader.size(node, &limits::UNDERCUT_SIDE));
    let transfer = entries
        .get("transfer")
        .and_then(|node| reader.size(node, &limits::OPENING_SIDE));
    Some(Room {
        room: name?,
        door,
        undercut,
        transfer,
    })
}

/// `46 of 50 Pa to outdoors`: the part of the house's pressure against outdoors at which the place sits.
fn zone_reading<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<Fraction>> {
    const HINT: &str = "write the place's pressure, the house's, and what the place was read against: `46 of 50 Pa to outdoors` or `4 of 50 Pa to house`";
    let cut = reader.words(node, "a zone reading")?;
    let bad = |reader: &mut Reader<'_>, title: &str| {
        reader.report(
            Diagnostic::new(
                "E0170",
                cut.inner(),
                format!("{title} in {}", quoted(cut.text)),
            )
            .label("zone reading")
            .hint(HINT),
        );
        None
    };
    let lower = cut.text.to_ascii_lowercase();
    let (values, to) = match lower.rfind(" to ") {
        Some(i) => (&cut.text[..i], cut.text[i + 4..].trim()),
        None => return bad(reader, "the reference is missing"),
    };
    let Some((zone, house)) = values.split_once(" of ") else {
        return bad(reader, "`of` and the pressure of the house are missing");
    };
    let house_pa: Marked<Pressure> =
        reader.quantity_in(&cut, house.trim(), &limits::ZONE_PRESSURE)?;
    let zone = zone.trim();
    let zone_pa = if zone.parse::<f64>().is_ok() {
        // `46 of 50 Pa`: the unit of the house's pressure holds for both.
        let unit = house
            .trim()
            .trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '−'));
        match format!("{zone} {}", unit.trim()).parse::<Pressure>() {
            Ok(value) => reader
                .within(cut.span(zone), zone, value.si(), &limits::ZONE_PRESSURE)
                .then_some(value)?,
            Err(error) => {
                reader.refuse(cut.span(zone), &error);
                return None;
            }
        }
    } else {
        reader
            .quantity_in::<Pressure>(&cut, zone, &limits::ZONE_PRESSURE)?
            .value
    };
    if house_pa.value.si() <= 0.0 {
        return bad(reader, "the house has no pressure");
    }
    let part = zone_pa.si() / house_pa.value.si();
    if part > 1.0 {
        return bad(reader, "the place has more pressure than the house");
    }
    let share = match to.to_ascii_lowercase().as_str() {
        "outdoors" | "outside" => part,
        "house" | "the house" => 1.0 - part,
        _ => return bad(reader, "the reference is neither `outdoors` nor `house`"),
    };
    Some(Marked::new(Fraction::new(share), cut.inner()))
}
