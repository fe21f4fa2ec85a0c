//! `report`: read a sketch, compute everything that its readings allow, write one page.

use std::path::Path;

use super::answers::{self, Asked, refused};
use super::args::{ReportWords, SealWords};
use super::commands::{read_catalog, units};
use super::draw::{TOP, no_room};
use super::on_sheet::{short_cautions, stop};
use super::sealing::{self, not_sealed};
use super::{Ended, Refused, files};
use crate::allocate::{self, NextAsk};
use crate::catalog::Catalog;
use crate::drawing::{self, DrawAsk, DrawError, DrawnFacts, Layer, Sheet, View};
use crate::effects::{self, EffectsSettings};
use crate::limits;
use crate::predict::{self, PredictSettings, Prediction};
use crate::quantity::UnitSystem;
use crate::report::{House, house_html};
use crate::seal::{self, Proof};
use crate::system::System;

/// What is planned for where neither time, money nor target is said: a crew's day. Common practice.
const USUAL_TIME: &str = "8 h";

/// Writes the report of a house.
pub fn report(asked: &Asked<'_>, words: &ReportWords) -> Result<Ended, Refused> {
    page_name(asked.show.output.as_deref())?;
    let (system, settings) = asked.read()?;
    let catalog = read_catalog(asked.input.catalog.as_deref())?;
    let shown = units(asked.show, &system);
    files::progress("spreading what was read over the seams, and what to look at next");
    let study =
        allocate::study(&system, &settings, &NextAsk::default()).map_err(|e| refused(&e))?;
    files::progress("choosing what to seal");
    let seal = usual_time(&words.seal);
    let planned = sealing::planned_from(system, &settings, &seal, true, &study.posterior)?;
    let system = &planned.system;
    files::progress("what the work does to rooms, house and bill");
    let mut untold = Vec::new();
    let effects = (!planned.plan.steps.is_empty())
        .then(|| effects::effects(system, &planned.pairs, &EffectsSettings::default()));
    let effects = match effects {
        Some(Err(error)) => {
            untold.push(format!(
                "What the work does to rooms and bill could not be computed: {error}."
            ));
            None
        }
        other => other.and_then(Result::ok),
    };
    files::progress("before and after");
    let proof = proof(system, &settings, words, &mut untold)?;
    let predicted = predicted(system, &catalog, &settings)?;
    let limits = (!system.readings.is_empty())
        .then(|| limits::answer(system, &catalog, &limits::Asked::default()))
        .filter(|answer| !answer.found.is_empty());
    files::progress("drawing");
    let drawing = drawn(
        system,
        &catalog,
        &study.posterior.allocation,
        &planned,
        shown,
        &mut untold,
    )?;
    for why in &untold {
        files::talk(&format!("{why}\n"));
    }
    files::talk(&no_room(&drawing, "; the table of seams has them all"));
    let page = house_html(&House {
        system,
        catalog: &catalog,
        units: shown,
        allocation: &study.posterior.allocation,
        drawing: &drawing,
        predicted: predicted.as_ref(),
        compared: (!study.compared.readings.is_empty()).then_some(&study.compared),
        limits: limits.as_ref(),
        next: Some(&study.next),
        plan: Some(&planned.plan),
        effects: effects.as_ref(),
        proof: proof.as_ref(),
        untold: &untold,
    });
    files::answer(&page, asked.show.output.as_deref())?;
    let proved = proof
        .as_ref()
        .map_or(Ended::Answered, |proof| answers::ended(&proof.after));
    Ok(match sealing::plan_ended(&planned.plan) {
        Ended::Answered => proved,
        doubtful => doubtful,
    })
}

/// Refuses a name that would promise something else than a page.
fn page_name(output: Option<&Path>) -> Result<(), Refused> {
    let Some(path) = output else {
        return Ok(());
    };
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    let is_special = std::fs::metadata(path).is_ok_and(|found| !found.is_file() && !found.is_dir());
    match ending.as_deref() {
        Some("html" | "htm") => Ok(()),
        None if is_special => Ok(()),
        _ => Err(Refused(format!(
            "error: the report is a page, and `{}` does not end in `.html`\nhint: write `-o {}`; a browser prints it as PDF, \
             and `ductseam draw` writes the drawing as SVG or PNG\n",
            path.display(),
            path.with_extension("html").display()
        ))),
    }
}

/// The words of a plan, with a day's work where nothing limits it.
fn usual_time(words: &SealWords) -> SealWords {
    let mut words = words.clone();
    if words.time.is_none() && words.money.is_none() && words.target.is_none() {
        words.time = Some(USUAL_TIME.to_owned());
    }
    words
}

/// What was achieved, where the sketch lists sealing with readings on both sides of it.
fn proof(
    system: &System,
    settings: &allocate::AllocateSettings,
    words: &ReportWords,
    untold: &mut Vec<String>,
) -> Result<Option<Proof>, Refused> {
    if system.sealing.is_empty() {
        return Ok(None);
    }
    let target = words
        .seal
        .target
        .as_deref()
        .map(|said| sealing::target(system, said))
        .transpose()?;
    match seal::prove(system, settings, target) {
        Ok(proof) => Ok(Some(proof)),
        Err(error @ seal::SealError::NoPair { .. }) => {
            untold.push(format!(
                "What the sealing achieved cannot be proved: {error}."
            ));
            Ok(None)
        }
        Err(error) => Err(not_sealed(&error)),
    }
}

/// What the design would leak, where nothing was read yet.
fn predicted(
    system: &System,
    catalog: &Catalog,
    settings: &allocate::AllocateSettings,
) -> Result<Option<Prediction>, Refused> {
    if !system.readings.is_empty() || !system.looks.is_empty() {
        return Ok(None);
    }
    files::progress("what the design will leak");
    let settings = PredictSettings {
        draws: settings.clone(),
        ..PredictSettings::default()
    };
    predict::predict(system, catalog, &settings)
        .map(Some)
        .map_err(|e| refused(&e))
}

fn drawn(
    system: &System,
    catalog: &Catalog,
    allocation: &allocate::Allocation,
    planned: &sealing::Planned,
    shown: UnitSystem,
    untold: &mut Vec<String>,
) -> Result<drawing::Drawing, Refused> {
    let has_steps = !planned.plan.steps.is_empty();
    let mut layers = vec![Layer::Seams, Layer::Top];
    if has_steps {
        layers.push(Layer::Plan);
    }
    layers.extend([Layer::Running, Layer::Types]);
    let (stop, cautions) = (stop(system, Some(&planned.plan)), short_cautions(system));
    let facts = DrawnFacts {
        system,
        catalog,
        allocation: Some(allocation),
        plan: has_steps.then_some(&planned.plan),
        stop: stop.as_deref(),
        cautions: &cautions,
    };
    let mut ask = DrawAsk {
        layers,
        view: View::Plan,
        sheet: own_paper(shown),
        units: shown,
        top: TOP,
    };
    let drawing = drawing::draw(&facts, &ask).or_else(|error| match error {
        // Running pressures are told only where the running system settles.
        DrawError::Missing { layer, .. } if layer == Layer::Running.word() => {
            untold.push(format!(
                "No pressures of the running unit are drawn: {error}."
            ));
            ask.layers.retain(|layer| *layer != Layer::Running);
            drawing::draw(&facts, &ask)
        }
        other => Err(other),
    });
    // The page prints on ordinary paper; a system too large for it is drawn on a larger sheet and looked at closer.
    let drawing = match drawing {
        Ok(small) if small.left_out > 0 => {
            ask.sheet = Sheet::Fit;
            drawing::draw(&facts, &ask).map(|large| {
                if large.left_out < small.left_out {
                    large
                } else {
                    small
                }
            })
        }
        drawn => drawn,
    };
    drawing.map_err(|error| Refused(format!("error: {error}\n")))
}

/// The paper that an ordinary printer holds.
fn own_paper(units: UnitSystem) -> Sheet {
    match units {
        UnitSystem::Ip => Sheet::Letter,
        UnitSystem::Si => Sheet::A4,
    }
}
