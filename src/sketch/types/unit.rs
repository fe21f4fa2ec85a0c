//! The air handler and its plenums.

use super::super::span::{Marked, Span};
use super::house::FlowAt;
use super::walk::{Material, Overrides};
use crate::quantity::{Flow, Length, Pressure, Size};

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

/// How the blower's flow goes with pressure.
#[derive(Debug, Clone, PartialEq)]
pub enum Blower {
    /// One speed tap: flow falls as pressure rises.
    FixedSpeed,
    /// Holds its flow up to a limit.
    ConstantFlow,
    /// Points of static pressure rise and flow, in the order written; two or more, all rises apart.
    Points(Vec<Marked<FlowAt>>),
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
    /// Blower.
    pub blower: Option<Marked<Blower>>,
    /// Pressure loss of the filter at the airflow.
    pub filter_loss: Option<Marked<Pressure>>,
    /// Pressure loss of the coil at the airflow.
    pub coil_loss: Option<Marked<Pressure>>,
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
