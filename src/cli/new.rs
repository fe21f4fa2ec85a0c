//! `new`: a starter sketch, or a sketch made from a list of runs.

use std::path::Path;

use super::args::NewWords;
use super::files::{self, Existing};
use super::{Ended, Refused};
use crate::catalog::Catalog;
use crate::quantity::UnitSystem;
use crate::sketch;
use crate::system;
use crate::takeoff::{self, Drawn, Settings};

/// How many assumptions are told on stderr; all stand in the sketch.
const TOLD: usize = 60;
/// Characters of a title, as the sketch allows.
const TITLE: usize = 300;

/// Writes the sketch.
pub fn new(words: &NewWords) -> Result<Ended, Refused> {
    let output = words.output.as_deref();
    let Some(list) = &words.from else {
        put(sketch::starter(), output)?;
        if let Some(path) = output {
            files::talk(&format!(
                "wrote `{0}`; next: ductseam check {0}\n",
                path.display()
            ));
        }
        return Ok(Ended::Answered);
    };
    files::keep_apart(output, &[Some(list)])?;
    let drawn = drawn(list, words)?;
    put(&drawn.text, output)?;
    tell(&drawn, output);
    Ok(Ended::Answered)
}

/// The sketch of a list, read and joined once, so that nothing is written that `check` would refuse.
fn drawn(list: &Path, words: &NewWords) -> Result<Drawn, Refused> {
    let settings = Settings {
        title: words.title.as_deref().map(title).transpose()?,
        units: words.units.map(UnitSystem::from),
        places: system::known_places().map(str::to_owned).collect(),
    };
    let bytes = files::read(list)?;
    let refuse = |faults: takeoff::Faults| {
        let many = match faults.count() {
            1 => String::new(),
            n => format!("{n} things are wrong with the list; no sketch was written\n"),
        };
        Refused(format!("{faults}{many}"))
    };
    let name = files::shown(list);
    let drawn = takeoff::draw(&bytes, &name, &settings).map_err(refuse)?;
    let found = match sketch::read(&drawn.text, "sketch") {
        Err(found) => Some(found),
        Ok(sketch) => system::build(&sketch, &drawn.text, "sketch", Catalog::builtin()).err(),
    };
    match found {
        Some(found) => Err(refuse(drawn.faults(&found))),
        None => Ok(drawn),
    }
}

fn title(words: &str) -> Result<String, Refused> {
    let words = words.trim();
    let fits =
        !words.is_empty() && words.chars().count() <= TITLE && !words.contains(char::is_control);
    if fits {
        return Ok(words.to_owned());
    }
    Err(Refused(format!(
        "error: a title is one line of 1 to {TITLE} characters\nhint: write it like `--title \"Alder Row bungalow\"`\n"
    )))
}

fn put(text: &str, output: Option<&Path>) -> Result<(), Refused> {
    match output {
        None => files::answer(text, None),
        Some(path) => files::write_whole(path, text.as_bytes(), Existing::Keep),
    }
}

fn tell(drawn: &Drawn, output: Option<&Path>) {
    let mut talk = String::new();
    for one in drawn.assumed.iter().take(TOLD) {
        talk.push_str(&format!("assumed: {one}\n"));
    }
    if let Some(more) = drawn.assumed.len().checked_sub(TOLD + 1) {
        talk.push_str(&format!(
            "and {} more, each in a comment of the sketch\n",
            more + 1
        ));
    }
    let runs = match drawn.runs {
        1 => "1 run".to_owned(),
        n => format!("{n} runs"),
    };
    let count = match drawn.assumed.len() {
        0 => "nothing assumed".to_owned(),
        1 => "1 assumption to check against the ducts".to_owned(),
        n => format!("{n} assumptions to check against the ducts"),
    };
    talk.push_str(&format!(
        "{runs}, {count}; still to write: the facts of the house, the airflow and what the test fan read\n"
    ));
    match output {
        Some(path) => talk.push_str(&format!(
            "wrote `{0}`; next: ductseam check {0}\n",
            path.display()
        )),
        None => {
            talk.push_str("next: keep it with `-o house.yaml`, then `ductseam check house.yaml`\n")
        }
    }
    files::talk(&talk);
}
