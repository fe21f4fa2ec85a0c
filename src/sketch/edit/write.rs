//! Values as text, in the style of their place.

use super::scalar::{Before, Ground, word};
use super::value::Value;

/// The widest line that is written in one piece, in characters; common practice of the sketches that come with the program.
const WIDEST: usize = 150;

/// A value between brackets, or of one line.
pub(super) fn flow(value: &Value) -> String {
    one_line(value, Ground::Flow)
}

/// A value on one line; a single value as its ground asks.
pub(super) fn one_line(value: &Value, ground: Ground) -> String {
    match value {
        Value::Nothing => "~".to_owned(),
        Value::Word(text) => word(text, ground, Before::New),
        Value::Bare(text) => word(text, ground, Before::Plain),
        Value::List(items) => {
            let items: Vec<String> = items.iter().map(flow).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Mapping(entries) => {
            let entries: Vec<String> = entries
                .iter()
                .map(|(key, value)| {
                    format!(
                        "{}: {}",
                        word(key, Ground::Flow, Before::Plain),
                        flow(value)
                    )
                })
                .collect();
            format!("{{{}}}", entries.join(", "))
        }
    }
}

/// A key with its value for a block mapping whose keys stand at a column. Lines after the first are indented; none ends the text.
pub(super) fn entry(key: &str, value: &Value, column: usize, newline: &str) -> String {
    let key = word(key, Ground::Block, Before::Plain);
    format!(
        "{key}:{}",
        after_colon(value, column, column + key.chars().count() + 1, newline)
    )
}

/// What follows the colon of a key at a column; `used` characters of the line are taken.
pub(super) fn after_colon(value: &Value, column: usize, used: usize, newline: &str) -> String {
    let is_container = |value: &Value| matches!(value, Value::List(_) | Value::Mapping(_));
    let line = one_line(value, Ground::Block);
    let fits = used + 1 + line.chars().count() <= WIDEST;
    let indent = " ".repeat(column + 2);
    match value {
        Value::List(items) if !items.is_empty() => {
            let has_mappings = items.iter().any(|item| matches!(item, Value::Mapping(_)));
            if fits && !(has_mappings && column == 0) {
                return format!(" {line}");
            }
            let items = items.iter().map(|item| {
                format!(
                    "{newline}{indent}- {}",
                    item_text(item, column + 2, false, newline)
                )
            });
            items.collect()
        }
        Value::Mapping(entries) if !entries.is_empty() => {
            let is_deep = column == 0 && entries.iter().any(|(_, value)| is_container(value));
            if fits && !is_deep {
                return format!(" {line}");
            }
            let entries = entries.iter().map(|(key, value)| {
                format!(
                    "{newline}{indent}{}",
                    entry(key, value, column + 2, newline)
                )
            });
            entries.collect()
        }
        _ => format!(" {line}"),
    }
}

/// What follows the dash of an item whose dash stands at a column: a mapping in braces, or with its keys below each other.
pub(super) fn item_text(value: &Value, dash: usize, below: bool, newline: &str) -> String {
    let line = one_line(value, Ground::Block);
    let Value::Mapping(entries) = value else {
        return line;
    };
    if below && !entries.is_empty() {
        let lines: Vec<String> = entries
            .iter()
            .map(|(key, value)| match value {
                Value::List(items)
                    if items
                        .iter()
                        .all(|item| matches!(item, Value::Word(_) | Value::Bare(_))) =>
                {
                    format!(
                        "{}: {}",
                        word(key, Ground::Block, Before::Plain),
                        one_line(value, Ground::Block)
                    )
                }
                _ => entry(key, value, dash + 2, newline),
            })
            .collect();
        return lines.join(&format!("{newline}{}", " ".repeat(dash + 2)));
    }
    let is_walk = |(key, _): &(String, Value)| key == "walk";
    let place = entries.iter().position(is_walk).filter(|i| *i > 0);
    match place {
        Some(i) if dash + 2 + line.chars().count() > WIDEST => {
            let text = |entries: &[(String, Value)]| {
                let braced = flow(&Value::Mapping(entries.to_vec()));
                braced[1..braced.len() - 1].to_owned()
            };
            let indent = " ".repeat(dash + 3);
            format!(
                "{{{},{newline}{indent}{}}}",
                text(&entries[..i]),
                text(&entries[i..])
            )
        }
        _ => line,
    }
}
