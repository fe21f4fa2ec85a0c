//! `ductseam manual`: man pages of the program and of every command, made from the definition that parses the line.

use std::fs;
use std::path::PathBuf;

use clap::CommandFactory;
use clap_mangen::Man;

use super::files::Existing;
use super::{Args, Ended, Refused, files};
use crate::disk::plain;

/// What `manual` is asked.
#[derive(Debug, clap::Args)]
pub struct ManualWords {
    /// Folder to write the pages into; made where it is missing. Pages of the same names are replaced, all else stays.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
}

/// Writes all pages, each whole or not at all, and names them.
pub fn manual(words: &ManualWords) -> Result<Ended, Refused> {
    let folder = &words.folder;
    fs::create_dir_all(folder).map_err(|error| {
        Refused(format!(
            "error: the folder `{}` cannot be made: {}\n",
            folder.display(),
            plain(&error)
        ))
    })?;
    let mut written = String::new();
    for (name, page) in pages()? {
        let file = folder.join(name);
        files::write_whole(&file, &page, Existing::Replace)?;
        written += &format!("{}\n", file.display());
    }
    files::answer(&written, None)?;
    Ok(Ended::Answered)
}

/// Name and text of every page: the program's first, then those of its commands in the order of the help.
fn pages() -> Result<Vec<(String, Vec<u8>)>, Refused> {
    // What `help` says stands in the pages themselves.
    let mut program = Args::command().disable_help_subcommand(true);
    program.build();
    let commands: Vec<clap::Command> = program.get_subcommands().cloned().collect();
    [program].into_iter().chain(commands).map(page).collect()
}

fn page(command: clap::Command) -> Result<(String, Vec<u8>), Refused> {
    let man = Man::new(command).source(concat!("ductseam ", env!("CARGO_PKG_VERSION")));
    let name = man.get_filename();
    let mut text = Vec::new();
    man.render(&mut text).map_err(|error| {
        Refused(format!(
            "error: `{name}` cannot be made: {}\n",
            plain(&error)
        ))
    })?;
    Ok((name, text))
}
