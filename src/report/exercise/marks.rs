//! The marks of a learner's list for a terminal 100 columns wide.

use super::{Answers, why};
use crate::quantity::UnitSystem;
use crate::report::allocation_text::{listed, stops};
use crate::report::figures::{flow_unit, leak, number, percent};
use crate::report::lines::{Holds, Table, wrapped};
use crate::report::words::{counted, some_names};
use crate::system::System;
use crate::teach::{Marks, PlanMarks};

/// Seams named in one sentence.
const NAMED: usize = 4;

/// Marks in words and tables.
#[must_use]
pub fn marks_text(system: &System, answers: &Answers, marks: &Marks, units: UnitSystem) -> String {
    let unit = flow_unit(units);
    let k = marks.named.len();
    let mut text = wrapped("", &system.title) + "\n";
    text.push_str(&stops(system));
    text.push_str(&wrapped(
        "Your list: ",
        &format!(
            "{} of {}, leaking {} {unit} together; the {k} leakiest leak {} {unit}. You caught {} of the best possible; order score \
             {}: so much of the best on average from the top of your list to each of its lines. {}",
            counted(k, "seam", "seams"),
            marks.seams,
            leak(marks.caught_m3_s, units),
            leak(marks.best_m3_s, units),
            percent(marks.score(marks.caught_m3_s)),
            percent(marks.order_score),
            encouragement(marks)
        ),
    ));
    text.push('\n');
    text.push_str(&beside(marks, units));
    text.push_str(&wrapped(
        "What was there: ",
        &sentence(answers.chosen_words()),
    ));
    text.push_str(&found(system, marks));
    text.push('\n');
    text.push_str(&missed(system, marks, units));
    match (&marks.plan, &marks.stopped) {
        (Some(plan), _) => text.push_str(&sealing(system, marks, plan, units)),
        (None, Some(why)) => text.push_str(&wrapped("Sealing: ", &sentence(why))),
        (None, None) => {}
    }
    if !marks.program_doubts.is_empty() {
        text.push('\n');
        text.push_str(&listed(
            "The program's own list is doubtful",
            marks.program_doubts.iter().map(String::as_str),
        ));
    }
    text.trim_end().to_owned() + "\n"
}

/// Capital first, full stop last.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str())
}

fn encouragement(marks: &Marks) -> &'static str {
    let caught = marks.caught_m3_s;
    if marks.is_long {
        return "More than a fifth of all seams were named: so long a list sorts little, and its order score tells more than \
                its catch. Name fewer.";
    }
    if caught >= marks.best_m3_s * (1.0 - 1e-9) {
        "Nobody can do better with so many seams."
    } else if caught > marks.program_m3_s {
        "That is more than the program's own list: the clues were well used."
    } else if caught > marks.joint_type_m3_s {
        "That is more than joint types alone give: readings and looks were put to use."
    } else if caught > marks.guess_m3_s {
        "That is well above guessing; knowing the usual leakers (`ductseam joints`) is the next step."
    } else {
        "A start: begin with the joint types that usually leak most (`ductseam joints`), then follow the smoke."
    }
}

fn beside(marks: &Marks, units: UnitSystem) -> String {
    let mut table = Table::new(&[
        ("a list of as many seams", Holds::Names, 50),
        (flow_unit(units), Holds::Numbers, 8),
        ("of the best", Holds::Numbers, 11),
    ]);
    for (who, caught) in [
        ("yours", marks.caught_m3_s),
        ("named blindly, on average", marks.guess_m3_s),
        ("by joint type and size alone", marks.joint_type_m3_s),
        (
            "by the program, with readings and looks",
            marks.program_m3_s,
        ),
        ("the best possible", marks.best_m3_s),
    ] {
        table.row(vec![
            who.to_owned(),
            leak(caught, units),
            percent(marks.score(caught)),
        ]);
    }
    table.text() + "\n"
}

fn found(system: &System, marks: &Marks) -> String {
    let k = marks.named.len();
    let mut good: Vec<(usize, usize)> = marks
        .true_ranks
        .iter()
        .copied()
        .zip(marks.named.iter().copied())
        .filter(|(rank, _)| *rank <= k)
        .collect();
    good.sort_unstable();
    let mut text = String::new();
    if !good.is_empty() {
        let said: Vec<String> = good
            .iter()
            .take(NAMED)
            .map(|(rank, seam)| format!("`{}` (place {rank})", system.seams[*seam].id))
            .collect();
        text.push_str(&wrapped(
            "Well found: ",
            &format!(
                "{} of the {k} leakiest: {}.",
                good.len(),
                and_more(said, good.len())
            ),
        ));
    }
    if !marks.leak_little.is_empty() {
        let said: Vec<String> = marks
            .leak_little
            .iter()
            .take(NAMED)
            .map(|(seam, rank)| format!("`{}` (place {rank})", system.seams[*seam].id))
            .collect();
        text.push_str(&wrapped(
            "Leak little: ",
            &format!("{}.", and_more(said, marks.leak_little.len())),
        ));
    }
    text
}

fn and_more(said: Vec<String>, all: usize) -> String {
    let more = all - said.len();
    let said = said.join(", ");
    if more > 0 {
        format!("{said} and {more} more")
    } else {
        said
    }
}

fn missed(system: &System, marks: &Marks, units: UnitSystem) -> String {
    if marks.missed.is_empty() {
        return String::new();
    }
    let mut table = Table::new(&[
        ("place", Holds::Numbers, 5),
        ("seam", Holds::Names, 30),
        (flow_unit(units), Holds::Numbers, 6),
        ("of all", Holds::Numbers, 6),
        ("why it is easily overlooked", Holds::Words, 42),
    ]);
    for one in &marks.missed {
        let words: Vec<String> = one.why.iter().map(|&reason| why(system, reason)).collect();
        table.row(vec![
            one.rank.to_string(),
            system.seams[one.seam].id.clone(),
            leak(one.test_m3_s, units),
            percent(one.part),
            words.join("; "),
        ]);
    }
    format!("The largest that were overlooked\n{}\n", table.text())
}

fn sealing(system: &System, marks: &Marks, plan: &PlanMarks, units: UnitSystem) -> String {
    let unit = flow_unit(units);
    let ids = |seams: &[usize]| -> String {
        let names: Vec<&str> = seams
            .iter()
            .map(|&seam| system.seams[seam].id.as_str())
            .collect();
        some_names(&names, NAMED)
    };
    let minutes = |minutes: f64| number(minutes, 0);
    let said = plan.said_minutes.map_or_else(String::new, |said| {
        format!(" (you wrote {})", minutes(said))
    });
    let mut words = if plan.sealed.is_empty() {
        format!("the plan seals no seam and takes nothing away{said}.")
    } else {
        format!(
            "{} {} {unit} on average, in {} minutes by the crew's figures{said}.",
            counted(
                plan.sealed.len(),
                "seam sealed takes away",
                "seams sealed take away"
            ),
            leak(plan.cut_m3_s, units),
            minutes(plan.minutes),
        )
    };
    if let Some(score) = plan.score_by_number() {
        words.push_str(&format!(
            " That is {} of the {} {unit} that as many seams can take away ({}).",
            percent(score),
            leak(plan.best_by_number.0, units),
            ids(&plan.best_by_number.1),
        ));
    }
    if let Some(score) = plan.score_by_minutes() {
        words.push_str(&format!(
            " For as many minutes {} {unit} were found: it is {} of them.",
            leak(plan.best_by_minutes.0, units),
            percent(score),
        ));
    }
    if !marks.says_seal {
        words.push_str(
            " The list does not say what to seal (`seal`): every seam named counts as sealed.",
        );
    } else if marks.seal_blank > 0 {
        words.push_str(&format!(
            " `seal` is left empty for {}: that counts as no.",
            counted(marks.seal_blank, "seam", "seams")
        ));
    }
    let mut text = wrapped("Sealing: ", &words);
    for (seam, reason) in plan.refused.iter().take(NAMED) {
        text.push_str(&wrapped(
            "  not sealed: ",
            &format!("`{}`: {reason}", system.seams[*seam].id),
        ));
    }
    if plan.refused.len() > NAMED {
        text.push_str(&format!(
            "  and {} more that nobody seals\n",
            plan.refused.len() - NAMED
        ));
    }
    text
}
