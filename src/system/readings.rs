//! Readings: from words to set-ups.

use super::book::Book;
use super::layout::{End, Layout};
use super::notes::Notes;
use super::order::side_word;
use super::recipe::TEST_PRESSURE_PA;
use super::setups;
use super::tested;
use super::types::{
    DefaultUsed, FanPlace, Measured, OpeningIdx, RunIdx, Setup, Side, System, TapPlace, TestKind,
};
use crate::quantity::{Flow, Pressure};
use crate::sketch::{Barrier, Diagnostic, FanAt, Marked, Mask, Reading, ReadingKind, TapAt};

/// Relative standard deviation of a reading when nobody says: 3 %, as makers of calibrated test fans commonly state.
const USUAL_ERROR: f64 = 0.03;
/// Floor of a reading's standard deviation, m³/s: half a litre a second, about 1 cfm. Engineering estimate.
const FLOOR_M3_S: f64 = 0.5e-3;

/// What the readings may speak of.
pub(super) struct ReadingFacts<'f, 'a> {
    pub book: &'f Book<'a>,
    pub layouts: &'f [Layout],
    pub buildable: &'f [bool],
    pub opening_of: &'f [Option<OpeningIdx>],
}

/// A reading whose names are resolved; what was unsaid waits for the whole system.
pub(super) struct ReadingDraft<'a> {
    /// What the sketch says.
    said: &'a Reading,
    id: String,
    kind: TestKind,
    pressure_pa: Option<f64>,
    pressurise: bool,
    fan: Option<FanPlace>,
    tap: Option<TapPlace>,
    barrier: Option<Barrier>,
    mask: Option<Mask>,
    plugged: Vec<RunIdx>,
    measured: Measured,
}

/// Resolves all readings; what is wrong with them is noted.
pub(super) fn resolve_readings<'a>(
    facts: &ReadingFacts<'_, 'a>,
    notes: &mut Notes,
) -> Vec<ReadingDraft<'a>> {
    let mut drafts = Vec::new();
    let readings = &facts.book.sketch.readings;
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
        drafts.extend(resolve(reading, facts, notes));
    }
    drafts
}

fn resolve<'a>(
    reading: &'a Reading,
    facts: &ReadingFacts<'_, 'a>,
    notes: &mut Notes,
) -> Option<ReadingDraft<'a>> {
    let before = notes.problems.len();
    let kind = match &reading.kind {
        ReadingKind::Total => Some(TestKind::Total),
        ReadingKind::ToOutside => Some(TestKind::ToOutside),
        ReadingKind::Supply => Some(TestKind::OneSide(Side::Supply)),
        ReadingKind::Return => Some(TestKind::OneSide(Side::Return)),
        ReadingKind::Isolated { run } => {
            let found = facts.book.run(run, notes);
            if let Some(r) = found
                && reading.fan.is_none()
            {
                opening(r, run, "the fan", facts, notes);
            }
            found.map(TestKind::Isolated)
        }
    };
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
        && kind.is_some_and(|k| !matches!(k, TestKind::OneSide(_)))
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
    let kind = kind?;
    if notes.problems.len() > before {
        return None;
    }
    let (relative_sd, floor, said) = match (&reading.relative_sd, &reading.absolute_sd) {
        (Some(relative), _) => (relative.value.si(), FLOOR_M3_S, "stated with the reading"),
        (None, Some(flow)) => (0.0, flow.value.si(), "stated with the reading"),
        (None, None) => {
            notes.assume(
                &format!("reading {}", reading.id.value),
                &format!(
                    "error: ± {} % (one standard deviation)",
                    USUAL_ERROR * 100.0
                ),
                "engineering estimate, near what makers of calibrated test fans state",
            );
            (
                USUAL_ERROR,
                FLOOR_M3_S,
                "assumed: 3 % of the flow, engineering estimate",
            )
        }
    };
    notes.assume(
        "readings",
        "flows are taken as the meter's, corrected to air of 1.204 kg/m3 (20 °C at sea level)",
        "common practice: a meter that corrects by itself",
    );
    if reading.absolute_sd.is_none() {
        notes.assume(
            "readings",
            &format!(
                "error not below {}",
                Flow::new(FLOOR_M3_S).show(facts.book.units)
            ),
            "engineering estimate: what a gauge can still tell apart",
        );
    }
    let words = |m: &Option<Marked<String>>| m.as_ref().map_or(String::new(), |w| w.value.clone());
    Some(ReadingDraft {
        said: reading,
        id: reading.id.value.clone(),
        kind,
        pressure_pa: reading.pressure.as_ref().map(|p| p.value.si().abs()),
        pressurise: !reading.depressurised,
        fan,
        tap,
        barrier: reading.barrier.as_ref().map(|b| b.value),
        mask: reading.mask.as_ref().map(|m| m.value),
        plugged,
        measured: Measured {
            id: reading.id.value.clone(),
            // Stands in until the system is whole.
            setup: Setup {
                kind,
                pressure_pa: TEST_PRESSURE_PA,
                pressurise: true,
                fan: FanPlace::BlowerPanel,
                tap: TapPlace::SupplyPlenum,
                barrier: Barrier::Filter,
                mask: Mask::Flange,
                plugged: Vec::new(),
            },
            relation: reading.relation,
            flow_m3_s: reading.flow.value.si(),
            relative_sd,
            floor_sd_m3_s: floor,
            gauge: words(&reading.gauge),
            error_source: said.to_owned(),
            note: words(&reading.note),
        },
    })
}

/// The opening of a run, where a fan or tap is said to be.
fn opening(
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
    let Some(TestKind::OneSide(side)) = kind else {
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
    /// Fills what was unsaid from the whole system; what was taken is listed.
    ///
    /// # Errors
    /// What keeps the set-up from being run.
    pub fn settle(self, system: &mut System) -> Result<Measured, Vec<Diagnostic>> {
        let usual = setups::setup(system, self.kind);
        let barrier = self.barrier.unwrap_or(usual.barrier);
        let about = format!("reading {}", self.id);
        let mut taken = Vec::new();
        if self.pressure_pa.is_none() {
            taken.push(format!(
                "pressure: {}",
                Pressure::new(TEST_PRESSURE_PA).show(system.units)
            ));
        }
        let fan = self.fan.unwrap_or_else(|| {
            let fan = setups::usual_fan(system, self.kind, barrier);
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
        if self.barrier.is_none() && matches!(self.kind, TestKind::OneSide(_)) {
            taken.push("barrier: filter".to_owned());
        }
        if self.mask.is_none() {
            taken.push("mask: flange".to_owned());
        }
        let source = super::notes::PRACTICE;
        system
            .defaults
            .extend(taken.into_iter().map(|taken| DefaultUsed {
                about: about.clone(),
                taken,
                source: source.to_owned(),
            }));
        let setup = Setup {
            kind: self.kind,
            pressure_pa: self.pressure_pa.unwrap_or(usual.pressure_pa),
            pressurise: self.pressurise,
            fan,
            tap,
            barrier,
            mask: self.mask.unwrap_or(usual.mask),
            plugged: self.plugged,
        };
        let wrong = tested::unsolvable(system, &setup, self.said);
        if !wrong.is_empty() {
            return Err(wrong);
        }
        Ok(Measured {
            setup,
            ..self.measured
        })
    }
}
