//! What each command does: read, call, answer.

use std::path::Path;

use super::answers;
use super::args::{Args, Command, FlowAsk, Format, Input, Show, TextOrJson};
use super::batch::batch;
use super::completions::completions;
use super::draw;
use super::files;
use super::flow;
use super::limits;
use super::manual::manual;
use super::new::new;
#[cfg(feature = "page")]
use super::page;
use super::predict;
use super::report;
use super::sealing;
use super::teach;
use super::{Ended, Refused};
use crate::catalog::{Catalog, JOINTS_CSV, JointType};
use crate::quantity::UnitSystem;
use crate::report::words::some_names;
use crate::report::{
    FlowTextSettings, catalog_json, catalog_text, check_json, check_seams_text, check_text,
    explain_joint, flow_csv, flow_json, flow_text, joint_json,
};
use crate::sketch;
use crate::system::{self, System};

/// Runs one command.
pub fn run(args: &Args) -> Result<Ended, Refused> {
    match &args.command {
        Command::New(words) => new(words),
        Command::Check {
            input,
            show,
            format,
            seams,
        } => check(input, show, *format, *seams),
        Command::Allocate(asked) => answers::allocate(&asked.into(), &asked.ask),
        Command::Next(asked) => answers::next(&asked.into(), &asked.ask),
        Command::Compare(asked) => answers::compare(&asked.into()),
        Command::Plan(asked) => sealing::plan(&asked.into(), &asked.ask),
        Command::Effects(asked) => sealing::effects(&asked.into(), &asked.ask),
        Command::Prove(asked) => sealing::prove(&asked.into(), &asked.ask),
        Command::Predict(asked) => predict::predict(&asked.into(), &asked.ask),
        Command::Report(asked) => report::report(&asked.into(), &asked.ask),
        Command::Draw(asked) => draw::draw(&asked.into(), &asked.ask),
        #[cfg(feature = "page")]
        Command::Page(words) => page::page(words),
        Command::Flow {
            input,
            show,
            format,
            ask,
            pieces,
            rows,
        } => flow_command(input, show, *format, ask, *pieces, *rows),
        Command::Batch(words) => batch(words),
        Command::Limits(words) => limits::limits(words),
        Command::Catalog {
            joint,
            catalog,
            show,
            format,
        } => catalog_command(joint.as_deref(), catalog.as_deref(), show, *format),
        Command::Joints(words) => teach::joints(words),
        Command::Exercise(words) => teach::exercise(words),
        Command::Schema { output } => {
            files::answer(&sketch::schema(), output.as_deref()).map(|()| Ended::Answered)
        }
        Command::Completions(words) => completions(words),
        Command::Manual(words) => manual(words),
    }
}

fn check(input: &Input, show: &Show, format: TextOrJson, seams: bool) -> Result<Ended, Refused> {
    files::keep_apart(
        show.output.as_deref(),
        &[Some(&input.sketch), input.catalog.as_deref()],
    )?;
    let system = read_system(input)?;
    let text = match format {
        TextOrJson::Text => {
            let units = units(show, &system);
            let mut text = check_text(&system, units);
            if seams {
                text.push('\n');
                text.push_str(&check_seams_text(&system, units));
            }
            text
        }
        TextOrJson::Json => check_json(&system),
    };
    files::answer(&text, show.output.as_deref())?;
    Ok(Ended::Answered)
}

fn flow_command(
    input: &Input,
    show: &Show,
    format: Format,
    ask: &FlowAsk,
    pieces: bool,
    rows: usize,
) -> Result<Ended, Refused> {
    files::keep_apart(
        show.output.as_deref(),
        &[Some(&input.sketch), input.catalog.as_deref()],
    )?;
    let system = read_system(input)?;
    let solved = flow::solve(&system, ask)?;
    let case = solved.case(&system);
    let text = match format {
        Format::Text => flow_text(
            &case,
            FlowTextSettings {
                units: units(show, &system),
                rows,
                pieces,
            },
        ),
        Format::Json => flow_json(&case),
        Format::Csv => flow_csv(&case),
    };
    files::answer(&text, show.output.as_deref())?;
    Ok(answers::doubtful(&case.doubts()))
}

fn catalog_command(
    joint: Option<&str>,
    overlay: Option<&Path>,
    show: &Show,
    format: Format,
) -> Result<Ended, Refused> {
    files::keep_apart(show.output.as_deref(), &[overlay])?;
    let catalog = read_catalog(overlay)?;
    let units = show.units.map_or(UnitSystem::Ip, UnitSystem::from);
    let joint = joint.map(|id| find_joint(&catalog, id)).transpose()?;
    let text = match (joint, format) {
        (None, Format::Text) => catalog_text(&catalog, units),
        (None, Format::Json) => catalog_json(&catalog),
        (Some(joint), Format::Text) => explain_joint(&catalog, joint, units),
        (Some(joint), Format::Json) => joint_json(joint),
        (_, Format::Csv) => JOINTS_CSV.to_owned(),
    };
    files::answer(&text, show.output.as_deref())?;
    Ok(Ended::Answered)
}

/// The joint type of an id, or the only one whose id and name hold all words of what was asked: `tab collar`.
fn find_joint<'a>(catalog: &'a Catalog, asked: &str) -> Result<&'a JointType, Refused> {
    /// Joint types named where the words fit several.
    const NAMED: usize = 8;
    if let Some(joint) = catalog.joint(asked) {
        return Ok(joint);
    }
    let words = asked.to_lowercase();
    let words: Vec<&str> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let fitting: Vec<&JointType> = catalog
        .joints()
        .iter()
        .filter(|joint| {
            let held = format!("{} {}", joint.id, joint.name).to_lowercase();
            !words.is_empty() && words.iter().all(|word| held.contains(word))
        })
        .collect();
    let hint = match (fitting.as_slice(), catalog.nearest(asked)) {
        ([one], _) => return Ok(one),
        ([_, _, ..], _) => {
            let ids: Vec<&str> = fitting.iter().map(|joint| joint.id.as_str()).collect();
            format!("these hold the words: {}", some_names(&ids, NAMED))
        }
        ([], Some(near)) => format!("did you mean `{near}`?"),
        ([], None) => "leave the name out to see all joint types".into(),
    };
    Err(Refused(format!(
        "error: no joint type is called `{asked}`\nhint: {hint}\n"
    )))
}

/// Units of the answer: those asked for, else the sketch's.
pub fn units(show: &Show, system: &System) -> UnitSystem {
    show.units.map_or(system.units, UnitSystem::from)
}

/// Reads the sketch and expands it, with the person's catalogue if there is one.
pub fn read_system(input: &Input) -> Result<System, Refused> {
    let catalog = read_catalog(input.catalog.as_deref())?;
    let name = files::shown(&input.sketch);
    let bytes = files::read(&input.sketch)?;
    let refuse = |found: sketch::Diagnostics| Refused(found.render(true));
    let sketch = sketch::read_bytes(&bytes, &name).map_err(refuse)?;
    let text = String::from_utf8_lossy(&bytes);
    system::build(&sketch, &text, &name, &catalog).map_err(refuse)
}

/// The built-in catalogue with the person's own laid over it.
pub fn read_catalog(overlay: Option<&Path>) -> Result<Catalog, Refused> {
    let builtin = Catalog::builtin();
    let Some(path) = overlay else {
        return Ok(builtin.clone());
    };
    let name = files::shown(path);
    let text = files::read_text(path, "save the table as CSV, UTF-8")?;
    builtin.clone().overlay(&text, &name).map_err(|errors| {
        Refused(
            errors
                .iter()
                .map(|error| format!("error: {error}\nhint: {}\n", error.hint))
                .collect(),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_misspelt_id_is_answered_with_the_nearest() {
        let Refused(error) = find_joint(Catalog::builtin(), "filter-slott").expect_err("unknown");
        assert_eq!(
            error,
            "error: no joint type is called `filter-slott`\nhint: did you mean `filter-slot`?\n"
        );
    }

    #[test]
    fn trade_words_find_the_only_joint_type_that_holds_them_or_name_those_that_do() {
        let catalog = Catalog::builtin();
        for words in ["tab collar", "Tabbed collar", "takeoff_tab"] {
            let found = find_joint(catalog, words).map(|joint| joint.id.as_str());
            assert_eq!(found.ok(), Some("takeoff-tab-collar"), "{words}");
        }
        let Refused(error) = find_joint(catalog, "boot").expect_err("several");
        assert!(
            error.contains("`boot-body`") && error.contains("`boot-to-surface`"),
            "{error}"
        );
        let Refused(error) = find_joint(catalog, "-").expect_err("no words");
        assert!(error.contains("leave the name out"), "{error}");
    }
}
