//! A prediction as text, JSON and CSV.

mod csv;
mod design_text;
mod json;
pub(super) mod text;

pub use csv::{COLUMNS, predict_csv};
pub use json::{FORMAT, predict_json};
pub use text::{PredictTextSettings, predict_text};

use crate::predict::What;
use crate::report::words::counted;
use crate::system::System;

/// Stands before a joint type whose seams are sealed.
const SEALED: &str = "sealed: ";

/// A choice in trade words.
fn choice(system: &System, what: &What) -> String {
    match what {
        What::Work { name, seams, .. } => {
            format!("{SEALED}{name} ({})", counted(*seams, "seam", "seams"))
        }
        What::SealClass(class) => format!("seal class {} in mastic", class.letter()),
        What::Swap { words, seams } => format!("{words} ({})", counted(*seams, "seam", "seams")),
        What::Inside { place } => format!("ducts in {} brought inside", system.places[*place].name),
        What::Shorter { by } => format!("all straight duct {:.0} % shorter", 100.0 * by),
        What::Both(a, b) => {
            let (a, b) = (choice(system, a), choice(system, b));
            // `sealed: this + that` for two of a kind.
            let second = match a.starts_with(SEALED) {
                true => b.strip_prefix(SEALED).unwrap_or(&b),
                false => &b,
            };
            format!("{a} + {second}")
        }
    }
}

/// A stable word for a kind of choice.
fn kind(what: &What) -> &'static str {
    match what {
        What::Work { .. } => "work",
        What::SealClass(_) => "seal-class",
        What::Swap { .. } => "swap",
        What::Inside { .. } => "inside",
        What::Shorter { .. } => "shorter",
        What::Both(..) => "pair",
    }
}
