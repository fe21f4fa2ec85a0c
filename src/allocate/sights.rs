//! What looks say of single seams, for those who go on from them without the draws.

use super::error::AllocateError;
use super::evidence::Evidence;
use super::looks::{LookLaw, Sight};
use super::prior::OpenLaw;
use super::settings::AllocateSettings;
use crate::system::System;

/// What is known of single seams beside readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Sights {
    /// The laws of all looks that speak of flow, each turned onto ln of its seam's flow at 25 Pa (m³/s, nominal exponent):
    /// bounds of [`Sight::Between`] are moved by what the pressure during the look and the length of the joint make of it,
    /// and [`LookLaw::ln_pressure`] and [`LookLaw::ln_amount`] are 0.
    pub looks: Vec<LookLaw>,
    /// What each seam is if it hangs open; `None` for those that cannot.
    pub open: Vec<Option<OpenLaw>>,
}

/// Gathers what is known of single seams beside readings.
///
/// # Errors
/// As [`allocate`](super::allocate).
pub fn sights(system: &System, settings: &AllocateSettings) -> Result<Sights, AllocateError> {
    let evidence = Evidence::new(system, settings)?;
    let look = |law: &LookLaw| {
        let shift = system.seams[law.seam].n * law.ln_pressure - law.ln_amount;
        LookLaw {
            sight: match law.sight {
                Sight::Between(lo, hi) => Sight::Between(lo - shift, hi - shift),
                gap @ Sight::Gap(_) => gap,
            },
            ln_pressure: 0.0,
            ln_amount: 0.0,
            ..*law
        }
    };
    Ok(Sights {
        looks: evidence.looks.looks.iter().map(look).collect(),
        open: (0..system.seams.len())
            .map(|seam| evidence.prior.open_law(seam).copied())
            .collect(),
    })
}
