//! Exercises: the sketch that is handed out, the answers that are kept, the marks.

mod answers;
mod handout;
mod json;
mod marks;
mod sketch;

pub use answers::{Answers, FORMAT as ANSWERS_FORMAT, fingerprint, read_answers};
pub use handout::{Names, handout_text};
pub use json::{FORMAT as MARKS_FORMAT, marks_json};
pub use marks::marks_text;
pub use sketch::{exercise_sketch, reads_back};

use crate::report::words;
use crate::system::{Reach, System};
use crate::teach::Why;

/// Why a seam was hard or easy to see, in words.
fn why(system: &System, why: Why) -> String {
    match why {
        Why::Open => "it hangs open: rare, and worth a look at every takeoff".to_owned(),
        Why::Hidden(Reach::None) => {
            "out of reach, or not on the sketch: only readings of parts of the system point at it"
                .to_owned()
        }
        Why::Hidden(reach) => format!(
            "nobody sees it there ({}): only readings of parts of the system point at it",
            words::reach(reach)
        ),
        Why::SmokeWasStrong => "the looks said so: strong smoke".to_owned(),
        Why::SmokeSaidLittle => {
            "the look there had little smoke: smoke is a hint, no meter".to_owned()
        }
        Why::UsuallyLeaky => "its joint type and length usually leak most".to_owned(),
        Why::Unusual(times) => format!(
            "it leaks {times:.1} times what such a joint usually does: only a look there tells"
        ),
        Why::NoHint if system.looks.is_empty() => "nothing that was known points at it".to_owned(),
        Why::NoHint => {
            "no look was taken there, and its joint type is not among the usual leakers".to_owned()
        }
    }
}

/// Stable word of it for files.
fn why_id(why: Why) -> &'static str {
    match why {
        Why::Open => "open",
        Why::Hidden(_) => "hidden",
        Why::SmokeWasStrong => "smoke-was-strong",
        Why::SmokeSaidLittle => "smoke-said-little",
        Why::UsuallyLeaky => "usually-leaky",
        Why::Unusual(_) => "unusual",
        Why::NoHint => "no-hint",
    }
}
