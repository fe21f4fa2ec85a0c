//! Sums over the seams of a solved system.

use super::case::FlowCase;
use crate::flow::REFERENCE_PA;
use crate::math::powf;
use crate::system::{PlaceIdx, Side};

/// Leakage of some seams, m³/s, both above zero.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Leaks {
    /// Out of the ducts.
    pub out_m3_s: f64,
    /// Into the ducts.
    pub in_m3_s: f64,
    /// Seams that let air out.
    pub seams_out: usize,
    /// Seams that let air in.
    pub seams_in: usize,
}

impl Leaks {
    fn add(&mut self, flow_m3_s: f64) {
        if flow_m3_s > 0.0 {
            self.out_m3_s += flow_m3_s;
            self.seams_out += 1;
        } else if flow_m3_s < 0.0 {
            self.in_m3_s -= flow_m3_s;
            self.seams_in += 1;
        }
    }

    /// Out less in.
    pub fn net_m3_s(&self) -> f64 {
        self.out_m3_s - self.in_m3_s
    }
}

/// Leakage into one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaceLeaks {
    /// Place.
    pub place: PlaceIdx,
    /// Its pressure against outdoors.
    pub pressure_pa: f64,
    /// Supply and return side.
    pub sides: [Leaks; 2],
}

/// What kind of place it is, in a word, by the part of the house's pressure that it follows.
pub fn place_kind(house_share: f64) -> &'static str {
    if house_share >= 1.0 {
        "inside"
    } else if house_share <= 0.0 {
        "outdoors"
    } else {
        "buffer"
    }
}

fn side_index(side: Side) -> usize {
    match side {
        Side::Supply => 0,
        Side::Return => 1,
    }
}

/// Leakage of the supply and of the return side.
pub fn by_side(case: &FlowCase<'_>) -> [Leaks; 2] {
    let mut sides = [Leaks::default(); 2];
    for (seam, flow) in case.system.seams.iter().zip(&case.state.seam_m3_s) {
        sides[side_index(seam.side)].add(*flow);
    }
    sides
}

/// Leakage by place, places that seams touch in the order of the system.
pub fn by_place(case: &FlowCase<'_>) -> Vec<PlaceLeaks> {
    let mut found: Vec<PlaceLeaks> = (0..case.system.places.len())
        .filter_map(|place| {
            Some(PlaceLeaks {
                place,
                pressure_pa: case.state.places_pa.get(place).copied().flatten()?,
                sides: [Leaks::default(); 2],
            })
        })
        .collect();
    for (seam, flow) in case.system.seams.iter().zip(&case.state.seam_m3_s) {
        if let Some(row) = found.iter_mut().find(|row| row.place == seam.place) {
            row.sides[side_index(seam.side)].add(*flow);
        }
    }
    found
}

/// Seams of a running side that leak against its usual direction; 0 where they carry less than a hundredth of its
/// leakage.
pub fn reversed(side: Side, leaks: &Leaks) -> usize {
    let (usual, against, count) = match side {
        Side::Supply => (leaks.out_m3_s, leaks.in_m3_s, leaks.seams_in),
        Side::Return => (leaks.in_m3_s, leaks.out_m3_s, leaks.seams_out),
    };
    if against > 0.01 * (usual + against) {
        count
    } else {
        0
    }
}

/// Seams by falling flow, either way; ties keep the order of the system.
pub fn by_flow(case: &FlowCase<'_>) -> Vec<usize> {
    let flow = |seam: &usize| {
        let flow = case.state.seam_m3_s[*seam].abs();
        if flow.is_nan() { 0.0 } else { flow }
    };
    let mut order: Vec<usize> = (0..case.system.seams.len()).collect();
    order.sort_by(|a, b| flow(b).total_cmp(&flow(a)));
    order
}

/// Exponent of the half-plenum rule.
pub const HALF_PLENUM_EXPONENT: f64 = 0.6;

/// Leakage of a running side by the half-plenum rule, m³/s: every seam at half the plenum's static pressure.
///
/// # Equation
/// ```text
/// Q = ΣQ25 · (½·|P| / 25)^0.6
/// ```
/// where `P` static pressure of the side's plenum, Pa.
///
/// # Source
/// ASHRAE 152, mean of the pressures along the ducts taken as half that of the plenum (from memory). A plausibility
/// figure: it fails where leaks sit at one end.
pub fn half_plenum_m3_s(case: &FlowCase<'_>, side: Side) -> Option<f64> {
    let plenum = match side {
        Side::Supply => case.state.supply_plenum_pa,
        Side::Return => case.state.return_plenum_pa,
    }?;
    let part = powf(0.5 * plenum.abs() / REFERENCE_PA, HALF_PLENUM_EXPONENT);
    Some(case.system.prior_side_q25_m3_s(side) * part)
}
