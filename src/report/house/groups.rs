//! Seams summed by joint type, run, place and reach.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::{BAND_AND_MEAN, figure, folded, table};
use crate::allocate::GroupResult;
use crate::report::allocation_text;
use crate::report::charts::{Intervals, Row, intervals};
use crate::report::figures::percent;

/// Bars of one chart; the table has every group.
const BARS: usize = 10;

pub fn section(house: &House<'_>) -> Option<Part> {
    let allocation = house.allocation;
    if allocation.seams.is_empty() {
        return None;
    }
    let kinds: [(&str, &str, &str, &[GroupResult]); 4] = [
        (
            "chart-types",
            "By joint type",
            "joint type",
            &allocation.by_joint_type,
        ),
        ("chart-runs", "By run", "run", &allocation.by_run),
        ("chart-places", "By place", "place", &allocation.by_place),
        ("chart-reach", "By reach", "reach", &allocation.by_reach),
    ];
    let body = html! {
        @for (id, heading, key, groups) in kinds {
            @if groups.iter().any(|group| group.count > 0) {
                h3 { (heading) }
                (one(house, id, heading, key, groups))
            }
        }
    };
    Some(Part::new("groups", "Summed up", &body))
}

fn one(
    house: &House<'_>,
    id: &str,
    heading: &str,
    key: &str,
    groups: &[GroupResult],
) -> maud::Markup {
    let shown: Vec<&GroupResult> = groups.iter().filter(|group| group.count > 0).collect();
    let rows: Vec<Row> = shown
        .iter()
        .take(BARS)
        .map(|group| Row {
            name: group.name.clone(),
            figure: percent(group.share.mean),
            mean: 100.0 * group.share.mean,
            band: (100.0 * group.share.p05, 100.0 * group.share.p95),
            ..Row::default()
        })
        .collect();
    let chart = intervals(&Intervals {
        id,
        title: &format!("Share of the leakage, {}", heading.to_lowercase()),
        says: "Mean share of each group with the band that holds 90 % of the chance.",
        axis: "per cent of the leakage of all seams",
        rows: &rows,
    });
    let all = allocation_text::groups(
        heading,
        key,
        groups,
        house.allocation.share_asked,
        usize::MAX,
        house.units,
    );
    let caption = if shown.len() > BARS {
        format!(
            "{BAND_AND_MEAN} The {BARS} largest of {}; the table has all.",
            shown.len()
        )
    } else {
        BAND_AND_MEAN.to_owned()
    };
    html! {
        (figure(&chart, &format!("Share of the leakage, {}", heading.to_lowercase()), &caption))
        (folded(&format!("All figures {}", heading.to_lowercase()), &table(&all.heading, &all.table)))
    }
}
