//! Everything that was taken as given: defaults, catalogue rows, method, warnings.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{facts, flat, folded, listed, said, wide};
use super::wording::sends_nobody;
use crate::allocate::{Method, Status};
use crate::catalog::{Basis, GROSS_CHANCE_SOURCE, JointType, SPREAD_SOURCE, Work};
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{how_it_was_got, in_short};
use crate::report::figures::{chance, flow, flow_unit, length_unit, number};
use crate::report::{all_warnings, words};
use crate::system::DefaultUsed;

pub fn section(house: &House<'_>) -> Option<Part> {
    let (system, allocation) = (house.system, house.allocation);
    let waits = house.work_waits();
    let told = |text: &str| {
        if waits {
            sends_nobody(text)
        } else {
            text.to_owned()
        }
    };
    let warnings: Vec<String> = all_warnings(system, allocation)
        .map(|w| told(&w.text))
        .collect();
    let figures: Vec<(String, String)> = in_short(system, allocation, house.units)
        .into_iter()
        .map(|(name, words)| (name.to_string(), told(&words)))
        .collect();
    let mut defaults: Vec<&DefaultUsed> = system.defaults.iter().collect();
    if let Some(effects) = house.effects {
        defaults.extend(
            effects
                .defaults
                .iter()
                .filter(|used| !system.defaults.contains(used)),
        );
    }
    let body = html! {
        h3 { "In figures" }
        (facts(&figures))
        h3 { "How it was computed" }
        (facts(&computed(house)))
        p.note { (said(&flat(&how_it_was_got(allocation)))) }
        (listed("Mind", &warnings))
        h3 { "Joint types used, from the catalogue" }
        (joints(house))
        @if !defaults.is_empty() {
            h3 { "Taken where the sketch says nothing" }
            (folded(&words::counted(defaults.len(), "figure", "figures"), &taken(&defaults)))
        }
        @if !system.places.is_empty() {
            h3 { "Places round the ducts" }
            ul { @for place in &system.places {
                li { strong { (place.name) } ": " (if place.unconditioned { "outside" } else { "inside" }) " the conditioned space; " (said(&place.source)) }
            } }
        }
    };
    Some(Part::new("assumptions", "Assumptions and sources", &body))
}

fn computed(house: &House<'_>) -> Vec<(&'static str, String)> {
    let allocation = house.allocation;
    let found = &allocation.diagnostics;
    let mut lines = vec![
        (
            "Status",
            match &allocation.status {
                Status::Converged => "every check of the computation passed; that says nothing of the figures put into it".to_owned(),
                Status::Doubtful { reasons } => format!("doubtful: {}", reasons.join("; ")),
            },
        ),
        (
            "Method",
            match found.method {
                Method::Prior => "draws of what the catalogue expects; nothing was read or seen",
                Method::Rto => "weighted draws, each the best fit to readings and expectations moved at random (randomise, then optimise)",
                Method::Chains => "chains of gradient moves and jumps, each corrected by the flow solver",
            }
            .to_owned(),
        ),
        ("Seed and draws", format!("seed {}, {} draws, worth {:.0} independent ones", allocation.seed, allocation.draws, found.effective_draws)),
        ("Worst imbalance of flow", format!("{:.1e} of the largest flow, over all draws", found.worst_imbalance)),
        ("Solves that did not settle", format!("{}; draws left out: {}", found.flow_failures, found.failed_draws)),
        ("Test set-up", words::setup(house.system, &allocation.test_setup)),
        ("To-outside set-up", words::setup(house.system, &allocation.to_outside_setup)),
    ];
    if !allocation.readings.is_empty() {
        lines.push((
            "Some set-up wrong",
            format!("chance {}", chance(found.any_wrong_setup_chance)),
        ));
    }
    if let Some(plan) = house.plan {
        lines.push(("Draws behind the plan", plan.draws.to_string()));
    }
    if let Some(effects) = house.effects {
        lines.push((
            "Draws behind the effects",
            format!(
                "{}, {} left out because their flow did not settle",
                effects.draws, effects.left_out
            ),
        ));
    }
    lines
}

/// Every joint type and workmanship in use, with its figures and their source.
fn joints(house: &House<'_>) -> Markup {
    let units = house.units;
    let mut used: BTreeMap<(&str, Work), usize> = BTreeMap::new();
    let mut own = 0;
    for seam in &house.system.seams {
        if seam.own_figure {
            own += 1;
        } else {
            *used
                .entry((seam.joint_type.as_str(), seam.work))
                .or_default() += 1;
        }
    }
    let rows: Vec<(&JointType, Work, usize)> = used
        .into_iter()
        .filter_map(|((id, work), count)| Some((house.catalog.joint(id)?, work, count)))
        .collect();
    html! {
        @if !rows.is_empty() {
            (wide("Joint types used", &html! {
                table class="n3 n4 n5 n6" {
                    caption { "Mean flow at 25 Pa by joint type, " (flow_unit(units)) " by the " (length_unit(units)) " or each, before any reading" }
                    thead { tr { @for title in ["joint type", "made", "seams", "flow", "spread", "exponent", "source", "how sure"] { th scope="col" { (title) } } } }
                    tbody { @for (joint, work, count) in rows {
                        @let state = joint.state(work);
                        tr {
                            th scope="row" { (joint.name) }
                            td { (words::work(work)) }
                            td { (count) }
                            td { (by_amount(state.mean_q25, joint.basis, units)) }
                            td { "× " (number(state.gsd, 2)) }
                            td { (number(state.n, 2)) }
                            td { (said(&state.source.text)) @if joint.mine { " (your own row)" } }
                            td { (state.source.sure.words()) }
                        }
                    } }
                }
            }))
            p.note {
                "Spread: geometric standard deviation from joint to joint (" (SPREAD_SOURCE) "). Chances to hang open: " (GROSS_CHANCE_SOURCE) "."
                @if own > 0 { " " (words::counted(own, "seam rests", "seams rest")) " on figures of the sketch's own, or of what was seen." }
            }
        }
    }
}

fn by_amount(m3_s: f64, basis: Basis, units: UnitSystem) -> String {
    // A foot is 0.3048 m by definition.
    let (value, word) = match (basis, units) {
        (Basis::Each, _) => (flow(m3_s, units), "each"),
        (Basis::PerMetre, UnitSystem::Ip) => (0.3048 * flow(m3_s, units), "by the ft"),
        (Basis::PerMetre, UnitSystem::Si) => (flow(m3_s, units), "by the m"),
    };
    format!("{} {word}", crate::quantity::significant(value, 2))
}

fn taken(defaults: &[&DefaultUsed]) -> Markup {
    wide(
        "Taken where the sketch says nothing",
        &html! {
            table {
                caption { "Taken where the sketch says nothing" }
                thead { tr { @for title in ["about", "taken", "source"] { th scope="col" { (title) } } } }
                tbody { @for used in defaults {
                    tr { th scope="row" { (used.about) } td { (said(&used.taken)) } td { (said(&used.source)) } }
                } }
            }
        },
    )
}
