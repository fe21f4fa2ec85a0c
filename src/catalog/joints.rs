//! Reading the rows of joint types.

use super::error::CatalogError;
use super::read::{Row, Table, plain_number, table};
use super::types::{Basis, JointType, State, Work, shared_variance};
use super::units::{CFM, FOOT, L_S};
use crate::math::{exp, ln, square};
use crate::quantity::clip;

/// The columns of a file of joint types, in the order of the built-in file.
///
/// A mean is the arithmetic mean flow at 25 Pa in L/s per metre or each; a cell may instead carry its unit, such as
/// `0.05 cfm/ft`, `24 cfm each`, `0.4 L/s/m`.
pub const JOINT_COLUMNS: &[&str] = &[
    "id",
    "name",
    "group",
    "basis",
    "mean_unsealed_l_s",
    "mean_ordinary_l_s",
    "mean_mastic_l_s",
    "gsd_unsealed",
    "gsd_ordinary",
    "gsd_mastic",
    "n",
    "n_mastic",
    "field_made",
    "gross_chance",
    "thick_divisor",
    "source_unsealed",
    "sure_unsealed",
    "source_ordinary",
    "sure_ordinary",
    "source_mastic",
    "sure_mastic",
    "note",
];

/// Smallest and largest mean flow at 25 Pa that a row may state, L/s: a pinhole, and a duct of 0.25 m² standing open.
const MEAN_RANGE: (f64, f64) = (1e-7, 1000.0);

/// Reads all rows; every error of the file is added to `errors`. Rows of a user's file are marked `mine`.
pub(super) fn read_joints(
    text: &str,
    file: &str,
    mine: bool,
    errors: &mut Vec<CatalogError>,
) -> Vec<JointType> {
    let Some(table) = table(text, file, JOINT_COLUMNS, errors) else {
        return Vec::new();
    };
    let mut first_lines = std::collections::BTreeMap::new();
    table
        .rows
        .iter()
        .filter_map(|row| read_joint(&table, row, mine, &mut first_lines, errors))
        .collect()
}

fn read_joint(
    table: &Table,
    record: &(u64, csv::StringRecord),
    mine: bool,
    first_lines: &mut std::collections::BTreeMap<String, u64>,
    errors: &mut Vec<CatalogError>,
) -> Option<JointType> {
    let before = errors.len();
    let mut row = Row::new(table, record, errors);
    let id = row.id("id");
    if let Some(id) = &id
        && let Some(first) = first_lines.insert(id.clone(), row.line)
    {
        let wrong = format!("the id `{id}` stands already on line {first}");
        row.fail(
            "id",
            wrong,
            "give each row its own id, or drop one of the two".into(),
        );
    }
    let name = row.text("name", "write the name of the joint in the trade");
    let group = row.text("group", "write a group, such as `joint` or `fitting`");
    let basis = basis(&mut row);
    let n = row.number("n", 0.5, 1.0);
    let n_mastic = row.number("n_mastic", 0.5, 1.0);
    let field_made = row.yes_no("field_made");
    let gross_chance = row.number("gross_chance", 0.0, 0.5);
    let thick_divisor = match row.cell("thick_divisor") {
        "" => Some(1.0),
        _ => row.number("thick_divisor", 1.0, 1000.0),
    };
    let note = row.free_text("note");
    let states = Work::ALL.map(|work| {
        let exponent = if work == Work::Mastic { n_mastic } else { n };
        state(&mut row, work, basis, field_made, exponent)
    });
    worse_leaks_more(&mut row, &states);
    if errors.len() > before {
        return None;
    }
    let [u, o, m] = states;
    Some(JointType {
        id: id?,
        name: name?,
        group: group?,
        basis: basis?,
        states: [u?, o?, m?],
        field_made: field_made?,
        gross_chance: gross_chance?,
        thick_divisor: thick_divisor?,
        note: note?,
        mine,
    })
}

fn basis(row: &mut Row) -> Option<Basis> {
    let cell = row.cell("basis");
    let found = [Basis::PerMetre, Basis::Each]
        .into_iter()
        .find(|b| b.word() == cell);
    if found.is_none() {
        let wrong = format!("expected `m` or `each`, found `{}`", clip(cell));
        row.fail(
            "basis",
            wrong,
            "write `m` for flow per metre of seam, `each` for flow per piece".into(),
        );
    }
    found
}

fn state(
    row: &mut Row,
    work: Work,
    basis: Option<Basis>,
    field_made: Option<bool>,
    n: Option<f64>,
) -> Option<State> {
    let word = work.word();
    let mean = mean(row, &format!("mean_{word}_l_s"), basis);
    let gsd_column = format!("gsd_{word}");
    let gsd = row.number(&gsd_column, 1.01, 10.0);
    if let (Some(g), Some(true)) = (gsd, field_made)
        && square(ln(g)) <= shared_variance()
    {
        let least = exp(shared_variance().sqrt());
        row.fail(
            &gsd_column,
            format!("a spread of {g} leaves nothing for the joint itself: workmanship and habit alone give {least:.3}"),
            format!("write a spread above {least:.3}, or `no` under field_made for a factory-made part"),
        );
    }
    let source = row.source(&format!("source_{word}"), &format!("sure_{word}"));
    Some(State {
        mean_q25: mean?,
        gsd: gsd?,
        n: n?,
        source: source?,
    })
}

/// The mean flow of a cell in m³/s per metre or each. A bare number is L/s, as the header says.
fn mean(row: &mut Row, column: &str, basis: Option<Basis>) -> Option<f64> {
    let cell = row.cell(column);
    let (number, unit) = split_unit(cell);
    let basis = basis?;
    let factor = match unit_factor(unit, basis) {
        Ok(f) => f,
        Err(hint) => {
            row.fail(
                column,
                format!("`{}` is not a flow in the unit of this row", clip(cell)),
                hint,
            );
            return None;
        }
    };
    let value = plain_number(number).map(|v| v * factor / L_S);
    row.within(
        column,
        cell,
        value,
        MEAN_RANGE.0,
        MEAN_RANGE.1,
        " L/s per metre or each",
    )
    .map(|v| v * L_S)
}

/// Cuts `0.05 cfm/ft` into `0.05` and `cfm/ft`; an `e` belongs to the number only before a digit or a sign.
fn split_unit(cell: &str) -> (&str, &str) {
    let bytes = cell.as_bytes();
    let in_number = |i: usize| match bytes[i] {
        b'0'..=b'9' | b'.' | b'+' | b'-' => true,
        b'e' | b'E' => {
            i > 0
                && bytes
                    .get(i + 1)
                    .is_some_and(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-'))
        }
        _ => false,
    };
    // Bytes of a longer character are never in a number, so the cut stands on a character's edge.
    let cut = (0..bytes.len())
        .find(|&i| !in_number(i))
        .unwrap_or(bytes.len());
    (cell[..cut].trim(), cell[cut..].trim())
}

fn unit_factor(unit: &str, basis: Basis) -> Result<f64, String> {
    let unit = unit.replace(" per ", "/").replace(' ', "").to_lowercase();
    let unit = unit
        .replace("l/s", "l_s")
        .replace("m3/s", "m3_s")
        .replace("m³/s", "m3_s");
    let (flow, by) = match unit.strip_suffix("each").map(|u| u.trim_end_matches('/')) {
        Some(flow) => (flow, "each"),
        None => unit.split_once('/').unwrap_or((unit.as_str(), "")),
    };
    let flow_factor = match flow {
        "" | "l_s" => L_S,
        "m3_s" => 1.0,
        "cfm" => CFM,
        _ => return Err("write it in L/s, cfm or m3/s".into()),
    };
    match (basis, by) {
        (Basis::PerMetre, "m") | (Basis::Each, "each" | "") => Ok(flow_factor),
        (Basis::PerMetre, "") if flow != "cfm" => Ok(flow_factor),
        (Basis::PerMetre, "ft") => Ok(flow_factor / FOOT),
        (Basis::PerMetre, _) => {
            Err("this row counts by the metre: write it like `0.4 L/s/m` or `0.26 cfm/ft`".into())
        }
        (Basis::Each, _) => {
            Err("this row counts by the piece: write it like `11 L/s` or `24 cfm each`".into())
        }
    }
}

fn worse_leaks_more(row: &mut Row, states: &[Option<State>; 3]) {
    for (worse, better) in [(0, 1), (1, 2)] {
        if let (Some(a), Some(b)) = (&states[worse], &states[better])
            && b.mean_q25 > a.mean_q25
        {
            let (a, b) = (Work::ALL[worse].word(), Work::ALL[better].word());
            row.fail(
                &format!("mean_{b}_l_s"),
                format!("`{b}` leaks more than `{a}` in this row"),
                "better work cannot leak more: are two cells swapped? where nothing better is known write the same figure".into(),
            );
        }
    }
}

#[cfg(test)]
#[path = "joints_tests.rs"]
mod tests;
