//! What `limits` is asked.

use std::path::PathBuf;

use clap::ValueEnum;

use super::args::{Format, Show};

/// What `limits` is asked.
#[derive(Debug, clap::Args)]
pub struct LimitsWords {
    /// The sketch; `-` reads standard input. Not needed with `--list`.
    #[arg(value_name = "SKETCH")]
    pub sketch: Option<PathBuf>,
    /// A limit to hold readings against: an id of `--list`, or words like `4 cfm per 100 ft2`, `6 % of airflow`,
    /// `to outside 60 cfm`, `supply class 6`, `4 cfm per 100 ft2 at least 40 cfm`. May be given several times.
    #[arg(long, value_name = "ID|WORDS", allow_hyphen_values = true)]
    pub limit: Vec<String>,
    /// Every built-in limit of the scope and the stage of a reading.
    #[arg(long)]
    pub all: bool,
    /// Stage of the test in place of the record's: rough-in, rough-in-no-handler, final or existing.
    #[arg(long, value_name = "STAGE")]
    pub stage: Option<String>,
    /// A measured series (CSV with `pressure` and `flow`, units in the header or the cells) in place of the sketch's readings
    /// of that leakage.
    #[arg(long, value_name = "FILE")]
    pub series: Option<PathBuf>,
    /// Which leakage the series is of.
    #[arg(long, value_enum, default_value_t = ScopeWord::Total)]
    pub series_of: ScopeWord,
    /// Exponent that moves single readings to 25 Pa; 0.60 if not given.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub exponent: Option<String>,
    /// Whether the meter corrects for the density of the air; by the record if not given. All flows are judged at
    /// 1.204 kg/m3.
    #[arg(long, value_enum, value_name = "METER")]
    pub density: Option<DensityWord>,
    /// Own figures laid over the built-in catalogue (CSV with the columns of `ductseam catalog --format csv`).
    #[arg(long, value_name = "FILE")]
    pub catalog: Option<PathBuf>,
    /// List all built-in limits and classes with their sources and how sure they are.
    #[arg(long, conflicts_with_all = ["limit", "all", "stage", "series", "record"])]
    pub list: bool,
    /// Show the record of the test instead.
    #[arg(long)]
    pub record: bool,
    /// Form of the answer; csv gives one row a limit.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// How and where the answer is shown.
    #[command(flatten)]
    pub show: Show,
}

/// Which leakage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ScopeWord {
    /// The whole system, to anywhere.
    Total,
    /// To outside the house.
    Outside,
    /// The supply side.
    Supply,
    /// The return side.
    Return,
}

/// Whether the meter corrects for the density of the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DensityWord {
    /// It does: flows are at 1.204 kg/m3 as read.
    AsRead,
    /// It does not: flows are brought to 1.204 kg/m3 by the air in the fan.
    Uncorrected,
}
