//! `ductseam next` for a terminal 100 columns wide.

use super::{advised, all_cautions};
use crate::allocate::{Candidate, NextAnswer, Status};
use crate::quantity::{UnitSystem, significant};
use crate::report::allocation_text::{doubts, how_it_was_got, listed, warnings};
use crate::report::figures::{flow_unit, leak, percent};
use crate::report::lines::{Block, Holds, Table, wrapped};
use crate::report::words::counted;
use crate::system::System;

/// How the text is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NextTextSettings {
    /// Units.
    pub units: UnitSystem,
    /// Rows of the table; 0 shows all.
    pub rows: usize,
}

/// Candidates whose line for the sketch is shown.
const SKETCH_LINES: usize = 3;
/// Candidates left out that are named.
const LEFT_OUT: usize = 8;
/// A step that lets a plan catch less than this part of what the plan catches already is hardly worth its time
/// (engineering estimate: well below what a meter shows).
const HARDLY: f64 = 0.005;

/// A step that takes away less than this part of the doubt hardly makes surer (engineering estimate).
const HARDLY_SURER: f64 = 0.1;

/// The advice in words and a table.
#[must_use]
pub fn next_text(system: &System, answer: &NextAnswer, settings: NextTextSettings) -> String {
    let units = settings.units;
    let candidates = advised(answer);
    let cautions = all_cautions(system, answer);
    let mut text = wrapped("", &answer.allocation.title) + "\n";
    for caution in cautions.iter().filter(|caution| caution.stop) {
        text.push_str(&wrapped("STOP: ", &caution.text));
        text.push('\n');
    }
    text.push_str(&verdict(answer, units));
    text.push('\n');
    text.push_str(&listed(
        "Before you touch anything",
        cautions
            .iter()
            .filter(|caution| !caution.stop)
            .map(|caution| caution.text.as_str()),
    ));
    if !candidates.is_empty() {
        text.push_str(&ranking(answer, candidates, settings).text());
        text.push_str(&sketch_lines(candidates));
    }
    if answer.stopped.is_none() {
        text.push_str(&left_out(answer));
    }
    text.push_str(&doubts(&answer.allocation));
    text.push_str(&warnings(system, &answer.allocation));
    text.push_str(&how_it_was_got(&answer.allocation));
    text
}

/// What to do, in one sentence, with the caution that belongs to it before it.
pub(in crate::report) fn verdict(answer: &NextAnswer, units: UnitSystem) -> String {
    if let Some(why) = &answer.stopped {
        return wrapped("Do nothing: ", why);
    }
    let Some(best) = answer.candidates.first() else {
        return wrapped(
            "Do next: ",
            "nothing is left to look at or to test that this answer could judge.",
        );
    };
    let what = format!(
        "{}, {}: {}",
        best.action.words(),
        minutes_in_words(best.minutes),
        best.why
    );
    if little_is_left(answer) {
        let unit = flow_unit(units);
        return wrapped(
            "Little is left to learn: ",
            &format!(
                "sealing the {} catches {} {unit} as things are known, and the best step left adds {} {unit}: no further \
                 look or test is worth its time. The best is {what}",
                counted(answer.plan_seams, "best seam", "best seams"),
                leak(answer.caught_now_m3_s, units),
                leak(best.caught_gain_m3_s, units),
            ),
        );
    }
    if nothing_to_add(answer) {
        let unit = flow_unit(units);
        let surer = answer.candidates.iter().map(|one| one.variance_gain);
        return wrapped(
            "Do next: ",
            &format!(
                "no further look or test is worth its time. Sealing the {} catches {} {unit} as things are known, and none \
                 of those left adds as much as {} of that: what they show would hardly change what to seal. They only \
                 lessen the doubt about {}, by up to {} of its variance: a test read once more tells how much leaks, not where.",
                counted(answer.plan_seams, "best seam", "best seams"),
                leak(answer.caught_now_m3_s, units),
                percent(HARDLY),
                answer.target,
                percent(surer.fold(0.0, f64::max)),
            ),
        );
    }
    let mut text = String::new();
    if !best.caution.is_empty() {
        text.push_str(&wrapped("First: ", &best.caution));
    }
    text.push_str(&wrapped("Do next: ", &what));
    text
}

/// Whether no step left adds to what is caught or makes much surer. Never where the answer itself is doubtful: then the next
/// step mends it.
fn little_is_left(answer: &NextAnswer) -> bool {
    nothing_to_add(answer)
        && answer
            .candidates
            .iter()
            .all(|candidate| candidate.variance_gain < HARDLY_SURER)
}

/// Whether no look and no test left lets a plan catch more leakage, however much surer it may make of what is known. Never
/// where the answer itself is doubtful.
pub(in crate::report) fn nothing_to_add(answer: &NextAnswer) -> bool {
    answer.allocation.status == Status::Converged
        && answer
            .candidates
            .iter()
            .all(|candidate| candidate.caught_gain_m3_s < HARDLY * answer.caught_now_m3_s)
}

pub(in crate::report) fn minutes(value: f64) -> String {
    significant(value, 2)
}

fn minutes_in_words(value: f64) -> String {
    let shown = minutes(value);
    let unit = if shown == "1" { "minute" } else { "minutes" };
    format!("{shown} {unit}")
}

/// What tells most for its time.
pub(in crate::report) fn ranking(
    answer: &NextAnswer,
    candidates: &[Candidate],
    settings: NextTextSettings,
) -> Block {
    let units = settings.units;
    let unit = flow_unit(units);
    let rows = match settings.rows {
        0 => candidates.len(),
        rows => rows.min(candidates.len()),
    };
    let (more, hourly) = (format!("{unit} more"), format!("{unit} an hour"));
    let mut table = Table::new(&[
        ("", Holds::Numbers, 4),
        ("what", Holds::Words, 46),
        ("minutes", Holds::Numbers, 7),
        (&more, Holds::Numbers, 8),
        (&hourly, Holds::Numbers, 11),
        ("doubt off", Holds::Numbers, 9),
    ]);
    for (at, candidate) in candidates.iter().take(rows).enumerate() {
        table.row(vec![
            (at + 1).to_string(),
            candidate.action.words().to_owned(),
            minutes(candidate.minutes),
            leak(candidate.caught_gain_m3_s, units),
            leak(candidate.caught_gain_per_hour_m3_s, units),
            percent(candidate.variance_gain),
        ]);
        if !candidate.why.is_empty() {
            table.note(8, &candidate.why);
        }
        if !candidate.caution.is_empty() {
            table.note(8, &format!("Caution: {}", candidate.caution));
        }
    }
    let left = if rows < candidates.len() {
        format!(
            "  and {} that tell less for their time\n",
            candidates.len() - rows
        )
    } else {
        String::new()
    };
    Block {
        heading: "What tells most for its time".to_owned(),
        more: left,
        notes: level(answer).into_iter().chain([format!(
            "{more}: extra leakage in the test that sealing the {} would catch after it, on average over what it may \
             show; {} {unit} as things are known, {} {unit} if all were known. Doubt off: part of the variance of {} \
             that it takes away. Gains are from {} draws, minutes are what such work usually takes, or \
             the sketch's own.",
            counted(answer.plan_seams, "best seam", "best seams"),
            leak(answer.caught_now_m3_s, units),
            leak(answer.caught_at_best_m3_s, units),
            answer.target,
            answer.draws,
        )]).collect(),
        table,
    }
}

/// Words on candidates that chance alone puts in this order.
fn level(answer: &NextAnswer) -> Option<String> {
    let level = answer.level();
    (level > 1).then(|| {
        format!(
            "The first {} are worth the same as far as these draws can tell: their order may turn with the seed. Take whichever \
             lies nearest.",
            counted(level, "candidate", "candidates")
        )
    })
}

fn sketch_lines(candidates: &[Candidate]) -> String {
    let mut text = String::from("To write into the sketch, with what was seen or read\n");
    for candidate in candidates.iter().take(SKETCH_LINES) {
        for line in candidate.sketch_line.lines() {
            text.push_str(&wrapped("    ", line));
        }
    }
    text.push('\n');
    text
}

fn left_out(answer: &NextAnswer) -> String {
    let left: Vec<String> = answer
        .left_out
        .iter()
        .map(|(what, why)| format!("{what}: {why}"))
        .collect();
    let mut shown: Vec<&str> = left.iter().take(LEFT_OUT).map(String::as_str).collect();
    let rest = format!("and {} more", left.len().saturating_sub(LEFT_OUT));
    if left.len() > LEFT_OUT {
        shown.push(&rest);
    }
    listed("Not judged", shown.into_iter())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    fn text(answer: &NextAnswer, system: &System, units: UnitSystem) -> String {
        let text = next_text(system, answer, NextTextSettings { units, rows: 0 });
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
            assert_eq!(line, line.trim_end());
        }
        text
    }

    fn flat(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_verdict_says_what_to_do_how_long_it_takes_and_why() {
        let system = samples::system();
        let answer = samples::next(&system);
        for units in [UnitSystem::Ip, UnitSystem::Si] {
            let said = flat(&text(&answer, &system, units));
            assert!(
                said.contains(
                    "Do next: smoke at the takeoffs of run kitchen, 6 minutes: it may hang open"
                ),
                "{said}"
            );
        }
        // 0.0046 m3/s are 9.75 cfm, ten times that an hour.
        let said = flat(&text(&answer, &system, UnitSystem::Ip));
        assert!(said.contains("kitchen 6 9.7 97.5 18 %"), "{said}");
        assert!(
            said.contains("- {seam: all takeoffs of run kitchen, smoke: , by: }"),
            "{said}"
        );
        assert!(
            said.contains("run `S` alone: no register for the fan"),
            "{said}"
        );
    }

    #[test]
    fn candidates_that_only_chance_orders_are_told_to_be_level() {
        let system = samples::system();
        let mut answer = samples::next(&system);
        // 97.5 and 24.4 cfm an hour, each with an error of a tenth: far apart.
        assert_eq!(answer.level(), 1);
        let said = flat(&text(&answer, &system, UnitSystem::Ip));
        assert!(!said.contains("worth the same"), "{said}");
        // 73.1 apart; two errors of the difference are 2 * hypot(9.75, 35.5) = 73.6, and 71.6 with 34.5.
        let per_hour = |cfm: f64| cfm / 2118.88 / 5.0;
        answer.candidates[1].caught_gain_error_m3_s = per_hour(34.5);
        assert_eq!(answer.level(), 1);
        answer.candidates[1].caught_gain_error_m3_s = per_hour(35.5);
        assert_eq!(answer.level(), 2);
        let said = flat(&text(&answer, &system, UnitSystem::Ip));
        assert!(
            said.contains("The first 2 candidates are worth the same"),
            "{said}"
        );
        // Nothing is level with no gain.
        answer.candidates[1].caught_gain_per_hour_m3_s = 0.0;
        answer.candidates[1].caught_gain_error_m3_s = 1.0;
        assert_eq!(answer.level(), 1);
        answer.candidates[0].caught_gain_per_hour_m3_s = 0.0;
        assert_eq!(answer.level(), 0);
        answer.candidates.clear();
        assert_eq!(answer.level(), 0);
    }

    #[test]
    fn burners_go_off_before_a_pan_test_is_spoken_of() {
        let system = samples::system();
        let mut answer = samples::next(&system);
        let said = text(&answer, &system, UnitSystem::Ip);
        let at = |word: &str| said.find(word).expect(word);
        assert!(at("A house fan pulls on every flue") < at("pan at the register"));
        answer.candidates.swap(0, 1);
        let said = flat(&text(&answer, &system, UnitSystem::Ip));
        assert!(
            said.contains("First: burners off: the house is pulled down Do next: pan at"),
            "{said}"
        );
        answer.candidates.remove(0);
        let calm = text(&answer, &system, UnitSystem::Ip);
        assert!(!calm.contains("A house fan"), "{calm}");
    }

    #[test]
    fn suspected_asbestos_stops_all_advice() {
        let mut system = samples::system();
        let answer = samples::stopped(&mut system);
        let said = text(&answer, &system, UnitSystem::Ip);
        assert!(said.contains("STOP: Tape or wrap"), "{said}");
        assert!(said.contains("Do nothing: tape or wrap"), "{said}");
        assert!(!said.contains("Do next"), "{said}");
        assert!(!said.contains("kitchen"), "nothing is advised: {said}");
    }

    #[test]
    fn where_little_is_left_to_learn_the_answer_says_so() {
        let system = samples::system();
        let mut answer = samples::next(&system);
        for candidate in &mut answer.candidates {
            candidate.caught_gain_m3_s = 0.000_09;
            candidate.variance_gain = 0.05;
        }
        let mut surer = answer.clone();
        surer.candidates[1].variance_gain = 0.9;
        let said = flat(&text(&surer, &system, UnitSystem::Si));
        assert!(
            said.contains("Do next: no further look or test is worth its time. Sealing the 10 best seams catches 20.0 L/s")
                && said.contains("by up to 90 % of its variance: a test read once more"),
            "{said}"
        );
        let mut adds = surer.clone();
        adds.candidates[1].caught_gain_m3_s = 0.000_2;
        let mut doubtful = answer.clone();
        doubtful.allocation.status = Status::Doubtful {
            reasons: vec!["a reading was set aside".to_owned()],
        };
        for other in [adds, doubtful] {
            let said = text(&other, &system, UnitSystem::Si);
            assert!(
                said.contains("Do next: smoke at")
                    && !said.contains("Little is left")
                    && !said.contains("worth its time"),
                "{said}"
            );
        }
        let said = flat(&text(&answer, &system, UnitSystem::Si));
        assert!(
            said.contains("Little is left to learn: sealing the 10 best seams catches 20.0 L/s"),
            "{said}"
        );
        answer.candidates.clear();
        let said = flat(&text(&answer, &system, UnitSystem::Si));
        assert!(said.contains("nothing is left to look at"), "{said}");
    }
}
