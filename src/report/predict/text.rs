//! `ductseam predict` for a terminal 100 columns wide.

use super::choice;
use super::design_text::{made_of, running};
use crate::allocate::{Band, GroupResult};
use crate::catalog::Sure;
use crate::catalog::class::si_per_ip;
use crate::predict::{Choice, LimitOutlook, Outlook, Prediction};
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{how_it_was_got, listed, stops};
use crate::report::figures::{
    area, area_unit, chance, flow, flow_unit, leak, leaks, number, percent,
};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::report::words;
use crate::system::System;

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PredictTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of choices; 0 shows all. Half as many pairs are shown.
    pub rows: usize,
    /// Whether the whole list of materials is shown.
    pub materials: bool,
}

/// Limits whose chances have a column.
const COLUMNS: usize = 2;
/// Joint types and runs named in one sentence.
const NAMED: usize = 5;

/// The prediction in words and tables.
#[must_use]
pub fn predict_text(system: &System, found: &Prediction, settings: PredictTextSettings) -> String {
    let units = settings.units;
    let mut text = wrapped("", &found.expected.allocation.title) + "\n";
    text.push_str(&stops(system));
    text.push_str(&wrapped(
        "",
        "Before any test: what the catalogue expects of such ducts, readings, looks and sealing left out.",
    ));
    text.push('\n');
    text.push_str(&summary(system, found, units));
    text.push_str(&limits(system, found, units).map_or_else(
        || wrapped("Limits: ", NO_LIMIT) + "\n",
        |block| block.text(),
    ));
    text.push_str(&choices(system, found, settings).map_or_else(
        || wrapped("What would change it most: ", NO_CHOICE) + "\n",
        |block| block.text(),
    ));
    text.push_str(&variants(system, found, units).map_or_else(String::new, |block| block.text()));
    if let Some(design) = &found.design {
        text.push_str(&running(system, design, units));
    }
    text.push_str(&made_of(&found.materials, settings));
    text.push_str(&listed("Doubtful", found.doubts.iter().map(String::as_str)));
    text.push_str(&wrapped("", &how_sure(found)));
    text.push_str(&how_it_was_got(&found.expected.allocation));
    text
}

fn summary(system: &System, found: &Prediction, units: UnitSystem) -> String {
    let lines = expected(system, found, units);
    let width = lines.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
    let body: String = lines
        .iter()
        .map(|(name, value)| wrapped(&format!("  {name:<width$}  "), value))
        .collect();
    format!("Expected (mean, and the band that holds 90 % of the chance)\n{body}\n")
}

/// Names and figures of what is expected.
pub(in crate::report) fn expected(
    system: &System,
    found: &Prediction,
    units: UnitSystem,
) -> Vec<(String, String)> {
    let allocation = &found.expected.allocation;
    let house = &allocation.house;
    let unit = flow_unit(units);
    let told = |band: Band| format!("{} {unit} ({})", leak(band.mean, units), leaks(band, units));
    let mut lines = vec![(
        format!("Total at {} Pa", number(house.test_pressure_pa, 0)),
        told(house.total_m3_s)
            + &by_floor(system, house.total_m3_s.mean, units)
            + &by_airflow(system, house.total_m3_s.mean, units),
    )];
    lines.push(("Supply side".to_owned(), told(house.supply_m3_s)));
    lines.push(("Return side".to_owned(), told(house.return_m3_s)));
    lines.push((
        "To outside".to_owned(),
        told(house.to_outside_m3_s) + ", house held at the ducts' pressure",
    ));
    if let Some(class) = found.expected.class {
        let (factor, measure) = match units {
            UnitSystem::Ip => (1.0, "cfm per 100 ft2 of duct at 1 in. w.g."),
            UnitSystem::Si => (si_per_ip(), "mL/s per m2 of duct at 1 Pa"),
        };
        let shown = |class_ip: f64| number(factor * class_ip, 0);
        lines.push((
            "Leakage class".to_owned(),
            format!(
                "{} ({} to {}), {measure}; {} {} of duct surface, without cabinet, filter slot and gaps round boots; by its \
                 mean {}",
                shown(class.mean),
                shown(class.p05),
                shown(class.p95),
                number(area(found.expected.surface_m2, units), 0),
                area_unit(units),
                found.expected.tightness.as_ref().map_or_else(
                    || "outside all European tightness classes".to_owned(),
                    |class| format!("within {class}")
                ),
            ),
        ));
    }
    lines.push((
        "By joint type".to_owned(),
        shares(&allocation.by_joint_type),
    ));
    lines.push(("By run".to_owned(), shares(&allocation.by_run)));
    lines
}

fn by_floor(system: &System, m3_s: f64, units: UnitSystem) -> String {
    let Some(floor) = system.floor_area_m2.filter(|floor| *floor > 0.0) else {
        return String::new();
    };
    match units {
        UnitSystem::Ip => format!(
            ", {} cfm per 100 ft2 of floor",
            number(100.0 * flow(m3_s, units) / area(floor, units), 1)
        ),
        UnitSystem::Si => format!(
            ", {} L/s per m2 of floor",
            number(flow(m3_s, units) / floor, 3)
        ),
    }
}

fn by_airflow(system: &System, m3_s: f64, units: UnitSystem) -> String {
    let Some((airflow, by)) = system.unit.airflow_m3_s else {
        return String::new();
    };
    format!(
        ", {} of the airflow of {} {} ({})",
        percent(m3_s / airflow),
        leak(airflow, units),
        flow_unit(units),
        words::airflow_by(by)
    )
}

fn shares(groups: &[GroupResult]) -> String {
    let named: Vec<String> = groups
        .iter()
        .take(NAMED)
        .map(|group| format!("{} {}", group.name, percent(group.share.mean)))
        .collect();
    let rest: f64 = groups
        .iter()
        .skip(NAMED)
        .map(|group| group.share.mean)
        .fold(0.0, |sum, share| sum + share);
    match groups.len().saturating_sub(NAMED) {
        0 => named.join("; "),
        more => format!("{}; {more} more {}", named.join("; "), percent(rest)),
    }
}

/// Limits of the sketch; `None` where there is none.
pub(in crate::report) fn limits(
    system: &System,
    found: &Prediction,
    units: UnitSystem,
) -> Option<Block> {
    let unit = flow_unit(units);
    if found.expected.limits.is_empty() {
        return None;
    }
    let allows = format!("allows {unit}");
    let expected = format!("expected {unit}");
    let mut table = Table::new(&[
        ("limit", Holds::Names, 34),
        ("of", Holds::Words, 10),
        (&allows, Holds::Numbers, 10),
        (&expected, Holds::Numbers, 12),
        ("at or below", Holds::Numbers, 11),
        ("figure", Holds::Words, 14),
    ]);
    for row in &found.expected.limits {
        let limit = &system.limits[row.limit];
        table.row(vec![
            limit.id.clone(),
            limit.scope.words().to_owned(),
            row.allowed_m3_s
                .map_or_else(|_| "n/a".to_owned(), |allowed| leak(allowed, units)),
            leak(row.leakage_m3_s.mean, units),
            row.chance.map_or_else(|| "n/a".to_owned(), of_draws),
            sure(limit.source.sure, limit.own),
        ]);
        if let Err(why) = row.allowed_m3_s {
            table.note(4, &why.to_string());
        }
        if !row.left_out.is_empty() {
            table.note(4, row.left_out);
        }
    }
    Some(Block {
        heading: "Limits of the sketch".to_owned(),
        table,
        more: String::new(),
        notes: vec![
            "at or below: chance that the ducts leak no more than the limit entered, the meter's error left out. Which \
             limit applies, and whether it is met, the authority having jurisdiction says."
                .to_owned(),
        ],
    })
}

const NO_LIMIT: &str = "none is chosen. Name them under `limits:` in the sketch; `ductseam limits --list` shows those that are known.";
const NO_CHOICE: &str = "nothing of what was tried changes a figure worth naming: joints are sealed already, or rest on figures of the \
                         sketch's own.";

fn sure(sure: Sure, own: bool) -> String {
    if own {
        "your own".to_owned()
    } else {
        sure.words().to_owned()
    }
}

/// Limits that have a column in the tables of choices and variants: the first that are known as a flow.
fn with_column(found: &Prediction) -> Vec<usize> {
    let known = |row: &&LimitOutlook| row.chance.is_some();
    let limits = found.expected.limits.iter().filter(known);
    limits.take(COLUMNS).map(|row| row.limit).collect()
}

/// Heads of those columns.
const HEADS: [&str; COLUMNS] = ["limit 1", "limit 2"];

/// Those columns for a table.
fn heads<'a>(limits: &[usize]) -> impl Iterator<Item = (&'a str, Holds, u16)> + use<'a> {
    let heads = HEADS.into_iter().take(limits.len());
    heads.map(|head| (head, Holds::Numbers, 7))
}

/// Chances to be at or below the limits that have a column.
fn chances(outlook: &Outlook, limits: &[usize]) -> Vec<String> {
    limits
        .iter()
        .map(|&limit| outlook.chances[limit].map_or_else(|| "n/a".to_owned(), of_draws))
        .collect()
}

/// What those columns hold: `limit 1: chance to be at or below `a` (3 % as sketched)`.
fn columns_said(system: &System, limits: &[usize], as_sketched: Option<&Outlook>) -> String {
    limits
        .iter()
        .zip(HEADS)
        .map(|(&limit, head)| {
            let now = as_sketched.map_or_else(String::new, |outlook| {
                format!(" ({} as sketched)", chances(outlook, &[limit])[0])
            });
            format!(
                "; {head}: chance to be at or below `{}`{now}",
                system.limits[limit].id
            )
        })
        .collect()
}

/// A chance counted from draws: none of them is not never, and all are not always.
fn of_draws(part: f64) -> String {
    if part <= 0.0 {
        "<0.3 %".to_owned()
    } else if part >= 1.0 {
        ">99 %".to_owned()
    } else {
        chance(part)
    }
}

/// What would change it most; `None` where nothing does.
pub(in crate::report) fn choices(
    system: &System,
    found: &Prediction,
    settings: PredictTextSettings,
) -> Option<Block> {
    if found.choices.is_empty() {
        return None;
    }
    let units = settings.units;
    let unit = flow_unit(units);
    let rows = match settings.rows {
        0 => usize::MAX,
        rows => rows,
    };
    let off = format!("{unit} off");
    let mut columns = vec![
        ("built otherwise", Holds::Words, 60),
        (off.as_str(), Holds::Numbers, 7),
        ("of all", Holds::Numbers, 6),
        ("outside", Holds::Numbers, 7),
    ];
    let limits = with_column(found);
    columns[0].2 = 60 - 9 * limits.len() as u16;
    columns.extend(heads(&limits));
    let mut table = Table::new(&columns);
    let mut row = |made: &Choice| {
        let mut cells = vec![
            choice(system, &made.what),
            cut(made.total_cut_m3_s, units),
            percent(made.total_cut_m3_s / found.as_sketched.total_m3_s.mean),
            cut(made.outside_cut_m3_s, units),
        ];
        cells.extend(chances(&made.after, &limits));
        table.row(cells);
    };
    for made in found.choices.iter().take(rows) {
        row(made);
    }
    // What only changes where the leakage goes would fall off the end of the list.
    let outside = |made: &&Choice| made.outside_cut_m3_s;
    let best_shown = found.choices.iter().take(rows).map(|made| outside(&made));
    let best_shown = best_shown.fold(0.0, f64::max);
    let beyond = found.choices.iter().skip(rows);
    if let Some(made) = beyond
        .max_by(|a, b| outside(a).total_cmp(&outside(b)))
        .filter(|made| made.outside_cut_m3_s > best_shown)
    {
        row(made);
    }
    for made in found.pairs.iter().take(rows.div_ceil(2)) {
        row(made);
    }
    let first = columns_said(system, &limits, Some(&found.base));
    Some(Block {
        heading: "What would change it most: one thing at a time, then the best two together"
            .to_owned(),
        table,
        more: String::new(),
        notes: vec![format!(
            "{unit} off: mean, from the same {} draws for every row; outside: off the leakage to outside{first}. Seal \
                 class C: transverse joints; B: lengthwise seams too; A: what passes through walls too.",
            found.choice_draws
        )],
    })
}

/// What comes off; what is added shows with a sign of its own.
fn cut(m3_s: f64, units: UnitSystem) -> String {
    crate::report::figures::signed_flow(m3_s, units)
}

/// Variants side by side; `None` where there is none.
pub(in crate::report) fn variants(
    system: &System,
    found: &Prediction,
    units: UnitSystem,
) -> Option<Block> {
    if found.variants.is_empty() {
        return None;
    }
    let unit = flow_unit(units);
    let surface_unit = format!("duct {}", area_unit(units));
    let mut columns = vec![
        ("variant", Holds::Names, 22),
        (unit, Holds::Numbers, 7),
        ("90 %", Holds::Numbers, 14),
        ("outside", Holds::Numbers, 7),
        ("class", Holds::Numbers, 5),
        (surface_unit.as_str(), Holds::Numbers, 8),
        ("static", Holds::Numbers, 6),
    ];
    let limits = with_column(found);
    columns.extend(heads(&limits));
    let mut table = Table::new(&columns);
    let per = match units {
        UnitSystem::Ip => 1.0,
        UnitSystem::Si => si_per_ip(),
    };
    let mut row = |id: &str, after: &Outlook, pa: Option<f64>| {
        let mut cells = vec![
            id.to_owned(),
            leak(after.total_m3_s.mean, units),
            leaks(after.total_m3_s, units),
            leak(after.outside_m3_s.mean, units),
            after
                .class
                .map_or_else(|| "n/a".to_owned(), |class| number(per * class, 0)),
            number(area(after.surface_m2, units), 0),
            pa.map_or_else(|| "n/a".to_owned(), |pa| number(pa, 0)),
        ];
        cells.extend(chances(after, &limits));
        table.row(cells);
    };
    row(
        "as sketched",
        &found.as_sketched,
        found.design.as_ref().map(|design| design.static_pa),
    );
    for variant in &found.variants {
        row(&variant.id, &variant.after, variant.static_pa);
    }
    let first = columns_said(system, &limits, None);
    Some(Block {
        heading: "Variants side by side".to_owned(),
        table,
        more: String::new(),
        notes: vec![format!(
            "class: leakage class of the ducts; static: plenum to plenum while running, Pa{first}."
        )],
    })
}

pub(in crate::report) fn how_sure(found: &Prediction) -> String {
    let rows = &found.expected.allocation.by_joint_type;
    let most = rows.first().map_or("", |group| group.name.as_str());
    format!(
        "How sure: the bands hold what is not known of a crew and of each joint, not what the sketch leaves out. The largest \
         part here, {most}, rests on the catalogue's figure for it: `ductseam catalog` says whether that was read or estimated."
    )
}
