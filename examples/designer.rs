//! A designer's job: before anything is built, how much will these ducts leak, and which way of building leaks less?
//!
//! `cargo run --example designer`
//!
//! The house is invented. Every figure comes from the joint catalogue: what is expected of such joints, not a promise.

use std::error::Error;

use ductseam::allocate::AllocateSettings;
use ductseam::catalog::{Catalog, Work};
use ductseam::predict::{Expected, PredictSettings, predict};
use ductseam::quantity::Flow;
use ductseam::system::{self, Change, System};
use ductseam::{allocate::Band, sketch};

const SKETCH: &str = "
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

fn main() -> Result<(), Box<dyn Error>> {
    let catalog = Catalog::builtin();
    let sketch = sketch::read(SKETCH, "four.yaml").map_err(|wrong| wrong.render(false))?;
    let system = system::build(&sketch, SKETCH, "four.yaml", catalog)
        .map_err(|wrong| wrong.render(false))?;

    // Two ways of building the same ducts otherwise.
    let collars = Change::Swap {
        from: "takeoff-tab-collar".into(),
        to: "takeoff-spin-in".into(),
    };
    let mastic = Change::Work {
        seams: (0..system.seams.len()).collect(),
        work: Work::Mastic,
    };
    let with_collars = system.built_otherwise(catalog, &[collars]);
    let with_mastic = system.built_otherwise(catalog, &[mastic]);

    println!(
        "expected of a total test at 25 Pa, with the band that nine of ten such houses keep to"
    );
    say("as sketched", &expected(&system, catalog)?);
    say("spin-in collars", &expected(&with_collars, catalog)?);
    say("mastic everywhere", &expected(&with_mastic, catalog)?);
    Ok(())
}

/// What is expected of a system before any test.
fn expected(system: &System, catalog: &Catalog) -> Result<Expected, Box<dyn Error>> {
    let settings = PredictSettings {
        draws: AllocateSettings {
            draws: 1000,
            ..AllocateSettings::default()
        },
        // What else could be changed is not asked here.
        choices: 0,
        in_pairs: 0,
        ..PredictSettings::default()
    };
    Ok(predict(system, catalog, &settings)?.expected)
}

fn say(name: &str, expected: &Expected) {
    let cfm = |flow_m3_s: f64| Flow::new(flow_m3_s).to_cfm();
    let Band { mean, p05, p95, .. } = expected.allocation.house.total_m3_s;
    println!(
        "{name}: {:.0} cfm ({:.0} to {:.0})",
        cfm(mean),
        cfm(p05),
        cfm(p95)
    );
}
