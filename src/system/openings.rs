//! Registers, grilles and intakes: what they lose, and the filters in them.

use super::types::{ComponentLoss, LeadsTo, Opening, Side};
use crate::math::square;

/// Free part of the area of a register, grille or hood. Engineering estimate.
pub(super) const FREE_PART: f64 = 0.7;
/// Words for where the loss of an opening comes from.
pub(super) const LOSS_SOURCE: &str =
    "from memory: sharp-edged grille and abrupt exit; the free area an engineering estimate";

/// Loss coefficient of an opening on the velocity in its gross area, exit or entry included.
///
/// # Equation
/// ```text
/// (1.707 − f)²/f² + 1
/// ```
/// where `f` free part of the area.
///
/// # Source
/// Sharp-edged grille: Handbook of Hydraulic Resistance, simplified, from memory; exit of 1.0: engineering reference table.
pub(super) fn loss(free_part: f64) -> f64 {
    square((1.707 - free_part) / free_part) + 1.0
}

/// Puts a filter into the return grilles, each at its part of the airflow by area. Gives whether there was a grille.
pub(super) fn put_filter(openings: &mut [Opening], filter: ComponentLoss) -> bool {
    let is_grille = |o: &Opening| o.side == Side::Return && o.leads_to == LeadsTo::Room;
    let area: f64 = openings
        .iter()
        .filter(|o| is_grille(o))
        .map(|o| o.size.area().si())
        .sum();
    for opening in openings.iter_mut().filter(|o| is_grille(o)) {
        opening.filter = Some(ComponentLoss {
            q_m3_s: filter.q_m3_s * opening.size.area().si() / area,
            ..filter
        });
    }
    area > 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grille_seven_tenths_free_loses_three_velocity_pressures() {
        // the reference table of sharp-edged grilles: 2.1 at 0.7, 10.7 at 0.4; and the exit
        assert!((loss(0.7) - 3.07).abs() < 0.005);
        assert!((loss(0.4) - 11.7).abs() < 0.05);
    }
}
