//! What is known of each quantity besides its value: its name, units, and way of being shown.

use super::units::{self, Unit};
use super::{QuantityError, UnitSystem};

/// One kind of quantity.
#[derive(Debug)]
pub struct Kind {
    /// Name with its article: `a length`.
    pub name: &'static str,
    /// An example as people write it.
    pub example: &'static str,
    /// Units in which it is read.
    pub units: &'static [Unit],
    /// Symbol of the coherent SI unit, one of `units` or, for money and fractions, nothing.
    pub(crate) si_symbol: &'static str,
    /// Symbol of the unit in which an SI value is shown.
    pub(crate) shown: fn(f64, UnitSystem) -> &'static str,
    /// Forms other than NUMBER UNIT (`9'6"`, `R-8`): `None` if the text is not in such a form.
    pub(crate) special: fn(&str) -> Option<Result<f64, QuantityError>>,
    /// Regular expressions for those forms, for the schema.
    pub(crate) special_patterns: &'static [&'static str],
}

impl Kind {
    /// The unit with this symbol.
    pub(crate) fn symbol(&self, symbol: &str) -> Option<&'static Unit> {
        self.units.iter().find(|u| u.symbol == symbol)
    }

    /// `ft, in, m, mm, cm`.
    pub(crate) fn unit_list(&self) -> String {
        let symbols: Vec<&str> = self.units.iter().map(|u| u.symbol).collect();
        symbols.join(", ")
    }
}

/// A quantity that can be read from text and shown: every newtype of this module.
pub trait Quantity:
    Copy + PartialOrd + std::fmt::Debug + std::str::FromStr<Err = QuantityError> + 'static
{
    /// Its name, units and forms.
    const KIND: &'static Kind;

    /// From a value in SI.
    fn from_si(si: f64) -> Self;

    /// The value in SI.
    fn to_si(self) -> f64;
}

/// All kinds, in the order in which a unit of the wrong kind is looked for.
pub(crate) const KINDS: &[&Kind] = &[
    &LENGTH,
    &AREA,
    &VOLUME,
    &FLOW,
    &PRESSURE,
    &TEMPERATURE,
    &THERMAL_RESISTANCE,
    &VELOCITY,
    &AIR_CHANGE,
    &AIR_CHANGE_50,
    &ENERGY,
    &POWER,
    &DEGREE_DAYS,
    &DURATION,
    &MONEY,
    &FRACTION,
    &GAUGE,
    &TEMPERATURE_DIFFERENCE,
];

fn no_special(_: &str) -> Option<Result<f64, QuantityError>> {
    None
}

macro_rules! kinds {
    ($($name:ident: $words:literal, $example:literal, $si:literal, $shown:expr;)*) => {
        $(pub(crate) const $name: Kind = Kind {
            name: $words,
            example: $example,
            units: units::$name,
            si_symbol: $si,
            shown: $shown,
            special: no_special,
            special_patterns: &[],
        };)*
    };
}

fn by_system(system: UnitSystem, ip: &'static str, si: &'static str) -> &'static str {
    match system {
        UnitSystem::Ip => ip,
        UnitSystem::Si => si,
    }
}

kinds! {
    AREA: "an area", "1680 ft2", "m2", |si, s| match s {
        UnitSystem::Ip if si.abs() < 0.1 => "in2", // about a square foot
        UnitSystem::Ip => "ft2",
        UnitSystem::Si if si.abs() < 0.1 => "cm2",
        UnitSystem::Si => "m2",
    };
    VOLUME: "a volume", "12 ft3", "m3", |si, s| match s {
        UnitSystem::Ip if si.abs() < 0.03 => "gal", // about a cubic foot
        UnitSystem::Ip => "ft3",
        UnitSystem::Si if si.abs() < 0.1 => "L",
        UnitSystem::Si => "m3",
    };
    FLOW: "a flow", "263 cfm", "m3/s", |_, s| by_system(s, "cfm", "L/s");
    // Test pressures are said in pascals in both systems; ask for `in. w.g.` by `show_in`.
    PRESSURE: "a pressure", "25 Pa", "Pa", |_, _| "Pa";
    TEMPERATURE: "a temperature", "68 °F", "K", |_, s| by_system(s, "°F", "°C");
    TEMPERATURE_DIFFERENCE: "a temperature difference", "20 °F", "K", |_, s| by_system(s, "°F", "K");
    VELOCITY: "a velocity", "700 fpm", "m/s", |_, s| by_system(s, "fpm", "m/s");
    AIR_CHANGE: "an air change", "0.35 ACH", "", |_, _| "ACH";
    AIR_CHANGE_50: "an air change at 50 Pa", "5.2 ACH50", "", |_, _| "ACH50";
    ENERGY: "an energy", "640 therm", "J", |_, s| by_system(s, "kBtu", "kWh");
    POWER: "a power", "60 kBtu/h", "W", |_, s| by_system(s, "kBtu/h", "kW");
    DEGREE_DAYS: "a number of degree-days", "5400 degree-days F", "K·s", |_, s| by_system(s, "°F·day", "K·day");
    DURATION: "a time", "45 min", "s", |si, _| if si.abs() < 60.0 { "s" } else if si.abs() < 7200.0 { "min" } else { "h" };
    FRACTION: "a part of the whole", "3 %", "", |_, _| "%";
}

/// Lengths, with `9 ft 6 in`, `9'6"` and `3 1/2 in` besides.
pub(crate) const LENGTH: Kind = Kind {
    name: "a length",
    example: "24 ft",
    units: units::LENGTH,
    si_symbol: "m",
    shown: |si, s| match s {
        UnitSystem::Ip if si.abs() < units::FOOT => "in",
        UnitSystem::Ip => "ft",
        UnitSystem::Si if si.abs() < 0.1 => "mm",
        UnitSystem::Si => "m",
    },
    special: super::parse::feet_and_inches,
    special_patterns: &[
        r#"[-+−]?[0-9.]+\s*([fF][tT]\.?|[fF][oO][oO][tT]|[fF][eE][eE][tT]|['’′])[ -]*[0-9.]+([ -]+[0-9]+/[0-9]+|/[0-9]+)?\s*([iI][nN]([cC][hH]([eE][sS])?)?\.?|["”″])?"#,
        r#"[-+−]?([0-9]+[ -]+)?[0-9]+/[0-9]+\s*([iI][nN]([cC][hH]([eE][sS])?)?\.?|["”″]|[fF][tT]\.?)"#,
    ],
};

/// Thermal resistances, with `R-8` besides.
pub(crate) const THERMAL_RESISTANCE: Kind = Kind {
    name: "a thermal resistance",
    example: "R-8",
    units: units::THERMAL_RESISTANCE,
    si_symbol: "m2·K/W",
    shown: |_, s| by_system(s, "ft2·°F·h/Btu", "m2·K/W"),
    special: super::parse::r_value,
    special_patterns: &[r"[rR]([sS][iI])?[ -]*[0-9.]+"],
};

/// Money, also as a plain amount.
pub(crate) const MONEY: Kind = Kind {
    name: "an amount of money",
    example: "12.50 $",
    units: units::MONEY,
    si_symbol: "$",
    shown: |_, _| "$",
    special: super::parse::amount,
    special_patterns: &[r"\$?\s*[-+]?[0-9.]+"],
};

/// Sheet gauges, also as a thickness.
pub(crate) const GAUGE: Kind = Kind {
    name: "a sheet gauge",
    example: "26 ga",
    units: units::GAUGE,
    si_symbol: "",
    shown: |_, _| "ga",
    special: no_special,
    special_patterns: &[],
};
