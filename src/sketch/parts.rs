//! Single values of a sketch, read outside of a file: for those who write sketches from other lists.
//!
//! Each reads what the sketch itself would read, in the same bounds, and refuses with the same words.

use super::diagnostics::{Diagnostic, nearest, quoted};
use super::limits;
use super::reader::{Cut, Reader};
use super::steps;
use super::types::{Heading, Material, Overrides, Reach, Side, StepKind};
use super::words::{self, Words, listed};
use crate::catalog::Work;
use crate::quantity::{Flow, Length, Size, ThermalResistance};

/// How many characters a name may have.
pub(crate) const NAME: usize = limits::NAME;

/// What is wrong with a value; boxed, since it is large and mostly not there.
pub(crate) type Refusal = Box<Diagnostic>;

fn one<T>(
    text: &str,
    read: impl FnOnce(&mut Reader<'_>, &Cut<'_>) -> Option<T>,
) -> Result<T, Refusal> {
    let mut reader = Reader::new(text);
    let cut = Cut::whole(text);
    let value = read(&mut reader, &cut);
    match (value, reader.found.into_iter().next()) {
        (Some(value), None) => Ok(value),
        (_, Some(found)) => Err(Box::new(found)),
        (None, None) => Err(Box::new(Diagnostic::new(
            "E0120",
            cut.at,
            format!("{} cannot be read", quoted(text)),
        ))),
    }
}

/// A walk step with what it says of its place, reach and work.
pub(crate) fn step(text: &str) -> Result<(StepKind, Overrides), Refusal> {
    one(text, steps::step)
}

pub(crate) use super::steps::Part;

/// The parts of a walk step's words, as written; none where it does not read.
pub(crate) fn step_parts(text: &str) -> Option<(StepKind, Vec<(Part, &str)>)> {
    let mut reader = Reader::new(text);
    let cut = Cut::whole(text);
    let (kind, _, parts) = steps::parse_parts(&mut reader, &cut)?;
    let place = |part: &str| part.as_ptr() as usize - text.as_ptr() as usize;
    let parts = parts
        .into_iter()
        .map(|(what, part)| (what, &text[place(part)..][..part.len()]));
    let parts = parts.collect();
    reader.found.is_empty().then_some((kind, parts))
}

/// Why a name cannot stand for a run.
pub(crate) fn run_name(text: &str) -> Result<String, Refusal> {
    let name = name(text, "the name of a run")?;
    let text = name.trim();
    match super::runs::RESERVED
        .iter()
        .find(|own| own.eq_ignore_ascii_case(text))
    {
        Some(_) => Err(Box::new(
            Diagnostic::new(
                "E0152",
                super::span::Span::default(),
                format!("a run cannot be called {}", quoted(text)),
            )
            .hint(
                "this name stands for a part of the unit: add a word, for instance `main return`",
            ),
        )),
        None => Ok(text.to_owned()),
    }
}

/// The id of the run that a start is off, by its place in the words: of `S at 6 ft left` and `S end`.
pub(crate) fn run_of_start(text: &str) -> Option<std::ops::Range<usize>> {
    let lower = text.to_ascii_lowercase();
    let from = text.len() - text.trim_start().len();
    let end = match lower.rfind(" at ") {
        Some(at) => at,
        None => lower.trim_end().strip_suffix(" end")?.len(),
    };
    let name = text.get(from..end)?.trim_end();
    (!name.is_empty()).then_some(from..from + name.len())
}

/// A straight length.
pub(crate) fn length(text: &str) -> Result<Length, Refusal> {
    one(text, |reader, cut| {
        reader.quantity_in(cut, cut.text, &limits::STRAIGHT)
    })
    .map(|length| length.value)
}

/// A distance along a run.
pub(crate) fn along(text: &str) -> Result<Length, Refusal> {
    one(text, |reader, cut| {
        reader.quantity_in(cut, cut.text, &limits::ALONG)
    })
    .map(|length| length.value)
}

/// The section of a duct.
pub(crate) fn size(text: &str) -> Result<Size, Refusal> {
    one(text, |reader, cut| {
        reader.size_in(cut, cut.text, &limits::DUCT_SIDE)
    })
    .map(|size| size.value)
}

/// The airflow meant for a room.
pub(crate) fn airflow(text: &str) -> Result<Flow, Refusal> {
    one(text, |reader, cut| {
        reader.quantity_in(cut, cut.text, &limits::AIRFLOW)
    })
    .map(|flow| flow.value)
}

/// The insulation of a duct.
pub(crate) fn insulation(text: &str) -> Result<ThermalResistance, Refusal> {
    one(text, |reader, cut| {
        reader.quantity_in(cut, cut.text, &limits::INSULATION)
    })
    .map(|insulation| insulation.value)
}

fn choice<T: Copy>(text: &str, what: &str, words: Words<T>) -> Result<T, Refusal> {
    one(text, |reader, cut| {
        reader.choice_in(cut, cut.text, what, words)
    })
    .map(|word| word.value)
}

/// A material.
pub(crate) fn material(text: &str) -> Result<Material, Refusal> {
    choice(text, "a material", words::MATERIAL)
}

/// The side of a run.
pub(crate) fn side(text: &str) -> Result<Side, Refusal> {
    choice(text, "the side of a run", words::SIDE)
}

/// Workmanship.
pub(crate) fn work(text: &str) -> Result<Work, Refusal> {
    choice(text, "the work", words::WORK)
}

/// Reach.
pub(crate) fn reach(text: &str) -> Result<Reach, Refusal> {
    choice(text, "the reach", words::REACH)
}

/// The face of a run on which another sits.
pub(crate) fn face(text: &str) -> Result<Heading, Refusal> {
    choice(text, "the face of a run", words::FACE)
}

/// Why a name cannot stand for a run or a place, if it cannot.
pub(crate) fn name(text: &str, what: &str) -> Result<String, Refusal> {
    one(text, |reader, cut| reader.id_in(cut, cut.text, what)).map(|name| name.value)
}

/// The first words of walk steps.
pub(crate) fn step_words() -> Vec<&'static str> {
    listed(words::STEP)
}

/// The step word that is spelt most like some words.
pub(crate) fn near_step(text: &str) -> Option<&'static str> {
    nearest(text, step_words())
}

fn word_of<T: PartialEq>(words: Words<T>, value: &T) -> &'static str {
    words
        .iter()
        .find(|(_, meaning)| meaning == value)
        .map_or("", |(word, _)| *word)
}

/// The word to write for a material.
pub(crate) fn material_word(material: Material) -> &'static str {
    word_of(words::MATERIAL, &material)
}

/// The word to write for workmanship.
pub(crate) fn work_word(work: Work) -> &'static str {
    word_of(words::WORK, &work)
}

/// The word to write for a reach.
pub(crate) fn reach_word(reach: Reach) -> &'static str {
    word_of(words::REACH, &reach)
}

/// The word to write for a heading.
pub(crate) fn heading_word(heading: Heading) -> &'static str {
    word_of(words::HEADING, &heading)
}

/// The first words of a step.
pub(crate) fn step_word(kind: &StepKind) -> &'static str {
    use super::words::StepWord as W;
    let word = match kind {
        StepKind::Straight { .. } => return "",
        StepKind::Takeoff(takeoff) => W::Takeoff(*takeoff),
        StepKind::Elbow { kind, .. } => W::Elbow(*kind),
        StepKind::Reducer { .. } => W::Reducer,
        StepKind::Boot { kind, .. } => W::Boot(*kind),
        StepKind::Intake { .. } => W::Intake,
        StepKind::Cap => W::Cap,
        StepKind::Damper { .. } => W::Damper,
        StepKind::Canvas => W::Canvas,
        StepKind::AccessDoor { .. } => W::AccessDoor,
        StepKind::FilterSlot => W::FilterSlot,
        StepKind::TestHole => W::TestHole,
        StepKind::Splice => W::Splice,
        StepKind::Joins { .. } => W::Joins,
    };
    word_of(words::STEP, &word)
}
