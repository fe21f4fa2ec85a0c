//! `ductseam allocate` for a terminal 100 columns wide.

use super::cautions::cautions;
use super::figures::{self, flow_unit};
use super::lines::{Holds, Table, wrapped};
use super::ranked;
use super::words;
use crate::allocate::{Allocation, Band, GroupResult, ReadingResult, Status};
use crate::catalog::opening;
use crate::quantity::{Area, Flow, UnitSystem};
use crate::system::{Relation, System};

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of the seam table; 0 shows all.
    pub rows: usize,
}

/// Rows of a group table; the rest is summed in one line.
const GROUP_ROWS: usize = 8;
/// Twice the chance of a wrong set-up that every reading starts with: from here on it is said.
const WORTH_SAYING: f64 = 0.1;
/// From this chance of a wrong set-up on, a reading no longer moves the answer.
const SET_ASIDE: f64 = 0.5;

/// The answer in words and tables.
#[must_use]
pub fn allocation_text(system: &System, allocation: &Allocation, settings: TextSettings) -> String {
    let mut text = wrapped("", &allocation.title) + "\n";
    let cautions = cautions(system);
    for caution in cautions.iter().filter(|caution| caution.stop) {
        text.push_str(&wrapped("STOP: ", &caution.text));
        text.push('\n');
    }
    text.push_str(&readings(system, allocation, settings.units));
    text.push_str(&summary(system, allocation, settings.units));
    text.push_str(&seams(allocation, settings));
    text.push_str(&groups(
        "By joint type",
        "joint type",
        &allocation.by_joint_type,
        settings.units,
    ));
    text.push_str(&groups("By run", "run", &allocation.by_run, settings.units));
    text.push_str(&groups(
        "By place",
        "place",
        &allocation.by_place,
        settings.units,
    ));
    text.push_str(&groups(
        "By reach",
        "reach",
        &allocation.by_reach,
        settings.units,
    ));
    if let Status::Doubtful { reasons } = &allocation.status {
        text.push_str("Doubtful\n");
        for reason in reasons {
            text.push_str(&wrapped("  - ", reason));
        }
        text.push('\n');
    }
    let mut warnings = super::all_warnings(system, allocation).peekable();
    if warnings.peek().is_some() {
        text.push_str("Mind\n");
        for warning in warnings {
            text.push_str(&wrapped("  - ", &warning.text));
        }
        text.push('\n');
    }
    text.push_str("Before you touch anything\n");
    for caution in cautions.iter().filter(|caution| !caution.stop) {
        text.push_str(&wrapped("  - ", &caution.text));
    }
    text.push('\n');
    text.push_str(&how_it_was_got(allocation));
    text
}

fn readings(system: &System, allocation: &Allocation, units: UnitSystem) -> String {
    if allocation.readings.is_empty() {
        return wrapped(
            "",
            "No reading: what follows is what the catalogue expects of such ducts, not what leaks.",
        ) + "\n";
    }
    let mut text = String::from("Readings\n");
    let title = flow_unit(units);
    let mut table = Table::new(&[
        ("reading", Holds::Names, 18),
        ("read", Holds::Numbers, 14),
        (title, Holds::Names, 6),
        ("model mean, 90 % band", Holds::Names, 24),
        ("expected", Holds::Names, 16),
        ("apart", Holds::Numbers, 8),
    ]);
    for reading in &allocation.readings {
        table.row(reading_row(reading, units));
    }
    text.push_str(&table.text());
    text.push_str(&wrapped(
        "  ",
        "expected: 90 % band before any reading. Apart: read minus model, in standard deviations (sd) of the meter.",
    ));
    for reading in &allocation.readings {
        let said = format!(
            "{}; error: {}",
            words::setup(system, &reading.setup),
            reading.error_source
        );
        text.push_str(&wrapped(&format!("  {}: ", reading.id), &said));
        if reading.wrong_setup_chance > WORTH_SAYING {
            let chance = format!(
                "chance that its set-up was wrong: {}",
                percent(reading.wrong_setup_chance)
            );
            text.push_str(&wrapped("    - ", &chance));
        }
        if !reading.note.is_empty() {
            text.push_str(&wrapped("    - ", &reading.note));
        }
    }
    text.push('\n');
    text
}

fn reading_row(reading: &ReadingResult, units: UnitSystem) -> Vec<String> {
    let below = if reading.relation == Relation::Below {
        "below "
    } else {
        ""
    };
    vec![
        reading.id.clone(),
        format!("{below}{}", flow(reading.measured_m3_s, units)),
        format!("± {}", flow(reading.measured_sd_m3_s, units)),
        format!(
            "{} ({})",
            flow(reading.modelled_m3_s.mean, units),
            range(reading.modelled_m3_s, units)
        ),
        range(reading.prior_m3_s, units),
        format!("{:+.1} sd", reading.residual_sd),
    ]
}

fn summary(system: &System, allocation: &Allocation, units: UnitSystem) -> String {
    let house = &allocation.house;
    let unit = flow_unit(units);
    let mut lines: Vec<(String, String)> = Vec::new();
    let total = house.total_m3_s;
    lines.push((
        format!("All seams at {:.0} Pa", house.test_pressure_pa),
        format!(
            "{} {unit}  ({}){}",
            flow(total.mean, units),
            range(total, units),
            per_area(system, total.mean, units)
        ),
    ));
    for reading in allocation
        .readings
        .iter()
        .filter(|reading| reading.wrong_setup_chance > SET_ASIDE)
    {
        lines.push((
            "Set aside".to_owned(),
            format!(
                "reading `{}` of {} {unit}: if it was right after all, the figures here are wrong",
                reading.id,
                flow(reading.measured_m3_s, units)
            ),
        ));
    }
    if let Some(opening) = house.equivalent_opening_m2 {
        lines.push((
            "Same as one opening".to_owned(),
            format!(
                "{}  ({} to {}), discharge coefficient {}, 25 Pa",
                opening_area(opening.mean, units),
                opening_area(opening.p05, units),
                opening_area(opening.p95, units),
                opening::DISCHARGE_COEFFICIENT
            ),
        ));
    }
    for (name, band) in [
        ("Supply, from the blower on", house.supply_m3_s),
        ("Return, up to the blower", house.return_m3_s),
    ] {
        let part = if total.mean > 0.0 {
            band.mean / total.mean
        } else {
            0.0
        };
        lines.push((
            name.to_owned(),
            format!(
                "{} {unit}  ({}), {} of all seams",
                flow(band.mean, units),
                range(band, units),
                percent(part)
            ),
        ));
    }
    lines.push((
        "To outside".to_owned(),
        format!(
            "{} {unit}  ({}), house held at the ducts' {:.0} Pa",
            flow(house.to_outside_m3_s.mean, units),
            range(house.to_outside_m3_s, units),
            allocation.to_outside_setup.pressure_pa
        ),
    ));
    let hidden = allocation.hidden.share;
    lines.push((
        "Hidden from the hand".to_owned(),
        format!(
            "{} of all seams  ({} to {}), behind finish or out of reach",
            percent(hidden.mean),
            percent(hidden.p05),
            percent(hidden.p95)
        ),
    ));
    let width = lines
        .iter()
        .map(|(name, _)| name.chars().count())
        .max()
        .unwrap_or(0);
    let mut text = String::from("In short (mean, and the band that holds 90 % of the chance)\n");
    for (name, value) in lines {
        text.push_str(&wrapped(&format!("  {name:width$}  "), &value));
    }
    text.push('\n');
    text
}

fn per_area(system: &System, flow_m3_s: f64, units: UnitSystem) -> String {
    match (system.floor_area_m2, units) {
        (Some(area), UnitSystem::Ip) => {
            let per_100_ft2 = Flow::new(flow_m3_s).to_cfm() / (Area::new(area).to_ft2() / 100.0);
            format!(", {per_100_ft2:.1} cfm per 100 ft2 of floor")
        }
        (Some(area), UnitSystem::Si) => {
            format!(", {:.2} L/s per m2 of floor", flow_m3_s * 1000.0 / area)
        }
        (None, _) => String::new(),
    }
}

fn seams(allocation: &Allocation, settings: TextSettings) -> String {
    let order = ranked(allocation);
    let rows = if settings.rows == 0 {
        order.len()
    } else {
        settings.rows.min(order.len())
    };
    let mut text = format!(
        "Seams by probable leakage (test at {:.0} Pa)\n",
        allocation.house.test_pressure_pa
    );
    let mut table = Table::new(&[
        ("", Holds::Numbers, 5),
        ("seam", Holds::Names, 30),
        ("where", Holds::Words, 30),
        ("reach", Holds::Words, 16),
        (flow_unit(settings.units), Holds::Numbers, 6),
        ("90 % band", Holds::Numbers, 14),
        ("share", Holds::Numbers, 6),
        ("in top", Holds::Numbers, 6),
    ]);
    for (rank, index) in order.iter().take(rows).enumerate() {
        let seam = &allocation.seams[*index];
        table.row(vec![
            (rank + 1).to_string(),
            seam.id.clone(),
            seam.place.clone(),
            words::reach(seam.reach).to_owned(),
            flow(seam.test_m3_s.mean, settings.units),
            range(seam.test_m3_s, settings.units),
            percent(seam.share),
            format!("{:.0} %", 100.0 * seam.top_chance),
        ]);
    }
    text.push_str(&table.text());
    if rows < order.len() {
        let rest: f64 = order[rows..]
            .iter()
            .map(|index| allocation.seams[*index].share)
            .sum();
        text.push_str(&format!(
            "  and {} more seams with {} together\n",
            order.len() - rows,
            percent(rest)
        ));
    }
    text.push_str(&wrapped(
        "  ",
        &format!(
            "share: mean part of the leakage of all seams. In top: chance to be among the {} largest. Reach none: \
             no hand gets there. A probable place, never a certain one.",
            allocation.top
        ),
    ));
    text.push('\n');
    text
}

fn groups(heading: &str, key: &'static str, groups: &[GroupResult], units: UnitSystem) -> String {
    let shown: Vec<&GroupResult> = groups.iter().filter(|group| group.count > 0).collect();
    let mut text = format!("{heading}\n");
    let mut table = Table::new(&[
        (key, Holds::Names, 40),
        ("seams", Holds::Numbers, 6),
        (flow_unit(units), Holds::Numbers, 6),
        ("share", Holds::Numbers, 6),
        ("90 % band", Holds::Numbers, 14),
    ]);
    for group in shown.iter().take(GROUP_ROWS) {
        table.row(vec![
            group.name.clone(),
            group.count.to_string(),
            flow(group.test_m3_s.mean, units),
            percent(group.share.mean),
            format!(
                "{} to {}",
                percent_digits(group.share.p05),
                percent(group.share.p95)
            ),
        ]);
    }
    text.push_str(&table.text());
    if shown.len() > GROUP_ROWS {
        let rest: f64 = shown[GROUP_ROWS..]
            .iter()
            .map(|group| group.share.mean)
            .sum();
        text.push_str(&format!(
            "  and {} more with {} together\n",
            shown.len() - GROUP_ROWS,
            percent(rest)
        ));
    }
    text.push('\n');
    text
}

fn how_it_was_got(allocation: &Allocation) -> String {
    let found = &allocation.diagnostics;
    let tail = found.pareto_k.map_or_else(String::new, |k| {
        format!(", tail shape {k:.2} (trusted below 0.7)")
    });
    wrapped(
        "",
        &format!(
            "Got from {} draws, seed {}, worth {:.0} independent ones{tail}. Leak figures of joint types are in \
             `ductseam catalog`; most are engineering estimates.",
            allocation.draws, allocation.seed, found.effective_draws
        ),
    )
}

/// A flow without its unit, three significant digits at most. A meter shows nothing below zero, where a modelled
/// reading may fall when next to nothing leaks and the house stands above the ducts.
fn flow(m3_s: f64, units: UnitSystem) -> String {
    let value = figures::flow(m3_s.max(0.0), units);
    let size = value.abs();
    if size >= 99.95 {
        format!("{value:.0}")
    } else if size >= 0.995 {
        format!("{value:.1}")
    } else {
        format!("{value:.2}")
    }
}

fn range(band: Band, units: UnitSystem) -> String {
    format!("{} to {}", flow(band.p05, units), flow(band.p95, units))
}

fn opening_area(m2: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => format!("{:.1} in2", Area::new(m2).to_in2()),
        UnitSystem::Si => format!("{:.0} cm2", m2 * 1e4),
    }
}

fn percent(part: f64) -> String {
    format!("{} %", percent_digits(part))
}

fn percent_digits(part: f64) -> String {
    let value = 100.0 * part;
    if value >= 9.95 {
        format!("{value:.0}")
    } else {
        format!("{value:.1}")
    }
}
