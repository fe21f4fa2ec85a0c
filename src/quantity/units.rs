//! The one table of units: what each is called and its factor to SI, with the factor's source.
//!
//! Sources, by mark:
//! - **[def]** follows exactly from the international yard and pound agreement of 1959 (1 ft = 0.3048 m,
//!   1 lb = 0.453 592 37 kg), the SI brochure, or the decimal prefixes;
//! - **[811]** NIST Special Publication 811 (2008), appendix B, which marks the figure as exact.
//!
//! `SI value = (written + zero) · times / per`. Two numbers instead of one keep `3 %` at exactly 0.03.

/// International foot, m, exact [def].
pub(crate) const FOOT: f64 = 0.3048;
/// International inch, m, exact [def].
pub(crate) const INCH: f64 = 0.0254;
/// Square foot, m² [def].
pub(crate) const FOOT2: f64 = FOOT * FOOT;
/// Square inch, m² [def].
pub(crate) const INCH2: f64 = INCH * INCH;
/// Cubic foot, m³ [def].
pub(crate) const FOOT3: f64 = FOOT * FOOT * FOOT;
/// US liquid gallon, 231 cubic inches, m³, exact [811].
pub(crate) const GALLON: f64 = 231.0 * INCH * INCH * INCH;
/// Conventional inch of water, Pa: 25.4 mm of water of 1000 kg/m³ under 9.80665 m/s², exact [811].
/// Water at 4 °C (39.2 °F) would give 249.082 Pa, at 60 °F 248.84 Pa; the trade does not tell them apart.
pub(crate) const INCH_OF_WATER: f64 = 25.4 * 9.80665;
/// International Table Btu, J: 1 lb · 1 °F · 4186.8 J/(kg·K), exact [811].
pub(crate) const BTU: f64 = 1_055.055_852_62;
/// US therm, J, as gas is billed (100 000 Btu at 59 °F), exact [811]. The European therm of 100 000
/// International Table Btu is 0.024 % larger.
pub(crate) const THERM_US: f64 = 105.4804e6;
/// Kelvins in a degree Fahrenheit of difference: 5/9 [def], kept as a quotient in the rows below.
pub(crate) const FIVE: f64 = 5.0;
/// See [`FIVE`].
pub(crate) const NINE: f64 = 9.0;
/// Seconds in an hour [def].
pub(crate) const HOUR: f64 = 3600.0;
/// Seconds in a day [def].
pub(crate) const DAY: f64 = 86_400.0;

/// A unit of one quantity: its symbol, other spellings, and the way to SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Symbol used when writing and in hints.
    pub symbol: &'static str,
    /// Other spellings, folded: no `°`, `²` as `2`, `·` and `-` as one blank, no stop at the end of a word.
    pub(crate) also: &'static [&'static str],
    pub(crate) times: f64,
    pub(crate) per: f64,
    pub(crate) zero: f64,
    /// Whether capitals matter, where a small letter would mean something else (`mJ`, `MJ`).
    pub(crate) strict_case: bool,
}

impl Unit {
    /// SI value of a number written in this unit.
    pub fn to_si(&self, written: f64) -> f64 {
        (written + self.zero) * self.times / self.per
    }

    /// Number to be written in this unit for an SI value.
    pub fn from_si(&self, si: f64) -> f64 {
        si * self.per / self.times - self.zero
    }

    const fn strict(mut self) -> Self {
        self.strict_case = true;
        self
    }
}

const fn unit(symbol: &'static str, also: &'static [&'static str], times: f64, per: f64) -> Unit {
    Unit {
        symbol,
        also,
        times,
        per,
        zero: 0.0,
        strict_case: false,
    }
}

const fn scale(
    symbol: &'static str,
    also: &'static [&'static str],
    zero: f64,
    times: f64,
    per: f64,
) -> Unit {
    Unit {
        symbol,
        also,
        times,
        per,
        zero,
        strict_case: false,
    }
}

/// Lengths, to m.
pub(crate) const LENGTH: &[Unit] = &[
    unit("ft", &["foot", "feet", "'"], FOOT, 1.0), // [def]
    unit("in", &["inch", "inches", "\""], INCH, 1.0), // [def]
    unit("m", &["metre", "metres", "meter", "meters"], 1.0, 1.0), // [def]
    unit(
        "mm",
        &["millimetre", "millimetres", "millimeter", "millimeters"],
        1.0,
        1000.0,
    ), // [def]
    unit(
        "cm",
        &["centimetre", "centimetres", "centimeter", "centimeters"],
        1.0,
        100.0,
    ), // [def]
    unit("mil", &["mils"], INCH, 1000.0),          // thousandth of an inch [def]
];

/// Areas, to m².
pub(crate) const AREA: &[Unit] = &[
    unit(
        "ft2",
        &["sq ft", "sqft", "square feet", "square foot"],
        FOOT2,
        1.0,
    ), // [def]
    unit(
        "in2",
        &["sq in", "sqin", "square inches", "square inch"],
        INCH2,
        1.0,
    ), // [def]
    unit(
        "m2",
        &["sq m", "sqm", "square metres", "square meters"],
        1.0,
        1.0,
    ), // [def]
    unit("cm2", &["sq cm"], 1.0, 1.0e4), // [def]
    unit("mm2", &["sq mm"], 1.0, 1.0e6), // [def]
];

/// Volumes, to m³.
pub(crate) const VOLUME: &[Unit] = &[
    unit("gal", &["gallon", "gallons"], GALLON, 1.0), // [811]
    unit("L", &["litre", "litres", "liter", "liters"], 1.0, 1000.0), // [def]
    unit("mL", &["ml"], 1.0, 1.0e6).strict(),         // [def]; `ML` would be a megalitre
    unit("ft3", &["cu ft", "cubic feet", "cubic foot"], FOOT3, 1.0), // [def]
    unit("m3", &["cu m", "cubic metres", "cubic meters"], 1.0, 1.0), // [def]
];

/// Volume flows, to m³/s.
pub(crate) const FLOW: &[Unit] = &[
    unit("cfm", &["ft3/min", "cubic feet per minute"], FOOT3, 60.0), // [def]
    unit(
        "L/s",
        &["lps", "litres per second", "liters per second"],
        1.0,
        1000.0,
    ), // [def]
    unit(
        "m3/h",
        &[
            "m3/hr",
            "m3h",
            "cubic metres per hour",
            "cubic meters per hour",
        ],
        1.0,
        HOUR,
    ), // [def]
    unit(
        "m3/s",
        &["cubic metres per second", "cubic meters per second"],
        1.0,
        1.0,
    ), // [def]
];

/// Pressures, to Pa.
pub(crate) const PRESSURE: &[Unit] = &[
    unit("Pa", &["pascal", "pascals"], 1.0, 1.0), // [def]
    unit(
        "in. w.g.",
        &[
            "in wg",
            "inwg",
            "in w.c",
            "in wc",
            "inwc",
            "in w g",
            "in w c",
            "in.w.g",
            "in.w.c",
            "in.wg",
            "in.wc",
            "iwg",
            "iwc",
            "in h2o",
            "inh2o",
            "inches of water",
            "inch of water",
            "\" wg",
            "\"wg",
            "\" wc",
            "\"wc",
            "\" w.g",
            "\" w.c",
            "\"w.g",
            "\"w.c",
        ],
        INCH_OF_WATER,
        1.0,
    ), // [811]
    unit("kPa", &[], 1000.0, 1.0),                // [def]
];

/// Temperatures, to K.
pub(crate) const TEMPERATURE: &[Unit] = &[
    scale(
        "°F",
        &["deg F", "degF", "degrees F", "fahrenheit"],
        459.67,
        FIVE,
        NINE,
    ), // [def] by 0 °C = 273.15 K = 32 °F
    scale(
        "°C",
        &["deg C", "degC", "degrees C", "celsius"],
        273.15,
        1.0,
        1.0,
    ), // [def]
    unit("K", &["kelvin"], 1.0, 1.0), // [def]
];

/// Temperature differences, to K.
pub(crate) const TEMPERATURE_DIFFERENCE: &[Unit] = &[
    unit(
        "°F",
        &["deg F", "degF", "degrees F", "F difference"],
        FIVE,
        NINE,
    ), // [def]
    unit(
        "°C",
        &["deg C", "degC", "degrees C", "C difference"],
        1.0,
        1.0,
    ), // [def]
    unit("K", &["kelvin", "kelvins"], 1.0, 1.0), // [def]
];

/// Thermal resistances of a layer, to m²·K/W.
pub(crate) const THERMAL_RESISTANCE: &[Unit] = &[
    // m²·K/W from ft²·°F·h/Btu(IT) = 0.176 110 [811]
    unit(
        "ft2·°F·h/Btu",
        &["h ft2 F/Btu", "ft2 h F/Btu", "ft2 F h/Btu"],
        FOOT2 * FIVE * HOUR,
        NINE * BTU,
    ),
    unit("m2·K/W", &["m2K/W", "m2 C/W", "K m2/W"], 1.0, 1.0), // [def]
];

/// Velocities, to m/s.
pub(crate) const VELOCITY: &[Unit] = &[
    unit("fpm", &["ft/min", "feet per minute"], FOOT, 60.0), // [def]
    unit(
        "m/s",
        &["mps", "metres per second", "meters per second"],
        1.0,
        1.0,
    ), // [def]
];

/// Air changes, to 1/s.
pub(crate) const AIR_CHANGE: &[Unit] = &[
    unit(
        "ACH",
        &["1/h", "/h", "per hour", "air changes per hour"],
        1.0,
        HOUR,
    ), // [def]
];

/// Air changes at 50 Pa of house pressure, to 1/s.
pub(crate) const AIR_CHANGE_50: &[Unit] = &[unit("ACH50", &["ACH 50"], 1.0, HOUR)]; // [def]

/// Energies, to J.
pub(crate) const ENERGY: &[Unit] = &[
    unit("therm", &["therms"], THERM_US, 1.0), // [811]
    unit("kWh", &["kW h"], 3.6e6, 1.0),        // [def]
    unit("MJ", &[], 1.0e6, 1.0).strict(),      // [def]; `mJ` would be a millijoule
    unit("kBtu", &[], 1000.0 * BTU, 1.0),      // [811]
    unit("J", &["joule", "joules"], 1.0, 1.0), // [def]
];

/// Powers, to W.
pub(crate) const POWER: &[Unit] = &[
    unit("kBtu/h", &["kBtu/hr", "kBtuh"], 1000.0 * BTU, HOUR), // [811]
    unit("Btu/h", &["Btu/hr", "Btuh"], BTU, HOUR),             // [811]
    unit("kW", &["kilowatt", "kilowatts"], 1000.0, 1.0),       // [def]
    unit("W", &["watt", "watts"], 1.0, 1.0),                   // [def]
    unit(
        "tons",
        &["ton", "tons of refrigeration", "ton of refrigeration"],
        12_000.0 * BTU,
        HOUR,
    ), // of refrigeration [811]
];

/// Degree-days, to K·s. A bare `HDD` is not a unit: the degree must be said.
pub(crate) const DEGREE_DAYS: &[Unit] = &[
    unit(
        "°F·day",
        &["F days", "degree days F", "degree day F", "HDD F", "F d"],
        FIVE * DAY,
        NINE,
    ), // [def]
    unit(
        "K·day",
        &[
            "K days",
            "C day",
            "C days",
            "degree days C",
            "degree days K",
            "HDD C",
            "HDD K",
            "K d",
        ],
        DAY,
        1.0,
    ), // [def]
    unit("K·s", &["Ks"], 1.0, 1.0), // [def]
];

/// Durations, to s.
pub(crate) const DURATION: &[Unit] = &[
    unit("min", &["mins", "minute", "minutes"], 60.0, 1.0), // [def]
    unit("h", &["hr", "hrs", "hour", "hours"], HOUR, 1.0),  // [def]
    unit("s", &["sec", "second", "seconds"], 1.0, 1.0),     // [def]
];

/// Money, in the one currency of the sketch.
pub(crate) const MONEY: &[Unit] = &[unit("$", &["dollar", "dollars"], 1.0, 1.0)];

/// Fractions, to parts of one.
pub(crate) const FRACTION: &[Unit] = &[unit("%", &["percent", "per cent", "pct"], 1.0, 100.0)]; // [def]

/// Sheet gauge numbers; the thickness is a table, not a factor.
pub(crate) const GAUGE: &[Unit] = &[unit("ga", &["gauge", "gage"], 1.0, 1.0)];
