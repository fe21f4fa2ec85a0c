//! `ductseam flow --format json`: the contract `ductseam/flow/1`.
//!
//! SI throughout. Volume flows are at 1.204 kg/m³, velocities of actual air. Pressures are gauge against outdoors unless
//! a field says otherwise. Flows of pieces count from tail to head: runs are walked away from the unit on both sides, so
//! that running return runs are below zero; the unit's own pieces lie with the air. Leakage is above zero out of the
//! duct. What is not known or takes no part is null; no field is ever NaN. Fields are only ever added within version 1.

use serde::Serialize;

use super::case::{CurveUse, FlowCase};
use super::said;
use super::sums::{Leaks, by_place, by_side, half_plenum_m3_s, place_kind};
use crate::flow::Status;
use crate::report::cautions::Caution;
use crate::report::words;
use crate::system::{BlowerKind, LeadsTo, PieceKind, Reads, Relation, Side};

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/flow/1";

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct Answer<'a> {
    /// [`FORMAT`].
    pub format: &'static str,
    /// Title of the sketch.
    pub title: &'a str,
    /// What the seams leak: `prior means`, the catalogue's mean flow and exponent of each, no reading used.
    pub basis: &'static str,
    /// The set-up.
    pub set_up: SetUp,
    /// `converged`, or `doubtful` when the solve did not settle or the blower works outside its points or reversed.
    pub status: &'static str,
    /// Why it is doubtful; empty when converged.
    pub reasons: Vec<String>,
    /// What the set-up reads.
    pub reading: Reading,
    /// Readings of the sketch in this very set-up.
    pub measured: Vec<Measured<'a>>,
    /// The blower; null where it stands still.
    pub blower: Option<Blower<'a>>,
    /// The plenums.
    pub plenums: Plenums,
    /// Pressure of the house, Pa. 0 where it floats and no envelope is known (warning `envelope-unknown`).
    pub house_pa: Option<f64>,
    /// Places that seams touch.
    pub places: Vec<Place<'a>>,
    /// Rooms in the order of the sketch.
    pub rooms: Vec<Room<'a>>,
    /// Registers, grilles and intakes.
    pub openings: Vec<Opening<'a>>,
    /// Pieces that take part: unit first, then run by run as walked.
    pub pieces: Vec<Piece<'a>>,
    /// Seams in the order of the sketch.
    pub seams: Vec<Seam<'a>>,
    /// Leakage of both sides.
    pub totals: Totals,
    /// How the computation went.
    pub diagnostics: Diagnostics,
    /// What the person should know.
    pub warnings: Vec<Warning>,
    /// Safety.
    pub cautions: Vec<Caution>,
}

/// The set-up.
#[derive(Debug, Serialize)]
pub struct SetUp {
    /// Word for it: `running`, `total`, `pan`, …
    pub id: &'static str,
    /// The set-up in words.
    pub words: String,
    /// Pressure held at the tap or in the house, Pa, magnitude; null where nothing holds one.
    pub pressure_pa: Option<f64>,
    /// Whether it is blown up (else pulled down); null where nothing holds a pressure.
    pub pressurise: Option<bool>,
    /// Temperature of the supply side's air, K; 293.15 where the blower stands still.
    pub supply_air_k: f64,
}

/// What the set-up reads.
#[derive(Debug, Serialize)]
pub struct Reading {
    /// Value; null where it cannot be read. A fan's flow counts in the fan's own direction: into what it blows up,
    /// out of what it pulls down; where a fan holds a running house at 0, air brought in is above zero.
    pub value: Option<f64>,
    /// `m3/s` for a flow, `Pa` for a pan pressure (behind the pan less the room).
    pub unit: &'static str,
    /// Part of a duct fan's flow that masks, plugs and barriers leak, m³/s, in the fan's own direction: with the seams'
    /// flows (below zero when pulled down) it makes up the value. Null where no fan stands on the ducts.
    pub mask_leak_m3_s: Option<f64>,
}

/// A reading of the sketch.
#[derive(Debug, Serialize)]
pub struct Measured<'a> {
    /// Id.
    pub id: &'a str,
    /// `equals` (a value was read) or `below` (only an upper bound).
    pub relation: &'static str,
    /// What was read, m³/s.
    pub flow_m3_s: f64,
}

/// The running blower.
#[derive(Debug, Serialize)]
pub struct Blower<'a> {
    /// Flow through it, m³/s; below zero when reversed.
    pub flow_m3_s: Option<f64>,
    /// Rise of pressure from its inlet to its outlet, Pa.
    pub rise_pa: Option<f64>,
    /// Factor on all flows of its curve.
    pub factor: f64,
    /// `as-curve` (taken as it is) or `as-measured` (scaled to the sketch's airflow).
    pub airflow: &'static str,
    /// Airflow that the sketch states, m³/s.
    pub stated_m3_s: Option<f64>,
    /// `own` for points in the sketch, else `estimate`.
    pub points: &'static str,
    /// Where the points come from, in words.
    pub points_source: &'a str,
}

/// Static pressures at the plenums, Pa.
#[derive(Debug, Serialize)]
pub struct Plenums {
    /// Supply plenum.
    pub supply_static_pa: Option<f64>,
    /// Return plenum.
    pub return_static_pa: Option<f64>,
    /// Supply less return.
    pub external_static_pa: Option<f64>,
}

/// A place.
#[derive(Debug, Serialize)]
pub struct Place<'a> {
    /// Name.
    pub name: &'a str,
    /// `inside`, `buffer` or `outdoors`.
    pub kind: &'static str,
    /// Part of the house's pressure at which it sits where it has no paths of its own.
    pub house_share: f64,
    /// Its pressure, Pa.
    pub pressure_pa: Option<f64>,
    /// Supply side's leakage.
    pub supply: LeakFlows,
    /// Return side's leakage.
    #[serde(rename = "return")]
    pub return_side: LeakFlows,
}

/// Leakage of some seams, m³/s.
#[derive(Debug, Serialize)]
pub struct LeakFlows {
    /// Out of the ducts, not below zero.
    pub out_m3_s: Option<f64>,
    /// Into the ducts, not below zero.
    pub in_m3_s: Option<f64>,
    /// Out less in: the sum of the seams' flows.
    pub net_m3_s: Option<f64>,
}

/// A room.
#[derive(Debug, Serialize)]
pub struct Room<'a> {
    /// Name.
    pub name: &'a str,
    /// Whether its closed door sets it apart from the house.
    pub apart: bool,
    /// Pressure, Pa.
    pub pressure_pa: Option<f64>,
    /// Pressure against the house, Pa.
    pub to_house_pa: Option<f64>,
    /// What supply registers bring, m³/s.
    pub supplied_m3_s: Option<f64>,
    /// What grilles take, m³/s.
    pub returned_m3_s: Option<f64>,
    /// Sum of the airflows meant by its supply runs, m³/s; null where none is said.
    pub meant_m3_s: Option<f64>,
}

/// A register, grille or intake.
#[derive(Debug, Serialize)]
pub struct Opening<'a> {
    /// Id of its boot.
    pub id: &'a str,
    /// Run.
    pub run: &'a str,
    /// `supply` or `return`.
    pub side: &'static str,
    /// Room.
    pub room: Option<&'a str>,
    /// `room` or `outdoors`.
    pub leads_to: &'static str,
    /// Whether it stands open.
    pub open: bool,
    /// Total pressure behind it, Pa; null outside the part under test.
    pub behind_pa: Option<f64>,
    /// The same against its room, the house or outdoors, Pa.
    pub behind_to_room_pa: Option<f64>,
    /// Flow into the room, m³/s; below zero at a grille that takes air.
    pub into_room_m3_s: Option<f64>,
    /// Airflow meant by its run, m³/s.
    pub meant_m3_s: Option<f64>,
}

/// A piece.
#[derive(Debug, Serialize)]
pub struct Piece<'a> {
    /// Id.
    pub id: &'a str,
    /// Run id, or `unit`.
    pub run: &'a str,
    /// `straight`, `elbow`, `takeoff`, `reducer`, `boot`, `cap`, `inline`, `plenum`, `filter`, `blower`, `coil`, `link`.
    pub kind: &'static str,
    /// `supply` or `return`.
    pub side: &'static str,
    /// Total pressure at its tail, Pa.
    pub tail_pa: Option<f64>,
    /// Total pressure at its head, Pa.
    pub head_pa: Option<f64>,
    /// Static pressure at its head, Pa.
    pub head_static_pa: Option<f64>,
    /// Flow at its head, tail to head, m³/s; null for a link without loss.
    pub flow_m3_s: Option<f64>,
    /// Mean velocity there, m/s, sign as the flow.
    pub velocity_m_s: Option<f64>,
}

/// A seam.
#[derive(Debug, Serialize)]
pub struct Seam<'a> {
    /// Id.
    pub id: &'a str,
    /// Static pressure of the duct less that of the place, Pa.
    pub dp_pa: Option<f64>,
    /// Flow out of the duct, m³/s; 0 where it takes no part.
    pub flow_m3_s: Option<f64>,
    /// Flow at 25 Pa, m³/s.
    pub q25_m3_s: f64,
    /// Exponent.
    pub n: f64,
    /// Place.
    pub place: &'a str,
    /// `open`, `under insulation`, `behind finish` or `none`.
    pub reach: &'static str,
    /// `supply` or `return`.
    pub side: &'static str,
}

/// Leakage of both sides.
#[derive(Debug, Serialize)]
pub struct Totals {
    /// Supply side.
    pub supply: LeakFlows,
    /// Return side.
    #[serde(rename = "return")]
    pub return_side: LeakFlows,
    /// Leakage out of the supply side by the half-plenum rule, m³/s; null where the blower stands still.
    pub supply_half_plenum_m3_s: Option<f64>,
    /// Leakage into the return side by the half-plenum rule, m³/s; null where the blower stands still.
    pub return_half_plenum_m3_s: Option<f64>,
}

/// How the computation went.
#[derive(Debug, Serialize)]
pub struct Diagnostics {
    /// `converged`, `rounding-limited`, `not-converged` or `out-of-reach` (of any fan).
    pub solver: &'static str,
    /// Newton steps.
    pub iterations: u32,
    /// Times that velocity pressures and losses by flow ratio were moved.
    pub lag_rounds: u32,
    /// Largest gap left between such a pressure and the flows it follows from, Pa.
    pub lag_gap_pa: Option<f64>,
    /// Worst imbalance of a node, m³/s.
    pub worst_imbalance_m3_s: Option<f64>,
}

/// A warning.
#[derive(Debug, Serialize)]
pub struct Warning {
    /// Stable code.
    pub code: String,
    /// Words.
    pub text: String,
}

/// The answer as JSON text, indented, with a final newline.
///
/// # Panics
/// Never: the answer holds only texts, numbers and lists of them.
#[must_use]
pub fn flow_json(case: &FlowCase<'_>) -> String {
    crate::report::pretty(&answer(case))
}

/// A figure that is a number; others become null.
fn known(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn answer<'a>(case: &FlowCase<'a>) -> Answer<'a> {
    let (system, state) = (case.system, case.state);
    let reasons = case.doubts();
    let running = case.is_running();
    let holds = case.setup.pressure_pa > 0.0;
    let [supply, back] = by_side(case);
    let half = |side| {
        half_plenum_m3_s(case, side)
            .filter(|_| running)
            .and_then(known)
    };
    let plenum = |value: Option<f64>| value.and_then(known);
    Answer {
        format: FORMAT,
        title: &system.title,
        basis: "prior means",
        set_up: SetUp {
            id: case.setup.kind.recipe().id,
            words: said::set_up(case),
            pressure_pa: holds.then_some(case.setup.pressure_pa),
            pressurise: holds.then_some(case.setup.pressurise),
            supply_air_k: case.supply_air_k,
        },
        status: if reasons.is_empty() {
            "converged"
        } else {
            "doubtful"
        },
        reasons,
        reading: Reading {
            value: state.reading.and_then(known),
            unit: if state.reading_is_pressure {
                "Pa"
            } else {
                "m3/s"
            },
            mask_leak_m3_s: (case.setup.kind.recipe().reads == Reads::DuctFanFlow)
                .then(|| known(state.outcome.mask_leak_m3_s))
                .flatten(),
        },
        measured: case
            .same_readings()
            .map(|reading| Measured {
                id: &reading.id,
                relation: match reading.relation {
                    Relation::Equals => "equals",
                    Relation::Below => "below",
                },
                flow_m3_s: reading.value,
            })
            .collect(),
        blower: running.then(|| Blower {
            flow_m3_s: plenum(state.blower_m3_s),
            rise_pa: plenum(state.blower_rise_pa),
            factor: state.blower_factor,
            airflow: match case.curve {
                CurveUse::Scaled { .. } => "as-measured",
                CurveUse::AsItIs | CurveUse::Still => "as-curve",
            },
            stated_m3_s: system.unit.airflow_m3_s.map(|airflow| airflow.0),
            points: match system.unit.blower.kind {
                BlowerKind::Points => "own",
                BlowerKind::FixedSpeed | BlowerKind::ConstantFlow => "estimate",
            },
            points_source: &system.unit.blower.source,
        }),
        plenums: Plenums {
            supply_static_pa: plenum(state.supply_plenum_pa),
            return_static_pa: plenum(state.return_plenum_pa),
            external_static_pa: state
                .supply_plenum_pa
                .zip(state.return_plenum_pa)
                .and_then(|(supply, back)| known(supply - back)),
        },
        house_pa: known(state.house_pa),
        places: by_place(case)
            .iter()
            .map(|row| {
                let place = &system.places[row.place];
                Place {
                    name: &place.name,
                    kind: place_kind(place.house_share),
                    house_share: place.house_share,
                    pressure_pa: known(row.pressure_pa),
                    supply: leaks(&row.sides[0]),
                    return_side: leaks(&row.sides[1]),
                }
            })
            .collect(),
        rooms: rooms(case),
        openings: openings(case),
        pieces: pieces(case),
        seams: seams(case),
        totals: Totals {
            supply: leaks(&supply),
            return_side: leaks(&back),
            supply_half_plenum_m3_s: half(Side::Supply),
            return_half_plenum_m3_s: half(Side::Return),
        },
        diagnostics: Diagnostics {
            solver: match state.outcome.status {
                Status::Converged => "converged",
                Status::RoundingLimited => "rounding-limited",
                Status::NotConverged { .. } => "not-converged",
                Status::OutOfReach { .. } => "out-of-reach",
            },
            iterations: state.outcome.iterations,
            lag_rounds: state.outcome.lag_rounds,
            lag_gap_pa: known(state.outcome.lag_gap_pa),
            worst_imbalance_m3_s: known(state.outcome.worst_imbalance),
        },
        warnings: case
            .warnings()
            .into_iter()
            .map(|warning| Warning {
                code: warning.code,
                text: warning.text,
            })
            .collect(),
        cautions: case.cautions(),
    }
}

fn leaks(leaks: &Leaks) -> LeakFlows {
    LeakFlows {
        out_m3_s: known(leaks.out_m3_s),
        in_m3_s: known(leaks.in_m3_s),
        net_m3_s: known(leaks.net_m3_s()),
    }
}

fn rooms<'a>(case: &FlowCase<'a>) -> Vec<Room<'a>> {
    let rooms = case.system.rooms.iter().zip(&case.state.rooms);
    rooms
        .enumerate()
        .map(|(index, (room, state))| Room {
            name: &room.name,
            apart: state.apart,
            pressure_pa: known(state.pressure_pa),
            to_house_pa: known(state.pressure_pa - case.state.house_pa),
            supplied_m3_s: known(state.supplied_m3_s),
            returned_m3_s: known(state.returned_m3_s),
            meant_m3_s: case.room_meant_m3_s(index),
        })
        .collect()
}

fn openings<'a>(case: &FlowCase<'a>) -> Vec<Opening<'a>> {
    let openings = case.system.openings.iter().zip(&case.state.openings);
    openings
        .enumerate()
        .map(|(index, (opening, state))| {
            let behind = state.behind_pa.and_then(known);
            Opening {
                id: &opening.id,
                run: &case.system.runs[opening.run].id,
                side: words::side(opening.side),
                room: opening.room.as_deref(),
                leads_to: match opening.leads_to {
                    LeadsTo::Room => "room",
                    LeadsTo::Outdoors => "outdoors",
                },
                open: state.open,
                behind_pa: behind,
                behind_to_room_pa: behind.and_then(|pa| known(pa - case.before_pa(index))),
                into_room_m3_s: known(state.into_room_m3_s),
                meant_m3_s: case.meant_m3_s(index),
            }
        })
        .collect()
}

fn pieces<'a>(case: &FlowCase<'a>) -> Vec<Piece<'a>> {
    case.pieces_as_walked()
        .filter_map(|(piece, state)| {
            let state = state?;
            Some(Piece {
                id: &piece.id,
                run: piece
                    .run
                    .map_or("unit", |run| case.system.runs[run].id.as_str()),
                kind: piece_kind(piece.kind),
                side: words::side(piece.side),
                tail_pa: known(state.tail_pa),
                head_pa: known(state.head_pa),
                head_static_pa: known(state.head_static_pa),
                flow_m3_s: state.flow_m3_s.and_then(known),
                velocity_m_s: state.velocity_m_s.and_then(known),
            })
        })
        .collect()
}

/// A kind of piece in a stable word.
pub(crate) fn piece_kind(kind: PieceKind) -> &'static str {
    match kind {
        PieceKind::Plenum => "plenum",
        PieceKind::Straight => "straight",
        PieceKind::Elbow => "elbow",
        PieceKind::Takeoff => "takeoff",
        PieceKind::Reducer => "reducer",
        PieceKind::Boot => "boot",
        PieceKind::Cap => "cap",
        PieceKind::Inline => "inline",
        PieceKind::Filter => "filter",
        PieceKind::Blower => "blower",
        PieceKind::Coil => "coil",
        PieceKind::Link => "link",
    }
}

fn seams<'a>(case: &FlowCase<'a>) -> Vec<Seam<'a>> {
    let seams = case.system.seams.iter().enumerate();
    seams
        .map(|(index, seam)| Seam {
            id: &seam.id,
            dp_pa: known(case.state.seam_pa[index]),
            flow_m3_s: known(case.state.seam_m3_s[index]),
            q25_m3_s: seam.mean_q25_m3_s,
            n: seam.n,
            place: &case.system.places[seam.place].name,
            reach: words::reach(seam.reach),
            side: words::side(seam.side),
        })
        .collect()
}
