//! `ductseam completions`: what a shell needs to complete the command line.

use std::path::PathBuf;

use clap::CommandFactory;
use clap_complete::Shell;

use super::{Args, Ended, Refused, files};

/// What `completions` is asked.
#[derive(Debug, clap::Args)]
pub struct CompletionsWords {
    /// The shell.
    #[arg(value_enum)]
    pub shell: Shell,
    /// File to write instead of standard output.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// Writes the script of one shell.
pub fn completions(words: &CompletionsWords) -> Result<Ended, Refused> {
    let mut script = Vec::new();
    clap_complete::generate(words.shell, &mut Args::command(), "ductseam", &mut script);
    files::answer(&String::from_utf8_lossy(&script), words.output.as_deref())?;
    Ok(Ended::Answered)
}
