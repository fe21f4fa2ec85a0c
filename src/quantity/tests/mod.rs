//! Whole-module tests: published factors, ways of writing, words for what is wrong.

use super::kinds::KINDS;
use super::*;
use QuantityErrorKind as Wrong;

mod properties;

fn si<Q: Quantity>(text: &str) -> f64 {
    text.parse::<Q>()
        .unwrap_or_else(|e| panic!("{text}: {e}"))
        .to_si()
}

#[track_caller]
fn same(ours: f64, published: f64, tolerance: f64) {
    let apart = (ours - published).abs();
    assert!(
        apart <= tolerance * published.abs(),
        "{ours} against {published}"
    );
}

/// Last printed digit of the seven that NIST SP 811 gives for factors it does not mark exact.
const SEVEN_DIGITS: f64 = 5e-7;
/// Rounding of a few operations.
const EXACT: f64 = 1e-15;

#[test]
fn factors_are_those_of_the_published_tables() {
    // NIST SP 811 (2008), appendix B.8, from memory for the digits; the exact ones follow from the foot, the
    // pound and the International Table calorie, worked by hand with all digits.
    same(si::<Length>("1 ft"), 0.3048, EXACT);
    same(si::<Length>("1 in"), 0.0254, EXACT);
    same(si::<Length>("1 mil"), 2.54e-5, EXACT);
    same(si::<Area>("1 ft2"), 0.092_903_04, EXACT);
    same(si::<Area>("1 in2"), 6.4516e-4, EXACT);
    same(si::<Volume>("1 ft3"), 0.028_316_846_592, EXACT);
    same(si::<Volume>("1 gal"), 3.785_411_784e-3, EXACT);
    same(si::<Flow>("1 cfm"), 4.719_474_432e-4, EXACT);
    same(si::<Flow>("3600 m3/h"), 1.0, EXACT);
    same(si::<Pressure>("1 in. w.g."), 249.088_91, EXACT);
    same(si::<Velocity>("1 fpm"), 5.08e-3, EXACT);
    same(si::<Energy>("1 kBtu"), 1_055_055.852_62, EXACT);
    same(si::<Energy>("1 therm"), 1.054_804e8, EXACT);
    same(si::<Energy>("1 kWh"), 3.6e6, EXACT);
    same(si::<Power>("1 Btu/h"), 0.293_071_1, SEVEN_DIGITS);
    same(si::<Power>("1 ton"), 3516.853, SEVEN_DIGITS);
    same(si::<ThermalResistance>("R-1"), 0.176_110_2, SEVEN_DIGITS);
    same(si::<TemperatureDifference>("9 °F"), 5.0, EXACT);
    same(si::<DegreeDays>("9 °F·day"), 5.0 * 86_400.0, EXACT);
    same(si::<AirChange>("3600 ACH"), 1.0, EXACT);
    same(si::<Fraction>("3 %"), 0.03, 0.0);
}

#[test]
fn fixed_points_of_the_temperature_scales_meet() {
    for (f, c, k) in [
        ("32 °F", "0 °C", 273.15),
        ("212 F", "100 C", 373.15),
        ("-40 °F", "−40 °C", 233.15),
        ("-459.67 °F", "-273.15 °C", 0.0),
    ] {
        assert!((si::<Temperature>(f) - k).abs() < 1e-12, "{f}");
        assert!((si::<Temperature>(c) - k).abs() < 1e-12, "{c}");
    }
    assert!((Temperature::from_fahrenheit(68.0).to_celsius() - 20.0).abs() < 1e-12);
    let rise = Temperature::from_celsius(50.0) - Temperature::from_celsius(20.0);
    assert!((rise.to_fahrenheit() - 54.0).abs() < 1e-12);
}

#[test]
fn named_constructors_agree_with_the_table() {
    same(Flow::from_cfm(263.0).si(), si::<Flow>("263 cfm"), EXACT);
    same(
        Flow::from_litres_s(124.0).si(),
        si::<Flow>("124 L/s"),
        EXACT,
    );
    same(Flow::from_m3_h(450.0).si(), si::<Flow>("450 m3/h"), EXACT);
    same(Length::from_ft(24.0).si(), si::<Length>("24 ft"), EXACT);
    same(Length::from_mm(150.0).si(), si::<Length>("150 mm"), EXACT);
    same(Area::from_ft2(1680.0).si(), si::<Area>("1680 ft2"), EXACT);
    same(Area::from_cm2(12.0).si(), si::<Area>("12 cm2"), EXACT);
    same(
        Pressure::from_in_wg(0.1).si(),
        si::<Pressure>("0.1 inwc"),
        EXACT,
    );
    same(
        ThermalResistance::from_r(8.0).si(),
        si::<ThermalResistance>("R-8"),
        EXACT,
    );
    same(Power::from_tons(3.0).si(), si::<Power>("3 tons"), EXACT);
    same(
        Power::from_kbtu_h(60.0).si(),
        si::<Power>("60 kBtu/h"),
        EXACT,
    );
    same(
        Energy::from_therms(640.0).si(),
        si::<Energy>("640 therm"),
        EXACT,
    );
    same(
        DegreeDays::from_fahrenheit_days(5400.0).si(),
        si::<DegreeDays>("5400 HDD F"),
        EXACT,
    );
    same(
        AirChangeAt50Pa::from_per_hour(5.2).si(),
        si::<AirChangeAt50Pa>("5.2 ACH50"),
        EXACT,
    );
    same(
        Temperature::from_fahrenheit(68.0).si(),
        si::<Temperature>("68 °F"),
        EXACT,
    );
    same(
        Velocity::from_fpm(700.0).si(),
        si::<Velocity>("700 fpm"),
        EXACT,
    );
    same(
        Duration::from_minutes(45.0).si(),
        si::<Duration>("45 min"),
        EXACT,
    );
    same(
        Fraction::from_percent(7.0).si(),
        si::<Fraction>("7 %"),
        EXACT,
    );
}

/// Texts that must be read, by kind; also held against the schema.
fn good() -> Vec<(&'static Kind, Vec<&'static str>)> {
    vec![
        (
            Length::KIND,
            vec![
                "24 ft",
                "24ft",
                "24 FT",
                " 24  feet ",
                "24'",
                "9 ft 6 in",
                "9'6\"",
                "9' 6\"",
                "9’ 6”",
                "9'6",
                "9ft6in",
                "3 1/2 in",
                "3-1/2 in",
                "1/2\"",
                "9 ft 6 1/2 in",
                "150 mm",
                "1.5e2 mm",
                "2e-1 m",
                ".5 m",
                "5. m",
                "+5 m",
                "−5 m",
                "12 mil",
                "24-ft",
                "6 in.",
            ],
        ),
        (
            Area::KIND,
            vec![
                "1680 ft2",
                "1680 ft²",
                "1680 sq ft",
                "1680 sq. ft.",
                "156 m²",
                "58 in^2",
                "12 cm2",
                "40 mm2",
            ],
        ),
        (
            Volume::KIND,
            vec!["2 gal", "4 L", "400 mL", "400 ml", "12 ft³", "3 m3"],
        ),
        (
            Flow::KIND,
            vec![
                "263 cfm",
                "263CFM",
                "263 ft3/min",
                "263 ft³ / min",
                "124 L/s",
                "124 l/s",
                "450 m³/h",
                "0.1 m3/s",
            ],
        ),
        (
            Pressure::KIND,
            vec![
                "25 Pa",
                "25pa",
                "0.10 inwc",
                "0.1 in. w.c.",
                "0.1 in. w.g.",
                "0.1 in wg",
                "0.1 in.w.g.",
                "0.1 IN WC",
                "0.1 in. wg",
                "0.1\" w.g.",
                "0.2 kPa",
                "-25 Pa",
            ],
        ),
        (
            Temperature::KIND,
            vec![
                "68 °F", "68°F", "68 F", "68 degF", "68 deg F", "20 °C", "20 C", "293.15 K",
            ],
        ),
        (TemperatureDifference::KIND, vec!["20 °F", "12 K", "12 °C"]),
        (
            ThermalResistance::KIND,
            vec![
                "R-8",
                "R8",
                "R 6",
                "r-4.2",
                "RSI-1.4",
                "RSI 1.4",
                "1.4 m2K/W",
                "1.4 m²·K/W",
                "8 ft2·°F·h/Btu",
                "8 h·ft²·°F/Btu",
            ],
        ),
        (Velocity::KIND, vec!["700 fpm", "700 ft/min", "3.5 m/s"]),
        (AirChange::KIND, vec!["0.35 ACH", "0.35 /h", "0.35 1/h"]),
        (AirChangeAt50Pa::KIND, vec!["5.2 ACH50", "5.2 ach50"]),
        (
            Energy::KIND,
            vec![
                "640 therm",
                "640 therms",
                "2100 kWh",
                "2100 kwh",
                "90 MJ",
                "500 kBtu",
            ],
        ),
        (
            Power::KIND,
            vec![
                "60 kBtu/h",
                "60000 Btu/h",
                "12 kW",
                "800 W",
                "3 tons",
                "3 ton",
            ],
        ),
        (
            DegreeDays::KIND,
            vec![
                "5400 degree-days F",
                "5400 °F·day",
                "5400 HDD F",
                "3000 K·day",
                "3000 degree-days C",
                "3000 HDD °C",
            ],
        ),
        (Duration::KIND, vec!["45 min", "1.5 h", "90 s"]),
        (Money::KIND, vec!["$ 12.50", "$12.50", "12.50 $", "12.50"]),
        (Fraction::KIND, vec!["3 %", "3%", "3 percent"]),
    ]
}

#[test]
fn the_trades_ways_of_writing_are_read() {
    for (text, feet) in [
        ("9 ft 6 in", 9.5),
        ("9'6\"", 9.5),
        ("9'6", 9.5),
        ("-9 ft 6 in", -9.5),
        ("9 ft 1 1/2 in", 9.125),
        ("3-1/2 in", 3.5 / 12.0),
    ] {
        same(si::<Length>(text), feet * 0.3048, 4.0 * EXACT);
    }
    assert_eq!(si::<Money>("$ 12.50"), 12.5);
    for (kind, texts) in good() {
        let (kind_name, units) = (kind.name, kind.units);
        assert!(!units.is_empty());
        for text in texts {
            assert!(
                read_as(kind, text).is_ok(),
                "{kind_name}: {text}: {:?}",
                read_as(kind, text)
            );
        }
    }
}

/// Reads a text as the quantity of a kind known only at run time.
fn read_as(kind: &'static Kind, text: &str) -> Result<f64, QuantityError> {
    macro_rules! try_all {
        ($($name:ident)*) => {
            $(if std::ptr::eq(kind, $name::KIND) || kind.name == $name::KIND.name {
                return text.parse::<$name>().map(Quantity::to_si);
            })*
        };
    }
    try_all!(Length Area Volume Flow Pressure Temperature TemperatureDifference ThermalResistance Velocity AirChange AirChangeAt50Pa
        Energy Power DegreeDays Duration Money Fraction Gauge);
    panic!("no quantity is called {}", kind.name)
}

#[test]
fn what_is_wrong_is_said_and_how_to_mend_it() {
    for (text, kind, message, hint) in [
        (
            "24",
            Wrong::NoUnit,
            "`24` has no unit",
            "write a length like `24 ft` (units: ft, in, m, mm, cm, mil)",
        ),
        (
            "24 cfm",
            Wrong::WrongKind,
            "expected a length, found a flow: `24 cfm`",
            "write a length like `24 ft` (units: ft, in, m, mm, cm, mil)",
        ),
        (
            "24 ft2",
            Wrong::WrongKind,
            "expected a length, found an area: `24 ft2`",
            "write a length like `24 ft` (units: ft, in, m, mm, cm, mil)",
        ),
        (
            "24 fete",
            Wrong::UnknownUnit,
            "`fete` in `24 fete` is not a unit of a length",
            "did you mean `24 ft`? (units: ft, in, m, mm, cm, mil)",
        ),
        (
            "1,680 ft",
            Wrong::Separators,
            "`1,680` holds a thousands separator",
            "write `1680`",
        ),
        (
            "1,680.5 ft",
            Wrong::Separators,
            "`1,680.5` holds a thousands separator",
            "write `1680.5`",
        ),
        (
            "0,65 m",
            Wrong::Separators,
            "`0,65` holds a decimal comma",
            "write `0.65`",
        ),
        (
            "0,650 m",
            Wrong::Separators,
            "`0,650` holds a decimal comma",
            "write `0.650`",
        ),
        (
            "1_000 ft",
            Wrong::Separators,
            "`1_000` holds an underscore",
            "write `1000`",
        ),
        (
            "20-30 ft",
            Wrong::NotANumber,
            "`20-30 ft` holds more than one number",
            "write a length like `24 ft` (units: ft, in, m, mm, cm, mil)",
        ),
        (
            "",
            Wrong::Empty,
            "expected a length, found nothing",
            "write a length like `24 ft` (units: ft, in, m, mm, cm, mil)",
        ),
        (
            "ft",
            Wrong::NotANumber,
            "expected a length, found `ft`",
            "write a length like `24 ft` (units: ft, in, m, mm, cm, mil)",
        ),
    ] {
        let error = text.parse::<Length>().unwrap_err();
        assert_eq!(
            (error.kind(), error.message(), error.hint()),
            (kind, message, Some(hint)),
            "{text}"
        );
    }
}

#[test]
fn what_is_no_number_or_out_of_range_is_refused() {
    for (text, kind) in [
        ("1e309 ft", Wrong::OutOfRange),
        ("1e-400 ft", Wrong::OutOfRange),
        ("-1e309 ft", Wrong::OutOfRange),
        ("NaN ft", Wrong::NotANumber),
        ("inf ft", Wrong::NotANumber),
        ("-inf ft", Wrong::NotANumber),
        ("1.2.3 ft", Wrong::NotANumber),
        (". ft", Wrong::NotANumber),
        ("--5 ft", Wrong::NotANumber),
        ("1 680 ft", Wrong::NotANumber),
        ("9 ft 6", Wrong::NotANumber),
        ("9 ft 14 in", Wrong::Form),
        ("1/0 in", Wrong::NotANumber),
    ] {
        let error = text.parse::<Length>().map(|l| l.si()).unwrap_err();
        assert_eq!(error.kind(), kind, "{text}: {error}");
    }
    // A factor may overflow or leave too few digits where the number did not.
    for text in ["241e-308 mil", "1e-307 mm"] {
        let error = text.parse::<Length>().expect_err(text);
        assert_eq!(error.kind(), Wrong::OutOfRange, "{text}");
        assert!(error.message().contains("too small"), "{error}");
    }
    assert_eq!("0 mil".parse::<Length>().expect("nothing").si(), 0.0);
    let long = format!("{} ft", "1".repeat(100_000));
    let error = long.parse::<Length>().expect_err("too large");
    assert!(
        error.message().len() < 100 && error.message().contains("too large a number"),
        "{error}"
    );
    assert!(error.hint().is_some());
    assert_eq!(
        "1e308 kWh".parse::<Energy>().unwrap_err().kind(),
        Wrong::OutOfRange
    );
    // A capital that means another unit.
    assert!("4 ML".parse::<Volume>().is_err() && "4 mj".parse::<Energy>().is_err());
    // Fahrenheit or Celsius days differ by 1.8: the degree must be said.
    assert!(
        "5400 HDD"
            .parse::<DegreeDays>()
            .unwrap_err()
            .hint()
            .unwrap()
            .contains("°F·day")
    );
    // Natural air change and that at 50 Pa differ twentyfold.
    assert_eq!(
        "5.2 ACH50".parse::<AirChange>().unwrap_err().kind(),
        Wrong::WrongKind
    );
    assert!("R-8 ft".parse::<ThermalResistance>().is_err() && "$ 12 ft".parse::<Money>().is_err());
}

#[test]
fn a_sign_is_refused_where_it_cannot_be() {
    for text in ["0 ft", "-3 ft", "−3 ft"] {
        assert_eq!(
            Length::parse_positive(text).unwrap_err().kind(),
            Wrong::Sign
        );
    }
    let error = Length::parse_positive(" -3 ft ").unwrap_err();
    assert_eq!(
        error.to_string(),
        "a length here must be above zero, found `-3 ft`"
    );
    assert!(
        Length::parse_not_negative("0 ft").is_ok() && Length::parse_not_negative("-1 ft").is_err()
    );
    assert!(Length::parse_positive("24").is_err_and(|e| e.kind() == Wrong::NoUnit));
}

#[test]
fn quantities_are_shown_in_either_system() {
    let shown: Vec<String> = [UnitSystem::Ip, UnitSystem::Si]
        .into_iter()
        .flat_map(|s| {
            [
                Flow::from_cfm(263.0).show(s),
                Length::from_ft(24.0).show(s),
                Length::from_in(3.5).show(s),
                Area::from_ft2(1680.0).show(s),
                Pressure::from_pa(25.0).show(s),
                Temperature::from_celsius(20.0).show(s),
                ThermalResistance::from_r(8.0).show(s),
                Fraction::new(0.03).show(s),
                Flow::from_cfm(1.0).show_with(s, 2),
            ]
        })
        .collect();
    // Hand conversions, three digits.
    let want = [
        "263 cfm",
        "24 ft",
        "3.5 in",
        "1680 ft2",
        "25 Pa",
        "68 °F",
        "R-8",
        "3 %",
        "1 cfm",
        "124 L/s",
        "7.32 m",
        "88.9 mm",
        "156 m2",
        "25 Pa",
        "20 °C",
        "1.41 m2·K/W",
        "3 %",
        "0.47 L/s",
    ];
    assert_eq!(shown, want);
    assert_eq!(
        Pressure::from_pa(24.908_891)
            .show_in("in. w.g.", 2)
            .as_deref(),
        Some("0.1 in. w.g.")
    );
    assert_eq!(Pressure::from_pa(25.0).show_in("cfm", 2), None);
    assert_eq!(Flow::from_m3_s(0.124).to_string(), "0.124 m3/s");
}

#[test]
fn every_spelling_in_the_table_is_folded_and_means_one_unit() {
    for kind in KINDS {
        for unit in kind.units {
            for name in std::iter::once(unit.symbol).chain(unit.also.iter().copied()) {
                let found = parse::find(kind, name).map(|u| u.symbol);
                assert_eq!(found, Some(unit.symbol), "{name}");
                assert_eq!(parse::fold(&parse::fold(name)), parse::fold(name));
            }
            for name in unit.also {
                assert_eq!(&parse::fold(name), name, "the table's spelling is folded");
            }
        }
        let symbol_known = kind.si_symbol.is_empty() || kind.symbol(kind.si_symbol).is_some();
        assert!(symbol_known, "{}", kind.name);
        for system in [UnitSystem::Ip, UnitSystem::Si] {
            for size in [1e-9, 0.2, 1e9] {
                assert!(
                    kind.symbol((kind.shown)(size, system)).is_some(),
                    "{}",
                    kind.name
                );
            }
        }
        if kind.name != Gauge::KIND.name {
            assert!(read_as(kind, kind.example).is_ok(), "{}", kind.example);
        }
    }
}
