//! The mappings of runs and steps, key by key.

use super::fields::Shape::{Either, Form, List, Map, Name, Number, Text, Words, YesNo};
use super::fields::{Shape, Table, may, must};
use super::limits;
use super::tables::{FLOW, FRACTION, INSULATION, PLACE, REACH, SIZE, STATED_FLOW, WORK};
use super::words::{self, listed};

/// A run.
pub(super) static RUN: Table = Table {
    name: "a run",
    one_of: &[],
    needs: &[],
    only_with: &[],
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
        may(
            "floor",
            Name,
            "floor of the house on which it lies, in a word of your own: groups of seams may name it",
        ),
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
    only_with: &[],
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
