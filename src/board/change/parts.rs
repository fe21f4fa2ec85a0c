//! A walk step as parts, as a form shows it, and back to words.

use serde::{Deserialize, Serialize};

use super::Refused;
use crate::sketch::StepKind;
use crate::sketch::parts::{self, Part};

/// The parts of a walk step, each as written; the step's grammar puts them together.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Parts {
    /// `straight`, `takeoff`, `elbow`, `reducer`, `boot`, `intake`, `cap`, `damper`, `canvas`, `access door`, `filter slot`,
    /// `test hole`, `splice` or `joins`.
    pub kind: String,
    /// The first words: `tab collar`; the usual ones of the kind if not said.
    pub word: Option<String>,
    /// `left`.
    pub heading: Option<String>,
    /// `10 ft`.
    pub length: Option<String>,
    /// `flex`.
    pub material: Option<String>,
    /// `45`.
    pub degrees: Option<String>,
    /// `10x4 in`.
    pub size: Option<String>,
    /// `B at 12 ft`.
    pub onto: Option<String>,
    /// `attic`.
    pub place: Option<String>,
    /// `behind finish`.
    pub reach: Option<String>,
    /// `mastic`.
    pub work: Option<String>,
}

/// Kinds with the words that stand for them when none are said.
const KINDS: [(&str, &str); 14] = [
    ("straight", ""),
    ("takeoff", "tab collar"),
    ("elbow", "elbow"),
    ("reducer", "reducer to"),
    ("boot", "boot"),
    ("intake", "intake"),
    ("cap", "cap"),
    ("damper", "damper"),
    ("canvas", "canvas"),
    ("access door", "access door"),
    ("filter slot", "filter slot"),
    ("test hole", "test hole"),
    ("splice", "splice"),
    ("joins", "joins"),
];

fn kind_word(kind: &StepKind) -> &'static str {
    match kind {
        StepKind::Straight { .. } => "straight",
        StepKind::Takeoff(_) => "takeoff",
        StepKind::Elbow { .. } => "elbow",
        StepKind::Reducer { .. } => "reducer",
        StepKind::Boot { .. } => "boot",
        StepKind::Intake { .. } => "intake",
        StepKind::Cap => "cap",
        StepKind::Damper { .. } => "damper",
        StepKind::Canvas => "canvas",
        StepKind::AccessDoor { .. } => "access door",
        StepKind::FilterSlot => "filter slot",
        StepKind::TestHole => "test hole",
        StepKind::Splice => "splice",
        StepKind::Joins { .. } => "joins",
    }
}

/// The parts of a step in words; `None` where it does not read.
#[must_use]
pub fn parts_of(text: &str) -> Option<Parts> {
    let (kind, said) = parts::step_parts(text)?;
    let get = |wanted: Part| {
        let part = said.iter().find(|(part, _)| *part == wanted)?.1;
        Some(part.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let lower = |part: Part| get(part).map(|words| words.to_lowercase());
    Some(Parts {
        kind: kind_word(&kind).to_owned(),
        word: lower(Part::Word),
        heading: lower(Part::Heading),
        length: get(Part::Length),
        material: lower(Part::Material),
        degrees: get(Part::Degrees),
        size: get(Part::Size),
        onto: get(Part::Onto),
        place: get(Part::Place),
        reach: lower(Part::Reach),
        work: lower(Part::Work),
    })
}

/// The words of a step.
///
/// # Errors
/// Parts that do not make a step of their kind, in the words of the reader of sketches.
pub fn text_of(parts: &Parts) -> Result<String, Refused> {
    let mut parts = parts.clone();
    tidy(&mut parts);
    let Some((_, usual)) = KINDS.iter().find(|(kind, _)| *kind == parts.kind) else {
        let known: Vec<&str> = KINDS.iter().map(|(kind, _)| *kind).collect();
        return Err(Refused::new(
            format!("no walk step is of the kind `{}`", parts.kind),
            format!("the kinds are: {}", known.join(", ")),
        ));
    };
    let word = parts.word.clone().unwrap_or_else(|| (*usual).to_owned());
    parts.word = Some(word).filter(|word| !word.is_empty());
    let unit = if parts.kind == "damper" {
        "deg"
    } else {
        "degrees"
    };
    let words = [
        parts.word.clone(),
        parts.heading.clone(),
        parts.length.clone(),
        parts.material.clone(),
        parts.size.clone(),
        parts
            .degrees
            .as_ref()
            .map(|degrees| format!("{degrees} {unit}")),
        parts.onto.clone(),
        parts.place.as_ref().map(|place| format!("in {place}")),
        parts.reach.clone(),
        parts.work.clone(),
    ];
    let text = words.into_iter().flatten().collect::<Vec<_>>().join(" ");
    crate::sketch::parts::step(&text)?;
    if parts_of(&text).as_ref() == Some(&parts) {
        Ok(text)
    } else {
        Err(Refused::new(
            format!("these parts do not make a step: `{text}` says something else"),
            "give each part its own words",
        ))
    }
}

/// Takes out parts that say nothing, and writes the fixed words small.
fn tidy(parts: &mut Parts) {
    for part in [
        &mut parts.word,
        &mut parts.heading,
        &mut parts.length,
        &mut parts.material,
        &mut parts.degrees,
        &mut parts.size,
        &mut parts.onto,
        &mut parts.place,
        &mut parts.reach,
        &mut parts.work,
    ] {
        let words = part.as_deref().unwrap_or_default().split_whitespace();
        let words = words.collect::<Vec<_>>().join(" ");
        *part = Some(words).filter(|words| !words.is_empty());
    }
    for part in [
        &mut parts.word,
        &mut parts.heading,
        &mut parts.material,
        &mut parts.reach,
        &mut parts.work,
    ] {
        *part = part.as_ref().map(|words| words.to_lowercase());
    }
}
