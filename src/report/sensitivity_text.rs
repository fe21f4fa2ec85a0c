//! How much an answer hangs on what is believed beforehand, for a terminal.

use super::figures::{chance, flow_unit, leak, leaks, percent};
use super::lines::{Holds, Table, wrapped};
use crate::allocate::{Allocation, Sensitivity};
use crate::quantity::UnitSystem;

/// The section, with a blank line at its end.
pub fn sensitivity_text(
    allocation: &Allocation,
    sensitivity: &Sensitivity,
    units: UnitSystem,
) -> String {
    let mut text = String::from("How much hangs on what is believed beforehand\n");
    if sensitivity.changes.is_empty() {
        text.push_str("  Nothing was changed.\n\n");
        return text;
    }
    text.push_str(&changes(allocation, sensitivity, units));
    text.push('\n');
    text.push_str(&tops(allocation, sensitivity));
    let id = |seam: usize| &allocation.seams[seam].id;
    if sensitivity.flips.is_empty() {
        text.push_str(&wrapped(
            "  ",
            "No change turns the order of these seams round by more than the draws' own error.",
        ));
    }
    for (one, other, at) in &sensitivity.flips {
        let said = format!(
            "order turns round: `{}` falls behind `{}` with {}",
            id(*one),
            id(*other),
            sensitivity.changes[*at].words
        );
        text.push_str(&wrapped("  - ", &said));
    }
    for change in sensitivity.changes.iter().filter(|change| change.doubtful) {
        let said = format!("doubtful computation with {}", change.words);
        text.push_str(&wrapped("  - ", &said));
    }
    text.push('\n');
    text
}

fn changes(allocation: &Allocation, sensitivity: &Sensitivity, units: UnitSystem) -> String {
    let mut table = Table::new(&[
        ("changed", Holds::Words, 35),
        (flow_unit(units), Holds::Numbers, 6),
        ("90 % band", Holds::Numbers, 14),
        ("hidden", Holds::Numbers, 6),
        ("nothing open", Holds::Numbers, 12),
        ("turns round", Holds::Names, 12),
    ]);
    let house = &allocation.house;
    table.row(vec![
        "as it stands".to_owned(),
        leak(house.total_m3_s.mean, units),
        leaks(house.total_m3_s, units),
        percent(allocation.hidden.share.mean),
        chance(allocation.nothing_open_chance),
        String::new(),
    ]);
    for (at, change) in sensitivity.changes.iter().enumerate() {
        let flips = sensitivity.flips.iter().filter(|flip| flip.2 == at).count();
        table.row(vec![
            change.words.clone(),
            leak(change.total_m3_s.mean, units),
            leaks(change.total_m3_s, units),
            percent(change.hidden_share),
            chance(change.nothing_open_chance),
            match flips {
                0 => "no".to_owned(),
                1 => "1 pair".to_owned(),
                n => format!("{n} pairs"),
            },
        ]);
    }
    table.text()
}

/// The largest seams with the range of their shares and ranks over all changes.
fn tops(allocation: &Allocation, sensitivity: &Sensitivity) -> String {
    let mut table = Table::new(&[
        ("", Holds::Numbers, 5),
        ("seam", Holds::Names, 44),
        ("share", Holds::Numbers, 6),
        ("with the changes", Holds::Numbers, 18),
        ("rank", Holds::Numbers, 12),
    ]);
    for (at, seam) in sensitivity.top.iter().enumerate() {
        let shares = sensitivity
            .changes
            .iter()
            .filter_map(|change| change.shares.get(at).copied());
        let (least, most) = shares
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), share| {
                (low.min(share), high.max(share))
            });
        let ranks: Vec<usize> = sensitivity
            .changes
            .iter()
            .filter_map(|change| change.ranks.get(at).copied())
            .collect();
        let (first, last) = (ranks.iter().min(), ranks.iter().max());
        table.row(vec![
            (at + 1).to_string(),
            allocation.seams[*seam].id.clone(),
            percent(sensitivity.shares[at]),
            format!("{} to {}", percent(least), percent(most)),
            match (first, last) {
                (Some(first), Some(last)) if first == last => first.to_string(),
                (Some(first), Some(last)) => format!("{first} to {last}"),
                _ => String::new(),
            },
        ]);
    }
    table.text()
}

#[cfg(test)]
mod tests {
    use super::super::samples;
    use super::*;

    #[test]
    fn a_pair_that_turns_round_is_named_with_the_change_that_does_it() {
        let system = samples::system();
        let allocation = samples::allocation(&system);
        let mut found = samples::sensitivity();
        let text = sensitivity_text(&allocation, &found, UnitSystem::Ip);
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let (one, other) = (&system.seams[0].id, &system.seams[1].id);
        assert!(
            flat.contains(&format!(
                "order turns round: `{one}` falls behind `{other}` with chance to hang open × 3"
            )),
            "{text}"
        );
        assert!(
            flat.contains("doubtful computation with chance to hang open × 3"),
            "{text}"
        );
        assert!(flat.contains("1 pair"), "{text}");
        // The third seam has ranks 3 and 14.
        assert!(flat.contains("8.0 % 10 % to 10 % 3 to 14"), "{text}");
        found.flips.clear();
        let calm = sensitivity_text(&allocation, &found, UnitSystem::Ip);
        assert!(calm.contains("No change turns the order"), "{calm}");
    }
}
