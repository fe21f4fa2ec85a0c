//! The journal: every text that the page asked to save, on disk before the answer, so that nothing drawn is lost.
//!
//! One JSON object a line: `when_ms`, `base` (SHA-256 of the file on which the text stood, none where there was no file),
//! `text`. `{"settled": true}` follows a text that came into the file. A line that does not read, such as the torn last one
//! after a power cut, is left out.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::disk;
use crate::hex::hex;

/// Past this the journal is written anew with its newest entries. Engineering estimate: about 300 saves of a large house.
const LARGEST_BYTES: u64 = 8 * 1024 * 1024;
/// What is kept when it is written anew; the newest entry is kept whatever its size.
const KEPT_BYTES: usize = 2 * 1024 * 1024;
/// Past this a journal is not ours and is not read.
const READ_AT_MOST: u64 = 256 * 1024 * 1024;

/// A text that was to be saved.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// When, milliseconds since 1970.
    pub when_ms: u64,
    /// Digest of the file on which the text stood.
    pub base: Option<String>,
    /// The text.
    pub text: String,
}

/// One line.
#[derive(Debug, Serialize, Deserialize)]
#[serde(untagged)]
enum Line {
    Kept(Entry),
    /// The text before it came into the file.
    Settled {
        settled: bool,
    },
}

/// The journal beside one sketch.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    last: Option<Entry>,
    is_settled: bool,
}

impl Journal {
    /// Opens the journal at `path` and finds its last whole entry; nothing is made yet.
    ///
    /// # Errors
    ///
    /// It is there and cannot be read.
    pub fn open(path: PathBuf) -> io::Result<Journal> {
        let (mut last, mut is_settled) = (None, false);
        for line in lines(&path)? {
            match line {
                Line::Kept(entry) => (last, is_settled) = (Some(entry), false),
                Line::Settled { settled } => is_settled = settled,
            }
        }
        Ok(Journal {
            path,
            last,
            is_settled,
        })
    }

    /// The newest entry.
    pub fn last(&self) -> Option<&Entry> {
        self.last.as_ref()
    }

    /// Whether the newest entry is known to have come into the file.
    pub fn is_settled(&self) -> bool {
        self.is_settled
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Adds an entry; it is on disk when this returns.
    ///
    /// # Errors
    ///
    /// It cannot be written: then the save must not be answered as done.
    pub fn append(&mut self, entry: Entry) -> io::Result<()> {
        let found = plain_file_len(&self.path)?;
        let is_kept = |last: &Entry| last.base == entry.base && last.text == entry.text;
        if found.is_some() && !self.is_settled && self.last.as_ref().is_some_and(is_kept) {
            // The same once more, such as a save that is tried again.
            return Ok(());
        }
        if found.is_some_and(|bytes| bytes > LARGEST_BYTES) {
            self.shorten()?;
        }
        let is_new = found.is_none();
        let mut file = private().open(&self.path)?;
        let mut line = Vec::new();
        if is_torn(&mut file)? {
            line.push(b'\n');
        }
        line.extend(line_of(&entry)?);
        let before = file.metadata()?.len();
        if let Err(error) = file.write_all(&line).and_then(|()| file.sync_data()) {
            // Part of an entry is worth nothing, and on a full disk keeps the next one out.
            let _ = file.set_len(before);
            return Err(error);
        }
        if is_new {
            disk::sync_folder(&self.path)?;
        }
        self.last = Some(entry);
        self.is_settled = false;
        Ok(())
    }

    /// Notes that the newest entry is in the file. Not waited for: without the note, the next start asks once more at worst.
    ///
    /// # Errors
    ///
    /// It cannot be written.
    pub fn settle(&mut self) -> io::Result<()> {
        if self.is_settled || self.last.is_none() || plain_file_len(&self.path)?.is_none() {
            return Ok(());
        }
        let mut file = OpenOptions::new().append(true).open(&self.path)?;
        file.write_all(&line_of(&Line::Settled { settled: true })?)?;
        self.is_settled = true;
        Ok(())
    }

    /// Removes the journal: all that it holds is in the sketch.
    ///
    /// # Errors
    ///
    /// It is there and cannot be removed.
    pub fn remove(&mut self) -> io::Result<()> {
        self.last = None;
        match fs::remove_file(&self.path) {
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
            removed => removed,
        }
    }

    fn shorten(&self) -> io::Result<()> {
        let mut kept = Vec::new();
        let mut bytes = 0;
        for entry in entries(&self.path)?.iter().rev() {
            let line = line_of(entry)?;
            bytes += line.len();
            if bytes > KEPT_BYTES && !kept.is_empty() {
                break;
            }
            kept.push(line);
        }
        kept.reverse();
        disk::replace(&self.path, &kept.concat())
    }
}

/// Digest by which a file's content is known again.
pub fn digest(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// For its owner alone, whoever may read the sketch.
fn private() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.read(true).append(true).create(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
}

fn line_of(line: &impl Serialize) -> io::Result<Vec<u8>> {
    let mut line = serde_json::to_vec(line)?;
    line.push(b'\n');
    Ok(line)
}

fn entries(path: &Path) -> io::Result<Vec<Entry>> {
    let kept = lines(path)?.into_iter().filter_map(|line| match line {
        Line::Kept(entry) => Some(entry),
        Line::Settled { .. } => None,
    });
    Ok(kept.collect())
}

fn lines(path: &Path) -> io::Result<Vec<Line>> {
    if plain_file_len(path)?.is_none() {
        return Ok(Vec::new());
    }
    let mut bytes = Vec::new();
    File::open(path)?
        .take(READ_AT_MOST)
        .read_to_end(&mut bytes)?;
    Ok(bytes
        .split(|byte| *byte == b'\n')
        .filter_map(|line| serde_json::from_slice(line).ok())
        .collect())
}

/// Bytes of a plain file, nothing where there is none. A link or a device in its place is refused.
fn plain_file_len(path: &Path) -> io::Result<Option<u64>> {
    match fs::symlink_metadata(path) {
        Ok(found) if found.is_file() => Ok(Some(found.len())),
        Ok(_) => Err(io::Error::other("it is no plain file")),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// Whether the last line was not ended.
fn is_torn(file: &mut File) -> io::Result<bool> {
    if file.seek(SeekFrom::End(0))? == 0 {
        return Ok(false);
    }
    file.seek(SeekFrom::End(-1))?;
    let mut last = [0];
    file.read_exact(&mut last)?;
    Ok(last != [b'\n'])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scratch(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("ductseam-journal-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a scratch folder");
        let path = folder.join(name);
        let _ = fs::remove_file(&path);
        path
    }

    fn entry(n: u64, text: &str) -> Entry {
        Entry {
            when_ms: n,
            base: Some(digest(b"before")),
            text: text.to_owned(),
        }
    }

    #[test]
    fn a_torn_last_line_is_left_out_and_not_written_on() {
        let path = scratch("torn");
        let mut journal = Journal::open(path.clone()).expect("opened");
        journal.append(entry(1, "a\r\n\u{feff}")).expect("kept");
        let mut file = OpenOptions::new().append(true).open(&path).expect("there");
        file.write_all(b"{\"when_ms\":2,\"base\":null,\"te")
            .expect("torn");
        let mut journal = Journal::open(path.clone()).expect("opened");
        assert_eq!(journal.last(), Some(&entry(1, "a\r\n\u{feff}")));
        journal.append(entry(3, "b")).expect("kept");
        let found = entries(&path).expect("read");
        assert_eq!(found, [entry(1, "a\r\n\u{feff}"), entry(3, "b")]);
        journal.remove().expect("removed");
        assert!(!path.exists());
    }

    #[test]
    fn what_came_into_the_file_is_known_as_such() {
        let path = scratch("settled");
        let mut journal = Journal::open(path.clone()).expect("opened");
        journal.settle().expect("nothing to settle");
        assert!(!path.exists());
        journal.append(entry(1, "a")).expect("kept");
        let open = |path: &Path| Journal::open(path.to_path_buf()).expect("opened");
        assert!(!open(&path).is_settled());
        journal.settle().expect("noted");
        assert!(open(&path).is_settled());
        assert_eq!(open(&path).last(), Some(&entry(1, "a")));
        // The same text once more is another question.
        journal.append(entry(2, "a")).expect("kept");
        assert!(!open(&path).is_settled());
        assert_eq!(open(&path).last(), Some(&entry(2, "a")));
        journal.remove().expect("removed");
    }

    #[test]
    fn it_stays_bounded_and_keeps_the_newest() {
        let path = scratch("long");
        let mut journal = Journal::open(path.clone()).expect("opened");
        let text = "x".repeat(1_000_000);
        for n in 0..20 {
            // The same text once more would not be kept twice.
            journal
                .append(entry(n, &format!("{n} {text}")))
                .expect("kept");
        }
        let bytes = fs::metadata(&path).expect("there").len();
        assert!(bytes <= LARGEST_BYTES + 2_000_000, "{bytes}");
        assert_eq!(
            entries(&path)
                .expect("read")
                .last()
                .map(|last| last.when_ms),
            Some(19)
        );
        journal.remove().expect("removed");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_in_its_place_is_not_followed() {
        let path = scratch("link");
        std::os::unix::fs::symlink("/dev/null", &path).expect("a link");
        assert!(Journal::open(path.clone()).is_err());
        fs::remove_file(&path).expect("removed");
    }
}
