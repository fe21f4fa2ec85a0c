//! `ductseam joints` for a terminal 100 columns wide.

use crate::catalog::{Basis, Catalog, Sure, Work};
use crate::quantity::{Length, UnitSystem};
use crate::report::allocation_text::listed;
use crate::report::cautions::cautions;
use crate::report::figures::{
    chance, flow, flow_unit, leak, leaks, length, length_unit, number, percent,
};
use crate::report::lines::{Holds, Table, wrapped};
use crate::report::words::counted;
use crate::system::System;
use crate::teach::{By, Change, JointTypes, Part, TypePart, ranking};

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JointsTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of the table of systems; 0 shows all.
    pub rows: usize,
    /// Workmanship that the catalogue is ranked in.
    pub work: Work,
}

/// Rows of the catalogue's two tables where rows are limited.
const BY_METRE: usize = 7;
const BY_PIECE: usize = 4;

/// Joint types of some systems in words and tables; what stops the work on any of them stands first.
#[must_use]
pub fn joints_text(
    catalog: &Catalog,
    systems: &[System],
    found: &JointTypes,
    settings: JointsTextSettings,
) -> String {
    let mut text = stops(systems);
    text.push_str(&head(found, settings.units));
    text.push_str(&types(found, settings));
    text.push_str(&of_catalog(catalog, settings));
    text.push_str(&listed("Doubtful", found.doubts.iter().map(String::as_str)));
    text.trim_end().to_owned() + "\n"
}

/// What stops the work, with the system it is about where there are several.
fn stops(systems: &[System]) -> String {
    let mut text = String::new();
    for system in systems {
        for caution in cautions(system).iter().filter(|caution| caution.stop) {
            let about = if systems.len() > 1 {
                format!("{}: ", system.title)
            } else {
                String::new()
            };
            text.push_str(&wrapped("STOP: ", &format!("{about}{}", caution.text)));
            text.push('\n');
        }
    }
    text
}

fn head(found: &JointTypes, units: UnitSystem) -> String {
    let unit = flow_unit(units);
    let mut text = String::new();
    for system in &found.systems {
        let running = match (system.running_m3_s, system.no_running) {
            (Some(band), _) => format!("{} {unit} while running", leak(band.mean, units)),
            (None, why) => format!("running unknown: {}", why.unwrap_or("not solved")),
        };
        text.push_str(&wrapped(
            "",
            &format!(
                "{}: {}, {} {unit} in the total test ({}), {running}",
                system.title,
                counted(system.seams, "seam", "seams"),
                leak(system.test_m3_s.mean, units),
                leaks(system.test_m3_s, units)
            ),
        ));
    }
    let when = if found.ask.with_readings {
        "Readings and looks of the sketches count."
    } else {
        "Before any reading: what the catalogue expects of such ducts, not what leaks in this house."
    };
    text.push_str(&wrapped(
        "",
        &format!(
            "{when} {} invented systems a sketch, seed {}.",
            found.draws, found.seed
        ),
    ));
    text.push('\n');
    text
}

fn types(found: &JointTypes, settings: JointsTextSettings) -> String {
    let units = settings.units;
    let rows = match settings.rows {
        0 => found.types.len(),
        rows => rows.min(found.types.len()),
    };
    let mut table = Table::new(&[
        ("", Holds::Numbers, 3),
        ("joint type", Holds::Names, 21),
        ("seams", Holds::Numbers, 5),
        (length_unit(units), Holds::Numbers, 5),
        (flow_unit(units), Holds::Numbers, 5),
        ("90 %", Holds::Numbers, 12),
        ("share", Holds::Numbers, 6),
        ("run.", Holds::Numbers, 5),
        ("first", Holds::Numbers, 6),
        ("ordin.", Holds::Numbers, 6),
        ("mastic", Holds::Numbers, 6),
    ]);
    for (at, one) in found.types.iter().take(rows).enumerate() {
        let ranks = ranking_part(found, one);
        let amount = match one.basis {
            Basis::PerMetre => number(length(one.amount, units), 0),
            Basis::Each => String::new(),
        };
        table.row(vec![
            (at + 1).to_string(),
            one.joint_type.clone(),
            one.count.to_string(),
            amount,
            leak(ranks.flow_m3_s.mean, units),
            leaks(ranks.flow_m3_s, units),
            percent(one.test.share),
            one.running
                .map_or_else(|| "-".to_owned(), |part| percent(part.share)),
            chance(ranks.leakiest_chance),
            cut(one, one.to_ordinary),
            cut(one, one.to_mastic),
        ]);
    }
    let more = match found.types.len() - rows {
        0 => String::new(),
        more => format!("  and {more} more: `--rows 0` shows all\n"),
    };
    let by = match found.ask.by {
        By::Test => "in the total test",
        By::Running => "while the unit runs",
    };
    let a_system = if found.systems.len() > 1 {
        ", a system on average"
    } else {
        ""
    };
    format!(
        "Joint types by what they leak {by}{a_system}\n{}{more}{}\n",
        table.text(),
        wrapped("  ", &legend(found, units))
    )
}

/// What the columns mean.
fn legend(found: &JointTypes, units: UnitSystem) -> String {
    let (flow, length) = (flow_unit(units), length_unit(units));
    let several = if found.systems.len() > 1 {
        format!(
            " Of several sketches seams and {length} are sums; {flow} and 90 % are of one system, one without the type \
             counting as 0."
        )
    } else {
        String::new()
    };
    format!(
        "share: part of all leakage in the test, averaged over the invented systems, so not {flow} over the total; run.: the \
         same while running, each seam at its running pressure; first: chance to leak most of all types; ordin., mastic: by \
         how much all leakage falls if the sketch had only this type made so: what hangs open still does. A mean above its 90 % \
         comes from the rare joint that hangs open.{several}"
    )
}

fn ranking_part(found: &JointTypes, one: &TypePart) -> Part {
    match (found.ask.by, one.running) {
        (By::Running, Some(running)) => running,
        _ => one.test,
    }
}

fn cut(one: &TypePart, change: Change) -> String {
    if change.seams == 0 || one.is_remainder {
        "-".to_owned()
    } else {
        percent(change.of_total)
    }
}

/// The catalogue's ranking.
fn of_catalog(catalog: &Catalog, settings: JointsTextSettings) -> String {
    let units = settings.units;
    let per = match units {
        UnitSystem::Ip => "foot",
        UnitSystem::Si => "metre",
    };
    let mut table = Table::new(&[
        ("", Holds::Numbers, 3),
        ("joint type", Holds::Names, 24),
        ("unsealed", Holds::Numbers, 8),
        ("ordinary", Holds::Numbers, 8),
        ("mastic", Holds::Numbers, 8),
        (
            &format!("90 %, {}", settings.work.word()),
            Holds::Numbers,
            18,
        ),
        ("sure", Holds::Names, 5),
    ]);
    let mut left = 0;
    for (basis, most, heading) in [
        (Basis::PerMetre, BY_METRE, format!("-- by the {per}")),
        (Basis::Each, BY_PIECE, "-- by the piece".to_owned()),
    ] {
        table.heading(&heading);
        let ranked = ranking(catalog, basis, settings.work);
        let rows = if settings.rows == 0 {
            ranked.len()
        } else {
            most.min(ranked.len())
        };
        left += ranked.len() - rows;
        let shown = |m3_s: f64| {
            let per = match basis {
                Basis::PerMetre => m3_s * length_of_unit(units),
                Basis::Each => m3_s,
            };
            number(flow(per, units), 3)
        };
        for one in &ranked[..rows] {
            let (low, high) = one.joint.state(settings.work).band_90();
            table.row(vec![
                one.rank.to_string(),
                one.joint.id.clone(),
                shown(one.joint.state(Work::Unsealed).mean_q25),
                shown(one.joint.state(Work::Ordinary).mean_q25),
                shown(one.joint.state(Work::Mastic).mean_q25),
                format!("{} to {}", shown(low), shown(high)),
                Work::ALL
                    .map(|work| one.joint.state(work).source.sure.letter().to_string())
                    .join("/"),
            ]);
        }
    }
    let marks = Sure::ALL.map(|sure| format!("{} {}", sure.letter(), sure.words()));
    let more = if left > 0 {
        format!("{left} more with `--rows 0`. ")
    } else {
        String::new()
    };
    format!(
        "The catalogue: mean leakage at 25 Pa, {}, the leakiest {} first\n{}{}",
        flow_unit(units),
        settings.work.word(),
        table.text(),
        wrapped(
            "  ",
            &format!(
                "{more}sure: {}. Sources: `ductseam catalog --joint NAME`, or `--format csv`.",
                marks.join(", ")
            )
        )
    )
}

/// Metres in the length that flows are shown by.
fn length_of_unit(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => 1.0 / Length::new(1.0).to_ft(),
        UnitSystem::Si => 1.0,
    }
}
