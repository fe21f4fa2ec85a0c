//! What to seal, in which order, and what that buys.

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{block, figure, flat, folded, listed, paragraphs, said};
use super::work::work_list;
use crate::quantity::UnitSystem;
use crate::report::charts::{Point, Step, step};
use crate::report::figures::{chance, flow, flow_unit, leak, leaks, number};
use crate::report::lines::{Block, Holds, Table};
use crate::report::plan::basis;
use crate::report::plan::text::{
    afterwards, frontier, hidden, how_it_was_planned, materials, verdict,
};
use crate::seal::Plan;
use crate::system::System;

pub fn section(house: &House<'_>) -> Option<Part> {
    let plan = house.plan?;
    let (system, units) = (house.system, house.units);
    if let Some(why) = &plan.stopped {
        let body =
            html! { div id="work-list" { p.stop { strong { "Do nothing: " } (said(why)) } } };
        return Some(Part::new("plan", "Plan", &body));
    }
    let body = html! {
        @for line in paragraphs(&verdict(system, plan, units)) { p { (said(&line)) } }
        @if !plan.frontier.is_empty() { (bought(plan, units)) }
        @if let Some(found) = hidden(system, plan, units) { (block(&found)) }
        (work_list(house, plan))
        @if !plan.steps.is_empty() { (folded("Figures of every step", &block(&figures(system, plan, units)))) }
        @if !plan.left.is_empty() { (folded("Left as they are, and why", &left(system, plan))) }
        @for line in [materials(system, plan, units), how_it_was_planned(plan, units)] {
            @if !line.trim().is_empty() { p.note { (said(&flat(&line))) } }
        }
        (listed("Afterwards", &afterwards(plan)))
        (methods(system, plan))
    };
    Some(Part::new("plan", "Plan", &body))
}

/// Minutes against what is left.
fn bought(plan: &Plan, units: UnitSystem) -> Markup {
    let unit = flow_unit(units);
    let shown = |m3_s: f64| flow(m3_s, units);
    let now = Point {
        x: 0.0,
        y: shown(plan.before_m3_s.mean),
        band: (shown(plan.before_m3_s.p05), shown(plan.before_m3_s.p95)),
    };
    let points: Vec<Point> = std::iter::once(now)
        .chain(
            plan.frontier
                .iter()
                .filter(|point| point.minutes > 0.0)
                .map(|point| Point {
                    x: point.minutes / 60.0,
                    y: shown(point.after_m3_s.mean),
                    band: (shown(point.after_m3_s.p05), shown(point.after_m3_s.p95)),
                }),
        )
        .collect();
    let up = format!("{unit} left, {}", basis(plan));
    let chart = step(&Step {
        id: "chart-frontier",
        title: "What more time buys",
        says: "Leakage that is left after the best plan for so much time, with the band that holds 90 % of the chance.",
        along: "hours of work",
        up: &up,
        points: &points,
        target: plan.ask.target_m3_s.map(shown),
    });
    html! {
        h3 { "What more time buys" }
        (figure(&chart, "What more time buys", "Dot: mean of what is left after the best plan for that time. Upright line and pale field: its 90 % band. Broken line, where there is one: the target."))
        @if let Some(found) = frontier(plan, units) { (folded("The same in figures", &block(&found))) }
    }
}

/// What each step takes away; what is done there stands in the work list.
fn figures(system: &System, plan: &Plan, units: UnitSystem) -> Block {
    let off = format!("{} off", flow_unit(units));
    let mut table = Table::new(&[
        ("", Holds::Numbers, 3),
        ("seam", Holds::Names, 32),
        ("min", Holds::Numbers, 3),
        (&off, Holds::Numbers, 7),
        ("90 %", Holds::Numbers, 14),
        ("running", Holds::Numbers, 7),
        ("worth it", Holds::Numbers, 8),
    ]);
    for (at, step) in plan.steps.iter().enumerate() {
        let cut = step.cut_m3_s(plan.ask.basis);
        table.row(vec![
            (at + 1).to_string(),
            system.seams[step.seam].id.clone(),
            number(step.minutes, 0),
            leak(cut.mean, units),
            leaks(cut, units),
            step.running_cut_m3_s
                .map_or_else(|| "n/a".to_owned(), |cut| leak(cut.mean, units)),
            chance(step.worth_chance),
        ]);
    }
    Block {
        heading: "What each step takes away".to_owned(),
        table,
        more: String::new(),
        notes: vec![format!(
            "{off}: mean of the draws, in the {}; running: while the unit runs, either way through the seam; worth it: chance \
             that the seam takes away more for its minutes than the best one left out would on average.",
            basis(plan)
        )],
    }
}

/// Seams that are not sealed, by why.
fn left(system: &System, plan: &Plan) -> Markup {
    let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
    for (seam, why) in &plan.left {
        let id = system.seams[*seam].id.as_str();
        match reasons.iter_mut().find(|(known, _)| *known == why.as_str()) {
            Some((_, ids)) => ids.push(id),
            None => reasons.push((why, vec![id])),
        }
    }
    html! {
        ul { @for (why, ids) in &reasons {
            li { strong { (said(why)) } " (" (ids.len()) "): " (ids.join(", ")) }
        } }
    }
}

/// Methods that the plan uses, with where their figures come from.
fn methods(system: &System, plan: &Plan) -> Markup {
    let used = system.crew.methods.iter().enumerate();
    let used = used.filter(|(k, _)| plan.steps.iter().any(|step| step.method == *k));
    let lines: Vec<String> = used
        .map(|(_, method)| {
            let wait = if method.cure_h > 0.0 {
                format!("; wait {} h before a test", method.cure_h)
            } else {
                String::new()
            };
            format!("{}: {}{wait}", method.words, method.source)
        })
        .collect();
    listed("Methods, and where their figures come from", &lines)
}
