//! Readings against limits, in the program's own words: it never says that a rule is met.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::{block, flat, listed, said, table};
use crate::report::limits::fit_words::floor;
use crate::report::limits::text::{WHO_DECIDES, against, density, earlier, forms, measured};

pub fn section(house: &House<'_>) -> Option<Part> {
    let answer = house.limits?;
    if answer.found.is_empty() && answer.held.is_empty() {
        return None;
    }
    let (system, units) = (house.system, house.units);
    let air = flat(&density(answer, units));
    let body = html! {
        @for found in &answer.found { p { (said(&flat(&measured(answer, found, units)))) } }
        @if let Some(words) = floor(system, answer, units) { p { "Gauge: " (said(&words)) "." } }
        @if let Some(found) = against(answer, units) { (block(&found)) }
        @for (k, (rows, sources)) in forms(answer, units).iter().enumerate() {
            (table(&if k == 0 { "The same in every form".to_owned() } else { format!("The same in every form, {}", k + 1) }, rows))
            p.note { (said(&flat(sources))) }
        }
        @if !air.is_empty() { p.note { (said(&air)) } }
        (listed("Earlier", &earlier(answer, units)))
        (listed("Left out", &answer.left_out))
        (listed(if answer.held.is_empty() { "Not judged" } else { "Doubtful" }, &answer.doubts()))
        p.note { (said(WHO_DECIDES)) }
    };
    Some(Part::new("limits", "Against limits", &body))
}
