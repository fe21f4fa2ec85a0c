//! `ductseam limits` for a terminal 100 columns wide.

use super::fit_words::{floor, how, series};
use super::said::{self, with_unit};
use crate::catalog::Measure;
use crate::limits::{Answer, At25, Forms, Found, Held, How};
use crate::quantity::{UnitSystem, significant};
use crate::report::allocation_text::{listed, stops};
use crate::report::figures::{
    area, area_unit, chance, flow_unit, leak, number, opening, opening_unit, percent,
};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::system::System;

/// The answer in words and tables.
#[must_use]
pub fn limits_text(system: &System, answer: &Answer<'_>, units: UnitSystem) -> String {
    let mut text = wrapped("", &system.title) + "\n";
    text.push_str(&stops(system));
    for found in &answer.found {
        text.push_str(&measured(answer, found, units));
    }
    if let Some(said) = floor(system, answer, units) {
        text.push_str(&wrapped("Gauge:    ", &format!("{said}.")));
    }
    text.push_str(&in_forms(answer, units));
    text.push('\n');
    text.push_str(&against(answer, units).map_or_else(String::new, |block| block.text()));
    text.push_str(&density(answer, units));
    text.push_str(&listed(
        "Earlier",
        earlier(answer, units).iter().map(String::as_str),
    ));
    let left_out = answer.left_out.iter().map(String::as_str);
    text.push_str(&listed("Left out", left_out));
    let doubts = answer.doubts();
    text.push_str(&listed("Doubtful", doubts.iter().map(String::as_str)));
    let mind = system
        .warnings
        .iter()
        .filter(|warning| warning.code == "limit-overridden");
    text.push_str(&listed("Mind", mind.map(|warning| warning.text.as_str())));
    text.push_str(&wrapped("", WHO_DECIDES));
    text
}

/// Who says whether a rule is met, and what `±` is.
pub(in crate::report) const WHO_DECIDES: &str = "Whether a rule is met is for the authority having jurisdiction to decide. Check figures marked from memory or read \
         second-hand against the edition in force. `±` is 95 % of the reading's own error: wind, leaking masks and uneven \
         pressure come on top.";

pub(in crate::report) fn measured(
    answer: &Answer<'_>,
    found: &Found<'_>,
    units: UnitSystem,
) -> String {
    let ids = match &found.ids[..] {
        [one] => format!("`{one}`"),
        [first, .., last] => format!("`{first}` to `{last}`"),
        [] => String::new(),
    };
    let mut scope = found.basis.scope.words().to_owned();
    if found.guarded {
        scope.push_str(", guarded");
    } else if found.may_hold_barrier() {
        scope.push_str(", with what passes the barrier");
    }
    if !found.pressurise {
        scope.push_str(", ducts pulled down");
    }
    let at = match &found.at_25 {
        Ok(at) => at,
        Err(error) => {
            return wrapped(
                "Measured: ",
                &format!("{scope}, {ids}: no flow at 25 Pa can be had; {error}."),
            );
        }
    };
    let bound = if at.is_bound() { "below " } else { "" };
    let mut text = wrapped(
        "Measured: ",
        &format!(
            "{scope} {bound}{} at 25 Pa, {}, {}; {ids}; {}.",
            with_unit(at.flow_m3_s(), units),
            said::half_95(at, units),
            said::stage(found.basis.stage),
            how(answer, found, at),
        ),
    );
    if let How::Series(fit) = at.how() {
        text.push_str(&series(fit, found.weighted.as_ref(), units));
    }
    text
}

/// Readings side by side that fit a table.
const SIDE_BY_SIDE: usize = 4;

fn in_forms(answer: &Answer<'_>, units: UnitSystem) -> String {
    forms(answer, units)
        .into_iter()
        .map(|(table, sources)| format!("\nThe same in every form\n{}{sources}", table.text()))
        .collect()
}

/// Tables of the same leakage in every form, with where pressures and coefficients come from.
pub(in crate::report) fn forms(answer: &Answer<'_>, units: UnitSystem) -> Vec<(Table, String)> {
    let known: Vec<(&Found<'_>, &At25, &Forms<'_>)> = answer
        .found
        .iter()
        .filter_map(|found| Some((found, found.at_25.as_ref().ok()?, found.forms.as_ref()?)))
        .collect();
    known
        .chunks(SIDE_BY_SIDE)
        .map(|some| (side_by_side(some, units), said::opening_sources(some[0].2)))
        .collect()
}

/// A cell for each reading, `-` where it is not known.
fn cells<'k, T>(
    known: &'k [(&Found<'_>, &At25, &Forms<'_>)],
    of: impl Fn(&'k Forms<'_>, &'k At25) -> Option<T>,
    shown: impl Fn(T) -> String,
) -> Vec<String> {
    known
        .iter()
        .map(|(_, at, forms)| of(forms, at).map_or_else(|| "-".to_owned(), &shown))
        .collect()
}

fn side_by_side(known: &[(&Found<'_>, &At25, &Forms<'_>)], units: UnitSystem) -> Table {
    let heads: Vec<String> = known
        .iter()
        .map(|(found, ..)| {
            let guarded = if found.guarded { " (guarded)" } else { "" };
            format!("{}{guarded}", found.basis.scope.words())
        })
        .collect();
    let mut columns = vec![("form", Holds::Names, 25)];
    columns.extend(heads.iter().map(|head| (head.as_str(), Holds::Numbers, 17)));
    columns.push(("from", Holds::Words, 46));
    let mut table = Table::new(&columns);
    let mut row = |form: &str, cells: Vec<String>, from: String| {
        let mut all = vec![form.to_owned()];
        all.extend(cells);
        all.push(from);
        table.row(all);
    };
    let first = known[0].2;
    let from = match &first.by_floor {
        Ok((_, floor)) => format!(
            "{} {} served",
            significant(area(*floor, units), 4),
            area_unit(units)
        ),
        Err(why) => why.to_string(),
    };
    let by = |forms: &Forms<'_>| forms.by_floor.as_ref().ok().map(|by| by.0);
    row(
        "cfm per 100 ft2 of floor",
        cells(
            known,
            |f, _| by(f),
            |by| said::bare_by_floor(by, UnitSystem::Ip),
        ),
        from,
    );
    row(
        "L/s per m2 of floor",
        cells(
            known,
            |f, _| by(f),
            |by| said::bare_by_floor(by, UnitSystem::Si),
        ),
        String::new(),
    );
    row(
        "part of the airflow",
        cells(
            known,
            |f, _| f.of_airflow.as_ref().ok().map(|of| of.part),
            percent,
        ),
        match &first.of_airflow {
            Ok(of) => said::of_airflow(of, units).1,
            Err(why) => why.to_string(),
        },
    );
    let surface = |forms: &'_ Forms<'_>| forms.by_surface.as_ref().ok().map(|by| by.surface_m2);
    row(
        "leakage class CL",
        cells(
            known,
            |f, _| f.by_surface.as_ref().ok().map(|by| by.class_ip),
            |class| significant(class, 3),
        ),
        match &first.by_surface {
            Ok(_) => format!(
                "sketched duct {} {}, with cabinet and boots",
                cells(
                    known,
                    |f, _| surface(f),
                    |m2| significant(area(m2, units), 3)
                )
                .join(", "),
                area_unit(units)
            ),
            Err(why) => why.to_string(),
        },
    );
    row(
        "the same in SI",
        cells(
            known,
            |f, _| f.by_surface.as_ref().ok().map(|by| by.class_si),
            |class| significant(class, 3),
        ),
        "mL/s per m2 at 1 Pa".to_owned(),
    );
    row(
        "tightness class reached",
        cells(
            known,
            |f, _| f.by_surface.as_ref().ok().map(|by| by.tightness),
            |class| class.map_or_else(|| "none".to_owned(), |class| class.name.clone()),
        ),
        "none: leakier than ATC 6 (CL 48)".to_owned(),
    );
    for k in 0..first.openings.len() {
        let one = &first.openings[k];
        let n = if (one.pressure_pa - 25.0).abs() < 1e-9 {
            String::new()
        } else {
            let all = cells(known, |_, at| Some(at.exponent().0), |n| format!("{n:.2}"));
            let same = all.iter().all(|n| *n == all[0]);
            format!(
                ", exponent {}",
                if same { all[0].clone() } else { all.join(", ") }
            )
        };
        row(
            one.name,
            cells(
                known,
                |f, _| Some(f.openings[k].area_m2),
                |m2| format!("{} {}", opening(m2, units), opening_unit(units)),
            ),
            format!("Cd {} at {} Pa{n}", one.coefficient, one.pressure_pa),
        );
    }
    table
}

/// Limits entered against what was read; `None` where there is no limit.
pub(in crate::report) fn against(answer: &Answer<'_>, units: UnitSystem) -> Option<Block> {
    if answer.held.is_empty() {
        return None;
    }
    let mut table = Table::new(&[
        ("limit", Holds::Names, 35),
        ("allows", Holds::Numbers, 7),
        ("margin", Holds::Numbers, 7),
        ("part", Holds::Numbers, 8),
        ("chance", Holds::Numbers, 7),
        ("stands", Holds::Words, 23),
    ]);
    for held in &answer.held {
        table.row(row(answer, held, units));
        if let Err(why) = &held.judged {
            table.note(4, &format!("{}: {why}", said::measure(&held.limit, units)));
        } else {
            table.note(4, &about(held, units));
        }
    }
    Some(Block {
        heading: format!(
            "Against the limits entered, {} at 25 Pa (part: the margin by the limit; chance: that the true flow is at or below the \
             limit, given the reading's error)",
            flow_unit(units)
        ),
        table,
        more: String::new(),
        notes: Vec::new(),
    })
}

fn row(answer: &Answer<'_>, held: &Held, units: UnitSystem) -> Vec<String> {
    let several = held.found.is_some_and(|k| {
        let scope = answer.found[k].basis.scope;
        answer
            .found
            .iter()
            .filter(|one| one.basis.scope == scope)
            .count()
            > 1
    });
    let of = match held.found {
        Some(k) if several => format!(" (`{}`)", answer.found[k].ids[0]),
        _ => String::new(),
    };
    let name = held.limit.id.clone() + if held.limit.own { " (own)" } else { "" };
    match &held.judged {
        Ok(judged) => vec![
            name,
            leak(judged.limit_m3_s, units),
            crate::report::figures::signed_flow(judged.margin_m3_s, units),
            margin(judged.margin_part),
            judged.chance.map_or_else(|| "bound".to_owned(), chance),
            format!("{}{of}", judged.verdict.words()),
        ],
        Err(_) => vec![
            name,
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            format!("not comparable{of}"),
        ],
    }
}

/// A margin as part of the limit, in per cent with its sign.
fn margin(part: f64) -> String {
    let decimals = usize::from(part.abs() < 0.0995);
    format!("{} %", number(100.0 * part, decimals))
}

/// What a limit is and where it comes from.
fn about(held: &Held, units: UnitSystem) -> String {
    let limit = &held.limit;
    let mut words = format!("{}, {}", limit.scope.words(), said::measure(limit, units));
    if let Ok(judged) = &held.judged
        && judged.by_least
    {
        words.push_str(" (the flat flow decides)");
    }
    if matches!(limit.measure, Measure::Class(_)) {
        words.push_str(", cabinet and boots in what was read");
    }
    if let Some(said) = said::held_as(held, units) {
        words.push_str(&format!("; {said}"));
    }
    if !limit.own {
        words.push_str(&format!("; {}", said::whose(limit)));
    }
    if !limit.condition.is_empty() {
        words.push_str(&format!("; for: {}", limit.condition));
    }
    if limit.own {
        words.push_str(&format!("; {}", limit.source.text));
    } else {
        words.push_str(&format!("; {}", limit.source.sure.words()));
    }
    words
}

/// The air of the test, and what flows are by it. Nothing is judged by any of this but the meter's step.
pub(in crate::report) fn density(answer: &Answer<'_>, units: UnitSystem) -> String {
    let Some(stated) = answer.found.iter().find(|found| found.air.stated) else {
        return String::new();
    };
    let meter = match (answer.meter_corrects, answer.meter_said) {
        (true, true) => "as the meter gives them: it corrects",
        (true, false) => "as the meter gives them: it is taken to correct",
        (false, _) => "brought there from a meter that does not correct",
    };
    let mut words = format!(
        "all flows above are at 1.204 kg/m3, {meter}. Air {} kPa ({})",
        significant(stated.air.pressure_pa / 1000.0, 4),
        if stated.air.by_elevation {
            "by elevation"
        } else {
            "barometer"
        },
    );
    for found in &answer.found {
        let Ok(at) = &found.at_25 else { continue };
        words.push_str(&format!("; {}: ", found.basis.scope.words()));
        if !answer.meter_corrects {
            words.push_str(&format!(
                "indicated {} times {:.4}, ",
                with_unit(at.flow_m3_s() / found.meter_factor, units),
                found.meter_factor
            ));
        }
        words.push_str(&match found.by_air() {
            Some((leaks, reference)) => format!(
                "{} by volume through the leaks ({} kg/m3), {} at reference air",
                with_unit(leaks, units),
                significant(found.air.leak.density, 4),
                with_unit(reference, units)
            ),
            None => "the leaks drew on air round the ducts, which the record does not have: their volume is not told, and \
                     for openings the air in the fan stands in"
                .to_owned(),
        });
    }
    words.push_str(". Openings pass the same mass in the air of the leaks.");
    wrapped("Density: ", &words) + "\n"
}

/// Readings from before later sealing.
pub(in crate::report) fn earlier(answer: &Answer<'_>, units: UnitSystem) -> Vec<String> {
    answer
        .earlier
        .iter()
        .map(|found| match &found.at_25 {
            Ok(at) => format!(
                "{} {} at 25 Pa (`{}`), before later sealing; not judged",
                found.basis.scope.words(),
                with_unit(at.flow_m3_s(), units),
                found.ids[0]
            ),
            Err(error) => format!("`{}`: {error}", found.ids[0]),
        })
        .collect()
}
