//! The order of the work: what hangs loose and, where something burns, returns; then place by place, then from the rooms,
//! then from inside.

use super::choices::Choice;
use crate::system::{Draft, PlaceIdx, Side, System};

/// Chance to hang open from which a seam counts as loose. Engineering estimate: more likely than not.
pub(super) const LIKELY_OPEN: f64 = 0.5;
/// Chance to hang open from which a seam is looked at before others. Engineering estimate.
const LOOKED_AT_FROM: f64 = 0.1;

/// Where a choice stands in the order of the work; smaller comes first. First what hangs loose and return seams in places
/// where something burns, wherever they are sealed from; then the rest.
pub(super) fn rank(
    system: &System,
    choice: &Choice,
    open_chance: f64,
    place_order: &[usize],
) -> (bool, bool, bool, usize, bool, usize) {
    let seam = &system.seams[choice.seam];
    let pulls = seam.side == Side::Return && draws_air(system, seam.place);
    (
        // Work from inside comes last: loose and wide openings are closed by hand before it.
        system.crew.methods[choice.method].from_inside,
        open_chance < LOOKED_AT_FROM && !pulls,
        choice.place.is_none(),
        choice
            .place
            .and_then(|place| place_order.get(place).copied())
            .unwrap_or(0),
        open_chance < LOOKED_AT_FROM,
        choice.seam,
    )
}

/// Whether something burns with the air of a place.
pub(super) fn draws_air(system: &System, place: PlaceIdx) -> bool {
    system
        .combustion
        .iter()
        .any(|a| a.place == place && a.draft != Draft::Sealed)
}

/// Places where something hangs loose come first, then those with open flues, since return seams there pull on them,
/// then those where a minute of the work takes most away: whoever stops early has done the better part.
pub(super) fn place_order(system: &System, has_loose: &[bool], cut_a_minute: &[f64]) -> Vec<usize> {
    let mut places: Vec<PlaceIdx> = (0..system.places.len()).collect();
    places.sort_by(|&a, &b| {
        has_loose[b]
            .cmp(&has_loose[a])
            .then(draws_air(system, b).cmp(&draws_air(system, a)))
            .then(cut_a_minute[b].total_cmp(&cut_a_minute[a]))
            .then(a.cmp(&b))
    });
    let mut order = vec![0; places.len()];
    for (at, place) in places.into_iter().enumerate() {
        order[place] = at;
    }
    order
}
