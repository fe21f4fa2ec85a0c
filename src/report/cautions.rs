//! Cautions that come before advice: old tape, combustion, attics and crawlspaces, live equipment.
//!
//! They are common practice of the trade, restated; local codes and licensed trades decide.

use crate::system::{Draft, PlaceIdx, Side, SuspectTape, System};

/// Depressurisation from which burning appliances with natural draft are spoken of, Pa. From memory: screening tables
/// of older building-performance standards give 2 to 5 Pa for natural draft.
const DRAFT_HINT_PA: f64 = -3.0;

/// A caution with a stable code.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Caution {
    /// Stable code, kebab-case.
    pub code: &'static str,
    /// Stop the work until it is settled.
    pub stop: bool,
    /// Words.
    pub text: String,
}

/// All cautions that a system calls for, stops first.
#[must_use]
pub fn cautions(system: &System) -> Vec<Caution> {
    let mut found = Vec::new();
    let mut say = |code, stop, text: String| found.push(Caution { code, stop, text });
    match system.suspect_tape {
        SuspectTape::Suspected => say(
            "asbestos-suspected",
            true,
            "Tape or wrap that may hold asbestos was seen. Do not pressurise, cut, peel, cover or handle it; \
             have a sample tested by a laboratory and call a licensed abatement specialist."
                .to_owned(),
        ),
        SuspectTape::NotChecked => say(
            "asbestos-not-checked",
            false,
            "Before touching a joint look for old white or grey cloth or paper tape and wrap: it may hold asbestos. \
             If in doubt stop and have it tested. Then say `suspect tape: none seen` in the sketch."
                .to_owned(),
        ),
        SuspectTape::NoneSeen => {}
    }
    if system.combustion.is_empty() {
        say(
            "combustion-not-stated",
            false,
            "The sketch names no burning appliance. If there is one (furnace, boiler, water heater, fireplace), say so \
             under `combustion`, and have draft, spillage and carbon monoxide tested before and after sealing, the same \
             day, by a qualified person. Burners off during a test, relit after it."
                .to_owned(),
        );
    }
    for (place, flues) in open_flues(system) {
        let draws_here = system
            .seams
            .iter()
            .any(|seam| seam.side == Side::Return && seam.place == place);
        let order = if draws_here {
            " Return seams there pull on the flue: they are sealed before any supply seam."
        } else {
            ""
        };
        say(
            "combustion",
            false,
            format!(
                "Burning air comes from the {}: {}.{order} Draft, spillage and carbon monoxide are tested before and \
                 after sealing, the same day, by a qualified person. Burners off during a test, relit after it.",
                system.places[place].name,
                flues.join(", "),
            ),
        );
    }
    let has_seam_in = |word: &str| {
        system
            .seams
            .iter()
            .any(|seam| system.places[seam.place].name.contains(word))
    };
    if ["attic", "loft", "knee wall"]
        .iter()
        .any(|word| has_seam_in(word))
    {
        say(
            "attic",
            false,
            "Attics can pass 65 °C (150 °F): go in cool hours, never alone, step on framing only, mind wiring and nails."
                .to_owned(),
        );
    }
    if has_seam_in("crawl") || has_seam_in("belly") {
        say(
            "crawlspace",
            false,
            "Crawlspaces can be confined spaces: check for standing water, wiring, mould and pests, and keep a way out."
                .to_owned(),
        );
    }
    say(
        "equipment",
        false,
        "Switch the unit off and lock it out before opening it. Leave combustion-air openings, drains, dampers and \
         flue collars free, and panels removable. Sharp metal: gloves and eye protection."
            .to_owned(),
    );
    say(
        "authority",
        false,
        "Local codes, the makers' instructions and licensed trades decide.".to_owned(),
    );
    found.sort_by_key(|caution| !caution.stop);
    found
}

/// What a zone far below outdoors calls for where natural draft hangs on it; `None` where it stands near enough.
#[must_use]
pub fn back_draft(zone: &str, pa: f64, appliances: &str) -> Option<Caution> {
    (pa < DRAFT_HINT_PA).then(|| Caution {
        code: "back-draft",
        stop: false,
        text: format!(
            "{zone} stands at {pa:.1} Pa against outdoors, with natural draft in the house: {appliances}. \
             Screening figures of older practice (from memory) watch 2 to 5 Pa. This is a hint from a model \
             without exhaust fans and wind, no verdict: draft, spillage and carbon monoxide are tested by a \
             qualified person, and local codes and licensed trades decide."
        ),
    })
}

/// What comes before a fan in a door pulls a house down.
#[must_use]
pub fn house_fan() -> Caution {
    Caution {
        code: "house-fan",
        stop: false,
        text: "A house fan pulls on every flue: before it starts turn burners and exhaust fans off and see that \
               fireplaces are cold and their ashes covered. Afterwards burners are put back, relit and watched by a \
               qualified person."
            .to_owned(),
    }
}

/// Appliances that take their air from a place, by place in the system's order; sealed ones take none.
fn open_flues(system: &System) -> Vec<(PlaceIdx, Vec<String>)> {
    let mut found: Vec<(PlaceIdx, Vec<String>)> = Vec::new();
    for appliance in &system.combustion {
        let draft = match appliance.draft {
            Draft::Natural => "natural draft",
            Draft::FanAssisted => "fan assisted",
            Draft::Sealed => continue,
        };
        let words = format!("{} ({draft})", appliance.name);
        match found
            .iter_mut()
            .find(|(place, _)| *place == appliance.place)
        {
            Some((_, flues)) => flues.push(words),
            None => found.push((appliance.place, vec![words])),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    fn said(extra: &str) -> Vec<Caution> {
        let text = format!(
            "ductseam: 1\ntitle: two runs (invented)\n{extra}air handler: {{place: basement}}\nruns:\n\
             - {{id: A, side: supply, from: supply plenum, size: 6 in, place: attic, walk: [north 9 ft, cap]}}\n\
             - {{id: B, side: return, from: return plenum, size: 12x8 in, walk: [south 4 ft, return box 20x20 in]}}\n"
        );
        let sketch = crate::sketch::read(&text, "two.yaml").expect("a good sketch");
        let system = crate::system::build(&sketch, &text, "two.yaml", Catalog::builtin())
            .expect("a good system");
        cautions(&system)
    }

    fn codes(found: &[Caution]) -> Vec<&str> {
        found.iter().map(|caution| caution.code).collect()
    }

    #[test]
    fn suspected_tape_stops_the_work_before_anything_else_is_said() {
        let found = said("suspect tape: suspected\n");
        assert_eq!(
            codes(&found),
            [
                "asbestos-suspected",
                "combustion-not-stated",
                "attic",
                "equipment",
                "authority"
            ]
        );
        assert!(found[0].stop && found[1..].iter().all(|caution| !caution.stop));
    }

    #[test]
    fn nobody_having_looked_for_tape_is_said_and_having_looked_is_not() {
        assert!(codes(&said("")).contains(&"asbestos-not-checked"));
        assert!(
            !codes(&said("suspect tape: none seen\n"))
                .iter()
                .any(|code| code.starts_with("asbestos"))
        );
    }

    #[test]
    fn open_flues_in_the_place_of_returns_are_said_in_one_caution_and_sealed_ones_not() {
        let found = said(
            "combustion: [{appliance: furnace, draft: fan assisted, place: basement}, \
             {appliance: water heater, draft: natural, place: basement}, \
             {appliance: boiler, draft: sealed, place: garage}]\n",
        );
        let flues: Vec<&Caution> = found
            .iter()
            .filter(|caution| caution.code == "combustion")
            .collect();
        assert_eq!(flues.len(), 1, "{found:?}");
        assert!(
            flues[0]
                .text
                .contains("furnace (fan assisted), water heater (natural draft)"),
            "{}",
            flues[0].text
        );
        assert!(
            flues[0].text.contains("before any supply seam"),
            "{}",
            flues[0].text
        );
    }
}
