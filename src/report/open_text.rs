//! Seams that may hang open, for a terminal.

use super::figures::{chance, flow_unit, leak, leaks, opening, opening_unit};
use super::lines::{Block, Holds, Table};
use super::words;
use crate::allocate::{Allocation, Band, GrossCandidate};
use crate::quantity::UnitSystem;

/// From this chance on the answer speaks of it first.
const LIKELY: f64 = 0.5;
/// Rows of the table.
const ROWS: usize = 8;
/// Seams named of a candidate.
const NAMED: usize = 4;

/// Lines of the summary, name and words: what probably hangs open, or with what chance nothing does. None where
/// nothing was thought of.
pub fn summary(allocation: &Allocation, units: UnitSystem) -> Vec<(String, String)> {
    if allocation.gross.is_empty() {
        return Vec::new();
    }
    let mut lines: Vec<(String, String)> = allocation
        .gross
        .iter()
        .filter(|candidate| candidate.chance > LIKELY)
        .map(|candidate| {
            let sizes = if is_known(candidate.test_m3_s) {
                format!(
                    "; if so {} {} ({}) through an opening of {} {}",
                    leak(candidate.test_m3_s.mean, units),
                    flow_unit(units),
                    leaks(candidate.test_m3_s, units),
                    opening(candidate.opening_m2.mean, units),
                    opening_unit(units)
                )
            } else {
                String::new()
            };
            (
                "Probably hangs open".to_owned(),
                format!(
                    "{}, chance {}{sizes}. {}",
                    names(allocation, candidate),
                    chance(candidate.chance),
                    where_to_look(candidate.seams.len())
                ),
            )
        })
        .collect();
    lines.push((
        "Nothing hangs open".to_owned(),
        format!("chance {}", chance(allocation.nothing_open_chance)),
    ));
    lines
}

/// The table of what may hang open; nothing where nothing was thought of.
pub fn may_hang_open(allocation: &Allocation, units: UnitSystem) -> String {
    hanging(allocation, units).map_or_else(String::new, |block| block.text())
}

/// The same as a table with its words; `None` where nothing was thought of.
pub fn hanging(allocation: &Allocation, units: UnitSystem) -> Option<Block> {
    if allocation.gross.is_empty() {
        return None;
    }
    let flow_head = format!("{} if open", flow_unit(units));
    let opening_head = format!("opening, {}", opening_unit(units));
    let mut table = Table::new(&[
        ("seam", Holds::Words, 36),
        ("chance", Holds::Numbers, 6),
        ("before", Holds::Numbers, 6),
        (&flow_head, Holds::Numbers, 19),
        (&opening_head, Holds::Numbers, 19),
    ]);
    for candidate in allocation.gross.iter().take(ROWS) {
        let (flow, size) = if is_known(candidate.test_m3_s) {
            (
                format!(
                    "{} ({})",
                    leak(candidate.test_m3_s.mean, units),
                    leaks(candidate.test_m3_s, units)
                ),
                format!(
                    "{} ({} to {})",
                    opening(candidate.opening_m2.mean, units),
                    opening(candidate.opening_m2.p05, units),
                    opening(candidate.opening_m2.p95, units)
                ),
            )
        } else {
            ("-".to_owned(), "-".to_owned())
        };
        table.row(vec![
            names(allocation, candidate),
            chance(candidate.chance),
            chance(candidate.prior_chance),
            flow,
            size,
        ]);
    }
    let more = match allocation.gross.len().saturating_sub(ROWS) {
        0 => String::new(),
        rest => format!(
            "  and {} less likely\n",
            words::counted(rest, "more that is", "more that are")
        ),
    };
    Some(Block {
        heading: "May hang open".to_owned(),
        table,
        more,
        notes: vec![format!(
            "chance: that it, or at least one of those that the evidence cannot tell apart, hangs open; before: without \
             any evidence. If open: mean flow in the test and 90 % band, and the free area with a discharge coefficient \
             of 0.6. Chance that nothing hangs open: {}. A place to look at, not a finding.",
            chance(allocation.nothing_open_chance)
        )],
    })
}

/// What to do about one seam or some that the evidence cannot tell apart.
fn where_to_look(seams: usize) -> &'static str {
    if seams <= NAMED {
        "Look there first."
    } else {
        "These are too many to look at one by one: a pan at each register, or a reading with one run plugged off after the \
         other, tells which branch it is on; `ductseam next` ranks them. Or walk along what can be reached with the fan \
         running: a joint that hangs loose blows hard enough to feel."
    }
}

fn names(allocation: &Allocation, candidate: &GrossCandidate) -> String {
    let ids: Vec<&str> = candidate
        .seams
        .iter()
        .map(|seam| allocation.seams[*seam].id.as_str())
        .collect();
    let named = words::some_names(&ids, NAMED);
    if ids.len() == 1 {
        named
    } else {
        format!("one of {named}")
    }
}

/// Whether any draw had it open, so that there is a size to speak of.
fn is_known(flow: Band) -> bool {
    flow.mean.is_finite() && flow.p95 > 0.0
}

#[cfg(test)]
mod tests {
    use super::super::samples;
    use super::*;

    #[test]
    fn what_probably_hangs_open_comes_first_with_its_size_in_trade_units() {
        let system = samples::system();
        let allocation = samples::allocation(&system);
        let lines = summary(&allocation, UnitSystem::Ip);
        assert_eq!(lines.len(), 2, "one of the two is likelier than not");
        assert!(lines[0].1.contains(&system.seams[3].id), "{}", lines[0].1);
        // 0.02 m3/s are 42.4 cfm; 0.0064516 m2 are 10 in2.
        assert!(
            lines[0].1.contains(
                "chance 83 %; if so 42.4 cfm (21.2 to 84.8) through an opening of 10.0 in2"
            ),
            "{}",
            lines[0].1
        );
        assert!(lines[0].1.ends_with("Look there first."), "{}", lines[0].1);
        assert_eq!(lines[1].1, "chance 12 %");
        let mut many = allocation.clone();
        many.gross[0].seams = (0..NAMED + 1).collect();
        let lines = summary(&many, UnitSystem::Ip);
        assert!(
            lines[0].1.contains("too many to look at one by one"),
            "{}",
            lines[0].1
        );
        let si = may_hang_open(&allocation, UnitSystem::Si);
        assert!(
            si.contains("20.0 (10.0 to 40.0)") && si.contains("65 (32 to 129)"),
            "{si}"
        );
        assert!(
            si.split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .contains("8 more"),
            "{si}"
        );
    }

    #[test]
    fn nothing_is_said_where_nothing_was_thought_of_and_no_size_where_none_is_known() {
        let system = samples::system();
        let mut allocation = samples::allocation(&system);
        allocation.gross[0].test_m3_s = Band::default();
        let text = may_hang_open(&allocation, UnitSystem::Ip);
        assert!(text.contains(" - "), "{text}");
        allocation.gross.clear();
        assert!(summary(&allocation, UnitSystem::Ip).is_empty());
        assert_eq!(may_hang_open(&allocation, UnitSystem::Ip), "");
    }
}
