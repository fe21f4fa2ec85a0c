//! How large things in a sketch may be. What lies beyond is refused as a slip of the pen.
//!
//! All figures are common sense (engineering estimates), not standards: they are wide of anything met in buildings.

/// Bytes of a sketch file.
pub(super) const BYTES: usize = 8 * 1024 * 1024;
/// Values, keys, lists and mappings of a sketch file.
pub(super) const NODES: usize = 1_000_000;
/// Items of any list: looks, steps of a walk.
pub(super) const ITEMS: usize = 50_000;
/// Runs. A large building has some hundred.
pub(crate) const RUNS: usize = 25_000;
/// Variants: each is solved and drawn beside the others.
pub(super) const VARIANTS: usize = 100;
/// Readings. A large building's test has some hundred.
pub(super) const READINGS: usize = 2_000;
/// Runs plugged during one reading.
pub(super) const PLUGGED: usize = 2_000;
/// Runs plugged, all readings together.
pub(super) const ALL_PLUGGED: usize = 20_000;
/// Levels of nesting.
pub(super) const DEPTH: usize = 24;
/// Anchors, and aliases.
pub(super) const ANCHORS: usize = 1_000;
/// Values that aliases may unfold to.
pub(super) const ALIAS_EVENTS: usize = 100_000;
/// Diagnostics that are kept; the rest is counted.
pub(super) const KEPT: usize = 200;
/// Characters of a name or id.
pub(super) const NAME: usize = 60;
/// Characters of the word for the money.
pub(super) const CURRENCY: usize = 8;
/// Characters of a title or another line of text.
pub(super) const LINE: usize = 300;
/// Characters of a note.
pub(super) const NOTE: usize = 20_000;

/// The range of a value, both ends allowed, with the words for a message.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds {
    /// What it is, with its article.
    pub name: &'static str,
    /// Least value, SI.
    pub least: f64,
    /// The least value in words.
    pub least_words: &'static str,
    /// Largest value, SI.
    pub most: f64,
    /// The largest value in words.
    pub most_words: &'static str,
}

macro_rules! bounds {
    ($($(#[$doc:meta])* $name:ident: $words:literal, $least:literal $least_words:literal, $most:literal $most_words:literal;)*) => {
        $($(#[$doc])* pub(super) const $name: Bounds =
            Bounds { name: $words, least: $least, least_words: $least_words, most: $most, most_words: $most_words };)*
    };
}

bounds! {
    /// Each side of a duct.
    DUCT_SIDE: "a side of a duct", 0.01 "10 mm (0.4 in)", 5.0 "5 m (16 ft)";
    /// Each side of an opening or door.
    OPENING_SIDE: "a side of an opening", 0.01 "10 mm (0.4 in)", 5.0 "5 m (16 ft)";
    /// A straight length of duct.
    STRAIGHT: "a length of duct", 0.001 "1 mm (0.04 in)", 1000.0 "1 km (3280 ft)";
    /// All straight lengths of one run.
    RUN: "the length of a run", 0.0 "0", 1000.0 "1 km (3280 ft)";
    /// A distance along a run.
    ALONG: "a distance along a run", 0.0 "0", 1000.0 "1 km (3280 ft)";
    /// A plenum.
    PLENUM: "the length of a plenum", 0.01 "10 mm (0.4 in)", 20.0 "20 m (65 ft)";
    /// One section of duct between two transverse joints.
    SECTION: "the length of a section", 0.05 "50 mm (2 in)", 50.0 "50 m (164 ft)";
    /// Sheet thickness.
    SHEET: "a sheet thickness", 0.0001 "0.1 mm (0.004 in)", 0.05 "50 mm (2 in)";
    /// Absolute roughness.
    ROUGHNESS: "a roughness", 0.0 "0", 0.02 "20 mm (0.8 in)";
    /// Compression of flexible duct.
    COMPRESSION: "a compression", 0.0 "0 %", 0.6 "60 %";
    /// Insulation of a duct.
    INSULATION: "a duct insulation", 0.0 "R-0", 20.0 "R-113";
    /// Floor area.
    FLOOR: "a floor area", 1.0 "1 m2 (11 ft2)", 1.0e6 "1 000 000 m2 (10 800 000 ft2)";
    /// Ceiling height.
    HEIGHT: "a ceiling height", 1.0 "1 m (3.3 ft)", 50.0 "50 m (164 ft)";
    /// Height above sea level of any town.
    ELEVATION: "a height above sea level", -500.0 "-500 m (-1640 ft)", 6000.0 "6000 m (19 700 ft)";
    /// Airflow of a unit, or of a room.
    AIRFLOW: "an airflow", 0.0001 "0.1 L/s (0.2 cfm)", 200.0 "200 m3/s (424 000 cfm)";
    /// A measured leakage flow.
    LEAKAGE: "a leakage flow", 1.0e-7 "0.0001 L/s (0.0002 cfm)", 100.0 "100 m3/s (212 000 cfm)";
    /// Flow of a fan that nulls the house.
    NULLING: "a nulling flow", 0.0 "0", 100.0 "100 m3/s (212 000 cfm)";
    /// Pressure under a pan.
    PAN: "a pan pressure", 0.0 "0 Pa", 500.0 "500 Pa";
    /// Static pressure above the house's.
    STATIC: "a static pressure", 0.0 "0 Pa", 5000.0 "5000 Pa (20 inwc)";
    /// Static pressure in a return plenum, written with or without its sign.
    RETURN_STATIC: "a static pressure", -5000.0 "-5000 Pa", 5000.0 "5000 Pa (20 inwc)";
    /// Pressure of a room, a place or the house.
    SPACE: "the pressure of a space", -500.0 "-500 Pa", 500.0 "500 Pa";
    /// The pressure of a test.
    TEST_PRESSURE: "a test pressure", 0.1 "0.1 Pa", 5000.0 "5000 Pa";
    /// Pressures of a zone reading.
    ZONE_PRESSURE: "a zone pressure", 0.0 "0 Pa", 500.0 "500 Pa";
    /// One standard deviation as part of the reading.
    RELATIVE_ERROR: "an error", 1.0e-4 "0.01 %", 1.0 "100 %";
    /// Part of a place that stands open to outdoors.
    OUTSIDE: "a part", 0.0 "0 %", 1.0 "100 %";
    /// The pressure at which the leakage of an envelope or of a place is stated.
    PATH_PRESSURE: "a pressure", 0.1 "0.1 Pa", 500.0 "500 Pa";
    /// Static pressure rise of a blower.
    RISE: "a pressure rise", 1.0 "1 Pa (0.004 inwc)", 5000.0 "5000 Pa (20 inwc)";
    /// Loss of a filter or a coil at the airflow.
    COMPONENT_LOSS: "a pressure loss", 1.0 "1 Pa (0.004 inwc)", 2000.0 "2000 Pa (8 inwc)";
    /// Each side of the gap under a door.
    UNDERCUT_SIDE: "a side of an undercut", 0.001 "1 mm (0.04 in)", 5.0 "5 m (16 ft)";
    /// A gap at a seam.
    GAP: "a gap", 1.0e-5 "0.01 mm (0.0004 in)", 0.5 "500 mm (20 in)";
    /// Geometric standard deviation of an own leak.
    SPREAD: "a spread", 1.01 "1.01", 20.0 "20";
    /// Geometric standard deviation of what many seams share.
    SHARED_SPREAD: "a spread", 1.01 "1.01", 10.0 "10";
    /// Standard deviation of a flow exponent.
    EXPONENT_SPREAD: "the spread of an exponent", 0.001 "0.001", 0.2 "0.2";
    /// A factor on a chance.
    TIMES: "a factor on a chance", 0.0 "0", 100.0 "100";
    /// A chance of a wrong set-up.
    WRONG_SETUP: "the chance of a wrong set-up", 0.0 "0 %", 0.5 "50 %";
    /// A shared part of a variance.
    SHARED_PART: "a shared part", 0.0 "0 %", 1.0 "100 %";
    /// A factor on the flow that moves smoke.
    THRESHOLD: "a smoke threshold", 0.1 "0.1", 10.0 "10";
    /// Standard deviation of a pressure that was to be nothing.
    NULLING_ERROR: "a nulling error", 0.01 "0.01 Pa", 10.0 "10 Pa";
    /// Standard deviation of a tap's baseline.
    TAP_ERROR: "a tap error", 0.0 "0 Pa", 10.0 "10 Pa";
    /// Minutes of one look or test.
    MINUTES: "the minutes of a task", 0.0 "0", 600.0 "600";
    /// Minutes of sealing by one method.
    SEAL_MINUTES: "the minutes of a method", 0.0 "0", 3000.0 "3000";
    /// Minutes to get to a place once.
    SET_UP: "the minutes of a set-up", 0.0 "0", 600.0 "600";
    /// Part of a treated length's leakage that remains.
    REMAINS: "what remains", 0.001 "0.1 %", 0.99 "99 %";
    /// Part of a joint that is missed.
    MISSED: "the missed part", 0.0 "0 %", 0.9 "90 %";
    /// Wait before a test, h.
    CURE: "a wait", 0.0 "0 h", 1000.0 "1000 h";
    /// Part by which runs are shorter.
    SHORTER: "how much shorter", 0.001 "0.1 %", 0.9 "90 %";
    /// Money.
    MONEY: "an amount of money", 0.0 "0", 1.0e9 "1 000 000 000";
    /// Flow exponent.
    EXPONENT: "an exponent", 0.5 "0.5", 1.0 "1";
    /// Angle of a damper's blade from full open, degrees; the table of its losses ends there.
    DAMPER: "the angle of a damper", 0.0 "0 degrees (open)", 70.0 "70 degrees";
    /// Year of prices.
    YEAR: "the year of the prices", 1950.0 "1950", 2200.0 "2200";
    /// Money for a unit of energy.
    PRICE: "a price", 0.0 "0", 1.0e6 "1 000 000";
    /// A year's bill.
    BILL: "a bill", 0.0 "0", 1.0e9 "1 000 000 000";
    /// Efficiency of a burner or of resistance heat.
    EFFICIENCY: "an efficiency", 0.2 "20 %", 12.0 "1200 %";
    /// Coefficient of performance.
    COP: "a coefficient of performance", 1.0 "1", 12.0 "12";
    /// Air that heats.
    WARM_AIR: "the temperature of warm supply air", 298.15 "25 °C (77 °F)", 363.15 "90 °C (194 °F)";
    /// Air that cools.
    COOL_AIR: "the temperature of cool supply air", 268.15 "-5 °C (23 °F)", 295.15 "22 °C (72 °F)";
    /// Mean outdoor temperature of a heating season.
    WINTER: "a winter temperature", 213.15 "-60 °C (-76 °F)", 293.15 "20 °C (68 °F)";
    /// Mean outdoor temperature of a cooling season.
    SUMMER: "a summer temperature", 288.15 "15 °C (59 °F)", 333.15 "60 °C (140 °F)";
    /// Temperature of any place round ducts.
    PLACE_AIR: "the temperature of a place", 213.15 "-60 °C (-76 °F)", 363.15 "90 °C (194 °F)";
    /// Outdoor temperature of a bin or of a load.
    OUTDOORS: "an outdoor temperature", 213.15 "-60 °C (-76 °F)", 333.15 "60 °C (140 °F)";
    /// Indoor temperature.
    INDOORS: "an indoor temperature", 278.15 "5 °C (41 °F)", 308.15 "35 °C (95 °F)";
    /// Indoor temperature during a test: houses under construction may be cold.
    INDOOR_TEST: "an indoor temperature", 233.15 "-40 °C (-40 °F)", 323.15 "50 °C (122 °F)";
    /// Absolute pressure of the air.
    BAROMETER: "an absolute air pressure", 4.0e4 "40 kPa (161 inwc)", 1.1e5 "110 kPa (442 inwc)";
    /// Degree-days of a year.
    DEGREE_DAYS: "a number of degree-days", 0.0 "0", 1.296e9 "15 000 K·day (27 000 °F·day)";
    /// Load of a house.
    LOAD: "a load", 1.0 "1 W", 1.0e8 "100 MW";
    /// Time in a bin.
    BIN: "the hours of a bin", 0.0 "0 h", 3.16224e7 "8784 h (a year)";
    /// Natural infiltration, 1/s.
    INFILTRATION: "an infiltration", 0.0 "0 ACH", 0.00139 "5 ACH";
    /// Electric power of a fan.
    FAN_POWER: "the power of a fan", 1.0 "1 W", 1.0e6 "1 MW";
    /// Regain.
    REGAIN: "a regain", 0.0 "0 %", 1.0 "100 %";
    /// Turn of an elbow, degrees.
    TURN: "the turn of an elbow", 1.0 "1 degree", 180.0 "180 degrees";
}
