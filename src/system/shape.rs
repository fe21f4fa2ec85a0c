//! Sections: round or with two sides.

use crate::quantity::{Size, UnitSystem};

/// Whether a section is round.
pub(super) fn is_round(size: &Size) -> bool {
    size.is_round()
}

/// Width of a section, or its diameter, m.
pub(super) fn width(size: &Size) -> f64 {
    size.width().si()
}

/// Height of a section, or its diameter, m.
pub(super) fn height(size: &Size) -> f64 {
    size.height().si()
}

/// Perimeter, m.
pub(super) fn perimeter(size: &Size) -> f64 {
    size.perimeter().si()
}

/// A section in words.
pub(super) fn words(size: &Size, units: UnitSystem) -> String {
    size.show(units)
}
