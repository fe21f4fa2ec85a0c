//! One table to standard output.

use std::io::{ErrorKind, Write};

use super::run::{Done, Mark, Outcome, Sink};
use crate::batch::{RowFormat, Selection};
use crate::cli::Refused;
use crate::disk::plain;

/// Rows of one table.
pub struct Stream {
    pub selection: Selection,
    pub format: RowFormat,
    begun: bool,
}

impl Stream {
    pub fn new(selection: Selection, format: RowFormat) -> Stream {
        Stream {
            selection,
            format,
            begun: false,
        }
    }

    /// The header, where a table without rows needs one too.
    pub fn end(&mut self) -> Result<(), Refused> {
        self.take(Vec::new()).map(|_| ())
    }
}

impl Sink for Stream {
    fn has(&mut self, _: &Mark, _: &Mark, _: &str) -> bool {
        false
    }

    fn take(&mut self, done: Vec<Done>) -> Result<bool, Refused> {
        let mut text = String::new();
        if !self.begun && self.format == RowFormat::Csv {
            text.push_str(&self.selection.header());
        }
        self.begun = true;
        for done in &done {
            if let Outcome::Answered(answered) = &done.outcome {
                for row in answered.rows(self.selection.table()) {
                    text.push_str(&self.selection.line(row, self.format));
                }
            }
        }
        let mut out = std::io::stdout().lock();
        match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
            Ok(()) => Ok(true),
            Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(false),
            Err(error) => Err(Refused(format!(
                "error: the rows cannot be written: {}\n",
                plain(&error)
            ))),
        }
    }
}
