//! The child's side: a request a line in, a reply a line out.

use std::io::{self, BufRead, Write};

use crate::board;

/// Answers requests from `input` until it ends. A panic is meant to end the process: the server tells the page and starts
/// another.
///
/// # Errors
///
/// What reading or writing says. A closed `output` is nobody listening any more.
pub fn work(input: impl BufRead, mut output: impl Write) -> io::Result<()> {
    for line in input.lines() {
        let mut reply = board::call(&line?);
        debug_assert!(!reply.contains('\n'), "a reply is one line");
        reply.push('\n');
        output.write_all(reply.as_bytes())?;
        output.flush()?;
    }
    Ok(())
}
