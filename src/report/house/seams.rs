//! Every seam in one table that can be filtered and sorted.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::House;
use super::page::Part;
use super::parts::{block, wide};
use crate::allocate::SeamResult;
use crate::quantity::UnitSystem;
use crate::report::figures::{chance, flow, flow_unit, leak, leaks, number, percent};
use crate::report::open_text::hanging;
use crate::report::words;

/// Titles of the columns; the last six hold numbers.
const COLUMNS: usize = 12;

pub fn section(house: &House<'_>) -> Option<Part> {
    let (allocation, units) = (house.allocation, house.units);
    if allocation.seams.is_empty() {
        return None;
    }
    let order = allocation.leakiest_first();
    let pa = number(allocation.house.test_pressure_pa, 0);
    let caption = format!("All {} seams, the leakiest first", order.len());
    let rows = html! {
        table id="seam-table" {
            caption { (caption) }
            thead { tr {
                @for (k, title) in titles(house).iter().enumerate() {
                    th scope="col" aria-sort=(if k == 6 { "descending" } else { "none" }) {
                        button type="button" { (title) }
                    }
                }
            } }
            tbody { @for &index in &order { (row(&allocation.seams[index], units)) } }
        }
    };
    let body = html! {
        (filters(house))
        (wide("Seams", &rows))
        p.note {
            "Flow: mean in the test at " (pa) " Pa, and the band that holds 90 % of the chance. Share: mean part of the leakage of all seams. To outside: mean with the house held at "
            (number(allocation.to_outside_setup.pressure_pa, 0)) " Pa as the ducts are. Among the " (allocation.top)
            " largest and hangs open: chances. Reach none: no hand gets there. A mean above its band: a small chance of hanging open carries it. A probable place, never a certain one."
        }
        @if let Some(found) = hanging(allocation, units) { (block(&found)) }
    };
    Some(Part::new("seams", "Seams", &body))
}

fn titles(house: &House<'_>) -> [String; COLUMNS] {
    let unit = flow_unit(house.units);
    [
        "seam".to_owned(),
        "what it is".to_owned(),
        "joint type".to_owned(),
        "side".to_owned(),
        "place".to_owned(),
        "reach".to_owned(),
        format!("flow, {unit}"),
        "90 % band".to_owned(),
        "share".to_owned(),
        format!("to outside, {unit}"),
        format!("in top {}", house.allocation.top),
        "hangs open".to_owned(),
    ]
}

/// One seam. `data-n` holds the bare figures of the last six columns, to sort by.
fn row(seam: &SeamResult, units: UnitSystem) -> Markup {
    let bare = |m3_s: f64| number(flow(m3_s, units), 6);
    let sorted = format!(
        "{} {} {} {} {} {}",
        bare(seam.test_m3_s.mean),
        bare(seam.test_m3_s.p95),
        number(seam.share, 6),
        bare(seam.to_outside_m3_s.mean),
        small(seam.top_chance),
        small(seam.gross_chance),
    );
    html! {
        tr data-seam=(seam.seam) data-n=(sorted) tabindex="0" {
            th scope="row" { (seam.id) }
            td { (seam.what) }
            td { (seam.joint_name) }
            td { (words::side(seam.side)) }
            td { (seam.place) }
            td { (words::reach(seam.reach)) }
            td { (leak(seam.test_m3_s.mean, units)) }
            td { (leaks(seam.test_m3_s, units)) }
            td { (percent(seam.share)) }
            td { (leak(seam.to_outside_m3_s.mean, units)) }
            td { (chance(seam.top_chance)) }
            td { (chance(seam.gross_chance)) }
        }
    }
}

/// What narrows the table; shown only where a script can make it work.
fn filters(house: &House<'_>) -> Markup {
    let seams = &house.allocation.seams;
    let count = seams.len();
    let sorted = |value: &dyn Fn(&SeamResult) -> String| {
        seams.iter().map(value).collect::<BTreeSet<String>>()
    };
    let reaches: Vec<String> = house
        .allocation
        .by_reach
        .iter()
        .filter(|group| group.count > 0)
        .map(|group| group.id.clone())
        .collect();
    html! {
        div.filters role="search" aria-label="Narrow the table of seams" hidden {
            div { label for="filter-text" { "Find" } input id="filter-text" type="search" autocomplete="off"; }
            (select("filter-side", "Side", sorted(&|s| words::side(s.side).to_owned()).into_iter()))
            (select("filter-place", "Place", sorted(&|s| s.place.clone()).into_iter()))
            (select("filter-reach", "Reach", reaches.into_iter()))
            (select("filter-type", "Joint type", sorted(&|s| s.joint_name.clone()).into_iter()))
            p id="filter-count" role="status" { (count) " of " (count) " seams" }
        }
    }
}

fn select(id: &str, label: &str, options: impl Iterator<Item = String>) -> Markup {
    html! {
        div {
            label for=(id) { (label) }
            select id=(id) {
                option value="" { "all" }
                @for option in options { option value=(option) { (option) } }
            }
        }
    }
}

/// A chance as a key to sort by: however small, it is more than none.
fn small(chance: f64) -> String {
    format!("{chance:.4e}")
}
