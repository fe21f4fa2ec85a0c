//! How each reading was set up, as a record may say it: what nobody stated is never told as a fact.

use crate::quantity::{Pressure, UnitSystem};
use crate::report::words;
use crate::system::{Barrier, FanPlace, Mask, Measured, System, TapPlace, TestKind};

/// The set-up of a reading, each part as stated, or as not stated with what was taken.
pub fn set_up(system: &System, measured: &Measured) -> String {
    let taken = taken(system, &measured.id);
    let setup = &measured.setup;
    let (kind, of_side) = match setup.kind {
        _ if taken.is_empty() => return words::setup(system, setup),
        TestKind::Total => ("total", false),
        TestKind::ToOutside => ("to outside", false),
        TestKind::OneSide(one) => (words::side(one), true),
        TestKind::Guarded(one) => (words::side(one), true),
        TestKind::RoughIn => (setup.kind.recipe().words, false),
        _ => {
            let all: Vec<&str> = taken.iter().map(|(_, said)| *said).collect();
            return format!(
                "{}; of this not stated, and taken: {}",
                words::setup(system, setup),
                all.join(", ")
            );
        }
    };
    let part = |key: &str, name: &str, stated: String| match taken.iter().find(|one| one.0 == key) {
        Some((_, said)) => {
            let value = said.split_once(": ").map_or(*said, |(_, value)| value);
            format!("{name} not stated (taken as {value})")
        }
        None => stated,
    };
    let opening = |k: usize| format!("`{}`", system.openings[k].id);
    let mut parts = vec![match setup.kind {
        TestKind::OneSide(_) => format!("{kind} side alone"),
        TestKind::Guarded(_) => format!("{kind} side alone, the other held alike"),
        _ => kind.to_owned(),
    }];
    let sign = if setup.pressurise { "" } else { "−" };
    let held = Pressure::from_pa(setup.pressure_pa).show(UnitSystem::Si);
    parts.push(part("pressure", "pressure", format!("{sign}{held}")));
    parts.push(part(
        "tap",
        "tap",
        match setup.tap {
            TapPlace::SupplyPlenum => "tap in the supply plenum".to_owned(),
            TapPlace::ReturnPlenum => "tap in the return plenum".to_owned(),
            TapPlace::Opening(k) => format!("tap at {}", opening(k)),
        },
    ));
    parts.push(part(
        "fan",
        "fan",
        match setup.fan {
            FanPlace::BlowerPanel => "fan at the blower panel".to_owned(),
            FanPlace::Opening(k) => format!("fan at {}", opening(k)),
        },
    ));
    parts.push(part(
        "mask",
        "masking",
        match setup.mask {
            Mask::Flange => "masked round the flanges",
            Mask::Face => "masked on the grille faces",
            Mask::Throat => "plugged in the throats",
        }
        .to_owned(),
    ));
    if of_side {
        parts.push(part(
            "barrier",
            "barrier",
            match setup.barrier {
                Barrier::Filter => "barrier at the filter",
                Barrier::BlowerInlet => "barrier at the blower inlet",
                Barrier::BlowerOutlet => "barrier at the blower outlet",
            }
            .to_owned(),
        ));
    }
    if !setup.plugged.is_empty() {
        let runs = setup.plugged.iter();
        let runs: Vec<String> = runs
            .map(|run| format!("`{}`", system.runs[*run].id))
            .collect();
        parts.push(format!("plugged off: {}", runs.join(", ")));
    }
    parts.join(", ")
}

/// Keys and words of what stood in for a part of the set-up that the sketch does not state.
fn taken<'s>(system: &'s System, id: &str) -> Vec<(&'s str, &'s str)> {
    // The values of one reading of several are numbered after its id.
    let whole = id
        .rsplit_once(' ')
        .filter(|(_, number)| number.bytes().all(|b| b.is_ascii_digit()))
        .map_or(id, |(whole, _)| whole);
    let about = [format!("reading {id}"), format!("reading {whole}")];
    let of = system
        .defaults
        .iter()
        .filter(|one| about.contains(&one.about));
    of.filter_map(|one| {
        let key = one.taken.split_once(": ")?.0;
        ["pressure", "tap", "fan", "mask", "barrier"]
            .contains(&key)
            .then_some((key, one.taken.as_str()))
    })
    .collect()
}
