//! What a drawing says for safety: the stop at its head, cautions in short lines at the plan's foot.

use crate::report::{Caution, cautions};
use crate::seal::Plan;
use crate::system::System;

/// What forbids the work; `None` where nothing does.
pub fn stop(system: &System, plan: Option<&Plan>) -> Option<String> {
    let by_system = cautions(system)
        .into_iter()
        .filter(|caution| caution.stop)
        .map(|caution| caution.text)
        .reduce(|all, next| format!("{all} {next}"));
    let by_plan = plan.and_then(|plan| match (&by_system, &plan.halted, &plan.stopped) {
        (_, Some(halted), _) => Some(halted.clone()),
        (None, None, Some(stopped)) => Some(stopped.clone()),
        // The plan stops for what the system already says.
        _ => None,
    });
    match (by_system, by_plan) {
        (Some(one), Some(other)) => Some(format!("{one} {other}")),
        (one, other) => one.or(other),
    }
}

/// Cautions that do not stop the work, each as short as it can be said on a sheet.
pub fn short_cautions(system: &System) -> Vec<String> {
    cautions(system)
        .iter()
        .filter(|caution| !caution.stop)
        .map(short)
        .collect()
}

/// A caution in a line. What is not known here is said whole.
fn short(caution: &Caution) -> String {
    const TESTED: &str = "draft, spillage and carbon monoxide are tested before and after, the same day, by a qualified \
                          person; burners off during a test.";
    match caution.code {
        "asbestos-not-checked" => {
            "Old cloth or paper tape may hold asbestos: look first, if in doubt stop.".to_owned()
        }
        "combustion-not-stated" => format!("Where something burns, {TESTED}"),
        "combustion" => {
            let which = caution
                .text
                .split_once(" Draft, spillage")
                .map_or(caution.text.as_str(), |parts| parts.0);
            format!("{which} There {TESTED}")
        }
        "attic" => "Attic: cool hours, never alone, on framing only, mind wiring.".to_owned(),
        "crawlspace" => {
            "Crawlspace: check air, water and wiring, never alone, keep a way out.".to_owned()
        }
        "equipment" => {
            "Unit off and locked out before it is opened; gloves and eye protection.".to_owned()
        }
        _ => caution.text.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    fn system(text: &str) -> System {
        let sketch = crate::sketch::read(text, "model").expect("sound");
        crate::system::build(&sketch, text, "model", Catalog::builtin()).expect("sound")
    }

    #[test]
    fn old_tape_stops_and_what_burns_is_told_in_short() {
        let text = include_str!("../../models/two-storey.yaml");
        let mut house = system(text);
        assert_eq!(stop(&house, None), None);
        let all = short_cautions(&house).join(" ");
        for word in ["carbon monoxide", "locked out", "codes"] {
            assert!(all.contains(word), "{word}: {all}");
        }
        house.suspect_tape = crate::system::SuspectTape::Suspected;
        let words = stop(&house, None).expect("a stop");
        assert!(words.contains("asbestos"), "{words}");
    }
}
