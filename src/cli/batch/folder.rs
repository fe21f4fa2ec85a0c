//! All tables into a folder, so that a run that breaks off at any moment loses no record and doubles none.
//!
//! Rows are appended; then everything is made safe on disk and one line is added to the journal: which records are done, and
//! how long each file is. What stands behind those lengths when a run begins is from a run that was broken off, and is cut
//! away.

use std::collections::{BTreeMap, HashMap};
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, BufReader, ErrorKind, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};
use serde_json::json;

use super::run::{Done, Mark, Outcome, Sink};
use crate::batch::learn::Houses;
use crate::batch::{HouseEvidence, RowFormat, Selection};
use crate::cli::Refused;
use crate::cli::files::talk;
use crate::disk::{plain, sync_folder};
use crate::hex::hex;

/// Name of the journal.
pub const JOURNAL: &str = "journal.ndjson";
/// Name of the file of records that could not be answered.
pub const FAULTS: &str = "faults.ndjson";
/// Name of the file of what each system says of its crew's habits.
pub const EVIDENCE: &str = "evidence.ndjson";
/// Names of what is learned at the end.
pub const HABITS: &str = "habits.csv";
pub const LEARNED: &str = "learned.csv";

const FORMAT: &str = "ductseam/batch/1";
/// Rows are made safe at least this often.
const SAFE_EVERY: Duration = Duration::from_secs(1);

/// A folder of answers.
pub struct Folder {
    path: PathBuf,
    journal: File,
    /// In the order of the tables, each with the formats asked for.
    tables: Vec<(Selection, RowFormat, Out)>,
    faults: Out,
    evidence: Out,
    done: HashMap<Mark, Mark>,
    /// Done, but not yet in the journal.
    fresh: Vec<(Mark, Mark)>,
    safe: Instant,
    /// Records that were answered by an earlier run and say something else now.
    pub changed: u64,
}

/// A file that grows.
struct Out {
    name: String,
    file: File,
    length: u64,
    waiting: Vec<u8>,
}

#[derive(Serialize, Deserialize)]
struct Head {
    format: String,
    settings: String,
}

#[derive(Serialize, Deserialize)]
struct Entry {
    /// Key and content of each record, in hexadecimal.
    done: Vec<(String, String)>,
    lengths: BTreeMap<String, u64>,
}

impl Folder {
    /// Opens a folder for a run with these settings (in words), and goes on from where an earlier run came to.
    pub fn open(
        path: &Path,
        tables: Vec<(Selection, RowFormat)>,
        settings: &str,
        anew: bool,
    ) -> Result<Folder, Refused> {
        if path.is_file() {
            return Err(Refused(format!(
                "error: `{}` is a file; `-o` names a folder, which takes all tables\n",
                path.display()
            )));
        }
        fs::create_dir_all(path).map_err(|error| broken(path, &error))?;
        let at = path.join(JOURNAL);
        let mut journal = OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(&at)
            .map_err(|error| broken(&at, &error))?;
        match journal.try_lock() {
            Ok(()) => {}
            Err(fs::TryLockError::WouldBlock) => {
                return Err(Refused(format!(
                    "error: another run is writing into `{}`\nhint: wait for it, or name another folder\n",
                    path.display()
                )));
            }
            // A file system without locks: then it is up to the person.
            Err(fs::TryLockError::Error(_)) => {}
        }
        if anew {
            journal.set_len(0).map_err(|error| broken(&at, &error))?;
        }
        let (head, done, lengths) = read_journal(&journal, &at)?;
        match head {
            Some(head) if head.format != FORMAT => {
                return Err(Refused(format!(
                    "error: `{}` is not a journal that this version of the program wrote\nhint: name another folder, or begin anew with `--anew`\n",
                    at.display()
                )));
            }
            Some(head) if head.settings != settings => {
                return Err(Refused(format!(
                    "error: `{}` holds answers of a run with other settings\n  then: {}\n  now:  {settings}\nhint: give the same settings, name another folder, or begin anew with `--anew`\n",
                    path.display(),
                    head.settings
                )));
            }
            Some(_) => {}
            None => {
                refuse_strange_files(path, &tables, anew)?;
                let head = Head {
                    format: FORMAT.to_owned(),
                    settings: settings.to_owned(),
                };
                write_line(&mut journal, &json!(head).to_string())
                    .and_then(|()| sync_folder(&at))
                    .map_err(|error| broken(&at, &error))?;
            }
        }
        let open = |name: String| Out::open(path, name, &lengths);
        let mut outs = Vec::new();
        for (selection, format) in tables {
            let mut out = open(table_name(&selection, format))?;
            if out.length == 0 && format == RowFormat::Csv {
                out.waiting.extend(selection.header().into_bytes());
            }
            outs.push((selection, format, out));
        }
        Ok(Folder {
            faults: open(FAULTS.to_owned())?,
            evidence: open(EVIDENCE.to_owned())?,
            path: path.to_owned(),
            journal,
            tables: outs,
            done,
            fresh: Vec::new(),
            safe: Instant::now(),
            changed: 0,
        })
    }

    /// Makes everything safe that has been taken.
    pub fn end(&mut self) -> Result<(), Refused> {
        self.make_safe()
    }

    /// The path of a file in the folder.
    pub fn file(&self, name: &str) -> PathBuf {
        self.path.join(name)
    }

    fn make_safe(&mut self) -> Result<(), Refused> {
        let mut outs = self.tables.iter().map(|(_, _, out)| out);
        if self.fresh.is_empty() && outs.all(|out| out.waiting.is_empty()) {
            return Ok(());
        }
        let mut lengths = BTreeMap::new();
        let outs = self
            .tables
            .iter_mut()
            .map(|(_, _, out)| out)
            .chain([&mut self.faults, &mut self.evidence]);
        for out in outs {
            out.flush().map_err(|error| {
                Refused(format!(
                    "error: `{}` cannot be written: {}\nhint: what has been answered is kept; mend this and give the same command again, and it goes on\n",
                    self.path.join(&out.name).display(),
                    plain(&error)
                ))
            })?;
            lengths.insert(out.name.clone(), out.length);
        }
        let entry = Entry {
            done: self
                .fresh
                .iter()
                .map(|(key, content)| (hex(key), hex(content)))
                .collect(),
            lengths,
        };
        write_line(&mut self.journal, &json!(entry).to_string())
            .map_err(|error| broken(&self.path.join(JOURNAL), &error))?;
        self.fresh.clear();
        self.safe = Instant::now();
        Ok(())
    }
}

impl Sink for Folder {
    fn has(&mut self, key: &Mark, content: &Mark, place: &str) -> bool {
        match self.done.get(key) {
            None => false,
            Some(before) => {
                if before != content {
                    self.changed += 1;
                    talk(&format!(
                        "changed since it was answered, its rows are left as they are: {place}\n"
                    ));
                }
                true
            }
        }
    }

    fn take(&mut self, done: Vec<Done>) -> Result<bool, Refused> {
        for done in done {
            match &done.outcome {
                Outcome::Answered(answered) => {
                    for (selection, format, out) in &mut self.tables {
                        for row in answered.rows(selection.table()) {
                            out.waiting
                                .extend(selection.line(row, *format).into_bytes());
                        }
                    }
                    if let Some(why) = &answered.refused {
                        self.faults.add(
                            &json!({"place": done.place, "system": answered.id, "fault": why}),
                        );
                    }
                    if let Some(evidence) = &answered.evidence {
                        self.evidence.add(&json!(evidence));
                    }
                }
                Outcome::NoRecord(fault) => {
                    self.faults.add(
                        &json!({"place": done.place, "system": fault.id, "fault": fault.text}),
                    );
                }
            }
            self.fresh.push((done.key, done.content));
        }
        if self.safe.elapsed() >= SAFE_EVERY {
            self.make_safe()?;
        }
        Ok(true)
    }
}

impl Out {
    fn open(folder: &Path, name: String, lengths: &BTreeMap<String, u64>) -> Result<Out, Refused> {
        let path = folder.join(&name);
        let length = lengths.get(&name).copied().unwrap_or(0);
        let opened = || -> io::Result<File> {
            let mut file = OpenOptions::new()
                .read(true)
                .write(true)
                .create(true)
                .truncate(false)
                .open(&path)?;
            if file.metadata()?.len() < length {
                return Err(io::Error::new(
                    ErrorKind::InvalidData,
                    "it is shorter than the journal says: it was changed after the run; begin anew with `--anew`",
                ));
            }
            file.set_len(length)?;
            file.seek(SeekFrom::Start(length))?;
            Ok(file)
        };
        let file = opened().map_err(|error| broken(&path, &error))?;
        Ok(Out {
            name,
            file,
            length,
            waiting: Vec::new(),
        })
    }

    fn add(&mut self, value: &serde_json::Value) {
        self.waiting.extend(value.to_string().into_bytes());
        self.waiting.push(b'\n');
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        self.file.write_all(&self.waiting)?;
        self.file.sync_data()?;
        self.length += self.waiting.len() as u64;
        self.waiting.clear();
        Ok(())
    }
}

fn table_name(selection: &Selection, format: RowFormat) -> String {
    format!("{}.{}", selection.table().word(), format.word())
}

/// Without a journal, files of these names are somebody else's.
fn refuse_strange_files(
    path: &Path,
    tables: &[(Selection, RowFormat)],
    anew: bool,
) -> Result<(), Refused> {
    let ours = tables
        .iter()
        .map(|(selection, format)| table_name(selection, *format))
        .chain([FAULTS, EVIDENCE, HABITS, LEARNED].map(str::to_owned));
    match ours.map(|name| path.join(name)).find(|file| file.exists()) {
        Some(file) if !anew => Err(Refused(format!(
            "error: `{}` exists already and is not known to be of such a run\nhint: name another folder, or let it be replaced with `--anew`\n",
            file.display()
        ))),
        _ => Ok(()),
    }
}

type Journal = (Option<Head>, HashMap<Mark, Mark>, BTreeMap<String, u64>);

/// Reads a journal up to its last whole line.
fn read_journal(file: &File, at: &Path) -> Result<Journal, Refused> {
    let strange = || {
        Refused(format!(
            "error: `{}` is not a journal of this command\nhint: name another folder, or begin anew with `--anew`\n",
            at.display()
        ))
    };
    let mut reader = BufReader::new(file);
    let (mut head, mut done, mut lengths) = (None, HashMap::new(), BTreeMap::new());
    let mut whole = 0;
    let mut line = Vec::new();
    loop {
        line.clear();
        let read = reader
            .read_until(b'\n', &mut line)
            .map_err(|error| broken(at, &error))?;
        if read == 0 || line.last() != Some(&b'\n') {
            break;
        }
        if head.is_none() {
            head = Some(serde_json::from_slice::<Head>(&line).map_err(|_| strange())?);
        } else {
            let entry: Entry = serde_json::from_slice(&line).map_err(|_| strange())?;
            for (key, content) in &entry.done {
                let both = unhex(key).zip(unhex(content)).ok_or_else(strange)?;
                done.insert(both.0, both.1);
            }
            lengths = entry.lengths;
        }
        whole += read as u64;
    }
    // What was not written whole is no line.
    file.set_len(whole).map_err(|error| broken(at, &error))?;
    Ok((head, done, lengths))
}

fn write_line(file: &mut File, line: &str) -> io::Result<()> {
    file.write_all(format!("{line}\n").as_bytes())?;
    file.sync_data()
}

fn broken(path: &Path, error: &io::Error) -> Refused {
    Refused(format!(
        "error: `{}` cannot be written: {}\n",
        path.display(),
        plain(error)
    ))
}

fn unhex(text: &str) -> Option<Mark> {
    let mut mark = [0; 16];
    if text.len() != 32 || !text.is_ascii() {
        return None;
    }
    for (at, byte) in mark.iter_mut().enumerate() {
        *byte = u8::from_str_radix(&text[2 * at..2 * at + 2], 16).ok()?;
    }
    Some(mark)
}

/// What systems say of habits, as a file of the folder.
pub struct EvidenceFile(pub PathBuf);

impl Houses for EvidenceFile {
    fn pass(&mut self, each: &mut dyn FnMut(Vec<HouseEvidence>)) -> io::Result<()> {
        let mut some = Vec::new();
        for line in BufReader::new(File::open(&self.0)?).lines() {
            some.push(serde_json::from_str(&line?)?);
            if some.len() == 256 {
                each(std::mem::take(&mut some));
            }
        }
        if !some.is_empty() {
            each(some);
        }
        Ok(())
    }
}
