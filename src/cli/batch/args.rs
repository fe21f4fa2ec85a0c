//! What may be typed for a batch.

use std::path::PathBuf;

use clap::ValueEnum;

use crate::batch::{RowFormat, Table};
use crate::cli::args::Draws;
use crate::cli::believed::Believed;

/// What `batch` is asked.
#[derive(Debug, clap::Args)]
pub struct BatchWords {
    /// Folders of sketches, sketches, patterns in quotes such as `'homes/**/*.yaml'`, files of records (`.ndjson`), or `-` for
    /// records on standard input. A record is a line `{"id": "house-1", "sketch": "…the file's text…"}`.
    #[arg(value_name = "INPUT", required_unless_present = "columns")]
    pub inputs: Vec<PathBuf>,
    /// Folder for all tables, made if it is not there; a run that was broken off goes on there. Without it one table goes to
    /// standard output.
    #[arg(short, long, value_name = "FOLDER")]
    pub output: Option<PathBuf>,
    /// Table for standard output.
    #[arg(long, value_enum, default_value_t = TableWord::System, conflicts_with = "output")]
    pub by: TableWord,
    /// Form of the rows; ndjson to standard output, both into a folder if not given.
    #[arg(long, value_enum)]
    pub format: Option<RowsAs>,
    /// Columns to write, in this order, those a table has; all if not given. `--columns` lists them.
    #[arg(long, value_name = "COLUMN,…", value_delimiter = ',')]
    pub select: Vec<String>,
    /// List the tables and their columns, and do nothing else.
    #[arg(long)]
    pub columns: bool,
    /// Own figures laid over the built-in catalogue, for instance what an earlier batch learned.
    #[arg(long, value_name = "FILE")]
    pub catalog: Option<PathBuf>,
    /// Threads; as many as there are cores if not given. The answer is the same.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1024))]
    pub threads: Option<u32>,
    /// Begin anew in the folder: what an earlier run of this command wrote there is removed.
    #[arg(long, requires = "output")]
    pub anew: bool,
    /// Do not learn the habits of crews at the end of a run into a folder.
    #[arg(long, requires = "output")]
    pub no_learn: bool,
    /// The random draws.
    #[command(flatten)]
    pub draws: Draws,
    /// What is believed beforehand.
    #[command(flatten)]
    pub believed: Believed,
}

/// A table, in the words of the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TableWord {
    /// One row a system.
    System,
    /// One row a joint type of a system.
    JointType,
    /// One row a seam.
    Seam,
}

/// Form of the rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RowsAs {
    /// One JSON object a line.
    Ndjson,
    /// Comma-separated values with a header.
    Csv,
}

impl From<TableWord> for Table {
    fn from(word: TableWord) -> Self {
        match word {
            TableWord::System => Table::Systems,
            TableWord::JointType => Table::JointTypes,
            TableWord::Seam => Table::Seams,
        }
    }
}

impl From<RowsAs> for RowFormat {
    fn from(word: RowsAs) -> Self {
        match word {
            RowsAs::Ndjson => RowFormat::Ndjson,
            RowsAs::Csv => RowFormat::Csv,
        }
    }
}
