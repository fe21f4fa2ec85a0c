//! The mappings of `energy`, key by key, and what a place says of its air.

use super::fields::Shape::{Either, Form, List, Map, Name, Number, Quantity, Words};
use super::fields::{Field, Shape, Table, may, must};
use super::tables::{FRACTION, schema_of};
use super::words::{self, listed};
use crate::quantity::{AirChange, DegreeDays, Duration, Power, Temperature};

const TEMPERATURE: Shape = Quantity(schema_of::<Temperature>);
const DEGREE_DAYS: Shape = Quantity(schema_of::<DegreeDays>);
/// One price with its unit of energy.
const PRICE: Shape = Form(
    r"^\s*[A-Za-z$€£]*\s*[0-9][0-9.]*\s*[A-Za-z$€£]*\s*(?:[pP][eE][rR]\s|/)\s*[A-Za-z]+\s*$",
    &["1.45 per therm", "0.17 per kWh"],
);
const MONEY: Shape = Either(&[
    Number(0.0, 1.0e9),
    Form(
        r"^\s*[A-Za-z$€£]*\s*[0-9][0-9.]*\s*[A-Za-z$€£]*\s*$",
        &["$980"],
    ),
]);
const EFFICIENCY: Shape = Either(&[FRACTION, Number(1.0, 12.0)]);
const LOAD_AT: Shape = Form(
    r"[0-9].*\s[aA][tT]\s.*[0-9]|[0-9].*@.*[0-9]",
    &["40 kBtu/h at 5 F"],
);

const PRICE_KEY: Field = may(
    "price",
    PRICE,
    "what the energy costs, with its unit of energy",
);
const SUPPLY_AIR: Field = may(
    "supply air",
    TEMPERATURE,
    "temperature of the air in the supply plenum while running",
);
const EFFICIENCY_KEY: Field = may(
    "efficiency",
    EFFICIENCY,
    "heat moved for the energy bought over the season: a percentage, or a coefficient of performance of 1 or more",
);

/// `energy`.
pub(super) static ENERGY: Table = Table {
    name: "`energy`",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may("year", Number(1950.0, 2200.0), "the year of the prices"),
        may("currency", Name, "the word for the money, such as USD"),
        may("heating", Map(&HEATING), "how the house is heated"),
        may("cooling", Map(&COOLING), "how the house is cooled"),
        may("climate", Map(&CLIMATE), "the weather and the thermostat"),
        may(
            "heating load",
            LOAD_AT,
            "heat that the house loses, ducts left out, at an outdoor temperature",
        ),
        may(
            "cooling load",
            LOAD_AT,
            "heat that the house gains, ducts left out, at an outdoor temperature",
        ),
        may(
            "bins",
            List(&Map(&BIN), false),
            "hours of a year by outdoor temperature, instead of degree-days",
        ),
        may(
            "infiltration",
            Quantity(schema_of::<AirChange>),
            "natural infiltration with the air handler off",
        ),
        may(
            "fan",
            Quantity(schema_of::<Power>),
            "electric power of the running fan",
        ),
    ],
};

/// `heating`.
pub(super) static HEATING: Table = Table {
    name: "the heating",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may(
            "kind",
            Words(|| listed(words::HEATER)),
            "what makes the heat; furnace if not said",
        ),
        may(
            "fuel",
            Words(|| listed(words::FUEL)),
            "what is bought; follows from the kind where it can",
        ),
        PRICE_KEY,
        may(
            "bill",
            MONEY,
            "the year's heating part of the bills, in the currency",
        ),
        EFFICIENCY_KEY,
        SUPPLY_AIR,
    ],
};

/// `cooling`.
pub(super) static COOLING: Table = Table {
    name: "the cooling",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        PRICE_KEY,
        may(
            "bill",
            MONEY,
            "the year's cooling part of the bills, in the currency",
        ),
        EFFICIENCY_KEY,
        SUPPLY_AIR,
    ],
};

/// `climate`.
pub(super) static CLIMATE: Table = Table {
    name: "the climate",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may(
            "heating degree-days",
            DEGREE_DAYS,
            "heating degree-days of a year",
        ),
        may(
            "cooling degree-days",
            DEGREE_DAYS,
            "cooling degree-days of a year",
        ),
        may(
            "winter",
            TEMPERATURE,
            "mean outdoor temperature of the heating season",
        ),
        may(
            "summer",
            TEMPERATURE,
            "mean outdoor temperature while cooling is on",
        ),
        may(
            "indoors winter",
            TEMPERATURE,
            "indoor temperature when heated; 68 F if not said",
        ),
        may(
            "indoors summer",
            TEMPERATURE,
            "indoor temperature when cooled; 78 F if not said",
        ),
    ],
};

/// One entry of `bins`.
pub(super) static BIN: Table = Table {
    name: "a bin",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        must(
            "outdoor",
            TEMPERATURE,
            "outdoor temperature, the middle of the bin",
        ),
        must(
            "hours",
            Quantity(schema_of::<Duration>),
            "how long in a year",
        ),
    ],
};

/// Mean temperature of a place in the heating season.
pub(super) const WINTER: Field = may(
    "winter",
    TEMPERATURE,
    "mean temperature there in the heating season",
);
/// Mean temperature of a place while cooling is on.
pub(super) const SUMMER: Field = may(
    "summer",
    TEMPERATURE,
    "mean temperature there while cooling is on",
);
/// Part of the losses that comes back.
pub(super) const REGAIN: Field = may(
    "regain",
    FRACTION,
    "part of the ducts' losses there that comes back to the house",
);
