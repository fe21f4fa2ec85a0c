//! A test set-up of one's own: where does the pressure go when the fan pulls at one end and the tap sits at the other?
//!
//! `cargo run --example own_set_up`
//!
//! The usual total test blows 25 Pa in and reads it at the supply plenum. Here a fan at the return grille pulls, and 10 Pa are
//! held far out, at the bath's register, while one run is plugged. The house is invented.

use std::error::Error;

use ductseam::catalog::Catalog;
use ductseam::flow::{FlowSettings, SeamLaws, prepare, state};
use ductseam::quantity::Flow;
use ductseam::sketch;
use ductseam::system::{self, FanPlace, Setup, Side, System, TapPlace};

const SKETCH: &str = "
ductseam: 1
title: a long trunk (invented)
air handler: {place: attic, airflow: 600 cfm assumed}
usual:
  all: {place: attic, work: unsealed}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 8x6 in, walk: [north 40 ft, cap]}
  - {id: kitchen, from: trunk at 10 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
  - {id: bath, from: trunk at 36 ft right, size: 5 in, walk: [tab collar, 20 ft, boot 8x4 in]}
  - {id: hall return, side: return, from: return plenum, size: 14x10 in, walk: [south 6 ft, return box 14x14 in]}
";

fn main() -> Result<(), Box<dyn Error>> {
    let sketch = sketch::read(SKETCH, "long.yaml").map_err(|wrong| wrong.render(false))?;
    let system = system::build(&sketch, SKETCH, "long.yaml", Catalog::builtin())
        .map_err(|wrong| wrong.render(false))?;
    let run = |id: &str| system.runs.iter().position(|run| run.id == id);
    let bath = run("bath")
        .and_then(|run| system.runs[run].opening)
        .ok_or("no bath")?;
    let grille = system.largest_opening(Side::Return).ok_or("no grille")?;

    // From the usual total test, what is done otherwise.
    let own = Setup {
        pressure_pa: 10.0,
        pressurise: false,
        fan: FanPlace::Opening(grille),
        tap: TapPlace::Opening(bath),
        plugged: vec![run("kitchen").ok_or("no kitchen")?],
        ..system.total_setup()
    };
    solve(&system, "usual", &system.total_setup(), bath)?;
    solve(&system, "own", &own, bath)
}

/// Solves a set-up, every seam leaking what the catalogue expects of it.
fn solve(system: &System, name: &str, setup: &Setup, bath: usize) -> Result<(), Box<dyn Error>> {
    let prepared = prepare(system, setup, &FlowSettings::default())?;
    let (ln_q25, n) = system.prior_laws();
    let found = state(
        system,
        &prepared,
        SeamLaws {
            ln_q25: &ln_q25,
            n: &n,
        },
    );
    if !found.outcome.status.is_solved() {
        return Err(format!("not settled: {:?}", found.outcome.status).into());
    }
    println!(
        "{name}: at the supply plenum {:.2} Pa, behind the bath's register {:.2} Pa, the fan moves {:.1} cfm",
        found.supply_plenum_pa.ok_or("no supply plenum")?,
        found.openings[bath]
            .behind_pa
            .ok_or("the bath takes no part")?,
        Flow::new(found.reading.ok_or("no reading")?).to_cfm(),
    );
    Ok(())
}
