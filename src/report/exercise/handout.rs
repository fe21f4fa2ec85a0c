//! What is shown when an exercise is made: the readings and looks, never the truth.

use crate::quantity::{UnitSystem, significant};
use crate::report::allocation_text::{before_you_touch, listed, stops};
use crate::report::cautions::house_fan;
use crate::report::figures::{of_reading, reading_unit};
use crate::report::lines::{Holds, Table, wrapped};
use crate::report::words;
use crate::sketch::Smoke;
use crate::system::{Relation, Seen, Setup, SuspectTape, System, TestKind};

/// Names of the two files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Names<'n> {
    /// The sketch handed out.
    pub sketch: &'n str,
    /// The answers kept.
    pub answers: &'n str,
}

/// The exercise as it is handed out, the sketch read back.
#[must_use]
pub fn handout_text(system: &System, units: UnitSystem, names: Names<'_>) -> String {
    let mut text = wrapped("", &system.title) + "\n";
    text.push_str(&stops(system));
    if system.suspect_tape == SuspectTape::Suspected {
        text.push_str(&wrapped(
            "On paper only: ",
            "the sketch says that tape here may hold asbestos. Nobody looks, tests or seals on the real ducts for the \
             sake of this exercise.",
        ));
        text.push('\n');
    }
    text.push_str(
        "Readings (invented, with the errors of the meters; registers masked round the flanges)\n",
    );
    let mut table = Table::new(&[
        ("reading", Holds::Names, 28),
        ("what", Holds::Words, 56),
        ("value", Holds::Numbers, 8),
        ("", Holds::Names, 4),
    ]);
    for reading in &system.readings {
        let pressure = format!("{} Pa", significant(reading.setup.pressure_pa, 3));
        let what = match reading.setup.kind {
            TestKind::OneSide(side) => {
                format!(
                    "{} side alone behind a barrier, {pressure}",
                    words::side(side)
                )
            }
            TestKind::Isolated(run) => {
                format!(
                    "run `{}` alone behind a plug, {pressure}",
                    system.runs[run].id
                )
            }
            TestKind::Pan(opening) => format!(
                "behind a pan on `{}`, house at -{pressure}",
                system.openings[opening].id
            ),
            _ => format!("total, {pressure}"),
        };
        let below = match reading.relation {
            Relation::Below => "<",
            Relation::Equals => "",
        };
        table.row(vec![
            reading.id.clone(),
            what,
            format!(
                "{below}{}",
                of_reading(reading.observable, reading.value, units)
            ),
            reading_unit(reading.observable, units).to_owned(),
        ]);
    }
    text.push_str(&table.text());
    text.push_str("\nLooks with smoke, the ducts at 25 Pa\n");
    for (word, smoke) in [
        ("strong: ", Smoke::Strong),
        ("wisp:   ", Smoke::Wisp),
        ("none:   ", Smoke::None),
    ] {
        let names: Vec<&str> = system
            .looks
            .iter()
            .filter(|look| look.seen == Seen::Smoke(smoke))
            .flat_map(|look| &look.seams)
            .map(|&seam| system.seams[seam].id.as_str())
            .collect();
        if !names.is_empty() {
            text.push_str(&wrapped(
                &format!("  {word}"),
                &words::some_names(&names, names.len()),
            ));
        }
    }
    text.push('\n');
    text.push_str(&listed(
        "What to do",
        what_to_do(system, names).iter().map(String::as_str),
    ));
    text.push_str(&before_you_touch(system));
    let has_pan = |setup: &Setup| matches!(setup.kind, TestKind::Pan(_));
    if system.readings.iter().any(|one| has_pan(&one.setup)) {
        text.push_str(&wrapped("Pans on real ducts: ", &house_fan().text));
    }
    text.trim_end().to_owned() + "\n"
}

fn what_to_do(system: &System, names: Names<'_>) -> Vec<String> {
    vec![
        format!(
            "Hand out `{}`: every other command reads it. Keep `{}` and the seed to yourself: whoever has the seed can make \
             the answers again from the sketch that the title names, and has the truth.",
            names.sketch, names.answers
        ),
        format!(
            "Ask each learner for a list, one seam id a line, the leakiest first; a tenth of the {} seams is a good length. \
             In further columns: `rank`, `seal` (yes or no), `minutes`.",
            system.seams.len()
        ),
        format!(
            "Mark it: ductseam exercise {} --mark learner.csv --answers {}",
            names.sketch, names.answers
        ),
    ]
}
