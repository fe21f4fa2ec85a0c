//! What sealing does, for a terminal 100 columns wide.

use super::said::{all_cautions, flows, in_sentence, parts, pressures};
use super::{seasons, tables};
use crate::effects::Effects;
use crate::quantity::UnitSystem;
use crate::report::figures::number;
use crate::report::lines::wrapped;
use crate::report::words::counted;
use crate::system::System;

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EffectsTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Whether every register is shown beside the rooms.
    pub registers: bool,
    /// Whether everything that stood in for something unsaid is listed.
    pub defaults: bool,
}

/// The answer in words and tables: cautions first.
#[must_use]
pub fn effects_text(system: &System, effects: &Effects, settings: EffectsTextSettings) -> String {
    let units = settings.units;
    let mut text = wrapped("", &system.title) + "\n";
    let cautions = all_cautions(system, effects);
    for caution in cautions.iter().filter(|caution| caution.stop) {
        text.push_str(&wrapped("STOP: ", &caution.text));
        text.push('\n');
    }
    list(
        &mut text,
        "Before you touch anything",
        cautions
            .iter()
            .filter(|caution| !caution.stop)
            .map(|caution| caution.text.clone()),
    );
    text.push_str(&wrapped("", &solved(effects, units)));
    text.push('\n');
    text.push_str(&summary(effects, units));
    text.push_str(&tables::rooms(effects, units).map_or_else(String::new, |block| block.text()));
    text.push_str(&tables::short_rooms(effects));
    if settings.registers {
        text.push_str(&tables::registers(effects, units).text());
    }
    text.push_str(&tables::places(effects, units).text());
    for block in tables::seams(effects, units) {
        text.push_str(&block.text());
    }
    text.push_str(&seasons::seasons(effects, units));
    list(
        &mut text,
        "Mind",
        system
            .warnings
            .iter()
            .chain(&effects.notes)
            .map(|warning| warning.text.clone()),
    );
    let used = effects.defaults.iter();
    if settings.defaults {
        list(
            &mut text,
            "Taken where nothing was said",
            used.map(|used| format!("{}: {} ({})", used.about, used.taken, used.source)),
        );
    } else if !effects.defaults.is_empty() {
        text.push_str(&wrapped(
            "",
            &format!(
                "{} stood in for what the sketch does not say; the JSON answer lists them with their sources.",
                counted(effects.defaults.len(), "figure", "figures")
            ),
        ));
    }
    text
}

fn list(text: &mut String, heading: &str, lines: impl Iterator<Item = String>) {
    let mut lines = lines.peekable();
    if lines.peek().is_none() {
        return;
    }
    text.push_str(heading);
    text.push('\n');
    for line in lines {
        text.push_str(&wrapped("  - ", &line));
    }
    text.push('\n');
}

/// One paragraph: what was compared.
pub(in crate::report) fn solved(effects: &Effects, units: UnitSystem) -> String {
    let curve = match effects.scaled_to_m3_s {
        Some(airflow) => format!(
            "The blower's curve is scaled by {:.3} to move {} before the work, and kept after it.",
            effects.blower_factor,
            crate::quantity::Flow::new(airflow).show(units)
        ),
        None => "The blower's curve is taken as it is, before and after.".to_owned(),
    };
    format!(
        "The unit running, before and after the work: means of {}, and in brackets the range that nine in ten of them lie \
         in after it. {curve} A model's answer, no promise: measure static pressure, airflow and temperature rise before \
         and after.",
        counted(effects.draws, "draw", "draws")
    )
}

fn summary(effects: &Effects, units: UnitSystem) -> String {
    let lines = in_short(effects, units);
    let width = lines.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
    let mut text = String::from("In short\n");
    for (name, value) in lines {
        text.push_str(&wrapped(&format!("  {name:width$}  "), &value));
    }
    text.push('\n');
    text
}

/// Names and figures of the summary.
pub(in crate::report) fn in_short(
    effects: &Effects,
    units: UnitSystem,
) -> Vec<(&'static str, String)> {
    let mut lines: Vec<(&'static str, String)> = Vec::new();
    lines.push(("Through the blower", flows(&effects.blower_m3_s, units)));
    if let Some(external) = &effects.external_static_pa {
        lines.push((
            "External static",
            format!("{}, plenum to plenum", pressures(external, units)),
        ));
    }
    for (name, change) in [
        ("Supply plenum", &effects.supply_static_pa),
        ("Return plenum", &effects.return_static_pa),
    ] {
        if let Some(change) = change {
            lines.push((name, pressures(change, units)));
        }
    }
    if let Some(power) = &effects.fan_w {
        lines.push((
            "Fan power",
            format!(
                "{} -> {} W, taken to go as flow times pressure (engineering estimate)",
                number(power.before.mean, 0),
                number(power.after.mean, 0)
            ),
        ));
    }
    let [supply, back] = &effects.sides;
    lines.push(("Supply leaks, all", flows(&supply.out_m3_s, units)));
    lines.push(("Return leaks, all", flows(&back.in_m3_s, units)));
    lines.push((
        "  of them outside",
        format!(
            "supply {}, return {} of the blower's flow",
            parts(&supply.outside_part),
            parts(&back.outside_part)
        ),
    ));
    lines.push(("House", house(effects, units)));
    if let Some(found) = &effects.infiltration {
        let hourly = |m3_s: f64| number(m3_s / found.volume_m3 * 3600.0, 2);
        let running = &found.running_m3_s;
        lines.push((
            "Air through the envelope",
            format!(
                "{} -> {} ({} to {}) air changes an hour while the unit runs, {} at rest; fresh air that return leaks \
                 draw comes on top",
                hourly(running.before.mean),
                hourly(running.after.mean),
                hourly(running.after.p05),
                hourly(running.after.p95),
                hourly(found.natural_m3_s)
            ),
        ));
    }
    if let Some(draft) = &effects.draft {
        let zone = if draft.zone_before == draft.zone_after {
            in_sentence(&draft.zone_after)
        } else {
            format!(
                "{} before, {} after",
                in_sentence(&draft.zone_before),
                in_sentence(&draft.zone_after)
            )
        };
        let stands = if effects.envelope_known {
            format!("{} against outdoors", pressures(&draft.pa, units))
        } else {
            "pressure not known: say `floor area` or `envelope` under `house`".to_owned()
        };
        lines.push(("Lowest draft zone", format!("{zone}: {stands}")));
    }
    lines
}

fn house(effects: &Effects, units: UnitSystem) -> String {
    if effects.envelope_known {
        format!(
            "{} against outdoors, from the ducts and closed doors alone",
            pressures(&effects.house_pa, units)
        )
    } else {
        "pressure not known: say `floor area` or `envelope` under `house`".to_owned()
    }
}
