//! `ductseam plan` for a terminal 100 columns wide.

use super::{basis, deeds, from_inside, gap, hours, loose_first, material, money, place_of};
use crate::allocate::Method;
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{
    before_you_touch, doubts, how_it_was_got, listed, stops, warnings,
};
use crate::report::figures::{chance, flow_unit, leak, leaks, number, percent};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::report::words::{counted, some_names};
use crate::seal::Plan;
use crate::system::System;

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlanTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of the table of steps; 0 shows all.
    pub rows: usize,
}

/// Seams named in one sentence.
const NAMED: usize = 3;
/// Leakage that counts as none, m³/s: below what meters show. Engineering estimate.
const NOTHING_M3_S: f64 = 1e-5;
/// Looks first that are listed.
const LOOKS: usize = 5;

/// The plan in words and tables.
#[must_use]
pub fn plan_text(system: &System, plan: &Plan, settings: PlanTextSettings) -> String {
    let units = settings.units;
    let mut text = wrapped("", &plan.allocation.title) + "\n";
    text.push_str(&stops(system));
    if let Some(why) = &plan.stopped {
        text.push_str(&wrapped("Do nothing: ", why));
        text.push('\n');
    } else {
        if let Some(why) = &plan.halted {
            text.push_str(&wrapped("STOP: ", why));
            text.push('\n');
        }
        text.push_str(&loose_first(system, plan, units));
        text.push_str(&verdict(system, plan, units));
        text.push('\n');
    }
    text.push_str(&before_you_touch(system));
    text.push_str(&listed(
        "From inside",
        from_inside(system, plan).iter().map(String::as_str),
    ));
    if plan.stopped.is_none() {
        if let Some(block) = steps(system, plan, settings) {
            text.push_str(&block.text());
        }
        text.push_str(&look_first(system, plan));
        for block in [frontier(plan, units), hidden(system, plan, units)]
            .into_iter()
            .flatten()
        {
            text.push_str(&block.text());
        }
        text.push_str(&materials(system, plan, units));
        text.push_str(&listed(
            "Afterwards",
            afterwards(plan).iter().map(String::as_str),
        ));
    }
    text.push_str(&doubts(&plan.allocation));
    text.push_str(&warnings(system, &plan.allocation));
    text.push_str(&how_it_was_planned(plan, units));
    text.push_str(&how_it_was_got(&plan.allocation));
    text
}

pub(in crate::report) fn verdict(system: &System, plan: &Plan, units: UnitSystem) -> String {
    let unit = flow_unit(units);
    let before = format!("{} {unit}", leak(plan.before_m3_s.mean, units));
    let mut text = String::new();
    if plan.allocation.diagnostics.method == Method::Prior {
        text.push_str(&wrapped(
            "Nothing was read: ",
            "this plan rests on what the catalogue expects of such joints, not on this house. A total test first tells \
             whether there is anything to seal.",
        ));
    }
    if plan.steps.is_empty() {
        text.push_str(&wrapped("Seal nothing: ", why_nothing(plan)));
    } else {
        let cost = plan.money.map_or_else(String::new, |sum| {
            format!(", about {}", money(sum, &system.crew.currency))
        });
        text.push_str(&wrapped(
            "Seal: ",
            &format!(
                "{} in {}{cost}. That would take {} {unit} ({}) off the {}, which is {before} ({}) now and would be {} {unit} \
                 ({}).",
                counted(plan.steps.len(), "seam", "seams"),
                hours(plan.minutes),
                leak(plan.cut_m3_s.mean, units),
                leaks(plan.cut_m3_s, units),
                basis(plan),
                leaks(plan.before_m3_s, units),
                leak(plan.after_m3_s.mean, units),
                leaks(plan.after_m3_s, units),
            ),
        ));
    }
    if let (Some(target), Some(met)) = (plan.ask.target_m3_s, plan.target_chance) {
        text.push_str(&wrapped(
            "Target: ",
            &format!(
                "{} {unit} or less, met with a chance of {} (asked: {}).",
                leak(target, units),
                chance(met),
                chance(plan.ask.chance)
            ),
        ));
    }
    if let Some(out) = &plan.out_of_reach {
        let what = if out.for_want_of_time {
            format!(
                "the time or money at hand is too little; with everything in reach sealed the chance would be {}.",
                chance(out.best_chance)
            )
        } else {
            format!(
                "with everything in reach sealed the leakage is {} {unit} or less with that chance, {} {unit} too much; \
                 the target is met with a chance of {}. What nobody seals leaks {} {unit} ({}).",
                leak(out.best_m3_s, units),
                leak(out.short_m3_s, units),
                chance(out.best_chance),
                leak(out.not_sealed_m3_s.mean, units),
                leaks(out.not_sealed_m3_s, units),
            )
        };
        text.push_str(&wrapped("Out of reach: ", &what));
    }
    text
}

/// Why there is nothing to seal.
fn why_nothing(plan: &Plan) -> &'static str {
    if plan.target_chance.is_some_and(|met| met >= plan.ask.chance) {
        "the target is met as things stand."
    } else if plan.before_m3_s.mean < NOTHING_M3_S {
        "next to nothing leaks on this basis."
    } else if plan.ask.minutes.is_some() || plan.ask.money.is_some() {
        "the time or money at hand is too little for any seam in reach."
    } else {
        "no method in use serves a seam in reach."
    }
}

/// What to do, in order; `None` where nothing is sealed.
pub(in crate::report) fn steps(
    system: &System,
    plan: &Plan,
    settings: PlanTextSettings,
) -> Option<Block> {
    let units = settings.units;
    let unit = flow_unit(units);
    if plan.steps.is_empty() {
        return None;
    }
    let rows = match settings.rows {
        0 => plan.steps.len(),
        rows => rows.min(plan.steps.len()),
    };
    let off = format!("{unit} off");
    let mut table = Table::new(&[
        ("", Holds::Numbers, 3),
        ("seam", Holds::Names, 32),
        ("how", Holds::Words, 20),
        ("min", Holds::Numbers, 3),
        (&off, Holds::Numbers, 7),
        ("90 %", Holds::Numbers, 14),
        ("running", Holds::Numbers, 7),
        ("worth it", Holds::Numbers, 8),
    ]);
    let mut place = "";
    // What is done is told once for each kind of joint.
    let mut told: Vec<(usize, &str)> = Vec::new();
    for (at, step) in plan.steps.iter().take(rows).enumerate() {
        let here = place_of(system, step);
        if here != place || step.set_up_minutes > 0.0 {
            let set_up = if step.set_up_minutes > 0.0 {
                format!(", {} to set up", hours(step.set_up_minutes))
            } else {
                String::new()
            };
            table.heading(&format!("  {here}{set_up}"));
            place = here;
        }
        let cut = step.cut_m3_s(plan.ask.basis);
        table.row(vec![
            (at + 1).to_string(),
            system.seams[step.seam].id.clone(),
            system.crew.methods[step.method].words.clone(),
            number(step.minutes, 0),
            leak(cut.mean, units),
            leaks(cut, units),
            step.running_cut_m3_s
                .map_or_else(|| "n/a".to_owned(), |cut| leak(cut.mean, units)),
            chance(step.worth_chance),
        ]);
        let seam = &system.seams[step.seam];
        let kind = (step.method, seam.joint_type.as_str());
        if step.open_chance >= 0.5 || !told.contains(&kind) {
            told.push(kind);
            let mut said = deeds(system, step, units, true);
            if step.open_chance < 0.5 {
                said.push(gap(step, units));
            }
            table.note(8, &said.join("; "));
        }
    }
    let more = if rows < plan.steps.len() {
        format!(
            "  and {} more: `--rows 0` shows all, `--work-list` makes a list for the crew\n",
            plan.steps.len() - rows
        )
    } else {
        String::new()
    };
    let notes = vec![format!(
        "{off}: mean of the draws, in the {}; running: while the unit runs, either way through the seam; worth it: \
             chance that the seam takes away more for its minutes than the best one left out would on average.",
        basis(plan)
    )];
    Some(Block {
        heading: "What to do, in this order".to_owned(),
        table,
        more,
        notes,
    })
}

/// Heading of [`looks_first`].
pub(in crate::report) const LOOK_FIRST: &str =
    "Look before you seal (smoke, the ducts under pressure); leave the seam if nothing moves";

/// Looks that would spare time.
pub(in crate::report) fn looks_first(system: &System, plan: &Plan) -> Vec<String> {
    plan.look_first
        .iter()
        .take(LOOKS)
        .map(|look| {
            format!(
                "{}: {} min for the look; {} min spared on average, the look taken off",
                system.seams[look.seam].id,
                number(look.look_minutes, 0),
                number(look.spared_minutes, 0)
            )
        })
        .collect()
}

fn look_first(system: &System, plan: &Plan) -> String {
    let mut text = listed(
        LOOK_FIRST,
        looks_first(system, plan).iter().map(String::as_str),
    );
    if !text.is_empty() {
        text.pop();
        text.push_str(
            "  `ductseam next` ranks looks and tests by what they add; give what was seen under `looks`.\n\n",
        );
    }
    text
}

/// What more time buys; `None` where it was not asked for.
pub(in crate::report) fn frontier(plan: &Plan, units: UnitSystem) -> Option<Block> {
    if plan.frontier.is_empty() {
        return None;
    }
    let unit = flow_unit(units);
    let off = format!("{unit} off");
    let left = format!("{unit} left");
    let mut table = Table::new(&[
        ("time", Holds::Numbers, 12),
        ("seams", Holds::Numbers, 5),
        (&off, Holds::Numbers, 8),
        (&left, Holds::Numbers, 8),
        ("90 %", Holds::Numbers, 16),
        ("best rate first", Holds::Numbers, 15),
    ]);
    for point in &plan.frontier {
        table.row(vec![
            hours(point.minutes),
            point.steps.to_string(),
            leak(point.cut_m3_s, units),
            leak(point.after_m3_s.mean, units),
            leaks(point.after_m3_s, units),
            leak(point.greedy.cut_m3_s, units),
        ]);
    }
    Some(Block {
        heading: "What more time buys".to_owned(),
        table,
        more: String::new(),
        notes: vec![
            "best rate first: what would come off by always taking the seam with the most for its minutes. Cuts are \
             taken as adding up here."
                .to_owned(),
        ],
    })
}

/// What no hand reaches; `None` where next to nothing leaks there.
pub(in crate::report) fn hidden(system: &System, plan: &Plan, units: UnitSystem) -> Option<Block> {
    if plan
        .hidden
        .iter()
        .all(|group| group.flow_m3_s.mean <= NOTHING_M3_S)
    {
        return None;
    }
    let unit = flow_unit(units);
    let mut table = Table::new(&[
        ("place", Holds::Names, 16),
        ("why", Holds::Words, 18),
        ("seams", Holds::Numbers, 5),
        (unit, Holds::Numbers, 7),
        ("90 %", Holds::Numbers, 14),
        ("largest", Holds::Words, 34),
    ]);
    for group in plan
        .hidden
        .iter()
        .filter(|group| group.flow_m3_s.mean > NOTHING_M3_S)
    {
        let ids: Vec<&str> = group
            .seams
            .iter()
            .take(NAMED)
            .map(|&seam| system.seams[seam].id.as_str())
            .collect();
        table.row(vec![
            group.place.clone(),
            group.why.clone(),
            group.seams.len().to_string(),
            leak(group.flow_m3_s.mean, units),
            leaks(group.flow_m3_s, units),
            some_names(&ids, NAMED),
        ]);
    }
    let inside: f64 = plan.hidden.iter().map(|group| group.inside_cut_m3_s).sum();
    let is_covered = plan
        .hidden
        .iter()
        .any(|group| group.why == "behind finish" || group.why == "out of reach");
    let remedy = if !is_covered {
        "What it would take: finding what the sketch leaves out, and sketching it.".to_owned()
    } else if inside > 0.0 {
        format!(
            "What it would take: opening the finish where the largest are, or sealing from inside, which by published \
             university and laboratory figures would take about {} {unit} of these away, gaps up to about 6 mm (1/4 in) \
             only.",
            leak(inside, units)
        )
    } else {
        "What it would take: opening the finish where the largest are, or another route for the duct.".to_owned()
    };
    Some(Block {
        heading: "What stays, whatever the time".to_owned(),
        table,
        more: String::new(),
        notes: vec![remedy],
    })
}

pub(in crate::report) fn materials(system: &System, plan: &Plan, units: UnitSystem) -> String {
    if plan.materials.is_empty() {
        return String::new();
    }
    let all: Vec<String> = plan
        .materials
        .iter()
        .map(|found| {
            let price = found.money.map_or_else(String::new, |sum| {
                format!(" ({})", money(sum, &system.crew.currency))
            });
            format!(
                "{} of {}{price}",
                material(found.amount, &found.unit, units),
                found.material
            )
        })
        .collect();
    wrapped("Material: ", &format!("{}.", all.join(", "))) + "\n"
}

/// What is tested afterwards; nothing where nothing is sealed.
pub(in crate::report) fn afterwards(plan: &Plan) -> Vec<String> {
    if plan.steps.is_empty() {
        return Vec::new();
    }
    let mut said = vec![
        "Measure external static pressure and temperature rise before and after: with fewer leaks the pressures rise, and \
         the nameplate's limits hold (common practice: 125 Pa, 0.5 in. w.g., from memory)."
            .to_owned(),
        "Draft, spillage and carbon monoxide are tested before and after, the same day, by a qualified person, wherever \
         something burns."
            .to_owned(),
    ];
    if plan.cure_h > 0.0 {
        said.insert(
            0,
            format!(
                "The test that counts waits {} h, or as long as the sealant's own sheet says; then `ductseam prove`.",
                number(plan.cure_h, 0)
            ),
        );
    }
    said
}

pub(in crate::report) fn how_it_was_planned(plan: &Plan, units: UnitSystem) -> String {
    if plan.steps.is_empty() || plan.stopped.is_some() {
        return String::new();
    }
    let unit = flow_unit(units);
    let unsettled = match plan.unsettled {
        0 => String::new(),
        count => format!(
            " ({} did not settle and keep the sum of their seams)",
            counted(count, "solve", "solves")
        ),
    };
    let limited = plan.ask.minutes.is_some()
        || plan.ask.money.is_some()
        || (plan.ask.target_m3_s.is_some() && plan.out_of_reach.is_none());
    if !limited {
        return wrapped(
            "Planned: ",
            "everything in reach that a meter would show, no limit on time or money; what is left was solved anew in every draw.",
        );
    }
    let by_chance = plan.ask.target_m3_s.is_some() && plan.out_of_reach.is_none();
    let gap = if by_chance {
        "the quickest of plans that were grown, thinned and changed step by step by their chance over all draws; none is \
         proved the quickest"
            .to_owned()
    } else if plan.proved {
        "proved the best by mean cuts".to_owned()
    } else if plan.gap.is_finite() {
        format!(
            "within {} of the best by mean cuts",
            percent(plan.gap.max(0.001))
        )
    } else {
        "the search gave up; this is the plan that takes the best rate first".to_owned()
    };
    let margin = if by_chance && plan.margin_m3_s > 0.0 {
        format!(
            ", with a margin of {} {unit} for the chance ({})",
            leak(plan.margin_m3_s, units),
            counted(plan.margin_steps, "move", "moves")
        )
    } else {
        String::new()
    };
    wrapped(
        "Planned: ",
        &format!(
            "{gap}{margin}; what is left was solved anew in every draw{unsettled}. Taking the best rate first would have taken {} \
             {unit} in {}. Minutes and what remains after sealing are estimates unless the sketch gives its own under \
             `crew`.",
            leak(plan.greedy.cut_m3_s, units),
            hours(plan.greedy.minutes)
        ),
    )
}
