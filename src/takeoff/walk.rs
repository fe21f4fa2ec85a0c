//! From the fittings of a run to its walk: in which order they stand, where the straight length lies, how the run ends.

use super::fault::Assumed;
use super::fittings::Part;
use super::rows::Draft;
use super::text::{distance_step_m, length_words, size_words};
use super::tree::Start;
use crate::quantity::{Length, Size, UnitSystem};
use crate::sketch::{
    BootKind, ElbowKind, Material, Overrides, Side, StepKind, Takeoff, parts, quoted,
};

/// A step with what it says of itself.
pub(super) type WalkStep = (StepKind, Overrides);

/// What others take from a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Carries {
    /// Whether any run starts from it.
    pub any: bool,
}

/// Openings in the usual nominal sizes, in and mm: common practice for registers and grilles.
const OPENINGS_IN: [(f64, f64); 9] = [
    (10.0, 4.0),
    (10.0, 6.0),
    (12.0, 6.0),
    (14.0, 6.0),
    (14.0, 8.0),
    (20.0, 8.0),
    (20.0, 14.0),
    (20.0, 20.0),
    (24.0, 24.0),
];
const OPENINGS_MM: [(f64, f64); 8] = [
    (250.0, 100.0),
    (250.0, 150.0),
    (300.0, 150.0),
    (350.0, 200.0),
    (500.0, 200.0),
    (500.0, 350.0),
    (500.0, 500.0),
    (600.0, 600.0),
];

/// Whether a step lies between the start and the end of a run.
pub(super) fn is_middle(kind: &StepKind) -> bool {
    !is_end(kind) && !matches!(kind, StepKind::Takeoff(_) | StepKind::Straight { .. })
}

fn is_end(kind: &StepKind) -> bool {
    matches!(
        kind,
        StepKind::Boot { .. } | StepKind::Intake { .. } | StepKind::Cap | StepKind::Joins { .. }
    )
}

/// How many fittings lie between the start and the end.
pub(super) fn middles(items: &[Part]) -> usize {
    let middle = |part: &&Part| matches!(part, Part::Step(kind, _) if is_middle(kind));
    items.iter().filter(middle).count()
}

/// The walk of a run, with all that had to be assumed.
pub(super) fn walk(
    draft: &Draft<'_>,
    start: &Start,
    carries: Carries,
    units: UnitSystem,
    assumed: &mut Vec<Assumed>,
) -> Vec<WalkStep> {
    let mut told = Told { draft, assumed };
    let end_size = end_size(draft);
    let mut steps: Vec<WalkStep> = Vec::new();
    let mut ends: Vec<WalkStep> = Vec::new();
    let mut takeoff: Option<WalkStep> = None;
    for part in &draft.parts {
        match part {
            Part::Step(kind @ StepKind::Takeoff(_), over) if takeoff.is_none() => {
                takeoff = Some((kind.clone(), (**over).clone()));
            }
            Part::Takeoff if takeoff.is_none() => takeoff = usual_takeoff(&mut told),
            Part::Takeoff => steps.extend(usual_takeoff(&mut told)),
            Part::Step(kind, over) if is_end(kind) => ends.push((kind.clone(), (**over).clone())),
            Part::Step(kind, over) => steps.push((kind.clone(), (**over).clone())),
            Part::Opening(kind) => {
                let size = usual_opening(end_size, units);
                let step = StepKind::Boot { kind: *kind, size };
                told.that(format!(
                    "the {} has the usual size for {}, {}",
                    parts::step_word(&step),
                    size_words(end_size, units),
                    size_words(size, units)
                ));
                ends.push(bare(step));
            }
        }
    }
    elbows(&mut told);
    if takeoff.is_none() && start.parent.is_some() {
        takeoff = usual_takeoff(&mut told);
    }
    if !draft.is_walk() {
        steps = with_length(steps, draft.length, units, &mut told);
    }
    if ends.is_empty() {
        ends.push(usual_end(start.side, end_size, carries, units, &mut told));
    }
    takeoff.into_iter().chain(steps).chain(ends).collect()
}

struct Told<'a, 'g> {
    draft: &'a Draft<'g>,
    assumed: &'a mut Vec<Assumed>,
}

impl Told<'_, '_> {
    fn that(&mut self, what: impl Into<String>) {
        self.assumed.push(Assumed {
            run: self.draft.name.clone(),
            what: what.into(),
        });
    }
}

fn bare(kind: StepKind) -> WalkStep {
    (kind, Overrides::default())
}

/// The section at the end of a run, behind its last reducer.
fn end_size(draft: &Draft<'_>) -> Size {
    let usual = Size::Round(Length::from_in(6.0)); // A run without a size is refused elsewhere.
    let reduced = draft.parts.iter().rev().find_map(|part| match part {
        Part::Step(StepKind::Reducer { to }, _) => Some(*to),
        _ => None,
    });
    reduced.or(draft.size).unwrap_or(usual)
}

/// The takeoff that is usual for a material, as the system takes it too: a tabbed collar on pipe and flex, a tap on
/// rectangular duct, none for building cavities.
fn usual_takeoff(told: &mut Told<'_, '_>) -> Option<WalkStep> {
    let kind = match told.draft.material() {
        Material::Round | Material::Spiral | Material::Flex => Takeoff::TabCollar,
        Material::Rectangular | Material::DuctBoard => Takeoff::SideTap,
        Material::PannedJoist | Material::Cavity => return None,
    };
    let step = StepKind::Takeoff(kind);
    told.that(format!("its takeoff is a {}", parts::step_word(&step)));
    Some(bare(step))
}

/// Says what a bare `elbow` is taken for, since the kinds leak and lose differently.
fn elbows(told: &mut Told<'_, '_>) {
    let is_fixed = |part: &Part| {
        let fixed = ElbowKind::Fixed;
        matches!(part, Part::Step(StepKind::Elbow { kind, .. }, _) if *kind == fixed)
    };
    if !told.draft.parts.iter().any(is_fixed) {
        return;
    }
    match told.draft.material() {
        Material::Round | Material::Spiral => told.that(
            "an `elbow` in it is a stamped or gored one; write `adjustable elbow` where its gores turn",
        ),
        Material::Flex => told.that(
            "an `elbow` in it is a metal one between lengths of flex; write `flex bend` where the flex itself is bent",
        ),
        _ => {}
    }
}

/// Lays the straight length between the fittings in even parts.
fn with_length(
    steps: Vec<WalkStep>,
    length: Option<Length>,
    units: UnitSystem,
    told: &mut Told<'_, '_>,
) -> Vec<WalkStep> {
    let Some(length) = length else {
        return steps;
    };
    let straight = |m: f64| {
        bare(StepKind::Straight {
            heading: None,
            length: Length::new(m),
            material: None,
        })
    };
    let gaps = steps.len() + 1;
    if gaps == 1 {
        return vec![straight(length.si())];
    }
    let step = distance_step_m(length, units);
    let part = (length.si() / gaps as f64 / step + 1e-6).floor() * step;
    let mut all = Vec::with_capacity(2 * gaps);
    if part < step / 2.0 {
        told.that("its straight length lies before its fittings");
        all.push(straight(length.si()));
        all.extend(steps);
        return all;
    }
    told.that(format!(
        "its {} of straight duct lie in {gaps} even parts between its fittings",
        length_words(length, units)
    ));
    let last = length.si() - part * (gaps - 1) as f64;
    for fitting in steps {
        all.push(straight(part));
        all.push(fitting);
    }
    all.push(straight(last));
    all
}

/// A cap where others start from the run or its name says that it is a main; else a register boot or return box.
fn usual_end(
    side: Side,
    size: Size,
    carries: Carries,
    units: UnitSystem,
    told: &mut Told<'_, '_>,
) -> WalkStep {
    let name = told.draft.name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphanumeric());
    let is_main = words.any(|word| ["trunk", "main", "header"].contains(&word));
    if carries.any || is_main {
        told.that("ends in a cap");
        return bare(StepKind::Cap);
    }
    let opening = usual_opening(size, units);
    let kind = match side {
        Side::Supply => BootKind::Turn,
        Side::Return => BootKind::ReturnBox,
    };
    let step = StepKind::Boot {
        kind,
        size: opening,
    };
    told.that(format!(
        "ends in a {} of {}, usual for {}",
        parts::step_word(&step),
        size_words(opening, units),
        quoted(&size_words(size, units))
    ));
    bare(step)
}

/// The smallest usual opening that is no smaller than the duct; one of the duct's own measures if none is.
fn usual_opening(size: Size, units: UnitSystem) -> Size {
    let all: Vec<Size> = match units {
        UnitSystem::Ip => OPENINGS_IN
            .iter()
            .map(|(w, h)| Size::Rect(Length::from_in(*w), Length::from_in(*h)))
            .collect(),
        UnitSystem::Si => OPENINGS_MM
            .iter()
            .map(|(w, h)| Size::Rect(Length::from_mm(*w), Length::from_mm(*h)))
            .collect(),
    };
    let area = size.area().si();
    all.into_iter()
        .find(|opening| opening.area().si() >= area)
        .unwrap_or(Size::Rect(size.width(), size.height()))
}
