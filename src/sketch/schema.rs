//! The JSON Schema of a sketch, out of the tables that the reader uses.

use serde_json::{Map, Value, json};

use super::fields::{Shape, Table};
use super::limits;
use super::tables;

/// JSON Schema (draft 2020-12) of a sketch, so that editors complete and check it.
///
/// It knows the shape of the file: keys, words, forms of quantities. It does not know what only reading finds out, such as an end that is
/// missing from a walk.
///
/// # Examples
/// ```
/// assert!(ductseam::sketch::schema().contains("air handler"));
/// ```
pub fn schema() -> String {
    let mut parts = Map::new();
    let mut whole = table(&tables::SKETCH, &mut parts);
    whole["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    whole["title"] = json!("ductseam sketch");
    whole["$defs"] = Value::Object(parts);
    format!("{whole:#}\n")
}

fn table(table: &'static Table, parts: &mut Map<String, Value>) -> Value {
    let mut properties = Map::new();
    for field in table.fields {
        let mut value = shape(&field.shape, parts);
        value["description"] = json!(field.doc);
        properties.insert(field.key.to_owned(), value);
    }
    let required: Vec<_> = table
        .fields
        .iter()
        .filter(|field| field.required)
        .map(|field| field.key)
        .collect();
    let mut schema = json!({
        "type": "object",
        "additionalProperties": false,
        "required": required,
        "properties": properties,
    });
    for (key, needed) in table.needs {
        schema["dependentRequired"][key] = json!([needed]);
    }
    for only in table.only_with {
        let any: Vec<_> = only
            .with
            .iter()
            .map(|key| json!({"required": [key]}))
            .collect();
        schema["dependentSchemas"][only.key] = json!({"anyOf": any});
    }
    if !table.one_of.is_empty() {
        schema["oneOf"] = table
            .one_of
            .iter()
            .map(|key| json!({"required": [key]}))
            .collect();
    }
    schema
}

fn shape(shape_of: &'static Shape, parts: &mut Map<String, Value>) -> Value {
    match shape_of {
        // YAML reads `title: 2024` as a number; the reader takes it as words.
        Shape::Name => {
            json!({"type": ["string", "number", "boolean"], "minLength": 1, "maxLength": limits::NAME})
        }
        Shape::Text => {
            json!({"type": ["string", "number", "boolean"], "minLength": 1})
        }
        Shape::Words(words) => {
            let pattern: Vec<_> = words().iter().map(|word| any_case(word)).collect();
            json!({"anyOf": [{"enum": words()}, {"type": "string", "pattern": format!(r"^\s*(?:{})\s*$", pattern.join("|"))}]})
        }
        Shape::Quantity(of) => of(),
        Shape::Form(pattern, examples) => {
            json!({"type": "string", "pattern": pattern, "examples": examples})
        }
        Shape::Number(least, most) => json!({"type": "number", "minimum": least, "maximum": most}),
        Shape::Version(version) => json!({"const": version}),
        Shape::Yes => json!({"enum": [true, "yes", "true"]}),
        Shape::YesNo => json!({"enum": [true, false, "yes", "no", "true", "false"]}),
        Shape::List(item, may_be_empty) => {
            json!({"type": "array", "items": shape(item, parts), "minItems": u8::from(!may_be_empty)})
        }
        Shape::Map(of) => {
            let name = of
                .name
                .trim_start_matches("a ")
                .trim_start_matches("an ")
                .trim_start_matches("the ")
                .replace(' ', "-")
                .replace('`', "");
            if !parts.contains_key(&name) {
                parts.insert(name.clone(), Value::Null);
                let built = table(of, parts);
                parts.insert(name.clone(), built);
            }
            json!({"$ref": format!("#/$defs/{name}")})
        }
        Shape::Named(value) => {
            json!({"type": "object", "additionalProperties": shape(value, parts)})
        }
        Shape::Either(shapes) => {
            json!({"anyOf": shapes.iter().map(|one| shape(one, parts)).collect::<Vec<_>>()})
        }
    }
}

/// A pattern for a word in capitals or not.
fn any_case(word: &str) -> String {
    word.chars()
        .map(|c| {
            if c.is_ascii_alphabetic() {
                format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase())
            } else {
                c.to_string()
            }
        })
        .collect()
}
