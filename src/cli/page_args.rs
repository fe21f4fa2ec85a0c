//! What may be typed for the drawing board.

use std::path::PathBuf;

/// What `page` is asked.
#[derive(Debug, clap::Args)]
pub struct PageWords {
    /// The sketch; it is made at the first change if it does not exist yet.
    #[arg(default_value = "sketch.yaml", value_name = "FILE")]
    pub sketch: PathBuf,
    /// Port on this machine; any that is free if not given.
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub port: u16,
    /// Only tell the address; open no browser.
    #[arg(long)]
    pub no_open: bool,
    /// For builders: write the drawing board as one file that needs no server, with the library given by `--library`.
    #[arg(long, value_name = "OUT", requires = "library", hide = true)]
    pub one_file: Option<PathBuf>,
    /// For builders: the library compiled for the web.
    #[arg(long, value_name = "WASM", requires = "one_file", hide = true)]
    pub library: Option<PathBuf>,
    /// Answer requests, one a line: what the server starts.
    #[arg(long, hide = true, conflicts_with_all = ["one_file", "library"])]
    pub work: bool,
}
