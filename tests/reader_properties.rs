//! Every reader, given arbitrary text and good text with pieces changed: it reads or refuses in words, and what the library writes
//! it reads again. The functions are those of the fuzz targets (`tests/fuzz/bodies.rs`).

use std::fmt::Debug;

use ductseam::board;
use ductseam::catalog::JOINTS_CSV;
use ductseam::quantity::{
    AirChange, AirChangeAt50Pa, Area, DegreeDays, Duration, Energy, Flow, Fraction, Gauge, Length,
    Money, Power, Pressure, Quantity, Size, Temperature, TemperatureDifference, ThermalResistance,
    UnitSystem, Velocity, Volume,
};
use ductseam::sketch;
use ductseam::sketch::edit::{Edit, Step, Value, edit};
use ductseam::takeoff::{self, draw};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use serde_json::json;

#[path = "fuzz/bodies.rs"]
mod bodies;

const GOOD_SKETCH: &str = include_str!("good/full.yaml");
const LIST: &str = include_str!("../models/runs.csv");
const SERIES: &str =
    "pressure (Pa),flow (cfm),flow error,baseline\n10,35,3 %,0.4\n25,60.5,3 %,\n50,92,2 cfm,-0.2\n";

/// Pieces of text that are likely to upset a reader of any kind.
const UPSETTING: [&str; 40] = [
    "",
    " ",
    "\n",
    "\t",
    "\r\n",
    "\r",
    ":",
    ": ",
    "- ",
    ",",
    ";",
    "\"",
    "\"\"",
    "'",
    "#",
    "[",
    "]",
    "{",
    "}",
    "&a ",
    "*a",
    "\u{b1}",
    "1e308",
    "1e-320",
    "-0",
    "-",
    "\u{feff}",
    "\u{0}",
    "\u{e4}",
    "\u{2028}",
    " at ",
    "NaN",
    "inf",
    "%",
    "0,65",
    "1,250",
    "99999999999999999999",
    "ft",
    "x",
    "\\u0000",
];

/// The same cases in every run.
fn check<S: Strategy>(cases: u32, strategy: S, test: impl Fn(S::Value))
where
    S::Value: Debug,
{
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    let mut runner =
        TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    runner
        .run(&strategy, |value| {
            test(value);
            Ok(())
        })
        .unwrap_or_else(|failed| panic!("{failed}"));
}

/// A good text with up to five pieces cut out, put in or doubled, on characters' borders.
fn changed(text: &'static str) -> impl Strategy<Value = String> {
    let change = (
        any::<Index>(),
        0..12_usize,
        select(&UPSETTING[..]),
        any::<bool>(),
    );
    prop::collection::vec(change, 1..6).prop_map(move |changes| {
        let mut text = text.to_owned();
        for (at, taken, put, again) in changes {
            let start = text.floor_char_boundary(at.index(text.len() + 1));
            let end = text.ceil_char_boundary((start + taken).min(text.len()));
            let piece = if again {
                text[start..end].repeat(3)
            } else {
                put.to_owned()
            };
            text.replace_range(start..end, &piece);
        }
        text
    })
}

fn any_bytes() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        prop::collection::vec(any::<u8>(), 0..120),
        prop::collection::vec(select(&UPSETTING[..]), 0..30)
            .prop_map(|pieces| pieces.concat().into_bytes()),
    ]
}

#[test]
fn arbitrary_bytes_upset_no_reader() {
    check(400, any_bytes(), |bytes| {
        bodies::sketch(&bytes);
        bodies::quantity(&bytes);
        bodies::overlay(&bytes);
        bodies::csv(&bytes);
        bodies::ndjson(&bytes);
    });
}

#[test]
fn a_good_sketch_with_pieces_changed_is_built_or_refused_where_it_is_wrong() {
    check(150, changed(GOOD_SKETCH), |text| {
        bodies::sketch(text.as_bytes())
    });
}

#[test]
fn a_good_list_and_a_good_series_with_pieces_changed_are_read_or_refused() {
    check(200, changed(LIST), |text| bodies::csv(text.as_bytes()));
    check(300, changed(SERIES), |text| bodies::csv(text.as_bytes()));
}

#[test]
fn good_joint_types_with_pieces_changed_are_laid_over_or_refused() {
    check(150, changed(JOINTS_CSV), |text| {
        bodies::overlay(text.as_bytes())
    });
}

#[test]
fn records_with_pieces_changed_are_read_or_refused() {
    const RECORDS: &str = "{\"id\": \"house 1\", \"sketch\": \"ductseam: 1\\ntitle: a\\n\", \"seed\": 4}\n{\"id\": -3, \"sketch\": {\"ductseam\": 1, \"runs\": [{\"id\": \"A\"}]}}\n";
    check(400, changed(RECORDS), |text| {
        bodies::ndjson(text.as_bytes())
    });
}

#[test]
fn a_request_with_pieces_changed_has_a_reply() {
    const REQUEST: &str = r#"{"ask":"change","text":"ductseam: 1\ntitle: x\nruns: [{id: A, from: supply plenum, size: 6 in, walk: [north 12 ft, cap]}]\n","changes":[{"do":"set","path":["runs",0,"size"],"value":"8 in"},{"do":"insert_step","path":["runs",0,"walk"],"at":1,"parts":{"kind":"elbow"}},{"do":"rename_run","run":0,"to":"B"}]}"#;
    let request = prop_oneof![
        changed(REQUEST),
        any_bytes().prop_map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
    ];
    check(300, request, |request| {
        let reply = board::call(&request);
        assert!(!reply.contains('\n'), "{reply}");
        let read: serde_json::Value = serde_json::from_str(&reply).expect("a reply is JSON");
        assert!(read["ok"].is_boolean(), "{reply}");
    });
}

/// Texts of sketches as a page sends them, faulty ones included.
#[test]
fn a_sketch_with_pieces_changed_is_shown_with_its_faults() {
    check(40, changed(GOOD_SKETCH), |text| {
        let reply = board::call(&json!({"ask": "look", "text": text}).to_string());
        let read: serde_json::Value = serde_json::from_str(&reply).expect("a reply is JSON");
        assert_eq!(read["ok"], true, "{reply}");
    });
}

/// A value shown with many digits reads back as itself, with few as itself to those digits.
fn shown_reads_back<Q: Quantity>(si: f64, show: impl Fn(Q, UnitSystem) -> String, near: f64) {
    for units in [UnitSystem::Ip, UnitSystem::Si] {
        let text = show(Q::from_si(si), units);
        let again: Q = text
            .parse()
            .unwrap_or_else(|error| panic!("{si} is shown as `{text}`: {error}"));
        let again = again.to_si();
        assert!(
            (again - si).abs() <= near * si.abs(),
            "{si} is shown as `{text}`, which is {again}"
        );
    }
}

#[test]
fn what_is_shown_of_a_quantity_reads_back() {
    let value = (-6.0..6.0_f64).prop_map(|power| 10_f64.powf(power));
    check(200, value, |si| {
        macro_rules! each {
            ($($kind:ty)*) => {$(
                shown_reads_back::<$kind>(si, |q, units| q.show_with(units, 15), 1e-12);
                shown_reads_back::<$kind>(si, |q, units| q.show(units), 0.006);
            )*};
        }
        each! {
            AirChange AirChangeAt50Pa Area DegreeDays Duration Energy Flow Fraction Length Money Power Pressure
            TemperatureDifference ThermalResistance Velocity Volume
        }
        // A temperature has its zero elsewhere in each scale: digits are lost near them.
        let near_zero = 200.0 + si % 200.0;
        shown_reads_back::<Temperature>(near_zero, |q, units| q.show_with(units, 15), 1e-12);
        // A gauge number stands for what is within 2 % of it.
        shown_reads_back::<Gauge>(si, |q, units| q.show(units), 0.021);
    });
}

#[test]
fn what_is_written_of_a_section_reads_back() {
    let side = || (0.01..5.0_f64).prop_map(Length::new);
    check(300, (side(), side(), 0..3_u8), |(a, b, kind)| {
        let (long, short) = if a > b { (a, b) } else { (b, a) };
        let size = match kind {
            0 => Size::Round(a),
            1 => Size::Rect(a, b),
            _ => Size::Oval(long, short),
        };
        let again: Size = size.to_string().parse().expect("written by us");
        assert_eq!(again, size);
        for units in [UnitSystem::Ip, UnitSystem::Si] {
            let again: Size = size.show(units).parse().expect("shown by us");
            assert_eq!(again.is_round(), size.is_round());
            let (was, is) = (
                size.hydraulic_diameter().si(),
                again.hydraulic_diameter().si(),
            );
            assert!(
                (is / was - 1.0).abs() < 0.02,
                "{size} is shown as `{}`",
                size.show(units)
            );
        }
    });
}

/// Whatever a list says that is not refused, the sketch made from it says too.
#[test]
fn the_sketch_of_a_list_is_read() {
    let run = (1..40_u32, 4..20_u32, 0..3_usize, 0.1..0.9_f64);
    check(150, prop::collection::vec(run, 1..12), |runs| {
        let mut list = String::from(
            "run,from,at,size,length (ft),fittings\ntrunk,supply plenum,,30x20 in,60,cap\n",
        );
        for (k, (length, size, fittings, at)) in runs.iter().enumerate() {
            let fittings = ["", "elbow", "\"2 elbows, damper\""][*fittings];
            list.push_str(&format!(
                "r{k},trunk,{:.1} ft,{size} in,{length},{fittings}\n",
                at * 60.0
            ));
        }
        let drawn = draw(list.as_bytes(), "runs.csv", &takeoff::Settings::default())
            .unwrap_or_else(|faults| panic!("{list}\n{faults}"));
        let read = sketch::read(&drawn.text, "list.yaml")
            .unwrap_or_else(|found| panic!("{list}\n{}", found.render(false)));
        assert_eq!(read.runs.len(), runs.len() + 1);
        for (run, (_, size, ..)) in read.runs[1..].iter().zip(&runs) {
            let written = run.size.value.hydraulic_diameter().to_in();
            assert!(
                (written - f64::from(*size)).abs() < 1e-6,
                "{written} for {size}"
            );
        }
    });
}

/// A value put into a sketch stands there when it is read.
#[test]
fn what_is_put_into_a_sketch_is_read() {
    let path = |key: &str| vec![Step::from("runs"), Step::Item(0), Step::Key(key.to_owned())];
    check(100, (1.0..60.0_f64, "[ -~]{1,40}"), |(inches, note)| {
        let first = sketch::starter();
        let size = format!("{inches:.2} in");
        let note = note.trim();
        let put = [
            Edit::Set {
                path: path("size"),
                value: Value::Word(size.clone()),
            },
            Edit::Set {
                path: vec![Step::from("note")],
                value: Value::Word(format!("a {note}").trim().to_owned()),
            },
        ];
        let text = edit(first, &put)
            .unwrap_or_else(|refused| panic!("{note}: {}", refused.title))
            .text;
        match sketch::read(&text, "house.yaml") {
            Ok(read) => {
                let written = read.runs[0].size.value.hydraulic_diameter().to_in();
                let meant: Size = size.parse().expect("a size");
                assert!((written - meant.hydraulic_diameter().to_in()).abs() < 1e-9);
                let told = read.note.expect("a note").value;
                assert_eq!(told, format!("a {note}").trim());
            }
            Err(found) => panic!("{text}\n{}", found.render(false)),
        }
    });
}
