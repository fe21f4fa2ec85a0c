//! Readings: from words to set-ups.

use std::collections::BTreeSet;

use super::book::Book;
use super::layout::{End, Layout};
use super::notes::Notes;
use super::observed::{self, Observed};
use super::order::side_word;
use super::places::Places;
use super::reading_errors::{self, Error};
use super::recipe::Mover;
use super::sealing::Stages;
use super::setups;
use super::spaces::Rooms;
use super::tested;
use super::types::{
    DefaultUsed, FanPlace, Measured, OpeningIdx, RunIdx, Setup, Side, System, TapPlace, TestKind,
};
use crate::quantity::Pressure;
use crate::sketch::{
    Barrier, Diagnostic, FanAt, Marked, Mask, ReadValue, Reading, ReadingKind, TapAt,
};

/// What the readings may speak of.
pub(super) struct ReadingFacts<'f, 'a> {
    pub book: &'f Book<'a>,
    pub layouts: &'f [Layout],
    pub buildable: &'f [bool],
    pub opening_of: &'f [Option<OpeningIdx>],
    pub rooms: &'f Rooms,
    pub stages: &'f Stages<'a>,
}

/// A reading whose names are resolved; what was unsaid waits for the whole system.
pub(super) struct ReadingDraft<'a> {
    /// What the sketch says.
    said: &'a Reading,
    observed: Observed,
    fan: Option<FanPlace>,
    tap: Option<TapPlace>,
    barrier: Option<Barrier>,
    mask: Option<Mask>,
    plugged: Vec<RunIdx>,
    stage: usize,
    /// One of each value.
    errors: Vec<Error>,
}

/// Resolves all readings; what is wrong with them is noted.
pub(super) fn resolve_readings<'a>(
    facts: &ReadingFacts<'_, 'a>,
    places: &mut Places,
    notes: &mut Notes,
) -> Vec<ReadingDraft<'a>> {
    let mut drafts = Vec::new();
    let readings = &facts.book.sketch.readings;
    check_numbered(readings, notes);
    for (i, reading) in readings.iter().enumerate() {
        if let Some(twin) = readings[..i]
            .iter()
            .find(|r| r.id.value == reading.id.value)
        {
            notes.wrong(
                Diagnostic::new(
                    "E0223",
                    reading.id.at,
                    format!("two readings are called `{}`", reading.id.value),
                )
                .also(twin.id.at, "the first one")
                .hint("give each reading its own id"),
            );
        }
        drafts.extend(resolve(reading, facts, places, notes));
    }
    drafts
}

/// The values of one reading are called `ID 1`, `ID 2`: no other reading may be called so.
fn check_numbered(readings: &[Reading], notes: &mut Notes) {
    let several = readings.iter().filter(|reading| reading.values.len() > 1);
    let numbered: BTreeSet<String> = several
        .flat_map(|reading| (0..reading.values.len()).map(|k| name_of(reading, k)))
        .collect();
    for reading in readings {
        if numbered.contains(&reading.id.value) {
            notes.wrong(
                Diagnostic::new(
                    "E0223",
                    reading.id.at,
                    format!(
                        "`{}` is already the name of one value of another reading",
                        reading.id.value
                    ),
                )
                .hint("the values of a list are called after their reading with a number: take another id"),
            );
        }
    }
}

/// Name of a value: the reading's own, with a number where there are several.
fn name_of(reading: &Reading, k: usize) -> String {
    if reading.values.len() == 1 {
        reading.id.value.clone()
    } else {
        format!("{} {}", reading.id.value, k + 1)
    }
}

fn resolve<'a>(
    reading: &'a Reading,
    facts: &ReadingFacts<'_, 'a>,
    places: &mut Places,
    notes: &mut Notes,
) -> Option<ReadingDraft<'a>> {
    let before = notes.problems.len();
    let observed = observed::resolve(reading, facts, places, notes);
    let kind = observed.as_ref().map(|observed| observed.kind);
    let at_run = |run: &Marked<String>, what: &str, notes: &mut Notes| {
        let found = facts.book.run(run, notes)?;
        opening(found, run, what, facts, notes)
    };
    let fan = reading.fan.as_ref().and_then(|fan| match &fan.value {
        FanAt::BlowerPanel => Some(FanPlace::BlowerPanel),
        FanAt::Run(run) => at_run(run, "the fan", notes).map(FanPlace::Opening),
    });
    let tap = reading.tap.as_ref().and_then(|tap| match &tap.value {
        TapAt::SupplyPlenum => Some(TapPlace::SupplyPlenum),
        TapAt::ReturnPlenum => Some(TapPlace::ReturnPlenum),
        TapAt::Run(run) => at_run(run, "the tap", notes).map(TapPlace::Opening),
    });
    let plugged: Vec<RunIdx> = reading
        .plugged
        .iter()
        .filter_map(|run| facts.book.run(run, notes))
        .collect();
    if let ReadingKind::Isolated { run } = &reading.kind
        && let Some(own) = reading
            .plugged
            .iter()
            .find(|plugged| plugged.value == run.value)
    {
        notes.wrong(
            Diagnostic::new(
                "E0233",
                own.at,
                format!(
                    "`{}` is plugged at its start already: it is read alone",
                    own.value
                ),
            )
            .label("the isolated run itself")
            .hint("leave it out of `plugged`"),
        );
    }
    if let Some(barrier) = &reading.barrier
        && kind.is_some_and(|k| !matches!(k, TestKind::OneSide(_) | TestKind::Guarded(_)))
    {
        notes.wrong(
            Diagnostic::new(
                "E0224",
                barrier.at,
                "a barrier belongs to a `supply` or `return` reading only",
            )
            .label("this reading has both sides in one")
            .hint("drop `barrier`, or write the flow under `supply` or `return`"),
        );
    }
    check_sides(reading, kind, facts, notes);
    if let Some(observed) = &observed {
        observed::check_values(reading, observed, facts.book, notes);
    }
    let stage = facts.stages.of(
        reading.when.as_ref(),
        reading.date.as_ref(),
        reading.id.at,
        notes,
    );
    let observed = observed?;
    if notes.problems.len() > before {
        return None;
    }
    let errors = reading
        .values
        .iter()
        .map(|value| {
            let record = &facts.book.sketch.record;
            let corrects = record.corrected.as_ref().is_none_or(|said| said.value);
            reading_errors::error(&reading.id.value, value, facts.book.units, corrects, notes)
        })
        .collect();
    Some(ReadingDraft {
        said: reading,
        observed,
        fan,
        tap,
        barrier: reading.barrier.as_ref().map(|b| b.value),
        mask: reading.mask.as_ref().map(|m| m.value),
        plugged,
        stage,
        errors,
    })
}

/// The opening of a run, where a fan or tap is said to be.
pub(super) fn opening(
    run: RunIdx,
    said: &Marked<String>,
    what: &str,
    facts: &ReadingFacts,
    notes: &mut Notes,
) -> Option<OpeningIdx> {
    // A run that is refused for other reasons gives no second error here.
    if facts.layouts[run].end != End::Opening && facts.buildable[run] {
        notes.wrong(
            Diagnostic::new(
                "E0225",
                said.at,
                format!("`{}` has no register or grille for {what}", said.value),
            )
            .label("it ends without a boot or return box")
            .hint("name a run that ends in `boot` or `return box`"),
        );
    }
    facts.opening_of[run]
}

/// Fan and tap of a one-side test must be on that side.
fn check_sides(reading: &Reading, kind: Option<TestKind>, facts: &ReadingFacts, notes: &mut Notes) {
    let Some(TestKind::OneSide(side) | TestKind::Guarded(side)) = kind else {
        return;
    };
    let barrier = reading
        .barrier
        .as_ref()
        .map_or(Barrier::Filter, |b| b.value);
    let side_of = |run: &Marked<String>| {
        facts
            .book
            .run_called(&run.value)
            .map(|r| facts.book.sketch.runs[r].side.value)
    };
    let panel = match barrier {
        Barrier::Filter => Side::Supply,
        // The panel opens on the blower's inlet.
        _ => Side::Return,
    };
    let fan = reading.fan.as_ref().and_then(|f| match &f.value {
        FanAt::BlowerPanel => Some((panel, f.at)),
        FanAt::Run(run) => side_of(run).map(|s| (s, run.at)),
    });
    let tap = reading.tap.as_ref().and_then(|t| match &t.value {
        TapAt::SupplyPlenum => Some((Side::Supply, t.at)),
        TapAt::ReturnPlenum => Some((Side::Return, t.at)),
        TapAt::Run(run) => side_of(run).map(|s| (s, run.at)),
    });
    for (what, found) in [("fan", fan), ("tap", tap)] {
        if let Some((other, at)) = found
            && other != side
        {
            notes.wrong(
                Diagnostic::new(
                    "E0226",
                    at,
                    format!(
                        "the {what} of a {} reading cannot be on the {} side",
                        side_word(side),
                        side_word(other)
                    ),
                )
                .label("beyond the barrier")
                .hint(format!(
                    "name a place on the {} side of the barrier",
                    side_word(side)
                )),
            );
        }
    }
}

impl ReadingDraft<'_> {
    /// Fills what was unsaid from the whole system; what was taken is listed. One entry a value.
    ///
    /// # Errors
    /// What keeps the set-up from being run.
    pub fn settle(self, system: &mut System) -> Result<Vec<Measured>, Vec<Diagnostic>> {
        if let Some(wrong) = observed::unreadable(system, self.said, &self.observed) {
            return Err(vec![wrong]);
        }
        let mut usual = setups::setup(system, self.observed.kind);
        if let Some(depressurised) = &self.said.depressurised
            && usual.pressure_pa > 0.0
        {
            usual.pressurise = !depressurised.value;
        }
        let mover = self.observed.kind.recipe().mover;
        let mut taken = Vec::new();
        if usual.pressure_pa > 0.0 && self.said.values.iter().any(|v| v.pressure.is_none()) {
            taken.push(format!(
                "pressure: {}",
                Pressure::new(usual.pressure_pa).show(system.units)
            ));
        }
        let setup = match mover {
            Mover::DuctFan => self.on_ducts(system, usual, &mut taken),
            _ => Setup {
                mask: self.mask.unwrap_or(usual.mask),
                plugged: self.plugged.clone(),
                ..usual
            },
        };
        if self.mask.is_none() && self.observed.is_masked() {
            taken.push("mask: flange".to_owned());
        }
        let about = format!("reading {}", self.said.id.value);
        let source = super::notes::PRACTICE;
        system
            .defaults
            .extend(taken.into_iter().map(|taken| DefaultUsed {
                about: about.clone(),
                taken,
                source: source.to_owned(),
            }));
        if mover == Mover::DuctFan {
            let wrong = tested::unsolvable(system, &setup, self.said);
            if !wrong.is_empty() {
                return Err(wrong);
            }
        }
        let values = self.said.values.iter().zip(&self.errors).enumerate();
        Ok(values
            .map(|(k, (value, error))| self.measured(k, value, error, system, &setup))
            .collect())
    }

    /// Fan, tap and barrier of a test with a fan on the ducts.
    fn on_ducts(&self, system: &System, usual: Setup, taken: &mut Vec<String>) -> Setup {
        let kind = self.observed.kind;
        let barrier = self.barrier.unwrap_or(usual.barrier);
        let fan = self.fan.unwrap_or_else(|| {
            let fan = setups::usual_fan(system, kind, barrier);
            taken.push(match fan {
                FanPlace::BlowerPanel => "fan: blower panel".to_owned(),
                FanPlace::Opening(o) => format!("fan: {}", system.openings[o].id),
            });
            fan
        });
        let tap = self.tap.unwrap_or_else(|| {
            taken.push(match usual.tap {
                TapPlace::SupplyPlenum => "tap: supply plenum".to_owned(),
                TapPlace::ReturnPlenum => "tap: return plenum".to_owned(),
                TapPlace::Opening(o) => format!("tap: {}", system.openings[o].id),
            });
            usual.tap
        });
        if self.barrier.is_none() && matches!(kind, TestKind::OneSide(_) | TestKind::Guarded(_)) {
            taken.push("barrier: filter".to_owned());
        }
        Setup {
            fan,
            tap,
            barrier,
            mask: self.mask.unwrap_or(usual.mask),
            plugged: self.plugged.clone(),
            ..usual
        }
    }

    fn measured(
        &self,
        k: usize,
        value: &ReadValue,
        error: &Error,
        system: &System,
        setup: &Setup,
    ) -> Measured {
        let words =
            |m: &Option<Marked<String>>| m.as_ref().map_or(String::new(), |w| w.value.clone());
        let pressure = value.pressure.as_ref().map(|p| p.value.si().abs());
        Measured {
            id: name_of(self.said, k),
            setup: Setup {
                pressure_pa: pressure.unwrap_or(setup.pressure_pa),
                ..setup.clone()
            },
            observable: self.observed.observable,
            relation: value.relation,
            value: self
                .observed
                .signed(value.value.value.si(), self.said, system),
            relative_sd: error.relative_sd,
            floor_sd: error.floor_sd,
            stage: self.stage,
            date: self.said.date.as_ref().map(|date| date.value.clone()),
            gauge: words(&self.said.gauge),
            error_source: error.source.to_owned(),
            error_is_usual: error.is_usual,
            note: words(&self.said.note),
        }
    }
}
