//! The command line: arguments, files, terminal. It calls the other modules and knows no mathematics.
//!
//! Exit codes: 0 answered, 1 answered but doubtful, 2 wrong input or a file that cannot be read or written.

mod answers;
mod args;
mod batch;
mod believed;
mod commands;
mod completions;
mod draw;
mod draw_args;
mod files;
mod flow;
mod limits;
mod limits_args;
mod manual;
mod new;
mod on_sheet;
#[cfg(feature = "page")]
mod page;
#[cfg(feature = "page")]
mod page_args;
mod predict;
mod report;
mod sealing;
mod set_up;
mod teach;
mod teach_args;

use std::fmt::Display;
use std::process::ExitCode;

use clap::Parser;

pub use args::{Args, Command};

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Answered.
    Answered,
    /// Answered, but the answer is doubtful; the talk on stderr says why.
    Doubtful,
}

/// Why a command gave no answer. The text is what the person sees on stderr, already whole.
#[derive(Debug)]
pub struct Refused(pub String);

impl Refused {
    /// An error in words, and what to do about it where something is known.
    fn with_hint(error: &dyn Display, hint: Option<impl Display>) -> Refused {
        let hint = hint.map_or_else(String::new, |hint| format!("hint: {hint}\n"));
        Refused(format!("error: {error}\n{hint}"))
    }
}

/// Runs the program on the process's own arguments.
#[must_use]
pub fn main() -> ExitCode {
    let args = Args::parse();
    match commands::run(&args) {
        Ok(Ended::Answered) => ExitCode::SUCCESS,
        Ok(Ended::Doubtful) => ExitCode::from(1),
        Err(Refused(text)) => {
            files::talk(&text);
            ExitCode::from(2)
        }
    }
}
