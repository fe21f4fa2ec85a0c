//! `ductseam allocate` for a terminal 100 columns wide.

use super::cautions::cautions;
use super::evidence_text;
use super::figures::{
    chance, flow_unit, leak, leaks, opening, opening_unit, percent, percent_digits,
};
use super::lines::{Block, Holds, Table, wrapped};
use super::open_text;
use super::sensitivity_text::sensitivity_text;
use super::words;
use crate::allocate::{Allocation, GroupResult, Method, SET_ASIDE, Sensitivity, Status};
use crate::catalog::opening as one_opening;
use crate::quantity::{Area, Flow, UnitSystem, significant};
use crate::system::System;

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

/// The answer in words and tables, with how much hangs on the prior where that was asked for.
#[must_use]
pub fn allocation_text(
    system: &System,
    allocation: &Allocation,
    sensitivity: Option<&Sensitivity>,
    settings: TextSettings,
) -> String {
    let units = settings.units;
    let mut text = wrapped("", &allocation.title) + "\n";
    text.push_str(&stops(system));
    text.push_str(&evidence_text::readings(system, allocation, units));
    text.push_str(&evidence_text::looks(allocation));
    text.push_str(&summary(system, allocation, units));
    text.push_str(&open_text::may_hang_open(allocation, units));
    text.push_str(&seams(allocation, settings));
    for (heading, key, found) in [
        ("By joint type", "joint type", &allocation.by_joint_type),
        ("By run", "run", &allocation.by_run),
        ("By place", "place", &allocation.by_place),
        ("By reach", "reach", &allocation.by_reach),
    ] {
        text.push_str(
            &groups(
                heading,
                key,
                found,
                allocation.share_asked,
                GROUP_ROWS,
                units,
            )
            .text(),
        );
    }
    if let Some(sensitivity) = sensitivity {
        text.push_str(&sensitivity_text(allocation, sensitivity, units));
    }
    text.push_str(&doubts(allocation));
    text.push_str(&warnings(system, allocation));
    text.push_str(&before_you_touch(system));
    text.push_str(&how_it_was_got(allocation));
    text
}

/// What stops the work, before anything else.
pub fn stops(system: &System) -> String {
    let stops = cautions(system).into_iter().filter(|caution| caution.stop);
    stops
        .map(|caution| wrapped("STOP: ", &caution.text) + "\n")
        .collect()
}

/// Why the answer is doubtful; nothing where it is not.
pub fn doubts(allocation: &Allocation) -> String {
    match &allocation.status {
        Status::Converged => String::new(),
        Status::Doubtful { reasons } => listed("Doubtful", reasons.iter().map(String::as_str)),
    }
}

/// What the person should know.
pub fn warnings(system: &System, allocation: &Allocation) -> String {
    let found = super::all_warnings(system, allocation);
    listed("Mind", found.map(|warning| warning.text.as_str()))
}

/// Cautions that do not stop the work.
pub fn before_you_touch(system: &System) -> String {
    let found = cautions(system);
    let calm = found.iter().filter(|caution| !caution.stop);
    listed(
        "Before you touch anything",
        calm.map(|caution| caution.text.as_str()),
    )
}

/// A heading with paragraphs under it and a blank line; nothing where there is none.
pub fn listed<'a>(heading: &str, paragraphs: impl Iterator<Item = &'a str>) -> String {
    let said: String = paragraphs
        .map(|paragraph| wrapped("  - ", paragraph))
        .collect();
    if said.is_empty() {
        said
    } else {
        format!("{heading}\n{said}\n")
    }
}

fn summary(system: &System, allocation: &Allocation, units: UnitSystem) -> String {
    let lines = in_short(system, allocation, units);
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

/// Names and figures of the summary.
pub(super) fn in_short(
    system: &System,
    allocation: &Allocation,
    units: UnitSystem,
) -> Vec<(String, String)> {
    let house = &allocation.house;
    let unit = flow_unit(units);
    let mut lines = open_text::summary(allocation, units);
    if let Some(stage) = words::stage(system, allocation.stage) {
        lines.insert(0, ("State of the ducts".to_owned(), stage));
    }
    for reading in allocation
        .readings
        .iter()
        .filter(|reading| reading.wrong_setup_chance > SET_ASIDE)
    {
        lines.push((
            "Set aside".to_owned(),
            format!(
                "reading `{}` of {}: if it was right after all, the figures here are wrong",
                reading.id,
                evidence_text::value_read(reading, units)
            ),
        ));
    }
    let total = house.total_m3_s;
    lines.push((
        format!("All seams at {:.0} Pa", house.test_pressure_pa),
        format!(
            "{} {unit}  ({}){}",
            leak(total.mean, units),
            leaks(total, units),
            per_area(system, total.mean, units)
        ),
    ));
    if let Some(size) = house.equivalent_opening_m2 {
        lines.push((
            "Same as one opening".to_owned(),
            format!(
                "{} {}  ({} to {}), discharge coefficient {}, 25 Pa",
                opening(size.mean, units),
                opening_unit(units),
                opening(size.p05, units),
                opening(size.p95, units),
                one_opening::DISCHARGE_COEFFICIENT
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
                leak(band.mean, units),
                leaks(band, units),
                percent(part)
            ),
        ));
    }
    lines.push((
        "To outside".to_owned(),
        format!(
            "{} {unit}  ({}), house held at the ducts' {:.0} Pa",
            leak(house.to_outside_m3_s.mean, units),
            leaks(house.to_outside_m3_s, units),
            allocation.to_outside_setup.pressure_pa
        ),
    ));
    let hidden = allocation.hidden.share;
    lines.push((
        "Hidden from the hand".to_owned(),
        format!(
            "{} of all seams  ({} to {}), behind finish or out of reach; chance above {}: {}",
            percent(hidden.mean),
            percent(hidden.p05),
            percent(hidden.p95),
            asked(allocation.share_asked),
            chance(allocation.hidden.share_chance)
        ),
    ));
    lines
}

pub(super) fn per_area(system: &System, flow_m3_s: f64, units: UnitSystem) -> String {
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
    let order = allocation.leakiest_first();
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
            leak(seam.test_m3_s.mean, settings.units),
            leaks(seam.test_m3_s, settings.units),
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

/// A table of groups, the rest beyond `rows` summed in one line.
pub(super) fn groups(
    heading: &str,
    key: &str,
    groups: &[GroupResult],
    share_asked: f64,
    rows: usize,
    units: UnitSystem,
) -> Block {
    let shown: Vec<&GroupResult> = groups.iter().filter(|group| group.count > 0).collect();
    let above = format!("chance above {}", asked(share_asked));
    let mut table = Table::new(&[
        (key, Holds::Names, 36),
        ("seams", Holds::Numbers, 6),
        (flow_unit(units), Holds::Numbers, 6),
        ("share", Holds::Numbers, 6),
        ("90 % band", Holds::Numbers, 14),
        (&above, Holds::Numbers, 6),
    ]);
    for group in shown.iter().take(rows) {
        table.row(vec![
            group.name.clone(),
            group.count.to_string(),
            leak(group.test_m3_s.mean, units),
            percent(group.share.mean),
            format!(
                "{} to {}",
                percent_digits(group.share.p05),
                percent(group.share.p95)
            ),
            chance(group.share_chance),
        ]);
    }
    let more = if shown.len() > rows {
        let rest: f64 = shown[rows..].iter().map(|group| group.share.mean).sum();
        format!(
            "  and {} more with {} together\n",
            shown.len() - rows,
            percent(rest)
        )
    } else {
        String::new()
    };
    Block {
        heading: heading.to_owned(),
        table,
        more,
        notes: Vec::new(),
    }
}

/// The part of the total that chances are asked about: `25 %`.
fn asked(share: f64) -> String {
    format!("{} %", significant(100.0 * share, 3))
}

/// How the draws were made and what they are worth.
pub fn how_it_was_got(allocation: &Allocation) -> String {
    let found = &allocation.diagnostics;
    let by = match found.method {
        Method::Prior => "draws of what the catalogue expects",
        Method::Rto => "weighted draws",
        Method::Chains => "draws by chains",
    };
    let mut said = format!(
        "Got from {} {by}, seed {}, worth {:.0} independent ones",
        allocation.draws, allocation.seed, found.effective_draws
    );
    if let Some(k) = found.pareto_k {
        said.push_str(&format!(", tail shape {k:.2} (trusted below 0.7)"));
    }
    if let Some(r_hat) = found.r_hat {
        said.push_str(&format!(
            ", chains apart by {r_hat:.3} (spread between them over spread within; 1 is best)"
        ));
    }
    if found.hypotheses > 1 {
        said.push_str(&format!(
            ", {} cases of wrong set-ups and open seams",
            found.hypotheses
        ));
    }
    said.push_str(
        ". Leak figures of joint types are in `ductseam catalog`; most are engineering estimates.",
    );
    wrapped("", &said)
}

#[cfg(test)]
mod tests {
    use super::super::samples;
    use super::*;
    use crate::system::SealingStep;

    fn text(units: UnitSystem) -> String {
        let mut system = samples::system();
        system.sealing.push(SealingStep {
            id: "first day".to_owned(),
            date: None,
            seams: vec![0],
            remains: vec![0.1],
        });
        let allocation = samples::allocation(&system);
        let settings = TextSettings { units, rows: 0 };
        allocation_text(
            &system,
            &allocation,
            Some(&samples::sensitivity()),
            settings,
        )
    }

    #[test]
    fn every_section_is_there_and_nothing_passes_a_hundred_columns() {
        for units in [UnitSystem::Ip, UnitSystem::Si] {
            let text = text(units);
            for line in text.lines() {
                assert!(line.chars().count() <= 100, "{line}");
                assert_eq!(line, line.trim_end());
            }
            let mut last = 0;
            for heading in [
                "Readings\n",
                "Looks\n",
                "In short",
                "May hang open\n",
                "Seams by probable leakage",
                "By joint type\n",
                "By reach\n",
                "How much hangs on what is believed",
                "Before you touch anything\n",
                "Got from 2000 draws by chains, seed 7",
            ] {
                let at = text
                    .find(heading)
                    .unwrap_or_else(|| panic!("no {heading}: {text}"));
                assert!(at >= last, "{heading} is out of order");
                last = at;
            }
        }
    }

    #[test]
    fn the_first_lines_say_what_stage_it_is_and_what_probably_hangs_open() {
        let text = text(UnitSystem::Ip);
        let (_, short) = text.split_once("In short").expect("a summary");
        let lines: Vec<&str> = short.lines().skip(1).take(2).collect();
        assert!(
            lines[0].contains("after sealing step `first day`"),
            "{}",
            lines[0]
        );
        assert!(
            lines[1].starts_with("  Probably hangs open  "),
            "{}",
            lines[1]
        );
    }

    #[test]
    fn groups_show_the_chance_of_holding_more_than_was_asked() {
        let system = samples::system();
        let mut allocation = samples::allocation(&system);
        allocation.share_asked = 0.125;
        allocation.by_place[0].share_chance = 0.42;
        let settings = TextSettings {
            units: UnitSystem::Ip,
            rows: 5,
        };
        let text = allocation_text(&system, &allocation, None, settings);
        assert_eq!(
            text.matches("chance above 12.5 %").count(),
            5,
            "four tables and the hidden"
        );
        let (_, places) = text.split_once("By place\n").expect("places");
        let row = places.lines().nth(1).expect("a row");
        assert!(row.ends_with("42 %"), "{row}");
        assert!(!text.contains("How much hangs on"));
    }
}
