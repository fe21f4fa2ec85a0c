//! Every set-up once, as data: what takes part, what stands open, what runs, what is held and what is read.
//!
//! A new test is a new row here, a variant of [`TestKind`] and its word.

use super::types::TestKind;

/// What takes part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The whole system.
    Whole,
    /// One side behind a barrier.
    OneSide {
        /// Whether the barrier leaks. It does not where a second fan holds the other side at the same pressure.
        barrier_leaks: bool,
    },
    /// One run behind a plug.
    OneRun,
    /// The ducts before the air handler is set and the surfaces are finished: cabinet, filter and coil are missing,
    /// and there are no gaps between boots and surfaces yet.
    RoughIn,
}

/// How registers and grilles stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Openings {
    /// Masked.
    Masked,
    /// Open.
    Open,
    /// Open but for one under a pan.
    OneCovered,
}

/// What moves air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mover {
    /// A test fan on the ducts that holds the pressure at a tap; the blower stands still.
    DuctFan,
    /// A test fan in an outside door that holds the house; the blower stands still.
    HouseFan,
    /// The system's own blower.
    Blower,
    /// The blower, while a test fan holds the house.
    BlowerAndHouseFan,
}

impl Mover {
    /// Whether the system's own blower runs.
    #[must_use]
    pub fn runs_blower(self) -> bool {
        matches!(self, Mover::Blower | Mover::BlowerAndHouseFan)
    }
}

/// What pressure the house has against outdoors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HousePressure {
    /// None: a door stands open to outdoors.
    Outdoors,
    /// The pressure of the ducts.
    AsDucts,
    /// What the house fan holds.
    Held,
    /// Whatever its leaks and the blower make of it.
    Floats,
}

/// What is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reads {
    /// Flow of the duct fan.
    DuctFanFlow,
    /// Flow of the house fan.
    HouseFanFlow,
    /// Pressure behind the covered register less that of its room.
    PanPressure,
    /// Flow through the blower.
    BlowerFlow,
}

/// A set-up as data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recipe {
    /// Word for it on the command line and in JSON.
    pub id: &'static str,
    /// What is done, in words.
    pub words: &'static str,
    /// What takes part.
    pub part: Part,
    /// Registers and grilles.
    pub openings: Openings,
    /// What moves air.
    pub mover: Mover,
    /// Whether the filter is in place. Leakage tests take it out.
    pub filter_in: bool,
    /// The house.
    pub house: HousePressure,
    /// Usual pressure, Pa, of the tap or of the house; above zero is blown up.
    pub usual_pa: f64,
    /// Whether inner doors are opened for it; else they stand as the sketch says.
    pub doors_opened: bool,
    /// What is read.
    pub reads: Reads,
    /// Where the set-up comes from.
    pub source: &'static str,
}

/// The usual test pressure of ducts, Pa. Common practice for residential ducts.
pub const TEST_PRESSURE_PA: f64 = 25.0;
/// The usual pressure of a house under its own fan, Pa, pulled down. Common practice.
pub const HOUSE_FAN_PA: f64 = -50.0;

const LEAKAGE_TEST: Recipe = Recipe {
    id: "total",
    words: "blower off, filter out, registers masked, house open to outdoors; a fan holds the ducts",
    part: Part::Whole,
    openings: Openings::Masked,
    mover: Mover::DuctFan,
    filter_in: false,
    house: HousePressure::Outdoors,
    usual_pa: TEST_PRESSURE_PA,
    doors_opened: true,
    reads: Reads::DuctFanFlow,
    source: "common practice, total leakage as in ASTM E1554",
};

const HOUSE_FAN_TEST: Recipe = Recipe {
    id: "house-fan-open",
    words: "blower off, burners off, filter out, registers open; a fan in a door holds the house",
    part: Part::Whole,
    openings: Openings::Open,
    mover: Mover::HouseFan,
    filter_in: false,
    house: HousePressure::Held,
    usual_pa: HOUSE_FAN_PA,
    doors_opened: true,
    reads: Reads::HouseFanFlow,
    source: "common practice, one half of an envelope subtraction",
};

const ONE_SIDE_TEST: Recipe = Recipe {
    words: "as the total test on one side of a barrier, the other side open to the house",
    part: Part::OneSide {
        barrier_leaks: true,
    },
    source: "common practice",
    ..LEAKAGE_TEST
};

const GUARDED_TEST: Recipe = Recipe {
    words: "one side of a barrier, a second fan holding the other side at the same pressure",
    part: Part::OneSide {
        barrier_leaks: false,
    },
    source: "common practice, guarded test",
    ..LEAKAGE_TEST
};

const RUNNING: Recipe = Recipe {
    id: "running",
    words: "blower running, filter in, registers open, doors as sketched, house afloat on its leaks",
    part: Part::Whole,
    openings: Openings::Open,
    mover: Mover::Blower,
    filter_in: true,
    house: HousePressure::Floats,
    usual_pa: 0.0,
    doors_opened: false,
    reads: Reads::BlowerFlow,
    source: "normal running",
};

/// The recipes, in the order in which they are listed.
pub const RECIPES: [Recipe; 13] = [
    LEAKAGE_TEST,
    Recipe {
        id: "to-outside",
        words: "as the total test, with the house held at the pressure of the ducts",
        house: HousePressure::AsDucts,
        source: "common practice, leakage to outside as in ASTM E1554",
        ..LEAKAGE_TEST
    },
    Recipe {
        id: "supply",
        ..ONE_SIDE_TEST
    },
    Recipe {
        id: "return",
        ..ONE_SIDE_TEST
    },
    Recipe {
        id: "guarded-supply",
        ..GUARDED_TEST
    },
    Recipe {
        id: "guarded-return",
        ..GUARDED_TEST
    },
    Recipe {
        id: "isolated",
        words: "as the total test on one run behind a plug at its start, the rest open to the house",
        part: Part::OneRun,
        source: "common practice",
        ..LEAKAGE_TEST
    },
    Recipe {
        id: "rough-in",
        words: "ducts alone before the air handler is set and the surfaces are finished, boots masked",
        part: Part::RoughIn,
        source: "common practice, rough-in test of energy codes",
        ..LEAKAGE_TEST
    },
    Recipe {
        id: "pan",
        words: "blower off, burners off, filter out, house held; one register under a pan, the others open",
        openings: Openings::OneCovered,
        reads: Reads::PanPressure,
        source: "common practice of weatherization programmes",
        ..HOUSE_FAN_TEST
    },
    HOUSE_FAN_TEST,
    Recipe {
        id: "house-fan-masked",
        words: "blower off, burners off, filter out, registers masked; a fan in a door holds the house",
        openings: Openings::Masked,
        ..HOUSE_FAN_TEST
    },
    RUNNING,
    Recipe {
        id: "running-held",
        words: "as running, with a fan in a door that holds the house at the pressure it has at rest",
        mover: Mover::BlowerAndHouseFan,
        house: HousePressure::Held,
        reads: Reads::HouseFanFlow,
        source: "nulling test: the house fan makes up what supply and return leaks to outside differ by",
        ..RUNNING
    },
];

impl TestKind {
    /// Its recipe.
    pub fn recipe(self) -> &'static Recipe {
        use super::types::Side::{Return, Supply};
        let row = match self {
            TestKind::Total => 0,
            TestKind::ToOutside => 1,
            TestKind::OneSide(Supply) => 2,
            TestKind::OneSide(Return) => 3,
            TestKind::Guarded(Supply) => 4,
            TestKind::Guarded(Return) => 5,
            TestKind::Isolated(_) => 6,
            TestKind::RoughIn => 7,
            TestKind::Pan(_) => 8,
            TestKind::HouseFanOpen => 9,
            TestKind::HouseFanMasked => 10,
            TestKind::Running => 11,
            TestKind::RunningHeld => 12,
        };
        &RECIPES[row]
    }
}

#[cfg(test)]
mod tests {
    use super::super::types::Side;
    use super::*;

    #[test]
    fn every_kind_has_the_recipe_of_its_word() {
        let kinds = [
            (TestKind::Total, "total"),
            (TestKind::ToOutside, "to-outside"),
            (TestKind::OneSide(Side::Supply), "supply"),
            (TestKind::OneSide(Side::Return), "return"),
            (TestKind::Guarded(Side::Supply), "guarded-supply"),
            (TestKind::Guarded(Side::Return), "guarded-return"),
            (TestKind::Isolated(0), "isolated"),
            (TestKind::RoughIn, "rough-in"),
            (TestKind::Pan(0), "pan"),
            (TestKind::HouseFanOpen, "house-fan-open"),
            (TestKind::HouseFanMasked, "house-fan-masked"),
            (TestKind::Running, "running"),
            (TestKind::RunningHeld, "running-held"),
        ];
        assert_eq!(kinds.len(), RECIPES.len());
        for (kind, id) in kinds {
            assert_eq!(kind.recipe().id, id);
        }
    }
}
