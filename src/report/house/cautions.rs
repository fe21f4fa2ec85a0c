//! Cautions, before any advice.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::{listed, said};
use super::wording::for_readers;
use crate::report::cautions::{Caution, cautions};
use crate::report::effects::said::all_cautions;
use crate::report::next;
use crate::report::plan::from_inside;
use crate::system::SuspectTape;

/// Every caution that system, work and tests call for, stops first, each once.
pub fn all(house: &House<'_>) -> Vec<Caution> {
    let mut found = match house.effects {
        Some(effects) => all_cautions(house.system, effects),
        None => cautions(house.system),
    };
    if let Some(answer) = house.next {
        for caution in next::all_cautions(house.system, answer) {
            if !found
                .iter()
                .any(|known| known.code == caution.code && known.text == caution.text)
            {
                found.push(caution);
            }
        }
    }
    // Suspected tape is among the system's own stops, in fuller words.
    let found_asbestos = house.system.suspect_tape == SuspectTape::Suspected;
    let mut stop = |code, text: &str| {
        found.push(Caution {
            code,
            stop: true,
            text: text.to_owned(),
        });
    };
    if let Some(why) = house.plan.and_then(|plan| plan.stopped.as_ref())
        && !found_asbestos
    {
        stop("plan-stopped", why);
    }
    if let Some(why) = house.plan.and_then(|plan| plan.halted.as_ref()) {
        stop("plan-halted", why);
    }
    for caution in &mut found {
        caution.text = for_readers(&caution.text);
    }
    found.sort_by_key(|caution| !caution.stop);
    found
}

pub fn section(house: &House<'_>) -> Option<Part> {
    let found = all(house);
    if found.is_empty() {
        return None;
    }
    let inside: Vec<String> = house
        .plan
        .and_then(|plan| from_inside(house.system, plan))
        .map(|text| for_readers(&text))
        .into_iter()
        .collect();
    let body = html! {
        @for caution in found.iter().filter(|caution| caution.stop) {
            p.stop { strong { "Stop: " } (said(&caution.text)) }
        }
        ul {
            @for caution in found.iter().filter(|caution| !caution.stop) { li { (said(&caution.text)) } }
        }
        (listed("Sealing from inside", &inside))
    };
    Some(Part::new("cautions", "Before you touch anything", &body))
}
