//! Ways of sealing, and which joint type each can serve.

use super::error::CatalogError;
use super::read::{Row, nearest, once};
use super::tables::rows;
use super::types::{JointType, Source};
use crate::math::{exp, ln, square};

/// One way of sealing, SI.
///
/// What remains of a whole joint is `missed + (1 − missed) · remains`.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodRow {
    /// Stable name, such as `mastic-mesh`.
    pub id: String,
    /// What is done, in trade words.
    pub words: String,
    /// Works from inside the ducts, between plugs, without reaching any seam.
    pub from_inside: bool,
    /// Widest gap that it closes, m.
    pub gap_to_m: f64,
    /// Only this far from the air handler along the ducts and beyond, m; 0 anywhere.
    pub beyond_m: f64,
    /// Part of a treated length's leakage that usually remains (median).
    pub remains: f64,
    /// Its geometric standard deviation from seam to seam.
    pub remains_own_gsd: f64,
    /// Its geometric standard deviation from job to job, shared by all seams so sealed.
    pub remains_shared_gsd: f64,
    /// Part of a joint that is usually missed (mean).
    pub missed: f64,
    /// Its geometric standard deviation from job to job.
    pub missed_shared_gsd: f64,
    /// Minutes for each seam, whatever its length.
    pub minutes_each: f64,
    /// Minutes for each metre of joint besides.
    pub minutes_per_m: f64,
    /// Minutes to set it up once on a job.
    pub minutes_once: f64,
    /// Whether its minutes hold already what baring the joint takes.
    pub bares: bool,
    /// Material.
    pub material: String,
    /// What the material is counted in: `L`, `m` or `each`.
    pub unit: String,
    /// Material for each seam, in that unit.
    pub material_each: f64,
    /// Material for each metre of joint besides.
    pub material_per_m: f64,
    /// Wait before a test, h.
    pub cure_h: f64,
    /// Where its figures come from.
    pub source: Source,
}

impl MethodRow {
    /// Whether a job uses up any of its material that can be counted.
    #[must_use]
    pub fn counts_material(&self) -> bool {
        self.material_each > 0.0 || self.material_per_m > 0.0
    }

    /// Arithmetic mean of what remains of a whole joint, the missed part included, 0 to 1.
    ///
    /// # Equation
    /// ```text
    /// missed + (1 − missed) · remains · exp((ln² own + ln² shared)/2)
    /// ```
    #[must_use]
    pub fn mean_left(&self) -> f64 {
        let variance = square(ln(self.remains_own_gsd)) + square(ln(self.remains_shared_gsd));
        self.missed + (1.0 - self.missed) * (self.remains * exp(0.5 * variance)).min(1.0)
    }
}

/// Which methods serve a joint type, and what is fastened first.
#[derive(Debug, Clone, PartialEq)]
pub struct ServeRow {
    /// Id of the joint type, or `any-GROUP` for types of a group that have no row of their own, or `any`.
    pub id: String,
    /// Ids of methods, best suited first; empty where nobody can seal it.
    pub methods: Vec<String>,
    /// Metres of joint for each unit that the joint type is counted by; `None`: as counted, and once round the piece's
    /// section for a type that is counted by the piece.
    pub metres: Option<f64>,
    /// Whether it is sealed from the room, with the register off, whatever covers the ducts.
    pub from_room: bool,
    /// What is fastened first; empty where nothing is.
    pub fasten: String,
    /// Minutes for fastening.
    pub fasten_minutes: f64,
    /// What must stay free or safe; empty where there is nothing to say.
    pub caution: String,
    /// Where it comes from.
    pub source: Source,
}

const METHOD: &[&str] = &[
    "id",
    "words",
    "from_inside",
    "gap_to_mm",
    "beyond_m",
    "remains",
    "remains_own_gsd",
    "remains_shared_gsd",
    "missed",
    "missed_shared_gsd",
    "minutes_each",
    "minutes_per_m",
    "minutes_once",
    "bares",
    "material",
    "unit",
    "material_each",
    "material_per_m",
    "cure_h",
    "source",
    "sure",
];
const SERVE: &[&str] = &[
    "id",
    "methods",
    "metres",
    "from_room",
    "fasten",
    "fasten_minutes",
    "caution",
    "source",
    "sure",
];

/// What material may be counted in.
pub(super) const UNITS: [&str; 3] = ["L", "m", "each"];

/// Least and largest figure of every column of numbers: wide of anything done on ducts. Engineering estimates.
const BOUNDS: &[(&str, f64, f64)] = &[
    ("gap_to_mm", 0.1, 1000.0),
    ("beyond_m", 0.0, 100.0),
    ("remains", 0.001, 0.99),
    ("remains_own_gsd", 1.0, 10.0),
    ("remains_shared_gsd", 1.0, 10.0),
    ("missed", 0.0, 0.9),
    ("missed_shared_gsd", 1.0, 10.0),
    ("minutes_each", 0.0, 600.0),
    ("minutes_per_m", 0.0, 600.0),
    ("minutes_once", 0.0, 6000.0),
    ("material_each", 0.0, 100.0),
    ("material_per_m", 0.0, 100.0),
    ("cure_h", 0.0, 1000.0),
];

/// The bounds of a column.
fn bounds(column: &str) -> (f64, f64) {
    let row = BOUNDS.iter().find(|row| row.0 == column);
    row.map_or((0.0, f64::MAX), |row| (row.1, row.2))
}

impl MethodRow {
    /// The first figure out of its bounds: its column, the figure in the column's unit, least and largest.
    pub(super) fn out_of_bounds(&self) -> Option<(&'static str, f64, f64, f64)> {
        let figures = [
            self.gap_to_m * 1e3,
            self.beyond_m,
            self.remains,
            self.remains_own_gsd,
            self.remains_shared_gsd,
            self.missed,
            self.missed_shared_gsd,
            self.minutes_each,
            self.minutes_per_m,
            self.minutes_once,
            self.material_each,
            self.material_per_m,
            self.cure_h,
        ];
        BOUNDS
            .iter()
            .zip(figures)
            .find(|&(&(_, low, high), figure)| !(low..=high).contains(&figure))
            .map(|(&(column, low, high), figure)| (column, figure, low, high))
    }
}

/// Reads the table of methods.
pub(super) fn read_methods(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> Vec<MethodRow> {
    let number = |row: &mut Row, column: &str| {
        let (low, high) = bounds(column);
        row.number(column, low, high)
    };
    let rows = rows(text, file, METHOD, errors, |row| {
        let (id, words) = (row.id("id"), row.text("words", "say what is done"));
        let (from_inside, bares) = (row.yes_no("from_inside"), row.yes_no("bares"));
        let gap_to_mm = number(row, "gap_to_mm");
        let beyond_m = number(row, "beyond_m");
        let remains = number(row, "remains");
        let missed = number(row, "missed");
        let remains_own_gsd = number(row, "remains_own_gsd");
        let remains_shared_gsd = number(row, "remains_shared_gsd");
        let missed_shared_gsd = number(row, "missed_shared_gsd");
        let minutes_each = number(row, "minutes_each");
        let minutes_per_m = number(row, "minutes_per_m");
        let minutes_once = number(row, "minutes_once");
        let material = row.text("material", "name the material");
        let unit = unit(row);
        let material_each = number(row, "material_each");
        let material_per_m = number(row, "material_per_m");
        let cure_h = number(row, "cure_h");
        let source = row.source("source", "sure");
        Some(MethodRow {
            id: id?,
            words: words?,
            from_inside: from_inside?,
            gap_to_m: gap_to_mm? * 1e-3,
            beyond_m: beyond_m?,
            remains: remains?,
            remains_own_gsd: remains_own_gsd?,
            remains_shared_gsd: remains_shared_gsd?,
            missed: missed?,
            missed_shared_gsd: missed_shared_gsd?,
            minutes_each: minutes_each?,
            minutes_per_m: minutes_per_m?,
            minutes_once: minutes_once?,
            bares: bares?,
            material: material?,
            unit: unit?,
            material_each: material_each?,
            material_per_m: material_per_m?,
            cure_h: cure_h?,
            source: source?,
        })
    });
    once(rows.iter().map(|row| row.id.as_str()), file, errors);
    rows
}

fn unit(row: &mut Row) -> Option<String> {
    let unit = row.text("unit", "write what the material is counted in")?;
    if UNITS.contains(&unit.as_str()) {
        return Some(unit);
    }
    row.fail(
        "unit",
        format!("material is not counted in `{unit}`"),
        format!("write one of: {}", UNITS.join(", ")),
    );
    None
}

/// Reads the table of what serves which joint type; `methods` are those there are.
pub(super) fn read_serves(
    text: &str,
    file: &str,
    methods: &[MethodRow],
    errors: &mut Vec<CatalogError>,
) -> Vec<ServeRow> {
    let rows = rows(text, file, SERVE, errors, |row| {
        let id = row.id("id");
        let of = ids(row, methods);
        let metres = match row.cell("metres") {
            "" => Some(None),
            _ => row.number("metres", 0.001, 100.0).map(Some),
        };
        let from_room = row.yes_no("from_room");
        let (fasten, caution) = (row.free_text("fasten"), row.free_text("caution"));
        let fasten_minutes = row.number("fasten_minutes", 0.0, 600.0);
        let source = row.source("source", "sure");
        Some(ServeRow {
            id: id?,
            methods: of?,
            metres: metres?,
            from_room: from_room?,
            fasten: fasten?,
            fasten_minutes: fasten_minutes?,
            caution: caution?,
            source: source?,
        })
    });
    once(rows.iter().map(|row| row.id.as_str()), file, errors);
    rows
}

/// The ids of a cell, each of a method that there is, none twice.
fn ids(row: &mut Row, methods: &[MethodRow]) -> Option<Vec<String>> {
    let mut found: Vec<String> = Vec::new();
    for id in row.cell("methods").split_whitespace() {
        let wrong = if !methods.iter().any(|method| method.id == id) {
            format!("no method is called `{id}`")
        } else if found.iter().any(|known| known == id) {
            format!("`{id}` stands twice")
        } else {
            found.push(id.to_owned());
            continue;
        };
        let hint = match nearest(id, methods.iter().map(|method| method.id.as_str())) {
            Some(near) if near != id => format!("did you mean `{near}`?"),
            _ => "write ids of methods.csv, best first, separated by blanks".to_owned(),
        };
        row.fail("methods", wrong, hint);
        return None;
    }
    Some(found)
}

/// The row of a joint type: its own, else its group's, else the row `any`.
pub(super) fn served<'c>(rows: &'c [ServeRow], joint: &JointType) -> Option<&'c ServeRow> {
    let group = format!("any-{}", joint.group.trim().to_lowercase());
    [joint.id.as_str(), group.as_str(), "any"]
        .into_iter()
        .find_map(|id| rows.iter().find(|row| row.id == id))
}

#[cfg(test)]
#[path = "methods_tests.rs"]
mod tests;
