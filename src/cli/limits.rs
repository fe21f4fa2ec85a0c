//! `limits`: read a sketch, hold its readings against limits, answer, say what is doubtful.

use std::path::Path;

use super::answers::doubtful;
use super::args::{Format, Input};
use super::commands::{read_catalog, read_system, units};
use super::files;
use super::limits_args::{DensityWord, LimitsWords, ScopeWord};
use super::{Ended, Refused};
use crate::catalog::{Catalog, Limit, Scope, Source, Stage, Sure, limit_words, plain_id};
use crate::limits::{self, Asked, AtPressure, Basis};
use crate::quantity::{UnitSystem, significant};
use crate::report::{
    limit_list_csv, limit_list_json, limit_list_text, limits_csv, limits_json, limits_text,
    record_csv, record_json, record_text,
};
use crate::system::System;

/// Holds readings against limits, or lists the limits.
pub fn limits(words: &LimitsWords) -> Result<Ended, Refused> {
    let output = words.show.output.as_deref();
    if words.list {
        return list(words);
    }
    let Some(sketch) = &words.sketch else {
        return Err(Refused(no_sketch(words)));
    };
    let inputs = [
        Some(sketch.as_path()),
        words.series.as_deref(),
        words.catalog.as_deref(),
    ];
    files::keep_apart(output, &inputs)?;
    let catalog = &read_catalog(words.catalog.as_deref())?;
    let system = read_system(&Input {
        sketch: sketch.clone(),
        catalog: words.catalog.clone(),
    })?;
    let asked = asked(words, &system, catalog)?;
    let answer = limits::answer(&system, catalog, &asked);
    if let Some((scope, readings)) = &asked.series {
        refuse_series(words, *scope, readings, &answer)?;
    }
    let shown = units(&words.show, &system);
    let text = match (words.record, words.format) {
        (true, Format::Text) => record_text(&system, &answer, shown),
        (true, Format::Json) => record_json(&system, &answer),
        (true, Format::Csv) => record_csv(&system, &answer, shown),
        (false, Format::Text) => limits_text(&system, &answer, shown),
        (false, Format::Json) => limits_json(&system, &answer),
        (false, Format::Csv) => limits_csv(&answer),
    };
    files::answer(&text, output)?;
    let doubts = if words.record {
        answer.record_doubts()
    } else {
        answer.doubts()
    };
    Ok(talk_of(&doubts, words.format))
}

/// Says that the answer is doubtful; why stands in an answer in words, and is said here beside the others.
fn talk_of(doubts: &[String], format: Format) -> Ended {
    if format != Format::Text || doubts.is_empty() {
        return doubtful(doubts);
    }
    let reasons = match doubts.len() {
        1 => "1 reason".to_owned(),
        count => format!("{count} reasons"),
    };
    files::talk(&format!("doubtful: {reasons}, see the answer\n"));
    Ended::Doubtful
}

/// All limits and classes.
fn list(words: &LimitsWords) -> Result<Ended, Refused> {
    let output = words.show.output.as_deref();
    files::keep_apart(output, &[words.sketch.as_deref(), words.catalog.as_deref()])?;
    let catalog = &read_catalog(words.catalog.as_deref())?;
    let shown = words.show.units.map_or(UnitSystem::Ip, UnitSystem::from);
    let text = match words.format {
        Format::Text => limit_list_text(catalog, shown),
        Format::Json => limit_list_json(catalog),
        Format::Csv => limit_list_csv(catalog),
    };
    files::answer(&text, output)?;
    Ok(Ended::Answered)
}

/// What to write where no sketch is given.
fn no_sketch(words: &LimitsWords) -> String {
    let also = if words.series.is_some() {
        "; the series then stands in place of its readings"
    } else {
        "; readings go under `readings:`"
    };
    format!(
        "error: `ductseam limits` needs a SKETCH: floor area, airflow and ducts stand there\nhint: three lines are enough \
         where only a flow is asked for{also}:\n  ductseam: 1\n  title: House\n  runs: [{{id: a, from: supply plenum, size: 6 \
         in, walk: [2 ft, cap]}}]\n`ductseam limits --list` needs no sketch\n"
    )
}

fn asked(words: &LimitsWords, system: &System, catalog: &Catalog) -> Result<Asked, Refused> {
    let stage = words.stage.as_deref().map(stage).transpose()?;
    let basis = Basis {
        scope: words.series_of.into(),
        stage: stage.or(system.record.stage),
    };
    Ok(Asked {
        limits: words
            .limit
            .iter()
            .map(|said| limit(said, catalog))
            .collect::<Result<_, _>>()?,
        all: words.all,
        stage,
        exponent: words.exponent.as_deref().map(exponent).transpose()?,
        series: words
            .series
            .as_deref()
            .map(|path| Ok::<_, Refused>((basis.scope, series(path, basis, system)?)))
            .transpose()?,
        meter_corrects: words.density.map(|word| word == DensityWord::AsRead),
    })
}

fn stage(said: &str) -> Result<Stage, Refused> {
    Stage::from_words(said).ok_or_else(|| {
        Refused(format!(
            "error: `--stage`: no stage is called `{said}`\nhint: write one of: rough-in, rough-in-no-handler, final, \
             existing\n"
        ))
    })
}

/// Exponents that may be assumed: those of leaks, with the room that a fit is given below.
const ASSUMED: (f64, f64) = (0.45, 1.0);

fn exponent(said: &str) -> Result<f64, Refused> {
    let (low, high) = ASSUMED;
    match said.trim().parse::<f64>() {
        Ok(n) if (low..=high).contains(&n) => Ok(n),
        _ => Err(Refused(format!(
            "error: `--exponent` needs a number from {low} to {high}, found `{said}`\nhint: 0.6 is usual for ducts; 0.5 is an \
             open hole, 1 a crack so fine that its flow is laminar\n"
        ))),
    }
}

/// A limit by its id, or in words.
fn limit(said: &str, catalog: &Catalog) -> Result<Limit, Refused> {
    if let Some(known) = catalog.limit(said) {
        return Ok(known.clone());
    }
    let id = plain_id(said);
    if let Some(class) = catalog.classes().iter().find(|class| class.id == id) {
        let hint = class.class_ip().map_or_else(
            || "it has no figure; write a class like `class 6`".to_owned(),
            |figure| format!("write `class {}`", significant(figure, 3)),
        );
        return Err(Refused(format!(
            "error: `--limit`: `{said}` is a class of ducts and no limit\nhint: {hint}\n"
        )));
    }
    match limit_words(said) {
        Ok(words) => Ok(Limit {
            id: said.trim().to_owned(),
            words: words.scope.words().to_owned(),
            issuer: "own".to_owned(),
            edition: String::new(),
            section: String::new(),
            stages: Vec::new(),
            scope: words.scope,
            measure: words.measure,
            least_m3_s: words.least_m3_s,
            condition: String::new(),
            source: Source {
                text: "given with `--limit`".to_owned(),
                sure: Sure::Read,
            },
            own: true,
        }),
        Err(error) => Err(Refused(match catalog.nearest_limit(said) {
            Some(near) if !said.contains('%') => format!(
                "error: `--limit`: no built-in limit is called `{said}`\nhint: did you mean `{near}`? `ductseam limits --list` \
                 shows all\n"
            ),
            _ => format!(
                "error: `--limit {said}`: {}\nhint: {}; `ductseam limits --list` shows the built-in ones\n",
                error.wrong, error.hint
            ),
        })),
    }
}

fn series(path: &Path, basis: Basis, system: &System) -> Result<Vec<AtPressure>, Refused> {
    let name = files::shown(path);
    let text = files::read_text(path, "save the table as CSV, UTF-8")?;
    let table = limits::read_series(&text, &name, basis, &system.record).map_err(|errors| {
        Refused(
            errors
                .iter()
                .map(|error| format!("error: {error}\nhint: {}\n", error.hint))
                .collect(),
        )
    })?;
    for column in &table.passed_over {
        files::talk(&format!("note: the column `{column}` is passed over\n"));
    }
    if let Some(said) = &table.baseline {
        files::talk(&format!("note: {said}\n"));
    }
    Ok(table.readings)
}

/// A series that cannot be brought to 25 Pa is wrong input.
fn refuse_series(
    words: &LimitsWords,
    scope: Scope,
    readings: &[AtPressure],
    answer: &limits::Answer<'_>,
) -> Result<(), Refused> {
    let found = answer
        .found
        .iter()
        .find(|found| found.basis.scope == scope && found.readings == readings);
    match found.map(|found| &found.at_25) {
        Some(Err(error)) => Err(Refused(format!(
            "error: `{}`: {error}\nhint: {}\n",
            words
                .series
                .as_deref()
                .map_or_else(String::new, files::shown),
            error.hint()
        ))),
        _ => Ok(()),
    }
}

impl From<ScopeWord> for Scope {
    fn from(word: ScopeWord) -> Self {
        match word {
            ScopeWord::Total => Scope::Total,
            ScopeWord::Outside => Scope::Outside,
            ScopeWord::Supply => Scope::Supply,
            ScopeWord::Return => Scope::Return,
        }
    }
}
