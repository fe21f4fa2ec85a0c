//! Places round the ducts: the sketch's own and the built-in ones.

use std::collections::BTreeMap;

use super::notes::{ESTIMATE, Notes};
use super::spaces::{said_path, share_between};
use super::types::{Place, PlaceIdx};
use crate::sketch::{self, Diagnostic, Marked, PlaceLike, Reach, nearest, some_of, tail_words};

/// A built-in place: name, part of house pressure, whether unconditioned, how ducts in it are reached.
struct BuiltIn {
    name: &'static str,
    share: f64,
    unconditioned: bool,
    reach: Reach,
}

/// The built-in places. House shares are engineering estimates: a place without a zone reading is only guessed.
const BUILT_IN: &[BuiltIn] = &[
    BuiltIn {
        name: "inside",
        share: 1.0,
        unconditioned: false,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "outdoors",
        share: 0.0,
        unconditioned: true,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "attic",
        share: 0.0,
        unconditioned: true,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "crawlspace",
        share: 0.1,
        unconditioned: true,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "basement",
        share: 0.9,
        unconditioned: true,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "garage",
        share: 0.05,
        unconditioned: true,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "wall",
        share: 0.9,
        unconditioned: false,
        reach: Reach::BehindFinish,
    },
    BuiltIn {
        name: "floor cavity",
        share: 0.8,
        unconditioned: false,
        reach: Reach::BehindFinish,
    },
    BuiltIn {
        name: "knee wall",
        share: 0.2,
        unconditioned: true,
        reach: Reach::Open,
    },
    BuiltIn {
        name: "under slab",
        share: 0.0,
        unconditioned: true,
        reach: Reach::None,
    },
    BuiltIn {
        name: "belly",
        share: 0.2,
        unconditioned: true,
        reach: Reach::UnderInsulation,
    },
];

/// Other words for built-in places.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("outside", "outdoors"),
    ("conditioned space", "inside"),
    ("crawl space", "crawlspace"),
    ("crawl", "crawlspace"),
    ("wall cavity", "wall"),
    ("walls", "wall"),
    ("floor", "floor cavity"),
    ("ceiling cavity", "floor cavity"),
    ("kneewall", "knee wall"),
    ("slab", "under slab"),
];

/// Part of the house's pressure taken for a buffer place without a zone reading. Engineering estimate.
const BUFFER_SHARE: f64 = 0.5;

/// Names under which a place is known without being named in the sketch, other words for them included.
pub fn known_places() -> impl Iterator<Item = &'static str> {
    let built_in = BUILT_IN.iter().map(|place| place.name);
    built_in.chain(OTHER_WORDS.iter().map(|(word, _)| *word))
}

/// The places of one system, looked up by name.
pub(super) struct Places {
    list: Vec<Place>,
    reaches: Vec<Reach>,
    by_name: BTreeMap<String, PlaceIdx>,
}

impl Places {
    /// How many there are.
    pub fn count(&self) -> usize {
        self.list.len()
    }

    /// The places that the sketch names.
    pub fn named(declared: &[sketch::Place], notes: &mut Notes) -> Places {
        let mut places = Places {
            list: Vec::new(),
            reaches: Vec::new(),
            by_name: BTreeMap::new(),
        };
        for place in declared {
            let name = plain(&place.name.value);
            if places.by_name.contains_key(&name) {
                notes.wrong(
                    Diagnostic::new(
                        "E0201",
                        place.name.at,
                        format!("the place `{}` is described twice", place.name.value),
                    )
                    .label("the second one")
                    .hint("keep one of the two"),
                );
                continue;
            }
            let built_in = BUILT_IN.iter().find(|b| b.name == name);
            let to_outdoors = place.to_outdoors.as_ref().map(said_path);
            let to_house = place.to_house.as_ref().map(said_path);
            let (house_share, source) = match (&place.house_share, place.like.value) {
                _ if let (Some(out), Some(house)) = (&to_outdoors, &to_house) => (
                    share_between(out, house),
                    "leak paths given in the sketch".to_owned(),
                ),
                (Some(share), _) => (
                    share.value.si(),
                    "zone pressure given in the sketch".to_owned(),
                ),
                (None, PlaceLike::Inside) => (1.0, "inside, as the sketch says".to_owned()),
                (None, PlaceLike::Outside) => (0.0, "outside, as the sketch says".to_owned()),
                (None, PlaceLike::Buffer) => {
                    notes.assume(
                        &format!("place {}", place.name.value),
                        &format!("{} % of the house's pressure", BUFFER_SHARE * 100.0),
                        "engineering estimate for a buffer place without a zone reading; a zone reading settles it",
                    );
                    (BUFFER_SHARE, "engineering estimate".to_owned())
                }
            };
            places.push(
                Place {
                    name: place.name.value.trim().to_owned(),
                    house_share,
                    unconditioned: place.like.value != PlaceLike::Inside,
                    source,
                    to_outdoors,
                    to_house,
                },
                built_in.map_or(Reach::Open, |b| b.reach),
                name,
            );
        }
        places
    }

    /// The place that a name means; an unknown one is an error.
    pub fn resolve(&mut self, name: &Marked<String>, notes: &mut Notes) -> Option<PlaceIdx> {
        if let Some(found) = self.find(&name.value, notes) {
            return Some(found);
        }
        if notes.is_full() {
            let title = format!("unknown place `{}`", name.value);
            notes.wrong(Diagnostic::new("E0202", name.at, title));
            return None;
        }
        let names: Vec<&str> = self
            .list
            .iter()
            .map(|p| p.name.as_str())
            .chain(BUILT_IN.iter().map(|b| b.name))
            .collect();
        let near = notes.near(&name.value, names.iter().copied());
        let mut met = std::collections::BTreeSet::new();
        let mut listed = names.clone();
        listed.retain(|name| met.insert(*name));
        let list = format!(
            "known places: {}; others are named under `places`",
            some_of(listed)
        );
        let problem = Diagnostic::new("E0202", name.at, format!("unknown place `{}`", name.value))
            .label("not a known place");
        let split = split_tail(&name.value, |head| {
            let head = plain(head);
            names.iter().any(|n| plain(n) == head) || OTHER_WORDS.iter().any(|(w, _)| *w == head)
        });
        notes.wrong(match near {
            _ if let Some((place, word)) = split => problem
                .hint(format!("did you mean `{place}` with `{word}`?"))
                .patch(format!("{place} {word}")),
            Some(near) => problem
                .hint(format!("did you mean `{near}`? {list}"))
                .patch(near),
            None => problem.hint(list),
        });
        None
    }

    /// The place of a name, named or built in.
    pub fn find(&mut self, name: &str, notes: &mut Notes) -> Option<PlaceIdx> {
        if let Some(&found) = self.by_name.get(name) {
            return Some(found);
        }
        let key = plain(name);
        if let Some(&found) = self.by_name.get(&key) {
            return Some(found);
        }
        let key = OTHER_WORDS
            .iter()
            .find(|(word, _)| *word == key)
            .map_or(key.as_str(), |(_, name)| name);
        if let Some(&found) = self.by_name.get(key) {
            return Some(found);
        }
        let built_in = BUILT_IN.iter().find(|b| b.name == key)?;
        if !matches!(built_in.name, "inside" | "outdoors") {
            notes.assume(
                &format!("place {}", built_in.name),
                &format!("{} % of the house's pressure", built_in.share * 100.0),
                "engineering estimate; a zone reading settles it",
            );
        }
        let place = Place {
            name: built_in.name.to_owned(),
            house_share: built_in.share,
            unconditioned: built_in.unconditioned,
            source: if matches!(built_in.name, "inside" | "outdoors") {
                "by its meaning"
            } else {
                ESTIMATE
            }
            .to_owned(),
            to_outdoors: None,
            to_house: None,
        };
        Some(self.push(place, built_in.reach, built_in.name.to_owned()))
    }

    /// The place that a name means where ducts lie; `None` for a built-in place where none do, and an error for an unknown
    /// one.
    pub fn in_use(&mut self, name: &Marked<String>, notes: &mut Notes) -> Option<PlaceIdx> {
        let key = plain(&name.value);
        let other = OTHER_WORDS.iter().find(|(word, _)| *word == key);
        let key = other.map_or(key.as_str(), |(_, name)| name);
        if !self.by_name.contains_key(key) && BUILT_IN.iter().any(|b| b.name == key) {
            return None;
        }
        self.resolve(name, notes)
    }

    /// How ducts in a place are reached when nobody says.
    pub fn usual_reach(&self, place: PlaceIdx) -> Reach {
        self.reaches[place]
    }

    /// The name of a place.
    pub fn name(&self, place: PlaceIdx) -> &str {
        &self.list[place].name
    }

    /// All places used.
    pub fn list(&self) -> &[Place] {
        &self.list
    }

    /// Gives the places away.
    pub fn into_list(self) -> Vec<Place> {
        self.list
    }

    fn push(&mut self, place: Place, reach: Reach, key: String) -> PlaceIdx {
        self.list.push(place);
        self.reaches.push(reach);
        self.by_name.insert(key, self.list.len() - 1);
        self.list.len() - 1
    }
}

/// A known name with a word of reach or work behind it, misspelt or not, that was taken as part of the name.
pub(super) fn split_tail(
    said: &str,
    is_known: impl Fn(&str) -> bool,
) -> Option<(&str, &'static str)> {
    said.char_indices()
        .filter(|(_, c)| *c == ' ')
        .find_map(|(i, _)| {
            let (head, tail) = (said[..i].trim(), said[i..].trim());
            if !is_known(head) {
                return None;
            }
            nearest(tail, tail_words()).map(|word| (head, word))
        })
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase()
}
