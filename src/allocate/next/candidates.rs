//! Every look and test that can still be done.

use std::collections::BTreeMap;

use super::super::advice_types::{Action, Candidate};
use super::super::evidence::{LEAST_LOOK_PA, can_be_seen};
use super::super::run::Run;
use super::worth::Gain;
use crate::quantity::UnitSystem;
use crate::system::{
    FanPlace, Look, Observable, ReadingUnit, Setup, Side, System, TEST_PRESSURE_PA, TestKind,
};

/// Single seams offered for a look of their own: those with the most leakage at stake.
const SINGLE_LOOKS: usize = 20;
/// Runs offered for looks or plugs.
const RUNS: usize = 40;
/// Relative error of a test that is still to be done: what makers of calibrated test fans commonly state.
const RELATIVE_SD: f64 = 0.03;
/// Floor of a flow's error, m³/s (engineering estimate, as for readings).
const FLOOR_M3_S: f64 = 0.5e-3;
/// Error of a pan pressure, Pa (engineering estimate, as for readings).
const PAN_SD_PA: f64 = 0.3;

/// What a fan in an outside door asks for.
const DOOR_FAN: &str = "burners off before the fan starts and relit after; no fire in any hearth";

/// A candidate before it is judged.
pub(super) struct Offer {
    pub action: Action,
    sketch_line: String,
    minutes: f64,
    minutes_source: String,
    why: String,
    caution: String,
    /// Pressures across the seams of a smoke look, Pa.
    pub pressures_pa: Vec<f64>,
    pub relative_sd: f64,
    pub floor_sd: f64,
}

impl Offer {
    /// Whether it reads a flow.
    pub(super) fn is_flow(&self) -> bool {
        match &self.action {
            Action::Smoke { .. } => false,
            Action::Test { observable, .. } => observable.unit() == ReadingUnit::Flow,
        }
    }

    pub(super) fn with(self, gain: Gain) -> Candidate {
        let hours = self.minutes / 60.0;
        Candidate {
            action: self.action,
            sketch_line: self.sketch_line,
            minutes: self.minutes,
            minutes_source: self.minutes_source,
            variance_gain: gain.variance,
            caught_gain_m3_s: gain.caught_m3_s,
            caught_gain_error_m3_s: gain.caught_error_m3_s,
            caught_gain_per_hour_m3_s: gain.caught_m3_s / hours,
            variance_gain_per_hour: gain.variance / hours,
            why: self.why,
            caution: self.caution,
        }
    }
}

/// All offers; what is known to exist but is not judged goes to `left_out` with the reason.
pub(super) fn all(run: &Run<'_>, left_out: &mut Vec<(String, String)>) -> Vec<Offer> {
    let mut offers = looks(run);
    offers.extend(tests(run));
    let after = run
        .posterior
        .layout
        .stage
        .checked_sub(1)
        .map(|step| format!(", after: {}}}", run.system.sealing[step].id));
    for offer in &mut offers {
        if run.system.units == UnitSystem::Si {
            offer.sketch_line = offer.sketch_line.replace("___ cfm", "___ L/s");
        }
        if let Some(after) = &after {
            offer.sketch_line = offer.sketch_line.replacen('}', after, 1);
        }
        if let Action::Test { setup, .. } = &offer.action
            && setup.kind == TestKind::ToOutside
        {
            offer.caution = DOOR_FAN.to_owned();
        }
    }
    left_out.push((
        "house fan with registers open and masked".to_owned(),
        "reads mostly the house's own leaks; their difference is uncertain by more than what it would tell".to_owned(),
    ));
    left_out.push((
        "statics, register flows and room pressures while running".to_owned(),
        "say how the system runs and little of where it leaks; read them for `flow`".to_owned(),
    ));
    offers
}

/// Minutes of a task and where they come from.
fn minutes(system: &System, ids: &[(&str, f64)]) -> (f64, String) {
    let mut sum = 0.0;
    let mut sources: Vec<&str> = Vec::new();
    for (id, times) in ids {
        if let Some(task) = system.task(id) {
            sum += times * task.minutes;
            let source = if task.is_given() {
                "your own minutes"
            } else {
                "engineering estimate"
            };
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    // Nothing is done in no time: a gain by hour stays finite.
    (sum.max(0.5), sources.join(" and "))
}

fn was_seen(look: &Look, seam: usize, stage: usize) -> bool {
    look.stage == stage && look.seams.contains(&seam)
}

fn looks(run: &Run<'_>) -> Vec<Offer> {
    let (system, layout) = (run.system, run.posterior.layout);
    let mean = |column: usize| -> Vec<f64> {
        let mut values = Vec::new();
        (0..layout.n_seams)
            .map(|i| {
                run.posterior.column(column + i, &mut values);
                super::super::weights::mean(&values, &run.posterior.weights)
            })
            .collect()
    };
    let (flows, pressures) = (mean(layout.test()), mean(layout.test_pa()));
    let open: Vec<usize> = (0..layout.n_seams)
        .filter(|&i| {
            let seam = &system.seams[i];
            can_be_seen(seam.role, seam.reach)
                && pressures[i] >= LEAST_LOOK_PA
                && !system.looks.iter().any(|l| was_seen(l, i, layout.stage))
        })
        .collect();
    let mut offers = Vec::new();
    let mut singles = open.clone();
    singles.sort_by(|&a, &b| flows[b].total_cmp(&flows[a]).then(a.cmp(&b)));
    for &seam in singles.iter().take(SINGLE_LOOKS) {
        let at = &system.seams[seam];
        let (time, source) = minutes(system, &[("smoke-look", 1.0), ("place-set-up", 1.0)]);
        offers.push(Offer {
            action: Action::Smoke {
                what: format!("smoke at {}", at.id),
                seams: vec![seam],
            },
            sketch_line: format!("- {{seam: {}, smoke: none | wisp | strong}}", at.id),
            minutes: time,
            minutes_source: source,
            why: format!(
                "{} in the {}: much may leak here, and smoke tells much from little",
                at.joint_name.to_lowercase(),
                system.places[at.place].name
            ),
            caution: caution_of(system, &[seam]),
            pressures_pa: vec![pressures[seam]],
            relative_sd: 0.0,
            floor_sd: 0.0,
        });
    }
    // All that can be seen of one run in one place, in one go.
    let mut groups: BTreeMap<(&str, usize), Vec<usize>> = BTreeMap::new();
    for &seam in &open {
        let at = &system.seams[seam];
        groups.entry((&at.run, at.place)).or_default().push(seam);
    }
    let mut groups: Vec<((&str, usize), Vec<usize>)> =
        groups.into_iter().filter(|(_, s)| s.len() > 1).collect();
    let at_stake = |seams: &[usize]| seams.iter().map(|&i| flows[i]).sum::<f64>();
    groups.sort_by(|a, b| {
        at_stake(&b.1)
            .total_cmp(&at_stake(&a.1))
            .then(a.0.cmp(&b.0))
    });
    for ((of_run, place), seams) in groups.into_iter().take(RUNS) {
        let place_name = &system.places[place].name;
        let (time, source) = minutes(
            system,
            &[("smoke-look", seams.len() as f64), ("place-set-up", 1.0)],
        );
        let what = if of_run == "unit" {
            format!(
                "smoke at the {} seams of the unit in the {place_name}",
                seams.len()
            )
        } else {
            format!(
                "smoke at the {} seams of run {of_run} in the {place_name}",
                seams.len()
            )
        };
        offers.push(Offer {
            sketch_line: format!(
                "- {{seam: {}, smoke: none | wisp | strong}}   # one line a seam",
                system.seams[seams[0]].id
            ),
            minutes: time,
            minutes_source: source,
            why: "one way there, and every seam in sight is judged".to_owned(),
            caution: caution_of(system, &seams),
            pressures_pa: seams.iter().map(|&i| pressures[i]).collect(),
            relative_sd: 0.0,
            floor_sd: 0.0,
            action: Action::Smoke { what, seams },
        });
    }
    offers
}

fn caution_of(system: &System, seams: &[usize]) -> String {
    let places: Vec<&str> = seams
        .iter()
        .map(|&i| system.places[system.seams[i].place].name.as_str())
        .collect();
    if places.iter().any(|p| p.contains("attic")) {
        "attic: heat, footing, wiring; never alone".to_owned()
    } else if places.iter().any(|p| p.contains("crawl")) {
        "crawlspace: air, wiring, sharp metal; never alone".to_owned()
    } else {
        String::new()
    }
}

fn tests(run: &Run<'_>) -> Vec<Offer> {
    let system = run.system;
    let stage = run.posterior.layout.stage;
    let done = |setup: &Setup| {
        system
            .readings
            .iter()
            .filter(|m| m.stage == stage && m.observable == Observable::FanFlow)
            .any(|m| m.setup == *setup)
    };
    let mut offers = Vec::new();
    let mut flow = |what: String, line: String, setup: Setup, time: (f64, String), why: &str| {
        offers.push(Offer {
            action: Action::Test {
                what,
                setup: Box::new(setup),
                observable: Observable::FanFlow,
            },
            sketch_line: line,
            minutes: time.0,
            minutes_source: time.1,
            why: why.to_owned(),
            caution: String::new(),
            pressures_pa: Vec::new(),
            relative_sd: RELATIVE_SD,
            floor_sd: FLOOR_M3_S,
        });
    };
    let total = Setup {
        pressure_pa: TEST_PRESSURE_PA,
        ..run.test_setup.clone()
    };
    let was_read = done(&total);
    let first = if was_read {
        "another-pressure"
    } else {
        "total"
    };
    flow(
        if was_read {
            "total at 25 Pa once more"
        } else {
            "total at 25 Pa"
        }
        .to_owned(),
        "- {id: NAME, total: ___ cfm at 25 Pa}".to_owned(),
        total.clone(),
        minutes(system, &[(first, 1.0)]),
        if was_read {
            "guards against a wrong set-up, and lessens the meter's own error a little"
        } else {
            "fixes how much leaks in all"
        },
    );
    let other = Setup {
        pressure_pa: 2.0 * TEST_PRESSURE_PA,
        ..total.clone()
    };
    if !done(&other) {
        flow(
            "total at 50 Pa".to_owned(),
            "- {id: NAME, total: ___ cfm at 50 Pa}".to_owned(),
            other,
            minutes(system, &[("another-pressure", 1.0)]),
            "tells slots from cracks by how leakage grows with pressure",
        );
    }
    let outside = Setup {
        kind: TestKind::ToOutside,
        ..total.clone()
    };
    if !done(&outside) {
        flow(
            "test to outside at 25 Pa".to_owned(),
            "- {id: NAME, to outside: ___ cfm at 25 Pa}".to_owned(),
            outside,
            minutes(system, &[("to-outside", 1.0)]),
            "parts what leaks outdoors from what leaks indoors",
        );
    }
    for side in [Side::Supply, Side::Return] {
        let setup = system.one_side_setup(side);
        let known = system.readings.iter().any(|m| {
            m.stage == stage
                && matches!(m.setup.kind, TestKind::OneSide(s) | TestKind::Guarded(s) if s == side)
        });
        if known || !system.runs.iter().any(|r| r.side == side) {
            continue;
        }
        let word = match side {
            Side::Supply => "supply",
            Side::Return => "return",
        };
        flow(
            format!("{word} side alone at 25 Pa"),
            format!("- {{id: NAME, {word}: ___ cfm at 25 Pa}}"),
            setup,
            minutes(system, &[("one-side", 1.0)]),
            "parts the two sides",
        );
    }
    for (r, duct) in system.runs.iter().enumerate().take(RUNS) {
        let setup = Setup {
            plugged: vec![r],
            ..total.clone()
        };
        // A plug at the run where the fan blows in would cut it off.
        let holds_fan = matches!(total.fan, FanPlace::Opening(o) if duct.opening == Some(o));
        if duct.opening.is_none() || holds_fan || done(&setup) {
            continue;
        }
        flow(
            format!("total with run {} plugged at its start", duct.id),
            format!(
                "- {{id: NAME, total: ___ cfm at 25 Pa, plugged: [{}]}}",
                duct.id
            ),
            setup,
            minutes(system, &[("plug-run", 1.0), ("another-pressure", 1.0)]),
            "what the flow drops by is what this run leaks",
        );
    }
    offers.extend(pans(run));
    offers
}

fn pans(run: &Run<'_>) -> Vec<Offer> {
    let system = run.system;
    let stage = run.posterior.layout.stage;
    let read = |o: usize| {
        system
            .readings
            .iter()
            .any(|m| m.stage == stage && m.setup.kind == TestKind::Pan(o))
    };
    let open: Vec<usize> = (0..system.openings.len()).filter(|&o| !read(o)).collect();
    let any_read = open.len() < system.openings.len();
    open.iter()
        .take(RUNS)
        .map(|&o| {
            let opening = &system.openings[o];
            let duct = &system.runs[opening.run].id;
            let set_up = if any_read { 0.0 } else { 1.0 };
            let (time, source) = minutes(system, &[("pan", 1.0), ("house-fan", set_up)]);
            Offer {
                action: Action::Test {
                    what: format!("pan pressure at the register of {duct}"),
                    setup: Box::new(system.setup(TestKind::Pan(o))),
                    observable: Observable::BehindOpening(o),
                },
                sketch_line: format!("- {{id: NAME, pan: ___ Pa at 50 Pa, run: {duct}}}"),
                minutes: time,
                minutes_source: if any_read {
                    source
                } else {
                    format!("{source}; the fan in the door included, so that further registers take a few minutes each")
                },
                why: "near nothing if this run is tight or leaks indoors, much if it is open to outdoors".to_owned(),
                caution: DOOR_FAN.to_owned(),
                pressures_pa: Vec::new(),
                relative_sd: 0.01,
                floor_sd: PAN_SD_PA,
            }
        })
        .collect()
}
