//! The mappings of readings, looks, sealing and beliefs, key by key.

use super::fields::Shape::{Either, Form, List, Name, Number, Text, Words, Yes};
use super::fields::{Field, Only, Shape, Table, may, must};
use super::limits;
use super::tables::{FRACTION, LENGTH, PRESSURE, STATED_FLOW, STATED_PRESSURE};
use super::words::{self, listed};

/// A flow that was read, or several one after the other.
const FLOWS: Shape = Either(&[STATED_FLOW, List(&STATED_FLOW, false)]);
/// A pressure that was read, or several one after the other.
const PRESSURES: Shape = Either(&[STATED_PRESSURE, List(&STATED_PRESSURE, false)]);
/// Seams or groups of seams.
const SEAMS: Shape = Either(&[Text, List(&Text, false)]);
pub(super) const DATE: Shape = Form("^[0-9]{4}-[0-9]{2}-[0-9]{2}$", &["2026-11-02"]);
const AFTER: Field = may("after", Name, "after which step of `sealing`");
const BEFORE: Field = may("before", Name, "before which step of `sealing`");

/// Tests with a fan on the ducts.
const ON_DUCTS: &[&str] = &[
    "total",
    "to outside",
    "supply",
    "return",
    "isolated",
    "guarded supply",
    "guarded return",
    "rough-in",
];

/// A reading.
pub(super) static READING: Table = Table {
    name: "a reading",
    one_of: &[
        "total",
        "to outside",
        "supply",
        "return",
        "isolated",
        "guarded supply",
        "guarded return",
        "rough-in",
        "pan",
        "house fan open",
        "house fan masked",
        "register flow",
        "airflow",
        "supply static",
        "return static",
        "static rise",
        "room pressure",
        "place pressure",
        "house pressure",
        "nulling flow",
    ],
    needs: &[
        ("isolated", "run"),
        ("pan", "run"),
        ("register flow", "run"),
        ("room pressure", "room"),
        ("place pressure", "place"),
    ],
    only_with: &[
        Only {
            key: "run",
            with: &["isolated", "pan", "register flow"],
            words: "an isolated, pan or register flow reading",
        },
        Only {
            key: "room",
            with: &["room pressure"],
            words: "a room pressure",
        },
        Only {
            key: "place",
            with: &["place pressure"],
            words: "a place pressure",
        },
        Only {
            key: "direction",
            with: &[
                "total",
                "to outside",
                "supply",
                "return",
                "isolated",
                "guarded supply",
                "guarded return",
                "rough-in",
                "pan",
                "house fan open",
                "house fan masked",
                "place pressure",
                "nulling flow",
            ],
            words: "a reading with a test fan",
        },
        Only {
            key: "fan",
            with: ON_DUCTS,
            words: "a reading with a fan on the ducts",
        },
        Only {
            key: "tap",
            with: ON_DUCTS,
            words: "a reading with a fan on the ducts",
        },
        Only {
            key: "barrier",
            with: &["supply", "return", "guarded supply", "guarded return"],
            words: "a supply or return reading, guarded or not",
        },
        Only {
            key: "mask",
            with: &[
                "total",
                "to outside",
                "supply",
                "return",
                "isolated",
                "guarded supply",
                "guarded return",
                "rough-in",
                "house fan masked",
            ],
            words: "a reading with masked registers",
        },
        Only {
            key: "plugged",
            with: &[
                "total",
                "to outside",
                "supply",
                "return",
                "isolated",
                "guarded supply",
                "guarded return",
                "rough-in",
                "house fan open",
                "house fan masked",
            ],
            words: "a reading of a test fan's flow while the unit stands still",
        },
    ],
    fields: &[
        must("id", Name, "its name"),
        may(
            "total",
            FLOWS,
            "leakage of the whole system with the house open",
        ),
        may(
            "to outside",
            FLOWS,
            "leakage with the house held at the ducts' pressure",
        ),
        may(
            "supply",
            FLOWS,
            "leakage of the supply side behind a barrier",
        ),
        may(
            "return",
            FLOWS,
            "leakage of the return side behind a barrier",
        ),
        may(
            "isolated",
            FLOWS,
            "leakage of one run behind a plug at its start",
        ),
        may(
            "guarded supply",
            FLOWS,
            "leakage of the supply side, the return side held at the same pressure by a second fan",
        ),
        may(
            "guarded return",
            FLOWS,
            "leakage of the return side, the supply side held at the same pressure by a second fan",
        ),
        may(
            "rough-in",
            FLOWS,
            "leakage of the ducts before the air handler is set and the surfaces are finished",
        ),
        may(
            "pan",
            PRESSURES,
            "pressure behind a register under a pan, the house held by a fan in a door",
        ),
        may(
            "house fan open",
            FLOWS,
            "flow of a fan in a door that holds the house, registers open",
        ),
        may(
            "house fan masked",
            FLOWS,
            "flow of a fan in a door that holds the house, registers masked",
        ),
        may(
            "register flow",
            FLOWS,
            "flow through a register or grille while the unit runs",
        ),
        may("airflow", FLOWS, "flow of the air handler while it runs"),
        may(
            "supply static",
            PRESSURES,
            "static pressure in the supply plenum against the house while the unit runs",
        ),
        may(
            "return static",
            PRESSURES,
            "static pressure in the return plenum against the house while the unit runs",
        ),
        may(
            "static rise",
            PRESSURES,
            "static pressure of the supply plenum less the return plenum's while the unit runs",
        ),
        may(
            "room pressure",
            PRESSURES,
            "pressure of a room with a closed door against the house while the unit runs, with its sign",
        ),
        may(
            "place pressure",
            PRESSURES,
            "pressure of a place against the house, the house held by a fan in a door",
        ),
        may(
            "house pressure",
            PRESSURES,
            "pressure of the house against outdoors while the unit runs, with its sign",
        ),
        may(
            "nulling flow",
            FLOWS,
            "flow of a fan in a door that brings the house back to its pressure at rest while the unit runs",
        ),
        may(
            "run",
            Name,
            "the run that is isolated, under the pan, or at whose register the flow was read",
        ),
        may("room", Name, "the room whose pressure was read"),
        may("place", Name, "the place whose pressure was read"),
        may(
            "direction",
            Words(|| listed(words::DIRECTION)),
            "blown up or pulled down: ducts are pressurised and a house is depressurised if not said; a nulling fan that \
             blows into the house pressurises",
        ),
        may(
            "fan",
            Name,
            "where the test fan blows in: `blower panel` or a run",
        ),
        may(
            "tap",
            Name,
            "where the pressure tap is: `supply plenum`, `return plenum` or a run",
        ),
        may(
            "barrier",
            Words(|| listed(words::BARRIER)),
            "where the barrier between the sides stands",
        ),
        may(
            "mask",
            Words(|| listed(words::MASK)),
            "how the registers were masked",
        ),
        may(
            "plugged",
            List(&Name, true),
            "runs that were plugged at their start",
        ),
        may(
            "gauge",
            Name,
            "flow gauge; readings on one gauge share its error",
        ),
        may("date", DATE, "day of the reading, YYYY-MM-DD"),
        AFTER,
        BEFORE,
        may("note", Text, "free words"),
    ],
};

/// A look.
pub(super) static LOOK: Table = Table {
    name: "a look",
    one_of: &["smoke", "gap", "sealed", "hanging"],
    needs: &[],
    only_with: &[],
    fields: &[
        must(
            "seam",
            SEAMS,
            "a seam, a group such as `all boots` or `all joints of S`, or a list of them",
        ),
        may(
            "smoke",
            Words(|| listed(words::SMOKE)),
            "what smoke did at it",
        ),
        may("gap", LENGTH, "mean width of an open gap"),
        may("sealed", Yes, "sealed and sound"),
        may("hanging", Yes, "hanging loose or off"),
        may(
            "by",
            Name,
            "who looked; looks of one person share an offset",
        ),
        may(
            "at",
            PRESSURE,
            "pressure of the ducts meanwhile, masked as for a total test; 25 Pa if not said",
        ),
        may(
            "during",
            Name,
            "the reading in whose set-up it was, instead of `at`",
        ),
        AFTER,
        BEFORE,
    ],
};

/// A step of sealing.
pub(super) static SEALING: Table = Table {
    name: "a step of sealing",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        must("id", Name, "its name"),
        may("date", DATE, "day of the work, YYYY-MM-DD"),
        must(
            "seams",
            SEAMS,
            "the seams, or groups of seams, that were sealed",
        ),
        may(
            "work",
            Words(|| listed(words::SEALED_WITH)),
            "what it left: mastic if not said, or ordinary (taped, gasketed)",
        ),
    ],
};

const fn spread(key: &'static str, doc: &'static str) -> Field {
    may(
        key,
        Number(limits::SHARED_SPREAD.least, limits::SHARED_SPREAD.most),
        doc,
    )
}

/// `prior`.
pub(super) static PRIOR: Table = Table {
    name: "`prior`",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        spread(
            "workmanship spread",
            "geometric standard deviation of the system's workmanship",
        ),
        spread(
            "habit spread",
            "geometric standard deviation of the crew's habit with one joint type",
        ),
        may(
            "exponent spread",
            Number(limits::EXPONENT_SPREAD.least, limits::EXPONENT_SPREAD.most),
            "standard deviation of a joint type's flow exponent",
        ),
        may(
            "gross chance",
            Either(&[
                Number(limits::TIMES.least, limits::TIMES.most),
                Form(r"^\s*[0-9.]+\s*[tT][iI][mM][eE][sS]\s*$", &["2 times"]),
            ]),
            "factor on every chance that a seam hangs open",
        ),
        may(
            "wrong set-up chance",
            FRACTION,
            "chance that a reading's set-up was wrong",
        ),
        may(
            "gauge shared",
            FRACTION,
            "part of a meter's relative variance that readings on one gauge share",
        ),
        may(
            "smoke threshold",
            Number(limits::THRESHOLD.least, limits::THRESHOLD.most),
            "factor on the flow that moves smoke: above 1, smoke needs more",
        ),
        spread(
            "observer spread",
            "geometric standard deviation of one person's offset when looking",
        ),
        may(
            "nulling error",
            PRESSURE,
            "standard deviation of the pressure left between house and ducts in a reading to outside",
        ),
        may(
            "tap error",
            PRESSURE,
            "standard deviation of a pressure tap's baseline",
        ),
    ],
};
