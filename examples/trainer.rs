//! A trainer's job: which kinds of joints leak most in these houses, and an exercise for a class with a known truth.
//!
//! `cargo run --example trainer`
//!
//! All houses are invented (two of `models/`, and a small one for the class), and so are the learners.

use std::error::Error;

use ductseam::allocate::AllocateSettings;
use ductseam::catalog::Catalog;
use ductseam::sketch;
use ductseam::system::{self, System};
use ductseam::teach::{JointsAsk, Learner, joint_types, make, mark, read_learner};

const CLASS: &str = "
ductseam: 1
title: four registers under a floor (invented)
air handler: {place: crawlspace, airflow: 600 cfm assumed}
places: {crawlspace: outside}
usual:
  all: {place: crawlspace, work: unsealed}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 14x8 in, walk: [north 24 ft, cap]}
  - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 8 ft, boot 10x4 in]}
  - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 6 ft, boot 8x4 in]}
  - {id: living, from: trunk at 16 ft left, size: 7 in, walk: [tab collar, 10 ft, boot 12x4 in]}
  - {id: bedroom, from: trunk at 22 ft right, size: 6 in, walk: [tab collar, 12 ft, boot 10x4 in]}
  - {id: hall return, side: return, from: return plenum, size: 20x10 in, walk: [south 4 ft, return box 20x20 in]}
";

const NAMED: usize = 5;

fn main() -> Result<(), Box<dyn Error>> {
    let houses = [
        built(include_str!("../models/bungalow.yaml"))?,
        built(include_str!("../models/slab-attic.yaml"))?,
    ];
    let settings = AllocateSettings {
        draws: 500,
        ..AllocateSettings::default()
    };

    let types = joint_types(&houses, Catalog::builtin(), &settings, JointsAsk::default())?;
    println!("joint types by their part of the leakage in both houses:");
    for one in types.types.iter().take(5) {
        println!("  {:.1} % {}", 100.0 * one.test.share, one.name);
    }

    // The truth is drawn from the prior; readings and looks are made from it. The class sees those alone.
    let exercise = make(&built(CLASS)?, 7)?;
    println!(
        "exercise: {} readings, {} looks",
        exercise.system.readings.len(),
        exercise.system.looks.len()
    );

    let mut by_truth: Vec<usize> = (0..exercise.truth.len()).collect();
    by_truth.sort_by(|&a, &b| {
        exercise.truth[b]
            .test_m3_s
            .total_cmp(&exercise.truth[a].test_m3_s)
    });
    let seams = &exercise.system.seams;
    let mut by_kind: Vec<usize> = (0..seams.len()).collect();
    by_kind.sort_by(|&a, &b| seams[b].mean_q25_m3_s.total_cmp(&seams[a].mean_q25_m3_s));

    for (who, order) in [
        ("peeked at the answers", by_truth),
        ("went by kind of joint", by_kind),
    ] {
        let list = handed_in(&exercise.system, &order)?;
        let marks = mark(&exercise.system, &exercise.truth, &settings, &list)?;
        println!(
            "{who}: caught {:.1} % of what the {NAMED} leakiest leak; blind guessing {:.1} %, this program {:.1} %",
            100.0 * marks.score(marks.caught_m3_s),
            100.0 * marks.score(marks.guess_m3_s),
            100.0 * marks.score(marks.program_m3_s),
        );
    }
    Ok(())
}

/// A learner's list as it is handed in: one seam a line, leakiest first.
fn handed_in(system: &System, order: &[usize]) -> Result<Learner, Box<dyn Error>> {
    let mut list = String::from("seam\n");
    for &seam in order.iter().take(NAMED) {
        list += &format!("\"{}\"\n", system.seams[seam].id);
    }
    read_learner(system, &list).map_err(|faults| format!("{faults:?}").into())
}

fn built(text: &str) -> Result<System, String> {
    let sketch = sketch::read(text, "house.yaml").map_err(|wrong| wrong.render(false))?;
    system::build(&sketch, text, "house.yaml", Catalog::builtin())
        .map_err(|wrong| wrong.render(false))
}
