//! Effects as CSV: one row a figure, SI.

use super::said::whole;
use crate::allocate::Band;
use crate::effects::{Change, Effects};
use crate::report::words;

/// Columns of the table, in order; figures are in `unit`.
pub const COLUMNS: [&str; 17] = [
    "what",
    "name",
    "side",
    "place",
    "unit",
    "meant",
    "before_mean",
    "before_p05",
    "before_p50",
    "before_p95",
    "after_mean",
    "after_p05",
    "after_p50",
    "after_p95",
    "change_mean",
    "change_p05",
    "change_p95",
];

/// A row's words.
struct Row<'a> {
    what: &'a str,
    name: &'a str,
    side: &'a str,
    place: &'a str,
    unit: &'a str,
    meant: Option<f64>,
}

const NOTHING: Row<'static> = Row {
    what: "",
    name: "",
    side: "",
    place: "",
    unit: "",
    meant: None,
};

/// The figures as CSV, header first; what is not a number stays empty. What a season saves stands in the columns of the
/// change, above zero.
///
/// # Panics
/// Never: writing into memory does not fail.
#[must_use]
pub fn effects_csv(effects: &Effects) -> String {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(COLUMNS).expect("memory takes every row");
    let mut say = |row: Row<'_>, change: &Change| {
        let (before, after, moved) = (&change.before, &change.after, &change.change);
        let figures = [
            before.mean,
            before.p05,
            before.p50,
            before.p95,
            after.mean,
            after.p05,
            after.p50,
            after.p95,
            moved.mean,
            moved.p05,
            moved.p95,
        ];
        let words = [row.what, row.name, row.side, row.place, row.unit];
        let cells: Vec<String> = words
            .iter()
            .map(|word| (*word).to_owned())
            .chain([row.meant.map_or_else(String::new, number)])
            .chain(figures.iter().map(|figure| number(*figure)))
            .collect();
        table.write_record(&cells).expect("memory takes every row");
    };
    let flow = Row {
        unit: "m3/s",
        ..NOTHING
    };
    for room in &effects.rooms {
        let row = Row {
            what: "room supplied",
            name: &room.name,
            meant: room.meant_m3_s,
            ..flow
        };
        say(row, &room.supplied_m3_s);
    }
    for register in &effects.registers {
        let row = Row {
            what: "register",
            name: &register.run,
            side: words::side(register.side),
            meant: register.meant_m3_s,
            ..flow
        };
        say(row, &register.flow_m3_s);
    }
    let blower = Row {
        what: "blower",
        ..flow
    };
    say(blower, &effects.blower_m3_s);
    let pressure = |what| Row {
        what,
        unit: "Pa",
        ..NOTHING
    };
    for (what, change) in [
        ("external static", &effects.external_static_pa),
        ("supply plenum static", &effects.supply_static_pa),
        ("return plenum static", &effects.return_static_pa),
    ] {
        if let Some(change) = change {
            say(pressure(what), change);
        }
    }
    if effects.envelope_known {
        say(pressure("house"), &effects.house_pa);
    }
    if let Some(draft) = &effects.draft {
        say(pressure("lowest draft zone"), &draft.pa);
    }
    if let Some(power) = &effects.fan_w {
        let row = Row {
            what: "fan power",
            unit: "W",
            ..NOTHING
        };
        say(row, power);
    }
    for side in &effects.sides {
        let own = words::side(side.side);
        for (what, unit, change) in [
            ("leak out", "m3/s", &side.out_m3_s),
            ("leak in", "m3/s", &side.in_m3_s),
            ("leak outside of blower", "1", &side.outside_part),
        ] {
            let row = Row {
                what,
                side: own,
                unit,
                ..NOTHING
            };
            say(row, change);
        }
    }
    for place in &effects.places {
        for (what, side, change) in [
            ("place leak out", "supply", &place.supply_out_m3_s),
            ("place leak in", "supply", &place.supply_in_m3_s),
            ("place leak out", "return", &place.return_out_m3_s),
            ("place leak in", "return", &place.return_in_m3_s),
        ] {
            let row = Row {
                what,
                side,
                place: &place.name,
                ..flow
            };
            say(row, change);
        }
    }
    if let Some(found) = &effects.infiltration {
        for (what, change) in [
            ("unbalanced leakage", &found.unbalanced_m3_s),
            ("infiltration running", &found.running_m3_s),
        ] {
            say(Row { what, ..flow }, change);
        }
    }
    for (side, seams) in [("return", &effects.drawn), ("supply", &effects.blown)] {
        for seam in seams {
            let row = Row {
                what: "seam outside",
                name: &seam.id,
                side,
                place: &seam.place,
                ..flow
            };
            say(row, &seam.flow_m3_s);
        }
    }
    for (name, season) in [("heating", &effects.heating), ("cooling", &effects.cooling)] {
        let Some(season) = season else { continue };
        for (what, change) in [
            ("delivery effectiveness", &season.delivery),
            ("delivery with regain", &season.delivered),
            ("distribution efficiency", &season.distribution),
        ] {
            let row = Row {
                what,
                name,
                unit: "1",
                ..NOTHING
            };
            say(row, change);
        }
        let rise = Row {
            what: "rise over the equipment",
            name,
            unit: "K",
            ..NOTHING
        };
        say(rise, &season.rise_k);
        let nothing = Band {
            mean: f64::NAN,
            p05: f64::NAN,
            p50: f64::NAN,
            p95: f64::NAN,
        };
        for (what, unit, saved) in [
            ("saved part of the energy", "1", Some(season.saved_part)),
            ("saved energy a year", "J", season.saved_j),
            (
                "saved money a year",
                effects.currency.as_str(),
                season.saved_money.map(whole),
            ),
        ] {
            let Some(saved) = saved else { continue };
            let row = Row {
                what,
                name,
                unit,
                ..NOTHING
            };
            let change = Change {
                before: nothing,
                after: nothing,
                change: saved,
            };
            say(row, &change);
        }
    }
    let bytes = table.into_inner().expect("memory takes every row");
    String::from_utf8(bytes).expect("rows are made of text")
}

fn number(value: f64) -> String {
    if value.is_finite() {
        value.to_string()
    } else {
        String::new()
    }
}
