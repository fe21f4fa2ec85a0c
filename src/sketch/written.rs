//! A file as it is written: every scalar as its own text, every list and mapping in the order of the file, with its place.

use serde::ser::{Serialize, SerializeMap, SerializeSeq, Serializer};

use super::edit::Step;
use super::span::Span;
use super::tree::{self, Kind, Node};

/// A file as it is written. As JSON: scalars are strings, nothing is `null`; of keys written twice the first counts.
#[derive(Debug, Clone)]
pub(crate) struct Written<'t> {
    text: &'t str,
    root: Node<'t>,
}

impl<'t> Written<'t> {
    /// Reads a file; `None` where it is no YAML.
    pub fn read(text: &'t str) -> Option<Written<'t>> {
        if text.len() > super::limits::BYTES {
            return None;
        }
        let root = tree::parse(text).ok()?;
        Some(Written { text, root })
    }

    /// The path of the smallest thing that holds a place; empty at the root.
    pub fn path_of(&self, at: Span) -> Vec<Step> {
        let mut path = Vec::new();
        let mut node = &self.root;
        loop {
            let next = match &node.kind {
                Kind::List(items) => items
                    .iter()
                    .enumerate()
                    .find(|(_, item)| holds(item.at, at))
                    .map(|(i, item)| (Step::Item(i), item)),
                Kind::Mapping(entries) => entries
                    .iter()
                    .find(|(key, value)| holds(key.at.to(value.at), at))
                    .map(|(key, value)| {
                        let word = key.scalar(self.text).unwrap_or_default().to_owned();
                        (Step::Key(word), value)
                    }),
                _ => None,
            };
            let Some((part, below)) = next else {
                return path;
            };
            path.push(part);
            node = below;
        }
    }

    /// Where the items of the list under a key of the root stand.
    pub fn items(&self, key: &str) -> Vec<Item<'_, 't>> {
        self.under(&self.root, key)
            .map(|node| self.listed(node))
            .unwrap_or_default()
    }

    fn under<'n>(&self, node: &'n Node<'t>, key: &str) -> Option<&'n Node<'t>> {
        let Kind::Mapping(entries) = &node.kind else {
            return None;
        };
        entries
            .iter()
            .find(|(name, _)| name.scalar(self.text) == Some(key))
            .map(|(_, value)| value)
    }

    fn listed<'n>(&'n self, node: &'n Node<'t>) -> Vec<Item<'n, 't>> {
        match &node.kind {
            Kind::List(items) => items.iter().map(|node| Item { file: self, node }).collect(),
            _ => Vec::new(),
        }
    }
}

/// One item of a list in a file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Item<'n, 't> {
    file: &'n Written<'t>,
    node: &'n Node<'t>,
}

impl<'n, 't> Item<'n, 't> {
    /// Where it stands.
    pub fn at(&self) -> Span {
        self.node.at
    }

    /// Its text in one line: a scalar's own, else what is written there with its line breaks made blanks.
    pub fn words(&self) -> String {
        let at = self.node.at;
        match self.node.scalar(self.file.text) {
            Some(text) => text.to_owned(),
            None => {
                let raw = self.file.text.get(at.start..at.end).unwrap_or_default();
                raw.split_whitespace().collect::<Vec<_>>().join(" ")
            }
        }
    }

    /// Whether it is a single value, not a list or a mapping.
    pub fn is_plain(&self) -> bool {
        matches!(self.node.kind, Kind::Text(_) | Kind::Bare)
    }

    /// The text of a key of its own.
    pub fn value(&self, key: &str) -> Option<&'n str> {
        self.file.under(self.node, key)?.scalar(self.file.text)
    }

    /// The items of a list under a key of its own.
    pub fn items(&self, key: &str) -> Vec<Item<'n, 't>> {
        self.file
            .under(self.node, key)
            .map(|node| self.file.listed(node))
            .unwrap_or_default()
    }
}

/// Whether a place lies within another; an empty place at its end counts.
pub(crate) fn holds(outer: Span, inner: Span) -> bool {
    outer.start <= inner.start && inner.end <= outer.end
}

impl Serialize for Written<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        Shown {
            text: self.text,
            node: &self.root,
        }
        .serialize(serializer)
    }
}

struct Shown<'n, 't> {
    text: &'t str,
    node: &'n Node<'t>,
}

impl Serialize for Shown<'_, '_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let shown = |node| Shown {
            text: self.text,
            node,
        };
        match &self.node.kind {
            Kind::Nothing => serializer.serialize_none(),
            Kind::Text(_) | Kind::Bare => {
                serializer.serialize_str(self.node.scalar(self.text).unwrap_or_default())
            }
            Kind::List(items) => {
                let mut list = serializer.serialize_seq(Some(items.len()))?;
                for item in items {
                    list.serialize_element(&shown(item))?;
                }
                list.end()
            }
            Kind::Mapping(entries) => {
                let mut seen = std::collections::BTreeSet::new();
                let mut mapping = serializer.serialize_map(None)?;
                for (key, value) in entries {
                    let word = key.scalar(self.text).unwrap_or_default();
                    if seen.insert(word) {
                        mapping.serialize_entry(word, &shown(value))?;
                    }
                }
                mapping.end()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "title: One # a comment\nruns:\n  - {id: A, walk: [north 10 ft, cap]}\n  - id: 010\n    walk:\n      - cap\n";

    #[test]
    fn scalars_stay_as_written_and_in_order() {
        let written = Written::read(TEXT).expect("YAML");
        let json = serde_json::to_string(&written).expect("JSON");
        assert_eq!(
            json,
            r#"{"title":"One","runs":[{"id":"A","walk":["north 10 ft","cap"]},{"id":"010","walk":["cap"]}]}"#
        );
    }

    #[test]
    fn a_place_has_the_path_of_the_smallest_thing_round_it() {
        let written = Written::read(TEXT).expect("YAML");
        let at = TEXT.find("10 ft").expect("there");
        let path = written.path_of(Span::new(at, at + 5));
        let json = serde_json::to_string(&path).expect("JSON");
        assert_eq!(json, r#"["runs",0,"walk",0]"#);
        assert!(written.path_of(Span::new(0, TEXT.len())).is_empty());
    }

    #[test]
    fn items_tell_their_words() {
        let written = Written::read(TEXT).expect("YAML");
        let runs = written.items("runs");
        assert_eq!(runs[1].value("id"), Some("010"));
        assert_eq!(runs[0].items("walk")[0].words(), "north 10 ft");
        assert_eq!(runs[0].words(), "{id: A, walk: [north 10 ft, cap]}");
    }
}
