use super::*;
use crate::allocate::AllocateSettings;
use crate::catalog::{Catalog, Work};
use crate::quantity::UnitSystem;
use crate::report::samples;
use crate::teach::{By, JointTypes, JointsAsk, joint_types};

fn found() -> JointTypes {
    let settings = AllocateSettings {
        draws: 200,
        ..AllocateSettings::default()
    };
    let systems = [samples::system()];
    joint_types(
        &systems,
        Catalog::builtin(),
        &settings,
        JointsAsk::default(),
    )
    .expect("an answer")
}

#[test]
fn the_text_fits_a_hundred_columns_in_all_states_and_units() {
    let found = found();
    for units in [UnitSystem::Ip, UnitSystem::Si] {
        for work in Work::ALL {
            for rows in [0, 3] {
                let settings = JointsTextSettings { units, rows, work };
                let text = joints_text(Catalog::builtin(), &[samples::system()], &found, settings);
                for line in text.lines() {
                    assert!(line.chars().count() <= 100, "{line}");
                    assert_eq!(line, line.trim_end());
                }
                assert!(text.contains("Before any reading"));
                assert!(rows == 0 || text.contains("more: `--rows 0`"));
            }
        }
    }
}

#[test]
fn a_foot_leaks_what_a_metre_leaks_by_their_lengths() {
    // 1.30 L/s per metre are 1.30 x 0.3048 / 0.4719474 = 0.8396 cfm per foot.
    let found = found();
    let text = |units| {
        let settings = JointsTextSettings {
            units,
            rows: 0,
            work: Work::Unsealed,
        };
        joints_text(Catalog::builtin(), &[samples::system()], &found, settings)
    };
    let row = |text: &str| {
        let rows = text.lines().rev();
        let row = rows.into_iter().find(|line| line.contains("flex-collar "));
        row.expect("a row").to_owned()
    };
    assert!(row(&text(UnitSystem::Si)).contains(" 1.300 "));
    assert!(row(&text(UnitSystem::Ip)).contains(" 0.840 "));
}

#[test]
fn the_table_has_three_rows_a_joint_type_and_every_type_of_the_catalogue() {
    let catalog = Catalog::builtin();
    let table = joints_csv(catalog, &found());
    assert_eq!(table.lines().count(), 1 + 3 * catalog.joints().len());
    let json: serde_json::Value =
        serde_json::from_str(&joints_json(catalog, &[samples::system()], &found())).expect("JSON");
    assert_eq!(json["format"], FORMAT);
    assert_eq!(found().ask.by, By::Test);
}

#[test]
fn suspected_tape_stops_and_several_sketches_are_explained() {
    let mut tape = samples::system();
    tape.suspect_tape = crate::system::SuspectTape::Suspected;
    tape.title = "an old house".to_owned();
    let systems = [samples::system(), tape];
    let settings = AllocateSettings {
        draws: 200,
        ..AllocateSettings::default()
    };
    let catalog = Catalog::builtin();
    let both = joint_types(&systems, catalog, &settings, JointsAsk::default()).expect("an answer");
    let as_text = JointsTextSettings {
        units: UnitSystem::Ip,
        rows: 3,
        work: Work::Unsealed,
    };
    let text = joints_text(catalog, &systems, &both, as_text);
    assert!(text.starts_with("STOP: an old house: "), "{text}");
    assert_eq!(text.matches("STOP: ").count(), 1);
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "seams and ft are sums; cfm and 90 % are of one system",
        "one without the type counting as 0",
        "not cfm over the total",
        "what hangs open still does",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let json: serde_json::Value =
        serde_json::from_str(&joints_json(catalog, &systems, &both)).expect("JSON");
    let stop = |at: usize| {
        let cautions = json["systems"][at]["cautions"].as_array();
        cautions
            .expect("a list")
            .iter()
            .any(|one| one["stop"] == true)
    };
    assert!(stop(1) && !stop(0));
    let plain = joints_text(catalog, &systems[..1], &found(), as_text);
    assert!(!plain.contains("STOP") && !plain.contains("are sums"));
}
