//! `draw`: read a sketch, compute what its layer needs, draw, write SVG or PNG.

use std::path::Path;

use super::answers::{Asked, ended, refused};
use super::args::{BasisWord, SealWords, USUAL_CHANCE, USUAL_DRAFT_LIMIT};
use super::commands::{read_catalog, units};
use super::draw_args::{DrawWords, LayerWord};
use super::files::{self, Existing};
use super::on_sheet::{short_cautions, stop};
use super::sealing::{plan_ended, planned};
use super::{Ended, Refused};
use crate::allocate::{self, Allocation};
use crate::drawing::{self, DrawAsk, DrawError, Drawing, DrawnFacts, PngError};
use crate::report::cautions;
use crate::seal::Plan;
use crate::system::System;

/// Seams that the layer `top` numbers where nothing is said: as many as "among the largest" means elsewhere.
pub const TOP: usize = 10;
/// Dots per millimetre of a PNG: about 200 to the inch, which prints well (common practice).
const DOTS_PER_MM: f64 = 8.0;
/// Sheets at least so wide are the largest there are, mm (A3, ISO 216).
const WIDE_MM: f64 = 420.0;
/// First line of an SVG file that stands by itself (Extensible Markup Language 1.0, section 2.8).
const DECLARATION: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

/// Form of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Form {
    Svg,
    /// With its dots per millimetre.
    Png(f64),
}

/// What a layer stands on.
enum Known {
    Ducts,
    Leakage(Box<Allocation>),
    Plan(Box<Plan>),
}

/// Draws a system.
pub fn draw(asked: &Asked<'_>, words: &DrawWords) -> Result<Ended, Refused> {
    let output = asked.show.output.as_deref();
    let form = form(output, words.dots_per_mm)?;
    if words.layer != LayerWord::Plan {
        no_plan_words(&words.seal)?;
    }
    if words.layer != LayerWord::Top && words.top.is_some() {
        return Err(Refused(
            "error: `--top` says how many seams `--layer top` numbers\nhint: add `--layer top`, or leave `--top` out\n"
                .to_owned(),
        ));
    }
    let (system, known) = known(asked, words)?;
    let drawing = drawing(asked, words, &system, &known)?;
    write(&drawing.svg, form, output)?;
    files::talk(&no_room(&drawing, larger(&drawing)));
    for caution in cautions(&system) {
        if caution.stop && words.layer != LayerWord::Plan {
            files::talk(&format!("STOP: {}\n", caution.text));
        }
    }
    Ok(match &known {
        Known::Ducts => Ended::Answered,
        Known::Leakage(allocation) => ended(allocation),
        Known::Plan(plan) => plan_ended(plan),
    })
}

fn known(asked: &Asked<'_>, words: &DrawWords) -> Result<(System, Known), Refused> {
    match words.layer {
        LayerWord::Plan => {
            let planned = planned(asked, &words.seal, false)?;
            Ok((planned.system, Known::Plan(Box::new(planned.plan))))
        }
        LayerWord::Ducts => Ok((asked.read()?.0, Known::Ducts)),
        LayerWord::Running | LayerWord::Seams | LayerWord::Top | LayerWord::Types => {
            let (system, settings) = asked.read()?;
            // What runs without any evidence is what the catalogue expects, as `flow` solves it.
            let has_evidence = !system.readings.is_empty() || !system.looks.is_empty();
            if words.layer == LayerWord::Running && !has_evidence {
                return Ok((system, Known::Ducts));
            }
            let allocation = allocate::allocate(&system, &settings).map_err(|e| refused(&e))?;
            Ok((system, Known::Leakage(Box::new(allocation))))
        }
    }
}

fn drawing(
    asked: &Asked<'_>,
    words: &DrawWords,
    system: &System,
    known: &Known,
) -> Result<Drawing, Refused> {
    let (allocation, plan) = match known {
        Known::Ducts => (None, None),
        Known::Leakage(allocation) => (Some(allocation.as_ref()), None),
        Known::Plan(plan) => (Some(&plan.allocation), Some(plan.as_ref())),
    };
    let (stop, cautions) = (stop(system, plan), short_cautions(system));
    let facts = DrawnFacts {
        system,
        catalog: &read_catalog(asked.input.catalog.as_deref())?,
        allocation,
        plan,
        stop: stop.as_deref(),
        cautions: &cautions,
    };
    let ask = DrawAsk {
        layers: vec![words.layer.into()],
        view: words.view.into(),
        sheet: words.sheet.into(),
        units: units(asked.show, system),
        top: words.top.map_or(TOP, |top| top as usize),
    };
    drawing::draw(&facts, &ask).map_err(|error| not_drawn(&error))
}

fn not_drawn(error: &DrawError) -> Refused {
    Refused::with_hint(error, Some("`--layer ducts` needs no figures"))
}

/// The form that the file's name asks for.
fn form(output: Option<&Path>, dots: Option<f64>) -> Result<Form, Refused> {
    let Some(path) = output else {
        return match dots {
            None => Ok(Form::Svg),
            Some(_) => Err(Refused(
                "error: `--dots-per-mm` is for a PNG, and a PNG is not written to standard output\nhint: give it a file, \
                 as in `-o house.png`, or leave `--dots-per-mm` out for SVG\n"
                    .to_owned(),
            )),
        };
    };
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    match (ending.as_deref(), dots) {
        (Some("png"), _) => Ok(Form::Png(dots.unwrap_or(DOTS_PER_MM))),
        (Some("svg"), None) => Ok(Form::Svg),
        (Some("svg"), Some(_)) => Err(Refused(format!(
            "error: `--dots-per-mm` is for a PNG, and `{}` is an SVG\nhint: leave it out, or let the name end in `.png`\n",
            path.display()
        ))),
        _ => Err(wrong_ending(path)),
    }
}

fn wrong_ending(path: &Path) -> Refused {
    if path == Path::new("-") {
        return Refused(
            "error: `-o -` is no file\nhint: leave `-o` out for SVG on standard output; a PNG needs a file, as in `-o \
             house.png`\n"
                .to_owned(),
        );
    }
    Refused(format!(
        "error: `{}` does not say what to draw: its name ends neither in `.svg` nor in `.png`\nhint: write `-o {}`, or the \
         same with `.png`\n",
        path.display(),
        path.with_extension("svg").display()
    ))
}

/// Refuses words that only a plan heeds.
fn no_plan_words(seal: &SealWords) -> Result<(), Refused> {
    let given = [
        ("--time", seal.time.is_some()),
        ("--money", seal.money.is_some()),
        ("--target", seal.target.is_some()),
        ("--from-inside", seal.from_inside),
        ("--chance", seal.chance != USUAL_CHANCE),
        ("--draft-limit", seal.draft_limit != USUAL_DRAFT_LIMIT),
        ("--basis", seal.basis != BasisWord::Total),
    ];
    match given.iter().find(|(_, given)| *given) {
        None => Ok(()),
        Some((option, _)) => Err(Refused(format!(
            "error: `{option}` says what is sealed, and only `--layer plan` draws that\nhint: add `--layer plan`, or leave \
             `{option}` out\n"
        ))),
    }
}

fn write(svg: &str, form: Form, output: Option<&Path>) -> Result<(), Refused> {
    match (form, output) {
        (Form::Png(dots), Some(path)) => {
            let bytes = drawing::png(svg, dots).map_err(|error| no_pixels(&error))?;
            files::write_whole(path, &bytes, Existing::Replace)
        }
        _ => files::answer(&format!("{DECLARATION}{}\n", svg.trim_end()), output),
    }
}

fn no_pixels(error: &PngError) -> Refused {
    let hint = match error {
        PngError::TooLarge { .. } => {
            Some("ask for fewer `--dots-per-mm`; 8 is about 200 to the inch")
        }
        PngError::Resolution(_) => {
            Some("write `--dots-per-mm 8` for print, `--dots-per-mm 4` for a screen")
        }
        PngError::Unreadable(_) => Some("write it as `.svg` instead"),
    };
    Refused::with_hint(error, hint)
}

/// What is said where names are missing; nothing where none is.
pub fn no_room(drawing: &Drawing, else_where: &str) -> String {
    match drawing.left_out {
        0 => String::new(),
        1 => format!("1 name found no room on the drawing{else_where}\n"),
        n => format!("{n} names found no room on the drawing{else_where}\n"),
    }
}

/// Where more names would find room.
fn larger(drawing: &Drawing) -> &'static str {
    if drawing.width_mm < WIDE_MM {
        "; a larger sheet (`--sheet a3` or `tabloid`) may hold more"
    } else {
        ""
    }
}
