//! Leaks by side, place and seam, and the zone with natural draft, before and after.

use super::change::Change;
use super::ducts::outside_parts;
use super::run::of;
use super::types::{DraftEffect, PlaceEffect, SeamEffect, SideEffect};
use super::zones::lowest_zone;
use crate::flow::FlowState;
use crate::system::{Side, System};

/// A leak smaller than this is not listed, m³/s: 0.02 cfm. Engineering estimate.
const LISTED_M3_S: f64 = 1e-5;

/// Leakage of the supply and of the return side.
pub(super) fn sides(system: &System, states: &[(FlowState, FlowState)]) -> [SideEffect; 2] {
    [Side::Supply, Side::Return].map(|side| {
        let sum = |state: &FlowState, sign: f64| -> f64 {
            let own = system.seams.iter().zip(&state.seam_m3_s);
            own.filter(|(seam, _)| seam.side == side)
                .map(|(_, flow)| (sign * flow).max(0.0))
                .sum()
        };
        let index = usize::from(side == Side::Return);
        SideEffect {
            side,
            out_m3_s: of(states, |state| sum(state, 1.0)),
            in_m3_s: of(states, |state| sum(state, -1.0)),
            outside_part: of(states, |state| outside_parts(system, state)[index]),
        }
    })
}

/// Leakage by place.
pub(super) fn places(
    system: &System,
    states: &[(FlowState, FlowState)],
    touched: &[bool],
) -> Vec<PlaceEffect> {
    system
        .places
        .iter()
        .enumerate()
        .filter(|(place, _)| touched[*place])
        .map(|(place, said)| {
            let leak = |side: Side, sign: f64| {
                of(states, |state| {
                    let own = system.seams.iter().zip(&state.seam_m3_s);
                    own.filter(|(seam, _)| seam.side == side && seam.place == place)
                        .map(|(_, flow)| (sign * flow).max(0.0))
                        .sum()
                })
            };
            let pressure = |state: &FlowState| state.place_pa(system, place);
            PlaceEffect {
                place,
                name: said.name.clone(),
                unconditioned: said.unconditioned,
                pressure_pa: of(states, pressure),
                supply_out_m3_s: leak(Side::Supply, 1.0),
                supply_in_m3_s: leak(Side::Supply, -1.0),
                return_out_m3_s: leak(Side::Return, 1.0),
                return_in_m3_s: leak(Side::Return, -1.0),
            }
        })
        .collect()
}

/// Seams of a side that leak the usual way outside the conditioned space, the largest before first.
pub(super) fn seams(
    system: &System,
    states: &[(FlowState, FlowState)],
    side: Side,
    most: usize,
) -> Vec<SeamEffect> {
    let sign = match side {
        Side::Supply => 1.0,
        Side::Return => -1.0,
    };
    let mut found: Vec<SeamEffect> = system
        .seams
        .iter()
        .enumerate()
        .filter(|(_, seam)| seam.side == side && system.places[seam.place].unconditioned)
        .map(|(index, seam)| SeamEffect {
            seam: index,
            id: seam.id.clone(),
            place: system.places[seam.place].name.clone(),
            flow_m3_s: of(states, |state| sign * state.seam_m3_s[index]),
        })
        .filter(|seam| seam.flow_m3_s.before.mean > LISTED_M3_S)
        .collect();
    // Stable, so that equals keep the system's order.
    found.sort_by(|a, b| {
        let flow = |seam: &SeamEffect| seam.flow_m3_s.before.mean;
        flow(b).total_cmp(&flow(a))
    });
    found.truncate(most);
    found
}

/// The zone with natural draft that stands lowest.
pub(super) fn draft(system: &System, states: &[(FlowState, FlowState)]) -> Option<DraftEffect> {
    let zones: Vec<_> = states
        .iter()
        .map(|(before, after)| Some((lowest_zone(system, before)?, lowest_zone(system, after)?)))
        .collect::<Option<_>>()?;
    let (first, _) = zones.first()?;
    let most = |names: Vec<&str>| -> String {
        let count = |name: &str| names.iter().filter(|other| **other == name).count();
        // The first of equals: `max_by_key` would take the last.
        let mut best = names[0];
        for name in &names {
            if count(name) > count(best) {
                best = name;
            }
        }
        best.to_owned()
    };
    Some(DraftEffect {
        zone_before: most(zones.iter().map(|(b, _)| b.name.as_str()).collect()),
        zone_after: most(zones.iter().map(|(_, a)| a.name.as_str()).collect()),
        pa: Change::of(zones.iter().map(|(b, a)| (b.pa, a.pa))),
        appliances: first.appliances.clone(),
    })
}
