//! Where the leakage probably is.

use maud::{Markup, html};

use super::super::House;
use super::super::parts::said;
use super::super::plain::to_hold_half;
use super::super::wording::sends_nobody;
use super::found::percents;
use crate::allocate::{GroupResult, SeamResult};
use crate::report::figures::{chance, flow_unit, leak, leaks, percent};
use crate::report::open_text;
use crate::system::{Reach, SeamRole, System};

/// Seams that are named.
const SEAMS: usize = 5;
/// Joint types and places that are named.
const GROUPS: usize = 3;

pub fn places(house: &House<'_>) -> Markup {
    let (allocation, units) = (house.allocation, house.units);
    let order = allocation.leakiest_first();
    let mut shares: Vec<f64> = allocation.seams.iter().map(|seam| seam.share).collect();
    shares.sort_by(|a, b| b.total_cmp(a));
    let half = to_hold_half(shares.into_iter());
    let shown: Vec<&SeamResult> = order
        .iter()
        .take(SEAMS)
        .map(|&index| &allocation.seams[index])
        .collect();
    let past = shown
        .iter()
        .any(|seam| seam.test_m3_s.mean > seam.test_m3_s.p95);
    let waits = house.work_waits();
    let by_place: Vec<&GroupResult> = counted(&allocation.by_place);
    html! {
        p {
            "A seam is any joint, slit or gap that can leak. Of " (order.len()) " seams some " (half)
            " hold half of the leakage. Share: part of all leakage. Figures are what is likely by the kind of joint and all that was read, not sightings."
        }
        div.wide role="region" aria-label="Leakiest seams" tabindex="0" {
            table.n3.n4.n5 {
                caption { "The leakiest seams" }
                thead { tr {
                    th scope="col" { "seam" } th scope="col" { "where" }
                    th scope="col" { (flow_unit(units)) ", 9 chances in 10" } th scope="col" { "share" } th scope="col" { "one of the " (allocation.top) " largest" }
                } }
                tbody { @for seam in shown {
                    tr {
                        th scope="row" { (seam.what) " " small { "(" (seam.id) ")" } }
                        td { (seam.place) "; " (reach(seam.reach)) }
                        td { (leak(seam.test_m3_s.mean, units)) " (" (leaks(seam.test_m3_s, units)) ")" }
                        td { (percent(seam.share)) } td { (chance(seam.top_chance)) }
                    }
                } }
            }
        }
        @if past { p.note { "Where the mean lies above its band, a small chance that the joint hangs open carries it." } }
        p {
            "By kind of joint: " (largest(&counted(&allocation.by_joint_type))) "."
            @if by_place.len() > 1 { " By place: " (largest(&by_place)) "." }
        }
        @for (name, value) in open_text::summary(allocation, units) {
            @let value = if waits { sends_nobody(&value) } else { value };
            p { strong { (name) ": " } (said(&value)) @if !value.ends_with('.') { "." } }
        }
    }
}

/// A seam as somebody calls it who has not read the sketch: what it is, and of which run.
pub fn name(system: &System, seam: &SeamResult) -> String {
    if system.seams[seam.seam].role == SeamRole::Unsketched {
        return seam.what.clone();
    }
    match seam.run.as_str() {
        "unit" => format!("{}, at the unit", seam.what),
        run => format!("{} of the run “{run}”", seam.what),
    }
}

/// Whether a hand gets there.
fn reach(reach: Reach) -> &'static str {
    match reach {
        Reach::Open => "a hand gets there",
        Reach::UnderInsulation => "under insulation",
        Reach::BehindFinish => "behind a wall or ceiling",
        Reach::None => "no hand gets there",
    }
}

fn counted(groups: &[GroupResult]) -> Vec<&GroupResult> {
    groups.iter().filter(|group| group.count > 0).collect()
}

fn largest(groups: &[&GroupResult]) -> String {
    let named: Vec<String> = groups
        .iter()
        .take(GROUPS)
        .map(|group| {
            format!(
                "{} {} ({})",
                group.name,
                percent(group.share.mean),
                percents(group.share)
            )
        })
        .collect();
    named.join(", ")
}
