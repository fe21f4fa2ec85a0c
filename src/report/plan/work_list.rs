//! The list for the crew: by place, with boxes to tick, minutes and material.

use super::{closing, deeds, from_inside, hours, loose_first, material, place_of, reached};
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{before_you_touch, listed, stops};
use crate::report::csv_table::csv_table;
use crate::report::lines::wrapped;
use crate::report::words;
use crate::seal::{Plan, Step};
use crate::system::System;

/// Columns of the list as a table, in order.
pub const WORK_COLUMNS: [&str; 9] = [
    "step", "place", "reach", "seam", "what", "do", "minutes", "material", "done",
];

/// The list on one page: at most 100 columns, boxes to tick.
#[must_use]
pub fn work_list_text(system: &System, plan: &Plan, units: UnitSystem) -> String {
    let mut text = wrapped("", &format!("Work list: {}", plan.allocation.title)) + "\n";
    text.push_str(&stops(system));
    if let Some(why) = &plan.stopped {
        return text + &wrapped("Do nothing: ", why);
    }
    if let Some(why) = &plan.halted {
        text.push_str(&wrapped("STOP: ", why));
        text.push('\n');
    }
    text.push_str(&loose_first(system, plan, units));
    text.push_str(&before_you_touch(system));
    text.push_str(&listed(
        "From inside",
        from_inside(system, plan).iter().map(String::as_str),
    ));
    if plan.steps.is_empty() {
        return text + "Nothing to seal.\n";
    }
    text.push_str(&format!(
        "{} in all, done ____ date ________ by ________\n",
        hours(plan.minutes)
    ));
    let mut place = "";
    let mut told: Vec<&str> = Vec::new();
    for (at, step) in plan.steps.iter().enumerate() {
        let here = place_of(system, step);
        if here != place || step.set_up_minutes > 0.0 {
            text.push_str(&format!("\n{here}{}\n", set_up(step)));
            place = here;
        }
        let seam = &system.seams[step.seam];
        // What to mind is said once for each kind of joint.
        let fresh = !told.contains(&seam.joint_type.as_str());
        if fresh {
            told.push(&seam.joint_type);
        }
        let first = format!("  [ ] {:>3}  ", at + 1);
        text.push_str(&wrapped(
            &first,
            &format!(
                "{} ({}; {}), {} min: {}",
                seam.id,
                seam.what,
                reached(system, step),
                step.minutes.round(),
                deeds(system, step, units, fresh).join("; ")
            ),
        ));
    }
    text.push_str("\nMaterial\n");
    for found in &plan.materials {
        text.push_str(&format!(
            "  [ ] {}: {}\n",
            found.material,
            material(found.amount, &found.unit, units)
        ));
    }
    text.push_str("\nAfterwards\n");
    for line in closing(plan) {
        text.push_str(&wrapped("  [ ] ", &line));
    }
    text
}

fn set_up(step: &Step) -> String {
    if step.set_up_minutes > 0.0 {
        format!(" ({} to set up)", hours(step.set_up_minutes))
    } else {
        String::new()
    }
}

/// The same for a spreadsheet.
#[must_use]
pub fn work_list_csv(system: &System, plan: &Plan, units: UnitSystem) -> String {
    csv_table(
        &WORK_COLUMNS,
        plan.steps.iter().enumerate().map(|(at, step)| {
            let seam = &system.seams[step.seam];
            let method = &system.crew.methods[step.method];
            let amount = system.ways(step.seam)[step.way].material(method);
            [
                (at + 1).to_string(),
                place_of(system, step).to_owned(),
                words::reach(seam.reach).to_owned(),
                seam.id.clone(),
                seam.what.clone(),
                deeds(system, step, units, true).join("; "),
                (step.minutes + step.set_up_minutes).round().to_string(),
                if amount > 0.0 {
                    format!(
                        "{} {}",
                        material(amount, &method.unit, units),
                        method.material
                    )
                } else {
                    String::new()
                },
                String::new(),
            ]
        }),
    )
}
