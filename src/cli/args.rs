//! What may be typed. One definition feeds parsing, help and completions.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

use super::batch::BatchWords;
use super::believed::Believed;
use super::completions::CompletionsWords;
use super::draw_args::DrawWords;
use super::limits_args::LimitsWords;
use super::manual::ManualWords;
#[cfg(feature = "page")]
use super::page_args::PageWords;
use super::teach_args::{ExerciseWords, JointsWords};
use crate::quantity::UnitSystem;

/// Find where forced-air ducts probably leak.
///
/// Write a short sketch that reads like a walk along the ducts, add what the test fan read, and get the
/// seams ranked by where the leakage probably is, with how sure that is.
#[derive(Debug, Parser)]
#[command(name = "ductseam", version, max_term_width = 100, after_help = EXIT_CODES)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

const EXIT_CODES: &str = "Exit codes: 0 answered, 1 answered but doubtful or stopped by a caution, 2 wrong input.\n\
    Start with `ductseam new -o house.yaml`, then `ductseam check house.yaml`, then `ductseam allocate house.yaml`,\n\
    `ductseam next house.yaml` for what to look at or test next,\n\
    `ductseam plan house.yaml` for what to seal, `ductseam effects house.yaml` for what it does to rooms and bill, and\n\
    `ductseam prove house.yaml` afterwards. `ductseam draw house.yaml -o house.svg` draws it, and\n\
    `ductseam report house.yaml -o house.html` writes one page for owner, crew and inspector.";

/// The commands; more may come.
#[derive(Debug, Subcommand)]
#[non_exhaustive]
pub enum Command {
    /// Write a commented starter sketch, or one made from a list of runs in a spreadsheet.
    New(NewWords),
    /// Read a sketch and say what was understood: runs, seams, areas, every default used, warnings.
    Check {
        /// What is read.
        #[command(flatten)]
        input: Input,
        /// How and where the answer is shown.
        #[command(flatten)]
        show: Show,
        /// Form of the answer.
        #[arg(long, value_enum, default_value_t = TextOrJson::Text)]
        format: TextOrJson,
        /// Names every seam too, by the id that looks and sealing steps use (text; JSON has them always).
        #[arg(long)]
        seams: bool,
    },
    /// Spread the measured leakage over the seams, with honest doubt.
    Allocate(Question<AllocateAsk>),
    /// Say what to look at or test next: what catches most leakage for its time.
    #[command(mut_arg("format", |format| format.help("Form of the answer; csv gives one row a candidate")))]
    Next(Question<NextWords>),
    /// Set every reading and look against the model, with what would explain a poor fit.
    #[command(mut_arg("format", |format| format.help("Form of the answer; csv gives one row a reading")))]
    Compare(Question<NoWords>),
    /// Choose what to seal for the time, the money or the limit at hand, and what it will probably buy.
    ///
    /// Without time, money or target: everything that can be reached.
    #[command(mut_arg("format", |format| format.help("Form of the answer; csv gives one row a step")))]
    Plan(Question<PlanWords>),
    /// Say what sealing would do to rooms, house, energy and cost: by default everything that can be reached is sealed.
    #[command(mut_arg("format", |format| format.help("Form of the answer; csv gives one row a register")))]
    Effects(Question<EffectsWords>),
    /// Hold readings from before and after the sealing against each other: what was achieved, what remains.
    #[command(mut_arg("format", |format| format.help("Form of the answer; csv gives one row a seam that remains")))]
    Prove(Question<ProveWords>),
    /// Say before any test what a design will probably leak, and what would change it most.
    ///
    /// Readings and looks of the sketch are left out; its `limits` and `variants` are held against what is expected.
    #[command(mut_arg("format", |format| format.help("Form of the answer; csv gives one row a way of building")))]
    Predict(Question<PredictWords>),
    /// Write one self-contained page with the drawing, the seams, what to do and every assumption: for owner, crew and
    /// inspector.
    ///
    /// The page needs no network. It prints as two pages for the owner, as the crew's work list, or whole. Its plan is for
    /// a day's work (8 h) unless `--time`, `--money` or `--target` says otherwise.
    Report(Shown<ReportWords>),
    /// Draw the ducts to scale, from the walks, with the seams where they are: one sheet, SVG or PNG.
    ///
    /// `ductseam draw house.yaml -o house.svg`, or `-o house.png`; without `-o` the SVG goes to standard output.
    Draw(Shown<DrawWords>),
    /// Draw a system in the browser: a page on this machine that writes the sketch as you draw, and ranks its seams.
    ///
    /// The page needs no network and sends nothing anywhere. Beside the sketch it keeps the file as it was (`.bak`) and what
    /// is not saved yet.
    #[cfg(feature = "page")]
    Page(PageWords),
    /// Solve pressures and flows in one set-up: normal running, a leakage test, a pan or house-fan test.
    ///
    /// Before any reading: every seam leaks the catalogue's mean.
    Flow {
        /// What is read.
        #[command(flatten)]
        input: Input,
        /// How and where the answer is shown.
        #[command(flatten)]
        show: Show,
        /// Form of the answer.
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// What is solved.
        #[command(flatten)]
        ask: FlowAsk,
        /// Show the pieces along each run too.
        #[arg(long)]
        pieces: bool,
        /// Rows of the seam table; 0 shows all.
        #[arg(long, default_value_t = 10, value_name = "N")]
        rows: usize,
    },
    /// Answer many systems: one row a system, a joint type, a seam; and learn what crews do from all of them.
    ///
    /// `ductseam batch homes -o answers` answers every sketch of a folder; stopped at any moment, the same command goes on.
    /// `ductseam batch -` answers records from standard input, one a line, in their order. A bad record is told and skipped.
    Batch(Box<BatchWords>),
    /// Hold measured leakage against limits, in every form people give it in; fit a series; keep the record of the test.
    Limits(LimitsWords),
    /// List joint types, roughness and fitting losses with their sources, or explain one joint type.
    Catalog {
        /// Explain this joint type.
        #[arg(long, value_name = "NAME")]
        joint: Option<String>,
        /// Own figures laid over the built-in catalogue (CSV with the columns that `--format csv` shows).
        #[arg(long, value_name = "FILE")]
        catalog: Option<PathBuf>,
        /// How and where the answer is shown.
        #[command(flatten)]
        show: Show,
        /// Form of the answer; csv gives the built-in joint types as a file of your own would hold them.
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Say which joint types leak most: in some sketches, and in the catalogue.
    Joints(JointsWords),
    /// Make a classroom exercise with a known truth, or mark a learner's list against it.
    ///
    /// `ductseam exercise house.yaml --seed 7 -o class.yaml --answers class.answers.json` makes one; `ductseam exercise
    /// class.yaml --mark learner.csv --answers class.answers.json` marks.
    Exercise(ExerciseWords),
    /// Print the JSON Schema of the sketch file, for editors that complete and check.
    Schema {
        /// File to write instead of standard output.
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Print a script with which a shell completes commands, options and their words.
    ///
    /// `ductseam completions bash -o FILE`, with FILE where the shell looks for such scripts: for bash
    /// `~/.local/share/bash-completion/completions/ductseam`.
    Completions(CompletionsWords),
    /// Write the manual as man pages: one of the program, one of each command.
    Manual(ManualWords),
}

/// What `new` is asked.
#[derive(Debug, clap::Args)]
pub struct NewWords {
    /// List of runs to make the sketch from: CSV, one row a run, columns such as run, from, at, size, length, material,
    /// fittings, place, room; `-` reads standard input. What it does not say is assumed and told.
    #[arg(long, value_name = "LIST")]
    pub from: Option<PathBuf>,
    /// Title of the sketch made from a list.
    #[arg(long, value_name = "TITLE", requires = "from")]
    pub title: Option<String>,
    /// Units of answers; those in which most of the list is written if not given.
    #[arg(
        long,
        value_enum,
        ignore_case = true,
        value_name = "UNITS",
        requires = "from"
    )]
    pub units: Option<Units>,
    /// File to write; it must not exist yet. Without it the sketch goes to standard output.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// A question answered from draws, in one of three forms.
#[derive(Debug, clap::Args)]
pub struct Question<Words: clap::Args> {
    /// What is read.
    #[command(flatten)]
    pub input: Input,
    /// How and where the answer is shown.
    #[command(flatten)]
    pub show: Show,
    /// Form of the answer.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// The random draws.
    #[command(flatten)]
    pub draws: Draws,
    /// What is asked.
    #[command(flatten)]
    pub ask: Words,
    /// What is believed beforehand.
    #[command(flatten)]
    pub believed: Believed,
}

/// A question answered from draws in a form of its own.
#[derive(Debug, clap::Args)]
pub struct Shown<Words: clap::Args> {
    /// What is read.
    #[command(flatten)]
    pub input: Input,
    /// How and where the answer is shown.
    #[command(flatten)]
    pub show: Show,
    /// The random draws.
    #[command(flatten)]
    pub draws: Draws,
    /// What is asked.
    #[command(flatten)]
    pub ask: Words,
    /// What is believed beforehand.
    #[command(flatten)]
    pub believed: Believed,
}

/// Nothing more is asked.
#[derive(Debug, clap::Args)]
pub struct NoWords {}

/// The random draws.
#[derive(Debug, clap::Args)]
pub struct Draws {
    /// Seed of the random draws; the same seed gives the same answer, byte for byte.
    #[arg(long, default_value_t = 1, value_name = "N")]
    pub seed: u64,
    /// Number of draws, 500 at least.
    #[arg(long, default_value_t = 2000, value_name = "N", value_parser = clap::value_parser!(u32).range(500..=1_000_000))]
    pub draws: u32,
}

/// What `allocate` shows.
#[derive(Debug, clap::Args)]
pub struct AllocateAsk {
    /// Rows of the seam table; 0 shows all.
    #[arg(long, default_value_t = 25, value_name = "N")]
    pub rows: usize,
    /// Show too how much the answer hangs on what is believed beforehand; takes several times as long.
    #[arg(long)]
    pub sensitivity: bool,
}

/// What `next` is asked.
#[derive(Debug, clap::Args)]
pub struct NextWords {
    /// What the doubt is about.
    #[arg(long, value_enum, default_value_t = TargetWord::Total)]
    pub target: TargetWord,
    /// How many seams would be sealed afterwards; what is usual for the system if not given.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub seal: Option<u32>,
    /// Rows of the table; 0 shows all.
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub rows: usize,
}

/// Chance with which a target is to be met where nothing is said. Common practice.
pub const USUAL_CHANCE: &str = "90 %";
pub use crate::effects::USUAL_DRAFT_LIMIT;

/// What is to be sealed.
#[derive(Debug, Clone, clap::Args)]
pub struct SealWords {
    /// Time at hand, for instance `4 h`.
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub time: Option<String>,
    /// Money at hand, labour included; needs rates or prices under `crew` in the sketch.
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub money: Option<String>,
    /// Leakage to come down to: `60 cfm`, `6 % of airflow` or `4 cfm per 100 ft2`.
    #[arg(long, value_name = "LIMIT", allow_hyphen_values = true)]
    pub target: Option<String>,
    /// Chance with which the target shall be met.
    #[arg(
        long,
        value_name = "CHANCE",
        default_value = USUAL_CHANCE,
        allow_hyphen_values = true
    )]
    pub chance: String,
    /// Which leakage counts: the total test, to outside, or while running.
    #[arg(long, value_enum, default_value_t = BasisWord::Total)]
    pub basis: BasisWord,
    /// Let the plan use sealing from inside, as `from inside: yes` under `crew` does.
    #[arg(long)]
    pub from_inside: bool,
    /// Depressurisation of a zone with natural draft past which the work stops for a draft test: the strictest figure of
    /// older screening tables if not given (from memory).
    #[arg(
        long,
        value_name = "PRESSURE",
        default_value = USUAL_DRAFT_LIMIT,
        allow_hyphen_values = true
    )]
    pub draft_limit: String,
}

/// What `plan` shows.
#[derive(Debug, clap::Args)]
pub struct PlanWords {
    /// What is to be sealed.
    #[command(flatten)]
    pub seal: SealWords,
    /// A list for the crew instead: by place, with boxes to tick.
    #[arg(long)]
    pub work_list: bool,
    /// Rows of the table of steps; 0 shows all.
    #[arg(long, default_value_t = 20, value_name = "N")]
    pub rows: usize,
}

/// What `effects` is asked.
#[derive(Debug, clap::Args)]
pub struct EffectsWords {
    /// What is sealed: as `plan` would with the same words.
    #[command(flatten)]
    pub seal: SealWords,
    /// Show every register beside the rooms.
    #[arg(long)]
    pub registers: bool,
    /// List everything that stood in for something unsaid.
    #[arg(long)]
    pub defaults: bool,
}

/// What `prove` is asked.
#[derive(Debug, clap::Args)]
pub struct ProveWords {
    /// Leakage that was to be come down to: `60 cfm`, `6 % of airflow` or `4 cfm per 100 ft2`.
    #[arg(long, value_name = "LIMIT", allow_hyphen_values = true)]
    pub target: Option<String>,
    /// Rows of the tables of seams; 0 shows all.
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub rows: usize,
}

/// What `predict` shows.
#[derive(Debug, clap::Args)]
pub struct PredictWords {
    /// Rows of the table of choices; 0 shows all.
    #[arg(long, default_value_t = 6, value_name = "N")]
    pub rows: usize,
    /// List every duct, fitting and seam with its metres and pieces.
    #[arg(long)]
    pub materials: bool,
}

/// What `report` is asked.
#[derive(Debug, clap::Args)]
pub struct ReportWords {
    /// What is to be sealed: as `plan` would with the same words; a day's work (8 h) where nothing is said.
    #[command(flatten)]
    pub seal: SealWords,
}

/// Which leakage counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BasisWord {
    /// The whole system in the test, the house open.
    Total,
    /// To outside in the test.
    Outside,
    /// All seams while the unit runs.
    Running,
}

/// What the doubt is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TargetWord {
    /// Leakage of all seams.
    Total,
    /// Leakage of seams behind finish or out of reach.
    Hidden,
    /// Leakage to outside.
    Outside,
}

/// What `flow` solves.
#[derive(Debug, clap::Args)]
pub struct FlowAsk {
    /// Set-up: running, running-held, total, to-outside, supply, return, guarded-supply, guarded-return, rough-in,
    /// house-fan-open, house-fan-masked, isolated:RUN, pan:RUN, or reading:ID for that of a reading in the sketch.
    #[arg(long, default_value = "running", value_name = "WORD")]
    pub set_up: String,
    /// Pressure held at the tap or in the house, for instance `25 Pa`; the set-up's usual one if not given.
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    pub pressure: Option<String>,
    /// Pull down instead of blowing up.
    #[arg(long)]
    pub pull: bool,
    /// Temperature of the supply air while running, for instance `130 F`; neither heated nor cooled if not given.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub supply_air: Option<String>,
    /// Take the blower's curve as it is, or scale it to the sketch's airflow. If not given: as it is for the sketch's own
    /// points, scaled for the estimated curve.
    #[arg(long, value_enum)]
    pub airflow: Option<Airflow>,
}

/// What becomes of the blower's curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Airflow {
    /// Taken as it is.
    AsCurve,
    /// Scaled so that the sketch's airflow is met.
    AsMeasured,
}

/// What is read.
#[derive(Debug, clap::Args)]
pub struct Input {
    /// The sketch; `-` reads standard input.
    #[arg(value_name = "SKETCH")]
    pub sketch: PathBuf,
    /// Own figures laid over the built-in catalogue (CSV with the columns of `ductseam catalog --format csv`).
    #[arg(long, value_name = "FILE")]
    pub catalog: Option<PathBuf>,
}

/// How and where the answer is shown.
#[derive(Debug, clap::Args)]
pub struct Show {
    /// Units of the answer; the sketch's own if not given.
    #[arg(long, value_enum, ignore_case = true, value_name = "UNITS")]
    pub units: Option<Units>,
    /// File to write instead of standard output; written whole or not at all.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// Units of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Inch-pound: cfm, feet, square inches.
    Ip,
    /// SI: L/s, metres, square centimetres.
    Si,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Ip => UnitSystem::Ip,
            Units::Si => UnitSystem::Si,
        }
    }
}

/// Text or JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TextOrJson {
    /// For people, at most 100 columns.
    Text,
    /// For programs, SI.
    Json,
}

/// Text, JSON or CSV.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people, at most 100 columns.
    Text,
    /// For programs, SI; a versioned contract.
    Json,
    /// For spreadsheets, SI: one row a seam, joint type, candidate or reading.
    Csv,
}
