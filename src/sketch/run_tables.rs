//! The mappings of runs, steps, readings and looks, key by key.

use super::fields::Shape::{Either, Form, List, Map, Name, Number, Text, Words, Yes, YesNo};
use super::fields::{Shape, Table, may, must};
use super::limits;
use super::tables::{FLOW, FRACTION, INSULATION, LENGTH, PLACE, REACH, SIZE, STATED_FLOW, WORK};
use super::words::{self, listed};

/// A run.
pub(super) static RUN: Table = Table {
    name: "a run",
    one_of: &[],
    needs: &[],
    fields: &[
        must("id", Name, "its name"),
        may(
            "side",
            Words(|| listed(words::SIDE)),
            "supply or return; taken from where it starts if not said",
        ),
        must(
            "from",
            Form(
                r"^\s*(?:[sS][uU][pP][pP][lL][yY]\s+[pP][lL][eE][nN][uU][mM]|[rR][eE][tT][uU][rR][nN]\s+[pP][lL][eE][nN][uU][mM]|.+\s[aA][tT]\s.+|.+\s[eE][nN][dD])\s*$",
                &[
                    "supply plenum",
                    "return plenum",
                    "S at 6 ft",
                    "S at 6 ft left",
                    "S end",
                ],
            ),
            "where it starts",
        ),
        must("size", SIZE, "its section where it starts"),
        may(
            "material",
            Words(|| listed(words::MATERIAL)),
            "what it is made of; round sizes are round pipe, others rectangular, if not said",
        ),
        PLACE,
        REACH,
        WORK,
        INSULATION,
        may(
            "compression",
            FRACTION,
            "how far flexible duct is left compressed",
        ),
        may(
            "lined",
            YesNo,
            "whether its rectangular sheet metal is lined with fibrous glass",
        ),
        may("room", Name, "room that it serves"),
        may("design flow", FLOW, "airflow meant for the room"),
        must(
            "walk",
            List(&Either(&[STEP_TEXT, Map(&STEP)]), false),
            "steps from its start to its end",
        ),
    ],
};

const STEP_TEXT: Shape = Form(
    r"\S",
    &[
        "north 24 ft",
        "tab collar",
        "adjustable elbow up",
        "damper 40 deg",
        "reducer to 16x8 in",
        "9 ft in wall behind finish",
        "boot 10x4 in",
        "cap",
    ],
);

/// A walk step with more to say.
pub(super) static STEP: Table = Table {
    name: "a step",
    one_of: &[],
    needs: &[
        ("leak", "source"),
        ("spread", "leak"),
        ("n", "leak"),
        ("source", "leak"),
    ],
    fields: &[
        must("step", STEP_TEXT, "the step in words"),
        WORK,
        PLACE,
        REACH,
        INSULATION,
        may(
            "joint",
            Name,
            "joint type of its seam: an id of the catalogue or a trade word",
        ),
        may(
            "leak",
            STATED_FLOW,
            "own mean leak of the whole seam at 25 Pa",
        ),
        may(
            "spread",
            Number(limits::SPREAD.least, limits::SPREAD.most),
            "geometric standard deviation of the own leak; 1.5 if not said",
        ),
        may(
            "n",
            Number(limits::EXPONENT.least, limits::EXPONENT.most),
            "flow exponent of the own leak",
        ),
        may("source", Text, "where the own leak comes from"),
    ],
};

/// A reading.
pub(super) static READING: Table = Table {
    name: "a reading",
    one_of: &["total", "to outside", "supply", "return", "isolated"],
    needs: &[("isolated", "run"), ("run", "isolated")],
    fields: &[
        must("id", Name, "its name"),
        may(
            "total",
            STATED_FLOW,
            "leakage of the whole system with the house open",
        ),
        may(
            "to outside",
            STATED_FLOW,
            "leakage with the house held at the ducts' pressure",
        ),
        may(
            "supply",
            STATED_FLOW,
            "leakage of the supply side behind a barrier",
        ),
        may(
            "return",
            STATED_FLOW,
            "leakage of the return side behind a barrier",
        ),
        may(
            "isolated",
            STATED_FLOW,
            "leakage of one run behind a plug at its start",
        ),
        may("run", Name, "the isolated run"),
        may(
            "direction",
            Words(|| listed(words::DIRECTION)),
            "pressurised if not said",
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
        may(
            "date",
            Form("^[0-9]{4}-[0-9]{2}-[0-9]{2}$", &["2026-11-02"]),
            "day of the reading, YYYY-MM-DD",
        ),
        may("note", Text, "free words"),
    ],
};

/// A look.
pub(super) static LOOK: Table = Table {
    name: "a look",
    one_of: &["smoke", "gap", "sealed", "hanging"],
    needs: &[],
    fields: &[
        must(
            "seam",
            Text,
            "a seam, or a group such as `all boots` or `all joints of S`",
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
    ],
};
