//! What was read and seen, against the model, for a terminal.

use super::figures::{band_of_reading, chance, of_reading, percent, reading_unit};
use super::lines::{Block, Holds, Table, wrapped};
use super::words;
use crate::allocate::{Allocation, LookResult, ReadingResult};
use crate::quantity::UnitSystem;
use crate::system::{Observable, Relation, System};

/// Twice the chance of a wrong set-up that every reading starts with: from here on it is said.
pub(super) const WORTH_SAYING: f64 = 0.1;
/// Rows of the table of looks; the rest agrees better and is counted.
const LOOK_ROWS: usize = 12;

/// The readings, each with its set-up and what a poor fit may mean.
pub fn readings(system: &System, allocation: &Allocation, units: UnitSystem) -> String {
    if allocation.readings.is_empty() {
        let what = if allocation.looks.is_empty() {
            "No reading: what follows is what the catalogue expects of such ducts, not what leaks."
        } else {
            "No reading: what follows is what the catalogue expects of such ducts, changed by the looks alone."
        };
        return wrapped("", what) + "\n";
    }
    let mut text = String::from("Readings\n");
    let mut table = Table::new(&[
        ("reading", Holds::Names, 16),
        ("read", Holds::Numbers, 16),
        ("error", Holds::Names, 7),
        ("model mean, 90 % band", Holds::Names, 24),
        ("expected", Holds::Names, 16),
        ("apart", Holds::Numbers, 8),
    ]);
    for reading in &allocation.readings {
        table.row(row(reading, units));
    }
    text.push_str(&table.text());
    text.push_str(&wrapped(
        "  ",
        "expected: 90 % band before any reading. Apart: read minus model, in standard deviations (sd) of the meter, where \
         its set-up is taken as right.",
    ));
    for reading in &allocation.readings {
        let said = format!(
            "{}; error: {}",
            where_read(system, reading),
            reading.error_source
        );
        text.push_str(&wrapped(&format!("  {}: ", reading.id), &said));
        if reading.wrong_setup_chance > WORTH_SAYING {
            let said = format!(
                "chance that its set-up was wrong: {}",
                percent(reading.wrong_setup_chance)
            );
            text.push_str(&wrapped("    - ", &said));
        }
        if !reading.note.is_empty() {
            text.push_str(&wrapped("    - ", &reading.note));
        }
    }
    text.push('\n');
    text
}

/// A value as it was read, with its unit: `below 20.0 cfm`.
pub fn value_read(reading: &ReadingResult, units: UnitSystem) -> String {
    let below = if reading.relation == Relation::Below {
        "below "
    } else {
        ""
    };
    format!(
        "{below}{} {}",
        of_reading(reading.observable, reading.measured, units),
        reading_unit(reading.observable, units)
    )
}

/// What was read, in which set-up, and how far the sealing had come.
pub fn where_read(system: &System, reading: &ReadingResult) -> String {
    let mut said = words::setup(system, &reading.setup);
    if reading.observable != Observable::FanFlow {
        said = format!("{}, {said}", words::observable(system, reading.observable));
    }
    if let Some(stage) = words::stage(system, reading.stage) {
        said.push_str(", ");
        said.push_str(&stage);
    }
    said
}

fn row(reading: &ReadingResult, units: UnitSystem) -> Vec<String> {
    let shown = |value: f64| of_reading(reading.observable, value, units);
    vec![
        reading.id.clone(),
        value_read(reading, units),
        format!("± {}", shown(reading.measured_sd)),
        format!(
            "{} ({})",
            shown(reading.modelled.mean),
            band_of_reading(reading.observable, reading.modelled, units)
        ),
        band_of_reading(reading.observable, reading.prior, units),
        format!("{} sd", apart(reading.residual_sd)),
    ]
}

/// Looks against the model, the worst agreement first and what was not weighed last; nothing where nobody looked.
pub fn looks(allocation: &Allocation) -> String {
    looked(allocation, LOOK_ROWS).map_or_else(String::new, |block| block.text())
}

/// The same as a table with its words, the rest beyond `rows` counted; `None` where nobody looked.
pub fn looked(allocation: &Allocation, rows: usize) -> Option<Block> {
    if allocation.looks.is_empty() {
        return None;
    }
    let mut order: Vec<&LookResult> = allocation.looks.iter().collect();
    // Stable: looks that agree alike keep the order of the sketch.
    order.sort_by(|a, b| {
        b.weighed
            .cmp(&a.weighed)
            .then(a.agreement.total_cmp(&b.agreement))
    });
    let mut table = Table::new(&[
        ("look", Holds::Words, 52),
        ("seams", Holds::Numbers, 5),
        ("weighed", Holds::Names, 7),
        ("agreement", Holds::Numbers, 9),
        ("before", Holds::Numbers, 6),
    ]);
    for look in order.iter().take(rows) {
        table.row(vec![
            look.words.clone(),
            look.seams.len().to_string(),
            if look.weighed { "yes" } else { "no" }.to_owned(),
            agreement(look, look.agreement),
            agreement(look, look.prior_agreement),
        ]);
        if !look.note.is_empty() {
            table.note(6, &look.note);
        }
    }
    let mut notes = Vec::new();
    if let Some(rest) = order.get(rows..).filter(|rest| !rest.is_empty()) {
        let aside = rest.iter().filter(|look| !look.weighed).count();
        let aside = if aside > 0 {
            format!(", {aside} of them not weighed")
        } else {
            String::new()
        };
        notes.push(format!(
            "and {}{aside}; all are in the JSON answer",
            words::counted(rest.len(), "more look", "more looks"),
        ));
    }
    notes.push(
        "agreement: chance that whoever looks again in the same way says the same, with all evidence in; before: with \
         none."
            .to_owned(),
    );
    Some(Block {
        heading: "Looks".to_owned(),
        table,
        more: String::new(),
        notes,
    })
}

/// A look that was not weighed agrees with nothing and contradicts nothing.
fn agreement(look: &LookResult, found: f64) -> String {
    if look.weighed {
        chance(found)
    } else {
        "-".to_owned()
    }
}

/// Standard deviations apart, as wide as a column allows: beyond ninety-nine the figure says no more.
pub(crate) fn apart(sd: f64) -> String {
    // Adding zero turns a rounded −0 into 0.
    let shown = (10.0 * sd).round() / 10.0 + 0.0;
    if shown.abs() > 99.0 {
        format!("{}>99", if shown < 0.0 { "-" } else { "+" })
    } else {
        format!("{shown:+.1}")
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples;
    use super::*;

    #[test]
    fn a_pressure_is_shown_in_pascal_beside_flows_in_the_persons_units() {
        let system = samples::system();
        let allocation = samples::allocation(&system);
        let text = readings(&system, &allocation, UnitSystem::Ip);
        // 0.078 m3/s / 4.719474432e-4 m3/s = 165.3.
        assert!(text.contains("165 cfm"), "{text}");
        assert!(text.contains("-62.5 Pa  ± 2.00"), "{text}");
        assert!(
            text.contains("static pressure in the return plenum, running"),
            "{text}"
        );
        assert!(
            text.contains("44 %") && text.contains("look at the tap"),
            "{text}"
        );
        let si = readings(&system, &allocation, UnitSystem::Si);
        assert!(si.contains("78.0 L/s") && si.contains("-62.5 Pa"), "{si}");
    }

    #[test]
    fn looks_stand_worst_first_with_their_notes_and_the_rest_is_counted() {
        let system = samples::system();
        let mut allocation = samples::allocation(&system);
        let text = looks(&allocation);
        let at = |word: &str| text.find(word).unwrap_or_else(|| panic!("{word}: {text}"));
        assert!(at("S/cap: smoke strong") < at("look again"));
        assert!(at("look again") < at("kitchen/side tap"));
        assert!(
            at("kitchen/side tap") < at("gap 2 mm"),
            "what was not weighed stands last"
        );
        let row = text
            .lines()
            .find(|line| line.contains("gap 2 mm"))
            .expect("a row");
        assert!(
            row.contains("  no ") && row.ends_with(" -") && !row.contains('%'),
            "{row}"
        );
        allocation.looks = vec![allocation.looks[0].clone(); 40];
        assert!(looks(&allocation).contains("and 28 more looks; all"));
        allocation
            .looks
            .extend(vec![samples::allocation(&system).looks[2].clone(); 15]);
        let text = looks(&allocation);
        assert!(
            text.contains("and 43 more looks, 15 of them not weighed; all"),
            "{text}"
        );
        allocation.looks.clear();
        assert_eq!(looks(&allocation), "");
    }
}
