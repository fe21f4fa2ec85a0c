//! The fixed words of a sketch for whoever offers them to choose from.

use serde::Serialize;

use super::evidence_tables::READING;
use super::runs;
use super::types::StepKind;
use super::words::{self, StepWord, listed};

/// Words to choose from, each list in the order of the tables, without synonyms.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Choices {
    pub units: Vec<&'static str>,
    pub sides: Vec<&'static str>,
    pub materials: Vec<&'static str>,
    pub takeoffs: Vec<&'static str>,
    pub elbows: Vec<&'static str>,
    pub boots: Vec<&'static str>,
    pub steps: Vec<&'static str>,
    pub headings: Vec<&'static str>,
    pub faces: Vec<&'static str>,
    pub work: Vec<&'static str>,
    pub reach: Vec<&'static str>,
    pub smoke: Vec<&'static str>,
    pub places_like: Vec<&'static str>,
    pub airflow_by: Vec<&'static str>,
    pub coil: Vec<&'static str>,
    pub filter: Vec<&'static str>,
    pub blower: Vec<&'static str>,
    pub draft: Vec<&'static str>,
    pub suspect_tape: Vec<&'static str>,
    pub mask: Vec<&'static str>,
    pub barrier: Vec<&'static str>,
    pub directions: Vec<&'static str>,
    pub readings: Vec<Reading>,
    /// Keys of a reading other than those that say its kind.
    pub reading_fields: Vec<Field>,
}

/// A kind of reading.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Reading {
    pub key: &'static str,
    pub words: &'static str,
    pub example: Option<String>,
    /// The key that must stand beside it: `run`, `room` or `place`.
    pub needs: Option<&'static str>,
}

/// A key that may stand in a reading.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Field {
    pub key: &'static str,
    pub words: &'static str,
    pub example: Option<String>,
    /// Kinds beside which it may stand; empty for all.
    pub with: Vec<&'static str>,
}

/// The words of the tables.
pub(crate) fn choices() -> Choices {
    let own = |count: usize, list: Vec<&'static str>| list.into_iter().take(count).collect();
    let steps = |fits: fn(StepWord) -> bool| -> Vec<&'static str> {
        words::STEP[..words::STEPS]
            .iter()
            .filter(|(_, word)| fits(*word))
            .map(|(word, _)| *word)
            .collect()
    };
    Choices {
        units: listed(words::UNITS),
        sides: listed(words::SIDE),
        materials: firsts(words::MATERIAL),
        takeoffs: steps(|word| matches!(word, StepWord::Takeoff(_))),
        elbows: steps(|word| matches!(word, StepWord::Elbow(_))),
        boots: firsts_of(&words::STEP[..words::STEPS], |word| {
            matches!(word, StepWord::Boot(_))
        }),
        steps: steps(|_| true),
        headings: firsts(words::HEADING),
        faces: own(4, listed(words::FACE)),
        work: own(3, listed(words::WORK)),
        reach: firsts(words::REACH),
        smoke: listed(words::SMOKE),
        places_like: listed(words::LIKE),
        airflow_by: listed(words::AIRFLOW_BY),
        coil: listed(words::COIL),
        filter: listed(words::FILTER),
        blower: listed(words::BLOWER),
        draft: listed(words::DRAFT),
        suspect_tape: listed(words::SUSPECT_TAPE),
        mask: listed(words::MASK),
        barrier: listed(words::BARRIER),
        directions: own(2, listed(words::DIRECTION)),
        readings: readings(),
        reading_fields: reading_fields(),
    }
}

/// Whether a step ends its run.
pub(crate) fn is_end(kind: &StepKind) -> bool {
    runs::ends(kind)
}

/// The first word of each meaning.
fn firsts<T: Copy + PartialEq>(words: words::Words<T>) -> Vec<&'static str> {
    firsts_of(words, |_| true)
}

fn firsts_of<T: Copy + PartialEq>(
    words: &[(&'static str, T)],
    fits: fn(T) -> bool,
) -> Vec<&'static str> {
    let mut met: Vec<T> = Vec::new();
    let mut first = Vec::new();
    for (word, meaning) in words {
        if fits(*meaning) && !met.contains(meaning) {
            met.push(*meaning);
            first.push(*word);
        }
    }
    first
}

fn readings() -> Vec<Reading> {
    READING
        .one_of
        .iter()
        .map(|key| {
            let field = READING.fields.iter().find(|field| field.key == *key);
            Reading {
                key,
                words: field.map_or("", |field| field.doc),
                example: field.and_then(|field| field.shape.example()),
                needs: READING
                    .needs
                    .iter()
                    .find(|(kind, _)| kind == key)
                    .map(|(_, needed)| *needed),
            }
        })
        .collect()
}

fn reading_fields() -> Vec<Field> {
    READING
        .fields
        .iter()
        .filter(|field| !READING.one_of.contains(&field.key))
        .map(|field| Field {
            key: field.key,
            words: field.doc,
            example: field.shape.example(),
            with: READING
                .only_with
                .iter()
                .find(|only| only.key == field.key)
                .map_or_else(Vec::new, |only| only.with.to_vec()),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_offered_word_is_read_and_none_twice() {
        let offered = choices();
        assert_eq!(offered.materials.len(), 7);
        assert_eq!(offered.boots, ["boot", "end boot", "return box"]);
        assert_eq!(offered.work, ["unsealed", "ordinary", "mastic"]);
        assert_eq!(offered.directions, ["pressurised", "depressurised"]);
        assert!(
            offered
                .readings
                .iter()
                .any(|r| r.key == "pan" && r.needs == Some("run"))
        );
        assert!(
            offered
                .reading_fields
                .iter()
                .any(|f| f.key == "id" && f.with.is_empty())
        );
    }
}
