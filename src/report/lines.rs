//! Plain-text tables and paragraphs within a fixed width, by kept libraries.

use comfy_table::{Cell, CellAlignment, ColumnConstraint, ContentArrangement, Width, presets};
use textwrap::core::display_width;
use textwrap::{Options, WordSplitter};

/// Widest line of every text answer, columns.
pub const WIDTH: u16 = 100;

/// Spaces before every column of a table.
const GAP: u16 = 2;

/// Widest label that the lines of its paragraph hang under.
const WIDEST_LABEL: usize = 30;

/// Stands for a heading while a table is laid out: a private character that no row consists of.
const HEADING: &str = "\u{e000}";

/// A per cent sign with a blank before it at which no line breaks.
const TIED_PERCENT: &str = "\u{a0}%";

/// What a column holds, and so how it is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Names: left, on one line, shortened in the middle.
    Names,
    /// Words: left, going on in further lines.
    Words,
    /// Numbers: right, on one line.
    Numbers,
}

/// A table with a header line and two spaces between columns, indented by two spaces.
#[derive(Debug)]
pub struct Table {
    columns: Vec<(Holds, u16)>,
    table: comfy_table::Table,
    headings: Vec<String>,
    titles: Vec<String>,
    lines: Vec<Line>,
}

/// A line of a table as it was given, whole: for pages, which have room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// Cells, one a column.
    Row(Vec<String>),
    /// Stands before the rows that follow.
    Heading(String),
    /// Stands beneath the rows so far.
    Note(String),
}

/// A table with its heading and what is said under it.
#[derive(Debug)]
pub struct Block {
    /// Heading.
    pub heading: String,
    /// Table.
    pub table: Table,
    /// How many rows are left out, as a whole line; empty where none is.
    pub more: String,
    /// Paragraphs under the table.
    pub notes: Vec<String>,
}

impl Block {
    /// Heading, table and notes, and a blank line.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = wrapped("", &self.heading);
        text.push_str(&self.table.text());
        text.push_str(&self.more);
        for note in &self.notes {
            text.push_str(&wrapped("  ", note));
        }
        text.push('\n');
        text
    }
}

impl Table {
    /// A table with columns of (title, what it holds, greatest width).
    #[must_use]
    pub fn new(columns: &[(&str, Holds, u16)]) -> Self {
        let mut table = comfy_table::Table::new();
        table
            .load_style(presets::NOTHING)
            .set_content_arrangement(ContentArrangement::Dynamic)
            .set_width(WIDTH)
            .set_header(columns.iter().map(|(title, ..)| *title));
        for (column, (_, holds, most)) in table.column_iter_mut().zip(columns) {
            column.set_padding((GAP, 0));
            column.set_constraint(match holds {
                Holds::Words => ColumnConstraint::UpperBoundary(Width::Fixed(GAP + most)),
                Holds::Names | Holds::Numbers => ColumnConstraint::ContentWidth,
            });
            column.set_cell_alignment(match holds {
                Holds::Numbers => CellAlignment::Right,
                Holds::Names | Holds::Words => CellAlignment::Left,
            });
        }
        Self {
            columns: columns
                .iter()
                .map(|(_, holds, most)| (*holds, *most))
                .collect(),
            table,
            headings: Vec::new(),
            titles: columns
                .iter()
                .map(|(title, ..)| (*title).to_owned())
                .collect(),
            lines: Vec::new(),
        }
    }

    /// Titles of the columns, and whether each holds numbers.
    pub fn titles(&self) -> impl Iterator<Item = (&str, bool)> {
        let holds = self
            .columns
            .iter()
            .map(|(holds, _)| *holds == Holds::Numbers);
        self.titles.iter().map(String::as_str).zip(holds)
    }

    /// The lines as they were given.
    #[must_use]
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// Adds a row; it has as many cells as there are columns.
    pub fn row(&mut self, cells: Vec<String>) {
        debug_assert_eq!(cells.len(), self.columns.len());
        self.lines
            .push(Line::Row(cells.iter().map(|cell| one_line(cell)).collect()));
        let cells = cells.iter().zip(&self.columns).map(|(cell, column)| {
            let cell = one_line(cell);
            Cell::new_owned(match column {
                (Holds::Words, _) => cell,
                (_, most) => shortened(&cell, usize::from(*most)),
            })
        });
        self.table.add_row(cells.collect::<Vec<_>>());
    }

    /// Adds a line over all columns that stands before the rows that follow.
    pub fn heading(&mut self, heading: &str) {
        self.lines.push(Line::Heading(one_line(heading)));
        self.table.add_row([HEADING]);
        self.headings
            .push(shortened(&one_line(heading), usize::from(WIDTH)));
    }

    /// Adds a paragraph over all columns that stands beneath the rows so far, indented.
    pub fn note(&mut self, indent: usize, paragraph: &str) {
        self.lines.push(Line::Note(one_line(paragraph)));
        for line in wrapped(&" ".repeat(indent), paragraph).lines() {
            self.table.add_row([HEADING]);
            self.headings.push(line.to_owned());
        }
    }

    /// The table.
    #[must_use]
    pub fn text(&self) -> String {
        let mut headings = self.headings.iter();
        let mut text = String::new();
        for line in self.table.lines() {
            let heading = if line.trim() == HEADING {
                headings.next()
            } else {
                None
            };
            text.push_str(heading.map_or(line.trim_end(), String::as_str));
            text.push('\n');
        }
        text
    }
}

/// Breaks a paragraph into lines of at most `WIDTH` columns (100): `first` before the first line, spaces before the others.
///
/// A `first` that is too long to hang a paragraph under becomes part of the paragraph.
#[must_use]
pub fn wrapped(first: &str, paragraph: &str) -> String {
    let label = display_width(first);
    let (paragraph, first, rest) = if label <= WIDEST_LABEL {
        (one_line(paragraph), first, " ".repeat(label))
    } else {
        let whole = one_line(&format!("{first}{paragraph}"));
        (whole, "  ", "    ".to_owned())
    };
    let options = Options::new(usize::from(WIDTH))
        .initial_indent(first)
        .subsequent_indent(&rest)
        .word_splitter(WordSplitter::NoHyphenation);
    let mut text = String::new();
    // A per cent sign stays with its figure.
    let paragraph = paragraph.replace(" %", TIED_PERCENT);
    for line in textwrap::wrap(&paragraph, options) {
        text.push_str(&line.trim_end().replace(TIED_PERCENT, " %"));
        text.push('\n');
    }
    text
}

/// A text with every run of blanks and line ends made one space.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A text cut to a width with `…` in its middle, so that both the run and the number of a seam stay readable.
fn shortened(text: &str, width: usize) -> String {
    if display_width(text) <= width {
        return text.to_owned();
    }
    let kept = width.saturating_sub(1);
    let head = within(text.chars(), kept / 2);
    let tail = within(text.chars().rev(), kept - kept / 2);
    let start: String = text.chars().take(head).collect();
    let end: String = text.chars().skip(text.chars().count() - tail).collect();
    format!("{start}…{end}")
}

/// How many characters fit into a width.
fn within(characters: impl Iterator<Item = char>, width: usize) -> usize {
    let mut used = 0;
    characters
        .take_while(|character| {
            used += display_width(character.encode_utf8(&mut [0; 4]));
            used <= width
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_keeps_both_its_ends() {
        assert_eq!(
            shortened("master bath/adjustable elbow 2", 15),
            "master …elbow 2"
        );
        assert_eq!(shortened("short", 15), "short");
        assert_eq!(shortened("風管接頭風管接頭", 8), "風…接頭");
    }

    #[test]
    fn a_paragraph_never_passes_the_width() {
        let text = wrapped("note: ", &"word ".repeat(100));
        assert!(text.lines().all(|line| line.len() <= 100), "{text}");
        assert!(
            text.lines()
                .skip(1)
                .all(|line| line.starts_with("      word")),
            "{text}"
        );
        let long = wrapped(&"x".repeat(250), &"y".repeat(250));
        assert!(long.lines().all(|line| line.len() <= 100), "{long}");
        assert_eq!(
            long.matches('x').count() + long.matches('y').count(),
            500,
            "no letter is lost"
        );
    }

    #[test]
    fn a_paragraph_breaks_at_spaces_only() {
        let text = wrapped("", &"combustion-air 0.02-0.10 ".repeat(20));
        assert!(
            text.split_whitespace()
                .all(|word| word == "combustion-air" || word == "0.02-0.10")
        );
    }

    #[test]
    fn a_per_cent_sign_stays_with_its_figure() {
        let text = wrapped("", &"5 % ".repeat(100));
        assert!(
            text.lines()
                .all(|line| line.ends_with('%') && line.starts_with('5')),
            "{text}"
        );
        assert!(!text.contains('\u{a0}'));
    }

    #[test]
    fn numbers_stand_right_and_names_left() {
        let mut table = Table::new(&[("seam", Holds::Names, 10), ("cfm", Holds::Numbers, 6)]);
        table.row(vec!["S/joint 3".into(), "16.3".into()]);
        assert_eq!(table.text(), "  seam        cfm\n  S/joint 3  16.3\n");
    }

    #[test]
    fn headings_stand_before_their_rows() {
        let mut table = Table::new(&[("id", Holds::Names, 10), ("Pa", Holds::Numbers, 6)]);
        table.heading("-- a group with a long name");
        table.row(vec!["a".into(), "1".into()]);
        table.heading("-- another");
        table.row(vec!["b".into(), "2".into()]);
        assert_eq!(
            table.text(),
            "  id  Pa\n-- a group with a long name\n  a    1\n-- another\n  b    2\n"
        );
    }

    #[test]
    fn a_note_stands_beneath_its_row_whole_and_indented() {
        let mut table = Table::new(&[("id", Holds::Names, 10), ("Pa", Holds::Numbers, 6)]);
        table.row(vec!["a".into(), "1".into()]);
        table.note(6, &"word ".repeat(30));
        table.row(vec!["b".into(), "2".into()]);
        let text = table.text();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "  a    1");
        assert!(
            lines[2].starts_with("      word") && lines[3].starts_with("      word"),
            "{text}"
        );
        assert_eq!(lines[4], "  b    2");
        assert_eq!(text.matches("word").count(), 30);
        assert!(lines.iter().all(|line| line.len() <= 100), "{text}");
    }

    #[test]
    fn a_table_of_long_texts_stays_within_the_width_and_loses_no_word() {
        let mut table = Table::new(&[
            ("seam", Holds::Names, 30),
            ("where", Holds::Words, 40),
            ("reach", Holds::Words, 40),
            ("band", Holds::Numbers, 14),
        ]);
        let place = format!("{} end", "p".repeat(60));
        table.row(vec![
            format!("{}/joint 12", "r".repeat(60)),
            place,
            "under insulation ".repeat(4),
            "9".repeat(300),
        ]);
        let text = table.text();
        for line in text.lines() {
            assert!(display_width(line) <= 100, "{text}");
            assert_eq!(line, line.trim_end());
        }
        assert!(
            text.contains("  rrr") && text.contains("joint 12"),
            "{text}"
        );
        assert_eq!(text.matches('p').count(), 60, "{text}");
        assert_eq!(text.matches("insulation").count(), 4, "{text}");
    }
}
