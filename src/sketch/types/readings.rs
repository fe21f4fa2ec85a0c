//! Readings and looks.

use super::super::span::Marked;
use crate::quantity::{Flow, Fraction, Length, Pressure};

/// The five ways of reading a leakage flow that a sketch may state.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadingKind {
    /// Whole system, house open to outdoors.
    Total,
    /// Whole system with the house held at the duct's pressure.
    ToOutside,
    /// Supply side alone behind a barrier.
    Supply,
    /// Return side alone behind a barrier.
    Return,
    /// One run alone behind a plug at its start.
    Isolated {
        /// The run.
        run: Marked<String>,
    },
}

/// Where the barrier of a split test stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Barrier {
    /// In the filter slot: the whole cabinet is on the supply side.
    Filter,
    /// At the blower's inlet: inlet section of the cabinet on the return side.
    BlowerInlet,
    /// At the blower's outlet: the whole cabinet up to there on the return side.
    BlowerOutlet,
}

/// How registers were masked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mask {
    /// Tape round the whole flange to the surface: the boot gap is counted.
    Flange,
    /// Tape on the grille's face: gap and flange path are counted.
    Face,
    /// A plug in the throat: the boot gap is not counted.
    Throat,
}

/// Where the test fan blows in.
#[derive(Debug, Clone, PartialEq)]
pub enum FanAt {
    /// In place of the blower-compartment panel.
    BlowerPanel,
    /// At the register or grille of a run.
    Run(Marked<String>),
}

/// Where the pressure tap is.
#[derive(Debug, Clone, PartialEq)]
pub enum TapAt {
    /// Supply plenum.
    SupplyPlenum,
    /// Return plenum.
    ReturnPlenum,
    /// At the register or grille of a run.
    Run(Marked<String>),
}

/// How the reading stands to the true value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// A value was read.
    Equals,
    /// Only an upper bound was read: `below 12 cfm`.
    Below,
}

/// A measured flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Its id.
    pub id: Marked<String>,
    /// What kind of test.
    pub kind: ReadingKind,
    /// Value or bound.
    pub relation: Relation,
    /// The flow.
    pub flow: Marked<Flow>,
    /// Pressure at the tap during the reading, magnitude; 25 Pa if not said.
    pub pressure: Option<Marked<Pressure>>,
    /// True when the ducts were pulled down instead of blown up.
    pub depressurised: bool,
    /// One standard deviation as part of the reading.
    pub relative_sd: Option<Marked<Fraction>>,
    /// One standard deviation as a flow.
    pub absolute_sd: Option<Marked<Flow>>,
    /// Fan place.
    pub fan: Option<Marked<FanAt>>,
    /// Tap place.
    pub tap: Option<Marked<TapAt>>,
    /// Barrier of a split test.
    pub barrier: Option<Marked<Barrier>>,
    /// Masking of registers.
    pub mask: Option<Marked<Mask>>,
    /// Runs plugged off at their start during this reading.
    pub plugged: Vec<Marked<String>>,
    /// Name of the flow gauge; readings on one gauge share its calibration error.
    pub gauge: Option<Marked<String>>,
    /// Date as written.
    pub date: Option<Marked<String>>,
    /// Note as written.
    pub note: Option<Marked<String>>,
}

/// What smoke did at a seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Smoke {
    /// Did not move.
    None,
    /// Drifted.
    Wisp,
    /// Was drawn or blown.
    Strong,
}

/// What was seen.
#[derive(Debug, Clone, PartialEq)]
pub enum Seen {
    /// Smoke.
    Smoke(Smoke),
    /// An open gap of this mean width.
    Gap(Length),
    /// Sealed and sound.
    Sealed,
    /// Hanging loose or off.
    Hanging,
}

/// A look at a seam or a group of seams.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Seam id, or a group in words, as written.
    pub seam: Marked<String>,
    /// What was seen.
    pub seen: Marked<Seen>,
    /// Who looked; looks of one person share an offset.
    pub by: Option<Marked<String>>,
}
