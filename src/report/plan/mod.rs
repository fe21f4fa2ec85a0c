//! Answers of `ductseam plan`: what to seal, as text, JSON, CSV and as a list for the crew.

mod csv;
mod json;
pub(super) mod text;
mod work_list;

pub use csv::{COLUMNS, plan_csv};
pub use json::{FORMAT, plan_json};
pub use text::{PlanTextSettings, plan_text};
pub use work_list::{WORK_COLUMNS, work_list_csv, work_list_text};

pub(super) use crate::said::plan::{basis, hours};

use super::figures::{chance, flow_unit, leak, number};
use super::lines::wrapped;
use super::words::{reach, some_names};
use crate::quantity::{Length, UnitSystem};
use crate::seal::{Plan, Step};
use crate::system::System;

/// Money with the word for it, whole.
pub(super) fn money(value: f64, currency: &str) -> String {
    let figure = number(value, 0);
    if currency.is_empty() {
        figure
    } else {
        format!("{figure} {currency}")
    }
}

/// Where the work of a step is done; work from inside needs no place.
pub(super) fn place_of<'a>(system: &'a System, step: &Step) -> &'a str {
    if system.crew.methods[step.method].from_inside {
        "from inside the ducts"
    } else if system.ways(step.seam)[step.way].from_room {
        "from the rooms, registers off"
    } else {
        &system.places[system.seams[step.seam].place].name
    }
}

/// Chance from which it is said that a seam may hang loose. Engineering estimate.
pub(super) const LOOSE_FROM: f64 = 0.01;

/// What is looked at first where a joint may hang loose.
pub(super) fn loose(step: &Step) -> Option<String> {
    (step.open_chance >= LOOSE_FROM).then(|| {
        format!(
            "look whether it hangs loose (chance {}) and put it back first",
            chance(step.open_chance)
        )
    })
}

/// The last step of sealing, by its id, in which the sketch says that this seam was sealed.
pub(super) fn sealed_before<'a>(system: &'a System, step: &Step) -> Option<&'a str> {
    let mut latest_first = system.sealing.iter().rev();
    latest_first
        .find(|done| done.seams.contains(&step.seam))
        .map(|done| done.id.as_str())
}

/// How a joint is bared and fastened before it is sealed.
pub(super) fn made_ready(system: &System, step: &Step) -> Vec<String> {
    let mut deeds = Vec::new();
    if system.ways(step.seam)[step.way].bare_minutes > 0.0 {
        deeds.push("bare the joint, keep the insulation and put it back".to_owned());
    }
    if let Some(fasten) = &step.fasten {
        deeds.push(format!("fasten: {fasten}"));
    }
    deeds
}

/// What is done after the work.
pub(super) fn closing(plan: &Plan) -> Vec<String> {
    let mut lines = Vec::new();
    if plan.cure_h > 0.0 {
        lines.push(format!(
            "wait at least {} h before the test that counts, or as long as the sealant's own sheet says",
            number(plan.cure_h, 0)
        ));
    }
    lines.push(
        "test again in the set-up of the first reading: same fan and tap, same masks, same pressure"
            .to_owned(),
    );
    lines.push(
        "unit running: external static pressure and temperature rise against the nameplate, before and after"
            .to_owned(),
    );
    lines
}

/// What is done at a seam, in the order in which it is done; `mind` adds what must stay free or safe at such a joint.
pub(super) fn deeds(system: &System, step: &Step, units: UnitSystem, mind: bool) -> Vec<String> {
    let method = &system.crew.methods[step.method];
    let way = &system.ways(step.seam)[step.way];
    let mut deeds = Vec::new();
    if way.from_room {
        deeds.push("take the register off".to_owned());
    }
    deeds.extend(loose(step));
    if let Some(done) = sealed_before(system, step) {
        deeds.push(format!(
            "sealed in `{done}`: go over it only where smoke moves"
        ));
    }
    deeds.extend(made_ready(system, step));
    let amount = way.material(method);
    if amount > 0.0 {
        deeds.push(format!(
            "{}: about {} of {}",
            method.words,
            material(amount, &method.unit, units),
            method.material
        ));
    } else {
        deeds.push(method.words.clone());
    }
    if mind && !way.caution.is_empty() {
        deeds.push(format!("mind: {}", way.caution.trim_end_matches('.')));
    }
    deeds
}

/// An amount of material in its unit; lengths in the person's units.
pub(super) fn material(amount: f64, unit: &str, units: UnitSystem) -> String {
    match (unit, units) {
        ("m", UnitSystem::Ip) => format!("{} ft", number(Length::new(amount).to_ft(), 1)),
        ("L", UnitSystem::Ip) => {
            // 1 US liquid gallon is 3.785411784 L by definition, and a quart a fourth of it.
            format!("{} qt", number(amount / (3.785_411_784 / 4.0), 2))
        }
        ("L", UnitSystem::Si) => format!("{} L", number(amount, 2)),
        ("each", _) => number(amount, 0),
        (unit, _) => format!("{} {unit}", number(amount, 1)),
    }
}

/// A gap in words.
pub(super) fn gap(step: &Step, units: UnitSystem) -> String {
    let (width, measured) = step.gap_m;
    let shown = match units {
        UnitSystem::Ip => format!("{} in", number(Length::new(width).to_in(), 3)),
        UnitSystem::Si => format!("{} mm", number(1e3 * width, 2)),
    };
    if measured {
        format!("a gap of {shown} was measured")
    } else {
        format!("leaks like a slot of {shown} all along it")
    }
}

/// Reach of the seam of a step.
pub(super) fn reached(system: &System, step: &Step) -> &'static str {
    reach(system.seams[step.seam].reach)
}

/// What probably hangs loose in reach and is no step of the plan: said before all else.
pub(super) fn loose_first(system: &System, plan: &Plan, units: UnitSystem) -> String {
    plan.allocation
        .gross
        .iter()
        .filter(|found| found.chance >= 0.5)
        .filter(|found| {
            !found
                .seams
                .iter()
                .any(|&seam| plan.steps.iter().any(|step| step.seam == seam))
        })
        .map(|found| {
            let names: Vec<&str> = found
                .seams
                .iter()
                .map(|&seam| system.seams[seam].id.as_str())
                .collect();
            wrapped(
                "Before all else: ",
                &format!(
                    "{} probably {} open (chance {}) and would leak {} {}; the plan has no room for it. Put it back \
                     (some {} min) and read again before anything is sealed.",
                    some_names(&names, 3),
                    if names.len() == 1 { "hangs" } else { "or a neighbour hangs" },
                    chance(found.chance),
                    leak(found.test_m3_s.mean, units),
                    flow_unit(units),
                    number(system.crew.reattach_minutes, 0),
                ),
            )
        })
        .collect()
}

/// What must be minded where the ducts are sealed from inside.
pub(super) fn from_inside(system: &System, plan: &Plan) -> Option<String> {
    let used = plan
        .steps
        .iter()
        .map(|step| &system.crew.methods[step.method])
        .find(|method| method.from_inside)?;
    let price = if plan.money.is_some() && used.money_once.is_none() {
        " Its own price is not in the money told here: say `price once` for `inside` under `crew`."
    } else {
        ""
    };
    Some(format!(
        "Sealing from inside: people and animals leave the house until it is aired, smoke alarms and sensors are covered, and \
         coil, blower and burners are shut off from the mist; the makers' instructions and trained hands decide.{price}"
    ))
}
