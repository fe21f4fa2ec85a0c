//! How large a system may be. What lies beyond is refused before it is built.
//!
//! A house is some 100 pieces and 300 seams, a large building 10 000; all figures are engineering estimates, wide of these.
//! They keep a slip of the pen (a length in the wrong unit, a section of millimetres) and a file that is no sketch of a
//! building within half a gigabyte and some seconds.

use super::book::Book;
use super::layout::Layout;
use super::notes::Notes;
use crate::sketch::Diagnostic;

/// Seams of a system: one takes about 1 kB while it is built.
pub(super) const MOST_SEAMS: usize = 220_000;

/// Seams that looks, sealing and crew are looked through for, all groups together: two hundred groups of a building of 100 000.
pub(super) const MOST_LOOKED_THROUGH: usize = 20_000_000;

/// Seams that all groups together name: each gets a look or a step of its own, some 0.5 kB.
pub(super) const MOST_NAMED: usize = 500_000;

/// Refuses a sketch whose runs come to more seams than a system may have, at the run that passes the bound.
///
/// Counted from the straight lengths (a joint and a lock seam a section) and the steps (one each), before anything is made.
pub(super) fn check(layouts: &[Layout], book: &Book, notes: &mut Notes) -> bool {
    let mut all = 0.0;
    for (run, layout) in book.sketch.runs.iter().zip(layouts) {
        let sections: f64 = layout
            .legs
            .iter()
            .map(|leg| {
                let section = book.section(leg.material);
                section.map_or(1.0, |section| {
                    ((leg.to - leg.from) / section).ceil().max(1.0)
                })
            })
            .sum();
        all += 2.0 * sections + run.walk.len() as f64;
        if all.is_nan() || all > MOST_SEAMS as f64 {
            notes.wrong(
                Diagnostic::new(
                    "E0264",
                    run.id.at,
                    format!("the sketch comes to more than {MOST_SEAMS} seams"),
                )
                .label("from this run on")
                .hint(
                    "look for lengths in a wrong unit and for a short `section`, or split the building into several sketches",
                ),
            );
            return false;
        }
    }
    true
}
