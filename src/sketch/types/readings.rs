//! Readings and looks.

use super::super::span::Marked;
use crate::quantity::{Flow, Fraction, Length, Pressure};

/// What is read, and in which set-up.
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
    /// Supply side, the return side held at the same pressure by a second fan.
    GuardedSupply,
    /// Return side, the supply side held at the same pressure by a second fan.
    GuardedReturn,
    /// One run alone behind a plug at its start.
    Isolated {
        /// The run.
        run: Marked<String>,
    },
    /// The ducts before the air handler is set and the surfaces are finished.
    RoughIn,
    /// Pressure behind one register under a pan, the house held by a fan.
    Pan {
        /// The run that ends in the register.
        run: Marked<String>,
    },
    /// Flow of the house fan, registers open.
    HouseFanOpen,
    /// Flow of the house fan, registers masked.
    HouseFanMasked,
    /// Flow through a register or grille, the unit running; a magnitude.
    RegisterFlow {
        /// The run that ends in it.
        run: Marked<String>,
    },
    /// Flow of the air handler, the unit running.
    Airflow,
    /// Static pressure in the supply plenum against the house, the unit running.
    SupplyStatic,
    /// Static pressure in the return plenum against the house, the unit running; its sign does not matter.
    ReturnStatic,
    /// Supply plenum less return plenum, both static, the unit running.
    StaticRise,
    /// Pressure of a room against the house, the unit running, with its sign.
    RoomPressure {
        /// The room.
        room: Marked<String>,
    },
    /// Pressure of a place against the house, the house held by a fan.
    PlacePressure {
        /// The place.
        place: Marked<String>,
    },
    /// Pressure of the house against outdoors, the unit running, with its sign.
    HousePressure,
    /// Flow of the house fan that brings a running house back to its pressure at rest.
    NullingFlow,
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

/// A flow or a pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Flow.
    Flow(Flow),
    /// Pressure.
    Pressure(Pressure),
}

impl Amount {
    /// The value in m³/s or Pa.
    pub fn si(self) -> f64 {
        match self {
            Amount::Flow(flow) => flow.si(),
            Amount::Pressure(pressure) => pressure.si(),
        }
    }
}

/// One value that was read, with its pressure and its error.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadValue {
    /// Value or bound.
    pub relation: Relation,
    /// What was read, as written.
    pub value: Marked<Amount>,
    /// Pressure held meanwhile, magnitude; the usual one if not said.
    pub pressure: Option<Marked<Pressure>>,
    /// One standard deviation as part of the reading.
    pub relative_sd: Option<Marked<Fraction>>,
    /// One standard deviation in the unit of the value.
    pub absolute_sd: Option<Marked<Amount>>,
}

/// Before or after which step of `sealing`.
#[derive(Debug, Clone, PartialEq)]
pub struct When {
    /// The step.
    pub step: Marked<String>,
    /// True for `after`, false for `before`.
    pub after: bool,
}

/// Something measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Its id.
    pub id: Marked<String>,
    /// What kind of test.
    pub kind: ReadingKind,
    /// What was read: one value, or several of the same kind. Never empty.
    pub values: Vec<ReadValue>,
    /// Whether ducts or house were pulled down (true) or blown up; the usual way of the test if not said.
    pub depressurised: Option<Marked<bool>>,
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
    /// Before or after which sealing.
    pub when: Option<When>,
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

/// A look at seams or groups of seams.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Seam ids, or groups in words, as written. Never empty.
    pub seams: Vec<Marked<String>>,
    /// What was seen.
    pub seen: Marked<Seen>,
    /// Who looked; looks of one person share an offset.
    pub by: Option<Marked<String>>,
    /// What pressure a total set-up held meanwhile, magnitude.
    pub at: Option<Marked<Pressure>>,
    /// The reading in whose set-up it was.
    pub during: Option<Marked<String>>,
    /// Before or after which sealing.
    pub when: Option<When>,
}
