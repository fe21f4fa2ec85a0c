//! The fixed words of a sketch and what each means. The first word of a meaning is the one to write; others are read too.

use super::types::{
    AirflowBy, Barrier, BootKind, CoilAt, Door, Draft, ElbowKind, FilterAt, Fuel, Heading,
    HeaterKind, Mask, Material, PlaceLike, Reach, SealClass, Side, Smoke, SuspectTape, Takeoff,
};
use crate::catalog::{Stage, Work};
use crate::quantity::UnitSystem;

/// Words with their meanings.
pub(super) type Words<T> = &'static [(&'static str, T)];

/// The words alone.
pub(super) fn listed<T>(words: Words<T>) -> Vec<&'static str> {
    words.iter().map(|(word, _)| *word).collect()
}

/// Units of answers.
pub(super) const UNITS: Words<UnitSystem> = &[("ip", UnitSystem::Ip), ("si", UnitSystem::Si)];

/// Stages of a test.
pub(super) const STAGE: Words<Stage> = &[
    ("rough-in", Stage::RoughIn),
    ("rough-in without handler", Stage::RoughInNoHandler),
    ("final", Stage::Final),
    ("existing", Stage::Existing),
    ("rough-in-no-handler", Stage::RoughInNoHandler),
];

/// Whether stated errors are limits.
pub(super) const ERRORS_ARE: Words<bool> = &[
    ("limits", true),
    ("standard deviations", false),
    ("one standard deviation", false),
];

/// Kinds of place.
pub(super) const LIKE: Words<PlaceLike> = &[
    ("inside", PlaceLike::Inside),
    ("outside", PlaceLike::Outside),
    ("buffer", PlaceLike::Buffer),
];

/// What makes heat.
pub(super) const HEATER: Words<HeaterKind> = &[
    ("furnace", HeaterKind::Furnace),
    ("heat pump", HeaterKind::HeatPump),
    ("electric", HeaterKind::Electric),
];

/// What is bought.
pub(super) const FUEL: Words<Fuel> = &[
    ("gas", Fuel::Gas),
    ("propane", Fuel::Propane),
    ("oil", Fuel::Oil),
    ("wood", Fuel::Wood),
    ("electricity", Fuel::Electricity),
];

/// How an airflow was got.
pub(super) const AIRFLOW_BY: Words<AirflowBy> = &[
    ("plate at filter", AirflowBy::Plate),
    ("return grilles", AirflowBy::ReturnGrilles),
    ("blower table", AirflowBy::BlowerTable),
    ("nameplate", AirflowBy::Nameplate),
    ("assumed", AirflowBy::Assumed),
];

/// Places of the coil.
pub(super) const COIL: Words<CoilAt> = &[
    ("none", CoilAt::None),
    ("before blower", CoilAt::BeforeBlower),
    ("after blower", CoilAt::AfterBlower),
];

/// Places of the filter.
pub(super) const FILTER: Words<FilterAt> = &[
    ("none", FilterAt::None),
    ("unit", FilterAt::Unit),
    ("grille", FilterAt::Grille),
];

/// What a blower is when it has no points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BlowerWord {
    FixedSpeed,
    ConstantFlow,
}

/// Blowers.
pub(super) const BLOWER: Words<BlowerWord> = &[
    ("fixed speed", BlowerWord::FixedSpeed),
    ("constant flow", BlowerWord::ConstantFlow),
];

/// Doors.
pub(super) const DOOR: Words<Door> = &[("open", Door::Open), ("closed", Door::Closed)];

/// Seal classes of the trade.
pub(super) const SEAL_CLASS: Words<SealClass> = &[
    ("C", SealClass::C),
    ("B", SealClass::B),
    ("A", SealClass::A),
];

/// Yes or no.
pub(super) const YES_NO: Words<bool> = &[
    ("yes", true),
    ("no", false),
    ("true", true),
    ("false", false),
];

/// Drafts.
pub(super) const DRAFT: Words<Draft> = &[
    ("natural", Draft::Natural),
    ("fan assisted", Draft::FanAssisted),
    ("sealed", Draft::Sealed),
];

/// Suspect tape.
pub(super) const SUSPECT_TAPE: Words<SuspectTape> = &[
    ("none seen", SuspectTape::NoneSeen),
    ("suspected", SuspectTape::Suspected),
    ("not checked", SuspectTape::NotChecked),
];

/// Sides.
pub(super) const SIDE: Words<Side> = &[("supply", Side::Supply), ("return", Side::Return)];

/// Materials.
pub(super) const MATERIAL: Words<Material> = &[
    ("rectangular", Material::Rectangular),
    ("round", Material::Round),
    ("spiral", Material::Spiral),
    ("flex", Material::Flex),
    ("duct board", Material::DuctBoard),
    ("panned joist", Material::PannedJoist),
    ("cavity", Material::Cavity),
    ("round pipe", Material::Round),
    ("pipe", Material::Round),
    ("spiral duct", Material::Spiral),
    ("flexible duct", Material::Flex),
    ("flex duct", Material::Flex),
    ("ductboard", Material::DuctBoard),
    ("panned joists", Material::PannedJoist),
    ("joist bay", Material::PannedJoist),
    ("stud bay", Material::Cavity),
];

/// Reach.
pub(super) const REACH: Words<Reach> = &[
    ("open", Reach::Open),
    ("under insulation", Reach::UnderInsulation),
    ("behind finish", Reach::BehindFinish),
    ("none", Reach::None),
    ("out of reach", Reach::None),
];

/// The words of reach and of work that may follow a place.
pub(crate) fn tail_words() -> impl Iterator<Item = &'static str> {
    let reach = REACH.iter().map(|(word, _)| *word);
    reach.chain(WORK.iter().map(|(word, _)| *word))
}

/// Workmanship.
pub(super) const WORK: Words<Work> = &[
    ("unsealed", Work::Unsealed),
    ("ordinary", Work::Ordinary),
    ("mastic", Work::Mastic),
    ("taped", Work::Ordinary),
    ("gasketed", Work::Ordinary),
    ("sealed", Work::Mastic),
];

/// What sealing leaves.
pub(super) const SEALED_WITH: Words<Work> = &[
    ("mastic", Work::Mastic),
    ("ordinary", Work::Ordinary),
    ("taped", Work::Ordinary),
    ("gasketed", Work::Ordinary),
];

/// Headings.
pub(super) const HEADING: Words<Heading> = &[
    ("north", Heading::North),
    ("south", Heading::South),
    ("east", Heading::East),
    ("west", Heading::West),
    ("up", Heading::Up),
    ("down", Heading::Down),
    ("left", Heading::Left),
    ("right", Heading::Right),
    ("ahead", Heading::Ahead),
    ("straight", Heading::Ahead),
];

/// Faces of a run on which a takeoff may sit.
pub(super) const FACE: Words<Heading> = &[
    ("left", Heading::Left),
    ("right", Heading::Right),
    ("up", Heading::Up),
    ("down", Heading::Down),
    ("top", Heading::Up),
    ("bottom", Heading::Down),
];

/// Directions of a test: true when the ducts are pulled down.
pub(super) const DIRECTION: Words<bool> = &[
    ("pressurised", false),
    ("depressurised", true),
    ("pressurized", false),
    ("depressurized", true),
];

/// Barriers.
pub(super) const BARRIER: Words<Barrier> = &[
    ("filter", Barrier::Filter),
    ("blower inlet", Barrier::BlowerInlet),
    ("blower outlet", Barrier::BlowerOutlet),
];

/// Masks.
pub(super) const MASK: Words<Mask> = &[
    ("flange", Mask::Flange),
    ("face", Mask::Face),
    ("throat", Mask::Throat),
];

/// Smoke.
pub(super) const SMOKE: Words<Smoke> = &[
    ("none", Smoke::None),
    ("wisp", Smoke::Wisp),
    ("strong", Smoke::Strong),
];

/// What the first words of a walk step say, before its headings and sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum StepWord {
    Takeoff(Takeoff),
    Elbow(ElbowKind),
    Reducer,
    Boot(BootKind),
    Intake,
    Cap,
    Damper,
    Canvas,
    AccessDoor,
    FilterSlot,
    TestHole,
    Splice,
    Joins,
}

/// How many of [`STEP`] are the words to write; the rest are synonyms.
pub(super) const STEPS: usize = 23;

/// First words of walk steps other than straight lengths, and their trade synonyms.
pub(super) const STEP: Words<StepWord> = &[
    ("tab collar", StepWord::Takeoff(Takeoff::TabCollar)),
    ("spin-in collar", StepWord::Takeoff(Takeoff::SpinIn)),
    ("side tap", StepWord::Takeoff(Takeoff::SideTap)),
    ("adjustable elbow", StepWord::Elbow(ElbowKind::Adjustable)),
    ("elbow", StepWord::Elbow(ElbowKind::Fixed)),
    ("mitre elbow", StepWord::Elbow(ElbowKind::Mitre)),
    (
        "mitre elbow with vanes",
        StepWord::Elbow(ElbowKind::MitreVanes),
    ),
    ("flex bend", StepWord::Elbow(ElbowKind::FlexBend)),
    ("reducer to", StepWord::Reducer),
    ("transition to", StepWord::Reducer),
    ("boot", StepWord::Boot(BootKind::Turn)),
    ("end boot", StepWord::Boot(BootKind::Straight)),
    ("return box", StepWord::Boot(BootKind::ReturnBox)),
    ("grille", StepWord::Boot(BootKind::ReturnBox)),
    ("intake", StepWord::Intake),
    ("cap", StepWord::Cap),
    ("damper", StepWord::Damper),
    ("canvas", StepWord::Canvas),
    ("access door", StepWord::AccessDoor),
    ("filter slot", StepWord::FilterSlot),
    ("test hole", StepWord::TestHole),
    ("splice", StepWord::Splice),
    ("joins", StepWord::Joins),
    // Synonyms of the trade.
    ("tabbed collar", StepWord::Takeoff(Takeoff::TabCollar)),
    ("finger collar", StepWord::Takeoff(Takeoff::TabCollar)),
    ("start collar", StepWord::Takeoff(Takeoff::TabCollar)),
    ("starting collar", StepWord::Takeoff(Takeoff::TabCollar)),
    ("spin-in", StepWord::Takeoff(Takeoff::SpinIn)),
    ("spin in collar", StepWord::Takeoff(Takeoff::SpinIn)),
    ("spin in", StepWord::Takeoff(Takeoff::SpinIn)),
    ("flanged collar", StepWord::Takeoff(Takeoff::SpinIn)),
    ("side takeoff", StepWord::Takeoff(Takeoff::SideTap)),
    ("shoe tap", StepWord::Takeoff(Takeoff::SideTap)),
    ("swivel elbow", StepWord::Elbow(ElbowKind::Adjustable)),
    ("gored elbow", StepWord::Elbow(ElbowKind::Fixed)),
    ("fixed elbow", StepWord::Elbow(ElbowKind::Fixed)),
    ("stamped elbow", StepWord::Elbow(ElbowKind::Fixed)),
    ("smooth elbow", StepWord::Elbow(ElbowKind::Fixed)),
    ("radius elbow", StepWord::Elbow(ElbowKind::Fixed)),
    ("miter elbow", StepWord::Elbow(ElbowKind::Mitre)),
    ("mitred elbow", StepWord::Elbow(ElbowKind::Mitre)),
    ("mitered elbow", StepWord::Elbow(ElbowKind::Mitre)),
    ("square elbow", StepWord::Elbow(ElbowKind::Mitre)),
    (
        "miter elbow with vanes",
        StepWord::Elbow(ElbowKind::MitreVanes),
    ),
    (
        "mitre elbow with turning vanes",
        StepWord::Elbow(ElbowKind::MitreVanes),
    ),
    (
        "miter elbow with turning vanes",
        StepWord::Elbow(ElbowKind::MitreVanes),
    ),
    (
        "square elbow with vanes",
        StepWord::Elbow(ElbowKind::MitreVanes),
    ),
    ("flex elbow", StepWord::Elbow(ElbowKind::FlexBend)),
    ("reducer", StepWord::Reducer),
    ("transition", StepWord::Reducer),
    ("straight boot", StepWord::Boot(BootKind::Straight)),
    ("register boot", StepWord::Boot(BootKind::Turn)),
    ("floor boot", StepWord::Boot(BootKind::Turn)),
    ("return grille", StepWord::Boot(BootKind::ReturnBox)),
    ("outdoor air intake", StepWord::Intake),
    ("outdoor-air intake", StepWord::Intake),
    ("outside air intake", StepWord::Intake),
    ("fresh air intake", StepWord::Intake),
    ("end cap", StepWord::Cap),
    ("balancing damper", StepWord::Damper),
    ("volume damper", StepWord::Damper),
    ("damper at", StepWord::Damper),
    ("canvas connector", StepWord::Canvas),
    ("fabric connector", StepWord::Canvas),
    ("access panel", StepWord::AccessDoor),
    ("test port", StepWord::TestHole),
    ("flex splice", StepWord::Splice),
];
