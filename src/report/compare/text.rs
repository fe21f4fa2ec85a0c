//! `ductseam compare` for a terminal 100 columns wide.

use super::parting::{Parting, by_joint_type, by_side};
use super::why::usual;
use crate::allocate::{CompareAnswer, ComparedReading, ReadingResult};
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{
    before_you_touch, doubts, how_it_was_got, listed, stops, warnings,
};
use crate::report::evidence_text::{apart, looks, value_read, where_read};
use crate::report::figures::{
    band_of_reading, chance, flow_unit, leak, number, of_reading, reading_unit, three_digits,
};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::report::words::counted;
use crate::system::System;

/// Rows of the table of joint types; the rest changed less.
const TYPE_ROWS: usize = 12;

/// Every reading against the model, looks too, and where the two part.
#[must_use]
pub fn compare_text(system: &System, answer: &CompareAnswer, units: UnitSystem) -> String {
    let allocation = &answer.allocation;
    let mut text = wrapped("", &allocation.title) + "\n";
    text.push_str(&stops(system));
    if answer.readings.is_empty() {
        text.push_str("No reading: there is nothing to compare the model with but the looks.\n\n");
    } else {
        text.push_str(&overview(answer, units).text());
        for compared in &answer.readings {
            let reading = &allocation.readings[compared.reading];
            text.push_str(&one_reading(system, reading, compared, units));
        }
    }
    text.push_str(&looks(allocation));
    text.push_str(&parting(answer, units));
    text.push_str(&why(system, answer, units));
    text.push_str(&doubts(allocation));
    text.push_str(&warnings(system, allocation));
    text.push_str(&before_you_touch(system));
    text.push_str(&how_it_was_got(allocation));
    text
}

/// What usually makes the two differ, with what each is worth here.
fn why(system: &System, answer: &CompareAnswer, units: UnitSystem) -> String {
    if answer.readings.is_empty() {
        return String::new();
    }
    let unit = flow_unit(units);
    let found = usual(system, &answer.allocation);
    let said: Vec<String> = found
        .iter()
        .map(|why| format!("{} {unit}: {}", leak(why.worth_m3_s, units), why.words))
        .collect();
    listed(
        "Where a total and what was expected of it differ, look first at (what hangs on each here)",
        said.iter().map(String::as_str),
    )
}

/// Every reading against the model.
pub(in crate::report) fn overview(answer: &CompareAnswer, units: UnitSystem) -> Block {
    let mut table = Table::new(&[
        ("reading", Holds::Names, 20),
        ("measured", Holds::Numbers, 16),
        ("modelled", Holds::Numbers, 9),
        ("apart", Holds::Numbers, 8),
        ("without it", Holds::Numbers, 10),
        ("apart", Holds::Numbers, 8),
        ("set-up wrong", Holds::Numbers, 12),
    ]);
    for compared in &answer.readings {
        let reading = &answer.allocation.readings[compared.reading];
        let shown = |value: f64| of_reading(reading.observable, value, units);
        table.row(vec![
            reading.id.clone(),
            value_read(reading, units),
            shown(reading.modelled.mean),
            errors(reading.residual_sd),
            shown(compared.without.mean),
            errors(compared.residual_without_sd),
            chance(reading.wrong_setup_chance),
        ]);
    }
    let mut notes = vec![
        "modelled: mean with all evidence; without it: mean with all evidence but this reading. Apart: measured less \
         modelled in standard errors (se), of the meter alone where its set-up is taken as right, and without the reading of meter and model \
         together."
            .to_owned(),
    ];
    let (sum, count) = answer.chi_square;
    if count > 0 {
        notes.push(format!(
                "The squares of the first `apart` over {} taken as right add up to {}; far more than {count} means that \
                 readings and sketch do not go together.",
                counted(count, "reading", "readings"),
                number(sum, 1)
        ));
    }
    Block {
        heading: "Measured and modelled".to_owned(),
        table,
        more: String::new(),
        notes,
    }
}

pub(in crate::report) fn errors(sd: f64) -> String {
    if sd.is_finite() {
        format!("{} se", apart(sd))
    } else {
        "n/a".to_owned()
    }
}

fn one_reading(
    system: &System,
    reading: &ReadingResult,
    compared: &ComparedReading,
    units: UnitSystem,
) -> String {
    let mut text = wrapped("", &format!("Reading `{}`", reading.id));
    text.push_str(&wrapped("  ", &compared.verdict));
    for (name, words) in facts(system, reading, compared, units) {
        text.push_str(&wrapped(&format!("    {name:18}  "), &words));
    }
    if !reading.note.is_empty() {
        text.push_str(&wrapped("    - ", &reading.note));
    }
    if !compared.causes.is_empty() {
        text.push_str("  What would explain it\n");
        text.push_str(&causes(reading, compared, units).text());
        text.push_str(&wrapped("  ", OF_CAUSES));
    }
    text.push('\n');
    text
}

/// What the chance of a cause is.
pub(in crate::report) const OF_CAUSES: &str =
    "chance: among these causes alone, taken as equally likely before the reading.";

/// Causes that would explain a reading.
pub(in crate::report) fn causes(
    reading: &ReadingResult,
    compared: &ComparedReading,
    units: UnitSystem,
) -> Table {
    let unit = reading_unit(reading.observable, units);
    let would = format!("would read, {unit}");
    let mut table = Table::new(&[
        ("cause", Holds::Words, 52),
        (&would, Holds::Numbers, 16),
        ("apart", Holds::Numbers, 8),
        ("chance", Holds::Numbers, 6),
    ]);
    for cause in &compared.causes {
        table.row(vec![
            cause.words.clone(),
            of_reading(reading.observable, cause.expected, units),
            errors(cause.residual_sd),
            chance(cause.chance),
        ]);
    }
    table
}

/// What is known of a reading, by name.
pub(in crate::report) fn facts(
    system: &System,
    reading: &ReadingResult,
    compared: &ComparedReading,
    units: UnitSystem,
) -> [(&'static str, String); 6] {
    let shown = |value: f64| of_reading(reading.observable, value, units);
    let unit = reading_unit(reading.observable, units);
    let banded = |band| band_of_reading(reading.observable, band, units);
    [
        ("set-up", where_read(system, reading)),
        (
            "measured",
            format!(
                "{} ± {}, {}",
                value_read(reading, units),
                shown(reading.measured_sd),
                reading.error_source
            ),
        ),
        (
            "modelled",
            format!(
                "{} {unit} ({}), all evidence in; apart {}",
                shown(reading.modelled.mean),
                banded(reading.modelled),
                errors(reading.residual_sd)
            ),
        ),
        (
            "without it",
            format!(
                "{} {unit} ({}); apart {}, chance of a reading so far out {}",
                shown(compared.without.mean),
                banded(compared.without),
                errors(compared.residual_without_sd),
                chance(compared.chance_without)
            ),
        ),
        (
            "before any reading",
            format!(
                "{} {unit} ({}); chance of a reading so far out {}",
                shown(reading.prior.mean),
                banded(reading.prior),
                chance(reading.prior_chance)
            ),
        ),
        (
            "set-up wrong",
            format!("chance {}", chance(reading.wrong_setup_chance)),
        ),
    ]
}

fn parting(answer: &CompareAnswer, units: UnitSystem) -> String {
    let mut text = String::from("Where model and measurement part\n");
    let types = by_joint_type(&answer.allocation);
    text.push_str(&part_table("side", &by_side(&answer.allocation), units).text());
    text.push('\n');
    text.push_str(&part_table("joint type", &types[..types.len().min(TYPE_ROWS)], units).text());
    if types.len() > TYPE_ROWS {
        text.push_str(&format!(
            "  and {} that changed less\n",
            counted(
                types.len() - TYPE_ROWS,
                "more joint type",
                "more joint types"
            )
        ));
    }
    text.push_str(&wrapped(
        "  ",
        &format!(
            "Mean {} of all seams of a kind with 25 Pa across each: before any evidence, and after. A factor far from 1 \
             says that these seams are made otherwise than the catalogue expects, or that the sketch misses some.",
            flow_unit(units)
        ),
    ));
    text.push('\n');
    text
}

/// Seams of one kind before and after.
pub(in crate::report) fn part_table(key: &str, rows: &[Parting], units: UnitSystem) -> Table {
    let mut table = Table::new(&[
        (key, Holds::Names, 44),
        ("seams", Holds::Numbers, 6),
        ("before", Holds::Numbers, 8),
        ("after", Holds::Numbers, 8),
        ("factor", Holds::Numbers, 6),
    ]);
    for row in rows {
        table.row(vec![
            row.name.clone(),
            row.count.to_string(),
            leak(row.before_m3_s, units),
            leak(row.after_m3_s, units),
            row.factor().map_or_else(|| "-".to_owned(), three_digits),
        ]);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    fn text(answer: &CompareAnswer, units: UnitSystem) -> String {
        let text = compare_text(&samples::system(), answer, units);
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
            assert_eq!(line, line.trim_end());
        }
        text
    }

    #[test]
    fn every_reading_has_its_verdict_its_two_residuals_and_its_causes() {
        let answer = samples::compared(&samples::system());
        text(&answer, UnitSystem::Si);
        let said = text(&answer, UnitSystem::Ip);
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            flat.contains("Reading `total` It stands 3.4 standard errors"),
            "{said}"
        );
        // 0.7 * 0.078 m3/s = 115.7 cfm; 0.080 m3/s = 169.5 cfm.
        assert!(
            flat.contains("165 cfm 149 -2.7 se 116 +3.4 se 44 %"),
            "{said}"
        );
        assert!(
            flat.contains("register of kitchen left unmasked 170 -0.9 se 70 %"),
            "{said}"
        );
        // -62.5 Pa; 0.7 of it is -43.75 Pa.
        assert!(
            flat.contains("return static -62.5 Pa -56.2 -2.7 se -43.8 +3.4 se"),
            "{said}"
        );
        assert_eq!(said.matches("What would explain it").count(), 1);
        assert!(
            flat.contains("2 readings taken as right add up to 14.6"),
            "{said}"
        );
    }

    #[test]
    fn the_parting_shows_before_after_and_factor_by_side_and_joint_type() {
        let answer = samples::compared(&samples::system());
        let said = text(&answer, UnitSystem::Si);
        let (_, parting) = said
            .split_once("Where model and measurement part\n")
            .expect("it");
        let supply = parting
            .lines()
            .find(|line| line.trim_start().starts_with("supply"))
            .expect("the supply side");
        assert!(supply.ends_with("0.50"), "{supply}");
        assert!(parting.contains("joint type"));
    }

    #[test]
    fn without_a_reading_there_is_nothing_to_compare_with() {
        let mut answer = samples::compared(&samples::system());
        answer.readings.clear();
        let said = text(&answer, UnitSystem::Ip);
        assert!(
            said.contains("No reading: there is nothing to compare"),
            "{said}"
        );
        assert!(!said.contains("Measured and modelled"));
    }
}
