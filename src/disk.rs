//! Writing to disk: whole or not at all. Serves the command line and the drawing board's server.

use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A neighbour that nobody has written to for this long is left by a program that was ended. Engineering estimate: an answer is
/// written within a second.
const ABANDONED: Duration = Duration::from_secs(60);

/// Writes a file through a neighbour that is renamed when it is whole, so that no half-written file is ever seen.
/// A link is followed first; what is not a plain file (a device, a pipe) is written to as it stands.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let is_special = fs::metadata(&target).is_ok_and(|found| !found.is_file() && !found.is_dir());
    if is_special {
        fs::OpenOptions::new()
            .write(true)
            .open(&target)
            .and_then(|mut file| file.write_all(bytes))
    } else {
        replace(&target, bytes)
    }
}

/// The same for a name that is taken as it stands: a link there is replaced, not followed. Who may read and write the old
/// file may read and write the new one.
pub fn replace(target: &Path, bytes: &[u8]) -> io::Result<()> {
    replace_like(target, bytes, target)
}

/// The same, for those who may read and write the file `like`, if it is there.
pub fn replace_like(target: &Path, bytes: &[u8], like: &Path) -> io::Result<()> {
    let temporary = neighbour(target);
    clear_abandoned(target);
    let written = make(&temporary)
        .and_then(|mut file| {
            if let Ok(like) = fs::metadata(like)
                && like.is_file()
            {
                file.set_permissions(like.permissions())?;
            }
            file.write_all(bytes).and_then(|()| file.sync_all())
        })
        .and_then(|()| fs::rename(&temporary, target));
    if written.is_err() {
        // The neighbour may not exist; its removal failing changes nothing for the person.
        let _ = fs::remove_file(&temporary);
    }
    written.and_then(|()| sync_folder(target))
}

/// A file that is new: one left there by an earlier end goes first, and a link there is not followed.
fn make(path: &Path) -> io::Result<fs::File> {
    let new = || {
        fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(path)
    };
    match new() {
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            fs::remove_file(path).and_then(|()| new())
        }
        made => made,
    }
}

/// Makes sure that the name of a file in its folder is on disk, where the system knows such a thing.
pub fn sync_folder(of: &Path) -> io::Result<()> {
    let folder = match of.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    if !cfg!(unix) {
        return Ok(());
    }
    match fs::File::open(folder).and_then(|folder| folder.sync_all()) {
        // Some file systems have nothing to sync here and say so; a folder that may be written but not read cannot be.
        Err(error)
            if matches!(
                error.kind(),
                ErrorKind::InvalidInput | ErrorKind::Unsupported | ErrorKind::PermissionDenied
            ) =>
        {
            Ok(())
        }
        synced => synced,
    }
}

/// The operating system's reason in plain words, without its number.
pub fn plain(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => "permission denied".to_owned(),
        ErrorKind::IsADirectory => "it is a folder".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        ErrorKind::QuotaExceeded => "your share of the disk is full".to_owned(),
        ErrorKind::FileTooLarge => "the file is larger than the system allows".to_owned(),
        ErrorKind::AlreadyExists => "something of that name is there already".to_owned(),
        ErrorKind::NotADirectory => "a part of the path is no folder".to_owned(),
        _ => error.to_string(),
    }
}

fn neighbour(path: &Path) -> PathBuf {
    path.with_file_name(format!(
        "{}{}.part",
        before_number(path),
        std::process::id()
    ))
}

/// What a neighbour is called, up to the number of the process.
fn before_number(path: &Path) -> String {
    let name = path
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    format!(".{name}.")
}

/// Removes the neighbours of a file that programs left which were ended while they wrote: those of processes that are no more, where
/// the system tells, and that have not been written to for a while (the process may be on another machine). What cannot be removed
/// does no harm.
fn clear_abandoned(target: &Path) {
    let before = before_number(target);
    let folder = target.parent().filter(|folder| *folder != Path::new(""));
    let processes = Path::new("/proc");
    if !processes.join("self").exists() {
        return;
    }
    let Ok(entries) = fs::read_dir(folder.unwrap_or(Path::new("."))) else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let number = name
            .strip_prefix(&before)
            .and_then(|rest| rest.strip_suffix(".part"))
            .and_then(|number| number.parse::<u32>().ok());
        let is_old = || {
            let written = entry.metadata().and_then(|found| found.modified()).ok();
            written
                .and_then(|at| at.elapsed().ok())
                .is_some_and(|age| age > ABANDONED)
        };
        if let Some(number) = number
            && !processes.join(number.to_string()).exists()
            && is_old()
        {
            let _ = fs::remove_file(entry.path());
        }
    }
}
