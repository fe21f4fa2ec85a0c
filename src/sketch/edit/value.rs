//! What is written, and where: values in the order of their entries, and paths.

use std::fmt;

use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

use super::super::tree::{Kind, Node};

/// A value to write into a sketch. Mappings keep the order of their entries, which `serde_json::Value` does not.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Nothing: a key without a value.
    Nothing,
    /// A text, quoted only where YAML needs it.
    Word(String),
    /// A number or a truth value, written as it stands here: `0.5`, `yes`.
    Bare(String),
    /// A list.
    List(Vec<Value>),
    /// A mapping, in the order of writing.
    Mapping(Vec<(String, Value)>),
}

impl Value {
    /// The same with every number and truth value as a text: what is left of a value once it is read.
    pub(crate) fn as_read(&self) -> Value {
        match self {
            Value::Nothing => Value::Nothing,
            Value::Word(text) | Value::Bare(text) => Value::Word(text.clone()),
            Value::List(items) => Value::List(items.iter().map(Value::as_read).collect()),
            Value::Mapping(entries) => Value::Mapping(
                entries
                    .iter()
                    .map(|(key, value)| (key.clone(), value.as_read()))
                    .collect(),
            ),
        }
    }

    /// The value of a node of the tree.
    pub(in crate::sketch) fn of(node: &Node<'_>, source: &str) -> Value {
        match &node.kind {
            Kind::Nothing => Value::Nothing,
            Kind::Text(text) => Value::Word(text.to_string()),
            Kind::Bare => Value::Word(node.scalar(source).unwrap_or_default().to_owned()),
            Kind::List(items) => {
                Value::List(items.iter().map(|item| Value::of(item, source)).collect())
            }
            Kind::Mapping(entries) => Value::Mapping(
                entries
                    .iter()
                    .map(|(key, value)| (key_text(key, source), Value::of(value, source)))
                    .collect(),
            ),
        }
    }

    /// What stands at a path; the first of twins.
    #[must_use]
    pub fn at(&self, path: &[Step]) -> Option<&Value> {
        path.iter()
            .try_fold(self, |value, step| match (value, step) {
                (Value::Mapping(entries), Step::Key(key)) => {
                    entries.iter().find(|(own, _)| own == key).map(|(_, v)| v)
                }
                (Value::List(items), Step::Item(i)) => items.get(*i),
                _ => None,
            })
    }

    /// The text of a single value.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        match self {
            Value::Word(text) | Value::Bare(text) => Some(text),
            _ => None,
        }
    }

    /// The value under a key of a mapping.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Value> {
        match self {
            Value::Mapping(entries) => entries.iter().find(|(own, _)| own == key).map(|(_, v)| v),
            _ => None,
        }
    }

    /// The items of a list; none of anything else.
    #[must_use]
    pub fn items(&self) -> &[Value] {
        match self {
            Value::List(items) => items,
            _ => &[],
        }
    }
}

/// The text of a key; of a key that is no single value, its place in the text, which no path can name.
pub(in crate::sketch) fn key_text(key: &Node<'_>, source: &str) -> String {
    key.scalar(source).map_or_else(
        || {
            format!(
                "\u{0}{}",
                source.get(key.at.start..key.at.end).unwrap_or_default()
            )
        },
        str::to_owned,
    )
}

/// One step of a path from the root of a sketch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// A key of a mapping.
    Key(String),
    /// An item of a list, counted from 0.
    Item(usize),
}

impl From<&str> for Step {
    fn from(key: &str) -> Step {
        Step::Key(key.to_owned())
    }
}

impl From<usize> for Step {
    fn from(item: usize) -> Step {
        Step::Item(item)
    }
}

impl Step {
    /// The step as JSON: a string or a number.
    #[must_use]
    pub fn to_json(&self) -> serde_json::Value {
        match self {
            Step::Key(key) => key.as_str().into(),
            Step::Item(item) => (*item).into(),
        }
    }
}

impl serde::Serialize for Step {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Step::Key(key) => serializer.serialize_str(key),
            Step::Item(item) => serializer.serialize_u64(*item as u64),
        }
    }
}

/// A path in words: `runs 4 walk 3`, items counted from 1 as people do.
pub(crate) fn in_words(path: &[Step]) -> String {
    let words: Vec<String> = path
        .iter()
        .map(|step| match step {
            Step::Key(key) => key.clone(),
            Step::Item(item) => (item + 1).to_string(),
        })
        .collect();
    words.join(" ")
}

impl<'de> Deserialize<'de> for Step {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct StepVisitor;
        impl Visitor<'_> for StepVisitor {
            type Value = Step;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a key or the number of an item")
            }
            fn visit_str<E: de::Error>(self, key: &str) -> Result<Step, E> {
                Ok(Step::Key(key.to_owned()))
            }
            fn visit_u64<E: de::Error>(self, item: u64) -> Result<Step, E> {
                usize::try_from(item).map(Step::Item).map_err(E::custom)
            }
        }
        deserializer.deserialize_any(StepVisitor)
    }
}

impl<'de> Deserialize<'de> for Value {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ValueVisitor)
    }
}

struct ValueVisitor;

impl<'de> Visitor<'de> for ValueVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text, a number, a truth value, a list or a mapping")
    }

    fn visit_unit<E: de::Error>(self) -> Result<Value, E> {
        Ok(Value::Nothing)
    }

    fn visit_bool<E: de::Error>(self, yes: bool) -> Result<Value, E> {
        Ok(Value::Bare(if yes { "yes" } else { "no" }.to_owned()))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Value, E> {
        Ok(Value::Bare(number.to_string()))
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Value, E> {
        Ok(Value::Bare(number.to_string()))
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Value, E> {
        Ok(Value::Bare(number.to_string()))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Value, E> {
        Ok(Value::Word(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Value::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut mapping = Vec::new();
        while let Some(entry) = entries.next_entry()? {
            mapping.push(entry);
        }
        Ok(Value::Mapping(mapping))
    }
}
