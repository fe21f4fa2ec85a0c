//! `ductseam plan --format json`: the contract `ductseam/plan/1`.
//!
//! SI but for minutes, hours and money. Volume flows are at 1.204 kg/m³. Fields are only ever added within version 1.

use serde::Serialize;

use super::place_of;
use crate::report::cautions::{Caution, cautions};
use crate::report::json_parts::{self as parts, Band, Warning, ids};
use crate::report::words;
use crate::seal::{self, Plan, Rival};
use crate::system::System;

/// Name and version of the format.
pub const FORMAT: &str = "ductseam/plan/1";

#[derive(Debug, Serialize)]
struct Answer<'a> {
    format: &'static str,
    title: &'a str,
    seed: u64,
    /// Draws behind the figures.
    draws: usize,
    /// `converged` or `doubtful`: the allocation that the plan starts from.
    status: &'static str,
    reasons: Vec<String>,
    /// Why nothing is to be done, where a caution forbids it; else null.
    stopped: Option<&'a str>,
    /// What must be cleared up before the work begins; else null.
    halted: Option<&'a str>,
    /// `total`, `outside` or `running`.
    basis: &'static str,
    asked: Asked,
    /// Minutes of all steps with their set-ups.
    minutes: f64,
    money: Option<f64>,
    currency: &'a str,
    before_m3_s: Band,
    after_m3_s: Band,
    cut_m3_s: Band,
    /// Chance that the leakage after is at or below the target; null without one.
    target_chance: Option<f64>,
    /// Where the target cannot be met; else null.
    out_of_reach: Option<OutOfReach>,
    search: Search,
    steps: Vec<Step<'a>>,
    look_first: Vec<Look<'a>>,
    frontier: Vec<Point>,
    hidden: Vec<Hidden<'a>>,
    /// Seams in reach that the plan leaves.
    left: Vec<Left<'a>>,
    materials: Vec<Material<'a>>,
    /// Longest wait before the next test, h.
    cure_h: f64,
    methods: Vec<Method<'a>>,
    warnings: Vec<Warning>,
    cautions: Vec<Caution>,
}

#[derive(Debug, Serialize)]
struct Asked {
    minutes: Option<f64>,
    money: Option<f64>,
    target_m3_s: Option<f64>,
    chance: f64,
}

#[derive(Debug, Serialize)]
struct OutOfReach {
    /// Leakage met with the chance asked for when everything in reach is sealed.
    best_m3_s: f64,
    short_m3_s: f64,
    best_chance: f64,
    not_sealed_m3_s: Band,
    for_want_of_time: bool,
}

/// How the plan was found. The gap is that of the programme of mean cuts.
#[derive(Debug, Serialize)]
struct Search {
    proved: bool,
    /// Part of the plan's value; null where nothing is known.
    gap: Option<f64>,
    margin_m3_s: f64,
    margin_steps: usize,
    /// Cut a minute that a step must reach to be worth its time; null where nothing is left out.
    worth_m3_s_min: Option<f64>,
    /// Solves of single draws that did not settle.
    unsettled: usize,
    best_rate_first: Other,
}

#[derive(Debug, Serialize)]
struct Other {
    minutes: f64,
    cut_m3_s: f64,
    steps: usize,
}

impl From<Rival> for Other {
    fn from(rival: Rival) -> Self {
        Other {
            minutes: rival.minutes,
            cut_m3_s: rival.cut_m3_s,
            steps: rival.steps,
        }
    }
}

#[derive(Debug, Serialize)]
struct Step<'a> {
    step: usize,
    seam: &'a str,
    run: &'a str,
    what: &'a str,
    joint_type: &'a str,
    side: &'static str,
    place: &'a str,
    reach: &'static str,
    method: &'a str,
    fasten_first: Option<&'a str>,
    open_chance: f64,
    minutes: f64,
    set_up_minutes: f64,
    material: &'a str,
    material_unit: &'a str,
    material_amount: f64,
    material_money: Option<f64>,
    gap_m: f64,
    gap_measured: bool,
    test_m3_s: Band,
    test_cut_m3_s: Band,
    outside_cut_m3_s: Band,
    running_cut_m3_s: Option<Band>,
    worth_chance: f64,
}

#[derive(Debug, Serialize)]
struct Look<'a> {
    seam: &'a str,
    look_minutes: f64,
    spared_minutes: f64,
}

#[derive(Debug, Serialize)]
struct Point {
    minutes: f64,
    used_minutes: f64,
    steps: usize,
    cut_m3_s: f64,
    after_m3_s: Band,
    best_rate_first: Other,
    gap: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Hidden<'a> {
    place: &'a str,
    why: &'a str,
    seams: Vec<String>,
    flow_m3_s: Band,
    inside_cut_m3_s: f64,
}

#[derive(Debug, Serialize)]
struct Left<'a> {
    seam: &'a str,
    why: &'a str,
}

#[derive(Debug, Serialize)]
struct Material<'a> {
    material: &'a str,
    unit: &'a str,
    amount: f64,
    money: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Method<'a> {
    id: &'a str,
    words: &'a str,
    remains: f64,
    missed: f64,
    cure_h: f64,
    source: &'a str,
}

/// The plan as JSON.
#[must_use]
pub fn plan_json(system: &System, plan: &Plan) -> String {
    let (status, reasons) = parts::status(&plan.allocation);
    let id = |seam: usize| system.seams[seam].id.as_str();
    let finite = |gap: f64| gap.is_finite().then_some(gap);
    crate::report::pretty(&Answer {
        format: FORMAT,
        title: &plan.allocation.title,
        seed: plan.allocation.seed,
        draws: plan.draws,
        status,
        reasons,
        stopped: plan.stopped.as_deref(),
        halted: plan.halted.as_deref(),
        basis: plan.ask.basis.word(),
        asked: Asked {
            minutes: plan.ask.minutes,
            money: plan.ask.money,
            target_m3_s: plan.ask.target_m3_s,
            chance: plan.ask.chance,
        },
        minutes: plan.minutes,
        money: plan.money,
        currency: &system.crew.currency,
        before_m3_s: plan.before_m3_s.into(),
        after_m3_s: plan.after_m3_s.into(),
        cut_m3_s: plan.cut_m3_s.into(),
        target_chance: plan.target_chance,
        out_of_reach: plan.out_of_reach.as_ref().map(|out| OutOfReach {
            best_m3_s: out.best_m3_s,
            short_m3_s: out.short_m3_s,
            best_chance: out.best_chance,
            not_sealed_m3_s: out.not_sealed_m3_s.into(),
            for_want_of_time: out.for_want_of_time,
        }),
        search: Search {
            proved: plan.proved,
            gap: finite(plan.gap),
            margin_m3_s: plan.margin_m3_s,
            margin_steps: plan.margin_steps,
            worth_m3_s_min: plan.worth_m3_s_min,
            unsettled: plan.unsettled,
            best_rate_first: plan.greedy.into(),
        },
        steps: plan
            .steps
            .iter()
            .enumerate()
            .map(|(at, found)| step(system, at + 1, found))
            .collect(),
        look_first: plan
            .look_first
            .iter()
            .map(|look| Look {
                seam: id(look.seam),
                look_minutes: look.look_minutes,
                spared_minutes: look.spared_minutes,
            })
            .collect(),
        frontier: plan
            .frontier
            .iter()
            .map(|point| Point {
                minutes: point.minutes,
                used_minutes: point.used_minutes,
                steps: point.steps,
                cut_m3_s: point.cut_m3_s,
                after_m3_s: point.after_m3_s.into(),
                best_rate_first: point.greedy.into(),
                gap: finite(point.gap),
            })
            .collect(),
        hidden: plan
            .hidden
            .iter()
            .map(|group| Hidden {
                place: &group.place,
                why: &group.why,
                seams: ids(&plan.allocation, &group.seams),
                flow_m3_s: group.flow_m3_s.into(),
                inside_cut_m3_s: group.inside_cut_m3_s,
            })
            .collect(),
        left: plan
            .left
            .iter()
            .map(|(seam, why)| Left {
                seam: id(*seam),
                why,
            })
            .collect(),
        materials: plan
            .materials
            .iter()
            .map(|found| Material {
                material: &found.material,
                unit: &found.unit,
                amount: found.amount,
                money: found.money,
            })
            .collect(),
        cure_h: plan.cure_h,
        methods: system
            .crew
            .methods
            .iter()
            .map(|method| Method {
                id: &method.id,
                words: &method.words,
                remains: method.remains,
                missed: method.missed,
                cure_h: method.cure_h,
                source: &method.source,
            })
            .collect(),
        warnings: parts::warnings(system, &plan.allocation),
        cautions: cautions(system),
    })
}

fn step<'a>(system: &'a System, number: usize, found: &'a seal::Step) -> Step<'a> {
    let seam = &system.seams[found.seam];
    let method = &system.crew.methods[found.method];
    let way = &system.ways(found.seam)[found.way];
    Step {
        step: number,
        seam: &seam.id,
        run: &seam.run,
        what: &seam.what,
        joint_type: &seam.joint_type,
        side: words::side(seam.side),
        place: place_of(system, found),
        reach: words::reach(seam.reach),
        method: &method.id,
        fasten_first: found.fasten.as_deref(),
        open_chance: found.open_chance,
        minutes: found.minutes,
        set_up_minutes: found.set_up_minutes,
        material: &method.material,
        material_unit: &method.unit,
        material_amount: way.material(method),
        material_money: found.material_money,
        gap_m: found.gap_m.0,
        gap_measured: found.gap_m.1,
        test_m3_s: found.test_m3_s.into(),
        test_cut_m3_s: found.test_cut_m3_s.into(),
        outside_cut_m3_s: found.outside_cut_m3_s.into(),
        running_cut_m3_s: found.running_cut_m3_s.map(Into::into),
        worth_chance: found.worth_chance,
    }
}
