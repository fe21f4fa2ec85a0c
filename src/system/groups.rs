//! Seams by name and groups of seams in words: `kitchen/tab collar`, `all boots in attic`.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::book::Book;
use super::bounds;
use super::notes::Notes;
use super::places::Places;
use super::types::{PlaceIdx, Reach, Seam, SeamIdx, SeamRole, Side};
use super::unknown_seam::unknown;
use crate::sketch::{Diagnostic, Marked, some_of};

/// The groups, for hints.
pub(super) const GROUPS: &str = "groups: `all boots`, `all takeoffs`, `all collars`, `all elbows`, `all joints`, `all lock seams`, \
                      `all joints of RUN`, `all of run RUN`, `all in PLACE`, `all boots in room ROOM`, \
                      `all collars on the supply side`, `all boots on floor FLOOR`";

/// What stands in a statement about seams.
pub(super) struct Found {
    /// The seams.
    pub seams: Vec<SeamIdx>,
    /// Whether the words spoke of a group.
    pub is_group: bool,
}

/// The seams of a system with all that groups may name.
pub(super) struct Seams<'s, 'a> {
    pub book: &'s Book<'a>,
    pub list: &'s [Seam],
    by_id: BTreeMap<String, SeamIdx>,
    buildable: &'s [bool],
    /// Whether every run could be built.
    complete: bool,
    /// Seams that were looked through for groups, and that groups named; one count for all lists of a system.
    spent: Rc<Cell<(usize, usize)>>,
}

impl<'s, 'a> Seams<'s, 'a> {
    /// Seams by id; a run that could not be built has an error of its own, and words about it get none.
    pub fn new(book: &'s Book<'a>, list: &'s [Seam], buildable: &'s [bool]) -> Self {
        Seams {
            book,
            list,
            by_id: list
                .iter()
                .enumerate()
                .map(|(i, s)| (s.id.to_lowercase(), i))
                .collect(),
            buildable,
            complete: buildable.iter().all(|&b| b),
            spent: Rc::default(),
        }
    }

    /// The same for other seams of the same runs.
    pub fn with_list<'l>(&'l self, list: &'l [Seam]) -> Seams<'l, 'a> {
        Seams {
            spent: Rc::clone(&self.spent),
            ..Seams::new(self.book, list, self.buildable)
        }
    }

    /// The seams that words speak of; what makes no sense is noted.
    pub fn find(
        &self,
        said: &Marked<String>,
        places: &mut Places,
        notes: &mut Notes,
    ) -> Option<Found> {
        let words = said.value.trim().to_lowercase();
        if let Some(&i) = self.by_id.get(&words) {
            return Some(Found {
                seams: vec![i],
                is_group: false,
            });
        }
        if words != "all" && !words.starts_with("all ") {
            unknown(
                said,
                &words,
                self.book,
                self.list,
                &self.by_id,
                self.buildable,
                notes,
            );
            return None;
        }
        if !self.spend(self.list.len(), 0, said, notes) {
            return None;
        }
        let group = Group::read(&words, said, self.book, places, notes)?;
        let seams: Vec<SeamIdx> = (0..self.list.len())
            .filter(|&i| group.holds(&self.list[i], self.book))
            .collect();
        if !self.spend(0, seams.len(), said, notes) {
            return None;
        }
        if seams.is_empty() && self.complete {
            notes.wrong(
                Diagnostic::new(
                    "E0227",
                    said.at,
                    format!("no seam is in the group `{}`", said.value),
                )
                .hint(GROUPS),
            );
            return None;
        }
        Some(Found {
            is_group: true,
            seams,
        })
    }

    /// Counts what groups cost; false once it is more than any building needs, which is noted the first time.
    pub fn spend(
        &self,
        looked: usize,
        named: usize,
        said: &Marked<String>,
        notes: &mut Notes,
    ) -> bool {
        let is_within =
            |(looked, named)| looked <= bounds::MOST_LOOKED_THROUGH && named <= bounds::MOST_NAMED;
        let before = self.spent.get();
        let now = (
            before.0.saturating_add(looked),
            before.1.saturating_add(named),
        );
        self.spent.set(now);
        if is_within(before) && !is_within(now) {
            notes.wrong(
                Diagnostic::new(
                    "E0265",
                    said.at,
                    format!("the groups and variants up to `{}` name too many seams", said.value),
                )
                .label("one group too many")
                .hint(format!(
                    "say each group once (several in one list), or single seams; all groups of a sketch may name {} seams",
                    bounds::MOST_NAMED
                )),
            );
        }
        is_within(now)
    }
}

/// Whether a joint type belongs to a kind.
type Holds = fn(&str) -> bool;

/// What kinds of seam a group may hold, by the trade's word.
const KINDS: &[(&str, Holds)] = &[
    ("seams", |_| true),
    ("boots", |joint| joint.starts_with("boot-")),
    ("boot", |joint| joint.starts_with("boot-")),
    ("boot gaps", |joint| joint == "boot-to-surface"),
    ("takeoffs", |joint| joint.starts_with("takeoff-")),
    ("takeoff", |joint| joint.starts_with("takeoff-")),
    ("collars", |joint| {
        ["flex-collar", "takeoff-tab-collar", "takeoff-spin-in"].contains(&joint)
    }),
    ("flex collars", |joint| joint == "flex-collar"),
    ("elbows", |joint| joint.starts_with("elbow-")),
    ("joints", |joint| joint.starts_with("joint-")),
    ("lock seams", |joint| joint.starts_with("seam-")),
];

/// What the parts of a group are held against.
struct Said<'s, 'a> {
    said: &'s Marked<String>,
    book: &'s Book<'a>,
    floors: &'s [String],
}

/// A group of seams: those that meet all that is said.
#[derive(Default)]
struct Group {
    kind: Option<Holds>,
    run: Option<String>,
    place: Option<PlaceIdx>,
    room: Option<String>,
    floor: Option<String>,
    side: Option<Side>,
    reach: Option<Reach>,
}

/// What a part of the words begins with, longest first.
const MARKS: [(&str, Part); 9] = [
    ("of run ", Part::Run),
    ("of room ", Part::Room),
    ("in room ", Part::Room),
    ("on floor ", Part::Floor),
    ("on the supply side", Part::Side(Side::Supply)),
    ("on the return side", Part::Side(Side::Return)),
    ("on the ", Part::Floor),
    ("of ", Part::Run),
    ("in ", Part::Place),
];

#[derive(Debug, Clone, Copy)]
enum Part {
    Run,
    Room,
    Floor,
    Side(Side),
    Place,
}

/// Words of reach behind a group.
const REACHES: [(&str, Reach); 3] = [
    ("under insulation", Reach::UnderInsulation),
    ("behind finish", Reach::BehindFinish),
    ("out of reach", Reach::None),
];

impl Group {
    /// Reads `all [open] [KIND] [of run RUN] [in room ROOM] [in PLACE] [on the SIDE side] [on floor FLOOR] [FLOOR] [REACH]`.
    fn read(
        words: &str,
        said: &Marked<String>,
        book: &Book,
        places: &mut Places,
        notes: &mut Notes,
    ) -> Option<Group> {
        let mut group = Group::default();
        let mut rest = words.strip_prefix("all").unwrap_or(words).trim();
        rest = group.take_reach(rest);
        let floors = floors(book);
        // The word of a floor may stand alone at the end: `all boots upstairs`.
        if let Some(floor) = floors
            .iter()
            .find(|floor| ends_alone(rest, floor, book, places, notes))
        {
            rest = rest[..rest.len() - floor.len()].trim_end();
            group.floor = Some(floor.clone());
            rest = group.take_reach(rest);
        }
        if let Some(kind) = rest.strip_prefix("open ") {
            group.reach = Some(Reach::Open);
            rest = kind;
        }
        let (kind, parts) = cut(rest);
        let about = Said {
            said,
            book,
            floors: &floors,
        };
        for part in parts {
            group.take(part, &about, places, notes)?;
        }
        match KINDS.iter().find(|(word, _)| *word == kind) {
            Some((_, holds)) => group.kind = Some(*holds),
            None if kind.is_empty() && group.says_where() => {}
            None => {
                notes.wrong(
                    Diagnostic::new(
                        "E0229",
                        said.at,
                        format!("`{}` is not a group of seams", said.value),
                    )
                    .hint(GROUPS),
                );
                return None;
            }
        }
        Some(group)
    }

    /// Takes a reach from the end of the words.
    fn take_reach<'w>(&mut self, words: &'w str) -> &'w str {
        for (tail, reach) in REACHES {
            if let Some(head) = words.strip_suffix(tail)
                && (head.is_empty() || head.ends_with(' '))
            {
                self.reach = Some(reach);
                return head.trim_end();
            }
        }
        words
    }

    fn says_where(&self) -> bool {
        self.run.is_some()
            || self.place.is_some()
            || self.room.is_some()
            || self.floor.is_some()
            || self.side.is_some()
            || self.reach.is_some()
    }

    /// Takes one part with its name.
    fn take(
        &mut self,
        (part, name): (Part, &str),
        Said { said, book, floors }: &Said<'_, '_>,
        places: &mut Places,
        notes: &mut Notes,
    ) -> Option<()> {
        match part {
            Part::Side(side) => self.side = Some(side),
            Part::Run => {
                let run = book.run_ids().find(|id| id.eq_ignore_ascii_case(name));
                if run.is_none() && name != "unit" {
                    let near = notes.near(name, book.run_ids());
                    let problem =
                        Diagnostic::new("E0228", said.at, format!("no run is called `{name}`"));
                    notes.wrong(match near {
                        Some(run) => problem.hint(format!("did you mean the run `{run}`?")),
                        None => problem.hint(GROUPS),
                    });
                    return None;
                }
                self.run = Some(run.unwrap_or(name).to_owned());
            }
            Part::Room => {
                let rooms: Vec<&str> = book
                    .sketch
                    .runs
                    .iter()
                    .filter_map(|run| Some(run.room.as_ref()?.value.trim()))
                    .collect();
                if !rooms.iter().any(|room| room.eq_ignore_ascii_case(name)) {
                    let near = notes.near(name, rooms.iter().copied());
                    notes.wrong(no_such("room", name, near, &rooms, said));
                    return None;
                }
                self.room = Some(name.to_owned());
            }
            Part::Floor if name.ends_with("side") => {
                notes.wrong(
                    Diagnostic::new(
                        "E0229",
                        said.at,
                        format!("`{}` is not a group of seams", said.value),
                    )
                    .label(format!("`{name}` is no side of the unit"))
                    .hint("write `on the supply side` or `on the return side`"),
                );
                return None;
            }
            Part::Floor => {
                if !floors.iter().any(|floor| floor == name) {
                    let known: Vec<&str> = floors.iter().map(String::as_str).collect();
                    let near = notes.near(name, known.iter().copied());
                    notes.wrong(no_such("floor", name, near, &known, said));
                    return None;
                }
                self.floor = Some(name.to_owned());
            }
            Part::Place => {
                let name = Marked {
                    value: name.to_owned(),
                    at: said.at,
                };
                self.place = Some(places.resolve(&name, notes)?);
            }
        }
        Some(())
    }

    fn holds(&self, seam: &Seam, book: &Book) -> bool {
        let run = || {
            let i = book.run_called(&seam.run)?;
            Some(&book.sketch.runs[i])
        };
        let is = |said: &Option<String>, own: Option<&Marked<String>>| match said {
            None => true,
            Some(said) => own.is_some_and(|own| own.value.trim().to_lowercase() == *said),
        };
        seam.role != SeamRole::Unsketched
            && self.kind.is_none_or(|holds| holds(&seam.joint_type))
            && self.run.as_ref().is_none_or(|r| seam.run == *r)
            && self.place.is_none_or(|p| seam.place == p)
            && self.side.is_none_or(|s| seam.side == s)
            && self.reach.is_none_or(|r| seam.reach == r)
            && is(&self.room, run().and_then(|run| run.room.as_ref()))
            && is(&self.floor, run().and_then(|run| run.floor.as_ref()))
    }
}

/// Where in the words of a seam or of a group a run is named, as in `kitchen/tab collar` and `all joints of S upstairs`: the place
/// of its name, if it is one of `ids`. `floors` are the words of floors, in lower case.
pub(crate) fn run_in_words(
    words: &str,
    ids: &[&str],
    floors: &[String],
) -> Option<std::ops::Range<usize>> {
    let lower = words.to_lowercase();
    // Places hold in both only if no letter takes more or fewer bytes when small; a sum that agrees is not enough.
    let keeps_places =
        |c: char| c.to_lowercase().map(char::len_utf8).sum::<usize>() == c.len_utf8();
    if !words.chars().all(keeps_places) {
        return None;
    }
    let from = words.len() - words.trim_start().len();
    let is_tail = |tail: &str| {
        let tail = tail.trim();
        let reach = REACHES.iter().any(|(word, _)| *word == tail);
        let floor = floors
            .iter()
            .find_map(|floor| tail.strip_prefix(floor.as_str()));
        tail.is_empty()
            || reach
            || floor.is_some_and(|rest| {
                rest.is_empty() || REACHES.iter().any(|(word, _)| *word == rest.trim())
            })
            || REACHES.iter().any(|(word, _)| {
                tail.strip_prefix(word)
                    .is_some_and(|rest| floors.iter().any(|floor| floor == rest.trim()))
            })
    };
    let longest = |name: &str, ends: &dyn Fn(&str) -> bool| {
        ids.iter()
            .map(|id| id.trim().to_lowercase())
            .filter(|id| name.strip_prefix(id.as_str()).is_some_and(ends))
            .map(|id| id.len())
            .max()
    };
    let trimmed = lower[from..].trim_end();
    if trimmed != "all" && !trimmed.starts_with("all ") {
        let (run, _) = trimmed.rsplit_once('/')?;
        let len = longest(run, &|rest| rest.is_empty())?;
        return Some(from..from + len);
    }
    let (_, parts) = cut(trimmed);
    parts.into_iter().find_map(|(part, name)| {
        let at = from + (name.as_ptr() as usize - trimmed.as_ptr() as usize);
        let len = matches!(part, Part::Run).then(|| {
            longest(name, &|rest| {
                rest.is_empty() || rest.starts_with(' ') && is_tail(rest)
            })
        })??;
        Some(at..at + len)
    })
}

/// The floors that runs name, in lower case, longest first.
fn floors(book: &Book) -> Vec<String> {
    let mut floors: Vec<String> = book
        .sketch
        .runs
        .iter()
        .filter_map(|run| Some(run.floor.as_ref()?.value.trim().to_lowercase()))
        .collect();
    floors.sort_by(|a, b| b.len().cmp(&a.len()).then_with(|| a.cmp(b)));
    floors.dedup();
    floors
}

/// Whether words end in a floor that is not the tail of another name or part.
fn ends_alone(
    words: &str,
    floor: &str,
    book: &Book,
    places: &mut Places,
    notes: &mut Notes,
) -> bool {
    let Some(head) = words.strip_suffix(floor) else {
        return false;
    };
    if head.is_empty() {
        return true;
    }
    if !head.ends_with(' ') {
        return false;
    }
    let head = head.trim_end();
    let is_named = [
        "on floor", "on the", "of run", "of room", "of", "in room", "in",
    ]
    .iter()
    .any(|mark| head == *mark || head.ends_with(&format!(" {mark}")));
    let last = cut(words).1.pop();
    let whole_name = match last {
        Some((Part::Place, name)) => places.find(name, notes).is_some(),
        Some((Part::Run, name)) => book.run_ids().any(|id| id.eq_ignore_ascii_case(name)),
        Some((Part::Room, name)) => book.sketch.runs.iter().any(|run| {
            run.room
                .as_ref()
                .is_some_and(|room| room.value.trim().eq_ignore_ascii_case(name))
        }),
        _ => false,
    };
    !is_named && !whole_name
}

/// Cuts words into the kind before all marks, and what follows each mark.
fn cut(words: &str) -> (&str, Vec<(Part, &str)>) {
    let mut starts: Vec<(usize, usize, Part)> = Vec::new();
    let mut from = 0;
    while from < words.len() {
        let at_word = from == 0 || words.as_bytes()[from - 1] == b' ';
        let mark = MARKS
            .iter()
            .filter(|_| at_word)
            .find(|(mark, _)| words[from..].starts_with(mark));
        match mark {
            Some((mark, part)) => {
                starts.push((from, from + mark.len(), *part));
                from += mark.len();
            }
            None => {
                from += words[from..].chars().next().map_or(1, char::len_utf8);
            }
        }
    }
    let kind = words[..starts.first().map_or(words.len(), |s| s.0)].trim();
    let ends = starts
        .iter()
        .skip(1)
        .map(|s| s.0)
        .chain(std::iter::once(words.len()));
    let parts = starts
        .iter()
        .zip(ends)
        .map(|(&(_, body, part), end)| (part, words[body..end].trim()))
        .collect();
    (kind, parts)
}

fn no_such(
    what: &str,
    name: &str,
    near: Option<&str>,
    known: &[&str],
    said: &Marked<String>,
) -> Diagnostic {
    let problem = Diagnostic::new(
        "E0240",
        said.at,
        format!("no run names the {what} `{name}`"),
    );
    match near {
        Some(near) => problem.hint(format!("did you mean `{near}`?")),
        None if known.is_empty() => problem.hint(format!(
            "write `{what}: {name}` in the runs that belong there"
        )),
        None => {
            let mut known = known.to_vec();
            known.sort_unstable();
            known.dedup();
            problem.hint(format!("known: {}", some_of(known)))
        }
    }
}
