//! What was measured, seen and done: readings, looks, sealing, and what the person believes of spreads and errors.

use super::notes::SAID;
use super::types::{OpeningIdx, PlaceIdx, Relation, SeamIdx, Seen, Setup, Side, System};

/// What a reading is of. Signs as in [`crate::flow`]: flow positive out of the unit into a room and through the
/// blower, pressures against what each line names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Observable {
    /// Flow of the test fan, m³/s.
    FanFlow,
    /// Flow of the air handler, m³/s.
    BlowerFlow,
    /// Flow through a register or grille into its room, m³/s; below zero at a return.
    RegisterFlow(OpeningIdx),
    /// Static pressure in the plenum of a side against the house, Pa.
    PlenumStatic(Side),
    /// External static pressure: supply plenum less return plenum, both static, Pa.
    StaticRise,
    /// Pressure behind an opening against its room, Pa; under a pan where that opening is covered.
    BehindOpening(OpeningIdx),
    /// Pressure of a room against the house, Pa.
    Room(usize),
    /// Pressure of a place against the house, Pa.
    Place(PlaceIdx),
    /// Pressure of the house against outdoors, Pa.
    House,
}

/// Unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Volume flow at 1.204 kg/m³, m³/s.
    Flow,
    /// Pressure, Pa.
    Pressure,
}

impl Observable {
    /// Unit in which it is read.
    pub fn unit(self) -> Unit {
        match self {
            Observable::FanFlow | Observable::BlowerFlow | Observable::RegisterFlow(_) => {
                Unit::Flow
            }
            Observable::PlenumStatic(_)
            | Observable::StaticRise
            | Observable::BehindOpening(_)
            | Observable::Room(_)
            | Observable::Place(_)
            | Observable::House => Unit::Pressure,
        }
    }
}

/// A reading: a set-up and what was measured in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Id.
    pub id: String,
    /// Set-up.
    pub setup: Setup,
    /// What was read.
    pub observable: Observable,
    /// Value or bound.
    pub relation: Relation,
    /// What was read, in the unit of [`Observable::unit`], with the sign of [`Observable`].
    pub value: f64,
    /// One standard deviation relative to the value.
    pub relative_sd: f64,
    /// Floor of the standard deviation, in the unit of `value`.
    pub floor_sd: f64,
    /// Gauge name.
    pub gauge: String,
    /// How many of [`System::sealing`](super::System::sealing)'s steps had been done.
    pub stage: usize,
    /// Day, `YYYY-MM-DD`, as written.
    pub date: Option<String>,
    /// Where the error comes from, in words.
    pub error_source: String,
    /// Whether nobody stated the error and the usual one is taken.
    pub error_is_usual: bool,
    /// Note.
    pub note: String,
}

impl Measured {
    /// Unit of `value` and `floor_sd`.
    pub fn unit(&self) -> Unit {
        self.observable.unit()
    }

    /// The value as a flow, m³/s, where it is the test fan's.
    pub fn fan_flow_m3_s(&self) -> Option<f64> {
        (self.observable == Observable::FanFlow).then_some(self.value)
    }
}

/// What stood in the ducts while somebody looked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LookAt {
    /// The set-up of this reading.
    Reading(usize),
    /// The usual total set-up, with this pressure held at its tap, Pa.
    Total(f64),
}

/// A look, resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// The seams it speaks of.
    pub seams: Vec<SeamIdx>,
    /// Whether it spoke of a group in one statement.
    pub is_group: bool,
    /// The words of the person.
    pub words: String,
    /// What was seen.
    pub seen: Seen,
    /// Who looked.
    pub by: String,
    /// What the ducts were at.
    pub at: LookAt,
    /// How many of [`System::sealing`](super::System::sealing)'s steps had been done.
    pub stage: usize,
}

/// Work done on seams between readings.
#[derive(Debug, Clone, PartialEq)]
pub struct SealingStep {
    /// Id.
    pub id: String,
    /// Day, `YYYY-MM-DD`, as written.
    pub date: Option<String>,
    /// Seams that were sealed; none twice.
    pub seams: Vec<SeamIdx>,
    /// Part of each one's leakage that usually remains (median), in the order of `seams`.
    pub remains: Vec<f64>,
}

/// What the person believes instead of the usual figures; `None` where nothing was said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beliefs {
    /// Geometric standard deviation of the system's workmanship factor.
    pub workmanship_gsd: Option<f64>,
    /// Geometric standard deviation of the crew's factor with one joint type.
    pub habit_gsd: Option<f64>,
    /// Standard deviation of a joint type's exponent shift.
    pub exponent_sd: Option<f64>,
    /// Factor on every joint type's chance to hang open.
    pub gross_factor: Option<f64>,
    /// Chance that a reading's set-up was wrong.
    pub wrong_setup_chance: Option<f64>,
    /// Part of a meter's relative variance that readings on one gauge share.
    pub gauge_shared: Option<f64>,
    /// Geometric factor on both smoke thresholds: above 1, smoke needs more flow to move.
    pub smoke_factor: Option<f64>,
    /// Standard deviation of the logarithm of one person's offset when looking.
    pub observer_sd: Option<f64>,
    /// Standard deviation of the duct-to-house pressure left in a to-outside reading, Pa.
    pub nulling_sd_pa: Option<f64>,
    /// Standard deviation of a tap's baseline error, Pa.
    pub tap_sd_pa: Option<f64>,
}

impl Beliefs {
    /// What is said here, field by field, before what is said there.
    #[must_use]
    pub fn over(&self, there: &Beliefs) -> Beliefs {
        Beliefs {
            workmanship_gsd: self.workmanship_gsd.or(there.workmanship_gsd),
            habit_gsd: self.habit_gsd.or(there.habit_gsd),
            exponent_sd: self.exponent_sd.or(there.exponent_sd),
            gross_factor: self.gross_factor.or(there.gross_factor),
            wrong_setup_chance: self.wrong_setup_chance.or(there.wrong_setup_chance),
            gauge_shared: self.gauge_shared.or(there.gauge_shared),
            smoke_factor: self.smoke_factor.or(there.smoke_factor),
            observer_sd: self.observer_sd.or(there.observer_sd),
            nulling_sd_pa: self.nulling_sd_pa.or(there.nulling_sd_pa),
            tap_sd_pa: self.tap_sd_pa.or(there.tap_sd_pa),
        }
    }
}

/// How long one kind of look or test takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// Id of [`Catalog::tasks`](crate::catalog::Catalog::tasks), such as `smoke-look`.
    pub id: String,
    /// What it is, in words.
    pub words: String,
    /// Minutes.
    pub minutes: f64,
    /// Where the minutes come from.
    pub source: String,
}

impl Task {
    /// Whether the person who wrote the sketch gave its minutes.
    #[must_use]
    pub fn is_given(&self) -> bool {
        self.source.starts_with(SAID)
    }
}

impl System {
    /// The task of an id of [`Catalog::tasks`](crate::catalog::Catalog::tasks).
    pub fn task(&self, id: &str) -> Option<&Task> {
        self.minutes.iter().find(|task| task.id == id)
    }
}
