//! What to do first: what is unsafe, then what tells most, then the work.

use maud::{Markup, html};

use super::super::House;
use super::super::cautions::all;
use super::super::parts::{paragraphs, said};
use super::places::name;
use crate::report::cautions::Caution;
use crate::report::next::text::{nothing_to_add, verdict};
use crate::report::plan::loose_first;

/// Cautions that whoever lives in the house, or goes up first, must know.
const THEIRS: [&str; 7] = [
    "asbestos",
    "combustion",
    "back-draft",
    "draft",
    "house-fan",
    "attic",
    "crawlspace",
];
/// Steps of the plan that are named.
const STEPS: usize = 3;

pub fn first(house: &House<'_>) -> Markup {
    let cautions = all(house);
    let waits = house.work_waits();
    // The caution of a fan in a door stands with the others, but not here where no such test is advised.
    let no_test = house.next.is_some_and(nothing_to_add);
    let theirs: Vec<&Caution> = cautions
        .iter()
        .filter(|caution| !caution.stop && THEIRS.iter().any(|word| caution.code.starts_with(word)))
        .filter(|caution| !(no_test && caution.code == "house-fan"))
        .collect();
    html! {
        ol {
            @if waits { li { strong { "Stop" } ": see the top of the page. Nothing else is done before." } }
            @if theirs.iter().any(|caution| caution.code == "combustion") {
                li { strong { "Have draft and carbon monoxide tested before anyone seals." } " This report does not say that a flue is safe." }
            }
            @for caution in theirs { li { (said(&caution.text)) } }
            @if cautions.iter().any(|caution| caution.code == "equipment") { li { "Before the unit is opened it is switched off and locked out." } }
            @if !waits {
                @if !house.has_flow() { li { "Have the leakage of the ducts measured: without that nobody knows whether there is anything to seal." } }
                @if let Some(plan) = house.plan {
                    @for line in paragraphs(&loose_first(house.system, plan, house.units)) { li { (said(&line)) } }
                }
                @if let Some(answer) = house.next {
                    @for line in paragraphs(&verdict(answer, house.units)) { li { (said(line.trim_end_matches('.'))) "." } }
                }
                @if let Some(names) = steps(house) { li { "If what it buys (below) is worth it to you, seal by the work list. First: " (names) "." } }
                @if house.plan.is_none() && house.next.is_none() { li { "Look with smoke at the seams at the head of the list, the ducts under pressure." } }
            }
        }
    }
}

/// The first steps, as an owner calls them.
fn steps(house: &House<'_>) -> Option<String> {
    let plan = house.plan?;
    if plan.steps.is_empty() {
        return None;
    }
    let names: Vec<String> = plan
        .steps
        .iter()
        .take(STEPS)
        .map(|step| {
            let seam = house
                .allocation
                .seams
                .iter()
                .find(|seam| seam.seam == step.seam);
            let called = seam.map_or_else(
                || house.system.seams[step.seam].id.clone(),
                |seam| name(house.system, seam),
            );
            let sealed = house
                .system
                .sealing
                .iter()
                .any(|done| done.seams.contains(&step.seam));
            if sealed {
                format!("{called} (sealed before: only where smoke moves)")
            } else {
                called
            }
        })
        .collect();
    let mut said = names.join("; ");
    if plan.steps.len() > STEPS {
        said.push_str(&format!("; and {} more", plan.steps.len() - STEPS));
    }
    Some(said)
}
