//! Looks: from words to seams.

use super::groups::{Found, Seams};
use super::notes::Notes;
use super::places::Places;
use super::rebuilt::remake;
use super::recipe::TEST_PRESSURE_PA;
use super::sealing::Stages;
use super::types::{Look, LookAt, Measured, Reach, Seam, SeamIdx, System};
use crate::catalog::{Basis, Catalog, Work};
use crate::sketch::{self, Diagnostic, Marked, Seen, Smoke, nearest, some_of};

/// Looks at unknown readings that are told the nearest one: their number times that of the readings is the work.
const ANSWERED: usize = 50;

/// A look whose seams are found; the reading that it was made during waits for the readings.
pub(super) struct LookDraft<'a> {
    look: Look,
    during: Option<&'a Marked<String>>,
}

/// Resolves all looks. A look at a run that could not be built is left alone: the run has an error of its own.
///
/// Seams of one look that are named one by one become one look; each group becomes a look of its own.
pub(super) fn resolve_looks<'a>(
    looks: &'a [sketch::Look],
    seams: &Seams,
    stages: &Stages,
    places: &mut Places,
    notes: &mut Notes,
) -> Vec<LookDraft<'a>> {
    let mut drafts = Vec::new();
    for look in looks {
        let stage = stages.of(look.when.as_ref(), None, look.seen.at, notes);
        let mut taken = vec![false; seams.list.len()];
        let found: Vec<(&Marked<String>, Found)> = look
            .seams
            .iter()
            .filter_map(|said| Some((said, seams.find(said, places, notes)?)))
            .collect();
        let (groups, singles): (Vec<_>, Vec<_>) =
            found.into_iter().partition(|(_, found)| found.is_group);
        let mut alone = Vec::new();
        let mut names = Vec::new();
        for (said, found) in singles {
            let new = fresh(found.seams, &mut taken);
            if new.is_empty() {
                notes.wrong(
                    Diagnostic::new(
                        "E0241",
                        said.at,
                        format!("the look names `{}` twice", said.value.trim()),
                    )
                    .label("a second time")
                    .hint("keep one of them"),
                );
                continue;
            }
            names.push(said.value.trim());
            alone.extend(new);
        }
        let mut named = vec![(names.join(", "), alone, false)];
        for (said, found) in groups {
            // A group of one is that one.
            let of_many = found.seams.len() > 1;
            let seams = fresh(found.seams, &mut taken);
            named.push((said.value.trim().to_owned(), seams, of_many));
        }
        for (names, seams, is_group) in named {
            if seams.is_empty() {
                continue;
            }
            drafts.push(LookDraft {
                look: Look {
                    seams,
                    is_group,
                    at: LookAt::Total(
                        look.at
                            .as_ref()
                            .map_or(TEST_PRESSURE_PA, |at| at.value.si()),
                    ),
                    stage,
                    words: format!("{names}: {}", seen_words(&look.seen.value)),
                    seen: look.seen.value.clone(),
                    by: look.by.as_ref().map_or(String::new(), |b| b.value.clone()),
                },
                during: look.during.as_ref(),
            });
        }
    }
    drafts
}

/// Work of every seam as far as looks before any sealing show it: those seen sealed and sound are as mastic leaves them.
pub(super) fn work_as_seen(drafts: &[LookDraft<'_>], seams: &[Seam]) -> Vec<Work> {
    let mut work: Vec<Work> = seams.iter().map(|s| s.work).collect();
    let sealed = drafts
        .iter()
        .filter(|d| d.look.seen == Seen::Sealed && d.look.stage == 0 && d.during.is_none());
    for &i in sealed.flat_map(|d| &d.look.seams) {
        if !is_hidden_core(&seams[i]) {
            work[i] = Work::Mastic;
        }
    }
    work
}

/// The seams that were not taken yet; they are from now on.
fn fresh(seams: Vec<SeamIdx>, taken: &mut [bool]) -> Vec<SeamIdx> {
    seams
        .into_iter()
        .filter(|&i| !std::mem::replace(&mut taken[i], true))
        .collect()
}

impl LookDraft<'_> {
    /// Finds the reading that the look was made during.
    pub fn settle(self, readings: &[Measured], unsolvable: &mut Vec<Diagnostic>) -> Option<Look> {
        let Some(said) = self.during else {
            return Some(self.look);
        };
        let first_of_list = format!("{} 1", said.value);
        let found = readings
            .iter()
            .position(|m| m.id == said.value)
            .or_else(|| {
                // Several values in one set-up are one occasion.
                let first = readings.iter().position(|m| m.id == first_of_list)?;
                let alike = |k: usize| {
                    let id = format!("{} {k}", said.value);
                    readings.iter().find(|m| m.id == id)
                };
                (1..)
                    .map_while(alike)
                    .all(|m| m.setup == readings[first].setup)
                    .then_some(first)
            });
        if let Some(i) = found {
            return Some(Look {
                at: LookAt::Reading(i),
                stage: readings[i].stage,
                ..self.look
            });
        }
        let ids = || readings.iter().map(|m| m.id.as_str());
        let problem = Diagnostic::new(
            "E0242",
            said.at,
            format!("no reading is called `{}`", said.value),
        )
        .label("unknown reading");
        let near = (unsolvable.len() < ANSWERED)
            .then(|| nearest(&said.value, ids()))
            .flatten();
        unsolvable.push(match near {
            Some(near) => problem.suggest(Some(near)),
            None if readings.is_empty() => {
                problem.hint("say at what pressure the ducts were, like `at: 25 Pa`")
            }
            None => problem.hint(format!("the readings are: {}", some_of(ids()))),
        });
        None
    }
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

/// Lets looks at sealed seams tell on what is expected of them, and warns of looks that say little.
///
/// A seam seen sealed and sound before any sealing has the catalogue's figures of mastic from then on, unless a
/// person gave its figure. Under insulation a flex collar's jacket is seen and not its core: such a seam is left out.
pub(super) fn weigh_seen(system: &mut System, catalog: &Catalog, notes: &mut Notes) {
    let mut looks = std::mem::take(&mut system.looks);
    for look in &mut looks {
        match look.seen {
            Seen::Sealed => {
                let hidden = |i: &SeamIdx| is_hidden_core(&system.seams[*i]);
                let left_out: Vec<SeamIdx> = look.seams.iter().copied().filter(hidden).collect();
                if !left_out.is_empty() {
                    look.seams.retain(|i| !hidden(i));
                    notes.warn(
                        "sealed-jacket",
                        format!(
                            "`{}`: a taped jacket does not say how the core under it is joined; nothing follows for {}: \
                             pull the insulation back and look again",
                            look.words,
                            named(system, &left_out)
                        ),
                    );
                }
                if look.stage == 0 {
                    for &i in &look.seams {
                        if !system.before_looks.iter().any(|(seam, _)| *seam == i) {
                            system.before_looks.push((i, system.seams[i].clone()));
                        }
                        if let Some(joint) = catalog.joint(&system.seams[i].joint_type) {
                            remake(&mut system.seams[i], catalog, joint, Work::Mastic);
                        }
                    }
                }
            }
            Seen::Gap(_) => {
                let each = |i: &SeamIdx| system.seams[*i].basis == Basis::Each;
                let without: Vec<SeamIdx> = look.seams.iter().copied().filter(each).collect();
                if !without.is_empty() {
                    notes.warn(
                        "gap-without-length",
                        format!(
                            "`{}`: {} has no length here, so that a gap's width cannot be weighed: say `smoke` instead",
                            look.words,
                            named(system, &without)
                        ),
                    );
                }
            }
            Seen::Smoke(_) | Seen::Hanging => {}
        }
    }
    looks.retain(|look| !look.seams.is_empty());
    system.looks = looks;
}

/// Some seams by name.
fn named(system: &System, seams: &[SeamIdx]) -> String {
    let ids: Vec<String> = seams
        .iter()
        .map(|&i| format!("`{}`", system.seams[i].id))
        .collect();
    some_of(ids.iter().map(String::as_str))
}

/// Whether what is seen of a seam is the jacket over it.
fn is_hidden_core(seam: &Seam) -> bool {
    seam.reach == Reach::UnderInsulation
        && ["flex-collar", "joint-flex-splice"].contains(&seam.joint_type.as_str())
}
