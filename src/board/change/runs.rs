//! Runs called otherwise and taken out, with every mention of them.

use std::collections::BTreeSet;

use super::mentions::{Mention, Role, mentions};
use super::tree::{branch, deeper, id_of, ids, run_path, text_at};
use super::{Done, Refused};
use crate::sketch::edit::{Edit, Step, Value, edit, values};
use crate::sketch::parts;

/// Calls a run otherwise.
pub(super) fn rename(text: &str, run: usize, to: &str) -> Result<Done, Refused> {
    let root = values(text)?;
    let id = id_of(&root, run)?;
    let to = new_name(&root, run, to)?;
    let path = deeper(&run_path(run), &["id".into()]);
    let mut edits = vec![Edit::Set {
        path: path.clone(),
        value: Value::Word(to.clone()),
    }];
    // Keys last: the paths of what stands under them hold until then.
    let (keys, others): (Vec<_>, Vec<_>) = mentions(&root)
        .into_iter()
        .filter(|mention| {
            mention.said().eq_ignore_ascii_case(&id)
                || mention.said().to_lowercase() == id.to_lowercase()
        })
        .partition(|mention| mention.role == Role::Key);
    let renamed = |mention: &Mention| {
        let mut words = mention.words.clone();
        words.replace_range(mention.name.clone(), &to);
        words
    };
    for mention in &others {
        edits.push(Edit::Set {
            path: mention.path.clone(),
            value: Value::Word(renamed(mention)),
        });
    }
    for mention in &keys {
        edits.push(Edit::Rename {
            path: mention.path.clone(),
            key: renamed(mention),
        });
    }
    Ok((edit(text, &edits)?.text, Some(path)))
}

fn new_name(root: &Value, run: usize, to: &str) -> Result<String, Refused> {
    let to = parts::run_name(to.trim())?;
    if to.is_empty() {
        return Err(Refused::new(
            "a run needs a name",
            "write letters or digits",
        ));
    }
    // Words that cut a start in two would hide the name in it.
    let probe = format!("{to} at 1 ft");
    if parts::run_of_start(&probe) != Some(0..to.len())
        || parts::run_of_start(&format!("{to} end")) != Some(0..to.len())
    {
        return Err(Refused::new(
            format!("a run cannot be called `{to}` here"),
            "`at` and `end` say where a run starts: leave them out of its name",
        ));
    }
    let taken = ids(root).into_iter().enumerate();
    match taken
        .filter(|(i, _)| *i != run)
        .find(|(_, id)| id.to_lowercase() == to.to_lowercase())
    {
        Some((_, id)) => Err(Refused::new(
            format!("another run is called `{id}`"),
            "take another name",
        )),
        None => Ok(to),
    }
}

/// Takes a run out, with what hangs on it.
///
/// A reading about such a run goes, and with it the looks made during it; a fan, tap or plug at it is no longer said; a look, a step of
/// sealing or what the crew leaves loses its seams, and goes when no seam is left; a run that joins it ends in a cap.
pub(super) fn remove(text: &str, run: usize) -> Result<Done, Refused> {
    let root = values(text)?;
    let gone = branch(&root, run)?;
    let ids = ids(&root);
    for &i in gone.iter().filter(|&&i| !ids[i].is_empty()) {
        id_of(&root, i)?;
    }
    let is_gone = |mention: &&Mention| {
        let said = mention.said().to_lowercase();
        gone.iter()
            .any(|&i| !ids[i].is_empty() && ids[i].to_lowercase() == said)
    };
    let mut edits = Vec::new();
    // Items that go, by their paths; the last ones first, so that the paths of the others hold.
    let mut out: Vec<Vec<Step>> = gone.iter().map(|&i| run_path(i)).collect();
    let all = mentions(&root);
    for mention in all.iter().filter(is_gone) {
        match mention.role {
            Role::Start => {}
            Role::Joins => {
                let is_kept =
                    !matches!(mention.path.get(1), Some(Step::Item(i)) if gone.contains(i));
                if is_kept {
                    edits.push(Edit::Set {
                        path: mention.path.clone(),
                        value: Value::Word("cap".to_owned()),
                    });
                }
            }
            Role::Subject => out.push(mention.path[..2].to_vec()),
            Role::Spare | Role::Seam | Role::Key => out.push(mention.path.clone()),
        }
    }
    spread(&root, &mut out);
    let whole: BTreeSet<Vec<Order>> = out
        .iter()
        .map(|path| path.iter().map(Order::of).collect())
        .collect();
    for path in whole.iter().rev() {
        let is_inside = (1..path.len()).any(|n| whole.contains(&path[..n]));
        if !is_inside {
            edits.push(Edit::Remove {
                path: path.iter().map(Order::step).collect(),
            });
        }
    }
    Ok((edit(text, &edits)?.text, None))
}

/// Adds what cannot stand without what goes: entries without a seam, variants without a change, and mentions of readings and of steps of
/// sealing that went.
fn spread(root: &Value, out: &mut Vec<Vec<Step>>) {
    let goes = |out: &[Vec<Step>], path: &[Step]| out.iter().any(|own| path.starts_with(own));
    // All that stands below a path goes.
    let emptied = |out: &[Vec<Step>], path: &[Step]| match root.at(path) {
        Some(Value::List(items)) => (0..items.len()).all(|i| goes(out, &deeper(path, &[i.into()]))),
        Some(Value::Mapping(entries)) => entries
            .iter()
            .all(|(key, _)| goes(out, &deeper(path, &[key.as_str().into()]))),
        _ => goes(out, path),
    };
    let count = |list: &str| root.get(list).map_or(0, |list| list.items().len());
    for (list, key) in [("looks", "seam"), ("sealing", "seams")] {
        for i in 0..count(list) {
            let entry: Vec<Step> = vec![list.into(), i.into()];
            let seams = deeper(&entry, &[key.into()]);
            if root.at(&seams).is_some() && emptied(out, &seams) {
                out.push(entry);
            }
        }
    }
    for i in 0..count("variants") {
        let entry: Vec<Step> = vec!["variants".into(), i.into()];
        let Some(Value::Mapping(entries)) = root.at(&entry) else {
            continue;
        };
        let stays = entries
            .iter()
            .any(|(key, _)| key != "id" && !emptied(out, &deeper(&entry, &[key.as_str().into()])));
        let touched = out.iter().any(|path| path.starts_with(&entry));
        if touched && !stays {
            out.push(entry);
        }
    }
    let named = |out: &[Vec<Step>], list: &str| -> Vec<String> {
        let entries = root
            .get(list)
            .map(Value::items)
            .unwrap_or_default()
            .iter()
            .enumerate();
        entries
            .filter(|(i, _)| goes(out, &[list.into(), (*i).into()]))
            .filter_map(|(_, entry)| Some(text_at(entry, "id")?.to_owned()))
            .collect()
    };
    let (readings, sealing) = (named(out, "readings"), named(out, "sealing"));
    for (list, key, names) in [
        ("looks", "during", &readings),
        ("looks", "after", &sealing),
        ("looks", "before", &sealing),
        ("readings", "after", &sealing),
        ("readings", "before", &sealing),
    ] {
        for i in 0..count(list) {
            let entry: Vec<Step> = vec![list.into(), i.into()];
            let path = deeper(&entry, &[key.into()]);
            let named = root.at(&path).and_then(Value::text);
            if named.is_some_and(|name| names.iter().any(|own| own == name)) {
                // A look in a set-up that is no longer described says nothing.
                out.push(if key == "during" { entry } else { path });
            }
        }
    }
}

/// A step of a path that can be ordered.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Order {
    Key(String),
    Item(usize),
}

impl Order {
    fn of(step: &Step) -> Order {
        match step {
            Step::Key(key) => Order::Key(key.clone()),
            Step::Item(i) => Order::Item(*i),
        }
    }

    fn step(&self) -> Step {
        match self {
            Order::Key(key) => Step::Key(key.clone()),
            Order::Item(i) => Step::Item(*i),
        }
    }
}
