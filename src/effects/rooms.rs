//! Rooms and registers before and after.

use super::change::Change;
use super::run::of;
use super::types::{RegisterEffect, RoomEffect};
use crate::flow::FlowState;
use crate::system::{LeadsTo, Side, System};

/// Sum of the design flows of a room's supply runs, m³/s; `None` unless every one states its own.
fn meant_m3_s(system: &System, room: usize) -> Option<f64> {
    let own = system.openings.iter().filter(|opening| {
        opening.room_index == Some(room)
            && opening.side == Side::Supply
            && opening.leads_to == LeadsTo::Room
    });
    let flows: Vec<f64> = own
        .map(|opening| system.runs[opening.run].design_flow_m3_s)
        .collect::<Option<_>>()?;
    let sum: f64 = flows.iter().sum();
    (sum > 0.0).then_some(sum)
}

/// Rooms in the system's order.
pub(super) fn rooms(system: &System, states: &[(FlowState, FlowState)]) -> Vec<RoomEffect> {
    system
        .rooms
        .iter()
        .enumerate()
        .map(|(room, said)| {
            let meant = meant_m3_s(system, room);
            let supplied = |state: &FlowState| state.rooms[room].supplied_m3_s;
            RoomEffect {
                room,
                name: said.name.clone(),
                meant_m3_s: meant,
                supplied_m3_s: of(states, supplied),
                part_of_meant: meant
                    .map(|meant| -> Change { of(states, |state| supplied(state) / meant) }),
                returned_m3_s: of(states, |state| state.rooms[room].returned_m3_s),
            }
        })
        .collect()
}

/// Registers and grilles in the system's order.
pub(super) fn registers(system: &System, states: &[(FlowState, FlowState)]) -> Vec<RegisterEffect> {
    system
        .openings
        .iter()
        .enumerate()
        .map(|(index, opening)| {
            let run = &system.runs[opening.run];
            let sign = match opening.side {
                Side::Supply => 1.0,
                Side::Return => -1.0,
            };
            RegisterEffect {
                opening: index,
                id: opening.id.clone(),
                run: run.id.clone(),
                side: opening.side,
                room: opening.room.clone(),
                meant_m3_s: run.design_flow_m3_s,
                flow_m3_s: of(states, |state| sign * state.openings[index].into_room_m3_s),
            }
        })
        .collect()
}
