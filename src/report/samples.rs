//! Hand-made answers for the tests of the reports: no computation, figures chosen so that sums can be done in the head.

use crate::allocate::{
    Action, Allocation, Band, Candidate, Cause, CompareAnswer, ComparedReading, Diagnostics,
    GrossCandidate, GroupResult, House, KnobChange, LookResult, Method, NextAnswer, ReadingResult,
    SeamFlow, SeamResult, Sensitivity, Status,
};
use crate::catalog::Catalog;
use crate::system::{Observable, Reach, Relation, Setup, Side, SuspectTape, System, TestKind};

/// A model of the repository.
pub fn system() -> System {
    let text = include_str!("../../models/two-storey.yaml");
    let sketch = crate::sketch::read(text, "two-storey.yaml").expect("a good sketch");
    crate::system::build(&sketch, text, "two-storey.yaml", Catalog::builtin())
        .expect("a good system")
}

/// A band round a mean: half of it to twice of it.
pub fn band(mean: f64) -> Band {
    Band {
        mean,
        p05: 0.5 * mean,
        p50: 0.9 * mean,
        p95: 2.0 * mean,
    }
}

/// Test flow of the k-th seam, m³/s: falling, so that ranks are those of the system.
fn test_flow(k: usize) -> f64 {
    0.01 / (k as f64 + 1.0)
}

/// An allocation with everything in it: flows, a pressure, looks, something that may hang open.
pub fn allocation(system: &System) -> Allocation {
    let whole: f64 = (0..system.seams.len()).map(test_flow).sum();
    let seams: Vec<SeamResult> = system
        .seams
        .iter()
        .enumerate()
        .map(|(k, seam)| SeamResult {
            seam: k,
            id: seam.id.clone(),
            run: seam.run.clone(),
            piece: seam.piece.clone(),
            what: seam.what.clone(),
            joint_type: seam.joint_type.clone(),
            joint_name: seam.joint_name.clone(),
            side: seam.side,
            place: system.places[seam.place].name.clone(),
            reach: seam.reach,
            work: seam.work,
            amount: seam.amount,
            basis: seam.basis,
            n: seam.n,
            prior_q25_m3_s: band(2.0 * test_flow(k)),
            q25_m3_s: band(test_flow(k)),
            test_pa: 24.0,
            test_m3_s: band(test_flow(k)),
            share: test_flow(k) / whole,
            to_outside_m3_s: band(0.5 * test_flow(k)),
            to_outside_share: test_flow(k) / whole,
            running_m3_s: None,
            top_chance: if k < 10 { 0.9 } else { 0.0 },
            gross_chance: if k == 3 { 0.83 } else { 0.004 },
            prior_gross_chance: 0.005,
        })
        .collect();
    let total = system.setup(TestKind::Total);
    Allocation {
        title: system.title.clone(),
        seed: 7,
        draws: 2000,
        share_asked: 0.25,
        top: 10,
        status: Status::Converged,
        to_outside_setup: system.setup(TestKind::ToOutside),
        readings: vec![
            reading("total", total.clone(), Observable::FanFlow, 0.078, 0.0023),
            reading(
                "return static",
                system.setup(TestKind::Running),
                Observable::PlenumStatic(Side::Return),
                -62.5,
                2.0,
            ),
        ],
        by_joint_type: grouped(system, &seams, |seam| {
            (seam.joint_type.clone(), seam.joint_name.clone())
        }),
        by_run: grouped(system, &seams, |seam| (seam.run.clone(), seam.run.clone())),
        by_place: grouped(system, &seams, |seam| {
            (seam.place.clone(), seam.place.clone())
        }),
        by_reach: grouped(system, &seams, |seam| {
            let word = super::words::reach(seam.reach).to_owned();
            (word.clone(), word)
        }),
        hidden: grouped(system, &seams, |seam| {
            let hidden = matches!(seam.reach, Reach::BehindFinish | Reach::None);
            let id = if hidden { "hidden" } else { "open" };
            (id.to_owned(), id.to_owned())
        })
        .into_iter()
        .find(|group| group.id == "hidden")
        .expect("something is hidden"),
        house: House {
            test_pressure_pa: 25.0,
            total_m3_s: band(whole),
            prior_total_m3_s: band(2.0 * whole),
            supply_m3_s: band(0.6 * whole),
            return_m3_s: band(0.4 * whole),
            to_outside_m3_s: band(0.5 * whole),
            mask_leak_m3_s: 0.001,
            equivalent_opening_m2: Some(band(0.02)),
        },
        gross: vec![
            GrossCandidate {
                seams: vec![3],
                chance: 0.83,
                prior_chance: 0.005,
                test_m3_s: band(0.02),
                opening_m2: band(0.006_451_6),
            },
            GrossCandidate {
                seams: (10..22).collect(),
                chance: 0.07,
                prior_chance: 0.06,
                test_m3_s: band(0.01),
                opening_m2: band(0.003),
            },
        ],
        nothing_open_chance: 0.12,
        looks: vec![
            look("kitchen/side tap: smoke none", 5, true, ""),
            look(
                "S/cap: smoke strong",
                6,
                true,
                "the readings leave no such leak there: look again, or say which seam it was",
            ),
            look(
                "study/adjustable elbow: gap 2 mm",
                7,
                false,
                "not weighed: the ducts were not under pressure",
            ),
        ],
        stage: system.sealing.len(),
        diagnostics: Diagnostics {
            method: Method::Chains,
            effective_draws: 812.0,
            pareto_k: None,
            r_hat: Some(1.004),
            best_point_steps: 20,
            best_point_settled: true,
            failed_draws: 0,
            mean_draw_steps: 4.0,
            flow_failures: 0,
            flow_iterations: 9,
            worst_imbalance: 1e-12,
            any_wrong_setup_chance: 0.2,
            hypotheses: 5,
            uninformed_exponents: Vec::new(),
        },
        test_setup: total,
        seams,
        warnings: Vec::new(),
    }
}

fn reading(
    id: &str,
    setup: Setup,
    observable: Observable,
    measured: f64,
    measured_sd: f64,
) -> ReadingResult {
    ReadingResult {
        id: id.to_owned(),
        setup,
        relation: Relation::Equals,
        observable,
        unit: observable.unit(),
        stage: 0,
        measured,
        measured_sd,
        error_source: "as stated".to_owned(),
        modelled: band(0.9 * measured),
        prior: band(2.0 * measured),
        mask_leak_m3_s: 0.001,
        residual_sd: -2.7,
        prior_chance: 0.31,
        wrong_setup_chance: 0.44,
        note: "look at the tap".to_owned(),
        seams: vec![SeamFlow {
            seam: 0,
            flow_m3_s: band(0.01),
        }],
    }
}

fn look(words: &str, seam: usize, weighed: bool, note: &str) -> LookResult {
    LookResult {
        words: words.to_owned(),
        seams: vec![seam],
        weighed,
        agreement: if note.is_empty() { 0.81 } else { 0.04 },
        prior_agreement: 0.6,
        note: note.to_owned(),
    }
}

fn grouped(
    system: &System,
    seams: &[SeamResult],
    key: impl Fn(&SeamResult) -> (String, String),
) -> Vec<GroupResult> {
    let mut found: Vec<GroupResult> = Vec::new();
    for seam in seams {
        let (id, name) = key(seam);
        let at = found
            .iter()
            .position(|group| group.id == id)
            .unwrap_or_else(|| {
                found.push(GroupResult {
                    id,
                    name,
                    count: 0,
                    amount: None,
                    basis: None,
                    q25_m3_s: Band::default(),
                    test_m3_s: Band::default(),
                    share: Band::default(),
                    share_chance: 0.0,
                });
                found.len() - 1
            });
        let group = &mut found[at];
        group.count += 1;
        group.q25_m3_s = band(group.q25_m3_s.mean + seam.q25_m3_s.mean);
        group.test_m3_s = band(group.test_m3_s.mean + seam.test_m3_s.mean);
        group.share = band(group.share.mean + seam.share);
        group.share_chance = (2.0 * group.share.mean).min(1.0);
    }
    assert_eq!(
        found.iter().map(|group| group.count).sum::<usize>(),
        system.seams.len()
    );
    found.sort_by(|a, b| b.share.mean.total_cmp(&a.share.mean));
    found
}

/// What to do next: smoke first, then a pan test, and something that cannot be judged.
pub fn next(system: &System) -> NextAnswer {
    NextAnswer {
        allocation: allocation(system),
        candidates: vec![
            candidate(
                Action::Smoke {
                    what: "smoke at the takeoffs of run kitchen".to_owned(),
                    seams: vec![3, 4],
                },
                "- {seam: all takeoffs of run kitchen, smoke: , by: }",
                6.0,
                0.0046,
                "",
            ),
            candidate(
                Action::Test {
                    what: "pan at the register of run kitchen".to_owned(),
                    setup: Box::new(system.setup(TestKind::Pan(0))),
                    observable: Observable::BehindOpening(0),
                },
                "- {id: pan kitchen, pan: , run: kitchen, house: -50 Pa}",
                12.0,
                0.0023,
                "burners off: the house is pulled down",
            ),
        ],
        plan_seams: 10,
        caught_now_m3_s: 0.02,
        caught_at_best_m3_s: 0.035,
        target: "leakage of all seams".to_owned(),
        draws: 2000,
        stopped: None,
        left_out: vec![(
            "run `S` alone".to_owned(),
            "no register for the fan".to_owned(),
        )],
    }
}

/// The same where asbestos is suspected.
pub fn stopped(system: &mut System) -> NextAnswer {
    system.suspect_tape = SuspectTape::Suspected;
    NextAnswer {
        stopped: Some("tape or wrap that may hold asbestos was seen".to_owned()),
        ..next(system)
    }
}

fn candidate(action: Action, line: &str, minutes: f64, gain: f64, caution: &str) -> Candidate {
    Candidate {
        action,
        sketch_line: line.to_owned(),
        minutes,
        minutes_source: "engineering estimate".to_owned(),
        variance_gain: 0.18,
        caught_gain_m3_s: gain,
        caught_gain_error_m3_s: gain / 10.0,
        caught_gain_per_hour_m3_s: gain * 60.0 / minutes,
        variance_gain_per_hour: 0.18 * 60.0 / minutes,
        why: "it may hang open, and smoke tells at once: strong smoke would bring it to the head of the list".to_owned(),
        caution: caution.to_owned(),
    }
}

/// Modelled against measured.
pub fn compared(system: &System) -> CompareAnswer {
    let allocation = allocation(system);
    CompareAnswer {
        readings: allocation
            .readings
            .iter()
            .enumerate()
            .map(|(at, reading)| ComparedReading {
                reading: at,
                unit: reading.unit,
                without: band(0.7 * reading.measured),
                residual_without_sd: 3.4,
                chance_without: 0.002,
                causes: if at == 0 {
                    vec![
                        Cause {
                            words: "register of kitchen left unmasked".to_owned(),
                            expected: 0.080,
                            residual_sd: -0.9,
                            chance: 0.7,
                        },
                        Cause {
                            words: "tap blown upon".to_owned(),
                            expected: 0.070,
                            residual_sd: 3.5,
                            chance: 0.3,
                        },
                    ]
                } else {
                    Vec::new()
                },
                verdict: "It stands 3.4 standard errors above what all else lets expect."
                    .to_owned(),
            })
            .collect(),
        chi_square: (14.6, 2),
        allocation,
    }
}

/// How much hangs on the prior: the second change turns the first two seams round.
pub fn sensitivity() -> Sensitivity {
    let change = |words: &str, ranks: Vec<usize>, doubtful: bool| KnobChange {
        words: words.to_owned(),
        total_m3_s: band(0.06),
        hidden_share: 0.31,
        shares: vec![0.2, 0.15, 0.1],
        ranks,
        nothing_open_chance: 0.2,
        doubtful,
    };
    Sensitivity {
        top: vec![0, 1, 2],
        shares: vec![0.17, 0.16, 0.08],
        changes: vec![
            change("workmanship spread 1.7 → 2.2", vec![1, 2, 3], false),
            change("chance to hang open × 3", vec![2, 1, 14], true),
        ],
        flips: vec![(0, 1, 1)],
    }
}
