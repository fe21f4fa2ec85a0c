//! The mappings of `limits` and `record`, key by key.

use super::evidence_tables::DATE;
use super::fields::Shape::{Form, Map, Name, Quantity, Text, Words, YesNo};
use super::fields::{Field, Shape, Table, may, must};
use super::tables::{FLOW, FRACTION, PRESSURE, schema_of};
use super::words::{self, listed};
use crate::quantity::Temperature;

const TEMPERATURE: Shape = Quantity(schema_of::<Temperature>);
const FIGURE: Shape = Form(
    r"^\s*(?:[cC][lL][aA][sS][sS]\s+[0-9.]+|[0-9].*)\s*$",
    &["4 cfm per 100 ft2", "60 cfm", "6 % of airflow", "class 6"],
);

/// One item of `limits`.
pub(super) const LIMIT_ITEM: Shape = Shape::Either(&[Name, Map(&LIMIT)]);

const STAGE: Field = may(
    "stage",
    Words(|| listed(words::STAGE)),
    "rough-in, rough-in without handler, final, or existing (a system changed or repaired)",
);

/// A limit of the person's own.
pub(super) static LIMIT: Table = Table {
    name: "a limit",
    one_of: &["total", "to outside", "supply", "return"],
    needs: &[],
    only_with: &[],
    fields: &[
        must(
            "id",
            Name,
            "its name; that of a built-in limit stands in its place",
        ),
        may(
            "total",
            FIGURE,
            "the most that the whole system may leak, to anywhere",
        ),
        may(
            "to outside",
            FIGURE,
            "the most that it may leak to outside the house",
        ),
        may("supply", FIGURE, "the most that the supply side may leak"),
        may("return", FIGURE, "the most that the return side may leak"),
        STAGE,
        may("at least", FLOW, "the limit is never below this flow"),
        may("condition", Text, "when it applies, in free words"),
        must(
            "source",
            Text,
            "where the figure comes from: code, edition, contract",
        ),
    ],
};

/// `record`.
pub(super) static RECORD: Table = Table {
    name: "the record",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may("date", DATE, "day of the test, `YYYY-MM-DD`"),
        STAGE,
        may("tester", Text, "who tested, in free words"),
        may("weather", Text, "wind and weather, in free words"),
        may(
            "set up",
            Text,
            "how registers, doors, dampers and filters stood, in free words",
        ),
        may(
            "instruments",
            Text,
            "fan, gauges and their calibration, in free words",
        ),
        may("duct air", TEMPERATURE, "air in the ducts"),
        may("indoor air", TEMPERATURE, "air in the house"),
        may("outdoor air", TEMPERATURE, "air outdoors"),
        may(
            "barometer",
            PRESSURE,
            "absolute pressure of the air at the place, not brought to sea level; that of the elevation if not said",
        ),
        may(
            "baseline before",
            PRESSURE,
            "pressure at the tap with the fan off, before the test",
        ),
        may("baseline after", PRESSURE, "the same after the test"),
        may(
            "flow error",
            FRACTION,
            "error of the flow gauge as part of its reading",
        ),
        may(
            "pressure error",
            FRACTION,
            "error of the pressure gauge as part of its reading",
        ),
        may(
            "pressure error at least",
            PRESSURE,
            "least error of the pressure gauge",
        ),
        may(
            "errors are",
            Words(|| listed(words::ERRORS_ARE)),
            "limits of 95 % (1.96 standard deviations), or one standard deviation; limits if not said",
        ),
        may(
            "density corrected",
            YesNo,
            "whether the meter's flows are corrected for the density of the air already; yes if not said; if no, they are brought to 1.204 kg/m3",
        ),
    ],
};
