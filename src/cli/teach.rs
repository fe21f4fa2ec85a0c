//! `joints` and `exercise`: read sketches, compute, answer.

use std::fs;
use std::path::{Path, PathBuf};

use super::answers::{doubtful, refused};
use super::args::{Format, Input, TextOrJson};
use super::commands::{read_catalog, read_system, units};
use super::files::{self, Existing};
use super::teach_args::{ExerciseWords, JointsWords};
use super::{Ended, Refused};
use crate::allocate::AllocateSettings;
use crate::catalog::Catalog;
use crate::report::{
    Answers, ExerciseNames, JointsTextSettings, exercise_sketch, handout_text, joints_csv,
    joints_json, joints_text, marks_json, marks_text, read_answers, reads_back,
};
use crate::sketch;
use crate::system::{self, SuspectTape, System};
use crate::teach::{self, By, ExerciseError, JointsAsk};

/// Joints are counted in it where no sketch is named.
const RIG: (&str, &str) = (
    "classroom-rig.yaml (built in)",
    include_str!("../../models/classroom-rig.yaml"),
);
/// Exercises are made of it where no sketch is named: the rig's sketch states the size of its holes.
const HOUSE: (&str, &str) = (
    "bungalow.yaml (built in)",
    include_str!("../../models/bungalow.yaml"),
);
/// Seed of the program's own list where nobody says one.
const MARKING_SEED: u64 = 1;
/// A seam whose own figure spreads less than this is known from the sketch. Engineering estimate.
const KNOWN_GSD: f64 = 1.5;

/// Says which joint types leak most.
pub fn joints(words: &JointsWords) -> Result<Ended, Refused> {
    let mut inputs: Vec<Option<&Path>> = words.sketches.iter().map(|s| Some(s.as_path())).collect();
    inputs.push(words.catalog.as_deref());
    files::keep_apart(words.show.output.as_deref(), &inputs)?;
    each_once(&words.sketches)?;
    let catalog = read_catalog(words.catalog.as_deref())?;
    let systems: Vec<System> = if words.sketches.is_empty() {
        vec![built(RIG.0, RIG.1, &catalog)?]
    } else {
        let read = |sketch: &PathBuf| {
            read_system(&Input {
                sketch: sketch.clone(),
                catalog: words.catalog.clone(),
            })
        };
        words.sketches.iter().map(read).collect::<Result<_, _>>()?
    };
    let settings = AllocateSettings {
        seed: words.draws.seed,
        draws: words.draws.draws as usize,
        ..AllocateSettings::default()
    };
    let ask = JointsAsk {
        by: if words.running { By::Running } else { By::Test },
        with_readings: words.with_readings,
    };
    let found = teach::joint_types(&systems, &catalog, &settings, ask)
        .map_err(|error| Refused::with_hint(&error, error.hint()))?;
    let text = match words.format {
        Format::Text => joints_text(
            &catalog,
            &systems,
            &found,
            JointsTextSettings {
                units: units(&words.show, &systems[0]),
                rows: words.rows,
                work: words.work.into(),
            },
        ),
        Format::Json => joints_json(&catalog, &systems, &found),
        Format::Csv => joints_csv(&catalog, &found),
    };
    files::answer(&text, words.show.output.as_deref())?;
    Ok(doubtful(&found.doubts))
}

/// Refuses a sketch given twice: it would count twice.
fn each_once(sketches: &[PathBuf]) -> Result<(), Refused> {
    let real = |path: &PathBuf| fs::canonicalize(path).unwrap_or_else(|_| path.clone());
    let files: Vec<PathBuf> = sketches.iter().map(real).collect();
    for (at, file) in files.iter().enumerate() {
        if files[..at].contains(file) {
            return Err(Refused(format!(
                "error: `{}` is given twice, and would count twice\nhint: name each sketch once: all count alike\n",
                files::shown(&sketches[at])
            )));
        }
    }
    Ok(())
}

/// Makes an exercise, or marks a list.
pub fn exercise(words: &ExerciseWords) -> Result<Ended, Refused> {
    match &words.mark {
        None => make(words),
        Some(list) => mark(words, list),
    }
}

fn make(words: &ExerciseWords) -> Result<Ended, Refused> {
    let (Some(to), Some(answers_to)) = (words.show.output.as_deref(), words.answers.as_deref())
    else {
        return Err(Refused(
            "error: an exercise is two files: the sketch to hand out and the answers to keep\nhint: write `-o class.yaml \
             --answers class.answers.json`\n"
                .to_owned(),
        ));
    };
    let Some(seed) = words.seed else {
        return Err(Refused(
            "error: an exercise needs a seed of its own\nhint: write `--seed` with a number that nobody guesses, of six digits \
             say, and keep it like the answers: whoever has it and the sketch can make the answers again\n"
                .to_owned(),
        ));
    };
    if words.format == TextOrJson::Json {
        return Err(Refused(
            "error: `--format json` is for marks\nhint: leave it out; the answer file is JSON anyway\n"
                .to_owned(),
        ));
    }
    both_new(to, answers_to)?;
    let catalog = read_catalog(words.catalog.as_deref())?;
    let (name, text) = match &words.sketch {
        None => (HOUSE.0.to_owned(), HOUSE.1.to_owned()),
        Some(path) => (
            files::shown(path),
            files::read_text(path, "save it as UTF-8")?,
        ),
    };
    let given = built(&name, &text, &catalog)?;
    let made = teach::make(&given, seed).map_err(|error| match error {
        ExerciseError::Draws(error) => refused(&error),
        error => Refused(format!("error: {error}\n")),
    })?;
    let handed = exercise_sketch(&text, &made).ok_or_else(|| {
        Refused(format!(
            "error: `{name}` cannot be changed section by section\nhint: write every key of the sketch (`title`, `runs`, \
             `readings`) at the start of a line, without braces round the whole\n"
        ))
    })?;
    let read = built(&to.display().to_string(), &handed, &catalog)?;
    if !reads_back(&made, &read) {
        return Err(Refused(format!(
            "error: the exercise made of `{name}` does not read back as it was meant\nhint: give runs and seams plain \
             names, and try another seed\n"
        )));
    }
    let answers = Answers::of(&made, &read, seed);
    write_both((to, &handed), (answers_to, &answers.json()))?;
    let shown = handout_text(
        &read,
        units(&words.show, &read),
        ExerciseNames {
            sketch: &to.display().to_string(),
            answers: &answers_to.display().to_string(),
        },
    );
    files::answer(&shown, None)?;
    say_what_is_known(&read);
    Ok(caution(&read))
}

/// Seams whose leakage the sketch states are no riddle.
fn say_what_is_known(system: &System) {
    let known: Vec<&str> = system
        .seams
        .iter()
        .filter(|seam| seam.own_figure && seam.gsd < KNOWN_GSD)
        .map(|seam| seam.id.as_str())
        .collect();
    if let Some(first) = known.first() {
        files::talk(&format!(
            "note: the sketch itself states what {} seams leak (`{first}`): whoever reads it knows them; take their `leak` \
             out of the sketch first if they are to be found\n",
            known.len()
        ));
    }
}

/// A paper exercise on ducts that nobody may touch is answered, but a caution stands.
fn caution(system: &System) -> Ended {
    if system.suspect_tape == SuspectTape::Suspected {
        files::talk("caution: tape here may hold asbestos; this exercise is for paper only\n");
        return Ended::Doubtful;
    }
    Ended::Answered
}

fn mark(words: &ExerciseWords, list: &Path) -> Result<Ended, Refused> {
    let (Some(sketch), Some(answers)) = (&words.sketch, words.answers.as_deref()) else {
        return Err(Refused(
            "error: marking needs the sketch that was handed out and its answers\nhint: write `ductseam exercise class.yaml \
             --mark learner.csv --answers class.answers.json`\n"
                .to_owned(),
        ));
    };
    files::keep_apart(
        words.show.output.as_deref(),
        &[
            Some(sketch),
            Some(answers),
            Some(list),
            words.catalog.as_deref(),
        ],
    )?;
    let system = read_system(&Input {
        sketch: sketch.clone(),
        catalog: words.catalog.clone(),
    })?;
    let wrong_answers = |why: String| {
        Refused(format!(
            "error: `{}`: {why}\nhint: mark with the sketch as handed out, unchanged, and the answer file that was written \
             together with `{}`\n",
            answers.display(),
            files::shown(sketch)
        ))
    };
    let kept =
        read_answers(&files::read_text(answers, "save it as UTF-8")?).map_err(wrong_answers)?;
    let truth = kept.truth(&system).map_err(wrong_answers)?;
    let learner = teach::read_learner(&system, &files::read_text(list, "save it as UTF-8")?)
        .map_err(|faults| {
            let name = files::shown(list);
            let said = faults.told.iter().map(|fault| {
                format!(
                    "error: {name}:{}: {}\nhint: {}\n",
                    fault.line, fault.wrong, fault.hint
                )
            });
            let more = match faults.more {
                0 => String::new(),
                more => format!("error: {name}: and {more} more faults like these\n"),
            };
            Refused(said.collect::<String>() + &more)
        })?;
    let settings = AllocateSettings {
        seed: words.seed.unwrap_or(MARKING_SEED),
        draws: words.draws as usize,
        ..AllocateSettings::default()
    };
    let marks = teach::mark(&system, &truth, &settings, &learner).map_err(|e| refused(&e))?;
    let text = match words.format {
        TextOrJson::Text => marks_text(&system, &kept, &marks, units(&words.show, &system)),
        TextOrJson::Json => marks_json(&system, &kept, &marks),
    };
    files::answer(&text, words.show.output.as_deref())?;
    for reason in &marks.program_doubts {
        files::talk(&format!("doubtful, the program's own list: {reason}\n"));
    }
    let ended = caution(&system);
    Ok(if marks.program_doubts.is_empty() {
        ended
    } else {
        Ended::Doubtful
    })
}

/// A text given or built in, read and expanded.
fn built(name: &str, text: &str, catalog: &Catalog) -> Result<System, Refused> {
    let refuse = |found: sketch::Diagnostics| Refused(found.render(true));
    let read = sketch::read(text, name).map_err(refuse)?;
    system::build(&read, text, name, catalog).map_err(refuse)
}

fn both_new(one: &Path, other: &Path) -> Result<(), Refused> {
    if one == other {
        return Err(Refused(format!(
            "error: sketch and answers would be the same file, `{}`\nhint: give `--answers` another name\n",
            one.display()
        )));
    }
    for path in [one, other] {
        if path.symlink_metadata().is_ok() {
            return Err(Refused(format!(
                "error: `{}` exists already and is left as it is\nhint: choose another name, or move the old file away\n",
                path.display()
            )));
        }
    }
    Ok(())
}

/// Writes both files or neither.
fn write_both(one: (&Path, &str), other: (&Path, &str)) -> Result<(), Refused> {
    files::write_whole(one.0, one.1.as_bytes(), Existing::Keep)?;
    files::write_whole(other.0, other.1.as_bytes(), Existing::Keep).inspect_err(|_| {
        // Its removal failing cannot be mended here; the error that follows names the other file.
        let _ = fs::remove_file(one.0);
    })
}
