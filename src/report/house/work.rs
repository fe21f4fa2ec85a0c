//! The work list for the crew: boxes to tick, by place and by what is done.

use maud::{Markup, html};

use super::House;
use super::parts::{listed, paragraphs, said};
use crate::quantity::UnitSystem;
use crate::report::figures::number;
use crate::report::plan::text::{LOOK_FIRST, looks_first, verdict};
use crate::report::plan::{
    closing, hours, loose, loose_first, made_ready, material, place_of, reached, sealed_before,
};
use crate::seal::{Plan, Step};
use crate::system::{Reach, System};

/// The list, with what comes before it; where nothing is sealed it says so.
pub fn work_list(house: &House<'_>, plan: &Plan) -> Markup {
    let (system, units) = (house.system, house.units);
    html! {
        div id="work-list" {
            h3 { "Work list" }
            @if let Some(why) = &plan.halted { p.stop { strong { "Stop: " } (said(why)) } }
            @for line in paragraphs(&loose_first(system, plan, units)) { p.stop { (said(&line)) } }
            @if plan.steps.is_empty() {
                p { "Nothing to seal." }
                @for line in paragraphs(&verdict(system, plan, units)) { p { (said(&line)) } }
            } @else {
                (listed(LOOK_FIRST, &looks_first(system, plan)))
                p { "Numbers are those of the drawing. " (hours(plan.minutes)) " in all. Every joint is " (usual_reach(system, plan)) " unless it says otherwise." span.fill { " Date " i {} " By " i {} } }
                @let mut told = Vec::new();
                @for place in by_place(system, plan) { (at_place(system, &place, units, usual_reach(system, plan), &mut told)) }
                (after(plan, units))
            }
        }
    }
}

/// Steps one after the other at one place: number of the first, place, minutes to set up.
struct AtPlace<'a> {
    first: usize,
    place: &'a str,
    set_up: f64,
    steps: Vec<&'a Step>,
}

fn at_place<'a>(
    system: &'a System,
    place: &AtPlace<'a>,
    units: UnitSystem,
    usual: &str,
    told: &mut Vec<&'a str>,
) -> Markup {
    let mut at = place.first;
    html! { div.place {
        h4 {
            (place.place)
            @if place.set_up > 0.0 { small { " (" (hours(place.set_up)) " to set up)" } }
        }
        @for (deed, steps) in by_deed(system, &place.steps) {
            p.deed { (said(&deed)) }
            ol.work start=(at + 1) {
                @for step in steps {
                    @let seam = &system.seams[step.seam];
                    @let mind = (!told.contains(&seam.joint_type.as_str())).then(|| mind(system, step)).flatten();
                    li {
                        label {
                            input type="checkbox";
                            span.no { (number_of(&mut at)) "." }
                            span {
                                strong { (seam.id) } " (" (seam.what) "), " (number(step.minutes, 0)) " min"
                                @if let Some(amount) = amount(system, step, units) { ", " (amount) }
                                @if reached(system, step) != usual { "; " (reached(system, step)) }
                                @for own in of_its_own(system, step) { "; " (said(&own)) }
                                "."
                            }
                        }
                        @if let Some(mind) = mind { p { (said(&mind)) } }
                    }
                    @let () = told.push(&seam.joint_type);
                }
            }
        }
    } }
}

/// The number of the next step.
fn number_of(at: &mut usize) -> usize {
    *at += 1;
    *at
}

/// What to mind at such a joint; said once for each kind.
fn mind(system: &System, step: &Step) -> Option<String> {
    let caution = &system.ways(step.seam)[step.way].caution;
    (!caution.is_empty()).then(|| format!("Mind: {}.", caution.trim_end_matches('.')))
}

/// What is done alike at several joints: how they are got at, fastened, sealed.
fn deed(system: &System, step: &Step) -> String {
    let method = &system.crew.methods[step.method];
    let way = &system.ways(step.seam)[step.way];
    let mut deeds = Vec::new();
    if way.from_room {
        deeds.push("take the register off".to_owned());
    }
    deeds.extend(made_ready(system, step));
    if way.material(method) > 0.0 && !method.words.contains(&method.material) {
        deeds.push(format!("{}, with {}", method.words, method.material));
    } else {
        deeds.push(method.words.clone());
    }
    let mut said = deeds.join("; ");
    if let Some(first) = said.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    said + ":"
}

fn amount(system: &System, step: &Step, units: UnitSystem) -> Option<String> {
    let method = &system.crew.methods[step.method];
    let amount = system.ways(step.seam)[step.way].material(method);
    (amount > 0.0).then(|| format!("about {}", material(amount, &method.unit, units)))
}

/// What is to be done at this joint alone.
fn of_its_own(system: &System, step: &Step) -> Vec<String> {
    let mut own: Vec<String> = loose(step).into_iter().collect();
    if let Some(done) = sealed_before(system, step) {
        own.push(format!("sealed in `{done}`: only where smoke moves"));
    }
    own
}

/// The reach of most steps: it is not said again at each.
fn usual_reach(system: &System, plan: &Plan) -> &'static str {
    let all = [
        Reach::Open,
        Reach::UnderInsulation,
        Reach::BehindFinish,
        Reach::None,
    ];
    let count = |word: &str| {
        let fits = plan
            .steps
            .iter()
            .filter(|step| reached(system, step) == word);
        fits.count()
    };
    all.into_iter()
        .map(crate::report::words::reach)
        .rev()
        .max_by_key(|word| count(word))
        .unwrap_or_default()
}

/// Steps in their order, parted where the place changes or something is set up.
fn by_place<'a>(system: &'a System, plan: &'a Plan) -> Vec<AtPlace<'a>> {
    let mut found: Vec<AtPlace<'a>> = Vec::new();
    for (first, step) in plan.steps.iter().enumerate() {
        let place = place_of(system, step);
        match found.last_mut() {
            Some(last) if last.place == place && step.set_up_minutes <= 0.0 => {
                last.steps.push(step);
            }
            _ => found.push(AtPlace {
                first,
                place,
                set_up: step.set_up_minutes,
                steps: vec![step],
            }),
        }
    }
    found
}

/// Steps in their order, parted where something else is done.
fn by_deed<'a>(system: &System, steps: &[&'a Step]) -> Vec<(String, Vec<&'a Step>)> {
    let mut found: Vec<(String, Vec<&Step>)> = Vec::new();
    for &step in steps {
        let deed = deed(system, step);
        match found.last_mut() {
            Some((last, steps)) if *last == deed => steps.push(step),
            _ => found.push((deed, vec![step])),
        }
    }
    found
}

fn after(plan: &Plan, units: UnitSystem) -> Markup {
    html! {
        @if !plan.materials.is_empty() {
            h4 { "Material" }
            ul.work { @for found in &plan.materials {
                li { label {
                    input type="checkbox";
                    span { (found.material) ": " (material(found.amount, &found.unit, units)) }
                } }
            } }
        }
        h4 { "After the work" }
        ul.work {
            @for line in closing(plan) { li { label { input type="checkbox"; span { (line) } } } }
        }
    }
}
