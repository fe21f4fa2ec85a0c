//! From rows of cells to runs that are not joined yet.

use std::collections::BTreeMap;

use super::cells::{self, Cells};
use super::columns::Column;
use super::fault::{Assumed, Fault, Found, Spot};
use super::fittings::{Part, fittings};
use super::table::Line;
use crate::catalog::Work;
use crate::quantity::{Flow, Length, Size, ThermalResistance};
use crate::sketch::{Heading, Material, Reach, Side, StepKind, parts, quoted};

/// A run as its row has it.
#[derive(Debug)]
pub(super) struct Draft<'g> {
    pub row: &'g Line,
    pub name: String,
    pub side: Option<Side>,
    pub face: Option<Heading>,
    pub size: Option<Size>,
    pub length: Option<Length>,
    pub material: Option<Material>,
    pub parts: Vec<Part>,
    pub place: String,
    pub work: Option<Work>,
    pub reach: Option<Reach>,
    pub room: String,
    pub airflow: Option<Flow>,
    pub insulation: Option<ThermalResistance>,
    pub notes: String,
}

impl Draft<'_> {
    /// Whether the fittings are a whole walk, with lengths between them.
    pub fn is_walk(&self) -> bool {
        self.parts
            .iter()
            .any(|part| matches!(part, Part::Step(StepKind::Straight { .. }, _)))
    }

    /// All straight lengths, m.
    pub fn length_m(&self) -> f64 {
        if !self.is_walk() {
            return self.length.map_or(0.0, Length::si);
        }
        let lengths = self.parts.iter().map(|part| match part {
            Part::Step(StepKind::Straight { length, .. }, _) => length.si(),
            _ => 0.0,
        });
        lengths.sum()
    }

    /// What it is made of at its start.
    pub fn material(&self) -> Material {
        self.material.unwrap_or(match self.size {
            Some(Size::Round(_)) => Material::Round,
            _ => Material::Rectangular,
        })
    }
}

/// Names of seams and places at the unit, which no run may carry.
const RESERVED: [&str; 6] = [
    "unit",
    "supply",
    "return",
    "supply plenum",
    "return plenum",
    "blower panel",
];
/// How far the sum of a walk may be off the length of the same row. Engineering estimate.
const SAME_LENGTH: f64 = 0.01;

/// Reads the rows. Rows that have no name are refused and left out.
pub(super) fn drafts<'g>(
    rows: &'g [Line],
    cells: &Cells<'_>,
    places: &[&str],
    found: &mut Found,
    assumed: &mut Vec<Assumed>,
) -> Vec<Draft<'g>> {
    let rows = without_totals(rows, cells, assumed);
    if rows.is_empty() {
        found.items.push(Fault::file(
            "the list has a header and no runs",
            "write one row a run below the header",
        ));
    }
    let mut names: BTreeMap<String, usize> = BTreeMap::new();
    let mut drafts = Vec::new();
    for row in rows {
        if let Some(cell) = row
            .cells
            .iter()
            .skip(cells.columns.count())
            .find(|c| !c.is_empty())
        {
            let at = Spot {
                line: row.number,
                column: "",
                cell,
            };
            found.wrong(
                at,
                format!(
                    "the row has more cells than the header, from {} on",
                    quoted(cell)
                ),
                "put a cell that holds commas in quotation marks: `\"tab collar, 2 elbows\"`",
            );
            continue;
        }
        let Some(name) = name(row, cells, &mut names, found) else {
            // What else is wrong with the row is told too.
            draft(row, String::new(), cells, places, found);
            continue;
        };
        drafts.push(draft(row, name, cells, places, found));
    }
    drafts
}

/// Takes rows of sums off the bottom.
fn without_totals<'g>(
    rows: &'g [Line],
    cells: &Cells<'_>,
    assumed: &mut Vec<Assumed>,
) -> &'g [Line] {
    let mut rows = rows;
    while let Some((last, rest)) = rows.split_last() {
        let cell = |column| cells.columns.cell(last, column).cell;
        let bare = [Column::Size, Column::From, Column::Fittings]
            .iter()
            .all(|&column| cell(column).is_empty());
        let said = last.cells.iter().any(|cell| {
            let word = cell.trim_end_matches(':').to_lowercase();
            [
                "total",
                "totals",
                "sum",
                "grand total",
                "subtotal",
                "sub total",
            ]
            .contains(&word.as_str())
                || word.starts_with("total ")
        });
        let sum_alone = cell(Column::Run).is_empty() && !cell(Column::Length).is_empty();
        if !(bare && (said || sum_alone)) {
            break;
        }
        let words: Vec<_> = last
            .cells
            .iter()
            .filter(|c| !c.is_empty())
            .cloned()
            .collect();
        assumed.push(Assumed {
            run: String::new(),
            what: format!(
                "the last row, {}, is a total and is left out",
                quoted(&words.join(" "))
            ),
        });
        rows = rest;
    }
    rows
}

fn name(
    row: &Line,
    cells: &Cells<'_>,
    names: &mut BTreeMap<String, usize>,
    found: &mut Found,
) -> Option<String> {
    let at = cells.columns.cell(row, Column::Run);
    if at.cell.is_empty() {
        found.wrong(
            at,
            "the run has no name",
            "give every run a short name of its own",
        );
        return None;
    }
    let name = match parts::name(at.cell, "the name of a run") {
        Ok(name) => name,
        Err(problem) => {
            found.said(at, &problem);
            return None;
        }
    };
    let lower = name.to_lowercase();
    if RESERVED.contains(&lower.as_str()) {
        found.wrong(
            at,
            format!(
                "a run cannot be called {}: this name stands for a part of the unit",
                quoted(&name)
            ),
            format!("add a word, for instance `{name} trunk`"),
        );
        return None;
    }
    if lower.contains(" at ") {
        found.wrong(
            at,
            format!(
                "the name {} holds ` at `, behind which a distance is expected",
                quoted(&name)
            ),
            "write it without `at`",
        );
        return None;
    }
    if let Some(first) = names.get(&lower) {
        found.wrong(
            at,
            format!(
                "two runs are called {}; the first one is on line {first}",
                quoted(&name)
            ),
            "give each its own name, capitals aside",
        );
        return None;
    }
    names.insert(lower, row.number);
    Some(name)
}

fn draft<'g>(
    row: &'g Line,
    name: String,
    cells: &Cells<'_>,
    places: &[&str],
    found: &mut Found,
) -> Draft<'g> {
    let at = |column| cells.columns.cell(row, column);
    let material = cells::material(at(Column::Material), found);
    let mut draft = Draft {
        row,
        name,
        side: cells::side(at(Column::Side), found),
        face: cells::face(at(Column::Face), found),
        size: cells.size(at(Column::Size), found),
        length: cells.length(at(Column::Length), found),
        material,
        parts: fittings(at(Column::Fittings), material, cells, found),
        place: place(at(Column::Place), places, found),
        work: cells::work(at(Column::Work), found),
        reach: cells::reach(at(Column::Reach), found),
        room: at(Column::Room).cell.to_owned(),
        airflow: cells.airflow(at(Column::Airflow), found),
        insulation: cells.insulation(at(Column::Insulation), found),
        notes: at(Column::Notes).cell.to_owned(),
    };
    if draft.room.chars().count() > parts::NAME {
        let hint = "put the rest in a column of notes";
        found.wrong(
            at(Column::Room),
            format!("the room is longer than {} characters", parts::NAME),
            hint,
        );
        draft.room.clear();
    }
    check_length(&draft, at(Column::Length), found);
    check_count(at(Column::Count), found);
    draft
}

/// A row is one run.
fn check_count(at: Spot<'_>, found: &mut Found) {
    if !at.cell.is_empty() && at.cell.parse() != Ok(1.0) {
        found.wrong(
            at,
            format!("the row stands for {} runs", quoted(at.cell)),
            "write every run in a row of its own, each with its own name and place: seams are told apart by them",
        );
    }
}

fn check_length(draft: &Draft<'_>, at: Spot<'_>, found: &mut Found) {
    match (draft.is_walk(), draft.length) {
        (true, Some(said)) => {
            let sum = draft.length_m();
            if (sum - said.si()).abs() > SAME_LENGTH * sum.max(said.si()) {
                let system = crate::quantity::UnitSystem::Ip;
                found.wrong(
                    at,
                    format!(
                        "the length is {}, but the lengths among the fittings add up to {}",
                        said.show(system),
                        Length::new(sum).show(system)
                    ),
                    "correct one of them, or leave the length out",
                );
            }
        }
        (false, None) if at.cell.is_empty() => found.wrong(
            at,
            "the run has no length",
            "write its straight length like `24 ft`, or lengths among its fittings: `12 ft, elbow, 12 ft`",
        ),
        _ => {}
    }
}

/// A place by name; one that is spelt nearly like a known one is refused.
fn place(at: Spot<'_>, known: &[&str], found: &mut Found) -> String {
    let lower = at.cell.to_lowercase();
    let cell = match lower.strip_prefix("in ") {
        Some(_) => at.cell[3..].trim(),
        None => at.cell,
    };
    if cell.is_empty() {
        return String::new();
    }
    let name = match parts::name(cell, "the name of a place") {
        Ok(name) => name.to_lowercase().replace('_', " "),
        Err(problem) => {
            found.said(at, &problem);
            return String::new();
        }
    };
    if known.contains(&name.as_str()) || found.is_full() {
        return name;
    }
    let near = crate::sketch::nearest(&name, known.iter().copied());
    if let Some(near) = near.filter(|near| !name.starts_with(*near)) {
        found.wrong(
            at,
            format!("no place is called {}", quoted(cell)),
            format!("did you mean `{near}`? A place of your own needs a name less like it"),
        );
    }
    name
}
