//! Words that every form of an answer shares.

use crate::catalog::Work;
use crate::quantity::{Pressure, UnitSystem};
use crate::system::{Barrier, FanPlace, Mask, Reach, Setup, Side, System, TapPlace, TestKind};

/// `1 reading`, `2 readings`.
#[must_use]
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// `supply` or `return`.
#[must_use]
pub fn side(side: Side) -> &'static str {
    match side {
        Side::Supply => "supply",
        Side::Return => "return",
    }
}

/// Reach as written in a sketch.
#[must_use]
pub fn reach(reach: Reach) -> &'static str {
    match reach {
        Reach::Open => "open",
        Reach::UnderInsulation => "under insulation",
        Reach::BehindFinish => "behind finish",
        Reach::None => "none",
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
        TestKind::Pan(opening) => format!("pan on `{}`", system.openings[opening].id),
        TestKind::RoughIn
        | TestKind::HouseFanOpen
        | TestKind::HouseFanMasked
        | TestKind::Running
        | TestKind::RunningHeld => setup.kind.recipe().words.to_owned(),
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
    let pressure = Pressure::from_pa(setup.pressure_pa).show(UnitSystem::Si);
    let sign = if setup.pressurise { "" } else { "−" };
    let mut words = format!("{kind}, {sign}{pressure} at {tap}, fan at {fan}, {mask}");
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
