//! Learning against truths that are known: houses made up from the model itself, without any code of the climb.

use rand::RngExt;
use rand_pcg::Pcg64;

use super::{Beliefs, Habits, RowHabit, habits_csv, learn, learned_csv};
use crate::batch::{Cell, FlowSeen, HouseEvidence, MayBeOpen, SeamSeen};
use crate::catalog::{Catalog, Work};
use crate::math::{StandardNormal, exp, ln, square};

const ROWS: [(&str, &str, f64, f64); 6] = [
    // joint type, work, factor on the mean for a usual crew, habit's standard deviation of ln
    ("takeoff-tab-collar", "unsealed", 1.8, 0.40),
    ("boot-to-surface", "unsealed", 0.6, 0.25),
    ("joint-slip-drive", "unsealed", 0.8, 0.30),
    ("joint-round-crimp", "ordinary", 1.5, 0.20),
    ("filter-slot", "ordinary", 1.0, 0.50),
    ("cabinet", "ordinary", 1.3, 0.45),
];
const WORKMANSHIP_SD: f64 = 0.45;
const NOTHING_OPEN: MayBeOpen = MayBeOpen {
    chance: 0.0,
    ln_flow: 0.0,
    sd: 0.0,
};

/// Smoke is strong above and none below these, as a part of a typical flow.
const STRONG: f64 = 1.5;
const NONE: f64 = 0.5;

fn made_up(count: usize, seed: u64, wrong: f64) -> Vec<HouseEvidence> {
    (0..count)
        .map(|index| {
            house(
                &mut Pcg64::new(u128::from(seed), index as u128),
                index,
                wrong,
            )
        })
        .collect()
}

fn house(random: &mut Pcg64, index: usize, wrong: f64) -> HouseEvidence {
    let mut normal = || random.sample::<f64, _>(StandardNormal);
    let workmanship = WORKMANSHIP_SD * normal();
    let habits = ROWS.map(|(_, _, factor, sd)| ln(factor) + sd * normal());
    let offset = normal();
    let mut cells = Vec::new();
    let mut flows = Vec::new();
    let mut looks = Vec::new();
    for (row, (joint_type, work, _, _)) in ROWS.iter().enumerate() {
        let field_made = *joint_type != "cabinet";
        let mean = 0.002 * exp(0.8 * normal());
        let own_sd = if field_made { 0.3 } else { 0.0 };
        let zeta = normal();
        let common = habits[row] + if field_made { workmanship } else { 0.0 };
        let level = common + own_sd * zeta - 0.5 * square(own_sd);
        flows.push(mean * exp(level));
        // A look at one seam of the cell, whose own spread moves a little with that of the sum.
        let (tie, rest) = (0.2_f64, 0.7_f64);
        let ln_median = ln(0.0005);
        let u = ln_median
            + common
            + if field_made { tie * zeta } else { 0.0 }
            + rest * normal()
            + 0.5 * offset;
        let bounds = [ln(0.0005 * NONE), ln(0.0005 * STRONG)];
        let (lower, upper) = match u {
            u if u < bounds[0] => (None, Some(bounds[0])),
            u if u < bounds[1] => (Some(bounds[0]), Some(bounds[1])),
            _ => (Some(bounds[1]), None),
        };
        if index.is_multiple_of(2) {
            looks.push(SeamSeen {
                cell: row,
                ln_median,
                tie,
                lower,
                upper,
                sd: rest,
                observer: Some((0, 0.5)),
            });
        }
        cells.push(Cell {
            joint_type: (*joint_type).to_owned(),
            work: (*work).to_owned(),
            field_made,
            from_catalogue: true,
            seams: 5,
            mean,
            own_sd,
        });
    }
    let sum: f64 = flows.iter().sum();
    let is_wrong = f64::from(u32::try_from(index % 100).unwrap_or(0)) < 100.0 * wrong;
    let sd = if is_wrong {
        std::f64::consts::LN_2
    } else {
        0.05
    };
    let supply: f64 = flows[..3].iter().sum();
    let means: Vec<f64> = cells.iter().map(|cell| cell.mean).collect();
    let reading = |flow: f64, from: std::ops::Range<usize>, error: f64| FlowSeen {
        ln_flow: ln(flow) + error,
        sd: 0.05,
        flows: from.map(|cell| (cell, means[cell])).collect(),
    };
    let mut readings = vec![reading(sum, 0..6, sd * normal())];
    if index.is_multiple_of(3) {
        readings.push(reading(supply, 0..3, 0.05 * normal()));
    }
    HouseEvidence {
        system: format!("made up {index}"),
        cells,
        readings,
        looks,
        wrong,
        open: NOTHING_OPEN,
    }
}

fn learned(houses: &[HouseEvidence]) -> Habits {
    let mut houses = houses;
    learn(&mut houses, Catalog::builtin(), &Beliefs::default()).expect("memory can be read")
}

/// Shift of ln mean for a usual crew, of which `mean_factor` is the catalogue's mean moved.
fn true_factor(row: &RowHabit) -> (f64, f64) {
    let (_, _, factor, sd) = ROWS
        .iter()
        .find(|(id, work, _, _)| *id == row.joint_type && *work == row.work)
        .expect("a row of the truth");
    let usual = Beliefs::default().usual;
    let shift = if row.field_made {
        square(WORKMANSHIP_SD) + square(*sd) - square(usual.workmanship_sd) - square(usual.habit_sd)
    } else {
        // What is counted with is the catalogue's spread, and median and mean are not told apart.
        0.0
    };
    (factor * exp(0.5 * shift), exp(*sd))
}

/// Of twenty populations of 300 houses: how many of the true figures lie in their 90 % bands. 12 figures each, so 240; were
/// they independent, 90 % give or take three standard deviations is 202 to 230.
#[test]
fn known_habits_lie_in_their_bands_as_often_as_they_say() {
    let (mut inside, mut count) = (0, 0);
    let mut ln_errors = [0.0_f64; 2];
    for population in 0..20 {
        let habits = learned(&made_up(300, 100 + population, 0.05));
        assert!(
            habits.settled,
            "population {population}: {} steps",
            habits.steps
        );
        let within = |truth: f64, e: super::Estimate| usize::from(e.p05 <= truth && truth <= e.p95);
        inside += within(exp(WORKMANSHIP_SD), habits.workmanship_gsd);
        count += 1;
        for row in &habits.rows {
            let (factor, habit) = true_factor(row);
            inside += within(factor, row.mean_factor);
            count += 1;
            ln_errors[0] += ln(row.mean_factor.best / factor) / 120.0;
            if row.field_made {
                inside += within(habit, row.habit_gsd);
                count += 1;
                ln_errors[1] += ln(ln(row.habit_gsd.best) / ln(habit)) / 100.0;
            }
        }
    }
    assert_eq!(count, 240);
    assert!((202..=236).contains(&inside), "{inside} of {count}");
    // No figure is off to one side by much over all populations.
    assert!(
        ln_errors[0].abs() < 0.05,
        "means are off by {:.3}",
        ln_errors[0]
    );
    assert!(
        ln_errors[1].abs() < 0.2,
        "habits are off by {:.3}",
        ln_errors[1]
    );
}

#[test]
fn more_houses_say_more_and_none_say_what_is_believed() {
    let few = learned(&made_up(20, 5, 0.0));
    let many = learned(&made_up(2000, 5, 0.0));
    for (few, many) in few.rows.iter().zip(&many.rows) {
        let width = |row: &RowHabit| ln(row.mean_factor.p95 / row.mean_factor.p05);
        assert!(
            width(many) < 0.4 * width(few),
            "{}: {} {}",
            few.joint_type,
            width(many),
            width(few)
        );
        assert!(
            many.informed > few.informed && many.informed > 0.9,
            "{}",
            many.joint_type
        );
    }
    let none = learned(&[]);
    assert!(none.settled && none.rows.is_empty());
    assert!((none.workmanship_gsd.best - 1.7).abs() < 1e-9);
    let mut silent = made_up(1, 5, 0.0);
    silent[0].readings.clear();
    silent[0].looks.clear();
    for row in learned(&silent).rows {
        assert!((row.mean_factor.best - 1.0).abs() < 1e-6 && row.informed < 1e-6);
        // √(ln² 2 + ln² 1.5) is believed of the mean, and 0.5 of both spreads.
        assert!(
            row.mean_factor.p95 > 3.5 && row.mean_factor.p95 < 4.6,
            "{:?}",
            row.mean_factor
        );
    }
}

/// Wrong set-ups, one in ten, off by a factor of two either way, hardly move what is learned.
#[test]
fn wrong_set_ups_do_not_pass_for_habits() {
    let right = learned(&made_up(1000, 9, 0.0));
    let mixed = learned(&made_up(1000, 9, 0.1));
    for (right, mixed) in right.rows.iter().zip(&mixed.rows) {
        let apart = ln(mixed.mean_factor.best / right.mean_factor.best);
        assert!(apart.abs() < 0.08, "{}: {apart}", right.joint_type);
    }
    let apart = ln(ln(mixed.workmanship_gsd.best) / ln(right.workmanship_gsd.best));
    assert!(apart.abs() < 0.1, "workmanship: {apart}");
}

/// Something hangs open in one house of eight, through which as much goes as through all else: hardly anything of it passes
/// for habits.
#[test]
fn open_seams_do_not_pass_for_habits() {
    let shut = made_up(1000, 9, 0.0);
    let mut open = shut.clone();
    let mut random = Pcg64::new(4, 4);
    for (index, house) in open.iter_mut().enumerate() {
        house.open = MayBeOpen {
            chance: 0.125,
            ln_flow: ln(0.012),
            sd: 0.7,
        };
        if index.is_multiple_of(8) {
            let flow = 0.012 * exp(0.7 * random.sample::<f64, _>(StandardNormal));
            for read in &mut house.readings {
                read.ln_flow = ln(exp(read.ln_flow) + flow);
            }
        }
    }
    let (shut, open) = (learned(&shut), learned(&open));
    for (shut, open) in shut.rows.iter().zip(&open.rows) {
        let apart = ln(open.mean_factor.best / shut.mean_factor.best);
        assert!(apart.abs() < 0.1, "{}: {apart}", shut.joint_type);
    }
}

/// One joint type, one flow a house: ln y is normal with mean μ − own²/2 and variance ω² + τ² + own² + error², and what is
/// learned must be the textbook answer for a normal sample with these beliefs.
#[test]
fn one_row_is_learned_as_the_textbook_says() {
    let mut random = Pcg64::new(3, 3);
    let n = 400;
    let houses: Vec<HouseEvidence> = (0..n)
        .map(|index| {
            let z: f64 = random.sample(StandardNormal);
            HouseEvidence {
                system: index.to_string(),
                cells: vec![Cell {
                    joint_type: "boot-to-surface".to_owned(),
                    work: "unsealed".to_owned(),
                    field_made: true,
                    from_catalogue: true,
                    seams: 1,
                    mean: 0.01,
                    own_sd: 0.3,
                }],
                readings: vec![FlowSeen {
                    ln_flow: ln(0.01) + 0.4 + 0.7 * z,
                    sd: 0.1,
                    flows: vec![(0, 0.01)],
                }],
                looks: Vec::new(),
                wrong: 0.0,
                open: NOTHING_OPEN,
            }
        })
        .collect();
    let habits = learned(&houses);
    let row = &habits.rows[0];
    let values: Vec<f64> = houses
        .iter()
        .map(|house| house.readings[0].ln_flow - ln(0.01))
        .collect();
    let mean = values.iter().sum::<f64>() / f64::from(n);
    let variance = values.iter().map(|v| square(v - mean)).sum::<f64>() / f64::from(n);
    // The mean is drawn to the catalogue's by what is believed of it.
    let usual = Beliefs::default().usual;
    let (omega, tau) = (ln(habits.workmanship_gsd.best), ln(row.habit_gsd.best));
    let found_variance = square(omega) + square(tau) + 0.09 + 0.01;
    assert!(
        (found_variance / variance - 1.0).abs() < 0.03,
        "{found_variance} {variance}"
    );
    let pull = square(std::f64::consts::LN_2) + square(ln(1.5));
    let weight = pull / (pull + found_variance / f64::from(n));
    let mu = weight * (mean + 0.045);
    let ln_factor = mu
        + 0.5
            * (square(omega) + square(tau) - square(usual.workmanship_sd) - square(usual.habit_sd));
    assert!(
        (ln(row.mean_factor.best) - ln_factor).abs() < 0.01,
        "{} {ln_factor}",
        ln(row.mean_factor.best)
    );
}

#[test]
fn the_same_houses_give_the_same_figures_and_the_overlay_reads_back() {
    let houses = made_up(300, 11, 0.05);
    let habits = learned(&houses);
    assert_eq!(habits, learned(&houses));
    let builtin = Catalog::builtin();
    let overlay = learned_csv(&habits, builtin);
    let catalog = builtin
        .clone()
        .overlay(&overlay, "learned.csv")
        .expect("reads back");
    for row in &habits.rows {
        let work = Work::from_word(&row.work).expect("a state");
        let (before, after) = (
            builtin.joint(&row.joint_type).unwrap(),
            catalog.joint(&row.joint_type).unwrap(),
        );
        assert!(after.mine && after.state(work).source.text.starts_with("learned from "));
        let factor = after.state(work).mean_q25 / before.state(work).mean_q25;
        assert!(
            (factor / row.mean_factor.best - 1.0).abs() < 1e-4,
            "{}",
            row.joint_type
        );
        assert!((after.state(work).n - before.state(work).n).abs() < 1e-12);
    }
    assert_eq!(
        habits_csv(&habits, builtin).lines().count(),
        2 + habits.rows.len()
    );
    // A house by another order of cells says the same: nothing hangs on where it stands but its own draws.
    assert!(overlay.lines().count() > 1);
}
