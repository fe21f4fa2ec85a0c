//! The evidence sets: one small sketch, of which more and more is read and seen.

use ductseam::allocate::{AllocateSettings, ErrorLaw, WideError};
use ductseam::catalog::Catalog;
use ductseam::sketch::{self, Smoke};
use ductseam::system::{self, Look, LookAt, Reach, SeamRole, Seen, System};

use super::Set;

/// Names of the sets.
pub const NAMES: [&str; 5] = ["total", "split", "looks", "pan", "gross"];

/// How many times wider an error is when the set-up was wrong.
pub const WIDE_TIMES: f64 = 20.0;

/// Pressure at which the seams are looked at, Pa.
const LOOK_PA: f64 = 25.0;

/// Prior chance that nothing hangs open in the set `gross`.
const NOTHING_OPEN: f64 = 0.5;

/// A set by its name.
pub fn set(name: &str) -> Option<Set> {
    let mut system = ducts();
    let mut settings = AllocateSettings {
        error_law: ErrorLaw {
            wide: WideError::TimesSigma(WIDE_TIMES),
            ..ErrorLaw::default()
        },
        ..AllocateSettings::default()
    };
    let split = ["total", "supply side", "return side"];
    let words = match name {
        "total" => {
            keep(&mut system, |id| id == "total");
            "one total"
        }
        "split" => {
            keep(&mut system, |id| split.contains(&id));
            "total, supply side, return side"
        }
        "looks" => {
            keep(&mut system, |id| split.contains(&id));
            look_at_half(&mut system);
            "as split, and smoke at every second seam that can be seen, one observer"
        }
        "pan" => "as split, and the pressure under a pan at every register and the return",
        "gross" => {
            keep(&mut system, |id| split[..2].contains(&id));
            settings.gross_factor = factor_for(&system, NOTHING_OPEN);
            "total, supply side; something hangs open in every second system"
        }
        _ => return None,
    };
    Some(Set {
        name: name.to_owned(),
        words: words.to_owned(),
        system,
        judged_by: settings.clone(),
        settings,
        is_blind: false,
        is_exact: true,
    })
}

/// The ducts of the study with every reading.
fn ducts() -> System {
    let text = include_str!("../../data/study/ducts.yaml");
    let read = sketch::read(text, "ducts.yaml").expect("a good sketch");
    system::build(&read, text, "ducts.yaml", Catalog::builtin()).expect("a good system")
}

fn keep(system: &mut System, wanted: impl Fn(&str) -> bool) {
    system.readings.retain(|reading| wanted(&reading.id));
}

/// One smoke look at every second seam within reach, all by one person. What was seen is a placeholder.
fn look_at_half(system: &mut System) {
    let seen: Vec<usize> = (0..system.seams.len())
        .filter(|&i| {
            let seam = &system.seams[i];
            seam.role != SeamRole::Unsketched
                && matches!(seam.reach, Reach::Open | Reach::UnderInsulation)
        })
        .step_by(2)
        .collect();
    system.looks = seen
        .into_iter()
        .map(|seam| Look {
            seams: vec![seam],
            is_group: false,
            words: format!("{}: smoke", system.seams[seam].id),
            seen: Seen::Smoke(Smoke::None),
            by: "one".to_owned(),
            at: LookAt::Total(LOOK_PA),
            stage: 0,
        })
        .collect();
}

/// Factor on the catalogue's chances to hang open that leaves this chance that nothing does, with at most two open.
fn factor_for(system: &System, nothing: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1000.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if nothing_open(system, middle) > nothing {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Prior chance that nothing hangs open, given that at most two seams do.
pub fn nothing_open(system: &System, factor: f64) -> f64 {
    let odds = system
        .seams
        .iter()
        .filter(|seam| seam.opening_m2 > 0.0)
        .map(|seam| (seam.gross_chance * factor).min(0.5))
        .map(|chance| chance / (1.0 - chance));
    let (sum, squares) = odds.fold((0.0, 0.0), |(sum, squares), o| (sum + o, squares + o * o));
    1.0 / (1.0 + sum + 0.5 * (sum * sum - squares))
}
