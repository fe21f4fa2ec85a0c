//! Joint types that may take the place of others when ducts are designed.

use super::error::CatalogError;
use super::tables::rows;
use super::types::{JointType, Source};

/// A joint type and another that may take its place, metre for metre or piece for piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// Id of the joint type that goes.
    pub from: String,
    /// Id of the one that comes.
    pub to: String,
    /// What is done, in trade words.
    pub words: String,
    /// Why the one may stand for the other.
    pub source: Source,
}

const COLUMNS: &[&str] = &["from", "to", "words", "source", "sure"];

/// Reads the table; both joint types must be known and counted alike.
pub(super) fn read_alternatives(
    text: &str,
    file: &str,
    joints: &[JointType],
    errors: &mut Vec<CatalogError>,
) -> Vec<Alternative> {
    rows(text, file, COLUMNS, errors, |row| {
        let (from, to) = (row.id("from")?, row.id("to")?);
        let basis = |id: &str| joints.iter().find(|j| j.id == id).map(|j| j.basis);
        if basis(&from).is_none() || basis(&from) != basis(&to) {
            row.fail(
                "to",
                format!("`{from}` and `{to}` are not two joint types that are counted alike"),
                "name two ids of joints.csv, both by the metre or both by the piece".to_owned(),
            );
            return None;
        }
        let (words, source) = (
            row.text("words", "say what is done"),
            row.source("source", "sure"),
        );
        Some(Alternative {
            from,
            to,
            words: words?,
            source: source?,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::super::Catalog;
    use super::*;

    #[test]
    fn every_alternative_of_the_catalogue_leaks_less_unsealed() {
        let catalog = Catalog::builtin();
        assert!(!catalog.alternatives().is_empty());
        for row in catalog.alternatives() {
            let mean = |id: &str| catalog.joint(id).expect("read").states[0].mean_q25;
            assert!(mean(&row.to) < mean(&row.from), "{}", row.from);
        }
    }

    #[test]
    fn types_that_are_not_counted_alike_are_refused() {
        let mut errors = Vec::new();
        let text = "from,to,words,source,sure\ntakeoff-tab-collar,cabinet,x,y,estimate\n";
        let rows = read_alternatives(text, "a.csv", Catalog::builtin().joints(), &mut errors);
        assert!(rows.is_empty());
        assert!(errors[0].wrong.contains("counted alike"), "{errors:?}");
    }
}
