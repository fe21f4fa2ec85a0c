//! A branch copied to another place.

use super::mentions::{Role, mentions};
use super::tree::{branch, id_of, ids, run_path};
use super::{Done, Refused};
use crate::sketch::edit::{Edit, Step, Value, edit, values};
use crate::sketch::parts::run_of_start;

/// Copies a run and what hangs on it behind the last of them in the file.
pub(super) fn copy(text: &str, run: usize, from: &str) -> Result<Done, Refused> {
    let root = values(text)?;
    let members: Vec<usize> = branch(&root, run)?.into_iter().collect();
    let mut taken = ids(&root);
    start_on(&taken, from)?;
    let mut names: Vec<(String, String)> = Vec::new();
    for &i in &members {
        let id = id_of(&root, i)?;
        let new = free_name(&id, &taken);
        taken.push(new.clone());
        names.push((id, new));
    }
    // Mentions among the copied runs speak of the copies.
    let mut copied = root.clone();
    for mention in mentions(&root) {
        let inside = matches!(mention.path.get(1), Some(Step::Item(i)) if members.contains(i));
        if !inside || !matches!(mention.role, Role::Start | Role::Joins) {
            continue;
        }
        if let Some((_, new)) = names.iter().find(|(id, _)| *id == mention.said()) {
            let mut words = mention.words.clone();
            words.replace_range(mention.name.clone(), new);
            replace(&mut copied, &mention.path, &words);
        }
    }
    let behind = members.last().map_or(0, |last| last + 1);
    let mut edits = Vec::new();
    let mut at = run_path(behind);
    for (k, (&i, (_, new))) in members.iter().zip(&names).enumerate() {
        let mut value = copied.at(&run_path(i)).cloned().unwrap_or(Value::Nothing);
        replace(&mut value, &["id".into()], new);
        if i == run {
            replace(&mut value, &["from".into()], from.trim());
            at = run_path(behind + k);
        }
        edits.push(Edit::Insert {
            path: vec!["runs".into()],
            at: Some(behind + k),
            value,
        });
    }
    Ok((edit(text, &edits)?.text, Some(at)))
}

/// A start must be a plenum or be on a run that is there.
fn start_on(ids: &[String], from: &str) -> Result<(), Refused> {
    let from = from.trim();
    if ["supply plenum", "return plenum"]
        .iter()
        .any(|plenum| plenum.eq_ignore_ascii_case(from))
    {
        return Ok(());
    }
    match run_of_start(from) {
        Some(name) if ids.iter().any(|id| *id == from[name.clone()]) => Ok(()),
        Some(name) => Err(Refused::new(
            format!("no run is called `{}`", &from[name]),
            "write a start like `trunk at 12 ft right`",
        )),
        None => Err(Refused::new(
            format!("`{from}` does not say where a run starts"),
            "write a start like `trunk at 12 ft right`, `trunk end` or `supply plenum`",
        )),
    }
}

/// `kitchen 2` for `kitchen`, `lateral 7` for `lateral 1` where six laterals stand.
fn free_name(id: &str, taken: &[String]) -> String {
    let (base, first) = match id.rsplit_once(' ') {
        Some((base, number)) => match number.parse::<usize>() {
            Ok(number) if number < 1000 => (base, number + 1),
            _ => (id, 2),
        },
        None => (id, 2),
    };
    (first..)
        .map(|n| format!("{base} {n}"))
        .find(|name| {
            taken
                .iter()
                .all(|own| own.to_lowercase() != name.to_lowercase())
        })
        .unwrap_or_default()
}

/// Puts words in the place of others.
fn replace(value: &mut Value, path: &[Step], words: &str) {
    match (value, path.split_first()) {
        (value, None) => *value = Value::Word(words.to_owned()),
        (Value::Mapping(entries), Some((Step::Key(key), rest))) => {
            if let Some((_, value)) = entries.iter_mut().find(|(own, _)| own == key) {
                replace(value, rest, words);
            }
        }
        (Value::List(items), Some((Step::Item(i), rest))) => {
            if let Some(item) = items.get_mut(*i) {
                replace(item, rest, words);
            }
        }
        _ => {}
    }
}
