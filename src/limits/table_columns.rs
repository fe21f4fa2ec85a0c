//! Columns of a measured series: what their headers name, and their units.

use super::table::Faults;
use crate::quantity::{Flow, Fraction, Pressure};
use crate::sketch::nearest;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    Pressure,
    Flow,
    FlowError,
    PressureError,
    Baseline,
    Id,
}

/// Names of columns, longer ones before those they begin with.
const NAMES: [(&str, Holds); 21] = [
    ("pressure error", Holds::PressureError),
    ("pressure uncertainty", Holds::PressureError),
    ("flow error", Holds::FlowError),
    ("flow uncertainty", Holds::FlowError),
    ("baseline pressure", Holds::Baseline),
    ("baseline", Holds::Baseline),
    ("duct pressure", Holds::Pressure),
    ("test pressure", Holds::Pressure),
    ("pressure difference", Holds::Pressure),
    ("pressure", Holds::Pressure),
    ("delta p", Holds::Pressure),
    ("dp", Holds::Pressure),
    ("fan flow", Holds::Flow),
    ("leakage", Holds::Flow),
    ("flow", Holds::Flow),
    ("reading id", Holds::Id),
    ("reading", Holds::Id),
    ("point", Holds::Id),
    ("name", Holds::Id),
    ("id", Holds::Id),
    ("q", Holds::Flow),
];

/// A column that was found.
pub(super) struct Column {
    pub holds: Holds,
    pub index: usize,
    /// The header as written, for messages.
    pub written: String,
    /// Unit in the header; empty where it stands in the cells.
    pub unit: String,
}

/// The columns of a header, and those that say nothing of a series.
pub(super) fn columns(
    header: &csv::StringRecord,
    line: u64,
    faults: &mut Faults<'_>,
) -> (Vec<Column>, Vec<String>) {
    let mut columns: Vec<Column> = Vec::new();
    let mut passed_over = Vec::new();
    for (index, written) in header.iter().enumerate() {
        if written.is_empty() {
            continue;
        }
        let Some((holds, unit)) = named(written) else {
            let plain = written.to_lowercase().replace('_', " ");
            let plain = plain
                .split(['(', '[', ','])
                .next()
                .unwrap_or_default()
                .trim();
            match nearest(
                plain,
                NAMES
                    .iter()
                    .filter(|(name, _)| name.len() > 3)
                    .map(|(name, _)| *name),
            ) {
                Some(near) => faults.note(
                    line,
                    written,
                    format!("no column is called `{written}`"),
                    format!("did you mean `{near}`?"),
                ),
                None => passed_over.push(written.to_owned()),
            }
            continue;
        };
        if columns.iter().any(|column| column.holds == holds) {
            faults.note(
                line,
                written,
                "this column stands twice",
                "keep one of the two",
            );
            continue;
        }
        if !unit.is_empty() && !fits(holds, &unit) {
            faults.note(
                line,
                written,
                format!("`{unit}` is no unit of this column"),
                "write the unit in brackets, as in `pressure (Pa)` or `flow (cfm)`",
            );
        }
        columns.push(Column {
            holds,
            index,
            written: written.to_owned(),
            unit,
        });
    }
    for (holds, name) in [
        (Holds::Pressure, "pressure (Pa)"),
        (Holds::Flow, "flow (cfm)"),
    ] {
        if !columns.iter().any(|column| column.holds == holds) {
            faults.note(
                line,
                "header",
                format!(
                    "no column holds the {}",
                    name.split(' ').next().unwrap_or(name)
                ),
                format!("add a column `{name}`"),
            );
        }
    }
    (columns, passed_over)
}

/// What a header names, and its unit.
fn named(written: &str) -> Option<(Holds, String)> {
    let plain = written.replace('_', " ");
    let lower = plain.to_lowercase();
    NAMES.iter().find_map(|(name, holds)| {
        let rest = lower.strip_prefix(name)?;
        if rest.starts_with(|c: char| c.is_alphanumeric()) {
            return None;
        }
        // Lowering may change the length of letters that no name holds.
        let unit = plain.get(name.len()..)?;
        let unit = unit.trim_matches(|c: char| c.is_whitespace() || "()[],:/".contains(c));
        let unit = unit.strip_prefix("in ").unwrap_or(unit);
        Some((*holds, unit.to_owned()))
    })
}

fn fits(holds: Holds, unit: &str) -> bool {
    let one = format!("1 {unit}");
    match holds {
        Holds::Pressure | Holds::Baseline => one.parse::<Pressure>().is_ok(),
        Holds::Flow => one.parse::<Flow>().is_ok(),
        Holds::FlowError => one.parse::<Flow>().is_ok() || one.parse::<Fraction>().is_ok(),
        Holds::PressureError => one.parse::<Pressure>().is_ok() || one.parse::<Fraction>().is_ok(),
        Holds::Id => true,
    }
}
