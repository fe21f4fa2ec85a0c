//! The sketch on disk: what is known of it, its revisions, and the one way to write it.
//!
//! A revision is counted by the whole content: whatever wrote the file, another content is another revision. A file that
//! vanishes is no other content: the text that is known stays, and the next save makes the file anew.

use std::collections::VecDeque;
use std::fs;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use super::journal::{Entry, Journal, digest};
use super::trouble::Trouble;
use crate::disk::{self, plain};

/// Largest sketch that the page takes: what one request may carry. A house is about 5 kB.
pub const LARGEST_SKETCH_BYTES: u64 = 8 * 1024 * 1024;
/// Revisions of which the digest is remembered, for saves that stood on one of them.
const REMEMBERED: usize = 256;
/// Tabs of which a text in conflict is remembered.
const MOST_UNDECIDED: usize = 16;
/// What is said where a picture cannot be read or written.
pub const SAFE_PHOTO: &str = "the sketch is untouched";
const SAFE_HINT: &str = "nothing was written; what you drew is safe in this page: do not close it";

/// A sketch on disk.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    journal: Journal,
    /// The content as last seen or written.
    held: Option<String>,
    revision: u64,
    digests: VecDeque<(u64, Option<String>)>,
    written_by: Option<String>,
    is_backed_up: bool,
    is_closed: bool,
    recovered: Option<Entry>,
    /// Texts that met another content in the file and of which their tab has not been heard since; oldest first.
    undecided: Vec<(String, Entry)>,
}

/// How a save ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Saved {
    /// On disk.
    Done {
        /// Its revision.
        revision: u64,
        /// Something that the person should know.
        words: Option<String>,
    },
    /// The file holds something else than the text stood on.
    Outside {
        /// What it holds.
        text: String,
        /// Its revision.
        revision: u64,
    },
}

/// A text that is to be saved.
#[derive(Debug, Clone)]
pub struct Save {
    /// The text.
    pub text: String,
    /// The revision on which it stands.
    pub base: u64,
    /// The tab that asks.
    pub tab: String,
    /// The person was asked and writes over whatever is there.
    pub force: bool,
}

impl Store {
    /// Opens the sketch at `path`, which need not exist yet. Links are followed.
    ///
    /// # Errors
    ///
    /// A folder, a file that is no text or cannot be read, a folder that does not exist, in words.
    pub fn open(path: &Path) -> Result<Store, Trouble> {
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
        if path.file_name().is_none() {
            return Err(Trouble::new(
                format!("`{}` is no name of a file", path.display()),
                "name the sketch, for instance `house.yaml`",
            ));
        }
        let folder = folder_of(&path);
        if !folder.is_dir() {
            return Err(Trouble::new(
                format!("there is no folder `{}`", folder.display()),
                "make it first, or name a file in another folder",
            ));
        }
        let held = read(&path)?;
        let at = beside(&path, ".", ".journal");
        let journal = Journal::open(at.clone()).map_err(|error| {
            Trouble::new(
                format!("`{}` cannot be read: {}", at.display(), plain(&error)),
                "it keeps what you draw until it is saved; make it readable, or move it away if you need nothing in it",
            )
        })?;
        let seen = held.as_ref().map(|text| digest(text.as_bytes()));
        // A text that came into the file before it was changed elsewhere is old.
        let is_old = journal.is_settled() && held.is_some();
        let recovered = journal
            .last()
            .filter(|last| !is_old && Some(&last.text) != held.as_ref())
            .cloned();
        Ok(Store {
            path,
            journal,
            held,
            revision: 1,
            digests: VecDeque::from([(1, seen)]),
            written_by: None,
            is_backed_up: false,
            is_closed: false,
            recovered,
            undecided: Vec::new(),
        })
    }

    /// The sketch's file, links followed.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The sketch's name.
    #[must_use]
    pub fn name(&self) -> String {
        name_of(&self.path)
    }

    /// Last part of the folder in which it is.
    #[must_use]
    pub fn folder(&self) -> String {
        let folder = folder_of(&self.path);
        fs::canonicalize(folder)
            .as_deref()
            .map_or_else(|_| name_of(folder), name_of)
    }

    /// The text as last seen or written; empty where there is none yet.
    #[must_use]
    pub fn text(&self) -> &str {
        self.held.as_deref().unwrap_or_default()
    }

    /// Whether there is a file, or was when it was last seen.
    #[must_use]
    pub fn exists(&self) -> bool {
        self.held.is_some()
    }

    /// The revision of [`Store::text`].
    #[must_use]
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The tab that wrote it; nothing if it came from outside.
    #[must_use]
    pub fn written_by(&self) -> Option<&str> {
        self.written_by.as_deref()
    }

    /// What was to be saved when the page last ended and is not in the file: the person decides.
    #[must_use]
    pub fn recovered(&self) -> Option<&Entry> {
        self.recovered.as_ref()
    }

    /// Whether the file is another than the one on which the recovered text stood.
    #[must_use]
    pub fn is_changed_since(&self, recovered: &Entry) -> bool {
        recovered.base != self.held.as_ref().map(|text| digest(text.as_bytes()))
    }

    /// Looks at the file; says whether its content is another than was known.
    ///
    /// # Errors
    ///
    /// It is there and is no text that can be read.
    pub fn refresh(&mut self) -> Result<bool, Trouble> {
        match read(&self.path)? {
            Some(text) if self.held.as_ref() != Some(&text) => {
                self.hold(text, None);
                Ok(true)
            }
            _ => Ok(false),
        }
    }

    /// Saves a text: in the journal, then in the file.
    ///
    /// `force` writes over a file that cannot be read, and over no content that its asker was not shown: what was written
    /// after the revision `base` is told as ever.
    ///
    /// # Errors
    ///
    /// It cannot be written, in words. The journal holds the text unless the words say otherwise.
    pub fn save(&mut self, save: Save) -> Result<Saved, Trouble> {
        if self.is_closed {
            return Err(Trouble::bare("the page has been ended"));
        }
        self.keep(&save)?;
        let is_known = match self.refresh() {
            Ok(_) => true,
            Err(_) if save.force => false,
            Err(trouble) => return Err(trouble),
        };
        if save.base != self.revision && self.held.as_ref() != Some(&save.text) {
            self.undecide(save.tab);
            return Ok(Saved::Outside {
                text: self.text().to_owned(),
                revision: self.revision,
            });
        }
        let has_vanished = self.held.is_some() && !self.path.exists();
        if self.held.as_ref() != Some(&save.text) || has_vanished || !is_known {
            self.may_write_file()?;
            self.back_up()?;
            self.write(save.text.as_bytes())?;
        }
        self.undecided.retain(|(tab, _)| *tab != save.tab);
        if self.held.as_ref() != Some(&save.text) {
            self.hold(save.text, Some(save.tab));
        }
        self.recovered = None;
        // The save is done whether this is noted or not.
        let _ = self.journal.settle();
        Ok(Saved::Done {
            revision: self.revision,
            words: has_vanished.then(|| {
                format!(
                    "`{}` had been moved or deleted and was written anew",
                    self.name()
                )
            }),
        })
    }

    /// Ends the work: the journal goes if all that it holds is in the file. A text in conflict that nobody decided about
    /// becomes its newest entry, to be offered at the next start. Nothing is saved afterwards.
    ///
    /// # Errors
    ///
    /// The journal cannot be written or removed.
    pub fn close(&mut self) -> Result<(), Trouble> {
        self.is_closed = true;
        if let Some((_, entry)) = self.undecided.pop() {
            let path = self.journal.path().to_path_buf();
            return self
                .journal
                .append(entry)
                .map_err(|error| cannot("written", &path, &error, SAFE_HINT));
        }
        let on_disk = read(&self.path).ok().flatten();
        let is_kept = match self.journal.last() {
            Some(last) => on_disk.as_ref() == Some(&last.text),
            None => false,
        };
        if !is_kept {
            return Ok(());
        }
        let path = self.journal.path().to_path_buf();
        self.journal
            .remove()
            .map_err(|error| cannot("removed", &path, &error, SAFE_HINT))
    }

    fn hold(&mut self, text: String, tab: Option<String>) {
        self.revision += 1;
        self.digests
            .push_back((self.revision, Some(digest(text.as_bytes()))));
        if self.digests.len() > REMEMBERED {
            self.digests.pop_front();
        }
        self.held = Some(text);
        self.written_by = tab;
    }

    /// Remembers the newest entry as the text of a tab that met another content.
    fn undecide(&mut self, tab: String) {
        self.undecided.retain(|(of, _)| *of != tab);
        self.undecided
            .extend(self.journal.last().cloned().map(|entry| (tab, entry)));
        if self.undecided.len() > MOST_UNDECIDED {
            self.undecided.remove(0);
        }
    }

    fn keep(&mut self, save: &Save) -> Result<(), Trouble> {
        let known = self.digests.iter().find(|(n, _)| *n == save.base);
        let entry = Entry {
            when_ms: now_ms(),
            base: known.and_then(|(_, digest)| digest.clone()),
            text: save.text.clone(),
        };
        self.may_write_folder()?;
        let path = self.journal.path().to_path_buf();
        self.journal
            .append(entry)
            .map_err(|error| cannot("written", &path, &error, SAFE_HINT))
    }

    /// A folder that its owner has closed to writing is left alone, even where the system would let us.
    fn may_write_folder(&self) -> Result<(), Trouble> {
        let folder = folder_of(&self.path);
        let found = fs::metadata(folder).ok().filter(fs::Metadata::is_dir);
        let what = match found {
            None => "is no longer there",
            // Elsewhere than on Unix the mark means something else on a folder.
            Some(found) if cfg!(unix) && found.permissions().readonly() => "is read-only",
            Some(_) => return Ok(()),
        };
        Err(Trouble::new(
            format!("the folder `{}` {what}", folder.display()),
            SAFE_HINT,
        ))
    }

    fn may_write_file(&self) -> Result<(), Trouble> {
        let found = fs::metadata(&self.path);
        if found.is_ok_and(|found| found.permissions().readonly()) {
            return Err(Trouble::new(
                format!("`{}` is read-only", self.path.display()),
                "what you drew is kept beside it until you make it writable and change something",
            ));
        }
        Ok(())
    }

    /// The file as it is before this page first writes it.
    fn back_up(&mut self) -> Result<(), Trouble> {
        if self.is_backed_up {
            return Ok(());
        }
        let to = beside(&self.path, "", ".bak");
        match fs::read(&self.path) {
            Ok(bytes) => {
                disk::replace_like(&to, &bytes, &self.path)
                    .map_err(|error| cannot("written", &to, &error, SAFE_HINT))?;
            }
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => return Err(cannot("read", &self.path, &error, SAFE_HINT)),
        }
        self.is_backed_up = true;
        Ok(())
    }

    fn write(&self, bytes: &[u8]) -> Result<(), Trouble> {
        disk::write_whole(&self.path, bytes)
            .map_err(|error| cannot("written", &self.path, &error, SAFE_HINT))
    }
}

/// A file's neighbour: `before` and `after` put around its name.
pub fn beside(path: &Path, before: &str, after: &str) -> PathBuf {
    let mut name = std::ffi::OsString::from(before);
    name.push(path.file_name().unwrap_or_default());
    name.push(after);
    path.with_file_name(name)
}

/// The folder of a file; the present one for a bare name.
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
}

/// Something that cannot be done with a file.
pub fn cannot(done: &str, path: &Path, error: &std::io::Error, hint: &str) -> Trouble {
    Trouble::new(
        format!("`{}` cannot be {done}: {}", path.display(), plain(error)),
        hint,
    )
}

fn name_of(path: &Path) -> String {
    path.file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn now_ms() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| {
            u64::try_from(since.as_millis()).unwrap_or(u64::MAX)
        })
}

/// The file's text; nothing if there is no such file.
fn read(path: &Path) -> Result<Option<String>, Trouble> {
    let shown = path.display();
    let found = match fs::metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        found => found,
    };
    if found.as_ref().is_ok_and(fs::Metadata::is_dir) {
        return Err(Trouble::new(
            format!("`{shown}` is a folder"),
            "name a sketch in it, for instance `house.yaml`",
        ));
    }
    if found.as_ref().is_ok_and(|found| !found.is_file()) {
        return Err(Trouble::bare(format!("`{shown}` is no plain file")));
    }
    let mut bytes = Vec::new();
    let taken = fs::File::open(path)
        .and_then(|file| file.take(LARGEST_SKETCH_BYTES + 1).read_to_end(&mut bytes));
    match taken {
        // It went away after it was looked at.
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => {
            return Err(Trouble::bare(format!(
                "`{shown}` cannot be read: {}",
                plain(&error)
            )));
        }
        Ok(n) if n as u64 > LARGEST_SKETCH_BYTES => {
            return Err(Trouble::new(
                format!(
                    "`{shown}` is larger than {} MB",
                    LARGEST_SKETCH_BYTES / 1024 / 1024
                ),
                "a sketch of a house is about 5 kB; is this the right file?",
            ));
        }
        Ok(_) => {}
    }
    let no_text = |byte: usize| {
        Trouble::new(
            format!("`{shown}` is not UTF-8 text (byte {byte})"),
            "is this the right file? A sketch is saved as UTF-8",
        )
    };
    match String::from_utf8(bytes) {
        Ok(text) => match text.find('\0') {
            Some(at) => Err(no_text(at + 1)),
            None => Ok(Some(text)),
        },
        Err(error) => Err(no_text(error.utf8_error().valid_up_to() + 1)),
    }
}
