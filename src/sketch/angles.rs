//! Angles in a walk step: the turn of an elbow, the blade of a damper.

use super::diagnostics::{Diagnostic, quoted};
use super::limits;
use super::reader::Reader;
use super::steps::{Line, Part};
use super::words::StepWord;

/// What an angle means.
pub(super) struct Angle {
    name: &'static str,
    example: &'static str,
    bounds: limits::Bounds,
}

/// The turn of an elbow.
pub(super) const TURN: Angle = Angle {
    name: "a turn",
    example: "elbow left 45 degrees",
    bounds: limits::TURN,
};
/// The angle of a damper's blade.
const BLADE: Angle = Angle {
    name: "an angle",
    example: "damper 40 deg",
    bounds: limits::DAMPER,
};

impl Line<'_> {
    /// `45 degrees`, `45 degree`, `45 deg`, `45°`. The outer `None` means that something was wrong, and noted.
    pub(super) fn leading_degrees(
        &mut self,
        reader: &mut Reader<'_>,
        angle: &Angle,
    ) -> Option<Option<f64>> {
        let Some(first) = self.peek() else {
            return Some(None);
        };
        let is_unit = |word: &str| {
            ["degrees", "degree", "deg", "°"]
                .iter()
                .any(|unit| word.eq_ignore_ascii_case(unit))
        };
        let digits = first.trim_end_matches('°');
        let (number, count) = match first.split_once('-') {
            Some((number, unit)) if is_unit(unit) => (number, 1),
            _ if digits.len() < first.len() => (digits, 1),
            _ if self
                .words
                .get(self.at + 1)
                .is_some_and(|word| is_unit(word)) =>
            {
                (first, 2)
            }
            _ => return Some(None),
        };
        let from = self.at;
        self.at += count;
        let at = self.span(from);
        self.parts.push((Part::Degrees, number));
        match number.parse::<f64>() {
            Ok(value) if value.is_finite() => reader
                .within(at, self.between(from, self.at), value, &angle.bounds)
                .then_some(Some(value)),
            _ => {
                reader.report(
                    Diagnostic::new(
                        "E0120",
                        at,
                        format!(
                            "expected {} in degrees, found {}",
                            angle.name,
                            quoted(self.between(from, self.at))
                        ),
                    )
                    .label("not a number of degrees")
                    .hint(format!("write {} like `{}`", angle.name, angle.example)),
                );
                None
            }
        }
    }

    /// `40 deg` behind a damper; 0, full open, when nothing stands there. `None` means that something was wrong, and noted.
    pub(super) fn damper(&mut self, reader: &mut Reader<'_>) -> Option<f64> {
        if let Some(degrees) = self.leading_degrees(reader, &BLADE)? {
            return Some(degrees);
        }
        let Some(word) = self.peek().filter(|word| word.parse::<f64>().is_ok()) else {
            return Some(0.0);
        };
        let at = self.cut.span(word);
        let better = format!("{word} deg");
        reader.report(
            Diagnostic::new("E0120", at, format!("{} has no unit", quoted(word)))
                .label("no unit")
                .hint("a damper's angle is counted in degrees from full open")
                .patch(better),
        );
        None
    }

    pub(super) fn refuse_degrees(&self, reader: &mut Reader<'_>, word: StepWord) {
        let found = Diagnostic::new(
            "E0130",
            self.cut.inner(),
            format!(
                "only an elbow turns by degrees, found {}",
                quoted(self.cut.text)
            ),
        )
        .label("not an elbow");
        reader.report(match word {
            StepWord::Damper => found.hint("the angle stands behind a damper: `damper 40 deg`"),
            _ => found,
        });
    }
}
