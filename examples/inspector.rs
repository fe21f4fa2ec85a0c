//! An inspector's job: three readings of one house, and one of them does not go with the others. Which?
//!
//! `cargo run --example inspector`
//!
//! House and readings are invented: before the last one, somebody let a mask fall off.

use std::error::Error;

use ductseam::allocate::{AllocateSettings, compare};
use ductseam::catalog::Catalog;
use ductseam::quantity::Flow;
use ductseam::{sketch, system};

const SKETCH: &str = "
ductseam: 1
title: three readings of one house (invented)
air handler: {place: attic}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, place: attic, walk: [north 16 ft, cap]}
  - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
  - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
readings:
  - {id: morning, total: 60 cfm at 25 Pa ± 3 %}
  - {id: again, total: 61 cfm at 25 Pa ± 3 %}
  - {id: after lunch, total: 131 cfm at 25 Pa ± 3 %}
";

fn main() -> Result<(), Box<dyn Error>> {
    let sketch = sketch::read(SKETCH, "three.yaml").map_err(|wrong| wrong.render(false))?;
    let system = system::build(&sketch, SKETCH, "three.yaml", Catalog::builtin())
        .map_err(|wrong| wrong.render(false))?;
    let answer = compare(&system, &AllocateSettings::default())?;

    let cfm = |flow_m3_s: f64| Flow::new(flow_m3_s).to_cfm();
    for found in &answer.readings {
        let reading = &answer.allocation.readings[found.reading];
        println!(
            "{}: read {:.0} cfm, the others lead one to expect {:.0} cfm ({:.0} to {:.0}); set-up wrong with a chance of {:.0} %",
            reading.id,
            cfm(reading.measured),
            cfm(found.without.mean),
            cfm(found.without.p05),
            cfm(found.without.p95),
            100.0 * reading.wrong_setup_chance,
        );
    }
    let suspect = answer
        .readings
        .iter()
        .max_by(|a, b| {
            let chance = |i: usize| answer.allocation.readings[i].wrong_setup_chance;
            chance(a.reading).total_cmp(&chance(b.reading))
        })
        .ok_or("no reading")?;
    println!(
        "disagrees most: {}",
        answer.allocation.readings[suspect.reading].id
    );
    println!("{}", suspect.verdict);
    for cause in suspect.causes.iter().take(3) {
        println!("perhaps: {} ({:.0} cfm)", cause.words, cfm(cause.expected));
    }
    Ok(())
}
