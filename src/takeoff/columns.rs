//! What the header says: which column holds what, and in which unit.

use std::collections::BTreeMap;

use super::fault::{Assumed, Fault, Found, Spot};
use super::table::Line;
use crate::quantity::{Flow, Length, ThermalResistance};
use crate::sketch::{nearest, quoted};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Column {
    Run,
    Side,
    From,
    At,
    Face,
    Size,
    Length,
    Material,
    Fittings,
    Place,
    Work,
    Reach,
    Room,
    Airflow,
    Insulation,
    Count,
    Notes,
}

/// Spellings of the columns, common practice of estimators' lists; the first of each is the one to write.
const SPELLINGS: &[(Column, &[&str])] = &[
    (
        Column::Run,
        &[
            "run", "name", "runname", "id", "runid", "duct", "branch", "tag", "mark", "line",
        ],
    ),
    (
        Column::Side,
        &["side", "system", "air", "supplyorreturn", "supplyreturn"],
    ),
    (
        Column::From,
        &[
            "from",
            "parent",
            "parentrun",
            "startsfrom",
            "startsat",
            "off",
            "takenoff",
            "fedfrom",
            "connectsto",
        ],
    ),
    (
        Column::At,
        &[
            "at",
            "distance",
            "along",
            "position",
            "atdistance",
            "distancealong",
            "station",
            "offset",
        ],
    ),
    (Column::Face, &["face", "onside", "leftright", "tapside"]),
    (
        Column::Size,
        &[
            "size",
            "ductsize",
            "section",
            "dimensions",
            "dimension",
            "diameter",
            "wxh",
        ],
    ),
    (
        Column::Length,
        &[
            "length",
            "len",
            "straight",
            "straightlength",
            "ductlength",
            "runlength",
        ],
    ),
    (
        Column::Material,
        &["material", "ductmaterial", "type", "ducttype", "kind"],
    ),
    (
        Column::Fittings,
        &[
            "fittings",
            "fitting",
            "walk",
            "steps",
            "parts",
            "fittinglist",
        ],
    ),
    (
        Column::Place,
        &["place", "location", "space", "where", "zone"],
    ),
    (
        Column::Work,
        &["work", "sealing", "seal", "sealed", "workmanship"],
    ),
    (Column::Reach, &["reach", "access", "accessibility"]),
    (Column::Room, &["room", "serves", "roomserved", "roomname"]),
    (
        Column::Airflow,
        &["airflow", "designflow", "flow", "designairflow", "cfm"],
    ),
    (
        Column::Insulation,
        &[
            "insulation",
            "ductinsulation",
            "rvalue",
            "insulationrvalue",
            "wrap",
        ],
    ),
    (
        Column::Count,
        &[
            "count", "qty", "quantity", "howmany", "noof", "times", "pcs",
        ],
    ),
    (
        Column::Notes,
        &["notes", "note", "remarks", "remark", "comment", "comments"],
    ),
];

/// The columns of one list.
#[derive(Debug, Default)]
pub(super) struct Columns {
    /// Where each stands, with its header as written and the unit in it.
    found: BTreeMap<Column, Head>,
    /// Cells of the header.
    count: usize,
}

#[derive(Debug)]
struct Head {
    index: usize,
    written: String,
    unit: Option<String>,
}

impl Columns {
    /// The cell of a row in a column; empty where the list has none.
    pub fn cell<'a>(&'a self, row: &'a Line, column: Column) -> Spot<'a> {
        let head = self.found.get(&column);
        let cell = head.and_then(|head| row.cells.get(head.index));
        Spot {
            line: row.number,
            column: self.word(column),
            cell: cell.map_or("", String::as_str),
        }
    }

    /// The header of a column as written; the usual word for it where there is none.
    pub fn word(&self, column: Column) -> &str {
        self.found
            .get(&column)
            .map_or(usual(column), |head| &head.written)
    }

    /// The unit in the header of a column.
    pub fn unit(&self, column: Column) -> Option<&str> {
        self.found.get(&column)?.unit.as_deref()
    }

    /// Whether the list has a column.
    pub fn has(&self, column: Column) -> bool {
        self.found.contains_key(&column)
    }

    /// How many cells the header has.
    pub fn count(&self) -> usize {
        self.count
    }
}

fn usual(column: Column) -> &'static str {
    SPELLINGS
        .iter()
        .find(|(c, _)| *c == column)
        .map_or("", |(_, words)| words[0])
}

/// Reads the header. What nobody knows is left out and told.
pub(super) fn columns(header: &Line, found: &mut Found, assumed: &mut Vec<Assumed>) -> Columns {
    let mut columns = Columns {
        count: header.cells.len(),
        ..Columns::default()
    };
    let mut strangers = Vec::new();
    for (index, written) in header.cells.iter().enumerate() {
        if written.is_empty() {
            continue;
        }
        let Some((column, unit)) = known(written) else {
            strangers.push(written.as_str());
            continue;
        };
        let head = Head {
            index,
            written: written.clone(),
            unit,
        };
        if let Some(first) = columns.found.get(&column) {
            let at = Spot {
                line: header.number,
                column: written,
                cell: "",
            };
            found.wrong(
                at,
                format!(
                    "{} and {} both hold the {}",
                    quoted(&first.written),
                    quoted(written),
                    usual(column)
                ),
                "keep one of them, or name the other one so that it is left out",
            );
            continue;
        }
        columns.found.insert(column, head);
    }
    let missing: Vec<Column> = [Column::Run, Column::Size]
        .into_iter()
        .filter(|&column| !columns.has(column))
        .collect();
    if missing.len() == 2 {
        let words: Vec<_> = SPELLINGS.iter().map(|(_, words)| words[0]).collect();
        found.items.push(Fault::row(
            header.number,
            format!(
                "the first row is no header: {}",
                quoted(&header.cells.join(", "))
            ),
            format!("name the columns in the first row: {}", words.join(", ")),
        ));
        return columns;
    }
    for column in missing {
        let word = usual(column);
        let near = strangers.iter().find(|s| near(s) == Some(column));
        found.items.push(Fault::row(
            header.number,
            format!("no column holds the {word} of the runs"),
            match near {
                Some(near) => format!("write `{word}` for {}", quoted(near)),
                None => format!("add a column `{word}`"),
            },
        ));
    }
    for stranger in strangers {
        let meant = match near(stranger) {
            Some(column) if !columns.has(column) => {
                format!("; if it holds the {0}, call it `{0}`", usual(column))
            }
            _ => String::new(),
        };
        assumed.push(Assumed {
            run: String::new(),
            what: format!("the column {} is left out{meant}", quoted(stranger)),
        });
    }
    columns
}

/// Whether some words are the header of a column.
pub(super) fn is_header(written: &str) -> bool {
    known(written).is_some()
}

fn near(written: &str) -> Option<Column> {
    let (head, _) = parted(written);
    let all = SPELLINGS
        .iter()
        .flat_map(|(_, words)| words.iter().copied());
    let word = nearest(&squeezed(head), all)?;
    by_word(word)
}

fn by_word(word: &str) -> Option<Column> {
    let (column, _) = SPELLINGS.iter().find(|(_, words)| words.contains(&word))?;
    Some(*column)
}

/// Letters and digits alone, in lower case.
fn squeezed(words: &str) -> String {
    words
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// The column of a header and the unit in it: `length (ft)`, `length_ft`, `Length, ft`, `Length ft`.
fn known(written: &str) -> Option<(Column, Option<String>)> {
    let whole = squeezed(written);
    if whole == "cfm" {
        return Some((Column::Airflow, Some("cfm".to_owned())));
    }
    if let Some(column) = by_word(&whole) {
        let unit = (column == Column::Insulation && whole.ends_with("rvalue")).then_some("R");
        return Some((column, unit.map(str::to_owned)));
    }
    let (head, unit) = parted(written);
    let column = by_word(&squeezed(head))?;
    let unit = unit.map(|unit| unit.trim_end_matches('.').trim());
    match unit {
        Some(unit) if is_unit(column, unit) => Some((column, Some(unit.to_owned()))),
        // Words in brackets that are no unit, as in `size (w x h)`.
        _ if written.contains(['(', '[']) => Some((column, None)),
        _ => None,
    }
}

/// A header without its unit, and the unit.
fn parted(written: &str) -> (&str, Option<&str>) {
    let written = written.trim();
    if let Some(open) = written.find(['(', '[']) {
        let inside = written[open + 1..].trim_end_matches([')', ']']);
        return (&written[..open], Some(inside.trim()));
    }
    match written.rfind(['_', ' ', ',', '-']) {
        Some(cut) => (&written[..cut], Some(written[cut + 1..].trim())),
        None => (written, None),
    }
}

fn is_unit(column: Column, unit: &str) -> bool {
    let one = format!("1 {unit}");
    match column {
        Column::At | Column::Length | Column::Size | Column::Fittings => {
            one.parse::<Length>().is_ok()
        }
        Column::Airflow => one.parse::<Flow>().is_ok(),
        Column::Insulation => {
            unit.eq_ignore_ascii_case("R") || one.parse::<ThermalResistance>().is_ok()
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_is_known_in_many_spellings() {
        for (written, column, unit) in [
            ("Run", Column::Run, None),
            (" run name ", Column::Run, None),
            ("Length (ft)", Column::Length, Some("ft")),
            ("length_ft", Column::Length, Some("ft")),
            ("LENGTH, m", Column::Length, Some("m")),
            ("Duct Size [in.]", Column::Size, Some("in")),
            ("size (W x H)", Column::Size, None),
            ("parent run", Column::From, None),
            ("design flow (L/s)", Column::Airflow, Some("L/s")),
            ("CFM", Column::Airflow, Some("cfm")),
            ("R-value", Column::Insulation, Some("R")),
            ("distance along", Column::At, None),
        ] {
            let found = known(written).unwrap_or_else(|| panic!("{written}"));
            assert_eq!(found, (column, unit.map(str::to_owned)), "{written}");
        }
        for stranger in ["colour", "length ltd", "price", ""] {
            assert_eq!(known(stranger), None, "{stranger}");
        }
    }

    #[test]
    fn no_spelling_stands_for_two_columns() {
        let mut seen = std::collections::BTreeSet::new();
        for word in SPELLINGS.iter().flat_map(|(_, words)| words.iter()) {
            assert!(seen.insert(*word), "{word}");
            assert_eq!(squeezed(word), *word);
        }
    }

    #[test]
    fn twins_strangers_and_missing_columns_are_told() {
        let read = |cells: &[&str]| {
            let (mut found, mut assumed) = (Found::default(), Vec::new());
            let cells = cells.iter().map(|&cell| cell.to_owned()).collect();
            columns(&Line { number: 1, cells }, &mut found, &mut assumed);
            let faults: Vec<_> = found.items.iter().map(|f| f.to_string()).collect();
            (faults.join("\n"), assumed)
        };
        assert!(
            read(&["run", "name", "size"])
                .0
                .contains("`run` and `name` both hold the run")
        );
        assert!(
            read(&["run", "siize"])
                .0
                .contains("write `size` for `siize`")
        );
        assert!(read(&["12", "south"]).0.contains("no header"));
        let (faults, told) = read(&["run", "size", "lenght", "price"]);
        assert_eq!(faults, "");
        assert!(told[0].what.contains("call it `length`"));
        assert_eq!(told[1].what, "the column `price` is left out");
    }
}
