//! What a sketch says, typed and with the place in the file where each thing was said.
//!
//! These types hold the words of the person who walked the ducts. They know no flow and no graph:
//! [`crate::system`] turns them into pieces and seams.

use super::span::{Marked, Span};
use crate::catalog::Work;
use crate::quantity::{
    Area, Flow, Fraction, Length, Pressure, Size, ThermalResistance, UnitSystem,
};

/// A whole sketch.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// The title line.
    pub title: Marked<String>,
    /// Free words about the job.
    pub note: Option<Marked<String>>,
    /// Units in which answers are shown.
    pub units: UnitSystem,
    /// The house.
    pub house: House,
    /// Places named by the person, in file order.
    pub places: Vec<Place>,
    /// The air handler.
    pub air_handler: AirHandler,
    /// Appliances that burn fuel.
    pub combustion: Vec<Appliance>,
    /// Whether old tape or wrap that may hold asbestos was seen.
    pub suspect_tape: SuspectTape,
    /// Usual ways of building, by duct material.
    pub usual: Vec<Usual>,
    /// Runs in file order.
    pub runs: Vec<Run>,
    /// Measured values.
    pub readings: Vec<Reading>,
    /// What was seen at seams.
    pub looks: Vec<Look>,
}

/// The house around the ducts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct House {
    /// Conditioned floor area served by this system.
    pub floor_area: Option<Marked<Area>>,
    /// Ceiling height of a storey.
    pub height: Option<Marked<Length>>,
    /// Height above sea level.
    pub elevation: Option<Marked<Length>>,
}

/// How a place stands between the house and outdoors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlaceLike {
    /// At house pressure.
    Inside,
    /// At outdoor pressure.
    Outside,
    /// Between the two.
    Buffer,
}

/// A place as the sketch declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name, for instance `basement`.
    pub name: Marked<String>,
    /// Its kind.
    pub like: Marked<PlaceLike>,
    /// Part of the house's pressure against outdoors at which the place sits: 1 inside, 0 outdoors.
    /// From `zone reading: 46 of 50 Pa to outdoors` (0.92), `4 of 50 Pa to house` (0.92), or `40 % outside` (0.60).
    pub house_share: Option<Marked<Fraction>>,
}

/// How the airflow of the unit was got.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirflowBy {
    /// Measured with a calibrated plate in the filter's place.
    Plate,
    /// Sum of flows at the return grilles.
    ReturnGrilles,
    /// Read off the maker's blower table from static pressure and speed.
    BlowerTable,
    /// Read off the nameplate or from 400 cfm a ton.
    Nameplate,
    /// Assumed.
    Assumed,
}

/// Where the cooling coil sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoilAt {
    /// No coil.
    None,
    /// Upstream of the blower (under suction).
    BeforeBlower,
    /// Downstream of the blower.
    AfterBlower,
}

/// Where the filter sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FilterAt {
    /// No filter.
    None,
    /// In a slot at the unit.
    Unit,
    /// In the return grilles.
    Grille,
}

/// The air handler and its two plenums.
#[derive(Debug, Clone, PartialEq)]
pub struct AirHandler {
    /// Where it is written in the file (zero-length at the start of the file when absent).
    pub at: Span,
    /// The place it stands in.
    pub place: Option<Marked<String>>,
    /// Airflow while running, and how it was got.
    pub airflow: Option<(Marked<Flow>, AirflowBy)>,
    /// Coil.
    pub coil: Option<Marked<CoilAt>>,
    /// Filter.
    pub filter: Option<Marked<FilterAt>>,
    /// Workmanship of the cabinet's own joints and of its connections.
    pub over: Overrides,
    /// Supply plenum.
    pub supply_plenum: Option<Plenum>,
    /// Return plenum or drop.
    pub return_plenum: Option<Plenum>,
}

/// A plenum box at the unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Plenum {
    /// Where it is written.
    pub at: Span,
    /// Section.
    pub size: Option<Marked<Size>>,
    /// Length along the air.
    pub length: Option<Marked<Length>>,
    /// What it is made of.
    pub material: Option<Marked<Material>>,
    /// Overrides.
    pub over: Overrides,
}

/// Draft of a fuel-burning appliance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Draft {
    /// Natural draft into a chimney.
    Natural,
    /// Fan assisted (induced draft) into a chimney.
    FanAssisted,
    /// Sealed combustion or direct vent.
    Sealed,
}

/// A fuel-burning appliance.
#[derive(Debug, Clone, PartialEq)]
pub struct Appliance {
    /// What it is.
    pub appliance: Marked<String>,
    /// How it vents.
    pub draft: Marked<Draft>,
    /// Where it stands.
    pub place: Marked<String>,
}

/// Answer to: was old white or grey tape or wrap seen that may hold asbestos?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SuspectTape {
    /// Nobody looked (the default).
    #[default]
    NotChecked,
    /// Looked, none seen.
    NoneSeen,
    /// Seen, or cannot be ruled out.
    Suspected,
}

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
    /// Room served, by name.
    pub room: Option<Marked<String>>,
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
    /// An end cap.
    Cap,
    /// A balancing damper with its shaft.
    Damper,
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
