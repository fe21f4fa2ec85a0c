//! The leakiest seams with their bands.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::{BAND_AND_MEAN, figure};
use crate::report::charts::{Intervals, Row, intervals};
use crate::report::figures::{flow, flow_unit, leak, number, percent};

/// Seams of the chart.
const SEAMS: usize = 20;

pub fn section(house: &House<'_>) -> Option<Part> {
    let (allocation, units) = (house.allocation, house.units);
    let order = allocation.leakiest_first();
    if order.is_empty() {
        return None;
    }
    let shown = &order[..order.len().min(SEAMS)];
    let unit = flow_unit(units);
    let rows: Vec<Row> = shown
        .iter()
        .map(|&index| {
            let seam = &allocation.seams[index];
            let test = seam.test_m3_s;
            Row {
                name: seam.id.clone(),
                figure: format!("{} {unit}, {}", leak(test.mean, units), percent(seam.share)),
                mean: flow(test.mean, units),
                band: (flow(test.p05, units), flow(test.p95, units)),
                ..Row::default()
            }
        })
        .collect();
    let part: f64 = shown
        .iter()
        .map(|&index| allocation.seams[index].share)
        .sum();
    let pa = number(allocation.house.test_pressure_pa, 0);
    let chart = intervals(&Intervals {
        id: "chart-shares",
        title: &format!("The {} leakiest seams", shown.len()),
        says: "Mean flow of each seam in the test with the band that holds 90 % of the chance; the table of seams has all figures.",
        axis: &format!("{unit} at {pa} Pa"),
        rows: &rows,
    });
    let body = html! {
        p {
            "The " (shown.len()) " leakiest of " (order.len()) " seams hold " (percent(part))
            " of the leakage. Where bands overlap widely, which of two seams leaks more is not known."
        }
        (figure(&chart, &format!("The {} leakiest seams", shown.len()), &format!("{BAND_AND_MEAN} At the right: mean flow and share of all leakage. All figures stand in the table of seams.")))
    };
    Some(Part::new("shares", "The leakiest seams", &body))
}
