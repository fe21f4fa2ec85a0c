//! JSON Schema of written quantities: strings with a pattern, so that an editor can check a sketch.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::kinds::{self, Kind};
use super::parse::fold;
use super::{Gauge, Quantity, Size, Stated, UnitSystem};

/// A sign, digits, point and exponent. The parser is stricter (`1.2.3`), never looser.
const NUMBER: &str = r"[-+−]?[0-9.]+([eE][-+−]?[0-9]+)?";

/// Schema of one kind.
pub(crate) fn quantity(kind: &Kind) -> Schema {
    let mut forms = vec![format!("{NUMBER}[ -]*({})", unit_pattern(kind))];
    forms.extend(kind.special_patterns.iter().map(|p| p.to_string()));
    string(kind.name, &forms.join("|"), &[kind.example])
}

fn string(description: &str, pattern: &str, examples: &[&str]) -> Schema {
    json_schema!({
        "type": "string",
        "description": description,
        "pattern": format!(r"^\s*({pattern})\s*$"),
        "examples": examples,
    })
}

/// Every spelling of every unit, capitals aside where they do not matter.
fn unit_pattern(kind: &Kind) -> String {
    let mut spellings = Vec::new();
    for unit in kind.units {
        let folded = fold(unit.symbol);
        let names = std::iter::once(folded.as_str()).chain(unit.also.iter().copied());
        spellings.extend(names.map(|name| spelling(name, unit.strict_case)));
    }
    spellings.sort();
    spellings.dedup();
    spellings.join("|")
}

/// Pattern of one folded spelling: what [`fold`] takes away may stand there.
fn spelling(name: &str, strict_case: bool) -> String {
    let mut out = String::from("[°º]?");
    for c in name.chars() {
        match c {
            ' ' => out.push_str(r"[-.\s·⋅*°º)(]+"),
            '/' => out.push_str(r"[\s)(]*/[\s)(]*"),
            '2' => out.push_str(r"\^?[2²]"),
            '3' => out.push_str(r"\^?[3³]"),
            '\'' => out.push_str("['’′]"),
            '"' => out.push_str("[\"”“″]"),
            '.' => out.push_str(r"\."),
            '$' => out.push_str(r"\$"),
            c if c.is_ascii_alphabetic() && !strict_case => {
                out.push_str(&format!(
                    "[{}{}]",
                    c.to_ascii_lowercase(),
                    c.to_ascii_uppercase()
                ));
            }
            c => out.push(c),
        }
    }
    out.push_str(r"[.)]*");
    out
}

impl JsonSchema for Gauge {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Gauge".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let pattern = format!(
            "{NUMBER}[ -]*({}|{})",
            unit_pattern(&kinds::GAUGE),
            unit_pattern(&kinds::LENGTH)
        );
        string(
            "a sheet gauge or a sheet thickness",
            &pattern,
            &["26 ga", "0.55 mm"],
        )
    }
}

impl JsonSchema for Size {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Size".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        // One or two lengths and a word; the parser says the rest.
        let unit = unit_pattern(&kinds::LENGTH);
        let side = format!("{NUMBER}([ -]+[0-9]+/[0-9]+|/[0-9]+)?");
        let pattern = format!(r"({side}\s*({unit})?\s*[xX×✕]\s*)?{side}\s*({unit})\s*[a-zA-Z. ]*");
        string(
            "a duct size",
            &pattern,
            &["20x8 in", "6 in round", "14x6 in oval", "500x200 mm"],
        )
    }
}

impl<Q: Quantity> JsonSchema for Stated<Q> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        let name = Q::KIND
            .name
            .split_once(' ')
            .map_or(Q::KIND.name, |(_, name)| name);
        format!("Stated {name}").into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let description = format!(
            "{} that was read, with its pressure and its error",
            Q::KIND.name
        );
        let first = Q::KIND.example;
        string(
            &description,
            ".*[0-9].*",
            &[
                &format!("{first} at 25 Pa ± 3 %"),
                &format!("below {first}"),
            ],
        )
    }
}

impl JsonSchema for UnitSystem {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "UnitSystem".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"type": "string", "description": "units in which answers are shown", "pattern": "^\\s*([iI][pP]|[sS][iI])\\s*$", "examples": ["ip", "si"]})
    }
}
