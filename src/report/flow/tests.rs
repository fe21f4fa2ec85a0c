//! Reports of systems that are changed after they are built.

use super::*;
use crate::catalog::Catalog;
use crate::flow::{FlowSettings, FlowState, SeamLaws, match_airflow, prepare, state};
use crate::quantity::UnitSystem;
use crate::system::{Door, LeakPath, Setup, SuspectTape, System, TestKind};

fn bungalow() -> System {
    let text = include_str!("../../../models/bungalow.yaml");
    let sketch = crate::sketch::read(text, "bungalow.yaml").expect("a good sketch");
    crate::system::build(&sketch, text, "bungalow.yaml", Catalog::builtin()).expect("a good system")
}

fn solved(system: &System, kind: TestKind) -> (Setup, FlowState) {
    let setup = system.setup(kind);
    let mut prepared =
        prepare(system, &setup, &FlowSettings::default()).expect("the set-up is sound");
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let airflow = system.unit.airflow_m3_s.expect("stated").0;
    let found = if kind == TestKind::Running {
        match_airflow(system, &mut prepared, laws, airflow)
    } else {
        state(system, &prepared, laws)
    };
    (setup, found)
}

fn case<'a>(system: &'a System, (setup, state): &'a (Setup, FlowState)) -> FlowCase<'a> {
    let airflow_m3_s = system.unit.airflow_m3_s.expect("stated").0;
    FlowCase {
        system,
        setup,
        state,
        curve: match setup.kind {
            TestKind::Running => CurveUse::Scaled { airflow_m3_s },
            _ => CurveUse::Still,
        },
        supply_air_k: 293.15,
        unsettled_at: None,
    }
}

fn text(case: &FlowCase<'_>) -> String {
    flow_text(
        case,
        FlowTextSettings {
            units: UnitSystem::Ip,
            rows: 10,
            pieces: true,
        },
    )
}

fn path(q_m3_s: f64, dp_pa: f64) -> LeakPath {
    LeakPath {
        q_m3_s,
        dp_pa,
        n: 0.65,
        source: "invented".to_owned(),
    }
}

fn codes(case: &FlowCase<'_>) -> Vec<String> {
    case.warnings().into_iter().map(|w| w.code).collect()
}

#[test]
fn a_closed_room_without_a_return_stands_above_the_house_and_its_row_says_so() {
    let mut system = bungalow();
    system.elevation_m = 0.0;
    system.envelope = Some(path(0.5, 50.0));
    let kitchen = system
        .rooms
        .iter()
        .position(|room| room.name == "kitchen")
        .expect("a room");
    system.rooms[kitchen].door = Door::Closed;
    system.rooms[kitchen].paths = vec![path(0.02, 4.0)];
    let found = solved(&system, TestKind::Running);
    let case = case(&system, &found);
    let room = &found.1.rooms[kitchen];
    assert!(room.apart && room.pressure_pa - found.1.house_pa > 1.0);
    // What comes in leaves by the path under the door: q = 0.02·(Δp/4)^0.65 in standard air, here dry air at sea
    // level, at 1.2041 instead of 1.204 kg/m³.
    let out = 0.02 * ((room.pressure_pa - found.1.house_pa) / 4.0).powf(0.65);
    assert!((out / room.supplied_m3_s - 1.0).abs() < 1e-3, "{out}");
    let said = text(&case);
    let row = said
        .lines()
        .find(|line| line.trim_start().starts_with("kitchen  "))
        .expect("a row");
    assert!(row.contains("closed"), "{row}");
    assert!(!codes(&case).contains(&"envelope-unknown".to_owned()));
    assert!(case.doubts().is_empty(), "{:?}", case.doubts());
}

#[test]
fn a_room_that_returns_pull_down_brings_the_back_draft_hint_and_no_verdict() {
    let mut system = bungalow();
    system.envelope = Some(path(0.5, 50.0));
    let living = system
        .rooms
        .iter()
        .position(|room| room.name == "living room")
        .expect("a room");
    system.rooms[living].door = Door::Closed;
    system.rooms[living].paths = vec![path(0.01, 4.0)];
    let found = solved(&system, TestKind::Running);
    assert!(found.1.rooms[living].pressure_pa < -3.0);
    let case = case(&system, &found);
    let cautions = case.cautions();
    let hint = cautions
        .iter()
        .find(|caution| caution.code == "back-draft")
        .expect("the hint");
    assert!(hint.text.contains("`living room` with its door closed"));
    assert!(
        hint.text.contains("water heater (basement)"),
        "{}",
        hint.text
    );
    assert!(hint.text.contains("no verdict") && hint.text.contains("local codes"));
    assert!(!text(&case).to_lowercase().contains(" safe"));

    system.combustion.clear();
    let found = solved(&system, TestKind::Running);
    let without = super::tests::case(&system, &found).cautions();
    assert!(without.iter().all(|caution| caution.code != "back-draft"));
}

#[test]
fn without_rooms_and_envelope_openings_stand_in_and_the_house_is_not_known() {
    let mut system = bungalow();
    system.envelope = None;
    system.rooms.clear();
    for place in &mut system.places {
        (place.to_outdoors, place.to_house) = (None, None);
    }
    for opening in &mut system.openings {
        opening.room_index = None;
    }
    let found = solved(&system, TestKind::Running);
    let case = case(&system, &found);
    let said = text(&case);
    assert!(said.contains("no envelope is known"), "{said}");
    assert!(!said.contains("Rooms (") && said.contains("Registers and grilles"));
    assert!(codes(&case).contains(&"envelope-unknown".to_owned()));
}

#[test]
fn pieces_of_a_run_follow_each_other_as_walked() {
    let system = bungalow();
    let found = solved(&system, TestKind::Running);
    let case = case(&system, &found);
    let mut last: Option<(Option<usize>, f64)> = None;
    let mut joined = 0;
    for (piece, state) in case.pieces_as_walked() {
        let state = state.expect("all take part while running");
        if let Some((run, head)) = last
            && run.is_some()
            && run == piece.run
        {
            assert!((head - state.tail_pa).abs() < 1e-9, "{}", piece.id);
            joined += 1;
        }
        last = Some((piece.run, state.head_pa));
    }
    assert!(joined > 40, "{joined}");
}

#[test]
fn suspected_tape_stops_before_the_set_up_is_spoken_of() {
    let mut system = bungalow();
    system.suspect_tape = SuspectTape::Suspected;
    for kind in [TestKind::Total, TestKind::HouseFanOpen] {
        let found = solved(&system, kind);
        let said = text(&case(&system, &found));
        let stop = said.find("STOP:").expect("a stop");
        assert!(stop < said.find("Set-up").expect("the set-up"), "{said}");
        assert!(said.contains("Do not pressurise"), "{said}");
    }
}

#[test]
fn a_house_fan_test_says_burners_off_even_where_all_are_sealed() {
    let mut system = bungalow();
    for appliance in &mut system.combustion {
        appliance.draft = crate::system::Draft::Sealed;
    }
    for kind in [TestKind::HouseFanOpen, TestKind::Pan(0)] {
        let found = solved(&system, kind);
        let said = text(&case(&system, &found));
        assert!(said.contains("relit"), "{said}");
    }
}

#[test]
fn what_did_not_settle_is_doubtful_and_nan_is_never_printed() {
    let system = bungalow();
    let mut found = solved(&system, TestKind::Total);
    found.1.outcome.status = crate::flow::Status::NotConverged { node: 0 };
    found.1.outcome.worst_imbalance = f64::NAN;
    found.1.reading = Some(f64::NAN);
    found.1.supply_plenum_pa = Some(f64::INFINITY);
    for flow in &mut found.1.seam_m3_s {
        *flow = f64::NAN;
    }
    let case = case(&system, &found);
    assert_eq!(case.doubts().len(), 1);
    for said in [text(&case), flow_json(&case), flow_csv(&case)] {
        let mut words = said.split(|c: char| !c.is_alphanumeric());
        assert!(words.all(|word| word != "NaN" && word != "inf"), "{said}");
    }
}

#[test]
fn the_half_plenum_rule_is_the_hand_calculation() {
    let system = bungalow();
    let mut found = solved(&system, TestKind::Running);
    found.1.supply_plenum_pa = Some(25.0);
    found.1.return_plenum_pa = Some(-50.0);
    let case = case(&system, &found);
    let ratio = |side| {
        super::sums::half_plenum_m3_s(&case, side).expect("plenums")
            / system.prior_side_q25_m3_s(side)
    };
    // Half of a 25 Pa plenum gives 0.660, half of 50 Pa gives 1.
    assert!((ratio(crate::system::Side::Supply) - 0.660).abs() < 5e-4);
    assert!((ratio(crate::system::Side::Return) - 1.0).abs() < 1e-12);
}
