//! A system to draw from a sketch with something wrong: what cannot be built is left out, until the rest stands.
//!
//! Nothing is ever computed from such a system; its faults are shown beside it.

use crate::catalog::Catalog;
use crate::quantity::Size;
use crate::sketch::{
    AirHandler, Diagnostic, Marked, Overrides, Run, Side, Sketch, Span, Start, Step, StepKind,
    Written, holds, is_end,
};
use crate::system::{self, System};

/// Most rounds of leaving out; each takes away at least one thing.
const ROUNDS: usize = 400;
/// Name of the run that stands in where the sketch has none: no person can write it.
const NONE_YET: &str = "\u{1}";
/// Section of that run, m.
const STAND_IN_M: f64 = 0.2;

/// What stands of a sketch.
pub(super) struct Stands {
    pub system: System,
    /// The runs that were built, in the order of [`System::runs`]; the last may be the stand-in.
    pub runs: Vec<Run>,
}

/// Builds what can be built.
pub(super) fn mended(
    mut sketch: Sketch,
    text: &str,
    written: &Written<'_>,
    catalog: &Catalog,
) -> Option<Stands> {
    draw_only(&mut sketch);
    let items: Vec<Span> = written.items("runs").iter().map(|run| run.at()).collect();
    for _ in 0..ROUNDS {
        if sketch.runs.is_empty() {
            sketch.runs.push(stand_in());
        }
        let found = match system::build(&sketch, text, "", catalog) {
            Ok(system) => {
                return Some(Stands {
                    system,
                    runs: sketch.runs,
                });
            }
            Err(found) => found,
        };
        let mut changed = false;
        for fault in &found.items {
            changed |= leave_out(&mut sketch, fault, &items);
        }
        if !changed {
            return None;
        }
    }
    None
}

/// Takes out what is not drawn, and closes every walk.
fn draw_only(sketch: &mut Sketch) {
    sketch.readings.clear();
    sketch.looks.clear();
    sketch.sealing.clear();
    sketch.variants.clear();
    sketch.limits.clear();
    sketch.minutes.clear();
    sketch.rooms.clear();
    sketch.crew = Default::default();
    sketch.energy = Default::default();
    sketch.prior = Default::default();
    sketch.record = Default::default();
    let mut met = std::collections::BTreeSet::new();
    sketch.runs.retain(|run| met.insert(run.id.value.clone()));
    for run in &mut sketch.runs {
        let mut first = true;
        run.walk.retain(|step| {
            let keep = first || !matches!(step.kind, StepKind::Takeoff(_));
            first = false;
            keep
        });
        if let Some(end) = run.walk.iter().position(|step| is_end(&step.kind)) {
            run.walk.truncate(end + 1);
        } else {
            run.walk.push(cap());
        }
    }
}

fn cap() -> Step {
    Step {
        at: Span::default(),
        kind: StepKind::Cap,
        over: Overrides::default(),
    }
}

/// Leaves out the smallest thing that a fault is about; false where nothing was.
fn leave_out(sketch: &mut Sketch, fault: &Diagnostic, items: &[Span]) -> bool {
    let at = fault.at;
    let held = |item: &Span| holds(*item, at);
    if let Some(item) = items.iter().find(|item| held(item)) {
        let Some(k) = sketch
            .runs
            .iter()
            .position(|run| holds(*item, run.id.at) && run.id.value != NONE_YET)
        else {
            return false;
        };
        let run = &mut sketch.runs[k];
        if let Some(step) = run.walk.iter_mut().position(|step| holds(step.at, at)) {
            // A place or a joint that is not known leaves the step itself; so does a second fault at it take it out.
            let over = &mut run.walk[step].over;
            if unsaid(over, at) {
                return true;
            }
            let ended = is_end(&run.walk[step].kind);
            run.walk.remove(step);
            if ended {
                run.walk.push(cap());
            }
            return true;
        }
        if unsaid(&mut run.over, at) {
            return true;
        }
        if run.material.as_ref().is_some_and(|said| said.at == at) {
            run.material = None;
            return true;
        }
        if run.lined.as_ref().is_some_and(|said| said.at == at) {
            run.lined = None;
            return true;
        }
        sketch.runs.remove(k);
        return true;
    }
    // Not in a run: whatever else the sketch says that could bear it goes, one thing after another.
    let unit = AirHandler {
        at: Span::default(),
        place: None,
        airflow: None,
        coil: None,
        filter: None,
        blower: None,
        filter_loss: None,
        coil_loss: None,
        over: Overrides::default(),
        supply_plenum: None,
        return_plenum: None,
    };
    if sketch.air_handler != unit && sketch.air_handler.at.start <= at.start {
        sketch.air_handler = unit;
        return true;
    }
    if !sketch.combustion.is_empty() {
        sketch.combustion.clear();
        return true;
    }
    if !sketch.usual.is_empty() {
        sketch.usual.clear();
        return true;
    }
    if sketch.house != Default::default() {
        sketch.house = Default::default();
        return true;
    }
    if !sketch.places.is_empty() {
        sketch.places.clear();
        return true;
    }
    false
}

/// Takes back what is said at a place; false where none of it stands there.
fn unsaid(over: &mut Overrides, at: Span) -> bool {
    if over.place.as_ref().is_some_and(|said| said.at == at) {
        over.place = None;
        return true;
    }
    if over.joint.as_ref().is_some_and(|said| said.at == at) {
        over.joint = None;
        return true;
    }
    false
}

/// A capped collar on the supply plenum: a sketch without a run is no system.
fn stand_in() -> Run {
    let at = Span::default();
    Run {
        id: Marked::new(NONE_YET.to_owned(), at),
        side: Marked::new(Side::Supply, at),
        from: Marked::new(Start::SupplyPlenum, at),
        size: Marked::new(Size::Round(crate::quantity::Length::new(STAND_IN_M)), at),
        material: None,
        over: Overrides::default(),
        compression: None,
        lined: None,
        room: None,
        floor: None,
        design_flow: None,
        walk: vec![cap()],
    }
}

/// Whether a run is the stand-in.
pub(super) fn is_stand_in(run: &str) -> bool {
    run == NONE_YET
}
