//! What a running system has beyond its ducts: the blower, leak paths between spaces, rooms and their doors,
//! and how takeoffs leave the ducts that carry them.

use super::notes::SAID;
use crate::sketch::Door;

/// A leak path between two spaces.
///
/// # Equation
/// ```text
/// q = q_m3_s · sign(Δp) · (|Δp| / dp_pa)ⁿ
/// ```
/// where `q` flow at 1.204 kg/m³, m³/s; `Δp` pressure difference, Pa.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakPath {
    /// Flow at the reference pressure difference, m³/s at 1.204 kg/m³.
    pub q_m3_s: f64,
    /// Reference pressure difference, Pa.
    pub dp_pa: f64,
    /// Flow exponent.
    pub n: f64,
    /// Where the figure comes from, in words.
    pub source: String,
}

impl LeakPath {
    /// Whether the person who wrote the sketch gave its flow.
    #[must_use]
    pub fn is_given(&self) -> bool {
        self.source.starts_with(SAID)
    }
}

/// A room that a run serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Name.
    pub name: String,
    /// Its door.
    pub door: Door,
    /// Paths to the rest of the house: the gap under a closed door, transfer openings. They stand beside an open
    /// door too, where they change nothing.
    pub paths: Vec<LeakPath>,
}

/// How a blower's flow goes with pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlowerKind {
    /// A motor on one speed tap: flow falls as pressure rises.
    FixedSpeed,
    /// A motor that holds its flow up to a limit.
    ConstantFlow,
    /// Points given by the person.
    Points,
}

/// A blower's curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Blower {
    /// Kind.
    pub kind: BlowerKind,
    /// Static pressure rise, Pa, and flow, m³/s of actual volume in air of 1.204 kg/m³. The rise ascends, the flow
    /// never does; at least two.
    pub points: Vec<(f64, f64)>,
    /// Where the curve comes from, in words.
    pub source: String,
}

/// How a branch leaves another duct.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JunctionForm {
    /// At a right angle.
    Tee,
    /// At a smaller angle.
    Wye,
}

/// A takeoff from the side of another run, whose loss hangs on how the flow divides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeoffForm {
    /// Form.
    pub form: JunctionForm,
    /// Angle between branch and main, degrees.
    pub angle_deg: f64,
    /// The branch is no taller than two thirds of the main, across the plane of both: two-sided ducts only.
    pub low_branch: bool,
}

/// What lies before a register, grille or intake.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeadsTo {
    /// A room, or the house where the run names none.
    Room,
    /// Outdoors: an outdoor-air intake.
    Outdoors,
}
