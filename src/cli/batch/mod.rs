//! `batch`: many systems, each alone in and alone out.

mod args;
mod folder;
mod input;
mod run;
mod stream;

use std::io::ErrorKind;
use std::path::Path;

pub use args::BatchWords;

use folder::{EVIDENCE, EvidenceFile, Folder, HABITS, JOURNAL, LEARNED};
use input::Input;
use run::{Count, mark, run};
use stream::Stream;

use super::commands::read_catalog;
use super::files::{self, Existing, talk};
use super::{Ended, Refused};
use crate::allocate::AllocateSettings;
use crate::batch::learn::{
    Beliefs, HABITS_COLUMNS, Habits, habits_csv, is_learned, learn, learned_csv,
};
use crate::batch::{Ask, RowFormat, Selection, Table, known_columns};
use crate::disk::plain;
use crate::hex::hex;

/// Answers many systems.
pub fn batch(words: &BatchWords) -> Result<Ended, Refused> {
    if words.columns {
        return files::answer(&columns(), None).map(|()| Ended::Answered);
    }
    check_columns(&words.select)?;
    let catalog = read_catalog(words.catalog.as_deref())?;
    if let Some(threads) = words.threads {
        // Fails only where threads have been started already, and none have.
        let _ = rayon::ThreadPoolBuilder::new()
            .num_threads(threads as usize)
            .build_global();
    }
    let beliefs = words.believed.beliefs();
    let ask = Ask {
        catalog: &catalog,
        settings: words
            .believed
            .settings(words.draws.seed, words.draws.draws, &beliefs),
        beliefs,
        learn: words.output.is_some() && !words.no_learn,
    };
    let input = Input::new(&words.inputs)?;
    match &words.output {
        None => to_stream(words, input, &ask),
        Some(folder) => to_folder(words, input, &ask, folder),
    }
}

fn to_stream(words: &BatchWords, input: Input, ask: &Ask<'_>) -> Result<Ended, Refused> {
    let table = Table::from(words.by);
    let selection = select(table, &words.select).ok_or_else(|| {
        Refused(format!(
            "error: the table of {} has none of the columns asked for\nhint: `ductseam batch --columns` lists them\n",
            table.word().replace('_', " ")
        ))
    })?;
    let format = words.format.map_or(RowFormat::Ndjson, RowFormat::from);
    let mut sink = Stream::new(selection, format);
    let count = run(input, ask, &mut sink)?;
    sink.end()?;
    Ok(ended(&count, 0))
}

fn to_folder(
    words: &BatchWords,
    input: Input,
    ask: &Ask<'_>,
    path: &Path,
) -> Result<Ended, Refused> {
    if let Some(inside) = input.lies_in(path) {
        return Err(Refused(format!(
            "error: `{}` lies in the folder that the answers go to\nhint: give `-o` a folder of its own\n",
            inside.display()
        )));
    }
    let formats = words.format.map_or_else(
        || vec![RowFormat::Ndjson, RowFormat::Csv],
        |format| vec![RowFormat::from(format)],
    );
    let tables: Vec<_> = Table::ALL
        .into_iter()
        .filter_map(|table| select(table, &words.select))
        .flat_map(|selection| {
            formats
                .iter()
                .map(move |format| (selection.clone(), *format))
        })
        .collect();
    let settings = settings_in_words(words, ask);
    let mut folder = Folder::open(path, tables, &settings, words.anew)?;
    let count = run(input, ask, &mut folder)?;
    folder.end()?;
    let mut ended = ended(&count, folder.changed);
    talk(&summary(&count, path));
    if ask.learn {
        files::progress("learning the habits of the crews");
        if let Some(habits) = learned(&folder, ask)? {
            talk(&in_words(&habits, &folder, &ask.settings));
            if !habits.settled {
                ended = Ended::Doubtful;
            }
        }
    }
    Ok(ended)
}

/// Learns from what the folder holds and writes it there; `None` where fewer than two systems said anything.
fn learned(folder: &Folder, ask: &Ask<'_>) -> Result<Option<Habits>, Refused> {
    let file = folder.file(EVIDENCE);
    let mut houses = EvidenceFile(file.clone());
    let beliefs = Beliefs {
        usual: ask.settings.prior,
        seed: ask.settings.seed,
        ..Beliefs::default()
    };
    let habits = learn(&mut houses, ask.catalog, &beliefs).map_err(|error| {
        let hint = if error.kind() == ErrorKind::InvalidData {
            "hint: it was changed after the run; begin anew with `--anew`\n"
        } else {
            ""
        };
        Refused(format!(
            "error: `{}` cannot be read: {}\n{hint}",
            file.display(),
            plain(&error)
        ))
    })?;
    if habits.systems < 2 {
        return Ok(None);
    }
    let write = |name: &str, text: String| {
        files::write_whole(&folder.file(name), text.as_bytes(), Existing::Replace)
    };
    write(HABITS, habits_csv(&habits, ask.catalog))?;
    write(LEARNED, learned_csv(&habits, ask.catalog))?;
    Ok(Some(habits))
}

fn in_words(habits: &Habits, folder: &Folder, settings: &AllocateSettings) -> String {
    let known = habits
        .rows
        .iter()
        .filter(|row| is_learned(habits, row))
        .count();
    let doubt = if habits.settled {
        ""
    } else {
        "doubtful: the climb to the best habits did not settle\n"
    };
    let catalogue = if known == 0 {
        "  no joint type was looked at in enough systems to make a catalogue of it: totals alone hardly tell joint types apart\n"
            .to_owned()
    } else {
        format!(
            "  {known} of them were looked at in enough systems to be a catalogue; to answer with it: `--catalog {} --workmanship-spread {:.2}`\n",
            folder.file(LEARNED).display(),
            habits.workmanship_gsd.best.clamp(1.01, 10.0),
        )
    };
    format!(
        "learned from {} systems of {} joint types and states; workmanship differs between systems by a factor of {:.2} ({:.2} to \
         {:.2}; counted with: {:.2})\n  see `{}`\n{catalogue}{doubt}",
        habits.systems,
        habits.rows.len(),
        habits.workmanship_gsd.best,
        habits.workmanship_gsd.p05,
        habits.workmanship_gsd.p95,
        crate::math::exp(settings.prior.workmanship_sd),
        folder.file(HABITS).display(),
    )
}

fn summary(count: &Count, path: &Path) -> String {
    let mut text = format!("answered {}", count.answered);
    for (n, words) in [
        (count.doubtful, "of them doubtful"),
        (count.refused, "skipped"),
        (count.before, "done before"),
    ] {
        if n > 0 {
            text.push_str(&format!(", {n} {words}"));
        }
    }
    format!("{text}; in `{}`\n", path.display())
}

fn ended(count: &Count, changed: u64) -> Ended {
    if count.refused > 0 || changed > 0 {
        Ended::Doubtful
    } else {
        Ended::Answered
    }
}

fn select(table: Table, names: &[String]) -> Option<Selection> {
    if names.is_empty() {
        Some(Selection::all(table))
    } else {
        Selection::of(table, names)
    }
}

fn check_columns(names: &[String]) -> Result<(), Refused> {
    known_columns(names).map_err(|(name, near)| {
        let hint = near.map_or_else(
            || "`ductseam batch --columns` lists them".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        Refused(format!(
            "error: no table has a column `{name}`\nhint: {hint}\n"
        ))
    })
}

fn columns() -> String {
    let mut text = String::new();
    for table in Table::ALL {
        text.push_str(&format!("{}\n", table.word()));
        for column in table.columns() {
            text.push_str(&format!("  {:<24}{}\n", column.name, column.meaning));
        }
    }
    text.push_str("habits (learned from all systems together)\n");
    for (name, meaning) in HABITS_COLUMNS {
        text.push_str(&format!("  {name:<24}{meaning}\n"));
    }
    text.push_str(&format!(
        "Beside them in a folder: {JOURNAL}, faults.ndjson, {EVIDENCE}, {HABITS}, {LEARNED}.\n"
    ));
    text
}

/// All that answers hang on besides the records.
fn settings_in_words(words: &BatchWords, ask: &Ask<'_>) -> String {
    let catalog = match &words.catalog {
        None => "built-in".to_owned(),
        // What was read, not the file again: it may have been a pipe.
        Some(_) => hex(&mark(&[format!("{:?}", ask.catalog.joints()).as_bytes()])),
    };
    let beliefs = mark(&[format!("{:?}{:?}", ask.settings, ask.beliefs).as_bytes()]);
    let beliefs = hex(&beliefs[..4]);
    let columns = if words.select.is_empty() {
        "all".to_owned()
    } else {
        words.select.join(",")
    };
    let format = words
        .format
        .map_or("both", |format| RowFormat::from(format).word());
    format!(
        "version {}, draws {}, seed {}, catalogue {catalog}, beliefs {beliefs}, columns {columns}, format {format}, learning {}",
        env!("CARGO_PKG_VERSION"),
        words.draws.draws,
        words.draws.seed,
        if ask.learn { "yes" } else { "no" },
    )
}
