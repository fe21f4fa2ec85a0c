//! The few conversions that the catalogue needs at its edges, by name.

use crate::quantity::{Flow, Length, Pressure};

/// One cubic foot per minute in m³/s.
pub(super) const CFM: f64 = Flow::from_cfm(1.0).si();
/// One foot in metres.
pub(super) const FOOT: f64 = Length::from_ft(1.0).si();
/// One litre per second in m³/s.
pub(super) const L_S: f64 = Flow::from_litres_s(1.0).si();
/// One inch of water gauge in Pa.
pub(super) const INCH_WATER: f64 = Pressure::from_in_wg(1.0).si();
