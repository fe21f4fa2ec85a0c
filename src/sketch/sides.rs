//! Which side of the unit every run is on.

use std::collections::BTreeMap;

use super::diagnostics::{Diagnostic, quoted};
use super::reader::Reader;
use super::span::Marked;
use super::types::{Run, Side, Start};

/// A run whose side is not settled yet.
pub(super) struct Draft {
    pub run: Run,
    pub side: Option<Marked<Side>>,
}

/// Gives every run its side: said, or of the plenum or run it starts from.
///
/// A run off a run that does not exist, or off a circle of runs, is left on the supply side: joining the runs finds that error.
pub(super) fn settle_sides(reader: &mut Reader<'_>, drafts: Vec<Draft>) -> Vec<Run> {
    let index: BTreeMap<String, usize> = drafts
        .iter()
        .enumerate()
        .map(|(i, draft)| (draft.run.id.value.clone(), i))
        .collect();
    let parent = |i: usize| match &drafts[i].run.from.value {
        Start::Off { run, .. } => index.get(&run.value).copied(),
        _ => None,
    };
    let mut sides: Vec<Option<Side>> = drafts
        .iter()
        .map(|draft| match draft.run.from.value {
            Start::SupplyPlenum => Some(Side::Supply),
            Start::ReturnPlenum => Some(Side::Return),
            Start::Off { .. } => None,
        })
        .collect();
    for i in 0..drafts.len() {
        // Up to the first run whose side is known, then down again; a circle comes back to a run of the path.
        let mut path = Vec::new();
        let mut now = Some(i);
        let mut found = None;
        while let Some(run) = now {
            if let Some(side) = sides[run] {
                found = Some(side);
                break;
            }
            if path.len() > drafts.len() {
                break;
            }
            path.push(run);
            now = parent(run);
        }
        let top = path
            .last()
            .and_then(|run| drafts[*run].side.as_ref())
            .map(|side| side.value);
        let side = found.or(top).unwrap_or(Side::Supply);
        for run in path {
            sides[run] = Some(side);
        }
    }
    let runs: Vec<(Run, Option<Marked<Side>>, Side)> = drafts
        .into_iter()
        .zip(sides)
        .map(|(draft, side)| (draft.run, draft.side, side.unwrap_or(Side::Supply)))
        .collect();
    runs.into_iter()
        .map(|(mut run, said, side)| {
            if let Some(said) = &said
                && said.value != side
            {
                let word = |side| {
                    if side == Side::Supply {
                        "supply"
                    } else {
                        "return"
                    }
                };
                reader.report(
                    Diagnostic::new(
                        "E0161",
                        said.at,
                        format!(
                            "{} starts on the {} side",
                            quoted(&run.id.value),
                            word(side)
                        ),
                    )
                    .label(format!("but is said to be {}", word(said.value)))
                    .also(run.from.at, "where it starts")
                    .hint("take `side` out, or change where the run starts"),
                );
            }
            run.side = Marked::new(side, said.map_or(run.from.at, |said| said.at));
            run
        })
        .collect()
}
