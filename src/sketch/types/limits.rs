//! Limits that a sketch names or states, and the record of the test.

use super::super::span::{Marked, Span};
use crate::catalog::{Measure, Scope, Stage};
use crate::quantity::{Flow, Fraction, Pressure, Temperature};

/// One item of `limits`.
#[derive(Debug, Clone, PartialEq)]
pub enum LimitItem {
    /// The id of a limit of the catalogue.
    Known(Marked<String>),
    /// The person's own.
    Own(OwnLimit),
}

/// A limit of the person's own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnLimit {
    /// Its id.
    pub id: Marked<String>,
    /// Which leakage.
    pub scope: Scope,
    /// Figure and what it is measured in.
    pub measure: Marked<Measure>,
    /// Stage of the test that it is for; any if not said.
    pub stage: Option<Marked<Stage>>,
    /// Where it comes from.
    pub source: Marked<String>,
    /// Least flow.
    pub at_least: Option<Marked<Flow>>,
    /// When it applies.
    pub condition: Option<Marked<String>>,
}

/// The record of the test.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record {
    /// Place of the whole section; `None` where the sketch has none.
    pub at: Option<Span>,
    /// Day.
    pub date: Option<Marked<String>>,
    /// Stage of the building.
    pub stage: Option<Marked<Stage>>,
    /// Who tested, in free words.
    pub tester: Option<Marked<String>>,
    /// Weather, in free words.
    pub weather: Option<Marked<String>>,
    /// How registers, doors, dampers stood, in free words.
    pub set_up: Option<Marked<String>>,
    /// Instruments, in free words.
    pub instruments: Option<Marked<String>>,
    /// Air in the ducts.
    pub duct_air: Option<Marked<Temperature>>,
    /// Air in the house.
    pub indoor_air: Option<Marked<Temperature>>,
    /// Air outdoors.
    pub outdoor_air: Option<Marked<Temperature>>,
    /// Absolute pressure of the air; that of the elevation if not said.
    pub barometer: Option<Marked<Pressure>>,
    /// Pressure at the tap with the fan off, before.
    pub baseline_before: Option<Marked<Pressure>>,
    /// The same after.
    pub baseline_after: Option<Marked<Pressure>>,
    /// Error of the flow gauge as part of its reading.
    pub flow_error: Option<Marked<Fraction>>,
    /// Error of the pressure gauge as part of its reading.
    pub pressure_error: Option<Marked<Fraction>>,
    /// Its least error.
    pub pressure_error_least: Option<Marked<Pressure>>,
    /// Whether those errors are limits of 95 % (1.96 standard deviations) and not one standard deviation.
    pub errors_are_limits: Option<Marked<bool>>,
    /// Whether the meter's flows are corrected for the density of the air already.
    pub corrected: Option<Marked<bool>>,
}

impl LimitItem {
    /// Its id as written.
    pub fn id(&self) -> &Marked<String> {
        match self {
            LimitItem::Known(id) => id,
            LimitItem::Own(own) => &own.id,
        }
    }

    /// Its id as the tables write ids.
    pub fn plain_id(&self) -> String {
        crate::catalog::plain_id(&self.id().value)
    }
}
