//! Answers of `ductseam prove`: what sealing achieved, as text, JSON and CSV.

mod csv;
mod json;
pub(super) mod text;

pub use csv::{COLUMNS, prove_csv};
pub use json::{FORMAT, prove_json};
pub use text::{ProveTextSettings, prove_text};

use crate::seal::CameOut;
use crate::system::System;

/// How a reading came out, in a stable word.
fn word(came_out: CameOut) -> &'static str {
    match came_out {
        CameOut::Better => "better",
        CameOut::AsExpected => "as expected",
        CameOut::Worse => "worse",
    }
}

/// Whether hands can seal it.
fn by_hand(system: &System, seam: usize) -> bool {
    let mut ways = system.ways(seam).iter();
    ways.any(|way| !system.crew.methods[way.method].from_inside)
}
