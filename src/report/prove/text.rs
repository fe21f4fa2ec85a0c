//! `ductseam prove` for a terminal 100 columns wide.

use super::by_hand;
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{
    before_you_touch, doubts, how_it_was_got, listed, stops, warnings,
};
use crate::report::figures::{chance, flow_unit, leak, leaks, number, percent};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::report::words;
use crate::seal::{CameOut, Pair, Proof};
use crate::system::System;

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProveTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of the tables of seams; 0 shows all.
    pub rows: usize,
}

/// Standard deviations on each side of a band of 90 % (the normal law).
const OF_90: f64 = 1.645;

/// The proof in words and tables.
#[must_use]
pub fn prove_text(system: &System, proof: &Proof, settings: ProveTextSettings) -> String {
    let units = settings.units;
    let unit = flow_unit(units);
    let mut text = wrapped("", &proof.after.title) + "\n";
    text.push_str(&stops(system));
    for pair in &proof.pairs {
        text.push_str(&verdict(system, pair, units));
    }
    text.push_str(&wrapped(
        "All evidence: ",
        &format!(
            "{} {unit} ({}) leaked in the test before, {} {unit} ({}) after; to outside {} and {} {unit}.",
            leak(proof.before.house.total_m3_s.mean, units),
            leaks(proof.before.house.total_m3_s, units),
            leak(proof.after.house.total_m3_s.mean, units),
            leaks(proof.after.house.total_m3_s, units),
            leak(proof.before.house.to_outside_m3_s.mean, units),
            leak(proof.after.house.to_outside_m3_s.mean, units),
        ),
    ));
    if let Some((target, met)) = proof.target {
        text.push_str(&wrapped(
            "Target: ",
            &format!(
                "{} {unit} or less is met with a chance of {}; who decides is the authority that set the limit.",
                leak(target, units),
                chance(met)
            ),
        ));
    }
    text.push('\n');
    text.push_str(&listed(
        "Not compared",
        proof.not_compared.iter().map(String::as_str),
    ));
    text.push_str(&sealed(system, proof, settings).text());
    text.push_str(&remaining(system, proof, settings).text());
    text.push_str(&listed(
        "What now",
        what_now(system, proof, units).iter().map(String::as_str),
    ));
    text.push_str(&doubts(&proof.after));
    text.push_str(&warnings(system, &proof.after));
    text.push_str(&before_you_touch(system));
    text.push_str(&how_it_was_got(&proof.after));
    text
}

pub(in crate::report) fn verdict(system: &System, pair: &Pair, units: UnitSystem) -> String {
    let unit = flow_unit(units);
    let (a, b) = (&system.readings[pair.before], &system.readings[pair.after]);
    let day = |date: &Option<String>| {
        date.as_ref()
            .map_or_else(String::new, |d| format!(" of {d}"))
    };
    let least = if pair.is_bound { "at least " } else { "" };
    let below = if pair.is_bound { "below " } else { "" };
    if pair.cut_m3_s < 0.0 {
        return wrapped(
            "Worse than before: ",
            &format!(
                "{} {unit} more was read in `{}`{} ({} {unit}) than in `{}`{} ({} {unit}), both {}.",
                leak(-pair.cut_m3_s, units),
                b.id,
                day(&b.date),
                leak(pair.after_m3_s, units),
                a.id,
                day(&a.date),
                leak(pair.before_m3_s, units),
                words::setup(system, &pair.setup),
            ),
        ) + &wrapped("Against the plan: ", &against(pair, units));
    }
    let text = wrapped(
        "Achieved: ",
        &format!(
            "{least}{} % (± {} at 90 %) of what was read is gone: {} {unit} in `{}`{}, {below}{} {unit} in `{}`{}, both {}. \
             That is {least}{} {unit} (± {}).",
            number(100.0 * pair.part, 0),
            number(100.0 * OF_90 * pair.part_sd, 0),
            leak(pair.before_m3_s, units),
            a.id,
            day(&a.date),
            leak(pair.after_m3_s, units),
            b.id,
            day(&b.date),
            words::setup(system, &pair.setup),
            leak(pair.cut_m3_s, units),
            leak(OF_90 * pair.cut_sd_m3_s, units),
        ),
    );
    text + &wrapped("Against the plan: ", &against(pair, units))
}

/// The later reading against what was to be expected.
fn against(pair: &Pair, units: UnitSystem) -> String {
    let unit = flow_unit(units);
    let read = leak(pair.after_m3_s, units);
    let expected = format!(
        "{read} {unit} was read where {} {unit} ({}) was to be expected from what was known before the work",
        leak(pair.expected_m3_s.mean, units),
        leaks(pair.expected_m3_s, units)
    );
    match pair.came_out {
        CameOut::AsExpected => format!("as the plan's figures say: {expected}."),
        CameOut::Better => format!(
            "better than the plan's figures say: {expected}; a reading so far off, either way, had a chance of {}. Look again that all masks \
             and the fan stood as before.",
            chance(pair.expected_chance)
        ),
        CameOut::Worse => format!(
            "worse than the plan's figures say: {expected}; a reading so far off, either way, had a chance of {}.",
            chance(pair.expected_chance)
        ),
    }
}

fn rows_of(asked: usize, all: usize) -> usize {
    if asked == 0 { all } else { asked.min(all) }
}

/// What was sealed.
pub(in crate::report) fn sealed(
    system: &System,
    proof: &Proof,
    settings: ProveTextSettings,
) -> Block {
    let units = settings.units;
    let unit = flow_unit(units);
    let rows = rows_of(settings.rows, proof.sealed.len());
    let mut table = Table::new(&[
        ("seam", Holds::Names, 34),
        ("step", Holds::Names, 14),
        ("before", Holds::Numbers, 7),
        ("after", Holds::Numbers, 7),
        ("90 %", Holds::Numbers, 14),
        ("left", Holds::Numbers, 6),
    ]);
    for sealed in proof.sealed.iter().take(rows) {
        table.row(vec![
            system.seams[sealed.seam].id.clone(),
            system.sealing[sealed.step].id.clone(),
            leak(sealed.before_m3_s.mean, units),
            leak(sealed.after_m3_s.mean, units),
            leaks(sealed.after_m3_s, units),
            percent(sealed.left),
        ]);
    }
    let more = match proof.sealed.len() - rows {
        0 => String::new(),
        more => format!("  and {more} more: `--rows 0` shows all\n"),
    };
    Block {
        heading: format!("What was sealed ({unit} in the test)"),
        table,
        more,
        notes: Vec::new(),
    }
}

/// What remains.
pub(in crate::report) fn remaining(
    system: &System,
    proof: &Proof,
    settings: ProveTextSettings,
) -> Block {
    let units = settings.units;
    let unit = flow_unit(units);
    let rows = rows_of(settings.rows, proof.remaining.len());
    let mut table = Table::new(&[
        ("", Holds::Numbers, 3),
        ("seam", Holds::Names, 34),
        ("place", Holds::Names, 14),
        ("reach", Holds::Names, 16),
        (unit, Holds::Numbers, 7),
        ("90 %", Holds::Numbers, 14),
    ]);
    for (at, &index) in proof.remaining.iter().take(rows).enumerate() {
        let seam = &system.seams[index];
        let flow = proof.after.seams[index].test_m3_s;
        table.row(vec![
            (at + 1).to_string(),
            seam.id.clone(),
            system.places[seam.place].name.clone(),
            words::reach(seam.reach).to_owned(),
            leak(flow.mean, units),
            leaks(flow, units),
        ]);
    }
    let hidden = &proof.after.hidden;
    Block {
        heading: "What remains, the largest first".to_owned(),
        table,
        more: String::new(),
        notes: vec![format!(
            "Behind finish or out of reach: {} {unit} ({}), {} of what remains.",
            leak(hidden.test_m3_s.mean, units),
            leaks(hidden.test_m3_s, units),
            percent(hidden.share.mean)
        )],
    }
}

/// What to do about it.
pub(in crate::report) fn what_now(
    system: &System,
    proof: &Proof,
    units: UnitSystem,
) -> Vec<String> {
    let unit = flow_unit(units);
    let mut said = Vec::new();
    let again: Vec<&str> = proof
        .sealed
        .iter()
        .filter(|sealed| sealed.look_again)
        .map(|sealed| system.seams[sealed.seam].id.as_str())
        .collect();
    let worse = proof
        .pairs
        .iter()
        .any(|pair| pair.came_out == CameOut::Worse);
    if worse {
        said.push(
            "More is left than the work should leave: look first whether every mask, plug, filter and damper stood as in the \
             first test, and whether a panel was left off; then go over the sealed joints with smoke, the backs of them \
             above all."
                .to_owned(),
        );
    }
    if !again.is_empty() {
        said.push(format!(
            "Sealed, yet more than half of it is probably left: {}.",
            words::some_names(&again, 5)
        ));
    }
    for pair in &proof.pairs {
        let read = &system.readings[pair.after];
        let last = read
            .stage
            .checked_sub(1)
            .and_then(|step| system.sealing.get(step));
        let same_day = last.is_some_and(|step| step.date.is_some() && step.date == read.date);
        if same_day {
            said.push(format!(
                "`{}` was read on the day of the last sealing: mastic is tested after 16 to 48 h (makers' sheets); read again \
                 before it counts.",
                read.id
            ));
        }
    }
    let unsealed: Vec<usize> = proof
        .remaining
        .iter()
        .copied()
        .filter(|&seam| {
            by_hand(system, seam) && !proof.sealed.iter().any(|sealed| sealed.seam == seam)
        })
        .take(5)
        .collect();
    if !unsealed.is_empty() {
        let sum: f64 = unsealed
            .iter()
            .map(|&seam| proof.after.seams[seam].test_m3_s.mean)
            .sum();
        let names: Vec<&str> = unsealed
            .iter()
            .map(|&seam| system.seams[seam].id.as_str())
            .collect();
        said.push(format!(
            "The largest seams in reach that were not sealed leak {} {unit} together: {}. `ductseam plan` says what more \
             work would buy.",
            leak(sum, units),
            words::some_names(&names, 5)
        ));
    }
    if proof.after.hidden.share.mean > 0.5 {
        said.push(
            "Most of what remains is behind finish or out of reach: more hand work changes little."
                .to_owned(),
        );
    }
    said
}
