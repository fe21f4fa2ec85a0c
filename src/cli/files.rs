//! Files and streams: reading whole, writing whole or not at all, ending quietly on a closed pipe.

use std::fs;
use std::io::{self, ErrorKind, IsTerminal, Read, Write};
use std::path::Path;

use super::Refused;
use crate::disk::{self, plain};

/// Largest file that is taken into memory. A house is about 5 kB; what a sketch may hold is the reader's to say.
const LARGEST_FILE_BYTES: u64 = 64 * 1024 * 1024;

/// Reads a whole file, or standard input for `-`.
pub fn read(path: &Path) -> Result<Vec<u8>, Refused> {
    let mut bytes = Vec::new();
    let read = if path == Path::new("-") {
        io::stdin()
            .lock()
            .take(LARGEST_FILE_BYTES + 1)
            .read_to_end(&mut bytes)
    } else {
        fs::File::open(path)
            .and_then(|file| file.take(LARGEST_FILE_BYTES + 1).read_to_end(&mut bytes))
    };
    match read {
        Err(error) => Err(Refused(format!(
            "error: `{}` cannot be read: {}\n",
            path.display(),
            plain(&error)
        ))),
        Ok(n) if n as u64 > LARGEST_FILE_BYTES => Err(Refused(format!(
            "error: `{}` is larger than {} MB\nhint: a sketch of a house is about 5 kB; is this the right file?\n",
            path.display(),
            LARGEST_FILE_BYTES / 1024 / 1024
        ))),
        Ok(_) => Ok(bytes),
    }
}

/// Reads a whole file as text; `hint` says how to save it.
pub fn read_text(path: &Path, hint: &str) -> Result<String, Refused> {
    String::from_utf8(read(path)?).map_err(|error| {
        Refused(format!(
            "error: `{}` is not UTF-8 text (byte {})\nhint: {hint}\n",
            shown(path),
            error.utf8_error().valid_up_to() + 1
        ))
    })
}

/// The name under which a file appears in messages.
pub fn shown(path: &Path) -> String {
    if path == Path::new("-") {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}

/// Gives the answer: to a file written whole or not at all, or to standard output.
pub fn answer(text: &str, output: Option<&Path>) -> Result<(), Refused> {
    match output {
        Some(path) => write_whole(path, text.as_bytes(), Existing::Replace),
        None => print(text),
    }
}

/// What to do with a file that exists already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Put the new one in its place.
    Replace,
    /// Refuse.
    Keep,
}

/// Writes a file as [`disk::write_whole`] does.
pub fn write_whole(path: &Path, bytes: &[u8], existing: Existing) -> Result<(), Refused> {
    if existing == Existing::Keep && path.exists() {
        return Err(Refused(format!(
            "error: `{}` exists already and is left as it is\nhint: choose another name, or move the old file away\n",
            path.display()
        )));
    }
    disk::write_whole(path, bytes).map_err(|error| {
        Refused(format!(
            "error: `{}` cannot be written: {}\n",
            path.display(),
            plain(&error)
        ))
    })
}

/// Refuses an answer that would be written over one of the files it is made from.
pub fn keep_apart(output: Option<&Path>, inputs: &[Option<&Path>]) -> Result<(), Refused> {
    let real = |path: &Path| fs::canonicalize(path).ok();
    let Some(target) = output.and_then(real) else {
        return Ok(());
    };
    match inputs
        .iter()
        .flatten()
        .find(|input| real(input).is_some_and(|input| input == target))
    {
        None => Ok(()),
        Some(input) => Err(Refused(format!(
            "error: the answer would be written over `{}`, from which it is made\nhint: give `-o` another name\n",
            input.display()
        ))),
    }
}

/// Says something on stderr; a closed stderr is nobody listening.
pub fn talk(text: &str) {
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}

/// Says what is being worked on, to somebody who sits before a terminal.
pub fn progress(what: &str) {
    if io::stderr().is_terminal() {
        talk(&format!("... {what}\n"));
    }
}

fn print(text: &str) -> Result<(), Refused> {
    let mut out = anstream::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(Refused(format!(
            "error: the answer cannot be written: {}\n",
            plain(&error)
        ))),
        Ok(()) => Ok(()),
    }
}
