//! One record: a sketch with its name, as one line of NDJSON.

use std::borrow::Cow;

use serde::Deserialize;
use serde_json::value::RawValue;

/// Most bytes of one record. A house is about 5 kB; a sketch of 10⁵ seams about 4 MB (measured on made-up trunks).
pub const MOST_RECORD_BYTES: usize = 16 * 1024 * 1024;
/// Most bytes of a name.
pub const MOST_ID_BYTES: usize = 500;

/// A sketch to answer, and the name under which its answer is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// Name, not empty; rows of the answer carry it as `system`.
    pub id: String,
    /// The sketch, as text: what a file would hold.
    pub sketch: String,
    /// Seed of its draws, where the record asks for one of its own.
    pub seed: Option<u64>,
}

/// Why a record cannot be answered, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Name of the record, where one could be read.
    pub id: Option<String>,
    /// What is wrong, where, and what to write instead.
    pub text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line<'a> {
    #[serde(borrow)]
    id: &'a RawValue,
    #[serde(borrow)]
    sketch: &'a RawValue,
    seed: Option<u64>,
}

const SHAPE: &str = r#"a record is one line, {"id": "house-1", "sketch": "…the file's text…"}, where the sketch may also be the same as a JSON object"#;

impl Record {
    /// Reads one line of NDJSON: `{"id", "sketch", "seed"}`. The id is a text or a whole number; the sketch is a text as a
    /// file would hold it, or the same written as a JSON object.
    ///
    /// # Errors
    /// [`Fault`] for a line that is too long, no UTF-8, no JSON or of another shape. What is wrong with the sketch itself is
    /// found by `answer`.
    ///
    /// # Examples
    /// ```
    /// use ductseam::batch::Record;
    /// let record = Record::read(br#"{"id": 7, "sketch": {"ductseam": 1, "runs": []}}"#).unwrap();
    /// assert_eq!((record.id.as_str(), record.sketch.as_str()), ("7", r#"{"ductseam": 1, "runs": []}"#));
    /// assert!(Record::read(b"{}").unwrap_err().text.contains("missing field `id`"));
    /// ```
    pub fn read(line: &[u8]) -> Result<Record, Fault> {
        if line.len() > MOST_RECORD_BYTES {
            return Err(too_long());
        }
        let text = std::str::from_utf8(line).map_err(|error| Fault {
            id: None,
            text: format!("no UTF-8 text from byte {} on", error.valid_up_to() + 1),
        })?;
        let text = text.trim_start_matches('\u{feff}').trim();
        if !text.starts_with('{') {
            return Err(Fault {
                id: None,
                text: format!("no JSON object; {SHAPE}. A sketch by itself is named as a file"),
            });
        }
        let read: Line<'_> = serde_json::from_str(text).map_err(|error| {
            // The line's own number is told by whoever counts lines.
            let words = error.to_string();
            let words = words
                .rsplit_once(" at line ")
                .map_or(words.as_str(), |(words, _)| words);
            Fault {
                id: None,
                text: format!("{words} (column {}); {SHAPE}", error.column()),
            }
        })?;
        let id = name(read.id.get()).ok_or_else(|| Fault {
            id: None,
            text: format!(
                "`id` is neither a text of 1 to {MOST_ID_BYTES} bytes nor a whole number; {SHAPE}"
            ),
        })?;
        let sketch = match read.sketch.get().as_bytes().first() {
            Some(b'"') => {
                serde_json::from_str::<String>(read.sketch.get()).map_err(|error| Fault {
                    id: Some(id.clone()),
                    text: format!("the text of `sketch` cannot be read: {error}"),
                })?
            }
            Some(b'{') => read.sketch.get().to_owned(),
            _ => {
                return Err(Fault {
                    id: Some(id),
                    text: format!("`sketch` is neither a text nor an object; {SHAPE}"),
                });
            }
        };
        Ok(Record {
            id,
            sketch,
            seed: read.seed,
        })
    }

    /// The record as a line of NDJSON, its end not included; [`Record::read`] gives it back.
    ///
    /// # Panics
    /// Never: texts and numbers can always be written.
    #[must_use]
    pub fn line(&self) -> String {
        let text = |text: &str| serde_json::to_string(text).expect("a text can be written");
        let seed = self
            .seed
            .map_or_else(String::new, |seed| format!(",\"seed\":{seed}"));
        format!(
            "{{\"id\":{},\"sketch\":{}{seed}}}",
            text(&self.id),
            text(&self.sketch)
        )
    }
}

/// A line of more than [`MOST_RECORD_BYTES`].
pub(crate) fn too_long() -> Fault {
    Fault {
        id: None,
        text: format!(
            "longer than {} MB; a sketch of a house is about 5 kB: is there a line break missing?",
            MOST_RECORD_BYTES / 1024 / 1024
        ),
    }
}

fn name(raw: &str) -> Option<String> {
    let name: Cow<'_, str> = if raw.starts_with('"') {
        serde_json::from_str::<String>(raw).ok()?.into()
    } else if raw.parse::<u64>().is_ok() || raw.parse::<i64>().is_ok() {
        raw.into()
    } else {
        return None;
    };
    let name = name.trim();
    (!name.is_empty() && name.len() <= MOST_ID_BYTES && !name.contains(char::is_control))
        .then(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(line: &str) -> String {
        Record::read(line.as_bytes()).expect_err(line).text
    }

    #[test]
    fn a_text_and_an_object_are_both_sketches() {
        let text = Record::read(br#"{"sketch":"ductseam: 1\ntitle: a","id":" a b ","seed":4}"#)
            .expect("a record");
        assert_eq!(text.id, "a b");
        assert_eq!(text.sketch, "ductseam: 1\ntitle: a");
        assert_eq!(text.seed, Some(4));
        let object = Record::read("\u{feff}{\"id\":-3,\"sketch\":{\"ductseam\":1}}\r".as_bytes())
            .expect("a record");
        assert_eq!(
            (object.id.as_str(), object.sketch.as_str()),
            ("-3", "{\"ductseam\":1}")
        );
    }

    #[test]
    fn what_is_wrong_is_said() {
        assert!(refused("").contains("no JSON object"));
        assert!(refused("ductseam: 1").contains("A sketch by itself is named as a file"));
        assert!(refused("{").contains("EOF while parsing"));
        assert!(refused(r#"{"id":"a"}"#).contains("missing field `sketch`"));
        assert!(refused(r#"{"id":"a","sketch":1}"#).contains("neither a text nor an object"));
        assert!(refused(r#"{"id":"","sketch":"x"}"#).contains("`id` is neither"));
        assert!(refused(r#"{"id":1.5,"sketch":"x"}"#).contains("`id` is neither"));
        assert!(refused(r#"{"id":"a\nb","sketch":"x"}"#).contains("`id` is neither"));
        assert!(refused(r#"{"id":"a","sketch":"x","sed":1}"#).contains("unknown field `sed`"));
        assert!(refused(r#"{"id":"a","sketch":"x","seed":-1}"#).contains("expected u64"));
        assert!(refused(r#"{"id":"a","id":"b","sketch":"x"}"#).contains("duplicate field"));
        let long = vec![b' '; MOST_RECORD_BYTES + 1];
        assert!(
            Record::read(&long)
                .expect_err("long")
                .text
                .contains("longer than 16 MB")
        );
        assert!(
            Record::read(b"\xff")
                .expect_err("bytes")
                .text
                .contains("no UTF-8")
        );
    }

    #[test]
    fn a_written_record_reads_back() {
        let record = Record {
            id: "a \"b\" \u{1F3E0}".to_owned(),
            sketch: "ductseam: 1\n\ttitle: \"x\u{2028}\"\r\n".to_owned(),
            seed: Some(u64::MAX),
        };
        let line = record.line();
        assert!(!line.contains('\n'));
        assert_eq!(Record::read(line.as_bytes()).expect("reads back"), record);
    }
}
