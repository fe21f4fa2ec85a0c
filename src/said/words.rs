//! Words of a system that answers and drawings share.

use crate::system::{Reach, System};

/// `1 reading`, `2 readings`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Reach as written in a sketch.
pub fn reach(reach: Reach) -> &'static str {
    match reach {
        Reach::Open => "open",
        Reach::UnderInsulation => "under insulation",
        Reach::BehindFinish => "behind finish",
        Reach::None => "none",
    }
}

/// How far the sealing had come: `before any sealing`, `after sealing step `first``; `None` where nothing was sealed.
pub fn stage(system: &System, stage: usize) -> Option<String> {
    let steps = system.sealing.len();
    if steps == 0 {
        return None;
    }
    Some(match stage.checked_sub(1) {
        None => "before any sealing".to_owned(),
        Some(last) => match system.sealing.get(last) {
            Some(step) if steps == 1 => format!("after sealing step `{}`", step.id),
            Some(step) => format!("after sealing step `{}` ({stage} of {steps})", step.id),
            None => "after all sealing".to_owned(),
        },
    })
}
