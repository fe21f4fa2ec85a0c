//! Leak paths between the spaces of a house: envelope, buffer places, doors.

use std::collections::BTreeMap;

use super::notes::{ESTIMATE, Notes, SAID};
use super::types::{Door, LeakPath, Place, Room};
use crate::catalog::opening::opening_flow;
use crate::math::powf;
use crate::quantity::{Flow, Length, UnitSystem};
use crate::sketch::{self, Diagnostic, FlowAt, House, Marked, Sketch, some_of};

/// Flow exponent of envelopes and of places: houses tested with a fan come near it. From memory.
const CRACK_N: f64 = 0.65;
/// Flow exponent of a sharp opening: the orifice equation.
const OPENING_N: f64 = 0.5;
/// Pressure at which openings are stated, Pa. Any would do: the exponent is the orifice's.
const OPENING_PA: f64 = 10.0;
/// Pressure of house fan tests, Pa: the usual reference of standards for them.
const HOUSE_PA: f64 = 50.0;
/// Air changes an hour at 50 Pa of a house that nobody tested. Engineering estimate: an existing house, neither new
/// nor draughty.
const AIR_CHANGES: f64 = 7.0;
/// Ceiling height when nobody says, m: 8 ft. Common practice.
pub const USUAL_HEIGHT_M: f64 = Length::from_ft(8.0).si();
/// Gap under a closed door when nobody says, m: half an inch by 30 in. Engineering estimate.
const UNDERCUT_M: (f64, f64) = (Length::from_in(0.5).si(), Length::from_in(30.0).si());

/// A path of a flow that a person states.
pub(super) fn said_path(said: &Marked<FlowAt>) -> LeakPath {
    LeakPath {
        q_m3_s: said.value.flow.si(),
        dp_pa: said.value.pressure.si(),
        n: CRACK_N,
        source: format!("{SAID}; exponent {CRACK_N} from memory"),
    }
}

/// Leakage of the envelope: as said, or estimated from floor area and height; `None` without a floor area.
pub(super) fn envelope(house: &House, units: UnitSystem, notes: &mut Notes) -> Option<LeakPath> {
    if let Some(said) = &house.envelope {
        return Some(said_path(said));
    }
    let area = house.floor_area.as_ref()?.value.si();
    let height = house.height.as_ref().map_or_else(
        || {
            let taken = format!("height: {}", Length::new(USUAL_HEIGHT_M).show(units));
            notes.assume("house", &taken, super::notes::PRACTICE);
            USUAL_HEIGHT_M
        },
        |height| height.value.si(),
    );
    let q_m3_s = AIR_CHANGES * area * height / 3600.0;
    notes.assume(
        "house",
        &format!(
            "envelope: {} at {HOUSE_PA} Pa, {AIR_CHANGES} air changes an hour",
            Flow::new(q_m3_s).show(units)
        ),
        ESTIMATE,
    );
    Some(LeakPath {
        q_m3_s,
        dp_pa: HOUSE_PA,
        n: CRACK_N,
        source: format!("{ESTIMATE}: {AIR_CHANGES} air changes an hour at {HOUSE_PA} Pa"),
    })
}

/// Part of the house's pressure at which a place stands between its two paths.
///
/// # Equation
/// ```text
/// C_out · s^n = C_house · (1 − s)^n      s = r/(1 + r),   r = (C_house/C_out)^(1/n)
/// ```
/// where `C` the flow of a path at one pressure; `s` pressure of the place over that of the house.
pub(super) fn share_between(to_outdoors: &LeakPath, to_house: &LeakPath) -> f64 {
    let at = |path: &LeakPath| path.q_m3_s * powf(path.dp_pa, -path.n);
    let r = powf(at(to_house) / at(to_outdoors), 1.0 / CRACK_N);
    r / (1.0 + r)
}

/// Gives every place that stands between house and outdoors its two paths, so that its share comes out.
///
/// # Equation
/// ```text
/// C_house / C_out = (s/(1 − s))^n
/// ```
/// Where no path is said, the place leaks to outdoors at 50 Pa as much as the envelope: an engineering estimate.
pub(super) fn settle_paths(
    places: &mut [Place],
    envelope: Option<&LeakPath>,
    units: UnitSystem,
    notes: &mut Notes,
) {
    for place in places {
        let s = place.house_share;
        if !(s > 0.0 && s < 1.0) {
            continue;
        }
        let ratio = powf(s / (1.0 - s), CRACK_N);
        let from = |path: &LeakPath, factor: f64, source: &str| LeakPath {
            q_m3_s: path.q_m3_s * factor,
            source: source.to_owned(),
            ..path.clone()
        };
        let by_share = "from the other path and the place's part of the house's pressure";
        let show = |path: &LeakPath| {
            format!(
                "{} at {} Pa",
                Flow::new(path.q_m3_s).show(units),
                crate::quantity::significant(path.dp_pa, 3)
            )
        };
        let about = format!("place {}", place.name);
        match (&place.to_outdoors, &place.to_house) {
            (Some(_), Some(_)) => {}
            (Some(out), None) => {
                let house = from(out, ratio, by_share);
                notes.assume(&about, &format!("to house: {}", show(&house)), by_share);
                place.to_house = Some(house);
            }
            (None, Some(house)) => {
                let out = from(house, 1.0 / ratio, by_share);
                notes.assume(&about, &format!("to outdoors: {}", show(&out)), by_share);
                place.to_outdoors = Some(out);
            }
            (None, None) => {
                let Some(envelope) = envelope else { continue };
                let source = format!("{ESTIMATE}: as leaky to outdoors as the house's envelope");
                let out = LeakPath {
                    q_m3_s: envelope.q_m3_s * powf(HOUSE_PA / envelope.dp_pa, envelope.n),
                    dp_pa: HOUSE_PA,
                    n: CRACK_N,
                    source,
                };
                let house = from(&out, ratio, by_share);
                notes.assume(
                    &about,
                    &format!(
                        "to outdoors: {}, to house: {}",
                        show(&out),
                        show(&house)
                    ),
                    "engineering estimate: as leaky to outdoors as the house's envelope, and to the house as its part of \
                     the house's pressure asks",
                );
                place.to_outdoors = Some(out);
                place.to_house = Some(house);
            }
        }
    }
}

/// The rooms of a system, found by name.
#[derive(Debug, Default)]
pub(super) struct Rooms {
    /// In sketch order.
    pub list: Vec<Room>,
    by_name: BTreeMap<String, usize>,
}

impl Rooms {
    /// The room of a name; capitals do not matter.
    pub fn index(&self, name: &str) -> Option<usize> {
        self.by_name.get(&plain(name)).copied()
    }
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase()
}

/// Every room that a run names, with its door and paths; a described room that no run names is an error.
pub(super) fn rooms(sketch: &Sketch, units: UnitSystem, notes: &mut Notes) -> Rooms {
    let mut rooms = Rooms::default();
    for name in sketch.runs.iter().filter_map(|run| run.room.as_ref()) {
        let next = rooms.list.len();
        let room = *rooms.by_name.entry(plain(&name.value)).or_insert(next);
        if room == next {
            rooms.list.push(Room {
                name: name.value.trim().to_owned(),
                door: Door::Open,
                paths: Vec::new(),
            });
        }
    }
    let mut doors_said = 0;
    for said in &sketch.rooms {
        let Some(i) = rooms.index(&said.room.value) else {
            let near = notes.near(
                &said.room.value,
                rooms.list.iter().map(|room| room.name.as_str()),
            );
            notes.wrong(unknown_room(&said.room, near, &rooms.list));
            continue;
        };
        let room = &mut rooms.list[i];
        if let Some(door) = &said.door {
            room.door = door.value;
            doors_said += 1;
        }
        room.paths = paths(said, room.door, units, notes);
    }
    if doors_said < rooms.list.len() {
        let taken = if doors_said == 0 {
            "doors: open"
        } else {
            "doors: open where not said"
        };
        notes.assume("rooms", taken, ESTIMATE);
    }
    rooms
}

fn paths(said: &sketch::Room, door: Door, units: UnitSystem, notes: &mut Notes) -> Vec<LeakPath> {
    let mut paths = Vec::new();
    let path = |what: &str, area: f64, from: &str| LeakPath {
        q_m3_s: opening_flow(area, OPENING_PA),
        dp_pa: OPENING_PA,
        n: OPENING_N,
        source: format!("{what}, {from}, as a sharp opening with discharge coefficient 0.6"),
    };
    match (&said.undercut, door) {
        (Some(gap), _) => paths.push(path("gap under the door", gap.value.area().si(), SAID)),
        (None, Door::Closed) => {
            let (high, wide) = UNDERCUT_M;
            let size = crate::quantity::Size::Rect(Length::new(high), Length::new(wide));
            notes.assume(
                &format!("room {}", said.room.value),
                &format!("undercut: {}", size.show(units)),
                ESTIMATE,
            );
            paths.push(path("gap under the door", high * wide, ESTIMATE));
        }
        (None, Door::Open) => {}
    }
    if let Some(transfer) = &said.transfer {
        paths.push(path("transfer opening", transfer.value.area().si(), SAID));
    }
    paths
}

fn unknown_room(said: &Marked<String>, near: Option<&str>, rooms: &[Room]) -> Diagnostic {
    let names = || rooms.iter().map(|room| room.name.as_str());
    let problem = Diagnostic::new(
        "E0237",
        said.at,
        format!("no run serves a room called `{}`", said.value),
    )
    .label("unknown room");
    match near {
        Some(_) => problem.suggest(near),
        None if rooms.is_empty() => {
            problem.hint("give the run that serves it `room: NAME`: no run names a room yet")
        }
        None => problem.hint(format!(
            "the rooms that runs name are: {}",
            some_of(names())
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(q_m3_s: f64) -> LeakPath {
        LeakPath {
            q_m3_s,
            dp_pa: 50.0,
            n: CRACK_N,
            source: String::new(),
        }
    }

    fn place(share: f64) -> Place {
        Place {
            name: "basement".into(),
            house_share: share,
            unconditioned: true,
            source: String::new(),
            to_outdoors: None,
            to_house: None,
        }
    }

    /// Pressure of a place between a house at 50 Pa and outdoors, by bisection on its balance.
    fn balance(out: &LeakPath, house: &LeakPath) -> f64 {
        let flow = |path: &LeakPath, dp: f64| path.q_m3_s * (dp / path.dp_pa).powf(path.n);
        let (mut low, mut high) = (0.0, 50.0);
        for _ in 0..80 {
            let p = 0.5 * (low + high);
            if flow(house, 50.0 - p) > flow(out, p) {
                low = p;
            } else {
                high = p;
            }
        }
        low
    }

    #[test]
    fn derived_paths_put_the_place_at_its_share() {
        for share in [0.1, 0.5, 0.62, 0.92] {
            let mut places = [place(share)];
            settle_paths(
                &mut places,
                Some(&path(1.2)),
                UnitSystem::Si,
                &mut Notes::default(),
            );
            let (out, house) = (
                places[0].to_outdoors.clone().expect("derived"),
                places[0].to_house.clone().expect("derived"),
            );
            assert!((out.q_m3_s - 1.2).abs() < 1e-12);
            assert!(
                (balance(&out, &house) - 50.0 * share).abs() < 1e-9,
                "{share}"
            );
        }
    }

    #[test]
    fn two_paths_give_the_share_at_which_they_balance() {
        let (out, house) = (path(0.42), path(0.66));
        let share = share_between(&out, &house);
        assert!((balance(&out, &house) - 50.0 * share).abs() < 1e-9);
        // stated at other pressures, the same paths
        let scaled = LeakPath {
            q_m3_s: 0.66 * (10.0_f64 / 50.0).powf(CRACK_N),
            dp_pa: 10.0,
            ..house
        };
        assert!((share_between(&out, &scaled) - share).abs() < 1e-12);
    }

    #[test]
    fn a_place_inside_or_outside_gets_no_paths() {
        let mut places = [place(0.0), place(1.0)];
        settle_paths(
            &mut places,
            Some(&path(1.0)),
            UnitSystem::Si,
            &mut Notes::default(),
        );
        assert!(
            places
                .iter()
                .all(|p| p.to_house.is_none() && p.to_outdoors.is_none())
        );
    }

    #[test]
    fn without_an_envelope_nothing_is_derived() {
        let mut places = [place(0.5)];
        settle_paths(&mut places, None, UnitSystem::Si, &mut Notes::default());
        assert!(places[0].to_house.is_none());
    }
}
