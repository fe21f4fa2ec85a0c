//! The duct system as a graph: junctions, pieces, seams, openings, and the tests made on it.
//!
//! Signs: a piece runs from its tail to its head as walked, away from the unit on both sides.
//! Flow is positive from tail to head; leakage is positive out of the duct; pressures are gauge
//! against outdoors. SI throughout.

use petgraph::graph::{DiGraph, EdgeIndex, NodeIndex};

use super::crew::Crew;
use super::energy::Energy;
pub use super::evidence::{
    Beliefs, Look, LookAt, Measured, Observable, SealingStep, Task, Unit as ReadingUnit,
};
use super::limits::TestRecord;

pub use super::running::{Blower, BlowerKind, JunctionForm, LeadsTo, LeakPath, Room, TakeoffForm};
use super::variant::Variant;
use crate::catalog::{Basis, Limit, LookFigures, Work};
use crate::quantity::{Size, UnitSystem};
pub use crate::sketch::{
    AirflowBy, Barrier, Door, Draft, Fuel, HeaterKind, Mask, Reach, Relation, Seen, Side,
    SuspectTape,
};

/// Index of a place in [`System::places`].
pub type PlaceIdx = usize;
/// Index of a run in [`System::runs`].
pub type RunIdx = usize;
/// Index of a seam in [`System::seams`].
pub type SeamIdx = usize;
/// Index of an opening in [`System::openings`].
pub type OpeningIdx = usize;

/// A duct system, checked and expanded.
#[derive(Debug, Clone)]
pub struct System {
    /// Title of the sketch.
    pub title: String,
    /// Units in which the person wants answers.
    pub units: UnitSystem,
    /// Conditioned floor area, m².
    pub floor_area_m2: Option<f64>,
    /// Height above sea level, m.
    pub elevation_m: f64,
    /// Leakage of the house's envelope to outdoors; an estimate from the floor area when the sketch does not say,
    /// `None` without a floor area.
    pub envelope: Option<LeakPath>,
    /// Every room that a run names, in sketch order.
    pub rooms: Vec<Room>,
    /// Places; every seam and piece points at one.
    pub places: Vec<Place>,
    /// Runs in sketch order. The unit and its plenums belong to no run.
    pub runs: Vec<Run>,
    /// Junctions and pieces.
    pub graph: DiGraph<Junction, Piece>,
    /// All seams, in a stable order: unit first, then run by run as walked, unsketched last.
    pub seams: Vec<Seam>,
    /// Registers and grilles.
    pub openings: Vec<Opening>,
    /// The air handler.
    pub unit: Unit,
    /// Tests made on the system, with what was read.
    pub readings: Vec<Measured>,
    /// Looks, resolved to seams.
    pub looks: Vec<Look>,
    /// Seams that looks have given other figures (seen sealed and sound), as they were before.
    pub before_looks: Vec<(SeamIdx, Seam)>,
    /// What looks are worth and how large a gross leak is.
    pub look_figures: LookFigures,
    /// What was sealed since the first reading, in the order of the work.
    pub sealing: Vec<SealingStep>,
    /// What the person believes of spreads and errors instead of the usual figures.
    pub beliefs: Beliefs,
    /// How long every kind of look and test takes: the catalogue's table, with the person's own minutes laid over.
    pub minutes: Vec<Task>,
    /// How a crew seals here.
    pub crew: Crew,
    /// What heating and cooling take and cost, as far as said.
    pub energy: Energy,
    /// Limits that the sketch names or states, in its order.
    pub limits: Vec<Limit>,
    /// Other ways of building the same system, in the order of the sketch.
    pub variants: Vec<Variant>,
    /// The record of the test, as far as the sketch has one.
    pub record: TestRecord,
    /// Fuel-burning appliances.
    pub combustion: Vec<Appliance>,
    /// Answer about tape that may hold asbestos.
    pub suspect_tape: SuspectTape,
    /// Every default that stood in for something unsaid.
    pub defaults: Vec<DefaultUsed>,
    /// Suspicious but legal things.
    pub warnings: Vec<Warning>,
}

/// A place round the ducts.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Name.
    pub name: String,
    /// Part of the house's pressure against outdoors at which it sits: 1 inside, 0 outdoors.
    pub house_share: f64,
    /// Whether it is outside the conditioned space.
    pub unconditioned: bool,
    /// Where `house_share` comes from, in words.
    pub source: String,
    /// Leak path to outdoors, where the place floats between two.
    pub to_outdoors: Option<LeakPath>,
    /// Leak path to the house, where the place floats between two.
    pub to_house: Option<LeakPath>,
}

/// A run.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Id.
    pub id: String,
    /// Side.
    pub side: Side,
    /// Room served.
    pub room: Option<String>,
    /// First piece of the walk (where a plug at the start sits is this piece's tail).
    pub first_piece: EdgeIndex,
    /// Register or grille at its end, if it has one.
    pub opening: Option<OpeningIdx>,
    /// Length along the walk, m.
    pub length_m: f64,
    /// Airflow meant here, m³/s.
    pub design_flow_m3_s: Option<f64>,
    /// Heading at its end, a unit vector: x east, y north, z up.
    pub end_heading: [f64; 3],
}

/// A point where pieces meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Junction {
    /// Readable id, for instance `S at 6 ft`.
    pub id: String,
    /// Position in the sketch's frame, m: x east, y north, z up; the unit's supply plenum at the origin.
    pub position_m: [f64; 3],
    /// Side of the unit.
    pub side: Side,
}

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceKind {
    /// Plenum box.
    Plenum,
    /// Straight duct.
    Straight,
    /// Elbow or bend.
    Elbow,
    /// Takeoff collar or tap.
    Takeoff,
    /// Reducer or transition.
    Reducer,
    /// Boot or return box.
    Boot,
    /// End cap (no flow).
    Cap,
    /// Damper, canvas, access door, splice, filter slot in a duct: no length.
    Inline,
    /// Filter at the unit (taken out in leakage tests; its slot is a seam).
    Filter,
    /// Idle blower.
    Blower,
    /// Coil.
    Coil,
    /// A lossless link made by `joins`.
    Link,
}

/// A duct part: an edge of the graph.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Readable id, for instance `kitchen/adjustable elbow`.
    pub id: String,
    /// Kind.
    pub kind: PieceKind,
    /// Run, or `None` for the unit and its plenums.
    pub run: Option<RunIdx>,
    /// Step of the run's walk that brought it, from 0; `None` for the unit and what comes without a step of its own.
    pub step: Option<usize>,
    /// Side.
    pub side: Side,
    /// Section.
    pub section: Size,
    /// Length along the air, m; 0 for a fitting counted as a local loss only.
    pub length_m: f64,
    /// Absolute roughness, m.
    pub roughness_m: f64,
    /// Factor on friction for flex compression; 1 otherwise.
    pub friction_factor: f64,
    /// Sum of local loss coefficients on this piece's own velocity pressure.
    pub loss: f64,
    /// Power-law loss of a component (coil, idle blower): Δp = `dp_pa`·(Q/`q_m3_s`)^`m`.
    pub component: Option<ComponentLoss>,
    /// Place.
    pub place: PlaceIdx,
    /// Reach.
    pub reach: Reach,
    /// What it is made of, in trade words.
    pub made_of: String,
    /// Duct surface, m².
    pub surface_m2: f64,
    /// Insulation, m²K/W; 0 when bare or unknown.
    pub insulation_m2_k_w: f64,
    /// On takeoffs that leave another run's side: its form. `loss` holds a fixed figure for the same takeoff.
    pub takeoff_form: Option<TakeoffForm>,
}

/// Power-law pressure loss of a component at a reference flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComponentLoss {
    /// Loss at the reference flow, Pa.
    pub dp_pa: f64,
    /// Reference flow, m³/s.
    pub q_m3_s: f64,
    /// Exponent of the flow.
    pub m: f64,
}

/// Where along the graph a seam sits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SeamAt {
    /// At a junction.
    Junction(NodeIndex),
    /// On a piece, at this part of its length from the tail (0 to 1).
    Piece(EdgeIndex, f64),
}

/// Whether a seam takes part in a set-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeamRole {
    /// Always part of the ducts.
    Duct,
    /// Gap between a boot and the room's surface: outside a throat plug.
    BootGap(OpeningIdx),
    /// Inlet section of the cabinet (filter side to blower); a fan in the panel's place replaces part of it.
    CabinetInlet,
    /// Outlet section of the cabinet.
    CabinetOutlet,
    /// Filter slot at the unit.
    FilterSlot,
    /// What the sketch forgot on one side.
    Unsketched,
}

/// A place where air can leak.
#[derive(Debug, Clone, PartialEq)]
pub struct Seam {
    /// Stable readable id, for instance `kitchen/tab collar` or `S/joint 3`.
    pub id: String,
    /// Run id, or `unit`.
    pub run: String,
    /// Piece id.
    pub piece: String,
    /// Step of the run's walk that brought it, from 0; `None` for the unit and what comes without a step of its own.
    pub step: Option<usize>,
    /// Piece in trade words, for the table: `tab collar 6 in`.
    pub what: String,
    /// Joint type id of the catalogue.
    pub joint_type: String,
    /// Joint type's readable name.
    pub joint_name: String,
    /// Side.
    pub side: Side,
    /// Place.
    pub place: PlaceIdx,
    /// Reach.
    pub reach: Reach,
    /// Workmanship.
    pub work: Work,
    /// Metres of joint for a per-metre type, else the count.
    pub amount: f64,
    /// What `amount` counts.
    pub basis: Basis,
    /// Arithmetic mean of the prior flow of the whole seam at 25 Pa, m³/s.
    pub mean_q25_m3_s: f64,
    /// Whole geometric standard deviation of the prior.
    pub gsd: f64,
    /// Flow exponent.
    pub n: f64,
    /// Shares the crew's workmanship and habit factors.
    pub field_made: bool,
    /// Whether mean, spread or exponent are a person's own figures and not the catalogue's.
    pub own_figure: bool,
    /// Prior chance that it hangs open.
    pub gross_chance: f64,
    /// Area of the duct, plenum, cavity or boot that would stand open if it hung loose, m².
    pub opening_m2: f64,
    /// Where it sits.
    pub at: SeamAt,
    /// Role in set-ups.
    pub role: SeamRole,
}

/// A register or grille.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Id of its boot piece.
    pub id: String,
    /// Run.
    pub run: RunIdx,
    /// Side.
    pub side: Side,
    /// Room.
    pub room: Option<String>,
    /// Index of the room in [`System::rooms`].
    pub room_index: Option<usize>,
    /// What lies before it.
    pub leads_to: LeadsTo,
    /// Junction behind the grille.
    pub node: NodeIndex,
    /// Opening in the surface.
    pub size: Size,
    /// Loss coefficient of the open register, grille or hood on the velocity in the gross opening, its exit or entry
    /// included.
    pub loss: f64,
    /// Filter in the grille, at this grille's part of the airflow.
    pub filter: Option<ComponentLoss>,
}

/// The air handler's junctions and facts.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// Place it stands in.
    pub place: PlaceIdx,
    /// Return plenum junction; the inlet piece runs from here to `cabinet_inlet`.
    pub return_plenum: NodeIndex,
    /// Blower compartment, suction side.
    pub cabinet_inlet: NodeIndex,
    /// Pressure side of the blower, inside the cabinet.
    pub cabinet_outlet: NodeIndex,
    /// Supply plenum junction.
    pub supply_plenum: NodeIndex,
    /// Filter or inlet piece (between `cabinet_inlet` and `return_plenum`).
    pub inlet_piece: EdgeIndex,
    /// Idle blower (between `cabinet_inlet` and `cabinet_outlet`).
    pub blower_piece: EdgeIndex,
    /// Outlet piece: coil or connection (between `cabinet_outlet` and `supply_plenum`).
    pub outlet_piece: EdgeIndex,
    /// Airflow while running, m³/s, and how it was got.
    pub airflow_m3_s: Option<(f64, AirflowBy)>,
    /// Blower curve.
    pub blower: Blower,
    /// Filter at the unit, in place while running; leakage tests take it out. A filter at the grilles stands in
    /// [`Opening::filter`].
    pub filter: Option<ComponentLoss>,
}

impl Unit {
    /// The airflow that the blower's curve is scaled to before anything is solved, m³/s: the one stated, unless the curve
    /// is the person's own.
    #[must_use]
    pub fn airflow_for_curve_m3_s(&self) -> Option<f64> {
        let is_own = self.blower.kind == BlowerKind::Points;
        self.airflow_m3_s
            .filter(|_| !is_own)
            .map(|(airflow, _)| airflow)
    }
}

/// What kind of test or state; [`TestKind::recipe`] says what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TestKind {
    /// Whole system, house open to outdoors.
    Total,
    /// House held at the duct's pressure.
    ToOutside,
    /// One side behind a barrier; the other side's registers open to the house.
    OneSide(Side),
    /// One run behind a plug at its start; everything else open to the house.
    Isolated(RunIdx),
    /// One side, with the other held at the same pressure by a second fan.
    Guarded(Side),
    /// The ducts alone, before the air handler is set.
    RoughIn,
    /// House held by a fan, one register under a pan, the others open.
    Pan(OpeningIdx),
    /// House held by a fan, registers open.
    HouseFanOpen,
    /// House held by a fan, registers masked.
    HouseFanMasked,
    /// Normal running.
    Running,
    /// Running while a fan holds the house at the pressure it has at rest.
    RunningHeld,
}

/// Where the test fan blows in, resolved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FanPlace {
    /// At the blower-compartment panel (`cabinet_inlet`).
    BlowerPanel,
    /// At a register or grille.
    Opening(OpeningIdx),
}

/// Where the pressure tap is, resolved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TapPlace {
    /// Supply plenum.
    SupplyPlenum,
    /// Return plenum.
    ReturnPlenum,
    /// At a register or grille.
    Opening(OpeningIdx),
}

/// How the system is prepared for a reading: plain data, made once per reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// What kind.
    pub kind: TestKind,
    /// Pressure held at the tap, or in the house where a fan holds that, Pa, positive; the sign is in `pressurise`.
    pub pressure_pa: f64,
    /// Blown up (true) or pulled down.
    pub pressurise: bool,
    /// Fan.
    pub fan: FanPlace,
    /// Tap.
    pub tap: TapPlace,
    /// Barrier, for one-side tests.
    pub barrier: Barrier,
    /// Masking of registers.
    pub mask: Mask,
    /// Runs plugged at their start.
    pub plugged: Vec<RunIdx>,
}

impl Setup {
    /// A fan in a door: what it reads is mostly the house's own envelope.
    pub(crate) fn is_house_fan(&self) -> bool {
        matches!(self.kind, TestKind::HouseFanOpen | TestKind::HouseFanMasked)
    }
}

/// A fuel-burning appliance.
#[derive(Debug, Clone, PartialEq)]
pub struct Appliance {
    /// What it is.
    pub name: String,
    /// Draft.
    pub draft: Draft,
    /// Where.
    pub place: PlaceIdx,
}

/// A default that stood in for something unsaid.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct DefaultUsed {
    /// What it is about: `air handler`, `round duct`, `run kitchen`.
    pub about: String,
    /// What was taken, in words with its unit.
    pub taken: String,
    /// Source and how sure.
    pub source: String,
}

/// A suspicious but legal thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Stable code, kebab-case.
    pub code: String,
    /// Words.
    pub text: String,
}
