//! Figures without their unit, and the unit for the head of their column.

use crate::quantity::{Area, Flow, Length, UnitSystem};

/// The unit of flows.
pub fn flow_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "cfm",
        UnitSystem::Si => "L/s",
    }
}

/// The unit of lengths.
pub fn length_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "ft",
        UnitSystem::Si => "m",
    }
}

/// The unit of areas.
pub fn area_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "ft2",
        UnitSystem::Si => "m2",
    }
}

/// A flow in [`flow_unit`].
pub fn flow(m3_s: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => Flow::new(m3_s).to_cfm(),
        UnitSystem::Si => Flow::new(m3_s).to_litres_s(),
    }
}

/// A length in [`length_unit`].
pub fn length(m: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => Length::new(m).to_ft(),
        UnitSystem::Si => m,
    }
}

/// An area in [`area_unit`].
pub fn area(m2: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => Area::new(m2).to_ft2(),
        UnitSystem::Si => m2,
    }
}
