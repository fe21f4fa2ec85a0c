//! The mappings of a sketch, key by key: its head, the house and the unit. Runs have a file of their own, and
//! so have readings, looks, sealing and beliefs.

use serde_json::Value;

pub(super) use super::crew_tables::{CREW, METHOD, METHODS};
use super::energy_tables::{ENERGY, REGAIN, SUMMER, WINTER};
pub(super) use super::evidence_tables::{LOOK, PRIOR, READING, SEALING};
use super::fields::Shape::{
    Either, Form, List, Map, Name, Named, Quantity, Text, Version, Words, YesNo,
};
use super::fields::{Field, Shape, Table, may, must};
use super::limit_tables::LIMIT_ITEM;
pub(super) use super::limit_tables::RECORD;
pub(super) use super::minutes_table::MINUTES;
pub(super) use super::run_tables::{RUN, STEP};
pub(super) use super::variant_tables::VARIANT;
use super::words::{self, listed};
use crate::quantity::{
    Area, Flow, Fraction, Gauge, Length, Pressure, Size, Stated, ThermalResistance,
};

/// The version of the file format that this program reads.
pub(super) const VERSION: u64 = 1;

pub(super) fn schema_of<Q: schemars::JsonSchema>() -> Value {
    let mut generator = schemars::SchemaGenerator::default();
    Value::from(Q::json_schema(&mut generator))
}

pub(super) const LENGTH: Shape = Quantity(schema_of::<Length>);
pub(super) const SIZE: Shape = Quantity(schema_of::<Size>);
pub(super) const FLOW: Shape = Quantity(schema_of::<Flow>);
pub(super) const PRESSURE: Shape = Quantity(schema_of::<Pressure>);
const FLOW_AT: Shape = Form(
    r"[0-9].*\s[aA][tT]\s.*[0-9]|[0-9].*@.*[0-9]",
    &["2400 cfm at 50 Pa"],
);
const FLOW_AT_RISE: Shape = Form(
    r"[0-9].*\s[aA][tT]\s.*[0-9]|[0-9].*@.*[0-9]",
    &["1310 cfm at 0.2 inwc"],
);
pub(super) const FRACTION: Shape = Quantity(schema_of::<Fraction>);
pub(super) const STATED_FLOW: Shape = Quantity(schema_of::<Stated<Flow>>);
pub(super) const STATED_PRESSURE: Shape = Quantity(schema_of::<Stated<Pressure>>);

pub(super) const WORK: Field = may(
    "work",
    Words(|| listed(words::WORK)),
    "workmanship: unsealed, ordinary (taped, gasketed), mastic (sealed)",
);
pub(super) const REACH: Field = may(
    "reach",
    Words(|| listed(words::REACH)),
    "how well a hand can reach the seams",
);
pub(super) const PLACE: Field = may("place", Name, "where it is; a name of `places`");
pub(super) const INSULATION: Field = may(
    "insulation",
    Quantity(schema_of::<ThermalResistance>),
    "insulation around the duct",
);

/// The whole file.
pub(super) static SKETCH: Table = Table {
    name: "a sketch",
    one_of: &[],
    needs: &[],
    only_with: &[],
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
            "rooms",
            List(&Map(&ROOM), true),
            "doors of rooms that runs serve, and what passes by them when closed",
        ),
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
        may(
            "readings",
            List(&Map(&READING), true),
            "measured flows and pressures",
        ),
        may("looks", List(&Map(&LOOK), true), "what was seen at seams"),
        may(
            "sealing",
            List(&Map(&SEALING), true),
            "what was sealed between readings, in the order of the work",
        ),
        may(
            "prior",
            Map(&PRIOR),
            "what you believe of spreads and errors instead of the usual figures",
        ),
        may(
            "minutes",
            Map(&MINUTES),
            "minutes that looks and tests take you instead of the usual ones",
        ),
        may(
            "crew",
            Map(&CREW),
            "how a crew seals: rates, set-up times, methods",
        ),
        may(
            "energy",
            Map(&ENERGY),
            "heating, cooling, climate and prices, for what sealing saves",
        ),
        may(
            "variants",
            List(&Map(&VARIANT), true),
            "other ways of building the same system, to hold side by side",
        ),
        may(
            "limits",
            List(&LIMIT_ITEM, true),
            "limits to hold readings against: ids of built-in ones (`ductseam limits --list`), or your own",
        ),
        may(
            "record",
            Map(&RECORD),
            "when, at which stage, by whom and in what air the test was made",
        ),
    ],
};

/// `house`.
pub(super) static HOUSE: Table = Table {
    name: "the house",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may(
            "floor area",
            Quantity(schema_of::<Area>),
            "conditioned floor area that this system serves",
        ),
        may("height", LENGTH, "ceiling height of a storey"),
        may("elevation", LENGTH, "height above sea level"),
        may(
            "envelope",
            FLOW_AT,
            "leakage of the house to outdoors at a pressure; estimated from floor area and height if not said",
        ),
    ],
};

/// A room of `rooms`.
pub(super) static ROOM: Table = Table {
    name: "a room",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        must("room", Name, "its name, as a run names it"),
        may(
            "door",
            Words(|| listed(words::DOOR)),
            "how its door stands while the unit runs; open if not said",
        ),
        may(
            "undercut",
            SIZE,
            "gap under the door; 0.5x30 in if not said and the door is closed",
        ),
        may(
            "transfer",
            SIZE,
            "transfer grille or jump duct to the rest of the house",
        ),
    ],
};

/// A place of `places`.
pub(super) static PLACE_TABLE: Table = Table {
    name: "a place",
    one_of: &[],
    needs: &[],
    only_with: &[],
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
        may(
            "to outdoors",
            FLOW_AT,
            "leakage between the place and outdoors at a pressure",
        ),
        may(
            "to house",
            FLOW_AT,
            "leakage between the place and the house at a pressure",
        ),
        WINTER,
        SUMMER,
        REGAIN,
    ],
};

/// `air handler`.
pub(super) static AIR_HANDLER: Table = Table {
    name: "the air handler",
    one_of: &[],
    needs: &[],
    only_with: &[],
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
        may(
            "blower",
            Either(&[Words(|| listed(words::BLOWER)), Map(&BLOWER)]),
            "how its flow goes with pressure; fixed speed if not said",
        ),
        may(
            "filter loss",
            PRESSURE,
            "pressure loss of the filter at the airflow",
        ),
        may(
            "coil loss",
            PRESSURE,
            "pressure loss of the coil at the airflow",
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

/// A blower with points.
pub(super) static BLOWER: Table = Table {
    name: "a blower",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[must(
        "points",
        List(&FLOW_AT_RISE, false),
        "flows at static pressure rises across the cabinet, two or more",
    )],
};

/// A plenum.
pub(super) static PLENUM: Table = Table {
    name: "a plenum",
    one_of: &[],
    needs: &[],
    only_with: &[],
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
    only_with: &[],
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
    only_with: &[],
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
    only_with: &[],
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
        may(
            "lined",
            YesNo,
            "whether rectangular sheet metal is lined with fibrous glass",
        ),
        WORK,
        REACH,
        PLACE,
        INSULATION,
    ],
};
