//! The way from a list to a sketch.

use super::cells::Cells;
use super::columns::{Column, columns, is_header};
use super::fault::{Assumed, Fault, Faults, Found};
use super::rows::{Draft, drafts};
use super::table::grid;
use super::tree::starts;
use super::write::{Mark, write};
use crate::quantity::UnitSystem;
use crate::sketch::Diagnostics;

/// What a list cannot say of itself.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// Title of the sketch; one that asks to be changed if not given.
    pub title: Option<String>,
    /// Units of answers; those in which most of the list is written if not given.
    pub units: Option<UnitSystem>,
    /// Names of places that need no description. Others are written as buffers, to be described; a name that is spelt
    /// nearly like one of these is refused.
    pub places: Vec<String>,
}

/// A sketch made from a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The sketch, with what was assumed as comments.
    pub text: String,
    /// All that was assumed or left out, in the order of the runs; about the whole list first.
    pub assumed: Vec<Assumed>,
    /// Number of runs.
    pub runs: usize,
    file: String,
    marks: Vec<Mark>,
}

impl Drawn {
    /// What is wrong with the sketch, told of the lines and columns of the list from which it came.
    pub fn faults(&self, found: &Diagnostics) -> Faults {
        let items = found.items.iter().map(|item| {
            let after = self
                .marks
                .partition_point(|mark| mark.start <= item.at.start);
            let mark = after.checked_sub(1).map(|i| &self.marks[i]);
            let mark = mark.filter(|mark| item.at.start < mark.end);
            let hint = match (&item.hint, &item.patch) {
                (Some(hint), _) => hint.clone(),
                (None, Some(patch)) => format!("write `{patch}`"),
                (None, None) => String::new(),
            };
            let what = if item.label.is_empty() {
                item.title.clone()
            } else {
                format!("{}: {}", item.title, item.label)
            };
            match mark {
                Some(mark) => Fault {
                    line: mark.line,
                    column: mark.column.clone(),
                    cell: mark.cell.clone(),
                    what,
                    hint,
                },
                None => Fault::file(what, hint),
            }
        });
        let mut faults = Faults::new(&self.file, items.collect());
        faults.more += found.more;
        faults
    }
}

/// Makes a sketch from a CSV list of runs.
///
/// The sketch is what [`crate::sketch::read`] reads; whether its runs fit each other is for [`crate::system::build`] to
/// say, see [`Drawn::faults`]. `file` is the name of the list in messages.
///
/// # Limits
/// 8 MB, 25 000 rows; cells parted by commas, semicolons (then with decimal commas too) or tabs; UTF-8.
///
/// # Errors
/// Everything that is wrong with the list at once: no list at all, columns that are missing or stand twice, and for every
/// row the cells that cannot be read, names that stand twice, parents that are not there, loops, distances beyond the end.
///
/// # Accuracy
/// Lengths and sizes come out as written to seven digits. Time and memory grow in proportion to the rows.
pub fn draw(bytes: &[u8], file: &str, settings: &Settings) -> Result<Drawn, Faults> {
    let grid = grid(bytes, file, is_header)?;
    let (mut found, mut assumed) = (Found::default(), Vec::new());
    let columns = columns(&grid.header, &mut found, &mut assumed);
    if !(columns.has(Column::Run) && columns.has(Column::Size)) {
        return Err(Faults::new(file, found.items));
    }
    let cells = Cells {
        columns: &columns,
        decimal_comma: grid.decimal_comma,
        commas: false.into(),
    };
    let places: Vec<&str> = settings.places.iter().map(String::as_str).collect();
    let drafts = drafts(&grid.rows, &cells, &places, &mut found, &mut assumed);
    let units = settings.units.unwrap_or_else(|| usual_units(&drafts));
    if settings.units.is_none() {
        let words = match units {
            UnitSystem::Ip => "ip, feet and inches",
            UnitSystem::Si => "si, metres and millimetres",
        };
        assumed.push(Assumed {
            run: String::new(),
            what: format!("answers are shown in {words}, as most of the list is written"),
        });
    }
    let starts = starts(&drafts, &cells, units, &mut found, &mut assumed);
    if !found.items.is_empty() {
        return Err(Faults::new(file, found.items));
    }
    if cells.commas.get() {
        assumed.insert(
            0,
            Assumed {
                run: String::new(),
                what: "semicolons part the cells, so commas between digits are decimal commas"
                    .to_owned(),
            },
        );
    }
    let written = write(&drafts, &starts, &cells, units, settings, &mut assumed);
    Ok(Drawn {
        text: written.text,
        assumed,
        runs: drafts.len(),
        file: file.to_owned(),
        marks: written.marks,
    })
}

/// Units in which more lengths and sizes of the list come out short.
fn usual_units(drafts: &[Draft<'_>]) -> UnitSystem {
    let metric = |words: String| words.ends_with(" m") || words.ends_with(" mm");
    let (mut si, mut all) = (0usize, 0usize);
    for draft in drafts {
        let length = draft
            .length
            .map(|l| super::text::length_words(l, UnitSystem::Ip));
        let size = draft
            .size
            .map(|s| super::text::size_words(s, UnitSystem::Ip));
        for words in [length, size].into_iter().flatten() {
            all += 1;
            si += usize::from(metric(words));
        }
    }
    if 2 * si > all {
        UnitSystem::Si
    } else {
        UnitSystem::Ip
    }
}
