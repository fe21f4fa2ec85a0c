//! Limits on leakage, as data: what is limited, in which measure, at which stage, whose it is, and how sure.

use super::types::Source;

/// Which leakage a figure speaks of. Figures of different scopes are never compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scope {
    /// All ducts of a system, to anywhere.
    Total,
    /// To outside the house alone.
    Outside,
    /// The supply side, to anywhere.
    Supply,
    /// The return side, to anywhere.
    Return,
}

impl Scope {
    /// All scopes.
    pub const ALL: [Scope; 4] = [Scope::Total, Scope::Outside, Scope::Supply, Scope::Return];

    /// The scope in words.
    pub fn words(self) -> &'static str {
        match self {
            Scope::Total => "total",
            Scope::Outside => "to outside",
            Scope::Supply => "supply",
            Scope::Return => "return",
        }
    }

    /// The scope as data files write it.
    pub fn code(self) -> &'static str {
        match self {
            Scope::Outside => "outside",
            other => other.words(),
        }
    }
}

/// When in a building's life a test is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Before finishes, the air handler set.
    RoughIn,
    /// Before finishes, without the air handler.
    RoughInNoHandler,
    /// After construction.
    Final,
    /// An existing system, changed or repaired.
    Existing,
}

impl Stage {
    /// All stages.
    pub const ALL: [Stage; 4] = [
        Stage::RoughIn,
        Stage::RoughInNoHandler,
        Stage::Final,
        Stage::Existing,
    ];

    /// The stage in words, as a sketch writes it.
    pub fn words(self) -> &'static str {
        match self {
            Stage::RoughIn => "rough-in",
            Stage::RoughInNoHandler => "rough-in without handler",
            Stage::Final => "final",
            Stage::Existing => "existing",
        }
    }

    /// The stage as data files write it.
    pub fn code(self) -> &'static str {
        match self {
            Stage::RoughInNoHandler => "rough-in-no-handler",
            other => other.words(),
        }
    }

    /// The stage of some words, as a sketch or a data file writes them.
    pub fn from_words(words: &str) -> Option<Stage> {
        let words = words.trim();
        Stage::ALL.into_iter().find(|stage| {
            stage.words().eq_ignore_ascii_case(words) || stage.code().eq_ignore_ascii_case(words)
        })
    }
}

/// What a limit is measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// A flow at 25 Pa, m³/s.
    Flow(f64),
    /// Flow at 25 Pa by the conditioned floor area served, m³/s per m².
    PerFloorArea(f64),
    /// Part of the fan's airflow, 0 to 1.
    PartOfAirflow(f64),
    /// Inch-pound leakage class, by duct surface.
    Class(f64),
}

/// A limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Stable name.
    pub id: String,
    /// What it limits, in words.
    pub words: String,
    /// Code, standard or programme it belongs to, or who entered it.
    pub issuer: String,
    /// Edition or year.
    pub edition: String,
    /// Section; empty where unknown.
    pub section: String,
    /// Stages it is for; empty for any.
    pub stages: Vec<Stage>,
    /// Which leakage.
    pub scope: Scope,
    /// Figure and what it is measured in.
    pub measure: Measure,
    /// The limit is never below this flow at 25 Pa, m³/s; 0 where there is no such floor.
    pub least_m3_s: f64,
    /// What else must hold for it to apply, in words; empty for nothing.
    pub condition: String,
    /// Where the figure comes from and how sure it is.
    pub source: Source,
    /// A person's own, from the sketch.
    pub own: bool,
}

impl Limit {
    /// Whether it is for tests of a stage.
    #[must_use]
    pub fn is_for(&self, stage: Stage) -> bool {
        self.stages.is_empty() || self.stages.contains(&stage)
    }
}

/// An id with blanks and capitals as people write it, as the tables write it.
#[must_use]
pub fn plain_id(id: &str) -> String {
    id.trim().to_lowercase().replace([' ', '_'], "-")
}

/// A scale of classes by duct surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClassScale {
    /// Inch-pound leakage class: cfm per 100 ft² at 1 in. w.g.
    Leakage,
    /// European tightness class: L/(s·m²) at 1 Pa.
    Tightness,
}

/// A class of ducts by the leakage of their surface; both scales go with pressure to the 0.65.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassRow {
    /// Stable name.
    pub id: String,
    /// Which scale.
    pub scale: ClassScale,
    /// Name of the class.
    pub name: String,
    /// What it stands for: construction, seal class, old name.
    pub words: String,
    /// Its factor in the unit of its scale; `None` for what is not classified.
    pub factor: Option<f64>,
    /// Where it comes from.
    pub source: Source,
}
