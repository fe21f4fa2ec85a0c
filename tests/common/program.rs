//! The program as a black box.

use std::process::{Command, Output};

pub fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_ductseam"))
}

/// Runs it in the crate's folder.
pub fn run(arguments: &[&str]) -> Output {
    program()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .output()
        .expect("the program starts")
}

pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("answers are UTF-8")
}

pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("talk is UTF-8")
}
