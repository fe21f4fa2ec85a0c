//! Where a sketch mentions its runs: starts and joins, readings, looks, sealing, what the crew leaves, variants.

use std::ops::Range;

use super::tree::{deeper, ids, run_path, steps, text_at};
use crate::sketch::edit::{Step, Value};
use crate::sketch::parts::{Part, run_of_start, step_parts};
use crate::system::run_in_words;

/// What a mention is part of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The start of a run.
    Start,
    /// The end of a run that joins another.
    Joins,
    /// What a reading is about: without it there is no reading.
    Subject,
    /// A key of its own or an item of a list, which may go alone.
    Spare,
    /// A seam or a group, a key's value or an item of a list, of an entry that cannot be without.
    Seam,
    /// A key that is a seam or a run itself.
    Key,
}

/// One mention.
#[derive(Debug, Clone)]
pub(super) struct Mention {
    pub role: Role,
    pub path: Vec<Step>,
    /// All of the words.
    pub words: String,
    /// Where in the words the run's name stands.
    pub name: Range<usize>,
}

impl Mention {
    /// The run's name as it is written here.
    pub fn said(&self) -> &str {
        &self.words[self.name.clone()]
    }
}

/// Every mention of any run.
pub(super) fn mentions(root: &Value) -> Vec<Mention> {
    let all = ids(root);
    let known: Vec<&str> = all
        .iter()
        .map(String::as_str)
        .filter(|id| !id.is_empty())
        .collect();
    let mut finder = Finder {
        root,
        floors: floors(root),
        known,
        found: Vec::new(),
    };
    finder.runs(all.len());
    finder.evidence();
    finder.rest();
    finder.found
}

fn floors(root: &Value) -> Vec<String> {
    let runs = root.get("runs").map(Value::items).unwrap_or_default();
    let floors = runs.iter().filter_map(|run| text_at(run, "floor"));
    floors.map(|floor| floor.trim().to_lowercase()).collect()
}

struct Finder<'v> {
    root: &'v Value,
    known: Vec<&'v str>,
    floors: Vec<String>,
    found: Vec<Mention>,
}

impl Finder<'_> {
    fn add(&mut self, role: Role, path: Vec<Step>, words: &str, name: Option<Range<usize>>) {
        self.found.extend(name.map(|name| Mention {
            role,
            path,
            words: words.to_owned(),
            name,
        }));
    }

    /// A value that is nothing but the name of a run.
    fn name(&mut self, role: Role, path: Vec<Step>) {
        if let Some(words) = self.root.at(&path).and_then(Value::text) {
            let words = words.to_owned();
            let name = words.trim();
            let start = words.len() - words.trim_start().len();
            let is_known = self.known.contains(&name);
            let range = is_known.then(|| start..start + name.len());
            self.add(role, path, &words, range);
        }
    }

    /// A seam or group, or a list of them.
    fn seams(&mut self, path: Vec<Step>) {
        let paths = match self.root.at(&path) {
            Some(Value::List(items)) => (0..items.len())
                .map(|i| deeper(&path, &[i.into()]))
                .collect(),
            _ => vec![path],
        };
        for path in paths {
            if let Some(words) = self.root.at(&path).and_then(Value::text) {
                let words = words.to_owned();
                let name = run_in_words(&words, &self.known, &self.floors);
                self.add(Role::Seam, path, &words, name);
            }
        }
    }

    fn count(&self, key: &str) -> usize {
        self.root.get(key).map_or(0, |list| list.items().len())
    }

    fn runs(&mut self, count: usize) {
        for run in 0..count {
            let path = deeper(&run_path(run), &["from".into()]);
            if let Some(words) = self.root.at(&path).and_then(Value::text) {
                let words = words.to_owned();
                self.add(Role::Start, path, &words, run_of_start(&words));
            }
            for (path, words) in steps(self.root, run) {
                let name = step_parts(&words).and_then(|(_, parts)| {
                    let (_, name) = parts.into_iter().find(|(part, _)| *part == Part::Run)?;
                    let from = name.as_ptr() as usize - words.as_ptr() as usize;
                    Some(from..from + name.len())
                });
                self.add(Role::Joins, path, &words, name);
            }
        }
    }

    fn evidence(&mut self) {
        for i in 0..self.count("readings") {
            let path: Vec<Step> = vec!["readings".into(), i.into()];
            self.name(Role::Subject, deeper(&path, &["run".into()]));
            self.name(Role::Spare, deeper(&path, &["fan".into()]));
            self.name(Role::Spare, deeper(&path, &["tap".into()]));
            let plugged = deeper(&path, &["plugged".into()]);
            let count = self.root.at(&plugged).map_or(0, |list| list.items().len());
            for k in 0..count {
                self.name(Role::Spare, deeper(&plugged, &[k.into()]));
            }
        }
        for (list, key) in [("looks", "seam"), ("sealing", "seams")] {
            for i in 0..self.count(list) {
                self.seams(vec![list.into(), i.into(), key.into()]);
            }
        }
    }

    fn rest(&mut self) {
        self.seams(vec!["crew".into(), "leave".into()]);
        for i in 0..self.count("variants") {
            for key in ["work", "shorter"] {
                let path: Vec<Step> = vec!["variants".into(), i.into(), key.into()];
                let Some(Value::Mapping(entries)) = self.root.at(&path) else {
                    continue;
                };
                for (words, _) in entries {
                    let name = match key {
                        "work" => run_in_words(words, &self.known, &self.floors),
                        _ => self
                            .known
                            .contains(&words.as_str())
                            .then_some(0..words.len()),
                    };
                    self.add(
                        Role::Key,
                        deeper(&path, &[words.as_str().into()]),
                        words,
                        name,
                    );
                }
            }
        }
    }
}
