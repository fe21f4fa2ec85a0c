//! Before and after the work, as read.

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{block, figure, folded, listed, paragraphs, said};
use super::wording::for_readers;
use crate::quantity::UnitSystem;
use crate::report::all_warnings;
use crate::report::charts::{Intervals, Row, intervals};
use crate::report::figures::{chance, flow, flow_unit, leak, leaks};
use crate::report::prove::ProveTextSettings;
use crate::report::prove::text::{remaining, sealed, verdict, what_now};
use crate::seal::Proof;
use crate::system::System;

pub fn section(house: &House<'_>) -> Option<Part> {
    let proof = house.proof?;
    let (system, units) = (house.system, house.units);
    let unit = flow_unit(units);
    let settings = ProveTextSettings { units, rows: 0 };
    let (before, after) = (&proof.before.house, &proof.after.house);
    let body = html! {
        @for pair in &proof.pairs { @for line in paragraphs(&verdict(system, pair, units)) { p { (said(&line)) } } }
        (chart(house, proof, units))
        p {
            "All evidence: " (leak(before.total_m3_s.mean, units)) " " (unit) " (" (leaks(before.total_m3_s, units))
            ") leaked in the test before, " (leak(after.total_m3_s.mean, units)) " " (unit) " (" (leaks(after.total_m3_s, units))
            ") after; to outside " (leak(before.to_outside_m3_s.mean, units)) " and " (leak(after.to_outside_m3_s.mean, units)) " " (unit) "."
        }
        @if let Some((target, met)) = proof.target {
            p { "Target: " (leak(target, units)) " " (unit) " or less of total leakage in the test is met with a chance of " (chance(met)) "; who decides is the authority that set the limit." }
        }
        (listed("Not compared", &proof.not_compared))
        (listed("Mind", &warned(system, proof)))
        @let now: Vec<String> = what_now(system, proof, units).iter().map(|text| for_readers(text)).collect();
        (listed("What now", &now))
        (folded("What was sealed", &block(&sealed(system, proof, settings))))
        (folded("What remains", &block(&remaining(system, proof, settings))))
    };
    Some(Part::new("proof", "Before and after", &body))
}

/// What the person should know of this computation.
fn warned(system: &System, proof: &Proof) -> Vec<String> {
    all_warnings(system, &proof.after)
        .map(|warning| warning.text.clone())
        .collect()
}

fn chart(house: &House<'_>, proof: &Proof, units: UnitSystem) -> Markup {
    let shown = |m3_s: f64| flow(m3_s, units);
    let mut rows: Vec<Row> = proof
        .pairs
        .iter()
        .map(|pair| Row {
            name: format!(
                "read: {} and {}",
                house.system.readings[pair.before].id, house.system.readings[pair.after].id
            ),
            figure: format!(
                "{} → {}",
                leak(pair.before_m3_s, units),
                leak(pair.after_m3_s, units)
            ),
            mean: shown(pair.after_m3_s),
            band: (shown(pair.expected_m3_s.p05), shown(pair.expected_m3_s.p95)),
            before: Some(shown(pair.before_m3_s)),
            target: None,
            ..Row::default()
        })
        .collect();
    let (before, after) = (&proof.before.house, &proof.after.house);
    for (name, before, after) in [
        ("all evidence: total", before.total_m3_s, after.total_m3_s),
        (
            "all evidence: to outside",
            before.to_outside_m3_s,
            after.to_outside_m3_s,
        ),
    ] {
        rows.push(Row {
            name: name.to_owned(),
            figure: format!("{} → {}", leak(before.mean, units), leak(after.mean, units)),
            mean: shown(after.mean),
            band: (shown(after.p05), shown(after.p95)),
            wide: Some((shown(before.p05), shown(before.p95))),
            before: Some(shown(before.mean)),
            ..Row::default()
        });
    }
    let drawn = intervals(&Intervals {
        id: "chart-proof",
        title: "Leakage before and after the work",
        says: "Readings on one basis, and what all evidence says, before and after.",
        axis: flow_unit(units),
        rows: &rows,
    });
    figure(
        &drawn,
        "Leakage before and after the work",
        "Ring: before the work. Dot: after it. Bar of a pair of readings: what was to be expected after the work; of all evidence: its 90 % band after it, and as pale broad bar before it.",
    )
}
