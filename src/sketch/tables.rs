//! The mappings of a sketch, key by key.

use serde_json::Value;

use super::fields::Shape::{
    Either, Form, List, Map, Name, Named, Number, Quantity, Text, Version, Words, Yes,
};
use super::fields::{Field, Shape, Table, may, must};
use super::limits;
use super::words::{self, listed};
use crate::quantity::{Area, Flow, Fraction, Gauge, Length, Size, Stated, ThermalResistance};

/// The version of the file format that this program reads.
pub(super) const VERSION: u64 = 1;

fn schema_of<Q: schemars::JsonSchema>() -> Value {
    let mut generator = schemars::SchemaGenerator::default();
    Value::from(Q::json_schema(&mut generator))
}

const LENGTH: Shape = Quantity(schema_of::<Length>);
const SIZE: Shape = Quantity(schema_of::<Size>);
const FLOW: Shape = Quantity(schema_of::<Flow>);
const FRACTION: Shape = Quantity(schema_of::<Fraction>);
const STATED_FLOW: Shape = Quantity(schema_of::<Stated<Flow>>);

const WORK: Field = may(
    "work",
    Words(|| listed(words::WORK)),
    "workmanship: unsealed, ordinary (taped, gasketed), mastic (sealed)",
);
const REACH: Field = may(
    "reach",
    Words(|| listed(words::REACH)),
    "how well a hand can reach the seams",
);
const PLACE: Field = may("place", Name, "where it is; a name of `places`");
const INSULATION: Field = may(
    "insulation",
    Quantity(schema_of::<ThermalResistance>),
    "insulation around the duct",
);

/// The whole file.
pub(super) static SKETCH: Table = Table {
    name: "a sketch",
    one_of: &[],
    needs: &[],
    fields: &[
        must("ductseam", Version(VERSION), "version of the file format"),
        must("title", Text, "one line that names the job"),
        may("note", Text, "free words about the job"),
        may(
            "units",
            Words(|| listed(words::UNITS)),
            "units in which answers are shown; ip if not said",
        ),
        may("house", Map(&HOUSE), "the house around the ducts"),
        may(
            "suspect tape",
            Words(|| listed(words::SUSPECT_TAPE)),
            "whether old white or grey tape or wrap was seen that may hold asbestos; not checked if not said",
        ),
        may(
            "places",
            Named(&Either(&[Words(|| listed(words::LIKE)), Map(&PLACE_TABLE)])),
            "what surrounds the ducts, by name",
        ),
        may(
            "air handler",
            Map(&AIR_HANDLER),
            "the unit and its two plenums",
        ),
        may(
            "combustion",
            List(&Map(&APPLIANCE), true),
            "appliances that burn fuel",
        ),
        may(
            "usual",
            Map(&USUAL),
            "usual ways of building, for everything or by material",
        ),
        must(
            "runs",
            List(&Map(&RUN), false),
            "the ducts, each walked from where it starts to where it ends",
        ),
        may("readings", List(&Map(&READING), true), "measured leakage"),
        may("looks", List(&Map(&LOOK), true), "what was seen at seams"),
    ],
};

/// `house`.
pub(super) static HOUSE: Table = Table {
    name: "the house",
    one_of: &[],
    needs: &[],
    fields: &[
        may(
            "floor area",
            Quantity(schema_of::<Area>),
            "conditioned floor area that this system serves",
        ),
        may("height", LENGTH, "ceiling height of a storey"),
        may("elevation", LENGTH, "height above sea level"),
    ],
};

/// A place of `places`.
pub(super) static PLACE_TABLE: Table = Table {
    name: "a place",
    one_of: &[],
    needs: &[],
    fields: &[
        must(
            "like",
            Words(|| listed(words::LIKE)),
            "inside (at house pressure), outside, or buffer (between)",
        ),
        may(
            "zone reading",
            Form(
                r"^.+\sof\s.+\sto\s+(?:[oO][uU][tT][dD][oO][oO][rR][sS]|[hH][oO][uU][sS][eE])\s*$",
                &["46 of 50 Pa to outdoors", "4 of 50 Pa to house"],
            ),
            "pressure of the place against outdoors or against the house, of the house's pressure against outdoors",
        ),
        may(
            "outside",
            FRACTION,
            "how far it is outdoors by pressure: at 40 % it stands at 60 % of the house's pressure",
        ),
    ],
};

/// `air handler`.
pub(super) static AIR_HANDLER: Table = Table {
    name: "the air handler",
    one_of: &[],
    needs: &[],
    fields: &[
        PLACE,
        may(
            "airflow",
            Form(
                r"[0-9].*([^yY\s]\s+[Aa][Ss][Ss][Uu][Mm][Ee][Dd]$|\s[Bb][Yy]\s+[PpRrBbNn])",
                &[
                    "1200 cfm by plate at filter",
                    "1000 cfm by return grilles",
                    "1000 cfm by blower table",
                    "1200 cfm by nameplate",
                    "1200 cfm assumed",
                ],
            ),
            "airflow while running, and how it was got",
        ),
        may(
            "coil",
            Words(|| listed(words::COIL)),
            "where the cooling coil sits",
        ),
        may(
            "filter",
            Words(|| listed(words::FILTER)),
            "where the filter sits",
        ),
        WORK,
        REACH,
        may(
            "supply plenum",
            Map(&PLENUM),
            "the box above or after the unit",
        ),
        may(
            "return plenum",
            Map(&PLENUM),
            "the box or drop before the unit",
        ),
    ],
};

/// A plenum.
pub(super) static PLENUM: Table = Table {
    name: "a plenum",
    one_of: &[],
    needs: &[],
    fields: &[
        may("size", SIZE, "its section"),
        may("length", LENGTH, "its length along the air"),
        may(
            "material",
            Words(|| listed(words::MATERIAL)),
            "what it is made of",
        ),
        WORK,
        PLACE,
        REACH,
        INSULATION,
    ],
};

/// An appliance of `combustion`.
pub(super) static APPLIANCE: Table = Table {
    name: "an appliance",
    one_of: &[],
    needs: &[],
    fields: &[
        must("appliance", Name, "what it is"),
        must("draft", Words(|| listed(words::DRAFT)), "how it vents"),
        must("place", Name, "where it stands; a name of `places`"),
    ],
};

/// `usual`.
pub(super) static USUAL: Table = Table {
    name: "`usual`",
    one_of: &[],
    needs: &[],
    fields: &[
        may("all", Map(&USUAL_ENTRY), "everything"),
        may("rectangular", Map(&USUAL_ENTRY), "rectangular sheet metal"),
        may("round", Map(&USUAL_ENTRY), "round pipe"),
        may("spiral", Map(&USUAL_ENTRY), "spiral duct"),
        may("flex", Map(&USUAL_ENTRY), "flexible duct"),
        may("duct board", Map(&USUAL_ENTRY), "fibrous-glass duct board"),
        may(
            "panned joist",
            Map(&USUAL_ENTRY),
            "sheet panned under joists",
        ),
        may(
            "cavity",
            Map(&USUAL_ENTRY),
            "building cavities used as ducts",
        ),
    ],
};

/// One entry of `usual`.
pub(super) static USUAL_ENTRY: Table = Table {
    name: "a usual way",
    one_of: &[],
    needs: &[],
    fields: &[
        may(
            "seam",
            Name,
            "lengthwise seam: an id of the catalogue or a trade word, or `none`",
        ),
        may(
            "joint",
            Name,
            "transverse joint: an id of the catalogue or a trade word",
        ),
        may("section", LENGTH, "length between two transverse joints"),
        may(
            "gauge",
            Quantity(schema_of::<Gauge>),
            "sheet gauge or thickness",
        ),
        may(
            "compression",
            FRACTION,
            "how far flexible duct is left compressed",
        ),
        may("roughness", LENGTH, "absolute roughness"),
        WORK,
        REACH,
        PLACE,
        INSULATION,
    ],
};

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
