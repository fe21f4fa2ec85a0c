//! Looks: from words to seams.

use std::collections::BTreeMap;

use super::book::Book;
use super::notes::Notes;
use super::places::Places;
use super::types::{Look, Seam, SeamIdx, SeamRole};
use crate::sketch::{Diagnostic, Marked, Seen, Smoke, nearest, some_of};

/// The groups, for hints.
const GROUPS: &str = "groups: `all boots`, `all takeoffs`, `all collars`, `all elbows`, `all joints`, `all lock seams`, \
                      `all joints of RUN`, `all of run RUN`, `all in PLACE`";

/// Resolves all looks. A look at a run that could not be built is left alone: the run has an error of its own.
pub(super) fn resolve_looks(
    book: &Book,
    seams: &[Seam],
    buildable: &[bool],
    places: &mut Places,
    notes: &mut Notes,
) -> Vec<Look> {
    let by_id: BTreeMap<String, SeamIdx> = seams
        .iter()
        .enumerate()
        .map(|(i, s)| (s.id.to_lowercase(), i))
        .collect();
    let complete = buildable.iter().all(|&b| b);
    let mut looks = Vec::new();
    for look in &book.sketch.looks {
        let words = look.seam.value.trim().to_lowercase();
        let found = match by_id.get(&words) {
            Some(&i) => Some(vec![i]),
            None if words == "all" || words.starts_with("all ") => {
                let found = group(&words, &look.seam, book, seams, places, notes);
                match found {
                    Some(list) if list.is_empty() && complete => {
                        notes.wrong(
                            Diagnostic::new(
                                "E0227",
                                look.seam.at,
                                format!("no seam is in the group `{}`", look.seam.value),
                            )
                            .hint(GROUPS),
                        );
                        None
                    }
                    found => found,
                }
            }
            None => {
                unknown(&look.seam, &words, book, seams, &by_id, buildable, notes);
                None
            }
        };
        if let Some(seams) = found {
            looks.push(Look {
                seams,
                words: format!(
                    "{}: {}",
                    look.seam.value.trim(),
                    seen_words(&look.seen.value)
                ),
                seen: look.seen.value.clone(),
                by: look.by.as_ref().map_or(String::new(), |b| b.value.clone()),
            });
        }
    }
    looks
}

/// What was seen, in words.
fn seen_words(seen: &Seen) -> String {
    match seen {
        Seen::Smoke(Smoke::None) => "smoke none".to_owned(),
        Seen::Smoke(Smoke::Wisp) => "smoke wisp".to_owned(),
        Seen::Smoke(Smoke::Strong) => "smoke strong".to_owned(),
        Seen::Gap(width) => format!(
            "gap {} mm",
            crate::quantity::significant(width.si() * 1e3, 2)
        ),
        Seen::Sealed => "sealed".to_owned(),
        Seen::Hanging => "hanging".to_owned(),
    }
}

/// The seams of a group; `None` when the words make no group, which is noted.
fn group(
    words: &str,
    said: &Marked<String>,
    book: &Book,
    seams: &[Seam],
    places: &mut Places,
    notes: &mut Notes,
) -> Option<Vec<SeamIdx>> {
    let rest = words.strip_prefix("all").unwrap_or(words).trim();
    let pick = |want: &dyn Fn(&Seam) -> bool| {
        let real = |s: &Seam| s.role != SeamRole::Unsketched;
        Some(
            seams
                .iter()
                .enumerate()
                .filter(|(_, s)| real(s) && want(s))
                .map(|(i, _)| i)
                .collect(),
        )
    };
    let named_run = |name: &str, notes: &mut Notes| {
        let id = book
            .run_ids()
            .find(|id| id.eq_ignore_ascii_case(name))
            .map(str::to_owned);
        if id.is_none() && name != "unit" {
            let near = nearest(name, book.run_ids());
            let problem = Diagnostic::new("E0228", said.at, format!("no run is called `{name}`"));
            notes.wrong(match near {
                Some(run) => problem.hint(format!("did you mean the run `{run}`?")),
                None => problem.hint(GROUPS),
            });
            return None;
        }
        Some(id.unwrap_or_else(|| name.to_owned()))
    };
    let (kind, run) = match rest
        .split_once(" of run ")
        .or_else(|| rest.split_once(" of "))
    {
        Some((kind, run)) => (kind, Some(run)),
        None => match rest
            .strip_prefix("of run ")
            .or_else(|| rest.strip_prefix("of "))
        {
            Some(run) => ("", Some(run)),
            None => (rest, None),
        },
    };
    let run = match run {
        Some(name) => Some(named_run(name.trim(), notes)?),
        None => None,
    };
    let (kind, place) = match kind
        .strip_prefix("in ")
        .map(|p| ("", p))
        .or_else(|| kind.split_once(" in "))
    {
        Some((kind, place)) => {
            let name = Marked {
                value: place.trim().to_owned(),
                at: said.at,
            };
            (kind, Some(places.resolve(&name, notes)?))
        }
        None => (kind, None),
    };
    let here =
        |s: &Seam| run.as_ref().is_none_or(|r| s.run == *r) && place.is_none_or(|p| s.place == p);
    let starts = |s: &Seam, with: &str| s.joint_type.starts_with(with);
    match kind.trim() {
        "" if run.is_some() || place.is_some() => pick(&here),
        "seams" => pick(&here),
        "boots" | "boot" => pick(&|s| here(s) && starts(s, "boot-")),
        "boot gaps" => pick(&|s| here(s) && s.joint_type == "boot-to-surface"),
        "takeoffs" | "takeoff" => pick(&|s| here(s) && starts(s, "takeoff-")),
        "collars" => pick(&|s| {
            here(s)
                && (s.joint_type == "flex-collar"
                    || s.joint_type == "takeoff-tab-collar"
                    || s.joint_type == "takeoff-spin-in")
        }),
        "flex collars" => pick(&|s| here(s) && s.joint_type == "flex-collar"),
        "elbows" => pick(&|s| here(s) && starts(s, "elbow-")),
        "joints" => pick(&|s| here(s) && starts(s, "joint-")),
        "lock seams" => pick(&|s| here(s) && starts(s, "seam-")),
        _ => {
            notes.wrong(
                Diagnostic::new(
                    "E0229",
                    said.at,
                    format!("`{}` is not a group of seams", said.value),
                )
                .hint(GROUPS),
            );
            None
        }
    }
}

fn unknown(
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
    if let Some((run, _)) = words.rsplit_once('/') {
        let known = book.run_ids().find(|id| id.eq_ignore_ascii_case(run));
        match known.and_then(|id| book.run_called(id)) {
            Some(i) if !buildable[i] => return,
            None if run != "unit" && run != "supply" && run != "return" => {
                let near = nearest(run, book.run_ids());
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
                notes.wrong(match nearest(words, names.iter().copied()) {
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
    let near = nearest(words, seams.iter().map(|s| s.id.as_str()));
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
