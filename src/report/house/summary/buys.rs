//! What hands reach, what a plan does in which time, and what it buys.

use maud::{Markup, html};

use super::super::House;
use super::found::percents;
use crate::allocate::{Band, Method};
use crate::effects::{Effects, SeasonEffect};
use crate::report::effects::said::rounded_band;
use crate::report::effects::seasons::{energy_band, percent_band};
use crate::report::effects::tables::SHORT;
use crate::report::figures::{chance, flow_unit, leak, leaks, number, percent};
use crate::report::plan::{basis, hours, money};
use crate::report::words::counted;
use crate::seal::{Basis, Plan};
use crate::system::Side;

/// A saving whose whole band lies below this part is called next to nothing. Engineering estimate.
const NEXT_TO_NOTHING: f64 = 0.01;
/// Minutes of a crew's day. Common practice.
const DAY: f64 = 480.0;

pub fn bought(house: &House<'_>) -> Markup {
    html! {
        ul {
            @match house.plan {
                None => li { "What sealing would buy was not asked here." },
                Some(plan) if plan.stopped.is_some() => li { "Nothing is to be done before what stops the work is cleared up." },
                Some(plan) => {
                    @if house.work_waits() { li { strong { "Nothing is done before what stops the work is cleared up" } " (top of the page). What follows is what the work would buy after that." } }
                    (reach(house))
                    (work(house, plan))
                    (rest(house, plan))
                    @if !plan.steps.is_empty() {
                        @match house.effects {
                            Some(effects) => {
                                (rooms(effects))
                                @if draws_back(house) { (seasons(house, effects)) (worth(plan, effects)) }
                            },
                            None => li { "What the work does to rooms, house and bill could not be worked out from this sketch." },
                        }
                        @if plan.money.is_none() { li { "What the work costs is not told: the sketch gives neither rates nor prices." } }
                    }
                },
            }
        }
    }
}

fn reach(house: &House<'_>) -> Markup {
    let allocation = house.allocation;
    let of = |id: &str| {
        let group = allocation.by_reach.iter().find(|group| group.id == id);
        group.map_or(0.0, |group| group.share.mean)
    };
    let hidden = allocation.hidden.share;
    html! {
        @if !allocation.seams.is_empty() {
            li {
                "A hand can get to " (percent(of("open"))) " of the leakage"
                @if of("under insulation") > 0.0 { ", and to " (percent(of("under insulation"))) " more once insulation is opened" }
                @if hidden.mean > 0.0 { "; " (percent(hidden.mean)) " (" (percents(hidden)) ") is out of reach or not in the sketch" }
                "."
            }
        }
    }
}

/// What the plan was made for.
fn asked(house: &House<'_>, plan: &Plan) -> String {
    let mut asked = Vec::new();
    match plan.ask.minutes {
        Some(minutes) if (minutes - DAY).abs() < 0.5 => asked.push("a day's work (8 h)".to_owned()),
        Some(minutes) => asked.push(format!("{} of work", hours(minutes))),
        None => {}
    }
    if let Some(sum) = plan.ask.money {
        asked.push(format!(
            "{} at most",
            money(sum, &house.system.crew.currency)
        ));
    }
    if let Some(target) = plan.ask.target_m3_s {
        asked.push(format!(
            "{} {} or less",
            leak(target, house.units),
            flow_unit(house.units)
        ));
    }
    if asked.is_empty() {
        "all that hands reach".to_owned()
    } else {
        asked.join(" and ")
    }
}

fn work(house: &House<'_>, plan: &Plan) -> Markup {
    let units = house.units;
    let unit = flow_unit(units);
    html! {
        @if plan.allocation.diagnostics.method == Method::Prior || !house.has_flow() {
            li { "No leakage was measured: a test first tells whether there is anything to seal." }
        }
        li {
            strong { "The plan is for " (asked(house, plan)) ". " }
            @if plan.steps.is_empty() { "It finds nothing to seal; the section “Plan” says why." } @else {
                "It seals " (counted(plan.steps.len(), "seam", "seams")) " in " (hours(plan.minutes))
                @if let Some(sum) = plan.money { " for about " (money(sum, &house.system.crew.currency)) }
                ". That takes " (leak(plan.cut_m3_s.mean, units)) " " (unit) " (" (leaks(plan.cut_m3_s, units)) ") off the " (leak(plan.before_m3_s.mean, units))
                " " (unit) " of " (basis(plan)) @if plan.ask.basis == Basis::Total { " that the next test would read, leaks of its masks among them" } "; " (leak(plan.after_m3_s.mean, units)) " " (unit) " (" (leaks(plan.after_m3_s, units)) ") are left."
            }
            @if let Some(met) = plan.target_chance { " The target is met with a chance of " (chance(met)) "." }
        }
    }
}

/// What sealing all else in reach would take.
fn rest(house: &House<'_>, plan: &Plan) -> Markup {
    let units = house.units;
    let all = plan
        .frontier
        .last()
        .filter(|all| all.minutes > plan.minutes + 1.0 && all.steps > plan.steps.len());
    html! {
        @if let Some(all) = all {
            li {
                "To seal all that hands reach (" (counted(all.steps, "seam", "seams")) ") would take " (hours(all.used_minutes)) " and leave about "
                (leak(all.after_m3_s.mean, units)) " " (flow_unit(units)) " (" (leaks(all.after_m3_s, units)) ")."
            }
        }
    }
}

fn rooms(effects: &Effects) -> Markup {
    let parts: Vec<_> = effects
        .rooms
        .iter()
        .filter_map(|room| room.part_of_meant.as_ref())
        .collect();
    let before = parts.iter().filter(|part| part.before.mean < SHORT).count();
    let after = parts.iter().filter(|part| part.after.mean < SHORT).count();
    html! {
        @if !parts.is_empty() {
            li {
                "Rooms with less than " (percent(SHORT)) " of their air, by the model: " (before) " of " (parts.len()) " before the work, " (after) " after it."
            }
        }
    }
}

fn seasons(house: &House<'_>, effects: &Effects) -> Markup {
    let seasons = [("heating", &effects.heating), ("cooling", &effects.cooling)];
    html! {
        @for (name, season) in seasons {
            @if let Some(season) = season { li { (saved(house, effects, name, season)) } }
        }
    }
}

fn saved(house: &House<'_>, effects: &Effects, name: &str, season: &SeasonEffect) -> Markup {
    let currency = if effects.currency.is_empty() {
        "in the sketch's money"
    } else {
        effects.currency.as_str()
    };
    let year = effects
        .year
        .map_or_else(String::new, |year| format!(", prices of {year}"));
    html! {
        "The energy for " (name) ": by the model the work saves "
        @if is_nothing(season.saved_part) { "next to nothing (" (percent_band(&season.saved_part)) ")" }
        @else if season.saved_part.p05 < 0.0 { "nothing that is sure: between " (percent(-season.saved_part.p05)) " more and " (percent(season.saved_part.p95.max(0.0))) " less may be used, nine chances in ten" }
        @else { (percent_band(&season.saved_part)) " of it, nine chances in ten" }
        @if let Some(energy) = &season.saved_j { "; " (energy_band(energy, season.unit, house.units)) " a year" }
        @if let Some(money) = &season.saved_money { "; " (rounded_band(money)) " " (currency) " a year" (year) }
        "."
    }
}

fn is_nothing(saved: Band) -> bool {
    saved.p05.abs() < NEXT_TO_NOTHING && saved.p95.abs() < NEXT_TO_NOTHING
}

/// Whether the sketch has a return side: without one nothing can be said of what the unit draws in.
pub fn draws_back(house: &House<'_>) -> bool {
    house
        .system
        .openings
        .iter()
        .any(|opening| opening.side == Side::Return)
}

/// Years of savings that pay for the work, beyond which it is said that energy does not: longer than the sealants and
/// the unit last. Engineering estimate.
const NEVER: f64 = 20.0;

/// What the work costs against what it saves in energy.
fn worth(plan: &Plan, effects: &Effects) -> Markup {
    let seasons = [&effects.heating, &effects.cooling];
    let saved: Vec<Band> = seasons
        .into_iter()
        .flatten()
        .filter_map(|season| season.saved_money)
        .collect();
    let Some(cost) = plan.money.filter(|_| !saved.is_empty()) else {
        return html! {};
    };
    let most: f64 = saved.iter().map(|band| band.p95).sum();
    let mean: f64 = saved.iter().map(|band| band.mean).sum();
    let years = cost / most.max(f64::MIN_POSITIVE);
    let shown = |sum: f64| money(sum, &effects.currency);
    html! {
        li {
            @if years > NEVER {
                strong { "In energy alone the work does not pay: " } "about " (shown(cost)) " for " (shown(most.max(0.0)))
                " a year at the very most. Other reasons may be comfort, dust, safety or a limit to meet."
            } @else {
                "At the mean saving of " (shown(mean)) " a year the work, about " (shown(cost)) ", is paid back in some " (number(cost / mean.max(f64::MIN_POSITIVE), 0)) " years."
            }
        }
    }
}
