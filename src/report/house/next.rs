//! What to look at or test next.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::{block, folded, list, listed, paragraphs, said};
use crate::report::next::text::{nothing_to_add, ranking, verdict};
use crate::report::next::{NextTextSettings, advised};

/// Candidates that are shown; what tells less for its time says little.
const ROWS: usize = 25;

pub fn section(house: &House<'_>) -> Option<Part> {
    let answer = house.next?;
    let candidates = advised(answer);
    let settings = NextTextSettings {
        units: house.units,
        rows: ROWS,
    };
    let lines: Vec<&str> = candidates
        .iter()
        .take(5)
        .flat_map(|candidate| candidate.sketch_line.lines())
        .collect();
    let left: Vec<String> = answer
        .left_out
        .iter()
        .map(|(what, why)| format!("{what}: {why}"))
        .collect();
    let body = html! {
        @if house.work_waits() && answer.stopped.is_none() { p.stop { strong { "Not yet: " } "what stops the work (top of the page) is cleared up before anything here is done." } }
        @for line in paragraphs(&verdict(answer, house.units)) { p { (said(line.trim_end_matches('.'))) "." } }
        @if !candidates.is_empty() {
            @let ranked = block(&ranking(answer, candidates, settings));
            @if nothing_to_add(answer) { (folded("What was judged, none of it worth its time", &ranked)) } @else { (ranked) }
            (folded("To write into the sketch, with what was seen or read", &html! { pre tabindex="0" { (lines.join("\n")) } }))
        }
        @if answer.stopped.is_none() && !left.is_empty() {
            @if left.len() > 6 { (folded(&format!("Not judged: {}", left.len()), &list(&left))) } @else { (listed("Not judged", &left)) }
        }
    };
    Some(Part::new("next", "What to look at or test next", &body))
}
