//! What a learner hands in: a list of seams, leakiest first.

use std::collections::{HashMap, HashSet};

use super::learner_columns::{self, COLUMNS, Columns};
use crate::sketch::{nearest, quoted};
use crate::system::{SeamIdx, System};

/// A learner's list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learner {
    /// Seams named, leakiest first.
    pub ranking: Vec<SeamIdx>,
    /// Seams that would be sealed; `None` where the list does not say.
    pub seal: Option<Vec<SeamIdx>>,
    /// Minutes that the learner gives the sealing; `None` where the list does not say.
    pub minutes: Option<f64>,
    /// Seams whose `seal` is left empty where others say it: not sealed.
    pub seal_blank: usize,
}

/// Largest list that is read, bytes, and rows of it: as of other lists. A house's is about 5 kB.
const BYTES: usize = 8 * 1024 * 1024;
const ROWS: usize = 50_000;
/// Faults that are told one by one.
const TOLD: usize = 20;

/// What is wrong in a learner's list: the first faults, and how many more there are.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LearnerFaults {
    /// The first, in the order of the lines.
    pub told: Vec<LearnerFault>,
    /// How many more.
    pub more: usize,
}

/// Something wrong in a learner's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LearnerFault {
    /// Line, from 1.
    pub line: u64,
    /// What is wrong.
    pub wrong: String,
    /// What to write instead; empty where nothing is known.
    pub hint: String,
}

impl LearnerFault {
    pub(super) fn new(line: u64, wrong: String, hint: impl Into<String>) -> Self {
        LearnerFault {
            line,
            wrong,
            hint: hint.into(),
        }
    }
}

/// Reads a list: one seam a line, columns `seam`, `rank`, `seal` (yes or no), `minutes` of which all but the first may be
/// missing; with a head line in any order, `seam id`, `id` or `name` standing for `seam` too. Commas, semicolons and tabs part
/// columns; blanks, empty lines and lines with `#` do not count. What parts columns is told by the first line that has any of
/// them outside quotes. At most 8 MB and 50 000 rows.
///
/// With ranks the list is put in their order; without any it stands as written. A line whose `seal` is left empty is not
/// sealed where other lines say yes or no.
///
/// # Errors
/// What is wrong, in the order of the lines, the first twenty told and the rest counted: seams that the system does not
/// have, seams named twice, figures that are none, ranks given twice, ranks in some lines and not in others, a head line
/// without a column for seams, nothing named at all, a list too large.
pub fn read_learner(system: &System, text: &str) -> Result<Learner, LearnerFaults> {
    let text = text.trim_start_matches('\u{feff}');
    if text.len() > BYTES {
        let wrong = format!("the list is larger than {} MB", BYTES / 1024 / 1024);
        return Err(LearnerFaults::one(LearnerFault::new(1, wrong, RIGHT_FILE)));
    }
    let part = separator(text);
    let mut table = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .delimiter(part)
        .from_reader(text.as_bytes());
    let mut reader = Rows {
        system,
        ids: system
            .seams
            .iter()
            .enumerate()
            .rev()
            .map(|(at, seam)| (plain(&seam.id), at))
            .collect(),
        named: HashSet::new(),
        columns: [Some(0), Some(1), Some(2), Some(3)],
        is_begun: false,
        comma_decimals: part != b',',
        rows: Vec::new(),
        faults: LearnerFaults::default(),
    };
    for (at, record) in table.records().enumerate() {
        if at == ROWS {
            let wrong = format!("the list has more than {ROWS} rows");
            return Err(LearnerFaults::one(LearnerFault::new(1, wrong, RIGHT_FILE)));
        }
        match record {
            Ok(record) => reader.row(&record)?,
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                let wrong = "the line cannot be read as a table".to_owned();
                reader.fault(line, wrong, || {
                    "write one seam a line, quotes closed".to_owned()
                });
            }
        }
    }
    reader.learner()
}

const RIGHT_FILE: &str =
    "a list names some of the seams of one system, one a line; is this the right file?";

impl LearnerFaults {
    fn one(fault: LearnerFault) -> Self {
        LearnerFaults {
            told: vec![fault],
            more: 0,
        }
    }
}

/// A name as it is compared: capitals and runs of blanks do not count.
fn plain(id: &str) -> String {
    id.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
}

/// What parts the columns: the first of semicolon, tab, comma in the first line that has one; comments and what stands in
/// quotes do not tell.
fn separator(text: &str) -> u8 {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .find_map(|line| {
            let bare: String = line.split('"').step_by(2).collect();
            b";\t,"
                .iter()
                .copied()
                .find(|&part| bare.contains(char::from(part)))
        })
        .unwrap_or(b',')
}

struct Row {
    line: u64,
    seam: SeamIdx,
    rank: Option<f64>,
    seal: Option<bool>,
    minutes: Option<f64>,
}

struct Rows<'s> {
    system: &'s System,
    ids: HashMap<String, SeamIdx>,
    named: HashSet<SeamIdx>,
    columns: Columns,
    /// Whether a line that is not empty was met.
    is_begun: bool,
    comma_decimals: bool,
    rows: Vec<Row>,
    faults: LearnerFaults,
}

impl Rows<'_> {
    /// The hint is made only where it is told.
    fn fault(&mut self, line: u64, wrong: String, hint: impl FnOnce() -> String) {
        if self.faults.told.len() < TOLD {
            let fault = LearnerFault::new(line, wrong, hint());
            self.faults.told.push(fault);
        } else {
            self.faults.more += 1;
        }
    }

    /// # Errors
    /// A head line without a column for seams: nothing that follows can be read.
    fn row(&mut self, record: &csv::StringRecord) -> Result<(), LearnerFaults> {
        let line = record.position().map_or(1, csv::Position::line);
        if record.iter().all(str::is_empty) {
            return Ok(());
        }
        if !std::mem::replace(&mut self.is_begun, true)
            && !record
                .iter()
                .any(|cell| self.ids.contains_key(&plain(cell)))
            && let Some(columns) = learner_columns::head(record)
        {
            if columns[0].is_none() {
                let found: Vec<String> = record.iter().take(COLUMNS.len()).map(quoted).collect();
                let wrong = format!("no column is called `seam` among {}", found.join(", "));
                let hint = "call the column of seam ids `seam`, `seam id`, `id` or `name`";
                return Err(LearnerFaults::one(LearnerFault::new(line, wrong, hint)));
            }
            self.columns = columns;
            return Ok(());
        }
        let cell = |column: usize| {
            self.columns[column]
                .and_then(|at| record.get(at))
                .filter(|said| !said.is_empty())
        };
        let (said, rank, seal, minutes) = (cell(0), cell(1), cell(2), cell(3));
        let Some(said) = said else {
            let wrong = "no seam is named".to_owned();
            self.fault(line, wrong, || "write its id first".to_owned());
            return Ok(());
        };
        let rank = rank.and_then(|said| self.figure(line, COLUMNS[1], said));
        let seal = seal.and_then(|said| self.yes(line, said));
        let minutes = minutes.and_then(|said| self.figure(line, COLUMNS[3], said));
        let Some(seam) = self.seam(line, said) else {
            return Ok(());
        };
        if !self.named.insert(seam) {
            let wrong = format!("{} is named twice", quoted(said));
            self.fault(line, wrong, || "keep one of them".to_owned());
            return Ok(());
        }
        self.rows.push(Row {
            line,
            seam,
            rank,
            seal,
            minutes,
        });
        Ok(())
    }

    fn seam(&mut self, line: u64, said: &str) -> Option<SeamIdx> {
        let found = self.ids.get(&plain(said)).copied();
        if found.is_none() {
            let ids = self.system.seams.iter().map(|seam| seam.id.as_str());
            let wrong = format!("no seam is called {}", quoted(said));
            self.fault(line, wrong, || match nearest(said, ids) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`ductseam check` and `allocate` list the ids of all seams".to_owned(),
            });
        }
        found
    }

    fn figure(&mut self, line: u64, what: &str, said: &str) -> Option<f64> {
        let plain = if self.comma_decimals {
            said.replace(',', ".")
        } else {
            said.to_owned()
        };
        let found = plain
            .parse::<f64>()
            .ok()
            .filter(|figure| figure.is_finite() && (0.0..=1e6).contains(figure));
        if found.is_none() {
            let wrong = format!("{} is no figure for `{what}`", quoted(said));
            self.fault(line, wrong, || "write a number from 0 on".to_owned());
        }
        found
    }

    fn yes(&mut self, line: u64, said: &str) -> Option<bool> {
        match said.to_lowercase().as_str() {
            "yes" | "y" | "x" | "true" | "1" => Some(true),
            "no" | "n" | "-" | "false" | "0" => Some(false),
            _ => {
                let wrong = format!("{} is neither yes nor no", quoted(said));
                self.fault(line, wrong, || {
                    "write `yes` where the seam is to be sealed, else `no`".to_owned()
                });
                None
            }
        }
    }

    /// Where the unranked would come among the ranked nobody can tell.
    fn ranks_everywhere_or_nowhere(&mut self) {
        let without = self.rows.iter().filter(|row| row.rank.is_none());
        let (count, all) = (without.clone().count(), self.rows.len());
        let Some(first) = without.map(|row| row.line).next().filter(|_| count < all) else {
            return;
        };
        let has = if count == 1 { "has" } else { "have" };
        self.fault(
            first,
            format!("{count} of {all} seams {has} no rank, this one first"),
            || "give every seam a rank, or none of them".to_owned(),
        );
    }

    /// Which of two of one rank comes first nobody can tell either.
    fn each_rank_once(&mut self) {
        let mut seen: HashMap<u64, u64> = HashMap::new();
        let ranks: Vec<(f64, u64)> = self
            .rows
            .iter()
            .filter_map(|row| row.rank.map(|rank| (rank, row.line)))
            .collect();
        for (rank, line) in ranks {
            // Zero of either sign is one rank.
            match seen.entry((rank + 0.0).to_bits()) {
                std::collections::hash_map::Entry::Vacant(free) => {
                    free.insert(line);
                }
                std::collections::hash_map::Entry::Occupied(first) => {
                    let wrong = format!("rank {rank} is given in line {} already", first.get());
                    self.fault(line, wrong, || {
                        "give every seam a rank of its own, the leakiest 1".to_owned()
                    });
                }
            }
        }
    }

    fn learner(mut self) -> Result<Learner, LearnerFaults> {
        if self.rows.is_empty() && self.faults.told.is_empty() {
            let wrong = "the list names no seam".to_owned();
            self.fault(1, wrong, || {
                "write one seam id a line, the leakiest first".to_owned()
            });
        }
        // A figure that could not be read is told already.
        if self.faults.told.is_empty() {
            self.ranks_everywhere_or_nowhere();
            self.each_rank_once();
        }
        if !self.faults.told.is_empty() {
            return Err(self.faults);
        }
        // Stable: a list without ranks stays as written.
        self.rows.sort_by(|a, b| {
            let key = |row: &Row| row.rank.unwrap_or(0.0);
            key(a).total_cmp(&key(b))
        });
        let says_seal = self.rows.iter().any(|row| row.seal.is_some());
        let minutes: Vec<f64> = self.rows.iter().filter_map(|row| row.minutes).collect();
        let blank = self.rows.iter().filter(|row| row.seal.is_none());
        Ok(Learner {
            seal_blank: if says_seal { blank.count() } else { 0 },
            ranking: self.rows.iter().map(|row| row.seam).collect(),
            seal: says_seal.then(|| {
                let sealed = self.rows.iter().filter(|row| row.seal == Some(true));
                sealed.map(|row| row.seam).collect()
            }),
            minutes: (!minutes.is_empty()).then(|| minutes.iter().sum()),
        })
    }
}

#[cfg(test)]
#[path = "learner_tests.rs"]
mod tests;
