//! What was probably meant by a walk step that cannot be read.
//!
//! The words are put right by a few rules (other words of the trade, the heading first, a bare angle), and what
//! comes out is offered only if it reads as a step.

use super::diagnostics::Diagnostic;
use super::reader::{Cut, Reader};
use super::steps;
use super::words::{HEADING, listed};

/// Words that people write and the words of a step that stand for them.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("register", "boot"),
    ("vent", "boot"),
    ("diffuser", "boot"),
    ("ell", "elbow"),
    ("bend", "elbow"),
    ("90°", "90"),
    ("n", "north"),
    ("s", "south"),
    ("e", "east"),
    ("w", "west"),
    ("plaster", "finish"),
    ("drywall", "finish"),
    ("feet", "ft"),
    ("foot", "ft"),
    ("inch", "in"),
    ("inches", "in"),
    ("meters", "m"),
    ("metres", "m"),
    ("one", "1"),
    ("two", "2"),
    ("three", "3"),
    ("four", "4"),
    ("five", "5"),
    ("six", "6"),
    ("seven", "7"),
    ("eight", "8"),
    ("nine", "9"),
    ("ten", "10"),
    ("eleven", "11"),
    ("twelve", "12"),
    ("fifteen", "15"),
    ("twenty", "20"),
];

/// Words after which the same word is no slip: `register boot` is a boot.
const DOUBLED: &str = "boot";

/// A step put right, and why.
struct Meant {
    words: String,
    hint: String,
}

/// Replaces what was said of an unreadable step by the step that was meant, if one can be made out. `before` is
/// how much had been found wrong before the step was read.
pub(super) fn offer(reader: &mut Reader<'_>, cut: &Cut<'_>, before: usize) {
    if reader.is_full() || reader.found.len() != before + 1 || cut.text.len() > 200 {
        return;
    }
    let Some(meant) = meant(cut.text) else {
        return;
    };
    let last = &reader.found[before];
    let better = Diagnostic {
        at: cut.inner(),
        patch: Some(meant.words),
        ..Diagnostic::new(last.code, cut.inner(), last.title.clone())
    };
    reader.found[before] = better.label(last.label.clone()).hint(meant.hint);
}

fn meant(text: &str) -> Option<Meant> {
    let (words, worded) = in_our_words(text);
    let (words, turned) = angle(words);
    let (words, first) = heading_first(words);
    let step = words.join(" ");
    if !(worded || turned.is_some() || first) || !reads(&step) {
        return None;
    }
    let hint = match turned {
        Some(Turn::Usual) => {
            let other = "elbow up 45 degrees";
            format!("write `{step}`, which turns 90 degrees; another angle: `{other}`")
        }
        Some(Turn::Other) => format!("an angle needs its unit: write `{step}`"),
        None if first => format!("the heading comes first: write `{step}`"),
        None if number_word(text) => format!("no length: write `{step}`"),
        None => format!("did you mean `{step}`?"),
    };
    Some(Meant { words: step, hint })
}

/// Whether a step reads without anything to say against it.
fn reads(step: &str) -> bool {
    let mut scratch = Reader::new(step);
    let cut = Cut::whole(step);
    steps::parse(&mut scratch, &cut).is_some() && scratch.found.is_empty()
}

fn in_our_words(text: &str) -> (Vec<String>, bool) {
    let mut changed = false;
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let lower = word.to_lowercase();
        let ours = OTHER_WORDS.iter().find(|(other, _)| *other == lower);
        let next = match ours {
            Some((_, ours)) => {
                changed = true;
                (*ours).to_owned()
            }
            None => word.to_owned(),
        };
        if next == DOUBLED && words.last().is_some_and(|last| last == DOUBLED) {
            continue;
        }
        words.push(next);
    }
    (words, changed)
}

fn number_word(text: &str) -> bool {
    text.split_whitespace().any(|word| {
        OTHER_WORDS.iter().any(|(other, ours)| {
            other.eq_ignore_ascii_case(word) && ours.starts_with(|c: char| c.is_ascii_digit())
        })
    })
}

enum Turn {
    Usual,
    Other,
}

fn is_heading(word: &str) -> bool {
    listed(HEADING)
        .iter()
        .any(|heading| heading.eq_ignore_ascii_case(word))
}

/// `90 elbow up`, `elbow up 90` and `90 up`: a bare number with an elbow or a heading and nothing to measure.
fn angle(words: Vec<String>) -> (Vec<String>, Option<Turn>) {
    let number = |word: &String| word.parse::<u32>().is_ok_and(|n| (1..=180).contains(&n));
    let elbow = words.iter().any(|w| w.eq_ignore_ascii_case("elbow"));
    let bare = words.len() == 2 && number(&words[0]) && is_heading(&words[1]);
    let Some(i) = words.iter().position(number) else {
        return (words, None);
    };
    if words.get(i + 1).is_some_and(|w| w.starts_with("deg")) || !(elbow || bare) {
        return (words, None);
    }
    let mut words = words;
    let turn = words.remove(i);
    if !elbow {
        words.insert(0, "elbow".to_owned());
    }
    if turn == "90" {
        return (words, Some(Turn::Usual));
    }
    // After the elbow and its heading, before place and work.
    let at = words
        .iter()
        .rposition(|w| w.eq_ignore_ascii_case("elbow") || is_heading(w))
        .map_or(words.len(), |i| i + 1);
    words.insert(at, format!("{turn} degrees"));
    (words, Some(Turn::Other))
}

/// `10 ft north`: a heading after the length.
fn heading_first(words: Vec<String>) -> (Vec<String>, bool) {
    let measured = words
        .first()
        .is_some_and(|w| w.starts_with(|c: char| c.is_ascii_digit()));
    match words.iter().position(|w| is_heading(w)) {
        Some(i) if measured && i > 0 => {
            let mut words = words;
            let heading = words.remove(i);
            words.insert(0, heading);
            (words, true)
        }
        _ => (words, false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> Option<String> {
        meant(text).map(|meant| meant.words)
    }

    #[test]
    fn other_words_of_the_trade_keep_their_sizes() {
        assert_eq!(said("register 10x4 in").as_deref(), Some("boot 10x4 in"));
        assert_eq!(said("vent boot 10x4 in").as_deref(), Some("boot 10x4 in"));
        assert_eq!(
            said("Diffuser 10x4 in mastic").as_deref(),
            Some("boot 10x4 in mastic")
        );
        assert_eq!(said("N 10 ft").as_deref(), Some("north 10 ft"));
        assert_eq!(said("north ten feet").as_deref(), Some("north 10 ft"));
        assert_eq!(
            said("9 ft behind plaster").as_deref(),
            Some("9 ft behind finish")
        );
    }

    #[test]
    fn a_bare_angle_becomes_an_elbow() {
        for text in ["90 elbow up", "elbow up 90", "90 up", "ell up 90"] {
            assert_eq!(said(text).as_deref(), Some("elbow up"), "{text}");
        }
        assert_eq!(said("elbow up 45").as_deref(), Some("elbow up 45 degrees"));
        assert_eq!(
            said("45 ell up mastic").as_deref(),
            Some("elbow up 45 degrees mastic")
        );
    }

    #[test]
    fn the_heading_is_moved_to_the_front() {
        assert_eq!(said("10 ft north").as_deref(), Some("north 10 ft"));
        assert_eq!(
            said("10 ft flex north in attic").as_deref(),
            Some("north 10 ft flex in attic")
        );
    }

    #[test]
    fn what_does_not_read_is_not_offered() {
        for text in ["register", "ten", "north far", "90", "flurb 10 ft"] {
            assert_eq!(said(text), None, "{text}");
        }
    }
}
