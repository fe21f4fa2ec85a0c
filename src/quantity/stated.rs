//! What a person writes for a reading: `263 cfm at 25 Pa ± 3 %`, `below 12 cfm`.

use super::{Fraction, Pressure, Quantity, QuantityError, QuantityErrorKind as Wrong};

/// Half-width of a two-sided 95 % interval in standard deviations of a normal law: Φ⁻¹(0.975).
pub const SIGMAS_OF_95_PERCENT: f64 = 1.959_963_984_540_054;

/// A statement cut into its parts, each a slice of the text (so its place in the file is known), nothing read yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Parts<'a> {
    /// Whether it says `below` (or `<`, `under`, `less than`).
    pub below: bool,
    /// The value.
    pub value: &'a str,
    /// The pressure after `at`.
    pub at: Option<&'a str>,
    /// The error after `±`.
    pub error: Option<&'a str>,
    /// The coverage of the error: `95 %`.
    pub coverage: Option<&'a str>,
}

impl<'a> Parts<'a> {
    /// Cuts `[below] VALUE [at PRESSURE] [± ERROR [(95 %) | at 95 %]] [at PRESSURE]`.
    ///
    /// # Errors
    /// Two errors, two pressures, two coverages, or text after the closing bracket.
    pub fn cut(text: &'a str) -> Result<Self, QuantityError> {
        let mut parts = Self::default();
        let mut rest = text.trim();
        for word in ["below ", "under ", "less than ", "<"] {
            if rest
                .get(..word.len())
                .is_some_and(|start| start.eq_ignore_ascii_case(word))
            {
                parts.below = true;
                rest = rest[word.len()..].trim_start();
                break;
            }
        }
        let (left, right) = cut_error(rest);
        let mut pieces = cut_at(left);
        parts.value = pieces.next().unwrap_or_default();
        for piece in pieces {
            parts.take_at(piece, text)?;
        }
        let Some(right) = right else { return Ok(parts) };
        if cut_error(right).1.is_some() {
            return Err(twice("error", text));
        }
        let mut pieces = cut_at(right);
        let first = pieces.next().unwrap_or_default();
        let error = match first.split_once('(') {
            None => first,
            Some((error, inner)) => {
                let Some((inside, after)) = inner.split_once(')') else {
                    return Err(form(format!(
                        "a bracket is not closed in `{}`",
                        text.trim()
                    )));
                };
                if !after.trim().is_empty() {
                    return Err(form(format!(
                        "`{}` follows the bracket in `{}`",
                        after.trim(),
                        text.trim()
                    )));
                }
                parts.coverage = Some(inside.trim());
                error.trim_end()
            }
        };
        parts.error = Some(error);
        for piece in pieces {
            parts.take_at(piece, text)?;
        }
        Ok(parts)
    }

    /// Takes what follows an `at`: a coverage if it is in per cent and an error was given, else the pressure.
    fn take_at(&mut self, piece: &'a str, text: &str) -> Result<(), QuantityError> {
        let (slot, name) = if self.error.is_some() && piece.ends_with('%') {
            (&mut self.coverage, "coverage")
        } else {
            (&mut self.at, "pressure")
        };
        if slot.replace(piece).is_some() {
            Err(twice(name, text))
        } else {
            Ok(())
        }
    }
}

/// Cuts at the first `±`, `+/-` or `+-`.
fn cut_error(text: &str) -> (&str, Option<&str>) {
    let found = ["±", "+/-", "+-"]
        .iter()
        .filter_map(|sign| text.find(sign).map(|at| (at, sign.len())))
        .min();
    match found {
        Some((at, length)) => (text[..at].trim(), Some(text[at + length..].trim())),
        None => (text.trim(), None),
    }
}

/// Cuts at every ` at ` or `@`.
fn cut_at(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let now = rest?;
        // ASCII only is lowered, so byte positions stay.
        let lower = now.to_ascii_lowercase();
        let found = [" at ", "@"]
            .iter()
            .filter_map(|word| lower.find(word).map(|at| (at, word.len())))
            .min();
        let (piece, after) = match found {
            Some((at, length)) => (&now[..at], Some(&now[at + length..])),
            None => (now, None),
        };
        rest = after;
        Some(piece.trim())
    })
}

fn form(message: String) -> QuantityError {
    QuantityError::new(Wrong::Form, message)
        .with_hint("write a reading like `263 cfm at 25 Pa ± 3 %` or `below 12 cfm`")
}

fn twice(what: &str, text: &str) -> QuantityError {
    form(format!("`{}` gives more than one {what}", text.trim()))
}

/// A stated value with its pressure and its error, one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated<Q> {
    /// Whether `value` is an upper bound only (`below 12 cfm`).
    pub below: bool,
    /// The value or the bound.
    pub value: Q,
    /// The pressure it was read at.
    pub at: Option<Pressure>,
    /// One standard deviation as a part of the value, from `± 3 %`.
    pub relative_sd: Option<Fraction>,
    /// One standard deviation in the unit of the value, from `± 5 cfm`.
    pub absolute_sd: Option<Q>,
}

impl<Q: Quantity> std::str::FromStr for Stated<Q> {
    type Err = QuantityError;

    /// Reads `VALUE [at PRESSURE] [± ERROR [(95 %)]]`. `±` is one standard deviation; with `95 %` written
    /// it is the half-width of a two-sided 95 % interval and is divided by 1.959964.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let parts = Parts::cut(text)?;
        let mut stated = Self {
            below: parts.below,
            value: parts.value.parse()?,
            at: parts.at.map(Pressure::parse_positive).transpose()?,
            relative_sd: None,
            absolute_sd: None,
        };
        let divisor = match parts.coverage {
            None => 1.0,
            Some(coverage) => {
                let part: Fraction = coverage.parse()?;
                if (part.si() - 0.95).abs() > 1e-9 {
                    return Err(QuantityError::new(Wrong::OutOfRange, format!("expected a coverage of 95 %, found `{coverage}`"))
                        .with_hint("write one standard deviation alone (`± 3 %`) or a two-sided 95 % error (`± 6 % (95 %)`)"));
                }
                SIGMAS_OF_95_PERCENT
            }
        };
        let Some(error) = parts.error else {
            return Ok(stated);
        };
        // An error in the unit of the value comes first, so that `40 % ± 3 %` is three points.
        match super::parse::positive::<Q>(error) {
            Ok(sd) => stated.absolute_sd = Some(Q::from_si(sd.to_si() / divisor)),
            Err(own) => match super::parse::positive::<Fraction>(error) {
                Ok(sd) => stated.relative_sd = Some(sd / divisor),
                Err(as_part) if as_part.kind() == Wrong::Sign => return Err(as_part),
                Err(_) => return Err(own),
            },
        }
        Ok(stated)
    }
}

#[cfg(test)]
mod tests {
    use super::super::Flow;
    use super::*;

    fn read(text: &str) -> Stated<Flow> {
        text.parse()
            .unwrap_or_else(|e: QuantityError| panic!("{text}: {e}"))
    }

    #[test]
    fn a_reading_is_taken_apart() {
        let r = read("263 cfm at 25 Pa ± 3 %");
        assert_eq!(r.value, "263 cfm".parse().unwrap());
        assert_eq!(r.at, Some(Pressure::from_pa(25.0)));
        assert_eq!(
            (r.below, r.relative_sd, r.absolute_sd),
            (false, Some(Fraction::new(0.03)), None)
        );
        for same in [
            "263 cfm at 25 Pa +/- 3 %",
            "263 cfm ± 3% at 25 Pa",
            "263cfm@25Pa ±3%",
            "263 CFM AT 25 PA +- 3 %",
        ] {
            assert_eq!(read(same), r, "{same}");
        }
        assert_eq!(
            read("263 cfm ± 5 cfm").absolute_sd,
            Some("5 cfm".parse().unwrap())
        );
        let below = read("below 12 cfm at 25 Pa");
        assert!(below.below && below.at.is_some() && below.relative_sd.is_none());
        assert_eq!(read("< 12 cfm").value, below.value);
        assert_eq!(read("263 cfm").at, None);
    }

    #[test]
    fn a_95_percent_error_becomes_one_standard_deviation() {
        // Normal tables: 97.5 % of the law lies below 1.959964.
        for text in [
            "263 cfm ± 6 % (95 %)",
            "263 cfm ± 6 % at 95 %",
            "263 cfm at 25 Pa ± 6 % (95%)",
            "263 cfm ± 6 % (95 %) at 25 Pa",
        ] {
            let sd = read(text).relative_sd.unwrap().si();
            assert!((sd * 1.959_964 - 0.06).abs() < 1e-8, "{text}");
        }
        let sd = read("263 cfm ± 10 cfm (95 %)")
            .absolute_sd
            .unwrap()
            .to_cfm();
        assert!((sd - 5.102_134).abs() < 1e-5); // 10 / 1.959964
    }

    #[test]
    fn parts_are_slices_of_the_text() {
        let text = "below 12 cfm at 25 Pa ± 3 % (95 %)";
        let parts = Parts::cut(text).unwrap();
        let place = |part: &str| part.as_ptr() as usize - text.as_ptr() as usize;
        assert_eq!((parts.value, place(parts.value)), ("12 cfm", 6));
        assert_eq!((parts.at, place(parts.at.unwrap())), (Some("25 Pa"), 16));
        assert_eq!((parts.error, parts.coverage), (Some("3 %"), Some("95 %")));
    }

    #[test]
    fn a_statement_that_cannot_be_meant_is_refused() {
        for text in [
            "",
            "263",
            "263 cfm at 25",
            "263 cfm at 25 cfm",
            "263 cfm at 25 Pa at 50 Pa",
            "263 cfm ± 3 % ± 4 %",
            "263 cfm ± ",
            "263 cfm ± 3",
            "263 cfm ± -3 %",
            "263 cfm ± 0 %",
            "263 cfm ± 3 % (95 %",
            "263 cfm ± 3 % (90 %)",
            "263 cfm ± 3 % (95 %) and",
            "263 cfm ± 3 ft",
            "263 cfm at -25 Pa",
            "below",
            "263 cfm at ",
        ] {
            assert!(text.parse::<Stated<Flow>>().is_err(), "{text}");
        }
    }
}
