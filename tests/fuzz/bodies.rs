//! What is done with arbitrary bytes, and what must hold of it: shared by the fuzz targets and by `tests/fuzz_corpus.rs`.
//!
//! Every function takes any bytes and panics only where the library broke its word.
#![allow(dead_code)] // Each target uses one of them.

use std::fmt::Display;
use std::str::FromStr;

use ductseam::batch::Record;
use ductseam::catalog::{self, Catalog, Scope};
use ductseam::limits::{self, Basis};
use ductseam::quantity::{
    AirChange, AirChangeAt50Pa, Area, DegreeDays, Duration, Energy, Flow, Fraction, Gauge, Length,
    Money, Parts, Power, Pressure, Quantity, QuantityError, Size, Stated, Temperature,
    TemperatureDifference, ThermalResistance, UnitSystem, Velocity, Volume,
};
use ductseam::report::{check_json, check_text};
use ductseam::sketch::{self, Diagnostics};
use ductseam::system;
use ductseam::takeoff;

/// A sketch: read, built, told; or refused with places inside the text.
pub fn sketch(bytes: &[u8]) {
    let sketch = match sketch::read_bytes(bytes, "any.yaml") {
        Ok(sketch) => sketch,
        Err(found) => return refused(&found),
    };
    let text = std::str::from_utf8(bytes).expect("it was read");
    match system::build(&sketch, text, "any.yaml", Catalog::builtin()) {
        Err(found) => refused(&found),
        Ok(system) => {
            assert!(system.seams.iter().all(|seam| !seam.id.is_empty()));
            for units in [UnitSystem::Ip, UnitSystem::Si] {
                assert!(!check_text(&system, units).is_empty());
            }
            is_json(&check_json(&system));
        }
    }
}

/// Words for every fault, each at a place that is there.
pub fn refused(found: &Diagnostics) {
    assert!(found.count() > 0);
    for item in &found.items {
        let places = std::iter::once(item.at).chain(item.also.iter().map(|(at, _)| *at));
        for at in places {
            assert!(found.text.get(at.start..at.end).is_some(), "{item:?}");
        }
        assert!(!item.title.is_empty(), "{item:?}");
    }
    assert!(!found.render(false).is_empty());
    is_json(&found.to_json());
}

fn is_json(text: &str) {
    let read: Result<serde_json::Value, _> = serde_json::from_str(text);
    assert!(read.is_ok(), "{text}");
}

/// Everything that reads a quantity from words.
pub fn quantity(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    macro_rules! each {
        ($($kind:ty)*) => {$(
            one::<$kind>(text);
            worded(text.parse::<Stated<$kind>>());
        )*};
    }
    each! {
        AirChange AirChangeAt50Pa Area DegreeDays Duration Energy Flow Fraction Gauge Length Money Power Pressure Temperature
        TemperatureDifference ThermalResistance Velocity Volume
    }
    if let Some(size) = worded(text.parse::<Size>()) {
        assert!(
            size.area().si() > 0.0 && size.area().si().is_finite(),
            "{size:?}"
        );
        assert!(size.hydraulic_diameter().si() > 0.0, "{size:?}");
        assert_eq!(again::<Size>(text, &size), size, "`{text}`");
    }
    worded(Parts::cut(text));
    worded(text.parse::<UnitSystem>());
    let _ = catalog::limit_words(text);
    let _ = catalog::measure_words(text);
    let _ = ductseam::board::change::parts_of(text);
}

fn one<Q: Quantity + Display>(text: &str) {
    if let Some(read) = worded(text.parse::<Q>()) {
        let si = read.to_si();
        assert!(si.is_finite(), "`{text}` is {si}");
        let again = again::<Q>(text, &read).to_si();
        // A few are written in a unit other than that of SI: the last digits of a conversion there and back.
        assert!(
            (again - si).abs() <= 1e-12 * si.abs().max(1.0),
            "`{text}`: {again} for {si}"
        );
    }
}

/// What is written of a value is read again.
fn again<T: FromStr<Err = QuantityError> + Display>(text: &str, read: &T) -> T {
    let words = read.to_string();
    words
        .parse()
        .unwrap_or_else(|error| panic!("`{text}` is written `{words}`: {error}"))
}

fn worded<T>(read: Result<T, QuantityError>) -> Option<T> {
    match read {
        Ok(read) => Some(read),
        Err(error) => {
            assert!(!error.to_string().is_empty());
            assert!(error.hint().is_none_or(|hint| !hint.is_empty()));
            None
        }
    }
}

/// Joint types laid over the catalogue.
pub fn overlay(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match Catalog::builtin().clone().overlay(text, "mine.csv") {
        Err(faults) => {
            assert!(!faults.is_empty());
            assert!(faults.iter().all(|fault| !fault.to_string().is_empty()));
        }
        Ok(catalog) => {
            for joint in catalog.joints() {
                assert!(catalog.joint(&joint.id).is_some());
                for work in [
                    catalog::Work::Unsealed,
                    catalog::Work::Ordinary,
                    catalog::Work::Mastic,
                ] {
                    let median = joint.median_q25(work);
                    assert!(median.is_finite() && median > 0.0, "{}: {median}", joint.id);
                    let own = joint.own_variance(work);
                    assert!(own.is_finite() && own >= 0.0, "{}: {own}", joint.id);
                }
            }
        }
    }
}

/// A list of runs and a measured series.
pub fn csv(bytes: &[u8]) {
    match takeoff::draw(bytes, "runs.csv", &takeoff::Settings::default()) {
        Err(faults) => {
            assert!(!faults.items.is_empty());
            assert!(!faults.to_string().is_empty());
        }
        Ok(drawn) => {
            assert!(drawn.runs > 0);
            // What we write we read; whether the runs fit each other is told in terms of the list.
            let found = match sketch::read(&drawn.text, "list.yaml") {
                Err(found) => {
                    refused(&found);
                    Some(found)
                }
                Ok(read) => {
                    assert_eq!(read.runs.len(), drawn.runs, "{}", drawn.text);
                    system::build(&read, &drawn.text, "list.yaml", Catalog::builtin()).err()
                }
            };
            if let Some(found) = found {
                assert!(!drawn.faults(&found).items.is_empty());
            }
        }
    }
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let basis = Basis {
        scope: Scope::Total,
        stage: None,
    };
    match limits::read_series(text, "series.csv", basis, &system::TestRecord::default()) {
        Err(faults) => assert!(!faults.is_empty()),
        Ok(table) => {
            if let Ok(at) = limits::at_25(&table.readings, 0.6, 0.05) {
                assert!(at.flow_m3_s().is_finite(), "{at:?}");
            }
        }
    }
}

/// Records of a batch, one a line.
pub fn ndjson(bytes: &[u8]) {
    for line in bytes.split(|byte| *byte == b'\n') {
        match Record::read(line) {
            Err(fault) => assert!(!fault.text.is_empty()),
            Ok(record) => {
                assert!(!record.id.is_empty());
                let written = record.line();
                assert!(!written.contains('\n'), "{written}");
                assert_eq!(Record::read(written.as_bytes()).as_ref(), Ok(&record));
                if let Err(found) = sketch::read(&record.sketch, &record.id) {
                    refused(&found);
                }
            }
        }
    }
}
