//! What forbids sealing work where something burns with natural draft.

use super::run::effects;
use super::types::EffectsSettings;
use crate::seal::BeforeAfter;
use crate::system::{Draft, System};

/// Depressurisation past which the work stops where nothing is said: the strictest figure of older screening tables (from
/// memory).
pub const USUAL_DRAFT_LIMIT: &str = "2 Pa";

/// Why draft must be looked at before the work begins; `None` where nothing burns with natural draft or no zone passes the
/// limit.
///
/// `limit_pa` is the depressurisation of a zone against outdoors past which the work stops, Pa, positive; `limit` the same
/// in the person's words.
#[must_use]
pub fn draft_stop(
    system: &System,
    pairs: &BeforeAfter,
    limit: &str,
    limit_pa: f64,
) -> Option<String> {
    const TESTS: &str = "A qualified person tests draft, spillage and carbon monoxide first; return leaks of that zone are \
                         sealed before any other.";
    if !system
        .combustion
        .iter()
        .any(|appliance| appliance.draft == Draft::Natural)
    {
        return None;
    }
    let unknown = |why: &str| {
        Some(format!(
            "something burns with natural draft here, and what this work does to the pressure round it is not known: {why}. \
             {TESTS}"
        ))
    };
    let found = match effects(system, pairs, &EffectsSettings::default()) {
        Ok(found) => found,
        Err(error) => return unknown(&error.to_string()),
    };
    if !found.envelope_known {
        return unknown(
            "the leakage of the house's envelope is not stated (`floor area` or `envelope` under `house`)",
        );
    }
    let Some(draft) = found.draft else {
        return unknown("no zone could be told");
    };
    let (before, after) = (draft.pa.before.mean, draft.pa.after.mean);
    (after < -limit_pa || before < -limit_pa).then(|| {
        format!(
            "while the unit runs {} stands at {before:.1} Pa against outdoors and would stand at {after:.1} Pa after this work \
             ({}), past the limit of {limit}, with natural draft there: {}. {TESTS}",
            draft.zone_before, draft.zone_after, draft.appliances
        )
    })
}
