//! Words that every form of an answer shares.

use crate::catalog::Work;
use crate::quantity::{Pressure, UnitSystem};
use crate::system::{
    AirflowBy, Barrier, FanPlace, Mask, Mover, Observable, Setup, Side, System, TapPlace, TestKind,
};

pub use crate::said::words::{counted, reach, stage};

/// `supply` or `return`.
#[must_use]
pub fn side(side: Side) -> &'static str {
    match side {
        Side::Supply => "supply",
        Side::Return => "return",
    }
}

/// Workmanship as written in a sketch.
#[must_use]
pub fn work(work: Work) -> &'static str {
    work.word()
}

/// A set-up in one line: `total, 25 Pa at the supply plenum, fan at hall/return box, masked round the flange`.
#[must_use]
pub fn setup(system: &System, setup: &Setup) -> String {
    let mut words = match setup.kind.recipe().mover {
        Mover::DuctFan => on_the_ducts(system, setup),
        Mover::HouseFan => in_the_house(system, setup),
        Mover::Blower => "running".to_owned(),
        Mover::BlowerAndHouseFan => {
            "running, a fan in a door holding the house as it is at rest".to_owned()
        }
    };
    if !setup.plugged.is_empty() {
        let runs: Vec<String> = setup
            .plugged
            .iter()
            .map(|run| format!("`{}`", system.runs[*run].id))
            .collect();
        words.push_str(", plugged off: ");
        words.push_str(&runs.join(", "));
    }
    words
}

/// A test fan on the ducts.
fn on_the_ducts(system: &System, setup: &Setup) -> String {
    let kind = match setup.kind {
        TestKind::Total => "total".to_owned(),
        TestKind::ToOutside => "to outside".to_owned(),
        TestKind::OneSide(one) => format!(
            "{} side alone, barrier at the {}",
            side(one),
            match setup.barrier {
                Barrier::Filter => "filter",
                Barrier::BlowerInlet => "blower inlet",
                Barrier::BlowerOutlet => "blower outlet",
            }
        ),
        TestKind::Isolated(run) => format!("run `{}` alone", system.runs[run].id),
        TestKind::Guarded(one) => format!("{} side alone, the other held alike", side(one)),
        kind => kind.recipe().words.to_owned(),
    };
    let tap = match setup.tap {
        TapPlace::SupplyPlenum => "the supply plenum".to_owned(),
        TapPlace::ReturnPlenum => "the return plenum".to_owned(),
        TapPlace::Opening(opening) => format!("`{}`", system.openings[opening].id),
    };
    let fan = match setup.fan {
        FanPlace::BlowerPanel => "the blower panel".to_owned(),
        FanPlace::Opening(opening) => format!("`{}`", system.openings[opening].id),
    };
    let mask = match setup.mask {
        Mask::Flange => "masked round the flanges",
        Mask::Face => "masked on the grille faces",
        Mask::Throat => "plugged in the throats",
    };
    format!(
        "{kind}, {} at {tap}, fan at {fan}, {mask}",
        held_pressure(setup)
    )
}

/// A test fan in a door.
fn in_the_house(system: &System, setup: &Setup) -> String {
    let registers = match setup.kind {
        TestKind::Pan(opening) => {
            return format!(
                "pan on `{}`, house at {} by a fan in a door",
                system.openings[opening].id,
                held_pressure(setup)
            );
        }
        TestKind::HouseFanMasked => "registers masked",
        _ => "registers open",
    };
    format!(
        "house at {} by a fan in a door, {registers}",
        held_pressure(setup)
    )
}

fn held_pressure(setup: &Setup) -> String {
    let pressure = Pressure::from_pa(setup.pressure_pa).show(UnitSystem::Si);
    let sign = if setup.pressurise { "" } else { "−" };
    format!("{sign}{pressure}")
}

/// What was read, in words: `static pressure in the return plenum`.
#[must_use]
pub fn observable(system: &System, observable: Observable) -> String {
    match observable {
        Observable::FanFlow => "flow of the test fan".to_owned(),
        Observable::BlowerFlow => "flow of the air handler".to_owned(),
        Observable::RegisterFlow(opening) => {
            format!(
                "flow through `{}` into the room",
                system.openings[opening].id
            )
        }
        Observable::PlenumStatic(one) => format!("static pressure in the {} plenum", side(one)),
        Observable::StaticRise => "external static pressure".to_owned(),
        Observable::BehindOpening(opening) => {
            format!(
                "pressure behind `{}` against its room",
                system.openings[opening].id
            )
        }
        Observable::Room(room) => {
            format!(
                "pressure of room `{}` against the house",
                system.rooms[room].name
            )
        }
        Observable::Place(place) => {
            format!(
                "pressure of `{}` against the house",
                system.places[place].name
            )
        }
        Observable::House => "pressure of the house against outdoors".to_owned(),
    }
}

/// Stable word for files of what was read, the same in every answer, and the opening, room or place that it was read at.
#[must_use]
pub fn observable_id(system: &System, observable: Observable) -> (&'static str, Option<String>) {
    match observable {
        Observable::FanFlow => ("fan-flow", None),
        Observable::BlowerFlow => ("blower-flow", None),
        Observable::RegisterFlow(opening) => {
            ("register-flow", Some(system.openings[opening].id.clone()))
        }
        Observable::PlenumStatic(Side::Supply) => ("supply-static", None),
        Observable::PlenumStatic(Side::Return) => ("return-static", None),
        Observable::StaticRise => ("static-rise", None),
        Observable::BehindOpening(opening) => {
            ("behind-register", Some(system.openings[opening].id.clone()))
        }
        Observable::Room(room) => ("room-pressure", Some(system.rooms[room].name.clone())),
        Observable::Place(place) => ("place-pressure", Some(system.places[place].name.clone())),
        Observable::House => ("house-pressure", None),
    }
}

/// How an airflow was got.
#[must_use]
pub fn airflow_by(by: AirflowBy) -> &'static str {
    match by {
        AirflowBy::Plate => "measured by plate at the filter",
        AirflowBy::ReturnGrilles => "summed at the return grilles",
        AirflowBy::BlowerTable => "read from the blower table",
        AirflowBy::Nameplate => "taken from the nameplate",
        AirflowBy::Assumed => "assumed in the sketch",
    }
}

/// Names in backquotes, the first few of them: `` `a`, `b` and 3 more ``.
#[must_use]
pub fn some_names(names: &[&str], most: usize) -> String {
    let shown: Vec<String> = names
        .iter()
        .take(most)
        .map(|name| format!("`{name}`"))
        .collect();
    let mut said = shown.join(", ");
    if names.len() > most {
        said.push_str(&format!(" and {} more", names.len() - most));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;
    use crate::system::SealingStep;

    #[test]
    fn every_mover_has_its_own_words_and_a_blower_holds_no_tap() {
        let system = samples::system();
        let words = |kind| setup(&system, &system.setup(kind));
        assert!(words(TestKind::Total).starts_with("total, 25 Pa at the supply plenum, fan at"));
        let pan = words(TestKind::Pan(0));
        assert!(
            pan.starts_with(&format!(
                "pan on `{}`, house at −50 Pa",
                system.openings[0].id
            )),
            "{pan}"
        );
        assert!(words(TestKind::HouseFanMasked).ends_with("registers masked"));
        assert_eq!(words(TestKind::Running), "running");
        for kind in [TestKind::Running, TestKind::RunningHeld] {
            assert!(!words(kind).contains("plenum"));
        }
    }

    #[test]
    fn a_stage_is_named_by_its_last_step_and_only_where_something_was_sealed() {
        let mut system = samples::system();
        assert_eq!(stage(&system, 0), None);
        let step = |id: &str| SealingStep {
            id: id.to_owned(),
            date: None,
            seams: vec![0],
            remains: vec![0.1],
        };
        system.sealing = vec![step("trunk"), step("boots")];
        assert_eq!(stage(&system, 0).as_deref(), Some("before any sealing"));
        assert_eq!(
            stage(&system, 1).as_deref(),
            Some("after sealing step `trunk` (1 of 2)")
        );
        system.sealing.pop();
        assert_eq!(
            stage(&system, 1).as_deref(),
            Some("after sealing step `trunk`")
        );
    }

    #[test]
    fn long_lists_of_names_are_cut_and_counted() {
        assert_eq!(some_names(&["a", "b"], 2), "`a`, `b`");
        assert_eq!(some_names(&["a", "b", "c", "d"], 2), "`a`, `b` and 2 more");
    }
}
