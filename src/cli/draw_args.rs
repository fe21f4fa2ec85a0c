//! What `draw` may be asked.

use clap::ValueEnum;

use super::args::SealWords;
use crate::drawing::{Layer, Sheet, View};

/// What `draw` is asked.
#[derive(Debug, clap::Args)]
pub struct DrawWords {
    /// What is marked on the ducts.
    #[arg(long, value_enum, default_value_t = LayerWord::Seams)]
    pub layer: LayerWord,
    /// How the walks are seen.
    #[arg(long, value_enum, default_value_t = ViewWord::Plan)]
    pub view: ViewWord,
    /// Paper, landscape.
    #[arg(long, value_enum, default_value_t = SheetWord::Fit)]
    pub sheet: SheetWord,
    /// Seams that `--layer top` numbers; 10 if not given.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=200))]
    pub top: Option<u32>,
    /// Dots per millimetre of a PNG; 8 (about 200 per inch) if not given.
    #[arg(long, value_name = "DOTS", allow_hyphen_values = true)]
    pub dots_per_mm: Option<f64>,
    /// What `--layer plan` seals: as `plan` would with the same words.
    #[command(flatten)]
    pub seal: SealWords,
}

/// What is marked on the ducts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LayerWord {
    /// Every seam, by its leakage.
    Seams,
    /// The leakiest seams, numbered, with a table.
    Top,
    /// The steps of the plan, numbered in their order, with a table.
    Plan,
    /// Static pressure while the unit runs.
    Running,
    /// Every seam, by its joint type.
    Types,
    /// Ducts, places, registers and names alone.
    Ducts,
}

/// How the walks are seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ViewWord {
    /// From above, level by level.
    Plan,
    /// From the south-east and above, all levels in one.
    Isometric,
}

/// Paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SheetWord {
    /// The smallest of your own paper sizes on which the system is legible.
    Fit,
    /// 297 × 210 mm.
    A4,
    /// 420 × 297 mm.
    A3,
    /// 11 × 8½ in.
    Letter,
    /// 17 × 11 in.
    Tabloid,
}

impl From<LayerWord> for Layer {
    fn from(word: LayerWord) -> Self {
        match word {
            LayerWord::Seams => Layer::Seams,
            LayerWord::Top => Layer::Top,
            LayerWord::Plan => Layer::Plan,
            LayerWord::Running => Layer::Running,
            LayerWord::Types => Layer::Types,
            LayerWord::Ducts => Layer::Ducts,
        }
    }
}

impl From<ViewWord> for View {
    fn from(word: ViewWord) -> Self {
        match word {
            ViewWord::Plan => View::Plan,
            ViewWord::Isometric => View::Isometric,
        }
    }
}

impl From<SheetWord> for Sheet {
    fn from(word: SheetWord) -> Self {
        match word {
            SheetWord::Fit => Sheet::Fit,
            SheetWord::A4 => Sheet::A4,
            SheetWord::A3 => Sheet::A3,
            SheetWord::Letter => Sheet::Letter,
            SheetWord::Tabloid => Sheet::Tabloid,
        }
    }
}
