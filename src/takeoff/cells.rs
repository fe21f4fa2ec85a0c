//! Reads single cells: numbers with the unit of the cell or of the header, and words of the trade.

use super::columns::{Column, Columns};
use super::fault::{Found, Spot};
use crate::catalog::Work;
use crate::quantity::{Flow, Length, Size, ThermalResistance};
use crate::sketch::parts::{self, Refusal};
use crate::sketch::{Heading, Material, Reach, Side, quoted};

/// What the cells of one list have in common.
pub(super) struct Cells<'c> {
    pub columns: &'c Columns,
    pub decimal_comma: bool,
    /// Whether a decimal comma was read.
    pub commas: std::cell::Cell<bool>,
}

impl Cells<'_> {
    /// A cell with points for decimal commas, where semicolons part the cells.
    pub fn pointed(&self, cell: &str) -> String {
        if !self.decimal_comma || !cell.contains(',') {
            return cell.to_owned();
        }
        let bytes = cell.as_bytes();
        let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
        cell.char_indices()
            .map(|(i, c)| {
                if c == ',' && i > 0 && digit(i - 1) && digit(i + 1) {
                    self.commas.set(true);
                    '.'
                } else {
                    c
                }
            })
            .collect()
    }

    /// A quantity; a bare number takes the unit of the header.
    fn quantity<T>(
        &self,
        at: Spot<'_>,
        column: Column,
        read: fn(&str) -> Result<T, Refusal>,
        example: &str,
        found: &mut Found,
    ) -> Option<T> {
        if at.cell.is_empty() {
            return None;
        }
        let cell = self.pointed(at.cell);
        let bare = cell.parse::<f64>().is_ok();
        let written = match self.columns.unit(column) {
            Some("R" | "r") if bare => format!("R-{cell}"),
            Some(unit) if bare => format!("{cell} {unit}"),
            _ => cell,
        };
        match read(&written) {
            Ok(value) => Some(value),
            Err(_) if bare && self.columns.unit(column).is_none() => {
                no_unit(at, &written, example, found)
            }
            Err(problem) => {
                found.said(at, &problem);
                None
            }
        }
    }

    /// A straight length.
    pub fn length(&self, at: Spot<'_>, found: &mut Found) -> Option<Length> {
        self.quantity(at, Column::Length, parts::length, "ft", found)
    }

    /// A distance along a run.
    pub fn along(&self, at: Spot<'_>, found: &mut Found) -> Option<Length> {
        self.quantity(at, Column::At, parts::along, "ft", found)
    }

    /// An airflow.
    pub fn airflow(&self, at: Spot<'_>, found: &mut Found) -> Option<Flow> {
        self.quantity(at, Column::Airflow, parts::airflow, "cfm", found)
    }

    /// An insulation: `R-6`, `R6`, `none`.
    pub fn insulation(&self, at: Spot<'_>, found: &mut Found) -> Option<ThermalResistance> {
        if ["none", "no", "bare", "-"]
            .iter()
            .any(|word| word.eq_ignore_ascii_case(at.cell))
        {
            return Some(ThermalResistance::new(0.0));
        }
        let bare = at.cell.parse::<f64>().is_ok();
        if bare && self.columns.unit(Column::Insulation).is_none() {
            return no_unit(at, at.cell, "", found);
        }
        self.quantity(at, Column::Insulation, parts::insulation, "", found)
    }

    /// The section of a duct.
    pub fn size(&self, at: Spot<'_>, found: &mut Found) -> Option<Size> {
        if at.cell.is_empty() {
            let hint = "write a size like `20x8 in` or `6 in`";
            found.wrong(at, "the run has no size", hint);
            return None;
        }
        let cell = size_words(&self.pointed(at.cell));
        let unit = self.columns.unit(Column::Size);
        match parts::size(&with_unit(&cell, unit)) {
            Ok(size) => Some(size),
            Err(_) if unit.is_none() && parts::size(&with_unit(&cell, Some("in"))).is_ok() => {
                no_unit(at, &cell, "in", found)
            }
            Err(problem) => {
                found.said(at, &problem);
                None
            }
        }
    }

    /// A size in a fitting; its unit may be that of the header of the fittings or of the sizes.
    pub fn size_in_fitting(&self, size: &str) -> String {
        let unit = self.columns.unit(Column::Fittings);
        with_unit(
            &size_words(size),
            unit.or_else(|| self.columns.unit(Column::Size)),
        )
    }
}

fn no_unit<T>(at: Spot<'_>, cell: &str, unit: &str, found: &mut Found) -> Option<T> {
    let like = if unit.is_empty() {
        format!("R-{cell}")
    } else {
        format!("{cell} {unit}")
    };
    let head = if unit.is_empty() { "R-value" } else { unit };
    found.wrong(
        at,
        format!(
            "{} has no unit, neither here nor in the header",
            quoted(cell)
        ),
        format!(
            "write it like `{like}`, or name the column `{} ({head})`",
            at.column
        ),
    );
    None
}

/// `6ø`, `Ø6`, `6 by 8`, `14 x 8 rectangular` in the words that a sketch reads.
fn size_words(cell: &str) -> String {
    let round = cell.contains(['ø', 'Ø', '⌀', '∅']);
    let plain = cell.replace(['ø', 'Ø', '⌀', '∅'], " ");
    let plain = plain.replace(" by ", "x").replace(" BY ", "x");
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    if round && !plain.to_ascii_lowercase().ends_with("round") {
        format!("{plain} round")
    } else {
        plain
    }
}

/// Words that may follow the numbers of a size.
const SHAPES: [&str; 8] = [
    "flat oval",
    "oval",
    "rectangular",
    "rect",
    "diameter",
    "dia.",
    "dia",
    "round",
];

/// Puts a unit behind the numbers of a size that has none.
fn with_unit(size: &str, unit: Option<&str>) -> String {
    let lower = size.to_ascii_lowercase();
    let shape = SHAPES.iter().find(|shape| lower.ends_with(**shape));
    let (numbers, shape) = size.split_at(size.len() - shape.map_or(0, |shape| shape.len()));
    let numbers = numbers.trim();
    match unit {
        Some(unit) if numbers.ends_with(|c: char| c.is_ascii_digit()) && !numbers.is_empty() => {
            format!("{numbers} {unit} {shape}").trim().to_owned()
        }
        _ => size.to_owned(),
    }
}

/// Other words of the trade, and the words of a sketch that stand for them; an empty one says nothing.
type OtherWords = &'static [(&'static str, &'static str)];

const MATERIALS: OtherWords = &[
    ("sheet metal", ""),
    ("metal", ""),
    ("steel", ""),
    ("galvanised", ""),
    ("galvanized", ""),
    ("galv", ""),
    ("sheet metal rectangular", "rectangular"),
    ("rect", "rectangular"),
    ("square", "rectangular"),
    ("round metal", "round"),
    ("sheet metal round", "round"),
    ("snap pipe", "round"),
    ("snap lock pipe", "round"),
    ("hard pipe", "round"),
    ("metal pipe", "round"),
    ("spiral pipe", "spiral"),
    ("insulated flex", "flex"),
    ("flexible", "flex"),
    ("fibre board", "duct board"),
    ("fiber board", "duct board"),
    ("glass fibre board", "duct board"),
    ("board", "duct board"),
    ("joist", "panned joist"),
    ("panned", "panned joist"),
    ("panned bay", "panned joist"),
    ("building cavity", "cavity"),
    ("wall cavity", "cavity"),
    ("stud cavity", "cavity"),
    ("chase", "cavity"),
];

const WORKS: OtherWords = &[
    ("not sealed", "unsealed"),
    ("none", "unsealed"),
    ("no", "unsealed"),
    ("bare", "unsealed"),
    ("tape", "taped"),
    ("mastic sealed", "mastic"),
    ("usual", ""),
    ("unknown", ""),
];

const REACHES: OtherWords = &[
    ("exposed", "open"),
    ("accessible", "open"),
    ("buried", "under insulation"),
    ("insulated", "under insulation"),
    ("concealed", "behind finish"),
    ("hidden", "behind finish"),
    ("finished", "behind finish"),
    ("in wall", "behind finish"),
    ("no", "none"),
    ("inaccessible", "none"),
];

const SIDES: OtherWords = &[
    ("s", "supply"),
    ("sa", "supply"),
    ("supply air", "supply"),
    ("r", "return"),
    ("ra", "return"),
    ("ret", "return"),
    ("return air", "return"),
];

fn word<T>(
    at: Spot<'_>,
    others: OtherWords,
    read: fn(&str) -> Result<T, Refusal>,
    found: &mut Found,
) -> Option<T> {
    if at.cell.is_empty() {
        return None;
    }
    let plain = at.cell.to_lowercase().replace(['_', '-'], " ");
    let ours = others.iter().find(|(other, _)| *other == plain);
    let written = ours.map_or(plain.as_str(), |(_, ours)| ours);
    if written.is_empty() {
        return None;
    }
    match read(written) {
        Ok(value) => Some(value),
        Err(problem) => {
            let near = crate::sketch::nearest(&plain, others.iter().map(|(other, _)| *other));
            match (problem.patch.is_some(), near) {
                (false, Some(near)) => {
                    let what = format!("{} is not known here", quoted(at.cell));
                    found.wrong(at, what, format!("did you mean `{near}`?"));
                }
                _ => found.said(at, &problem),
            }
            None
        }
    }
}

/// A material; `sheet metal` leaves it to the size, as an empty cell does.
pub(super) fn material(at: Spot<'_>, found: &mut Found) -> Option<Material> {
    word(at, MATERIALS, parts::material, found)
}

/// Workmanship.
pub(super) fn work(at: Spot<'_>, found: &mut Found) -> Option<Work> {
    word(at, WORKS, parts::work, found)
}

/// Reach.
pub(super) fn reach(at: Spot<'_>, found: &mut Found) -> Option<Reach> {
    word(at, REACHES, parts::reach, found)
}

/// The side of the unit.
pub(super) fn side(at: Spot<'_>, found: &mut Found) -> Option<Side> {
    word(at, SIDES, parts::side, found)
}

/// The face on which a takeoff sits.
pub(super) fn face(at: Spot<'_>, found: &mut Found) -> Option<Heading> {
    word(at, &[], parts::face, found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_goes_behind_the_numbers() {
        for (size, want) in [
            ("20x8", "20x8 in"),
            ("6", "6 in"),
            ("6 round", "6 in round"),
            ("14x6 oval", "14x6 in oval"),
            ("150 mm", "150 mm"),
            ("6\"", "6\""),
            ("round", "round"),
        ] {
            assert_eq!(with_unit(size, Some("in")), want);
            assert_eq!(with_unit(size, None), size);
        }
        assert_eq!(size_words("Ø6"), "6 round");
        assert_eq!(size_words("6\"ø"), "6\" round");
        assert_eq!(size_words("20 by 8 in"), "20x8 in");
    }

    #[test]
    fn every_other_word_stands_for_a_word_of_the_sketch() {
        fn all<T>(others: OtherWords, read: fn(&str) -> Result<T, Refusal>) {
            for (other, ours) in others {
                assert!(ours.is_empty() || read(ours).is_ok(), "{other}: {ours}");
                assert!(
                    read(other).is_err(),
                    "{other} is a word of the sketch itself"
                );
            }
        }
        all(MATERIALS, parts::material);
        all(WORKS, parts::work);
        all(
            &REACHES
                .iter()
                .copied()
                .filter(|r| r.0 != "no")
                .collect::<Vec<_>>()
                .leak()[..],
            parts::reach,
        );
        all(SIDES, parts::side);
    }
}
