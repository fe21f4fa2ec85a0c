//! From the bytes of a file to rows of cells with their lines.

use super::fault::{Fault, Faults};

/// Bytes of a list.
pub(super) const BYTES: usize = 8 * 1024 * 1024;
/// Rows of a list: one a run, and a sketch holds no more of those.
pub(super) const ROWS: usize = crate::sketch::MOST_RUNS;
/// Columns of a list.
const COLUMNS: usize = 200;
/// Characters of a cell.
const CELL: usize = 2_000;

/// Rows of cells. Cells are trimmed; blank rows are left out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    pub header: Line,
    pub rows: Vec<Line>,
    /// Whether a comma between digits is a decimal comma: where semicolons part the cells.
    pub decimal_comma: bool,
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// Line of the file on which it starts, from 1.
    pub number: usize,
    pub cells: Vec<String>,
}

/// Cuts a file into rows.
pub(super) fn grid(bytes: &[u8], file: &str, is_header: fn(&str) -> bool) -> Result<Grid, Faults> {
    let one = |fault| Faults::new(file, vec![fault]);
    let text = decode(bytes).map_err(one)?;
    let (text, skipped, named) = separator_line(text);
    let delimiter = named.unwrap_or_else(|| delimiter(text, is_header));
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut lines = Vec::new();
    let mut faults = Vec::new();
    let mut place = Place::new(text.as_bytes(), skipped);
    let mut record = csv::StringRecord::new();
    loop {
        match reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            // The text is UTF-8 and lines may differ in length: nothing else is refused by the parser.
            Err(error) => {
                faults.push(Fault::file(
                    format!("the rows cannot be told apart: {error}"),
                    "save the list again as CSV (UTF-8)",
                ));
                break;
            }
        }
        let from = record.position().map_or(0, |at| at.byte());
        let number = place.line_of(usize::try_from(from).unwrap_or(usize::MAX));
        let cells: Vec<String> = record.iter().map(plain).collect();
        if cells.iter().all(String::is_empty) {
            continue;
        }
        check(&cells, number, &mut faults);
        if lines.len() > ROWS {
            faults.push(Fault::row(
                number,
                format!("the list has more than {ROWS} rows"),
                "split it: one list for each system",
            ));
            break;
        }
        lines.push(Line { number, cells });
    }
    if !faults.is_empty() {
        return Err(Faults::new(file, faults));
    }
    let mut lines = lines.into_iter();
    let Some(header) = lines.next() else {
        return Err(one(empty()));
    };
    Ok(Grid {
        header,
        rows: lines.collect(),
        decimal_comma: delimiter == b';',
    })
}

/// Blanks of every kind, also those that do not break and those in a cell of two lines, are one blank.
fn plain(cell: &str) -> String {
    cell.split(|c: char| c.is_whitespace() || c == '\u{feff}')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

fn check(cells: &[String], number: usize, faults: &mut Vec<Fault>) {
    if cells.len() > COLUMNS {
        faults.push(Fault::row(
            number,
            format!("the row has more than {COLUMNS} cells"),
            "is this the list of runs? It has one row a run, and about ten columns",
        ));
    }
    if let Some(cell) = cells.iter().find(|cell| cell.len() > CELL) {
        faults.push(Fault {
            line: number,
            column: String::new(),
            cell: cell.chars().take(60).collect(),
            what: format!("a cell holds more than {CELL} characters"),
            hint: "look for a quotation mark that is opened and never closed".to_owned(),
        });
    }
    if let Some(cell) = cells.iter().find(|cell| cell.contains(char::is_control)) {
        faults.push(Fault {
            line: number,
            column: String::new(),
            cell: cell.clone(),
            what: "a cell holds characters that cannot be seen".to_owned(),
            hint: "type the cell anew".to_owned(),
        });
    }
}

fn empty() -> Fault {
    Fault::file(
        "the list is empty",
        "write a header such as `run,from,at,size,length,material,fittings`, and one row a run",
    )
}

/// The text of a file, without its byte order mark.
fn decode(bytes: &[u8]) -> Result<&str, Fault> {
    let as_csv = "save the list of runs as CSV (UTF-8) from the spreadsheet";
    let starts = |head: &[u8]| bytes.starts_with(head);
    if starts(b"%PDF") {
        return Err(Fault::file("this is a PDF, not a CSV list", as_csv));
    }
    if starts(b"PK\x03\x04") || starts(b"\xd0\xcf\x11\xe0") {
        let what = "this is a spreadsheet or an archive, not a CSV list";
        return Err(Fault::file(what, as_csv));
    }
    if starts(b"\xff\xfe") || starts(b"\xfe\xff") {
        return Err(Fault::file(
            "the list is written in UTF-16",
            "save it as CSV (UTF-8)",
        ));
    }
    if bytes.len() > BYTES {
        return Err(Fault::file(
            format!("the list is larger than {} MB", BYTES / 1024 / 1024),
            "a house is about 2 kB; is this the right file?",
        ));
    }
    if bytes.contains(&0) {
        return Err(Fault::file("this is not a text file", as_csv));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let head = &bytes[..error.valid_up_to()];
        let line = 1 + head.iter().filter(|&&b| b == b'\n').count();
        Fault::row(
            line,
            "the line holds bytes that are not UTF-8",
            "save the list as CSV (UTF-8)",
        )
    })?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text))
}

/// Takes a first line like `sep=;` off, which some spreadsheets write. Gives the rest, how many lines went, and the sign.
fn separator_line(text: &str) -> (&str, usize, Option<u8>) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    let said = first.trim().to_ascii_lowercase();
    match said.strip_prefix("sep=").map(str::as_bytes) {
        Some([sign @ (b',' | b';')]) => (rest, 1, Some(*sign)),
        Some([]) if first.contains('\t') => (rest, 1, Some(b'\t')),
        _ => (text, 0, None),
    }
}

/// The sign that parts the header into most known columns; if none does, the one that stands there most often.
fn delimiter(text: &str, is_header: fn(&str) -> bool) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty());
    let first: String = first.unwrap_or_default().chars().take(CELL).collect();
    let score = |sign: u8| {
        let parts = first.split(sign as char);
        let known = parts
            .filter(|part| is_header(part.trim().trim_matches('"')))
            .count();
        (known, first.matches(sign as char).count())
    };
    // The last of equals wins: a comma where nothing is known.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(|&sign| score(sign))
        .unwrap_or(b',')
}

/// Counts lines forward, so that the whole file is gone through once.
struct Place<'t> {
    bytes: &'t [u8],
    at: usize,
    line: usize,
}

impl<'t> Place<'t> {
    fn new(bytes: &'t [u8], skipped: usize) -> Place<'t> {
        Place {
            bytes,
            at: 0,
            line: 1 + skipped,
        }
    }

    /// The line of the first character, no line end, at or after a byte.
    fn line_of(&mut self, byte: usize) -> usize {
        while self.at < self.bytes.len() {
            let here = self.bytes[self.at];
            let ends = matches!(here, b'\n' | b'\r');
            if self.at >= byte && !ends {
                break;
            }
            let pair = here == b'\r' && self.bytes.get(self.at + 1) == Some(&b'\n');
            if ends && !pair {
                self.line += 1;
            }
            self.at += 1;
        }
        self.line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(cell: &str) -> bool {
        ["run", "size", "length"].contains(&cell)
    }

    fn read(text: &str) -> Grid {
        grid(text.as_bytes(), "runs.csv", known).unwrap_or_else(|faults| panic!("{faults}"))
    }

    #[test]
    fn lines_are_those_of_the_file_whatever_ends_them() {
        let plain = "\n\nrun,size\n\na,\"6\nin\"\n\n\nb,5 in\n";
        for text in [
            plain.to_owned(),
            plain.replace('\n', "\r\n"),
            plain.replace('\n', "\r"),
            format!("\u{feff}{plain}"),
        ] {
            let grid = read(&text);
            assert_eq!(grid.header.number, 3, "{text:?}");
            let numbers: Vec<_> = grid.rows.iter().map(|row| row.number).collect();
            assert_eq!(numbers, [5, 9], "{text:?}");
            assert_eq!(grid.rows[0].cells, ["a", "6 in"]);
        }
    }

    #[test]
    fn the_sign_between_cells_is_found() {
        for (text, comma) in [
            ("run,size\na,6 in", false),
            ("run;size\na;6,5 in", true),
            ("run\tsize\na\t6 in", false),
            ("sep=;\nrun;size\na;6 in", true),
            ("size;length, total;run\na;6 in;b", true),
        ] {
            let grid = read(text);
            assert_eq!(grid.decimal_comma, comma, "{text}");
            assert!(grid.header.cells.contains(&"run".to_owned()), "{text}");
        }
        assert_eq!(read("sep=;\nrun;size\na;6 in").rows[0].number, 3);
    }

    #[test]
    fn what_is_no_list_is_refused_in_words() {
        let refused = |bytes: &[u8]| grid(bytes, "x", known).unwrap_err().items[0].what.clone();
        assert!(refused(b"%PDF-1.4 \xff").contains("PDF"));
        assert!(refused(b"PK\x03\x04rest").contains("spreadsheet"));
        assert!(refused(b"\xff\xfea\0").contains("UTF-16"));
        assert!(refused(b"run,\0size").contains("not a text file"));
        assert!(refused(b"").contains("empty"));
        assert!(refused(b" \n\n,,\n").contains("empty"));
        assert!(refused(&vec![b'a'; BYTES + 1]).contains("larger than 8 MB"));
        let bad = grid(b"run,size\na,\xff\n", "x", known).unwrap_err();
        assert_eq!(bad.items[0].line, 2);
    }
}
