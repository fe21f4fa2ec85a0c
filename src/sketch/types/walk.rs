//! Runs, their walks, and the usual ways of building them.

use super::super::span::{Marked, Span};
use crate::catalog::Work;
use crate::quantity::{Flow, Fraction, Length, Size, ThermalResistance};

/// What a duct is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Material {
    /// Rectangular (or flat oval) sheet metal in lengths with transverse joints.
    Rectangular,
    /// Round sheet-metal pipe with a lengthwise lock.
    Round,
    /// Spiral round duct.
    Spiral,
    /// Flexible duct.
    Flex,
    /// Fibrous-glass duct board.
    DuctBoard,
    /// Sheet panned under joists, used as a return.
    PannedJoist,
    /// Stud bay, platform or other building cavity used as a duct.
    Cavity,
}

/// Usual way of building one material, or everything (`material: None`, written `all`).
#[derive(Debug, Clone, PartialEq)]
pub struct Usual {
    /// Which material; `None` for all.
    pub material: Option<Material>,
    /// Where it is written.
    pub at: Span,
    /// Joint type id of lengthwise seams, or `none`.
    pub seam: Option<Marked<String>>,
    /// Joint type id of transverse joints.
    pub joint: Option<Marked<String>>,
    /// Length of one section between transverse joints.
    pub section: Option<Marked<Length>>,
    /// Sheet thickness.
    pub gauge: Option<Marked<Length>>,
    /// Flex compression, part of full length.
    pub compression: Option<Marked<Fraction>>,
    /// Absolute roughness.
    pub roughness: Option<Marked<Length>>,
    /// Whether sheet metal is lined with fibrous glass.
    pub lined: Option<Marked<bool>>,
    /// Work, reach, insulation.
    pub over: Overrides,
}

/// Supply or return side of the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Downstream of the blower.
    Supply,
    /// Upstream of the blower.
    Return,
}

/// How well a seam can be reached by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reach {
    /// Bare and within reach.
    Open,
    /// Under insulation that can be pulled back.
    UnderInsulation,
    /// Behind a finished wall, ceiling or floor.
    BehindFinish,
    /// Cannot be reached.
    None,
}

/// Things that may be said at any level: all, material, run, step.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Overrides {
    /// Workmanship.
    pub work: Option<Marked<Work>>,
    /// Place by name.
    pub place: Option<Marked<String>>,
    /// Reach.
    pub reach: Option<Marked<Reach>>,
    /// Duct insulation.
    pub insulation: Option<Marked<ThermalResistance>>,
    /// Joint type id for the seam of this step (a fitting's main seam, a straight's transverse joints).
    pub joint: Option<Marked<String>>,
    /// Own mean leak at 25 Pa for the seam of this step (whole seam), with its spread factor and source.
    pub leak: Option<OwnLeak>,
}

/// A leak coefficient given by the person instead of the catalogue's.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnLeak {
    /// Mean flow of the whole seam at 25 Pa.
    pub q25: Marked<Flow>,
    /// Geometric standard deviation; 1.5 if not said.
    pub spread: Option<Marked<f64>>,
    /// Exponent; the joint type's if not said.
    pub n: Option<Marked<f64>>,
    /// Where the figure comes from; required.
    pub source: Marked<String>,
}

/// A heading of the walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heading {
    /// +y of the sketch.
    North,
    /// −y.
    South,
    /// +x.
    East,
    /// −x.
    West,
    /// +z.
    Up,
    /// −z.
    Down,
    /// A quarter turn left of the present heading.
    Left,
    /// A quarter turn right of the present heading.
    Right,
    /// The present heading.
    Ahead,
}

/// Where a run starts.
#[derive(Debug, Clone, PartialEq)]
pub enum Start {
    /// At the supply plenum.
    SupplyPlenum,
    /// At the return plenum.
    ReturnPlenum,
    /// Off another run, at a distance along its walk, on a face.
    Off {
        /// The run's id.
        run: Marked<String>,
        /// Distance along its centre line from its start; `None` means its end.
        along: Option<Marked<Length>>,
        /// Left, right, top (`Up`) or bottom (`Down`) face; `None` if not said.
        face: Option<Marked<Heading>>,
    },
}

/// One run: a walk along the ducts.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its id.
    pub id: Marked<String>,
    /// Supply or return.
    pub side: Marked<Side>,
    /// Where it starts.
    pub from: Marked<Start>,
    /// Section at its start; a run off another without a size is refused.
    pub size: Marked<Size>,
    /// Material; if absent: round sizes are `Round`, others `Rectangular`.
    pub material: Option<Marked<Material>>,
    /// Overrides for the whole run.
    pub over: Overrides,
    /// Flex compression for the run.
    pub compression: Option<Marked<Fraction>>,
    /// Whether its rectangular sheet metal is lined with fibrous glass.
    pub lined: Option<Marked<bool>>,
    /// Room served, by name.
    pub room: Option<Marked<String>>,
    /// Floor of the house on which it lies, in a word of the person's own.
    pub floor: Option<Marked<String>>,
    /// Airflow the designer meant here.
    pub design_flow: Option<Marked<Flow>>,
    /// Steps of the walk.
    pub walk: Vec<Step>,
}

/// One step of a walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Where it is written.
    pub at: Span,
    /// What it is.
    pub kind: StepKind,
    /// Overrides said at the step (`in attic`, `behind finish`, `mastic`, or a mapping).
    pub over: Overrides,
}

/// What a step of the walk is.
#[derive(Debug, Clone, PartialEq)]
pub enum StepKind {
    /// A straight length: `north 24 ft`, `4 ft`, `12 ft flex`.
    Straight {
        /// Heading if said.
        heading: Option<Heading>,
        /// Length.
        length: Length,
        /// A material other than the run's, for this length.
        material: Option<Material>,
    },
    /// A takeoff collar or tap at the start of a run: `tab collar`, `spin-in collar`, `side tap`.
    Takeoff(Takeoff),
    /// An elbow.
    Elbow {
        /// Its build.
        kind: ElbowKind,
        /// Where it turns to, if said.
        heading: Option<Heading>,
        /// Turn in degrees; 90 if not said.
        degrees: f64,
    },
    /// `reducer to 16x8 in` (also `transition to`).
    Reducer {
        /// Section after it.
        to: Size,
    },
    /// A register boot or return box that ends the run at a room surface: `boot 10x4 in`, `return box 20x20 in`.
    Boot {
        /// Which way air leaves the duct into the boot.
        kind: BootKind,
        /// Opening in the surface.
        size: Size,
    },
    /// An outdoor-air intake that ends a return run: `intake 6 in`.
    Intake {
        /// Opening in the hood or wall.
        size: Size,
    },
    /// An end cap.
    Cap,
    /// A balancing damper with its shaft: `damper`, `damper 40 deg`.
    Damper {
        /// Angle of the blade from full open, degrees; 0 if not said.
        degrees: f64,
    },
    /// A fabric vibration connector.
    Canvas,
    /// An access door of a given size.
    AccessDoor {
        /// The door.
        size: Size,
    },
    /// A filter slot in the duct.
    FilterSlot,
    /// An open or taped test hole.
    TestHole,
    /// A splice in a flex run (two core ends on a sleeve).
    Splice,
    /// The run's end joins another run on purpose (a perimeter loop, a bypass): `joins B at 12 ft`.
    Joins {
        /// Id of the run that it joins.
        run: Marked<String>,
        /// Distance along that run; `None` means its end.
        along: Option<Marked<Length>>,
    },
}

/// Takeoff builds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takeoff {
    /// Tabbed (finger) starting collar.
    TabCollar,
    /// Spin-in or flanged, screwed collar.
    SpinIn,
    /// Rectangular or 45 degree side tap.
    SideTap,
}

/// Elbow builds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ElbowKind {
    /// Adjustable gored elbow with swivel seams.
    Adjustable,
    /// Stamped or fixed gored round elbow, or a smooth rectangular bend.
    Fixed,
    /// Square-throat mitre, rectangular.
    Mitre,
    /// Mitre with turning vanes.
    MitreVanes,
    /// Flex bent round a corner, no fitting.
    FlexBend,
}

/// Boot builds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BootKind {
    /// 90 degree boot.
    Turn,
    /// Straight (end) boot.
    Straight,
    /// Return box or panned grille opening.
    ReturnBox,
}
