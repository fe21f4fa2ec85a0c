//! A way of sealing of one's own, and what a plan makes of it.
//!
//! `cargo run --example own_method`
//!
//! A crew presses strips of putty round collars, elbows and joints and along panned joists: quicker than brush mastic, and
//! no waiting. Its figures, house and readings are invented; a crew would time its own work and test what remains.
//!
//! Before any sealing: look for old white or grey tape (it may hold asbestos; leave it alone), and have the draft of burners
//! tested before and after. Local codes decide.

use std::error::Error;

use ductseam::allocate::{AllocateSettings, posterior};
use ductseam::catalog::{Catalog, MethodRow, Source, Sure};
use ductseam::quantity::Flow;
use ductseam::seal::{Left, Plan, PlanAsk, plan};
use ductseam::sketch;
use ductseam::system::{self, System};

const HOUSE: &str = include_str!("../models/bungalow.yaml");
const SERVES: &[&str] = &[
    "takeoff-tab-collar",
    "takeoff-side-tap",
    "elbow-adjustable",
    "joint-slip-drive",
    "pan-edge",
    "pan-end",
];

fn main() -> Result<(), Box<dyn Error>> {
    let builtin = Catalog::builtin();
    let putty = MethodRow {
        id: "own-putty".into(),
        words: "strip of putty pressed in".into(),
        minutes_each: 1.0,
        minutes_per_m: 1.5,
        // It fills wider gaps than a brushed film, and is nowhere too near the air handler.
        gap_to_m: 0.010,
        beyond_m: 0.0,
        remains: 0.08,
        material: "putty strip".into(),
        unit: "m".into(),
        material_each: 0.0,
        material_per_m: 1.0,
        cure_h: 0.0,
        source: Source {
            text: "own crew, timed and tested on 20 joints (invented)".into(),
            sure: Sure::Read,
        },
        // Spreads and what is missed: as brush mastic.
        ..builtin.method("mastic").ok_or("no mastic")?.clone()
    };
    let own = builtin
        .clone()
        .with_method(putty, SERVES)
        .map_err(|fault| format!("{fault}: {}", fault.hint))?;

    say("built-in methods", builtin)?;
    say("with own-putty", &own)
}

/// Plans four hours and says what comes of it.
fn say(name: &str, catalog: &Catalog) -> Result<(), Box<dyn Error>> {
    let sketch = sketch::read(HOUSE, "house.yaml").map_err(|wrong| wrong.render(false))?;
    let system = system::build(&sketch, HOUSE, "house.yaml", catalog)
        .map_err(|wrong| wrong.render(false))?;
    let found = plan_of(&system)?;
    let by_own = found
        .steps
        .iter()
        .filter(|step| system.crew.methods[step.method].id == "own-putty")
        .count();
    println!(
        "{name}: {} steps in {:.0} min take off {:.1} cfm at 25 Pa; {by_own} by own-putty",
        found.steps.len(),
        found.minutes,
        Flow::new(found.cut_m3_s.mean).to_cfm(),
    );
    Ok(())
}

fn plan_of(system: &System) -> Result<Plan, Box<dyn Error>> {
    let settings = AllocateSettings {
        draws: 500,
        ..AllocateSettings::default()
    };
    let draws = posterior(system, &settings)?;
    let ask = PlanAsk {
        minutes: Some(240.0),
        frontier: 0,
        ..PlanAsk::default()
    };
    Ok(plan(&Left::new(system, &draws, 1)?, &ask)?)
}
