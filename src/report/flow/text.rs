//! `ductseam flow` for a terminal 100 columns wide.

use super::case::FlowCase;
use super::said::{self, flow_with_unit, number, percent, pressure};
use super::sums::{HALF_PLENUM_EXPONENT, Leaks, by_place, by_side, half_plenum_m3_s, place_kind};
use super::tables;
use crate::flow::Status;
use crate::quantity::UnitSystem;
use crate::report::lines::wrapped;
use crate::report::words;
use crate::system::{HousePressure, Measured, Mover, Part, PieceKind, Reads, Relation, Side};

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FlowTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of the seam table; 0 shows all.
    pub rows: usize,
    /// Whether the table of pieces is shown.
    pub pieces: bool,
}

/// Cautions that a flow answer gives in text; the others concern work on the ducts and stand in `check`.
const CAUTIONS: [&str; 6] = [
    "asbestos-not-checked",
    "back-draft",
    "house-fan",
    "combustion-not-stated",
    "combustion",
    "authority",
];

/// The answer in words and tables.
#[must_use]
pub fn flow_text(case: &FlowCase<'_>, settings: FlowTextSettings) -> String {
    let units = settings.units;
    let mut text = wrapped("", &case.system.title) + "\n";
    let cautions = case.cautions();
    for caution in cautions.iter().filter(|caution| caution.stop) {
        text.push_str(&wrapped("STOP: ", &caution.text));
        text.push('\n');
    }
    text.push_str(&wrapped("", &said::solved(case, units)));
    text.push('\n');
    text.push_str(&summary(case, units));
    text.push_str(&tables::places(case, units));
    text.push_str(&tables::rooms(case, units));
    text.push_str(&tables::openings(case, units));
    if settings.pieces {
        text.push_str(&tables::pieces(case, units));
    }
    text.push_str(&tables::seams(case, units, settings.rows));
    list(
        &mut text,
        "Doubtful",
        case.doubts().iter().map(String::as_str),
    );
    let warnings = case.warnings();
    list(
        &mut text,
        "Mind",
        warnings.iter().map(|warning| warning.text.as_str()),
    );
    list(
        &mut text,
        "Before you touch anything",
        cautions
            .iter()
            .filter(|caution| !caution.stop && CAUTIONS.contains(&caution.code))
            .map(|caution| caution.text.as_str()),
    );
    text.push_str(&solver(case));
    text
}

fn list<'a>(text: &mut String, heading: &str, lines: impl Iterator<Item = &'a str>) {
    let mut lines = lines.peekable();
    if lines.peek().is_none() {
        return;
    }
    text.push_str(heading);
    text.push('\n');
    for line in lines {
        text.push_str(&wrapped("  - ", line));
    }
    text.push('\n');
}

fn summary(case: &FlowCase<'_>, units: UnitSystem) -> String {
    let mut lines: Vec<(String, String)> = Vec::new();
    let mut say = |name: &str, value: String| lines.push((name.to_owned(), value));
    if case.is_running() {
        running(case, units, &mut say);
    } else {
        test(case, units, &mut say);
    }
    let width = lines
        .iter()
        .map(|(name, _)| name.chars().count())
        .max()
        .unwrap_or(0);
    let mut text = String::from("In short\n");
    for (name, value) in lines {
        text.push_str(&wrapped(&format!("  {name:width$}  "), &value));
    }
    text.push('\n');
    text
}

fn running(case: &FlowCase<'_>, units: UnitSystem, say: &mut impl FnMut(&str, String)) {
    let state = case.state;
    let fan = state.blower_m3_s.unwrap_or(f64::NAN);
    say("Through the blower", flow_with_unit(fan, units));
    if let (Some(supply), Some(back)) = (state.supply_plenum_pa, state.return_plenum_pa) {
        say(
            "Static pressure",
            format!(
                "supply plenum {}, return plenum {}",
                pressure(supply, units),
                pressure(back, units)
            ),
        );
        say(
            "External static",
            format!(
                "{} plenum to plenum{}; the blower itself makes {}",
                pressure(supply - back, units),
                between(case),
                pressure(state.blower_rise_pa.unwrap_or(f64::NAN), units)
            ),
        );
    }
    house(case, units, say);
    if case.setup.kind.recipe().reads == Reads::HouseFanFlow {
        let flow = state.reading.unwrap_or(f64::NAN);
        let way = if flow < 0.0 { "out of" } else { "into" };
        say(
            "House fan",
            format!("{} {way} the house", flow_with_unit(flow.abs(), units)),
        );
    }
    let [supply, back] = by_side(case);
    let of_fan = |leak: f64| format!("{} of the blower's flow", percent(leak / fan.abs()));
    say(
        "Out of supply ducts",
        format!(
            "{}, {}{}",
            flow_with_unit(supply.out_m3_s, units),
            of_fan(supply.out_m3_s),
            other_way(supply.in_m3_s, "into them", units)
        ),
    );
    say(
        "Into return ducts",
        format!(
            "{}, {}{}",
            flow_with_unit(back.in_m3_s, units),
            of_fan(back.in_m3_s),
            other_way(back.out_m3_s, "out of them", units)
        ),
    );
    let kinds = by_kind(case);
    let named = kinds.iter().zip(["outdoors", "buffer zones", "inside"]);
    let kinds: Vec<String> = named
        .filter(|(sides, _)| {
            sides
                .iter()
                .any(|leaks| leaks.seams_out + leaks.seams_in > 0)
        })
        .map(|(sides, name)| {
            format!(
                "{name}: {} of supply, {} of return",
                flow_with_unit(sides[0].net_m3_s(), units),
                flow_with_unit(-sides[1].net_m3_s(), units)
            )
        })
        .collect();
    say("Leaks into", kinds.join("; "));
    let half = |side| {
        half_plenum_m3_s(case, side).map_or_else(|| "n/a".to_owned(), |q| flow_with_unit(q, units))
    };
    say(
        "Half-plenum rule",
        format!(
            "supply {}, return {}: all seams at half the plenum's pressure, exponent {HALF_PLENUM_EXPONENT} (from \
             memory); a check on the two lines above, off where leaks sit at one end",
            half(Side::Supply),
            half(Side::Return)
        ),
    );
}

/// What of the unit lies between the taps of the plenums, beside the blower.
fn between(case: &FlowCase<'_>) -> &'static str {
    let unit = &case.system.unit;
    let pieces = [unit.inlet_piece, unit.outlet_piece];
    let coil = pieces
        .iter()
        .any(|piece| case.system.graph[*piece].kind == PieceKind::Coil);
    match (unit.filter.is_some(), coil) {
        (true, true) => ", with filter and coil between",
        (true, false) => ", with the filter between",
        (false, true) => ", with the coil between",
        (false, false) => "",
    }
}

fn other_way(flow_m3_s: f64, way: &str, units: UnitSystem) -> String {
    if flow_m3_s > 1e-6 {
        format!("; {} {way}", flow_with_unit(flow_m3_s, units))
    } else {
        String::new()
    }
}

/// Leakage to places outdoors, between, and inside.
fn by_kind(case: &FlowCase<'_>) -> [[Leaks; 2]; 3] {
    let mut kinds = [[Leaks::default(); 2]; 3];
    for row in by_place(case) {
        let kind = match place_kind(case.system.places[row.place].house_share) {
            "outdoors" => 0,
            "buffer" => 1,
            _ => 2,
        };
        for (sum, leaks) in kinds[kind].iter_mut().zip(row.sides) {
            sum.out_m3_s += leaks.out_m3_s;
            sum.in_m3_s += leaks.in_m3_s;
            sum.seams_out += leaks.seams_out;
            sum.seams_in += leaks.seams_in;
        }
    }
    kinds
}

fn house(case: &FlowCase<'_>, units: UnitSystem, say: &mut impl FnMut(&str, String)) {
    let floats = case.setup.kind.recipe().house == HousePressure::Floats;
    let words = if floats && case.system.envelope.is_none() {
        "not known: no envelope is known, taken as outdoor pressure".to_owned()
    } else {
        let shown = match units {
            UnitSystem::Si => pressure(case.state.house_pa, units),
            UnitSystem::Ip => format!("{} Pa", number(case.state.house_pa, 1)),
        };
        let blower = if floats {
            ", from duct leakage and closed doors alone"
        } else {
            ""
        };
        format!("{shown} against outdoors{blower}")
    };
    say("House", words);
}

/// A pressure held: whole pascals, one decimal where it is small.
fn held(pa: f64) -> String {
    number(pa, if pa.abs() < 9.95 { 1 } else { 0 })
}

fn test(case: &FlowCase<'_>, units: UnitSystem, say: &mut impl FnMut(&str, String)) {
    let state = case.state;
    let recipe = case.setup.kind.recipe();
    let reading = state.reading.unwrap_or(f64::NAN);
    match recipe.reads {
        Reads::PanPressure => say(
            "Pan pressure",
            format!(
                "{} Pa behind the pan against its room, house at {} Pa; near 0: tight, or leaking indoors; near {}: open \
                 to outdoors (less where the ducts lie in a place that follows the house)",
                number(reading, 1),
                held(state.house_pa),
                held(-state.house_pa)
            ),
        ),
        Reads::HouseFanFlow => say(
            "House fan",
            format!(
                "{}{} holds the house at {} Pa",
                flow_with_unit(reading, units),
                if case.system.envelope.is_some() {
                    " through envelope and ducts"
                } else {
                    ""
                },
                held(state.house_pa)
            ),
        ),
        Reads::DuctFanFlow | Reads::BlowerFlow => {
            let masks = state.outcome.mask_leak_m3_s.abs();
            let what = match recipe.part {
                Part::OneSide {
                    barrier_leaks: true,
                } => "masks and barrier",
                Part::OneRun => "masks and plug",
                _ if !case.setup.plugged.is_empty() => "masks and plugs",
                _ => "masks",
            };
            say(
                "Fan flow",
                format!(
                    "{} at {} Pa; {} of it through {what}",
                    flow_with_unit(reading, units),
                    held(said::signed_pa(case)),
                    flow_with_unit(masks, units)
                ),
            );
        }
    }
    for measured in case.same_readings() {
        say("Measured", measured_words(measured, reading, units));
    }
    for measured in case.like_readings() {
        say(
            "Measured otherwise",
            format!(
                "{}, set up differently ({}): `--set-up reading:{}`",
                value(measured, units),
                words::setup(case.system, &measured.setup),
                measured.id
            ),
        );
    }
    let [supply, back] = by_side(case);
    let pulls = supply.net_m3_s() + back.net_m3_s() < 0.0;
    let sign = if pulls { -1.0 } else { 1.0 };
    say(
        if pulls {
            "Into the ducts"
        } else {
            "Out of the ducts"
        },
        format!(
            "{} on the supply side, {} on the return side",
            flow_with_unit(sign * supply.net_m3_s(), units),
            flow_with_unit(sign * back.net_m3_s(), units)
        ),
    );
    if recipe.mover == Mover::HouseFan {
        return;
    }
    if let (Some(supply), Some(back)) = (state.supply_plenum_pa, state.return_plenum_pa) {
        say(
            "Static pressure",
            format!(
                "supply plenum {} Pa, return plenum {} Pa",
                number(supply, 1),
                number(back, 1)
            ),
        );
    }
}

fn value(measured: &Measured, units: UnitSystem) -> String {
    let below = match measured.relation {
        Relation::Below => "below ",
        Relation::Equals => "",
    };
    format!(
        "`{}`: {below}{}",
        measured.id,
        flow_with_unit(measured.value, units)
    )
}

fn measured_words(measured: &Measured, modelled: f64, units: UnitSystem) -> String {
    format!(
        "{} in this very set-up, {} times what the catalogue's means give",
        value(measured, units),
        number(measured.value / modelled, 2)
    )
}

fn solver(case: &FlowCase<'_>) -> String {
    let outcome = &case.state.outcome;
    let status = match outcome.status {
        Status::Converged => "converged",
        Status::RoundingLimited => "converged as far as rounding allows",
        Status::NotConverged { .. } => "not converged",
        Status::OutOfReach { .. } => "the tap is out of any fan's reach",
    };
    let imbalance = if outcome.worst_imbalance.is_finite() {
        format!("{:.1e} m3/s", outcome.worst_imbalance)
    } else {
        "n/a".to_owned()
    };
    wrapped(
        "",
        &format!(
            "Solver: {status}; worst imbalance of a node {imbalance}; {} in {}.",
            words::counted(outcome.iterations as usize, "step", "steps"),
            words::counted(
                outcome.lag_rounds as usize + 1,
                "round of velocity pressures",
                "rounds of velocity pressures"
            ),
        ),
    )
}
