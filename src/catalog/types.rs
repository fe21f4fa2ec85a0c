//! The plain types of the catalogue.

use crate::math::{exp, ln, powf, square};

/// Spread (geometric standard deviation) of the workmanship factor that all field-made joints of one system share.
///
/// # Source
/// Engineering estimate: with it, the unsealed 90 % bands of whole duct lengths fall inside, or nearly, the ranges that the ASHRAE
/// Handbook Fundamentals (2001, 2005, duct design chapter; from memory) gives for its leakage classes.
pub const WORKMANSHIP_GSD: f64 = 1.7;

/// Spread (geometric standard deviation) of a crew's habit with one joint type. Engineering estimate.
pub const HABIT_GSD: f64 = 1.3;

/// Where the spreads of the built-in rows come from.
pub const SPREAD_SOURCE: &str = "engineering estimate; the 90 % bands of whole lengths were held against the ranges of the ASHRAE leakage classes";

/// Where the chances of a gross leak come from.
pub const GROSS_CHANCE_SOURCE: &str =
    "engineering estimate; no published count of joints found hanging open";

/// The part of a field-made joint's variance of ln flow that it shares with others: workmanship and habit.
///
/// # Equation
/// ```text
/// s_w² + s_t² = (ln 1.7)² + (ln 1.3)²  ≈ 0.3504
/// ```
///
/// # Examples
/// ```
/// assert!((ductseam::catalog::shared_variance() - 0.3504).abs() < 1e-4);
/// ```
pub fn shared_variance() -> f64 {
    square(ln(WORKMANSHIP_GSD)) + square(ln(HABIT_GSD))
}

/// How well a joint was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Work {
    /// No sealant, or a seal known to have failed.
    Unsealed,
    /// Tape or gasket, reasonable, not inspected.
    Ordinary,
    /// Mastic, or gasket and sealant, inspected.
    Mastic,
}

impl Work {
    /// The three states, from worst to best.
    pub const ALL: [Work; 3] = [Work::Unsealed, Work::Ordinary, Work::Mastic];

    /// The word a sketch uses.
    pub fn word(self) -> &'static str {
        match self {
            Work::Unsealed => "unsealed",
            Work::Ordinary => "ordinary",
            Work::Mastic => "mastic",
        }
    }

    /// The state that a word names, if it is one of the three.
    pub fn from_word(word: &str) -> Option<Work> {
        Work::ALL
            .into_iter()
            .find(|w| w.word().eq_ignore_ascii_case(word.trim()))
    }

    /// What the state means, in words.
    pub fn meaning(self) -> &'static str {
        match self {
            Work::Unsealed => "no sealant, or a seal known to have failed",
            Work::Ordinary => "tape or gasket, reasonable, not inspected",
            Work::Mastic => "mastic, or gasket and sealant, inspected",
        }
    }
}

/// What a joint type's flow is counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Basis {
    /// By the metre of seam, circumference, perimeter or edge.
    PerMetre,
    /// By the piece.
    Each,
}

impl Basis {
    /// The word of the data file: `m` or `each`.
    pub fn word(self) -> &'static str {
        match self {
            Basis::PerMetre => "m",
            Basis::Each => "each",
        }
    }
}

/// How sure a figure is: how it came into the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sure {
    /// Seen in the named source or in its official abstract.
    Read,
    /// Seen quoted by someone else.
    ReadSecondHand,
    /// Recalled, not seen.
    Memory,
    /// Arithmetic on a figure of another mark.
    Calculated,
    /// An engineering estimate; no published figure behind it.
    Estimate,
    /// What the trade commonly does.
    CommonPractice,
}

impl Sure {
    /// All marks, surest kind of reading first.
    pub const ALL: [Sure; 6] = [
        Sure::Read,
        Sure::ReadSecondHand,
        Sure::Memory,
        Sure::Calculated,
        Sure::Estimate,
        Sure::CommonPractice,
    ];

    /// The mark in words.
    pub fn words(self) -> &'static str {
        match self {
            Sure::Read => "read",
            Sure::ReadSecondHand => "read second-hand",
            Sure::Memory => "from memory",
            Sure::Calculated => "calculated",
            Sure::Estimate => "engineering estimate",
            Sure::CommonPractice => "common practice",
        }
    }

    /// The mark as the data file writes it, such as `read-second-hand`.
    pub fn code(self) -> &'static str {
        match self {
            Sure::Read => "read",
            Sure::ReadSecondHand => "read-second-hand",
            Sure::Memory => "memory",
            Sure::Calculated => "calculated",
            Sure::Estimate => "estimate",
            Sure::CommonPractice => "common-practice",
        }
    }

    /// One letter for narrow tables: R, 2, M, C, E, P.
    pub fn letter(self) -> char {
        match self {
            Sure::Read => 'R',
            Sure::ReadSecondHand => '2',
            Sure::Memory => 'M',
            Sure::Calculated => 'C',
            Sure::Estimate => 'E',
            Sure::CommonPractice => 'P',
        }
    }
}

/// Where a figure comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Title, number and year of the source, or the reasoning of an estimate.
    pub text: String,
    /// How sure the figure is.
    pub sure: Sure,
}

/// What is known of a joint type in one state of workmanship.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// Arithmetic mean flow at 25 Pa, m³/s per metre or each (see [`Basis`]), > 0.
    pub mean_q25: f64,
    /// Geometric standard deviation of the flow among joints, > 1. The whole spread: workmanship, habit and the joint's own.
    pub gsd: f64,
    /// Flow exponent, 0.5 to 1.
    pub n: f64,
    /// Source of the mean.
    pub source: Source,
}

impl State {
    /// Standard deviation of ln flow: `s = ln GSD`.
    pub fn sd_ln(&self) -> f64 {
        ln(self.gsd)
    }

    /// Median flow at 25 Pa, m³/s per metre or each: `mean · exp(−s²/2)` of a lognormal.
    pub fn median_q25(&self) -> f64 {
        self.mean_q25 * exp(-0.5 * square(self.sd_ln()))
    }

    /// The 5 % and 95 % quantiles of one joint's flow at 25 Pa, m³/s per metre or each: `median · exp(∓1.6449 s)`.
    pub fn band_90(&self) -> (f64, f64) {
        /// 95 % quantile of the standard normal distribution.
        const Z95: f64 = 1.644_853_626_951_472_7;
        let (median, reach) = (self.median_q25(), exp(Z95 * self.sd_ln()));
        (median / reach, median * reach)
    }
}

/// A type of joint: what leaks there, how much, how widely it scatters, and why we think so.
#[derive(Debug, Clone, PartialEq)]
pub struct JointType {
    /// Stable name, such as `flex-collar`.
    pub id: String,
    /// The name in the trade.
    pub name: String,
    /// Group for listing: seam, joint, fitting, flex, equipment, terminal, cavity, opening, remainder, or a user's own.
    pub group: String,
    /// What the flow is counted by.
    pub basis: Basis,
    /// The three states in the order of [`Work::ALL`].
    pub states: [State; 3],
    /// Whether the joint is made on site, and so shares the workmanship of the system and the crew's habit.
    pub field_made: bool,
    /// Prior chance, 0 to 0.5, that one such seam hangs open, is off, or was never closed. See [`GROSS_CHANCE_SOURCE`].
    pub gross_chance: f64,
    /// By how much the flow of 0.55 mm sheet is divided for 0.85 mm sheet; 1 where the gauge does not matter.
    pub thick_divisor: f64,
    /// What the row is for, and what it is not.
    pub note: String,
    /// Whether the row comes from a user's file.
    pub mine: bool,
}

impl JointType {
    /// The state of a workmanship.
    pub fn state(&self, work: Work) -> &State {
        match work {
            Work::Unsealed => &self.states[0],
            Work::Ordinary => &self.states[1],
            Work::Mastic => &self.states[2],
        }
    }

    /// Median flow at 25 Pa, m³/s per metre or each.
    ///
    /// # Equation
    /// ```text
    /// median = mean · exp(−s²/2),   s = ln GSD (the whole spread)
    /// ```
    pub fn median_q25(&self, work: Work) -> f64 {
        self.state(work).median_q25()
    }

    /// Variance of ln flow that is the joint's own: what is left of `s²` after workmanship and habit.
    ///
    /// For a joint that is not field-made it is the whole `s²`. Always > 0 for a row that the reader accepted.
    pub fn own_variance(&self, work: Work) -> f64 {
        let whole = square(self.state(work).sd_ln());
        if self.field_made {
            whole - shared_variance()
        } else {
            whole
        }
    }

    /// Factor on the flow for a sheet thickness in metres: 1 at 0.55 mm (26 ga) and thinner.
    ///
    /// # Equation
    /// ```text
    /// factor = divisor^(−x),   x = clamp((t − 0.55 mm)/(0.85 mm − 0.55 mm), 0, 1)
    /// ```
    /// so that ln factor is a straight line between the two thicknesses, and constant outside.
    ///
    /// # Limits
    /// A thickness that is not a number gives 1.
    ///
    /// # Source
    /// Both ends: ASHRAE Handbook Fundamentals 2001 and 2005, duct design chapter, seam leakage at 26 and 22 ga, from memory
    /// (22 ga button-punch snaplock is one test). The line between is an engineering estimate.
    pub fn gauge_factor(&self, thickness_m: f64) -> f64 {
        const THIN: f64 = 0.55e-3;
        const THICK: f64 = 0.85e-3;
        if thickness_m.is_nan() {
            return 1.0;
        }
        let x = ((thickness_m - THIN) / (THICK - THIN)).clamp(0.0, 1.0);
        powf(self.thick_divisor, -x)
    }
}

/// Roughness of a duct material.
#[derive(Debug, Clone, PartialEq)]
pub struct Roughness {
    /// Stable name, such as `galvanized-round`.
    pub id: String,
    /// The material in words.
    pub name: String,
    /// The handbook's class: smooth, medium smooth, average, medium rough, rough.
    pub words: String,
    /// Design value, mm.
    pub eps_mm: f64,
    /// Lowest value in use, mm.
    pub low: f64,
    /// Highest value in use, mm.
    pub high: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Loss coefficient of a fitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitting {
    /// Stable name, such as `elbow-adjustable`.
    pub id: String,
    /// The trade word as a walk writes it, such as `adjustable elbow`.
    pub name: String,
    /// Loss coefficient on the velocity pressure of the leg named in `leg`; may be negative in converging flow.
    pub c: f64,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// The section whose velocity pressure the coefficient refers to.
    pub leg: String,
    /// Where it comes from.
    pub source: Source,
}

/// Pressure drop of a component: `dp = dp_pa · (Q / Q_ref)^m`.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Stable name, such as `filter`.
    pub id: String,
    /// The name in words.
    pub name: String,
    /// Pressure drop at the reference flow, Pa.
    pub dp_pa: f64,
    /// Low end, Pa.
    pub low_pa: f64,
    /// High end, Pa.
    pub high_pa: f64,
    /// Exponent of pressure against flow, 1 to 2.
    pub m: f64,
    /// What the reference flow is.
    pub at: String,
    /// Where it comes from.
    pub source: Source,
}

/// What a flow exponent stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct Exponent {
    /// The exponent.
    pub n: f64,
    /// The openings it is used for.
    pub used_for: String,
    /// Where it comes from.
    pub source: Source,
}
