//! What the person believes, and how long work takes: from words to figures.

use super::evidence::{Beliefs, Task};
use super::notes::{SAID, source_words};
use crate::catalog::Catalog;
use crate::math::ln;
use crate::sketch::{Minutes, Prior};

/// Beliefs as the engine takes them.
pub(super) fn beliefs(said: &Prior) -> Beliefs {
    Beliefs {
        workmanship_gsd: said.workmanship_spread,
        habit_gsd: said.habit_spread,
        exponent_sd: said.exponent_spread,
        gross_factor: said.gross_chance,
        wrong_setup_chance: said.wrong_setup_chance,
        gauge_shared: said.gauge_shared,
        smoke_factor: said.smoke_threshold,
        observer_sd: said.observer_spread.map(ln),
        nulling_sd_pa: said.nulling_error_pa,
        tap_sd_pa: said.tap_error_pa,
    }
}

/// The catalogue's tasks with the person's minutes laid over.
pub(super) fn tasks(said: &[Minutes], catalog: &Catalog) -> Vec<Task> {
    let own = |id: &str| {
        let mut own = said.iter().rev();
        own.find(|own| own.task.replace(' ', "-") == id)
    };
    catalog
        .tasks()
        .iter()
        .map(|row| {
            let (minutes, source) = match own(&row.id) {
                Some(own) => (own.minutes.value, SAID.to_owned()),
                None => (row.minutes, source_words(&row.source)),
            };
            Task {
                id: row.id.clone(),
                words: row.words.clone(),
                minutes,
                source,
            }
        })
        .collect()
}
