//! What a prediction says: plain data, SI.

use crate::allocate::{Allocation, Band};
use crate::catalog::{Basis, Work};
use crate::limits::Unknown;
use crate::quantity::Size;
use crate::sketch::SealClass;
use crate::system::{OpeningIdx, PlaceIdx, Side};

/// What a design will probably leak.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The sketch as it stands.
    pub expected: Expected,
    /// The same in short, for comparison with the variants.
    pub as_sketched: Outlook,
    /// Draws behind each choice.
    pub choice_draws: usize,
    /// The sketch as it stands in those draws, for comparison with the choices.
    pub base: Outlook,
    /// What could be built otherwise, one thing at a time; most leakage taken off the total first, then off what goes to
    /// outside.
    pub choices: Vec<Choice>,
    /// Pairs of choices, most first.
    pub pairs: Vec<Choice>,
    /// The sketch's own variants, in its order.
    pub variants: Vec<VariantOutlook>,
    /// How the running design stands; `None` where it could not be solved.
    pub design: Option<Design>,
    /// What it is made of.
    pub materials: Materials,
    /// What of the computation did not go well, in words; empty when all did.
    pub doubts: Vec<String>,
}

/// The expected leakage of one way of building.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Everything that draws of the prior say: house, groups, seams.
    pub allocation: Allocation,
    /// Duct surface, m².
    pub surface_m2: f64,
    /// Inch-pound leakage class of the ducts: their seams over their surface, without the unit's cabinet and filter slot and
    /// the gaps round boots. `None` without duct surface.
    pub class: Option<Band>,
    /// The tightest European class that the mean of `class` reaches, in words; `None` where none is.
    pub tightness: Option<String>,
    /// Limits of the sketch, in its order.
    pub limits: Vec<LimitOutlook>,
}

/// A limit before any test.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitOutlook {
    /// Index in [`System::limits`](crate::system::System::limits).
    pub limit: usize,
    /// The flow at 25 Pa that it allows, m³/s.
    pub allowed_m3_s: Result<f64, Unknown>,
    /// The leakage that it speaks of, m³/s.
    pub leakage_m3_s: Band,
    /// Chance to be at or below it; `None` where the limit is not known as a flow.
    pub chance: Option<f64>,
    /// What the stage of the limit leaves out of the leakage, in words; empty for nothing.
    pub left_out: &'static str,
}

/// Leakage of one way of building.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Total test, m³/s.
    pub total_m3_s: Band,
    /// To outside, m³/s.
    pub outside_m3_s: Band,
    /// Inch-pound leakage class of the ducts, mean; `None` without duct surface.
    pub class: Option<f64>,
    /// Duct surface, m².
    pub surface_m2: f64,
    /// Draws that could not be solved and are left out.
    pub unsolved: usize,
    /// Chance to be at or below each limit of the sketch; `None` where the limit is not known as a flow.
    pub chances: Vec<Option<f64>>,
}

/// What could be built otherwise.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// All seams of a joint type made in another workmanship.
    Work {
        /// The joint type's id.
        joint_type: String,
        /// Its readable name.
        name: String,
        /// How many seams.
        seams: usize,
        /// The workmanship.
        work: Work,
    },
    /// Everything that a seal class covers, in mastic.
    SealClass(SealClass),
    /// Another joint type.
    Swap {
        /// What is done, in trade words.
        words: String,
        /// How many seams.
        seams: usize,
    },
    /// Ducts of a place brought inside.
    Inside {
        /// The place.
        place: PlaceIdx,
    },
    /// All straight duct shorter by a part.
    Shorter {
        /// The part.
        by: f64,
    },
    /// Two of the above.
    Both(Box<What>, Box<What>),
}

/// One choice with what it does.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// What is built otherwise.
    pub what: What,
    /// What comes out.
    pub after: Outlook,
    /// Mean of what it takes off the total, m³/s: the part that goes in its draws, of the mean in all draws.
    pub total_cut_m3_s: f64,
    /// The same of the leakage to outside, m³/s.
    pub outside_cut_m3_s: f64,
}

/// A variant of the sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct VariantOutlook {
    /// Its name.
    pub id: String,
    /// What comes out, in as many draws as [`Prediction::expected`].
    pub after: Outlook,
    /// Static pressure that its ducts ask of the unit, between the plenums, running, Pa.
    pub static_pa: Option<f64>,
}

/// A figure of common practice that a design is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PracticeRow {
    /// The figure, SI.
    pub value: f64,
    /// Where it comes from.
    pub source: &'static str,
}

/// How the design stands while running, every seam at its prior mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Airflow through the blower, m³/s.
    pub airflow_m3_s: f64,
    /// Whether the curve was scaled to an airflow that the sketch states.
    pub airflow_stated: bool,
    /// Whether the curve goes through the sketch's own points.
    pub own_curve: bool,
    /// Static pressure from plenum to plenum, Pa.
    pub static_pa: f64,
    /// What many units are rated at, Pa.
    pub static_practice: PracticeRow,
    /// Straight duct that is faster than is usual, fastest first.
    pub fast: Vec<FastPiece>,
    /// Straight duct with the highest friction.
    pub steepest: Option<FastPiece>,
    /// Usual friction of a design, Pa/m.
    pub friction_practice: PracticeRow,
    /// The register that gets the least of what is meant, and the one with the longest loss.
    pub registers: Vec<Register>,
    /// What the solver doubts, in words; empty when it settled.
    pub doubt: String,
}

/// A piece of straight duct in the running design.
#[derive(Debug, Clone, PartialEq)]
pub struct FastPiece {
    /// The piece.
    pub id: String,
    /// Its side.
    pub side: Side,
    /// Velocity, m/s.
    pub velocity_m_s: f64,
    /// Usual velocity at most there.
    pub practice: PracticeRow,
    /// Loss of total pressure by its length, Pa/m.
    pub friction_pa_m: f64,
}

/// A register of the running design.
#[derive(Debug, Clone, PartialEq)]
pub struct Register {
    /// The opening.
    pub opening: OpeningIdx,
    /// Total pressure lost between plenum and register, Pa.
    pub loss_pa: f64,
    /// What flows, m³/s.
    pub flow_m3_s: f64,
    /// What is meant, m³/s.
    pub meant_m3_s: Option<f64>,
}

/// What a design is made of.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Materials {
    /// Straight duct.
    pub ducts: Vec<DuctLine>,
    /// Fittings, boots, dampers.
    pub fittings: Vec<FittingLine>,
    /// Seams.
    pub seams: Vec<SeamLine>,
    /// What sealing every seam by hand takes, each by the method that suits it best.
    pub sealants: Vec<SealantLine>,
    /// Duct surface with insulation, by thermal resistance, m²K/W and m².
    pub insulation: Vec<(f64, f64)>,
}

/// Straight duct of one kind and size.
#[derive(Debug, Clone, PartialEq)]
pub struct DuctLine {
    /// What it is made of.
    pub made_of: String,
    /// Size.
    pub size: Size,
    /// Metres.
    pub length_m: f64,
    /// Straight lengths between fittings.
    pub lengths: usize,
    /// Surface, m².
    pub surface_m2: f64,
}

/// Fittings of one kind and size.
#[derive(Debug, Clone, PartialEq)]
pub struct FittingLine {
    /// What it is, in trade words.
    pub what: String,
    /// Size.
    pub size: Size,
    /// How many.
    pub count: usize,
}

/// Seams of one joint type.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamLine {
    /// The joint type's id.
    pub joint_type: String,
    /// Readable name.
    pub name: String,
    /// How many seams.
    pub count: usize,
    /// What `amount` counts.
    pub basis: Basis,
    /// Metres or pieces.
    pub amount: f64,
}

/// Material for sealing.
#[derive(Debug, Clone, PartialEq)]
pub struct SealantLine {
    /// Material.
    pub material: String,
    /// `L`, `m` or `each`.
    pub unit: String,
    /// How much.
    pub amount: f64,
    /// Seams that it serves.
    pub seams: usize,
}
