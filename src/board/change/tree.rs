//! The runs of a sketch as far as they can be made out, faulty ones included.

use std::collections::BTreeSet;

use super::Refused;
use crate::sketch::edit::{Step, Value};
use crate::sketch::parts::run_of_start;

/// The ids of the runs, in the file's order; empty where none is written.
pub(super) fn ids(root: &Value) -> Vec<String> {
    let runs = root.get("runs").map(Value::items).unwrap_or_default();
    runs.iter()
        .map(|run| text_at(run, "id").unwrap_or_default().trim().to_owned())
        .collect()
}

pub(super) fn text_at<'v>(mapping: &'v Value, key: &str) -> Option<&'v str> {
    mapping.get(key).and_then(Value::text)
}

/// Looks a run up.
pub(super) fn run_at(root: &Value, run: usize) -> Result<&Value, Refused> {
    let runs = root.get("runs").map(Value::items).unwrap_or_default();
    runs.get(run).ok_or_else(|| {
        Refused::new(
            format!("there is no run number {}", run + 1),
            "the text may have changed meanwhile: look again and repeat the change",
        )
    })
}

/// The id of a run, which no other run may have.
pub(super) fn id_of(root: &Value, run: usize) -> Result<String, Refused> {
    run_at(root, run)?;
    let ids = ids(root);
    let id = ids[run].clone();
    if id.is_empty() {
        return Err(Refused::new(
            format!("run number {} has no name", run + 1),
            "give it an `id` first",
        ));
    }
    if ids
        .iter()
        .filter(|own| own.eq_ignore_ascii_case(&id))
        .count()
        > 1
    {
        return Err(Refused::new(
            format!("more than one run is called `{id}`"),
            "it is not clear which of them is mentioned where: give each its own name in the text first",
        ));
    }
    Ok(id)
}

/// A run and all that hang on it, in the file's order.
pub(super) fn branch(root: &Value, run: usize) -> Result<BTreeSet<usize>, Refused> {
    run_at(root, run)?;
    let ids = ids(root);
    let runs = root.get("runs").map(Value::items).unwrap_or_default();
    let mut found = BTreeSet::from([run]);
    loop {
        let more: Vec<usize> = (0..runs.len())
            .filter(|i| !found.contains(i))
            .filter(|&i| {
                text_at(&runs[i], "from")
                    .and_then(|from| Some(&from[run_of_start(from)?]))
                    .is_some_and(|parent| {
                        !parent.is_empty() && found.iter().any(|&j| ids[j] == parent)
                    })
            })
            .collect();
        if more.is_empty() {
            return Ok(found);
        }
        found.extend(more);
    }
}

/// The path of a run.
pub(super) fn run_path(run: usize) -> Vec<Step> {
    vec!["runs".into(), run.into()]
}

/// A path with more steps.
pub(super) fn deeper(path: &[Step], more: &[Step]) -> Vec<Step> {
    [path, more].concat()
}

/// The steps of a run that are words, with their paths.
pub(super) fn steps(root: &Value, run: usize) -> Vec<(Vec<Step>, String)> {
    let walk = deeper(&run_path(run), &["walk".into()]);
    let items = root.at(&walk).map(Value::items).unwrap_or_default();
    let mut found = Vec::new();
    for (j, item) in items.iter().enumerate() {
        let path = deeper(&walk, &[j.into()]);
        match item {
            Value::Mapping(_) => {
                if let Some(text) = text_at(item, "step") {
                    found.push((deeper(&path, &["step".into()]), text.to_owned()));
                }
            }
            _ => found.extend(item.text().map(|text| (path, text.to_owned()))),
        }
    }
    found
}
