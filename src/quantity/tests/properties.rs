//! Round trips of every unit by random values, and the schema against the parser.

use proptest::prelude::*;

use super::super::kinds::KINDS;
use super::super::*;
use super::{good, read_as};

#[test]
fn the_schema_takes_what_the_parser_takes_and_refuses_bare_numbers() {
    for (kind, texts) in good() {
        let schema = serde_json::to_value(schema::quantity(kind)).unwrap();
        let validator = jsonschema::validator_for(&schema).unwrap();
        for text in texts {
            assert!(
                validator.is_valid(&text.into()),
                "{}: {text}: {schema}",
                kind.name
            );
        }
        assert!(validator.is_valid(&kind.example.into()));
        let bare_is_fine = kind.name == Money::KIND.name;
        for bad in ["24", "24 furlongs", "ft", "", "1,680 ft"] {
            assert_eq!(
                validator.is_valid(&bad.into()),
                bare_is_fine && bad == "24",
                "{}: {bad}",
                kind.name
            );
        }
        assert!(!validator.is_valid(&24.into()));
    }
}

#[test]
fn the_schema_of_sizes_and_readings_takes_what_the_parser_takes() {
    fn validator<T: schemars::JsonSchema>() -> jsonschema::Validator {
        jsonschema::validator_for(&serde_json::to_value(schemars::schema_for!(T)).unwrap()).unwrap()
    }
    let size = validator::<Size>();
    for text in [
        "20x8 in",
        "20 x 8 in",
        "20×8 in",
        "20\"x8\"",
        "20 in x 8 in",
        "6 in",
        "6in round",
        "14x6 in oval",
        "500x200 mm",
        "3 1/4x10 in",
    ] {
        assert!(
            text.parse::<Size>().is_ok() && size.is_valid(&text.into()),
            "{text}"
        );
    }
    for text in ["20x8", "6", "20x8x6 in"] {
        assert!(
            text.parse::<Size>().is_err() && !size.is_valid(&text.into()),
            "{text}"
        );
    }
    let reading = validator::<Stated<Flow>>();
    assert!(reading.is_valid(&"263 cfm at 25 Pa ± 3 %".into()));
    let gauge = validator::<Gauge>();
    assert!(
        gauge.is_valid(&"26 ga".into())
            && gauge.is_valid(&"0.55 mm".into())
            && !gauge.is_valid(&"26".into())
    );
    assert!(
        validator::<UnitSystem>().is_valid(&"ip".into())
            && !validator::<UnitSystem>().is_valid(&"metric".into())
    );
}

proptest! {
    /// Written in any unit of any quantity and read again, a value is the same to 1e-12. A temperature is
    /// compared with its distance from absolute zero: that is what is stored.
    #[test]
    fn a_value_written_in_any_unit_is_read_back(mantissa in 1.0..10.0_f64, power in -6..9_i32, negative: bool) {
        let value = mantissa * 10f64.powi(power) * if negative { -1.0 } else { 1.0 };
        for kind in KINDS {
            if kind.name == Gauge::KIND.name {
                continue; // a table, not a factor
            }
            for unit in kind.units {
                let text = format!("{value} {}", unit.symbol);
                let si = read_as(kind, &text).unwrap();
                let back = unit.from_si(si);
                prop_assert!((back - value).abs() <= 1e-12 * (value.abs() + unit.zero), "{text}: {back}");
                let again = read_as(kind, &format!("{back:e} {}", unit.symbol)).unwrap();
                prop_assert!((again - si).abs() <= 1e-12 * si.abs().max(unit.zero), "{text}: {again} {si}");
            }
        }
    }

    /// `Display` is in SI with all digits.
    #[test]
    fn what_display_writes_is_read_back(value in 1e-6..1e6_f64) {
        prop_assert_eq!(Length::new(value).to_string().parse::<Length>().unwrap(), Length::new(value));
        prop_assert_eq!(Flow::new(value).to_string().parse::<Flow>().unwrap(), Flow::new(value));
        prop_assert_eq!(Temperature::new(value).to_string().parse::<Temperature>().unwrap(), Temperature::new(value));
        prop_assert_eq!(DegreeDays::new(value).to_string().parse::<DegreeDays>().unwrap(), DegreeDays::new(value));
        prop_assert_eq!(Gauge::new(value).to_string().parse::<Gauge>().unwrap(), Gauge::new(value));
        let part = Fraction::new(value).to_string().parse::<Fraction>().unwrap();
        prop_assert!((part.si() / value - 1.0).abs() < 1e-12);
    }

    /// No text makes the reader fall over.
    #[test]
    fn any_text_is_read_or_refused(text in "[-+−0-9.,_eE'\"/ °²x×ftinmRrsi$%±@at()<below]{0,24}") {
        for kind in KINDS {
            if let Err(error) = read_as(kind, &text) {
                prop_assert!(!error.message().is_empty());
            }
        }
        let _ = text.parse::<Size>();
        let _ = text.parse::<Stated<Flow>>();
    }
}
