//! The newtypes, made by one macro.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use super::kinds::{self, Kind, Quantity};
use super::units::{self, DAY, FOOT, FOOT2, FOOT3, HOUR, INCH, INCH_OF_WATER, INCH2};
use super::{QuantityError, UnitSystem, parse, show};

/// Makes one quantity. `like` quantities add, subtract and scale; a temperature does not.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $kind:ident $(, $from:ident $to:ident $factor:expr, $unit:literal)*) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From a value in SI.
            pub const fn new(si: f64) -> Self {
                Self(si)
            }

            /// The value in SI.
            pub const fn si(self) -> f64 {
                self.0
            }

            $(
                #[doc = concat!("From a value in ", $unit, ".")]
                pub const fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }

                #[doc = concat!("The value in ", $unit, ".")]
                pub const fn $to(self) -> f64 {
                    self.0 / $factor
                }
            )*

            /// Reads a value that must be above zero.
            ///
            /// # Errors
            /// What [`str::parse`] refuses, and zero or less.
            pub fn parse_positive(text: &str) -> Result<Self, QuantityError> {
                parse::positive(text)
            }

            /// Reads a value that must not be below zero.
            ///
            /// # Errors
            /// What [`str::parse`] refuses, and less than zero.
            pub fn parse_not_negative(text: &str) -> Result<Self, QuantityError> {
                parse::not_negative(text)
            }

            /// The value with its unit in a unit system, three significant digits.
            pub fn show(self, system: UnitSystem) -> String {
                show::show(self, system, show::USUAL_DIGITS)
            }

            /// The same with a number of significant digits.
            pub fn show_with(self, system: UnitSystem, digits: usize) -> String {
                show::show(self, system, digits)
            }

            /// The value in the unit of this symbol; `None` if the quantity has no such unit.
            pub fn show_in(self, symbol: &str, digits: usize) -> Option<String> {
                show::show_in(self, symbol, digits)
            }
        }

        impl Quantity for $name {
            const KIND: &'static Kind = &kinds::$kind;

            fn from_si(si: f64) -> Self {
                Self(si)
            }

            fn to_si(self) -> f64 {
                self.0
            }
        }

        impl std::str::FromStr for $name {
            type Err = QuantityError;

            fn from_str(text: &str) -> Result<Self, QuantityError> {
                parse::quantity(text)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                super::schema::quantity(&kinds::$kind)
            }
        }
    };
}

/// Sums and differences of like with like, quotients, and writing in SI (all shortest digits, read back the same).
macro_rules! like {
    ($($name:ident)*) => {$(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, by: f64) -> Self {
                Self(self.0 / by)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, by: Self) -> f64 {
                self.0 / by.0
            }
        }
    )*};
}

/// Writing in the coherent SI unit.
macro_rules! display_si {
    ($($name:ident)*) => {$(
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{} {}", self.0, <$name as Quantity>::KIND.si_symbol)
            }
        }
    )*};
}

/// Writing of quantities whose SI unit is a bare `1` or `1/s` by the unit that people read.
macro_rules! display_by {
    ($($name:ident $symbol:literal)*) => {$(
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                let unit = <$name as Quantity>::KIND.symbol($symbol).expect("the symbol is one of the table's");
                write!(f, "{} {}", unit.from_si(self.0), $symbol)
            }
        }
    )*};
}

quantity!(
    /// A length, m. Read from `24 ft`, `9 ft 6 in`, `9'6"`, `3 1/2 in`, `150 mm`, `12 mil`.
    Length, LENGTH, from_ft to_ft FOOT, "feet", from_in to_in INCH, "inches", from_m to_m 1.0, "metres",
    from_mm to_mm 0.001, "millimetres"
);
quantity!(
    /// An area, m². Read from `1680 ft2`, `156 m²`, `58 in2`, `12 cm2`.
    Area, AREA, from_ft2 to_ft2 FOOT2, "square feet", from_in2 to_in2 INCH2, "square inches", from_m2 to_m2 1.0, "square metres",
    from_cm2 to_cm2 1.0e-4, "square centimetres"
);
quantity!(
    /// A volume, m³. Read from `2 gal` (US), `400 mL`, `12 ft3`.
    Volume, VOLUME, from_ft3 to_ft3 FOOT3, "cubic feet", from_m3 to_m3 1.0, "cubic metres", from_gal to_gal units::GALLON, "US gallons",
    from_litres to_litres 0.001, "litres"
);
quantity!(
    /// A volume flow, m³/s. Read from `263 cfm`, `124 L/s`, `450 m3/h`.
    ///
    /// The number alone does not say at which density: that is stated where the flow is used.
    Flow, FLOW, from_cfm to_cfm (FOOT3 / 60.0), "cubic feet per minute", from_litres_s to_litres_s 0.001, "litres per second",
    from_m3_s to_m3_s 1.0, "cubic metres per second", from_m3_h to_m3_h (1.0 / HOUR), "cubic metres per hour"
);
quantity!(
    /// A pressure or a pressure difference, Pa. Read from `25 Pa`, `0.10 in. w.g.`, `0.1 inwc`.
    ///
    /// The inch of water is the conventional one: 249.08891 Pa.
    Pressure, PRESSURE, from_pa to_pa 1.0, "pascals", from_in_wg to_in_wg INCH_OF_WATER, "conventional inches of water"
);
quantity!(
    /// A temperature on the absolute scale, K. Read from `68 °F`, `20 C`, `293.15 K`.
    Temperature, TEMPERATURE
);
quantity!(
    /// A difference of temperatures, K. Read from `20 °F` (11.1 K), `12 K`.
    TemperatureDifference, TEMPERATURE_DIFFERENCE, from_kelvins to_kelvins 1.0, "kelvins",
    from_fahrenheit to_fahrenheit (5.0 / 9.0), "degrees Fahrenheit of difference"
);
quantity!(
    /// A thermal resistance of a layer, m²·K/W. Read from `R-8` (ft²·°F·h/Btu), `RSI 1.4`, `1.4 m2K/W`.
    ThermalResistance, THERMAL_RESISTANCE,
    from_r to_r (FOOT2 * 5.0 * HOUR / (9.0 * units::BTU)), "square foot degrees Fahrenheit hours per Btu"
);
quantity!(
    /// A velocity, m/s. Read from `700 fpm`, `3.5 m/s`.
    Velocity, VELOCITY, from_fpm to_fpm (FOOT / 60.0), "feet per minute", from_m_s to_m_s 1.0, "metres per second"
);
quantity!(
    /// A natural air-change rate of a house, 1/s. Read from `0.35 ACH`.
    AirChange, AIR_CHANGE, from_per_hour to_per_hour (1.0 / HOUR), "air changes per hour"
);
quantity!(
    /// The air change of a house held at 50 Pa, 1/s. Read from `5.2 ACH50`. Some twenty times a natural
    /// rate (common practice), therefore a type of its own.
    AirChangeAt50Pa, AIR_CHANGE_50, from_per_hour to_per_hour (1.0 / HOUR), "air changes per hour"
);
quantity!(
    /// An energy, J. Read from `640 therm` (US), `2100 kWh`, `90 MJ`, `500 kBtu`.
    Energy, ENERGY, from_kwh to_kwh 3.6e6, "kilowatt-hours", from_therms to_therms units::THERM_US, "US therms",
    from_kbtu to_kbtu (1000.0 * units::BTU), "thousands of Btu"
);
quantity!(
    /// A power, W. Read from `60 kBtu/h`, `12 kW`, `3 tons` (of refrigeration, 12 000 Btu/h each).
    Power, POWER, from_watts to_watts 1.0, "watts", from_kbtu_h to_kbtu_h (1000.0 * units::BTU / HOUR), "thousands of Btu per hour",
    from_tons to_tons (12_000.0 * units::BTU / HOUR), "tons of refrigeration"
);
quantity!(
    /// Degree-days, K·s. Read from `5400 degree-days F`, `5400 HDD F`, `3000 K·day`. The degree must be said.
    DegreeDays, DEGREE_DAYS, from_kelvin_days to_kelvin_days DAY, "kelvin days",
    from_fahrenheit_days to_fahrenheit_days (DAY * 5.0 / 9.0), "degree Fahrenheit days"
);
quantity!(
    /// A time, s. Read from `45 min`, `1.5 h`.
    Duration, DURATION, from_minutes to_minutes 60.0, "minutes", from_hours to_hours HOUR, "hours"
);
quantity!(
    /// An amount of money. Read from `$ 12.50`, `12.50 $`, `12.50`. It knows no currency and no year.
    Money, MONEY
);
quantity!(
    /// A part of the whole, 1 for all of it. Read from `3 %`.
    Fraction, FRACTION
);

impl Fraction {
    /// From per cent.
    pub const fn from_percent(value: f64) -> Self {
        Self(value / 100.0)
    }

    /// In per cent.
    pub const fn to_percent(self) -> f64 {
        self.0 * 100.0
    }
}

like!(Length Area Volume Flow Pressure TemperatureDifference ThermalResistance Velocity AirChange AirChangeAt50Pa Energy Power
    DegreeDays Duration Money Fraction);
display_si!(Length Area Volume Flow Pressure Temperature TemperatureDifference ThermalResistance Velocity Energy Power DegreeDays
    Duration Money);
display_by!(AirChange "ACH" AirChangeAt50Pa "ACH50" Fraction "%");

impl Temperature {
    /// From degrees Celsius.
    pub const fn from_celsius(value: f64) -> Self {
        Self(value + 273.15)
    }

    /// In degrees Celsius.
    pub const fn to_celsius(self) -> f64 {
        self.0 - 273.15
    }

    /// From degrees Fahrenheit.
    pub const fn from_fahrenheit(value: f64) -> Self {
        Self((value + 459.67) * 5.0 / 9.0)
    }

    /// In degrees Fahrenheit.
    pub const fn to_fahrenheit(self) -> f64 {
        self.0 * 9.0 / 5.0 - 459.67
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

impl Add<TemperatureDifference> for Temperature {
    type Output = Self;
    fn add(self, by: TemperatureDifference) -> Self {
        Self(self.0 + by.0)
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}
