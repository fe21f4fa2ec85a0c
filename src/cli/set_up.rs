//! Words for set-ups: `total`, `pan:kitchen`, `reading:pre-test`.

use super::Refused;
use crate::sketch::{nearest, some_of};
use crate::system::{RECIPES, RunIdx, Setup, Side, System, TestKind};

/// The word that takes the set-up of a reading in the sketch.
const READING: &str = "reading";

/// The set-up that a word names, at its usual pressure.
pub fn set_up(system: &System, word: &str) -> Result<Setup, Refused> {
    let (id, name) = match word.split_once(':') {
        Some((id, name)) => (id.trim(), Some(name.trim())),
        None => (word.trim(), None),
    };
    if id == READING {
        let ids = || system.readings.iter().map(|reading| reading.id.as_str());
        let name = needed(id, name, "a reading of the sketch", "pre-test", ids())?;
        return match system.readings.iter().find(|reading| reading.id == name) {
            Some(reading) => Ok(reading.setup.clone()),
            None => Err(unknown("no reading is called", name, "readings", ids())),
        };
    }
    let kind = match id {
        "total" => TestKind::Total,
        "to-outside" => TestKind::ToOutside,
        "supply" => TestKind::OneSide(Side::Supply),
        "return" => TestKind::OneSide(Side::Return),
        "guarded-supply" => TestKind::Guarded(Side::Supply),
        "guarded-return" => TestKind::Guarded(Side::Return),
        "rough-in" => TestKind::RoughIn,
        "house-fan-open" => TestKind::HouseFanOpen,
        "house-fan-masked" => TestKind::HouseFanMasked,
        "running" => TestKind::Running,
        "running-held" => TestKind::RunningHeld,
        "isolated" => {
            let run = with_opening(system, id, name)?;
            TestKind::Isolated(run)
        }
        "pan" => {
            let run = with_opening(system, id, name)?;
            match system.runs[run].opening {
                Some(_) if system.openings.len() == 1 => {
                    return Err(Refused(format!(
                        "error: `{}` ends in the only register of the sketch: under a pan it leaves none open\nhint: \
                         sketch the other registers and the return too\n",
                        system.runs[run].id
                    )));
                }
                Some(opening) => TestKind::Pan(opening),
                None => return Err(no_opening(system, id, run)),
            }
        }
        _ => {
            return Err(unknown("no set-up is called", id, "set-ups", ids()));
        }
    };
    match name {
        Some(name) if !takes_run(id) => Err(Refused(format!(
            "error: set-up `{id}` takes no run, found `{name}`\nhint: write `--set-up {id}`\n"
        ))),
        _ => Ok(system.setup(kind)),
    }
}

/// Words of all set-ups.
fn ids() -> impl Iterator<Item = &'static str> {
    RECIPES.iter().map(|recipe| recipe.id).chain([READING])
}

fn takes_run(id: &str) -> bool {
    matches!(id, "isolated" | "pan" | READING)
}

/// The run that a set-up names, which must end in a register or grille: there stand the fan or the pan.
fn with_opening(system: &System, id: &str, name: Option<&str>) -> Result<RunIdx, Refused> {
    let open = || {
        let runs = system.runs.iter().filter(|run| run.opening.is_some());
        runs.map(|run| run.id.as_str())
    };
    let example = open().next().unwrap_or("kitchen");
    let name = needed(id, name, "a run", example, open())?;
    let Some(run) = system.runs.iter().position(|run| run.id == name) else {
        return Err(unknown("no run is called", name, "runs", open()));
    };
    match system.runs[run].opening {
        Some(_) => Ok(run),
        None => Err(no_opening(system, id, run)),
    }
}

fn no_opening(system: &System, id: &str, run: RunIdx) -> Refused {
    let what = if id == "pan" { "pan" } else { "fan" };
    let open = system.runs.iter().filter(|run| run.opening.is_some());
    Refused(format!(
        "error: run `{}` has no register or grille for the {what}\nhint: runs that have one: {}\n",
        system.runs[run].id,
        some_of(open.map(|run| run.id.as_str()))
    ))
}

fn needed<'n, 'k>(
    id: &str,
    name: Option<&'n str>,
    what: &str,
    example: &str,
    known: impl Iterator<Item = &'k str>,
) -> Result<&'n str, Refused> {
    match name.filter(|name| !name.is_empty()) {
        Some(name) => Ok(name),
        None => {
            let known = some_of(known);
            let known = if known.is_empty() { "none" } else { &known };
            Err(Refused(format!(
                "error: set-up `{id}` needs {what}, as in `{id}:{example}`\nhint: there are: {known}\n"
            )))
        }
    }
}

fn unknown<'k>(what: &str, word: &str, of: &str, known: impl Iterator<Item = &'k str>) -> Refused {
    let known: Vec<&str> = known.collect();
    let near = match nearest(word, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`? "),
        None => String::new(),
    };
    let listed = match known.is_empty() {
        true => "none".to_owned(),
        false => known
            .chunks(6)
            .map(|few| few.join(", "))
            .collect::<Vec<_>>()
            .join(",\n      "),
    };
    Refused(format!(
        "error: {what} `{word}`\nhint: {near}{of}: {listed}\n"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    fn rig() -> System {
        let text = include_str!("../../models/classroom-rig.yaml");
        let sketch = crate::sketch::read(text, "rig.yaml").expect("a good sketch");
        crate::system::build(&sketch, text, "rig.yaml", Catalog::builtin()).expect("a good system")
    }

    #[test]
    fn every_recipe_has_its_word() {
        let system = rig();
        for recipe in &RECIPES {
            let word = match recipe.id {
                id @ ("isolated" | "pan") => format!("{id}:duct A"),
                id => id.to_owned(),
            };
            let found = set_up(&system, &word).unwrap_or_else(|Refused(e)| panic!("{e}"));
            assert_eq!(found.kind.recipe().id, recipe.id);
        }
    }

    #[test]
    fn wrong_words_are_answered_with_what_is_meant() {
        let system = rig();
        let said = |word: &str| set_up(&system, word).expect_err("wrong").0;
        assert!(said("runing").contains("did you mean `running`?"));
        assert!(said("attic").contains("set-ups: total, to-outside, supply"));
        assert!(said("pan").contains("needs a run, as in `pan:duct A`"));
        assert!(said("pan:duct E").contains("did you mean `duct A`?"));
        assert!(said("isolated:spine").contains("has no register or grille for the fan"));
        assert!(said("pan:spine").contains("has no register or grille for the pan"));
        assert!(said("total:duct A").contains("takes no run"));
        assert!(said("reading:whole").contains("whole rig"));
        assert!(said("reading").contains("needs a reading"));
    }

    #[test]
    fn a_pan_on_the_only_register_is_refused() {
        let mut system = rig();
        system.openings.truncate(1);
        let run = system.runs[system.openings[0].run].id.clone();
        let Refused(said) = set_up(&system, &format!("pan:{run}")).expect_err("nothing is open");
        assert!(said.contains("the only register"), "{said}");
    }

    #[test]
    fn the_set_up_of_a_reading_is_taken_as_it_was() {
        let system = rig();
        let found = set_up(&system, "reading:without A").expect("a reading");
        assert_eq!(found, system.readings[4].setup);
        assert_eq!(found.plugged.len(), 1);
    }
}
