//! What a reading is of: its set-up, its quantity, and the sign that the quantity has there.

use super::book::Book;
use super::notes::Notes;
use super::places::Places;
use super::readings::{ReadingFacts, opening};
use super::recipe::Openings;
use super::types::{Door, Observable, PlaceIdx, Relation, Side, System, TestKind};
use crate::sketch::{Diagnostic, Marked, Reading, ReadingKind, some_of};

/// What is read, in which set-up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Observed {
    pub kind: TestKind,
    pub observable: Observable,
}

/// How the sign of a value goes from what is written to what the flow solver gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sign {
    /// As written: it cannot be below zero, or the person gives the sign.
    AsWritten,
    /// A magnitude of something below zero.
    Negative,
}

impl Observed {
    fn new(kind: TestKind, observable: Observable) -> Observed {
        Observed { kind, observable }
    }

    /// Whether registers are masked meanwhile.
    pub fn is_masked(&self) -> bool {
        self.kind.recipe().openings == Openings::Masked
    }

    /// Whether the house or the ducts are blown up meanwhile.
    fn blown_up(&self, said: &Reading) -> bool {
        let usual = self.kind.recipe().usual_pa >= 0.0;
        said.depressurised
            .as_ref()
            .map_or(usual, |down| !down.value)
    }

    fn sign(&self, said: &Reading, side: Side) -> Sign {
        let below = match self.observable {
            Observable::RegisterFlow(_) => side == Side::Return,
            Observable::PlenumStatic(side) => side == Side::Return,
            // Pulled down with the house, a room is below the ducts behind a pan and below the places around.
            Observable::BehindOpening(_) | Observable::Place(_) => self.blown_up(said),
            // The fan that nulls a house blows in, or takes out.
            Observable::FanFlow => self.kind == TestKind::RunningHeld && !self.blown_up(said),
            Observable::BlowerFlow
            | Observable::StaticRise
            | Observable::Room(_)
            | Observable::House => false,
        };
        if below {
            Sign::Negative
        } else {
            Sign::AsWritten
        }
    }

    /// A written value with the sign of [`Observable`].
    pub fn signed(&self, written: f64, said: &Reading, system: &System) -> f64 {
        let side = match self.observable {
            Observable::RegisterFlow(o) => system.openings[o].side,
            _ => Side::Supply,
        };
        match self.sign(said, side) {
            Sign::AsWritten => written,
            Sign::Negative => -written.abs(),
        }
    }
}

/// Finds runs, rooms and places that a kind names.
pub(super) fn resolve(
    reading: &Reading,
    facts: &ReadingFacts<'_, '_>,
    places: &mut Places,
    notes: &mut Notes,
) -> Option<Observed> {
    let fan = |kind| Some(Observed::new(kind, Observable::FanFlow));
    let running = |observable| Some(Observed::new(TestKind::Running, observable));
    let register = |run: &Marked<String>, what: &str, notes: &mut Notes| {
        let found = facts.book.run(run, notes)?;
        opening(found, run, what, facts, notes)
    };
    match &reading.kind {
        ReadingKind::Total => fan(TestKind::Total),
        ReadingKind::ToOutside => fan(TestKind::ToOutside),
        ReadingKind::Supply => fan(TestKind::OneSide(Side::Supply)),
        ReadingKind::Return => fan(TestKind::OneSide(Side::Return)),
        ReadingKind::GuardedSupply => fan(TestKind::Guarded(Side::Supply)),
        ReadingKind::GuardedReturn => fan(TestKind::Guarded(Side::Return)),
        ReadingKind::Isolated { run } => {
            let found = facts.book.run(run, notes)?;
            if reading.fan.is_none() {
                opening(found, run, "the fan", facts, notes);
            }
            fan(TestKind::Isolated(found))
        }
        ReadingKind::RoughIn => fan(TestKind::RoughIn),
        ReadingKind::Pan { run } => {
            let under = register(run, "the pan", notes)?;
            Some(Observed::new(
                TestKind::Pan(under),
                Observable::BehindOpening(under),
            ))
        }
        ReadingKind::HouseFanOpen => fan(TestKind::HouseFanOpen),
        ReadingKind::HouseFanMasked => fan(TestKind::HouseFanMasked),
        ReadingKind::RegisterFlow { run } => running(Observable::RegisterFlow(register(
            run,
            "a flow to be read",
            notes,
        )?)),
        ReadingKind::Airflow => running(Observable::BlowerFlow),
        ReadingKind::SupplyStatic => running(Observable::PlenumStatic(Side::Supply)),
        ReadingKind::ReturnStatic => running(Observable::PlenumStatic(Side::Return)),
        ReadingKind::StaticRise => running(Observable::StaticRise),
        ReadingKind::RoomPressure { room } => {
            running(Observable::Room(closed_room(room, facts, notes)?))
        }
        ReadingKind::PlacePressure { place } => Some(Observed::new(
            TestKind::HouseFanOpen,
            Observable::Place(places.resolve(place, notes)?),
        )),
        ReadingKind::HousePressure => running(Observable::House),
        ReadingKind::NullingFlow => fan(TestKind::RunningHeld),
    }
}

/// A room whose door stands shut while the unit runs: the others are at the house's pressure.
fn closed_room(
    said: &Marked<String>,
    facts: &ReadingFacts<'_, '_>,
    notes: &mut Notes,
) -> Option<usize> {
    let list = &facts.rooms.list;
    let Some(i) = facts.rooms.index(&said.value) else {
        let names = || list.iter().map(|room| room.name.as_str());
        let problem = Diagnostic::new(
            "E0247",
            said.at,
            format!("no run serves a room called `{}`", said.value),
        )
        .label("unknown room");
        notes.wrong(match notes.near(&said.value, names()) {
            Some(near) => problem.suggest(Some(near)),
            None if list.is_empty() => problem.hint("write `room: ...` in the run that serves it"),
            None => problem.hint(format!("the rooms are: {}", some_of(names()))),
        });
        return None;
    };
    if list[i].door == Door::Open {
        notes.wrong(
            Diagnostic::new(
                "E0248",
                said.at,
                format!(
                    "the door of `{}` stands open: the room is at the house's pressure",
                    list[i].name
                ),
            )
            .label("no pressure of its own")
            .hint(format!(
                "write `rooms: [{{room: {}, door: closed}}]` if it stood shut during the reading",
                list[i].name
            )),
        );
        return None;
    }
    Some(i)
}

/// Values whose sign or bound cannot be meant.
pub(super) fn check_values(reading: &Reading, observed: &Observed, book: &Book, notes: &mut Notes) {
    let side = match &reading.kind {
        ReadingKind::RegisterFlow { run } => book
            .run_called(&run.value)
            .map_or(Side::Supply, |i| book.sketch.runs[i].side.value),
        _ => Side::Supply,
    };
    let sign = observed.sign(reading, side);
    let is_signed = matches!(observed.observable, Observable::Room(_) | Observable::House);
    for value in &reading.values {
        let at = value.value.at;
        if value.relation == Relation::Below && (is_signed || sign == Sign::Negative) {
            notes.wrong(
                Diagnostic::new("E0249", at, "`below` says no bound here")
                    .label("may lie on either side of zero, or lies below it")
                    .hint("write the value that was read, with its error: `0 Pa ± 1 Pa`"),
            );
        }
        if matches!(observed.observable, Observable::Place(_))
            && value.value.value.si() < 0.0
            && sign == Sign::AsWritten
        {
            notes.wrong(
                Diagnostic::new(
                    "E0250",
                    at,
                    "a place is above a house that is pulled down",
                )
                .label("below zero")
                .hint(
                    "write the pressure of the place against the house as a magnitude; `direction: pressurised` if the \
                     house was blown up",
                ),
            );
        }
    }
}

/// Why a reading cannot be taken in this system.
pub(super) fn unreadable(
    system: &System,
    reading: &Reading,
    observed: &Observed,
) -> Option<Diagnostic> {
    match (observed.observable, &reading.kind) {
        (Observable::BehindOpening(_), ReadingKind::Pan { run }) if system.openings.len() == 1 => {
            Some(
                Diagnostic::new(
                    "E0251",
                    run.at,
                    format!("`{}` ends in the only register of the sketch", run.value),
                )
                .label("under a pan it leaves none open")
                .hint("sketch the other registers and the return too"),
            )
        }
        (Observable::Place(place), ReadingKind::PlacePressure { place: said }) => {
            let why = not_between(system, place)?;
            let of = &system.places[place];
            let hint = if of.house_share >= 1.0 || of.name == "outdoors" {
                "take the reading out: it can only say what is known already".to_owned()
            } else {
                format!(
                    "describe it as a buffer under `places`, with ducts in it: `{}: {{like: buffer, zone reading: 46 of \
                     50 Pa to outdoors}}`",
                    said.value
                )
            };
            Some(
                Diagnostic::new(
                    "E0252",
                    said.at,
                    format!("`{}` has no pressure of its own to read: {why}", said.value),
                )
                .label("stands at a given pressure")
                .hint(hint),
            )
        }
        (Observable::House, _) if system.envelope.is_none() => Some(
            Diagnostic::new(
                "E0253",
                reading.id.at,
                "the house has no known envelope: no pressure can be worked out for it",
            )
            .label("against outdoors")
            .hint("write `house: {floor area: ...}`, or its `envelope`"),
        ),
        _ => None,
    }
}

/// Why a place does not float between house and outdoors.
fn not_between(system: &System, place: PlaceIdx) -> Option<&'static str> {
    let of = &system.places[place];
    if of.house_share >= 1.0 {
        Some("it is inside the house")
    } else if of.house_share <= 0.0 {
        Some("it is outdoors")
    } else if of.to_house.is_none() || of.to_outdoors.is_none() {
        Some(
            "how leaky it is to house and outdoors is not known; a floor area of the house would do",
        )
    } else if !system.seams.iter().any(|seam| seam.place == place) {
        Some("no duct lies in it")
    } else {
        None
    }
}
