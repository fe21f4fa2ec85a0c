//! Figures and cautions as they are shown.

use crate::allocate::Band;
use crate::effects::{Change, Effects};
use crate::math::{log10, powi};
use crate::quantity::{Pressure, UnitSystem};
use crate::report::cautions::{Caution, back_draft, cautions};
use crate::report::figures::{flow_unit, number, signed_flow};
use crate::system::System;

/// Change of the lowest zone's pressure from which it is spoken of, Pa. Engineering estimate: what a gauge shows.
const FELT_PA: f64 = 0.5;

/// Cautions of the system, and what the work does to zones with natural draft.
pub fn all_cautions(system: &System, effects: &Effects) -> Vec<Caution> {
    let mut found = cautions(system);
    let at = found.iter().filter(|caution| caution.stop).count();
    let Some(draft) = &effects.draft else {
        return found;
    };
    if draft.pa.change.mean < -FELT_PA {
        found.insert(
            at,
            Caution {
                code: "draft-falls",
                stop: false,
                text: format!(
                    "The work as planned lowers the pressure of a zone with natural draft, from {:.1} to {:.1} Pa against \
                     outdoors ({}): return leaks may have been feeding the house. Seal returns in the appliance's zone \
                     first, and have draft, spillage and carbon monoxide tested by a qualified person before and after, \
                     the same day.",
                    draft.pa.before.mean, draft.pa.after.mean, draft.appliances
                ),
            },
        );
    }
    let (zone, pa, when) = if draft.pa.after.mean < draft.pa.before.mean {
        (&draft.zone_after, draft.pa.after.mean, "after")
    } else {
        (&draft.zone_before, draft.pa.before.mean, "before")
    };
    let zone = format!(
        "With the unit running {when} the work {}",
        in_sentence(zone)
    );
    if let Some(caution) = back_draft(&zone, pa, &draft.appliances) {
        found.insert(at, caution);
    }
    found
}

/// A zone's name inside a sentence.
pub fn in_sentence(zone: &str) -> String {
    match zone.strip_prefix("The ") {
        Some(rest) => format!("the {rest}"),
        None => zone.to_owned(),
    }
}

/// `88 -> 97 cfm (94 to 99)`.
pub fn flows(change: &Change, units: UnitSystem) -> String {
    let shown = |m3_s: f64| signed_flow(m3_s, units);
    format!(
        "{} -> {} {} ({} to {})",
        shown(change.before.mean),
        shown(change.after.mean),
        flow_unit(units),
        shown(change.after.p05),
        shown(change.after.p95)
    )
}

/// The 90 % band of a flow.
pub fn flow_band(band: &Band, units: UnitSystem) -> String {
    format!(
        "{} to {}",
        signed_flow(band.p05, units),
        signed_flow(band.p95, units)
    )
}

/// Pressures in Pa; in inch-pound units inches of water too where they are large enough to be spoken of so.
pub fn pressures(change: &Change, units: UnitSystem) -> String {
    let pa = |value: f64| {
        let decimals = match value.abs() {
            size if size >= 9.95 => 0,
            size if size >= 0.95 => 1,
            _ => 2,
        };
        number(value, decimals)
    };
    let words = format!(
        "{} -> {} Pa ({} to {})",
        pa(change.before.mean),
        pa(change.after.mean),
        pa(change.after.p05),
        pa(change.after.p95)
    );
    if units == UnitSystem::Ip && change.before.mean.abs() >= 9.95 {
        let inches = |value: f64| number(Pressure::from_pa(value).to_in_wg(), 2);
        format!(
            "{words}, that is {} -> {} in. w.g.",
            inches(change.before.mean),
            inches(change.after.mean)
        )
    } else {
        words
    }
}

/// `11 -> 4 % (3 to 6)`.
pub fn parts(change: &Change) -> String {
    format!(
        "{} -> {} % ({} to {})",
        percent(change.before.mean),
        percent(change.after.mean),
        percent(change.after.p05),
        percent(change.after.p95)
    )
}

/// A part in per cent without its sign: whole from 10 on.
pub fn percent(part: f64) -> String {
    let value = 100.0 * part;
    number(value, if value.abs() >= 9.95 { 0 } else { 1 })
}

/// A number rounded to two digits, whole: nobody knows cents.
pub fn rounded(value: f64) -> f64 {
    if !value.is_finite() {
        return value;
    }
    let size = value.abs();
    let step = if size < 100.0 {
        1.0
    } else {
        powi(10.0, log10(size).floor() as i32 - 1)
    };
    let found = (value / step).round() * step;
    // No zero below zero.
    if found.abs() < 0.5 { 0.0 } else { found }
}

/// Money without cents.
pub fn whole(band: Band) -> Band {
    Band {
        mean: rounded(band.mean),
        p05: rounded(band.p05),
        p50: rounded(band.p50),
        p95: rounded(band.p95),
    }
}

/// `60 to 140`, both rounded; one figure where both are the same.
pub fn rounded_band(band: &Band) -> String {
    let (low, high) = (number(rounded(band.p05), 0), number(rounded(band.p95), 0));
    if low == high {
        format!("about {low}")
    } else {
        format!("{low} to {high}")
    }
}
