//! The plan against every subset of seams: what the search finds must be within 3 % of the best there is.

use ductseam::allocate::{AllocateSettings, Posterior, posterior};
use ductseam::catalog::Catalog;
use ductseam::flow::{Disturbance, FlowSettings, SeamLaws, SeamPressure, prepare, solve};
use ductseam::seal::{BeforeAfter, Left, Plan, PlanAsk, plan};
use ductseam::system::{Crew, SealMethod, System, Way};
use ductseam::{sketch, system};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const SKETCH: &str = "
ductseam: 1
title: three places (invented)
suspect tape: none seen
air handler: {place: basement}
places: {basement: {like: buffer, outside: 30 %}, attic: outside, crawlspace: outside}
usual: {all: {work: unsealed}}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 14x8 in, place: basement, walk: [north 20 ft, cap]}
  - {id: A, from: trunk at 4 ft left, size: 6 in, place: attic, walk: [tab collar, 6 ft, adjustable elbow up, 4 ft, boot 10x4 in]}
  - {id: B, from: trunk at 9 ft right, size: 6 in, place: crawlspace, walk: [tab collar, 9 ft, boot 10x4 in]}
  - {id: C, from: trunk at 15 ft left, size: 5 in, place: attic, walk: [side tap, 7 ft, boot 8x4 in]}
  - {id: R, side: return, from: return plenum, size: 16x10 in, place: crawlspace, walk: [south 8 ft, return box 20x20 in]}
";

fn built() -> System {
    let read = sketch::read(SKETCH, "three.yaml").expect("a good sketch");
    system::build(&read, SKETCH, "three.yaml", Catalog::builtin()).expect("a good system")
}

fn method(id: &str, remains: f64, missed: f64) -> SealMethod {
    SealMethod {
        id: id.to_owned(),
        words: id.to_owned(),
        from_inside: false,
        gap_to_m: 1.0,
        beyond_m: 0.0,
        remains,
        remains_own_gsd: 1.6,
        remains_shared_gsd: 1.4,
        missed,
        missed_shared_gsd: 1.5,
        minutes_each: 0.0,
        minutes_per_m: 0.0,
        minutes_once: 0.0,
        material: "mastic".to_owned(),
        unit: "L".to_owned(),
        material_each: 0.0,
        material_per_m: 0.0,
        money_per_unit: None,
        money_once: None,
        cure_h: 24.0,
        source: "made up for the test".to_owned(),
    }
}

/// Seams spread over all places, each with one way or two, minutes at random.
fn crew(system: &System, seams: usize, ways: usize, random: &mut Pcg64) -> Crew {
    let mut all: Vec<usize> = (0..system.seams.len()).collect();
    for i in (1..all.len()).rev() {
        all.swap(i, random.random_range(0..=i));
    }
    let mut served = vec![Vec::new(); system.seams.len()];
    for &seam in &all[..seams] {
        let quick = random.random_range(2.0..12.0_f64).round();
        served[seam] = (0..ways)
            .map(|method| Way {
                method,
                fasten: None,
                fasten_minutes: if method == 0 { quick } else { 2.2 * quick },
                bare_minutes: 0.0,
                joint_m: 1.0,
                from_room: false,
                caution: String::new(),
            })
            .collect();
    }
    Crew {
        methods: vec![method("quick", 0.3, 0.25), method("thorough", 0.08, 0.05)],
        ways: served,
        left: vec![None; system.seams.len()],
        place_minutes: (0..system.places.len())
            .map(|_| random.random_range(0.0..25.0_f64).round())
            .collect(),
        ..Crew::default()
    }
}

fn draws(system: &System, count: usize, seed: u64) -> Posterior {
    let settings = AllocateSettings {
        draws: count,
        seed,
        // Nothing hangs open: then all draws of the prior weigh the same.
        gross_factor: 0.0,
        ..AllocateSettings::default()
    };
    posterior(system, &settings).expect("a sound system")
}

fn planned(system: &System, draws: &Posterior, ask: &PlanAsk) -> Plan {
    let left = Left::new(system, draws, 7).expect("its own draws");
    plan(
        &left,
        &PlanAsk {
            frontier: 0,
            ..ask.clone()
        },
    )
    .expect("a plan")
}

/// One thing that can be done: seam, method, minutes, mean cut.
struct Choice {
    seam: usize,
    method: usize,
    minutes: f64,
    cut: f64,
}

/// All choices, each cut got from a system in which nothing else can be done.
fn choices(system: &System, draws: &Posterior) -> Vec<Vec<Choice>> {
    (0..system.seams.len())
        .filter(|&seam| !system.crew.ways[seam].is_empty())
        .map(|seam| {
            (0..system.crew.ways[seam].len())
                .filter_map(|way| {
                    let mut alone = system.clone();
                    alone.crew.ways = vec![Vec::new(); system.seams.len()];
                    let kept = system.crew.ways[seam][way].clone();
                    alone.crew.ways[seam] = vec![kept];
                    let ask = PlanAsk {
                        minutes: Some(1e5),
                        ..PlanAsk::default()
                    };
                    let found = planned(&alone, draws, &ask);
                    // Seams that leak next to nothing are not offered.
                    let step = found.steps.first()?;
                    Some(Choice {
                        seam,
                        method: step.method,
                        minutes: step.minutes,
                        cut: step.test_cut_m3_s.mean,
                    })
                })
                .collect()
        })
        .collect()
}

/// Every combination: for each seam nothing or one of its ways. Calls with the picks.
fn each_combination(of: &[Vec<Choice>], mut see: impl FnMut(&[&Choice])) {
    let sizes: Vec<usize> = of.iter().map(|ways| ways.len() + 1).collect();
    let mut counter = vec![0; of.len()];
    loop {
        let picks: Vec<&Choice> = counter
            .iter()
            .zip(of)
            .filter(|(at, _)| **at > 0)
            .map(|(at, ways)| &ways[at - 1])
            .collect();
        see(&picks);
        let Some(next) = (0..of.len()).find(|&i| counter[i] + 1 < sizes[i]) else {
            return;
        };
        counter[next] += 1;
        counter[..next].fill(0);
    }
}

fn minutes(system: &System, picks: &[&Choice]) -> f64 {
    let mut gone = vec![false; system.places.len()];
    let mut sum = 0.0;
    for pick in picks {
        sum += pick.minutes;
        let place = system.seams[pick.seam].place;
        if !std::mem::replace(&mut gone[place], true) {
            sum += system.crew.place_minutes[place];
        }
    }
    sum
}

fn mean_cut(found: &Plan) -> f64 {
    found.steps.iter().map(|s| s.test_cut_m3_s.mean).sum()
}

#[test]
fn most_cut_for_the_time_is_within_3_percent_of_the_best_subset() {
    let mut system = built();
    let draws = draws(&system, 500, 3);
    let mut random = Pcg64::seed_from_u64(11);
    // Up to 18 seams with one way (262 144 subsets), up to 10 with two (59 049).
    for (seams, ways) in [
        (18, 1),
        (18, 1),
        (14, 1),
        (10, 2),
        (10, 2),
        (9, 2),
        (5, 2),
        (1, 1),
    ] {
        system.crew = crew(&system, seams, ways, &mut random);
        let all = choices(&system, &draws);
        for hours in [0.2, 0.6, 1.0, 1.6] {
            let limit = 60.0 * hours;
            let mut best = 0.0_f64;
            each_combination(&all, |picks| {
                if minutes(&system, picks) <= limit + 1e-9 {
                    best = best.max(picks.iter().map(|p| p.cut).sum());
                }
            });
            let ask = PlanAsk {
                minutes: Some(limit),
                ..PlanAsk::default()
            };
            let found = planned(&system, &draws, &ask);
            let case = format!("{seams} seams, {ways} ways, {limit} min");
            assert!(found.minutes <= limit + 1e-6, "{case}: {}", found.minutes);
            assert!(
                mean_cut(&found) <= best * (1.0 + 1e-9) + 1e-12,
                "{case}: the best subset cuts {best}, the plan says {}",
                mean_cut(&found)
            );
            assert!(
                mean_cut(&found) >= 0.97 * best,
                "{case}: {} of {best}",
                mean_cut(&found)
            );
            assert!(
                mean_cut(&found) >= found.greedy.cut_m3_s * (1.0 - 1e-9),
                "{case}: worse than the best rate first"
            );
        }
    }
}

/// Totals of every draw with some seams sealed, by the flow solver.
fn totals(system: &System, draws: &Posterior, pairs: &BeforeAfter) -> Vec<f64> {
    let settings = FlowSettings {
        seam_pressure: SeamPressure::Total,
        ..FlowSettings::default()
    };
    let prepared = prepare(system, &draws.allocation.test_setup, &settings).expect("sound");
    let mut ws = prepared.network.workspace();
    let n = pairs.n_seams;
    (0..pairs.draws())
        .map(|draw| {
            let part = draw * n..(draw + 1) * n;
            let laws = SeamLaws {
                ln_q25: &pairs.ln_q25_after[part.clone()],
                n: &pairs.n_after[part],
            };
            let found = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
            assert!(found.status.is_solved());
            found.fan_flow_m3_s
        })
        .collect()
}

#[test]
fn the_quickest_plan_for_a_target_is_within_3_percent_of_the_quickest_subset() {
    let mut system = built();
    // Without readings all draws weigh the same, so that the same draws judge plan and subsets.
    let count = 500;
    let draws = draws(&system, count, 5);
    let mut random = Pcg64::seed_from_u64(23);
    let (mut met, mut sum_plan, mut sum_best) = (0, 0.0, 0.0);
    for seams in [8, 8, 8] {
        system.crew = crew(&system, seams, 1, &mut random);
        let left = Left::new(&system, &draws, 7).expect("its own draws");
        let all = choices(&system, &draws);
        let mut subsets: Vec<(f64, Vec<f64>)> = Vec::new();
        each_combination(&all, |picks| {
            let sealed: Vec<(usize, usize)> = picks.iter().map(|p| (p.seam, p.method)).collect();
            let after = totals(&system, &draws, &left.pairs(&sealed, count));
            subsets.push((minutes(&system, picks), after));
        });
        let mut highs: Vec<f64> = subsets
            .iter()
            .map(|(_, after)| {
                let mut sorted = after.clone();
                sorted.sort_by(f64::total_cmp);
                sorted[count * 9 / 10 - 1]
            })
            .collect();
        highs.sort_by(f64::total_cmp);
        let (low, high) = (highs[0], highs[highs.len() - 1]);
        for part in [0.25, 0.5, 0.75] {
            let target = low + part * (high - low);
            let meets = |after: &[f64]| {
                after.iter().filter(|total| **total <= target).count() >= count * 9 / 10
            };
            let best = subsets
                .iter()
                .filter(|(_, after)| meets(after))
                .map(|(minutes, _)| *minutes)
                .fold(f64::INFINITY, f64::min);
            let ask = PlanAsk {
                target_m3_s: Some(target),
                ..PlanAsk::default()
            };
            let found = planned(&system, &draws, &ask);
            assert!(found.out_of_reach.is_none());
            assert!(found.target_chance.expect("a target") >= 0.9 - 1e-9);
            assert!(found.minutes >= best - 1e-6, "quicker than every subset");
            met += 1;
            sum_plan += found.minutes;
            sum_best += best;
        }
    }
    assert_eq!(met, 9);
    assert!(
        sum_plan <= 1.03 * sum_best,
        "{sum_plan} minutes where {sum_best} would do"
    );
}

#[test]
fn a_target_below_what_nobody_seals_is_out_of_reach_by_how_much() {
    let mut system = built();
    let draws = draws(&system, 500, 3);
    system.crew = crew(&system, 6, 1, &mut Pcg64::seed_from_u64(2));
    let ask = PlanAsk {
        target_m3_s: Some(0.001),
        ..PlanAsk::default()
    };
    let found = planned(&system, &draws, &ask);
    let out = found.out_of_reach.expect("far below what is left");
    assert!((out.best_m3_s - 0.001 - out.short_m3_s).abs() < 1e-12);
    assert!(out.best_chance < 0.9 && out.not_sealed_m3_s.mean > 0.001);
    // Everything in reach that a meter would show is sealed all the same.
    assert!(found.steps.len() >= 5, "{}", found.steps.len());
}
