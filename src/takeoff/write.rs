//! Writes the sketch, and keeps which part of it came from which cell.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::cells::Cells;
use super::columns::Column;
use super::draw::Settings;
use super::fault::{Assumed, Spot};
use super::fittings::Part;
use super::rows::Draft;
use super::text::{flow_words, insulation_words, length_words, size_words, step_words};
use super::tree::{Start, distance_cell, side_word};
use super::walk::{Carries, walk};
use crate::quantity::{Length, UnitSystem};
use crate::sketch::{Side, StepKind, parts};

/// Title where none is given.
const TITLE: &str = "My house";

/// A part of the sketch and the cell that it came from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mark {
    pub start: usize,
    pub end: usize,
    pub line: usize,
    pub column: String,
    pub cell: String,
}

/// A sketch with its marks, in the order of their places.
#[derive(Debug, Default)]
pub(super) struct Written {
    pub text: String,
    pub marks: Vec<Mark>,
}

impl Written {
    fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    fn from(&mut self, cell: Spot<'_>, text: &str) {
        let start = self.text.len();
        self.line(text);
        self.marks.push(Mark {
            start,
            end: self.text.len(),
            line: cell.line,
            column: cell.column.to_owned(),
            cell: cell.cell.to_owned(),
        });
    }
}

/// Writes the sketch of a list without faults.
pub(super) fn write(
    drafts: &[Draft<'_>],
    starts: &[Start],
    cells: &Cells<'_>,
    units: UnitSystem,
    settings: &Settings,
    assumed: &mut Vec<Assumed>,
) -> Written {
    let mut any = vec![false; drafts.len()];
    for parent in starts.iter().filter_map(|start| start.parent) {
        any[parent] = true;
    }
    let walks: Vec<_> = (drafts.iter().zip(starts).zip(&any))
        .map(|((draft, start), &any)| walk(draft, start, Carries { any }, units, assumed))
        .collect();
    let place = usual_place(drafts);
    let own = own_places(drafts, settings);
    whole_list(drafts, starts, cells, place.as_deref(), &own, assumed);
    in_order(drafts, assumed);

    let mut out = Written::default();
    let suspected = drafts.iter().any(|draft| speaks_of_asbestos(&draft.notes));
    head(
        &mut out,
        settings,
        units,
        place.as_deref(),
        (&own, suspected),
        assumed,
    );
    let mut told: BTreeMap<&str, Vec<&Assumed>> = BTreeMap::new();
    for one in assumed.iter().filter(|one| !one.run.is_empty()) {
        told.entry(one.run.as_str()).or_default().push(one);
    }
    out.line("runs:");
    for (i, (draft, start)) in drafts.iter().zip(starts).enumerate() {
        for one in told.get(draft.name.as_str()).into_iter().flatten() {
            out.line(&format!("  # assumed: {}", one.what));
        }
        if !draft.notes.is_empty() {
            out.line(&format!("  # note: {}", draft.notes));
        }
        let steps = walks[i]
            .iter()
            .map(|(kind, over)| step_words(kind, over, units));
        let steps: Vec<String> = steps.collect();
        run(&mut out, draft, start, drafts, &steps, cells, units);
    }
    out
}

/// Whether a note says that somebody thought of asbestos; one that rules it out is read by a person, not here.
fn speaks_of_asbestos(notes: &str) -> bool {
    notes.to_lowercase().contains("asbestos")
}

/// The place of most runs.
fn usual_place(drafts: &[Draft<'_>]) -> Option<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for draft in drafts.iter().filter(|draft| !draft.place.is_empty()) {
        *counts.entry(&draft.place).or_default() += 1;
    }
    // Of equals the first in the alphabet.
    let most = counts.into_iter().rev().max_by_key(|(_, count)| *count);
    most.map(|(place, _)| place.to_owned())
}

/// Places that are known by no name.
fn own_places(drafts: &[Draft<'_>], settings: &Settings) -> BTreeSet<String> {
    let known: BTreeSet<&str> = settings.places.iter().map(String::as_str).collect();
    let all = drafts.iter().map(|draft| &draft.place);
    let own = all.filter(|place| !place.is_empty() && !known.contains(place.as_str()));
    own.cloned().collect()
}

fn whole_list(
    drafts: &[Draft<'_>],
    starts: &[Start],
    cells: &Cells<'_>,
    place: Option<&str>,
    own: &BTreeSet<String>,
    assumed: &mut Vec<Assumed>,
) {
    let mut say = |what: String| {
        assumed.push(Assumed {
            run: String::new(),
            what,
        });
    };
    match place {
        Some(place) => say(format!("the unit stands in `{place}`, where most runs are")),
        None => say("no place is said: the unit and its ducts are taken to be inside".to_owned()),
    }
    for place in own {
        say(format!(
            "`{place}` is a buffer between house and outdoors; describe it under `places`"
        ));
    }
    let no_material = |draft: &&Draft<'_>| {
        cells
            .columns
            .cell(draft.row, Column::Material)
            .cell
            .is_empty()
    };
    if drafts.iter().any(|draft| no_material(&draft)) {
        say("where no material is said, round sizes are round sheet-metal pipe, others rectangular sheet metal".to_owned());
    }
    let heads = |draft: &Draft<'_>| {
        draft.parts.iter().any(|part| match part {
            Part::Step(StepKind::Straight { heading, .. } | StepKind::Elbow { heading, .. }, _) => {
                heading.is_some()
            }
            _ => false,
        })
    };
    if !drafts.iter().any(heads) {
        say("no headings are said: runs leave square to what they start from, and elbows turn anywhere".to_owned());
    }
    if drafts.iter().any(|draft| speaks_of_asbestos(&draft.notes)) {
        say("a note speaks of asbestos: the sketch says `suspect tape: suspected`, which stops all advice until it is cleared up".to_owned());
    }
    if !starts.iter().any(|start| start.side == Side::Return) {
        say("no run is on the return side: returns are missing, or the list does not say which runs they are".to_owned());
    }
    if drafts.iter().all(|draft| draft.work.is_none()) {
        say(
            "nothing is said of how seams are sealed: `check` tells what stands in for it"
                .to_owned(),
        );
    }
}

/// The whole list first, then run by run.
fn in_order(drafts: &[Draft<'_>], assumed: &mut [Assumed]) {
    let order: BTreeMap<&str, usize> = drafts
        .iter()
        .enumerate()
        .map(|(i, draft)| (draft.name.as_str(), i + 1))
        .collect();
    assumed.sort_by_key(|one| order.get(one.run.as_str()).copied().unwrap_or(0));
}

fn head(
    out: &mut Written,
    settings: &Settings,
    units: UnitSystem,
    place: Option<&str>,
    (own, suspected): (&BTreeSet<String>, bool),
    assumed: &[Assumed],
) {
    for line in [
        "# A sketch made from a list of runs. Read it against the ducts before it is trusted: what the list",
        "# does not say was assumed, and every assumption stands in a comment where it was made.",
    ] {
        out.line(line);
    }
    for one in assumed.iter().filter(|one| one.run.is_empty()) {
        out.line(&format!("# assumed: {}", one.what));
    }
    out.line("ductseam: 1");
    let title = settings.title.as_deref().unwrap_or(TITLE);
    out.line(&format!("title: {}", in_quotes(title)));
    out.line(&format!("units: {units}"));
    let example = match units {
        UnitSystem::Ip => "{floor area: 1500 ft2, height: 8 ft, elevation: 300 ft}",
        UnitSystem::Si => "{floor area: 140 m2, height: 2.5 m, elevation: 100 m}",
    };
    out.line("# Facts of the house that a list of runs does not hold; write your own and take the sign off:");
    out.line(&format!("# house: {example}"));
    out.line("# combustion: [{appliance: water heater, draft: natural, place: basement}]");
    out.line(
        "# none seen | suspected | not checked: old tape or wrap may hold asbestos, leave it alone",
    );
    let tape = if suspected {
        "suspected"
    } else {
        "not checked"
    };
    out.line(&format!("suspect tape: {tape}"));
    if !own.is_empty() {
        out.line("places:");
        for place in own {
            out.line(&format!("  {}: {{like: buffer}}      # or inside, outside, zone reading: 46 of 50 Pa to outdoors", plain_or_quoted(place)));
        }
    }
    let flow = match units {
        UnitSystem::Ip => "1000 cfm",
        UnitSystem::Si => "500 L/s",
    };
    out.line("air handler:");
    match place {
        Some(place) => out.line(&format!("  place: {}", plain_or_quoted(place))),
        None => out.line("  place: inside"),
    }
    out.line(&format!("  # airflow: {flow} by blower table"));
    out.line("  # filter: unit");
}

fn run(
    out: &mut Written,
    draft: &Draft<'_>,
    start: &Start,
    drafts: &[Draft<'_>],
    steps: &[String],
    cells: &Cells<'_>,
    units: UnitSystem,
) {
    let cell = |column| cells.columns.cell(draft.row, column);
    out.from(
        cell(Column::Run),
        &format!("  - id: {}", plain_or_quoted(&draft.name)),
    );
    let from = match (start.parent, start.along) {
        (None, _) => format!("{} plenum", side_word(start.side)),
        (Some(parent), None) => format!("{} end", drafts[parent].name),
        (Some(parent), Some(along)) => {
            let mut from = format!(
                "{} at {}",
                drafts[parent].name,
                length_words(Length::new(along), units)
            );
            if let Some(face) = start.face {
                let _ = write!(from, " {}", parts::heading_word(face));
            }
            from
        }
    };
    out.from(
        distance_cell(draft, cells),
        &format!("    from: {}", plain_or_quoted(&from)),
    );
    if let Some(size) = draft.size {
        out.from(
            cell(Column::Size),
            &format!("    size: {}", size_words(size, units)),
        );
    }
    if let Some(material) = draft.material {
        out.from(
            cell(Column::Material),
            &format!("    material: {}", parts::material_word(material)),
        );
    }
    if !draft.place.is_empty() {
        out.from(
            cell(Column::Place),
            &format!("    place: {}", plain_or_quoted(&draft.place)),
        );
    }
    if let Some(reach) = draft.reach {
        out.from(
            cell(Column::Reach),
            &format!("    reach: {}", parts::reach_word(reach)),
        );
    }
    if let Some(work) = draft.work {
        out.from(
            cell(Column::Work),
            &format!("    work: {}", parts::work_word(work)),
        );
    }
    if let Some(insulation) = draft.insulation {
        out.from(
            cell(Column::Insulation),
            &format!("    insulation: {}", insulation_words(insulation, units)),
        );
    }
    if !draft.room.is_empty() {
        out.from(
            cell(Column::Room),
            &format!("    room: {}", plain_or_quoted(&draft.room)),
        );
    }
    if let Some(airflow) = draft.airflow {
        out.from(
            cell(Column::Airflow),
            &format!("    design flow: {}", flow_words(airflow, units)),
        );
    }
    let fittings = cell(Column::Fittings);
    let steps: Vec<String> = steps.iter().map(|step| plain_or_quoted(step)).collect();
    out.from(fittings, &format!("    walk: [{}]", steps.join(", ")));
}

/// Words as they are where YAML takes them as words, else in quotes.
fn plain_or_quoted(words: &str) -> String {
    const MEAN_OTHERS: [&str; 9] = ["yes", "no", "true", "false", "on", "off", "null", "y", "n"];
    let plain = words.starts_with(|c: char| c.is_alphabetic() || c.is_ascii_digit())
        && words
            .chars()
            .all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.'))
        && words.parse::<f64>().is_err()
        && !words.starts_with(|c: char| c.is_ascii_digit() && !words.contains(' '))
        && !MEAN_OTHERS.contains(&words.to_lowercase().as_str());
    if plain {
        words.to_owned()
    } else {
        in_quotes(words)
    }
}

fn in_quotes(words: &str) -> String {
    let mut out = String::from("\"");
    for c in words.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
