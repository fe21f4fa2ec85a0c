//! The `ductseam` program: reads the command line, runs one command, sets the exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    ductseam::cli::main()
}
