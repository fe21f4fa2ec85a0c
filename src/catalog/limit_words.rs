//! Limits as people write them: `4 cfm per 100 ft2`, `6 % of airflow`, `60 cfm`, `class 6`.

use thiserror::Error;

use super::limits::{Measure, Scope};
use super::read::plain_number;
use crate::quantity::{Area, Flow, Fraction, QuantityError};

/// Largest flow that a limit may be, m³/s: more is a slip of the pen.
const MOST_M3_S: f64 = 100.0;
/// Largest leakage class that a limit may be: more is a slip of the pen. Unsealed ducts are of class 48 or so.
const MOST_CLASS: f64 = 1000.0;

/// Words that are no limit: what is wrong, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{wrong}")]
pub struct NotALimit {
    /// What is wrong: lower case, no final stop.
    pub wrong: String,
    /// What to write instead.
    pub hint: String,
}

/// A limit in words, taken apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitWords {
    /// Which leakage; total where the words do not say.
    pub scope: Scope,
    /// Whether the words say which leakage.
    pub scope_said: bool,
    /// Figure and measure.
    pub measure: Measure,
    /// Least flow, m³/s; 0 where there is none.
    pub least_m3_s: f64,
}

const FORMS: &str = "write `60 cfm`, `4 cfm per 100 ft2` (of floor), `6 % of airflow` or `class 6` (by duct surface)";

fn not(wrong: impl Into<String>, hint: impl Into<String>) -> NotALimit {
    NotALimit {
        wrong: wrong.into(),
        hint: hint.into(),
    }
}

fn unread(error: &QuantityError) -> NotALimit {
    not(error.message(), error.hint().unwrap_or(FORMS))
}

/// Reads a figure with what it is measured in.
///
/// # Errors
/// [`NotALimit`] for what cannot be meant, among it a percentage that does not say of what.
///
/// # Examples
/// ```
/// use ductseam::catalog::{Measure, measure_words};
/// assert_eq!(measure_words("6 % of airflow"), Ok(Measure::PartOfAirflow(0.06)));
/// assert!(measure_words("6 %").unwrap_err().hint.contains("6 % of airflow"));
/// ```
pub fn measure_words(text: &str) -> Result<Measure, NotALimit> {
    let text = text.trim();
    let lower = text.to_ascii_lowercase();
    let measure = if let Some(at) = text.find('%') {
        percent(text[..at].trim(), lower[at + 1..].trim())?
    } else if let Some(class) = lower
        .strip_prefix("class")
        .filter(|rest| rest.starts_with(' '))
    {
        match plain_number(class.trim()).filter(|class| *class > 0.0 && *class <= MOST_CLASS) {
            Some(class) => Measure::Class(class),
            None => {
                return Err(not(
                    format!("`{text}` is no leakage class"),
                    "write a class above 0 and up to 1000 like `class 6`: cfm per 100 ft2 of duct surface at 1 in. w.g.",
                ));
            }
        }
    } else if let Some(at) = lower.find(" per ") {
        by_area(text[..at].trim(), text[at + 5..].trim())?
    } else {
        Measure::Flow(flow(text)?)
    };
    Ok(measure)
}

fn flow(text: &str) -> Result<f64, NotALimit> {
    let flow = Flow::parse_positive(text).map_err(|error| unread(&error))?;
    within(flow.si(), text)
}

fn within(flow_m3_s: f64, text: &str) -> Result<f64, NotALimit> {
    if flow_m3_s.is_finite() && flow_m3_s <= MOST_M3_S {
        return Ok(flow_m3_s);
    }
    Err(not(
        format!("`{text}` is more than any duct leaks"),
        "look at the figure and its unit; at most 100 m3/s (212 000 cfm)",
    ))
}

fn percent(figure: &str, of: &str) -> Result<Measure, NotALimit> {
    let of = of
        .strip_prefix("of ")
        .map(|rest| rest.trim().trim_start_matches("the "));
    match of {
        Some("airflow" | "fan flow" | "air handler flow" | "fan airflow") => {}
        Some(other) => {
            return Err(not(
                format!("a limit is no percentage of `{other}`"),
                format!("write `{figure} % of airflow`, or a flow like `60 cfm`"),
            ));
        }
        None => {
            return Err(not(
                "a percent of what?",
                format!(
                    "write `{figure} % of airflow`; the airflow and how it was got stand under `air handler`"
                ),
            ));
        }
    }
    let part = Fraction::parse_positive(&format!("{figure} %")).map_err(|error| unread(&error))?;
    if part.si() > 1.0 {
        return Err(not(
            format!("{figure} % of the airflow is more than all of it"),
            "write a percentage up to 100",
        ));
    }
    Ok(Measure::PartOfAirflow(part.si()))
}

fn by_area(figure: &str, area: &str) -> Result<Measure, NotALimit> {
    let lower = area.to_ascii_lowercase();
    if lower.contains("duct") {
        return Err(not(
            "a limit by duct surface needs its pressure in it",
            "write the leakage class, cfm per 100 ft2 of duct surface at 1 in. w.g.: `class 6`; 1 cfm per 100 ft2 at 0.1 in. w.g. is `class 4.47`",
        ));
    }
    let area = [" of floor area", " of floor"]
        .iter()
        .find_map(|end| {
            lower
                .ends_with(end)
                .then(|| &area[..area.len() - end.len()])
        })
        .unwrap_or(area)
        .trim();
    // `per ft2`, `per m2`: of one.
    let one = format!("1 {area}");
    let written = if area.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        area
    } else {
        &one
    };
    let by = Area::parse_positive(written).map_err(|error| unread(&error))?;
    let flow = Flow::parse_positive(figure).map_err(|error| unread(&error))?;
    Ok(Measure::PerFloorArea(within(flow.si() / by.si(), figure)?))
}

/// Reads a whole limit: `[total | to outside | supply | return] FIGURE [at least FLOW]`.
///
/// # Errors
/// [`NotALimit`] as [`measure_words`].
///
/// # Examples
/// ```
/// use ductseam::catalog::{Scope, limit_words};
/// let limit = limit_words("to outside 4 cfm per 100 ft2 at least 40 cfm").unwrap();
/// assert_eq!(limit.scope, Scope::Outside);
/// assert!((limit.least_m3_s - 0.018878).abs() < 1e-6);
/// ```
pub fn limit_words(text: &str) -> Result<LimitWords, NotALimit> {
    let text = text.trim();
    let lower = text.to_ascii_lowercase();
    let said = Scope::ALL.into_iter().find(|scope| {
        lower
            .strip_prefix(scope.words())
            .is_some_and(|rest| rest.starts_with([' ', ':']))
    });
    let rest = said.map_or(text, |scope| {
        text[scope.words().len()..]
            .trim_start_matches([':', ' '])
            .trim()
    });
    let (figure, least) = match rest.to_ascii_lowercase().find(" at least ") {
        Some(at) => (&rest[..at], flow(&rest[at + 10..])?),
        None => (rest, 0.0),
    };
    Ok(LimitWords {
        scope: said.unwrap_or(Scope::Total),
        scope_said: said.is_some(),
        measure: measure_words(figure)?,
        least_m3_s: least,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read() {
        for (text, measure) in [
            ("60 cfm", Measure::Flow(60.0 * 4.719_474_432e-4)),
            ("6 % of airflow", Measure::PartOfAirflow(0.06)),
            ("6% of the fan flow", Measure::PartOfAirflow(0.06)),
            ("Class 6", Measure::Class(6.0)),
            (
                "4 cfm per 100 ft2",
                Measure::PerFloorArea(4.0 * 4.719_474_432e-4 / 9.290_304),
            ),
            (
                "0.04 CFM per ft2 of floor",
                Measure::PerFloorArea(0.04 * 4.719_474_432e-4 / 0.092_903_04),
            ),
            ("0.2 L/s per m2", Measure::PerFloorArea(2e-4)),
        ] {
            let read = measure_words(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            let (a, b) = match (read, measure) {
                (Measure::Flow(a), Measure::Flow(b))
                | (Measure::PartOfAirflow(a), Measure::PartOfAirflow(b))
                | (Measure::Class(a), Measure::Class(b))
                | (Measure::PerFloorArea(a), Measure::PerFloorArea(b)) => (a, b),
                other => panic!("{text}: {other:?}"),
            };
            assert!((a / b - 1.0).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_meant_is_refused_with_what_to_write() {
        for (text, wrong, hint) in [
            ("6 %", "of what", "6 % of airflow"),
            ("6 % of floor", "`floor`", "of airflow"),
            ("600 % of airflow", "more than all", "100"),
            ("-6 % of airflow", "", ""),
            ("0 cfm", "", ""),
            ("class nan", "no leakage class", "class 6"),
            ("class -6", "no leakage class", "class 6"),
            ("1 cfm per 100 ft2 of duct surface", "pressure", "class"),
            ("4 cfm per 0 ft2", "", ""),
            ("4 cfm per 100 cfm", "", ""),
            ("60", "no unit", ""),
            ("1e300 cfm", "", ""),
            ("", "", ""),
        ] {
            let error = measure_words(text).expect_err(text);
            assert!(error.wrong.contains(wrong), "{text}: {error:?}");
            assert!(
                error.hint.contains(hint) && !error.hint.is_empty(),
                "{text}: {error:?}"
            );
        }
    }
}
