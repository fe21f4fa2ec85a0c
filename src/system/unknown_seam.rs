//! Words for a seam that is not there.

use std::collections::BTreeMap;

use super::book::Book;
use super::groups::GROUPS;
use super::notes::Notes;
use super::types::{Seam, SeamIdx};
use crate::sketch::{Diagnostic, Marked, some_of};

/// Notes that no seam is called so, with the likeliest that was meant.
pub(super) fn unknown(
    said: &Marked<String>,
    words: &str,
    book: &Book,
    seams: &[Seam],
    by_id: &BTreeMap<String, SeamIdx>,
    buildable: &[bool],
    notes: &mut Notes,
) {
    let problem = Diagnostic::new(
        "E0230",
        said.at,
        format!("no seam is called `{}`", said.value),
    )
    .label("unknown seam");
    if notes.is_full() {
        notes.wrong(problem);
        return;
    }
    if let Some((run, _)) = words.rsplit_once('/') {
        let known = book.run_ids().find(|id| id.eq_ignore_ascii_case(run));
        match known.and_then(|id| book.run_called(id)) {
            Some(i) if !buildable[i] => return,
            None if run != "unit" && run != "supply" && run != "return" => {
                let near = notes.near(run, book.run_ids());
                notes.wrong(match near {
                    Some(near) => {
                        problem.hint(format!("no run is called `{run}`: did you mean `{near}`?"))
                    }
                    None => problem.hint(format!(
                        "no run is called `{run}`; the runs are: {}",
                        book.some_runs()
                    )),
                });
                return;
            }
            // The seams of the run at hand are the likeliest.
            _ => {
                let of_run = by_id
                    .range(format!("{run}/")..)
                    .take_while(|(id, _)| id.starts_with(&format!("{run}/")));
                let names: Vec<&str> = of_run.map(|(_, &i)| seams[i].id.as_str()).collect();
                let near = notes.near(words, names.iter().copied());
                notes.wrong(match near {
                    Some(near) => problem.suggest(Some(near)),
                    None => problem.hint(format!(
                        "seams of this run: {}",
                        some_of(likeliest(words, names))
                    )),
                });
                return;
            }
        }
    }
    let near = notes.near(words, seams.iter().map(|s| s.id.as_str()));
    notes.wrong(match near {
        Some(_) => problem.suggest(near),
        None => problem.hint(format!(
            "write `RUN/seam`, like {}; {GROUPS}",
            some_of(
                likeliest(words, seams.iter().map(|s| s.id.as_str()).collect())
                    .into_iter()
                    .take(3)
            )
        )),
    });
}

/// Names that share a word with what was written come first.
fn likeliest<'s>(said: &str, mut names: Vec<&'s str>) -> Vec<&'s str> {
    let tail = said.rsplit('/').next().unwrap_or(said);
    let shares = |name: &str| {
        let name = name.rsplit('/').next().unwrap_or(name).to_lowercase();
        tail.split_whitespace()
            .any(|word| name.split_whitespace().any(|own| own == word))
    };
    names.sort_by_key(|name| !shares(name));
    names
}
