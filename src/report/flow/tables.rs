//! Tables of the text answer.

use super::case::FlowCase;
use super::said::{flow, number, percent, velocity, velocity_unit};
use super::sums::{Leaks, by_flow, by_place, place_kind};
use crate::quantity::UnitSystem;
use crate::report::figures::flow_unit;
use crate::report::lines::{Holds, Table, wrapped};
use crate::report::words;
use crate::system::{LeadsTo, Openings, Side};

/// Leakage by place.
pub fn places(case: &FlowCase<'_>, units: UnitSystem) -> String {
    let rows = by_place(case);
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("place", Holds::Names, 24),
        ("is", Holds::Names, 8),
        ("Pa to outdoors", Holds::Numbers, 14),
        (&format!("supply, {unit}"), Holds::Numbers, 12),
        (&format!("return, {unit}"), Holds::Numbers, 12),
    ]);
    let signed = |leaks: &Leaks| {
        let net = leaks.net_m3_s();
        let shown = flow(net, units);
        let is_zero = shown.chars().all(|c| matches!(c, '0' | '.'));
        if net > 0.0 && !is_zero {
            format!("+{shown}")
        } else {
            shown
        }
    };
    for row in &rows {
        let place = &case.system.places[row.place];
        table.row(vec![
            place.name.clone(),
            place_kind(place.house_share).to_owned(),
            number(row.pressure_pa, 1),
            signed(&row.sides[0]),
            signed(&row.sides[1]),
        ]);
    }
    format!(
        "Leakage by place (+ out of the ducts, - into them)\n{}\n",
        table.text()
    )
}

/// Rooms while running.
pub fn rooms(case: &FlowCase<'_>, units: UnitSystem) -> String {
    if case.system.rooms.is_empty() || !case.is_running() {
        return String::new();
    }
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("room", Holds::Names, 26),
        ("door", Holds::Names, 6),
        ("Pa to house", Holds::Numbers, 11),
        (&format!("supplied, {unit}"), Holds::Numbers, 14),
        ("returned", Holds::Numbers, 9),
        ("design", Holds::Numbers, 7),
        ("of design", Holds::Numbers, 9),
    ]);
    for (index, (room, state)) in case.system.rooms.iter().zip(&case.state.rooms).enumerate() {
        let meant = case.room_meant_m3_s(index);
        table.row(vec![
            room.name.clone(),
            if state.apart { "closed" } else { "open" }.to_owned(),
            number(state.pressure_pa - case.state.house_pa, 1),
            or_dash(state.supplied_m3_s, units),
            or_dash(state.returned_m3_s, units),
            meant.map_or_else(|| "-".to_owned(), |meant| flow(meant, units)),
            of_meant(state.supplied_m3_s, meant),
        ]);
    }
    format!(
        "Rooms (design: `design flow` of their runs)\n{}\n",
        table.text()
    )
}

fn or_dash(flow_m3_s: f64, units: UnitSystem) -> String {
    if flow_m3_s.abs() < 1e-9 {
        "-".to_owned()
    } else {
        flow(flow_m3_s, units)
    }
}

fn of_meant(flow_m3_s: f64, meant: Option<f64>) -> String {
    match meant.filter(|meant| *meant > 0.0) {
        Some(meant) => percent(flow_m3_s / meant),
        None => "-".to_owned(),
    }
}

/// Registers and grilles: all of them, but while running those that no room stands for.
pub fn openings(case: &FlowCase<'_>, units: UnitSystem) -> String {
    let running = case.is_running();
    let shown: Vec<usize> = (0..case.system.openings.len())
        .filter(|index| !running || case.system.openings[*index].room_index.is_none())
        .filter(|index| case.state.openings[*index].behind_pa.is_some())
        .collect();
    if shown.is_empty() {
        return String::new();
    }
    let masked = case.setup.kind.recipe().openings == Openings::Masked;
    let into_room = format!("into room, {}", flow_unit(units));
    let named = |index: &usize| {
        let opening = &case.system.openings[*index];
        opening.room.is_some() || opening.leads_to == LeadsTo::Outdoors
    };
    let any_named = shown.iter().any(named);
    let mut columns = vec![("register or grille", Holds::Names, 32)];
    if any_named {
        columns.push(("room", Holds::Names, 18));
    }
    columns.push(("Pa behind", Holds::Numbers, 9));
    if !masked {
        columns.push((into_room.as_str(), Holds::Numbers, 14));
    }
    if running {
        columns.push(("design", Holds::Numbers, 7));
        columns.push(("of design", Holds::Numbers, 9));
    }
    let mut table = Table::new(&columns);
    let behind_pa = |index: usize| {
        case.state.openings[index].behind_pa.unwrap_or(f64::NAN) - case.before_pa(index)
    };
    let decimals = match shown.iter().all(|index| behind_pa(*index).abs() < 0.95) {
        true => 2,
        false => 1,
    };
    for index in shown {
        let (opening, state) = (&case.system.openings[index], &case.state.openings[index]);
        let before = match opening.leads_to {
            LeadsTo::Outdoors => "outdoors".to_owned(),
            LeadsTo::Room => opening.room.clone().unwrap_or_else(|| "-".to_owned()),
        };
        let mut row = vec![opening.id.clone()];
        if any_named {
            row.push(before);
        }
        row.push(number(behind_pa(index), decimals));
        if !masked {
            row.push(if state.open {
                flow(state.into_room_m3_s, units)
            } else {
                "covered".to_owned()
            });
        }
        if running {
            let meant = case.meant_m3_s(index);
            row.push(meant.map_or_else(|| "-".to_owned(), |meant| flow(meant, units)));
            row.push(of_meant(state.into_room_m3_s.abs(), meant));
        }
        table.row(row);
    }
    let note = if masked {
        "(behind: against the room or outdoors; all masked)"
    } else {
        "(behind: total pressure against the room or outdoors; a flow below zero goes into the duct)"
    };
    let heading = wrapped("", &format!("Registers and grilles {note}"));
    format!("{heading}{}\n", table.text())
}

/// The seams with the largest flows.
pub fn seams(case: &FlowCase<'_>, units: UnitSystem, rows: usize) -> String {
    let mut order = by_flow(case);
    // Seams outside the part under test pass nothing at all.
    let takes_part = |seam: &usize| case.state.seam_m3_s[*seam].abs() > 0.0;
    order.retain(takes_part);
    let silent = case.system.seams.len() - order.len();
    let shown = if rows == 0 { order.len() } else { rows };
    let unit = flow_unit(units);
    let all: f64 = case.state.seam_m3_s.iter().map(|flow| flow.abs()).sum();
    let mut table = Table::new(&[
        ("seam", Holds::Names, 30),
        ("where", Holds::Words, 24),
        ("reach", Holds::Words, 16),
        ("Pa across", Holds::Numbers, 9),
        (unit, Holds::Numbers, 6),
        ("", Holds::Names, 3),
        ("share", Holds::Numbers, 6),
    ]);
    for &index in order.iter().take(shown) {
        let (seam, flow_m3_s) = (&case.system.seams[index], case.state.seam_m3_s[index]);
        table.row(vec![
            seam.id.clone(),
            case.system.places[seam.place].name.clone(),
            words::reach(seam.reach).to_owned(),
            number(case.state.seam_pa[index], 1),
            flow(flow_m3_s.abs(), units),
            if flow_m3_s < 0.0 { "in" } else { "out" }.to_owned(),
            percent(if all > 0.0 {
                flow_m3_s.abs() / all
            } else {
                0.0
            }),
        ]);
    }
    let rest = &order[shown.min(order.len())..];
    let mut text = format!(
        "Seams with the largest flow (Pa across: static pressure of the duct less that of the place)\n{}",
        table.text()
    );
    if !rest.is_empty() {
        let flows: f64 = rest.iter().map(|i| case.state.seam_m3_s[*i].abs()).sum();
        text.push_str(&wrapped(
            "  ",
            &format!(
                "and {} with {} {unit} together; `--rows 0` shows all",
                words::counted(rest.len(), "more seam", "more seams"),
                flow(flows, units)
            ),
        ));
    }
    if silent > 0 {
        text.push_str(&wrapped(
            "  ",
            &format!(
                "{} no part in this set-up",
                words::counted(silent, "seam takes", "seams take")
            ),
        ));
    }
    text.push('\n');
    text
}

/// Pieces along each run in walk order.
pub fn pieces(case: &FlowCase<'_>, units: UnitSystem) -> String {
    let running = case.is_running();
    let mut table = Table::new(&[
        ("piece", Holds::Names, 36),
        ("Pa total at start", Holds::Numbers, 17),
        ("at end", Holds::Numbers, 8),
        ("static there", Holds::Numbers, 12),
        (flow_unit(units), Holds::Numbers, 8),
        (velocity_unit(units), Holds::Numbers, 8),
    ]);
    let mut silent = 0;
    for (piece, state) in case.pieces_as_walked() {
        let Some(state) = state else {
            silent += 1;
            continue;
        };
        // While running, above zero is the way that the air ought to go: in return runs towards the unit. The unit's
        // own pieces lie with the air.
        let way = if running && piece.run.is_some() && piece.side == Side::Return {
            -1.0
        } else {
            1.0
        };
        let shown = |value: Option<f64>, as_text: &dyn Fn(f64) -> String| {
            value.map_or_else(|| "-".to_owned(), |value| as_text(way * value))
        };
        table.row(vec![
            piece.id.clone(),
            number(state.tail_pa, 1),
            number(state.head_pa, 1),
            number(state.head_static_pa, 1),
            shown(state.flow_m3_s, &|q| flow(q, units)),
            shown(state.velocity_m_s, &|v| velocity(v, units)),
        ]);
    }
    let way = if running {
        "flow above zero is the usual way of the air: in return runs towards the unit"
    } else {
        "flow above zero runs away from the unit"
    };
    let heading = format!("Pieces along each run as walked, away from the unit ({way})");
    let mut text = wrapped("", &heading);
    text.push_str(&table.text());
    if silent > 0 {
        text.push_str(&wrapped(
            "  ",
            &format!(
                "{} outside the part under test",
                words::counted(silent, "piece is", "pieces are")
            ),
        ));
    }
    text.push('\n');
    text
}
