//! Tables of the text answer.

use super::said::{flow_band, percent};
use crate::effects::{Effects, RoomEffect, SeamEffect};
use crate::quantity::UnitSystem;
use crate::report::figures::{flow_unit, signed_flow};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::report::words;

/// Part of what was meant below which a room counts as short. Engineering estimate: a tenth is what balancing aims at.
pub(in crate::report) const SHORT: f64 = 0.9;
/// Names that one sentence lists.
const LISTED: usize = 6;

fn part_of_meant(room: &RoomEffect) -> String {
    room.part_of_meant.map_or_else(
        || "-".to_owned(),
        |part| format!("{} %", percent(part.after.mean)),
    )
}

/// Rooms that supplies serve.
pub fn rooms(effects: &Effects, units: UnitSystem) -> Option<Block> {
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("room", Holds::Names, 30),
        (&format!("before, {unit}"), Holds::Numbers, 11),
        ("after", Holds::Numbers, 7),
        ("90 % range", Holds::Numbers, 14),
        ("meant", Holds::Numbers, 7),
        ("of meant", Holds::Numbers, 8),
    ]);
    let mut any = false;
    for room in effects.rooms.iter().filter(|room| room.is_served()) {
        any = true;
        table.row(vec![
            room.name.clone(),
            signed_flow(room.supplied_m3_s.before.mean, units),
            signed_flow(room.supplied_m3_s.after.mean, units),
            flow_band(&room.supplied_m3_s.after, units),
            room.meant_m3_s
                .map_or_else(|| "-".to_owned(), |meant| signed_flow(meant, units)),
            part_of_meant(room),
        ]);
    }
    any.then(|| plain("Air that reaches the rooms", table))
}

fn plain(heading: &str, table: Table) -> Block {
    Block {
        heading: heading.to_owned(),
        table,
        more: String::new(),
        notes: Vec::new(),
    }
}

/// Rooms that stay short, and what else may be the cause.
pub fn short_rooms(effects: &Effects) -> String {
    let short: Vec<&str> = effects
        .rooms
        .iter()
        .filter(|room| {
            room.part_of_meant
                .is_some_and(|part| part.after.mean < SHORT)
        })
        .map(|room| room.name.as_str())
        .collect();
    if short.is_empty() {
        return String::new();
    }
    let text = format!(
        "Short of what was meant even then: {}. Leakage is one cause of several: look for a damper that is shut or turned, \
         flexible duct that is crushed or kinked, a blocked register, a closed door without a way back, too small a return \
         or branch, a dirty filter or coil; and a room may stay cold or hot by its windows and insulation alone.",
        words::some_names(&short, LISTED)
    );
    wrapped("", &text) + "\n"
}

/// Registers and grilles.
pub fn registers(effects: &Effects, units: UnitSystem) -> Block {
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("register or grille", Holds::Names, 30),
        ("side", Holds::Names, 6),
        (&format!("before, {unit}"), Holds::Numbers, 11),
        ("after", Holds::Numbers, 7),
        ("90 % range", Holds::Numbers, 14),
        ("meant", Holds::Numbers, 7),
    ]);
    for register in &effects.registers {
        table.row(vec![
            register.run.clone(),
            words::side(register.side).to_owned(),
            signed_flow(register.flow_m3_s.before.mean, units),
            signed_flow(register.flow_m3_s.after.mean, units),
            flow_band(&register.flow_m3_s.after, units),
            register
                .meant_m3_s
                .map_or_else(|| "-".to_owned(), |meant| signed_flow(meant, units)),
        ]);
    }
    plain("Registers and grilles", table)
}

/// Leakage by place.
pub fn places(effects: &Effects, units: UnitSystem) -> Block {
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("place", Holds::Names, 24),
        ("counts as", Holds::Names, 9),
        (&format!("supply out, {unit}"), Holds::Numbers, 15),
        ("after", Holds::Numbers, 7),
        ("return in", Holds::Numbers, 9),
        ("after", Holds::Numbers, 7),
    ]);
    for place in &effects.places {
        table.row(vec![
            place.name.clone(),
            if place.unconditioned {
                "outside"
            } else {
                "inside"
            }
            .to_owned(),
            signed_flow(place.supply_out_m3_s.before.mean, units),
            signed_flow(place.supply_out_m3_s.after.mean, units),
            signed_flow(place.return_in_m3_s.before.mean, units),
            signed_flow(place.return_in_m3_s.after.mean, units),
        ]);
    }
    let mut block = plain("Leakage by place while running", table);
    block.notes.push(
        "All leakage counts for the air that rooms get; only what counts as outside the conditioned space counts for \
         energy."
            .to_owned(),
    );
    block
}

/// Seams that draw from, or blow into, places outside the conditioned space.
pub fn seams(effects: &Effects, units: UnitSystem) -> Vec<Block> {
    let drawn = seam_table(
        "Return leaks that draw air from outside the conditioned space, with its dust and damp",
        &effects.drawn,
        units,
    );
    let blown = seam_table("Supply leaks that blow there", &effects.blown, units);
    drawn.into_iter().chain(blown).collect()
}

fn seam_table(heading: &str, seams: &[SeamEffect], units: UnitSystem) -> Option<Block> {
    if seams.is_empty() {
        return None;
    }
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("seam", Holds::Names, 34),
        ("place", Holds::Names, 18),
        (&format!("before, {unit}"), Holds::Numbers, 11),
        ("after", Holds::Numbers, 7),
        ("90 % range", Holds::Numbers, 14),
    ]);
    for seam in seams {
        table.row(vec![
            seam.id.clone(),
            seam.place.clone(),
            signed_flow(seam.flow_m3_s.before.mean, units),
            signed_flow(seam.flow_m3_s.after.mean, units),
            flow_band(&seam.flow_m3_s.after, units),
        ]);
    }
    Some(plain(heading, table))
}
