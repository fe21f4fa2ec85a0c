//! One page for whoever owns the house: what was found, what it means, what to do, what it buys, what is not known.

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::said;
use crate::allocate::{Allocation, Band, Status};
use crate::report::evidence_text::WORTH_SAYING;
use crate::report::figures::{chance, number, percent};
use crate::report::words;
use crate::system::{Reach, SeamRole};

mod buys;
mod first;
mod found;
mod means;
mod places;

pub fn section(house: &House<'_>) -> Option<Part> {
    let waits = house.work_waits();
    let body = html! {
        (basis(house))
        h3 { "What was found" }
        (found::found(house))
        @if let Some(words) = means::means(house) {
            h3 { "What it means for the house" }
            (words)
        }
        @if !house.allocation.seams.is_empty() {
            h3 { "Where it probably is" }
            (places::places(house))
        }
        h3 { "What to do first" }
        (first::first(house))
        h3 { "What can be done, and what it buys" }
        (buys::bought(house))
        h3 { "What is not known" }
        (unknown(house, waits))
    };
    let name = if house.has_flow() {
        "Summary"
    } else {
        "Summary: an expectation, not a finding"
    };
    Some(Part {
        id: "summary",
        name: "Summary",
        body: html! {
            section id="summary" data-fit=(fit(house, &body)) {
                h2 { (name) }
                (body)
            }
        },
    })
}

/// Letters of a summary that a printed page holds at the usual size and at smaller ones: tried on letter with the models
/// of this repository, as long as all of them fitted.
const FULL: [(usize, &str); 3] = [(3750, "usual"), (5240, "small"), (6300, "smallest")];

/// How small the summary is printed so that it stays on one page: counted by the letters that a reader sees, those of the
/// top of the page with them.
fn fit(house: &House<'_>, body: &Markup) -> &'static str {
    let letters = |markup: &str| {
        let mut inside = false;
        markup
            .chars()
            .filter(|&one| {
                let seen = !inside && one != '<';
                inside = one == '<' || inside && one != '>';
                seen
            })
            .count()
    };
    let top = super::page::top(house).into_string();
    let count = letters(&body.0) + letters(&top);
    FULL.iter()
        .find(|(most, _)| count <= *most)
        .map_or("tiny", |(_, word)| word)
}

/// What the figures rest on, before any of them.
fn basis(house: &House<'_>) -> Markup {
    let allocation = house.allocation;
    html! {
        @if !house.has_evidence() {
            p.doubtful { strong { "Nothing was read here. " } "What follows is what such ducts usually leak, by a catalogue of joints and the sketch. It is not a finding about this house." }
        } @else if !house.has_flow() {
            p.doubtful { strong { "No leakage was measured here. " } "What follows is what such ducts usually leak, changed only by what else was seen and read. How much leaks is expected, not known." }
        }
        @if let Some(stage) = words::stage(house.system, allocation.stage) { p { "State of the ducts: " (said(&stage)) "." } }
    }
}

fn unknown(house: &House<'_>, waits: bool) -> Markup {
    let allocation = house.allocation;
    let is_unsketched = |index: usize| house.system.seams[index].role == SeamRole::Unsketched;
    let unsketched = sum(allocation, is_unsketched);
    let hidden = sum(allocation, |index| {
        matches!(
            allocation.seams[index].reach,
            Reach::BehindFinish | Reach::None
        ) && !is_unsketched(index)
    });
    let looked = allocation.looks.len();
    html! {
        ul {
            li { (sure(allocation.house.total_m3_s, house.has_flow())) " Where it leaks is known much less well." }
            li {
                @if looked == 0 { "Nobody has seen a joint here leak: places are worked out, not found." }
                @else { (words::counted(looked, "joint or place was", "joints or places were")) " looked at; the rest is worked out, not found." }
                @if !waits { " Smoke near a joint, with the ducts under pressure, shows it." }
            }
            @if hidden > 0.0 { li { (percent(hidden)) " lies where nobody can look: how those joints were made is a guess." } }
            @if unsketched > 0.0 { li { (percent(unsketched)) " stands for joints that the sketch does not show." } }
            @let wrong = allocation.diagnostics.any_wrong_setup_chance;
            @if !allocation.readings.is_empty() && wrong > WORTH_SAYING {
                li { "Something may have been wrong with the set-up of a test: the chance is " (chance(wrong)) "." }
            }
            @if let Status::Doubtful { .. } = &allocation.status {
                li { strong { "The computation itself is doubtful" } "; why is said at the top of the page." }
            }
            @for why in house.untold { li { (said(why)) } }
            li { "Whether a rule is met: that is for the authority having jurisdiction to say." }
        }
    }
}

/// Half a band of this part of its mean or less counts as known. Engineering estimate.
const KNOWN: f64 = 0.25;

/// How wide the band of the total is.
fn sure(total: Band, measured: bool) -> String {
    let half = 0.5 * (total.p95 - total.p05) / total.mean;
    if !measured {
        "The total is expected, not known.".to_owned()
    } else if half <= KNOWN {
        format!("The total is known to some {} either way.", percent(half))
    } else if total.p05 > 0.0 {
        format!(
            "The total is known roughly: the upper end of its band is {} times the lower one.",
            number(total.p95 / total.p05, 1)
        )
    } else {
        "The total is hardly known.".to_owned()
    }
}

fn sum(allocation: &Allocation, belongs: impl Fn(usize) -> bool) -> f64 {
    allocation
        .seams
        .iter()
        .enumerate()
        .filter(|(index, _)| belongs(*index))
        .map(|(_, seam)| seam.share)
        .fold(0.0, |sum, share| sum + share)
}
