//! What may be typed after `joints` and `exercise`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::args::{Draws, Format, Show, TextOrJson};
use crate::catalog::Work;

/// `ductseam joints`.
#[derive(Debug, clap::Args)]
pub struct JointsWords {
    /// Sketches whose joints are counted, each alike; without one the built-in classroom rig.
    #[arg(value_name = "SKETCH")]
    pub sketches: Vec<PathBuf>,
    /// Own figures laid over the built-in catalogue (CSV with the columns of `ductseam catalog --format csv`).
    #[arg(long, value_name = "FILE")]
    pub catalog: Option<PathBuf>,
    /// How and where the answer is shown.
    #[command(flatten)]
    pub show: Show,
    /// Form of the answer; csv gives one row a joint type and state of workmanship.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// The random draws.
    #[command(flatten)]
    pub draws: Draws,
    /// Rank by what leaks in the total test; so it is if nothing is said.
    #[arg(long, conflicts_with = "running")]
    pub test: bool,
    /// Rank by what leaks while the unit runs.
    #[arg(long)]
    pub running: bool,
    /// Let readings, looks and sealing of the sketches count; else everything is as before any test.
    #[arg(long)]
    pub with_readings: bool,
    /// Workmanship in which the catalogue is ranked.
    #[arg(long, value_enum, default_value_t = WorkWord::Unsealed)]
    pub work: WorkWord,
    /// Rows of the table of joint types; 0 shows all, and the whole catalogue.
    #[arg(long, default_value_t = 12, value_name = "N")]
    pub rows: usize,
}

/// Workmanship.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WorkWord {
    /// No sealant.
    Unsealed,
    /// Tape or gasket, not inspected.
    Ordinary,
    /// Mastic, inspected.
    Mastic,
}

impl From<WorkWord> for Work {
    fn from(word: WorkWord) -> Self {
        match word {
            WorkWord::Unsealed => Work::Unsealed,
            WorkWord::Ordinary => Work::Ordinary,
            WorkWord::Mastic => Work::Mastic,
        }
    }
}

/// `ductseam exercise`.
#[derive(Debug, clap::Args)]
pub struct ExerciseWords {
    /// The sketch to make an exercise of, without one the built-in bungalow; with `--mark` the sketch that was handed out.
    #[arg(value_name = "SKETCH")]
    pub sketch: Option<PathBuf>,
    /// Own figures laid over the built-in catalogue (CSV with the columns of `ductseam catalog --format csv`).
    #[arg(long, value_name = "FILE")]
    pub catalog: Option<PathBuf>,
    /// The answer file: written when an exercise is made, read when a list is marked. Keep it from the class.
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// Mark this list: one seam id a line, leakiest first; further columns `rank`, `seal` (yes or no), `minutes`.
    #[arg(long, value_name = "LIST")]
    pub mark: Option<PathBuf>,
    /// Units of the answer, and with `-o` the sketch to be handed out or the marks.
    #[command(flatten)]
    pub show: Show,
    /// Form of the marks.
    #[arg(long, value_enum, default_value_t = TextOrJson::Text)]
    pub format: TextOrJson,
    /// Seed. Needed to make an exercise, where it draws the truth: take one that nobody guesses, and keep it like the
    /// answers. In marking it is the seed of the program's own list, 1 if not said.
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Number of draws of the program's own list, 500 at least.
    #[arg(long, default_value_t = 2000, value_name = "N", value_parser = clap::value_parser!(u32).range(500..=1_000_000))]
    pub draws: u32,
}
