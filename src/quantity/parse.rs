//! Reading `24 ft`: the number, the unit, and words for what is wrong.

use super::kinds::{KINDS, Kind, LENGTH, MONEY, Quantity, THERMAL_RESISTANCE};
use super::units::{FOOT, INCH, Unit};
use super::{QuantityError, QuantityErrorKind as Wrong, clip};

type Result<T> = std::result::Result<T, QuantityError>;

/// Reads any quantity.
pub(crate) fn quantity<Q: Quantity>(text: &str) -> Result<Q> {
    si_value(Q::KIND, text).map(Q::from_si)
}

/// Reads a quantity that must be above zero.
pub(crate) fn positive<Q: Quantity>(text: &str) -> Result<Q> {
    let value: Q = text.parse()?;
    if value.to_si() > 0.0 {
        return Ok(value);
    }
    Err(sign_error::<Q>(text, "must be above zero"))
}

/// Reads a quantity that must not be below zero.
pub(crate) fn not_negative<Q: Quantity>(text: &str) -> Result<Q> {
    let value: Q = text.parse()?;
    if value.to_si() >= 0.0 {
        return Ok(value);
    }
    Err(sign_error::<Q>(text, "must not be below zero"))
}

fn sign_error<Q: Quantity>(text: &str, must: &str) -> QuantityError {
    let name = Q::KIND.name;
    QuantityError::new(
        Wrong::Sign,
        format!("{name} here {must}, found `{}`", text.trim()),
    )
    .with_hint(format!("write {name} like `{}`", Q::KIND.example))
}

/// SI value of a text of one kind.
fn si_value(kind: &'static Kind, text: &str) -> Result<f64> {
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::new(
            Wrong::Empty,
            format!("expected {}, found nothing", kind.name),
        )
        .with_hint(write_like(kind, kind.example)));
    }
    if let Some(found) = (kind.special)(text) {
        return found.and_then(|si| within_range(si, text));
    }
    let (number, rest) = split(text);
    if number.is_empty() {
        return Err(QuantityError::new(
            Wrong::NotANumber,
            format!("expected {}, found `{text}`", kind.name),
        )
        .with_hint(write_like(kind, kind.example)));
    }
    let value = number_value(number)?;
    let unit = unit_of(kind, text, number, rest)?;
    within_range(unit.to_si(value), text)
}

/// Refuses what a factor has carried out of the range of numbers.
fn within_range(si: f64, text: &str) -> Result<f64> {
    if !si.is_finite() {
        Err(out_of_range(text, "large"))
    } else if si != 0.0 && !si.is_normal() {
        // Too few digits are left of it.
        Err(out_of_range(text, "small"))
    } else {
        Ok(si)
    }
}

pub(super) fn out_of_range(text: &str, how: &str) -> QuantityError {
    QuantityError::new(
        Wrong::OutOfRange,
        format!("`{}` is too {how} a number", clip(text)),
    )
    .with_hint("look at the exponent, and for digits that were typed too often")
}

/// `write a length like `24 ft` (units: ft, in, m, mm, cm)`.
fn write_like(kind: &Kind, example: &str) -> String {
    format!(
        "write {} like `{example}` (units: {})",
        kind.name,
        kind.unit_list()
    )
}

/// Splits at the first character that cannot be in a number. An `e` counts only after a digit and before a
/// digit or a signed digit; a sign counts only at the start or after such an `e`. Commas and underscores
/// between digits are taken along, so that they can be refused with their number.
pub(crate) fn split(text: &str) -> (&str, &str) {
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let at = |i: usize| chars.get(i).map(|&(_, c)| c);
    let is_sign = |c: Option<char>| matches!(c, Some('+' | '-' | '−'));
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let mut i = usize::from(is_sign(at(0)));
    let mut digits = false;
    let mut exponent = false;
    while let Some(c) = at(i) {
        match c {
            '0'..='9' => digits = true,
            '.' if !exponent => {}
            ',' | '_' if digits && !exponent && is_digit(at(i + 1)) => {}
            'e' | 'E' if digits && !exponent && is_digit(at(i + 1)) => exponent = true,
            'e' | 'E' if digits && !exponent && is_sign(at(i + 1)) && is_digit(at(i + 2)) => {
                exponent = true;
                i += 1;
            }
            _ => break,
        }
        i += 1;
    }
    let end = if digits {
        chars.get(i).map_or(text.len(), |&(b, _)| b)
    } else {
        0
    };
    (&text[..end], text[end..].trim_start())
}

/// Value of the number part, which is refused when it carries separators or leaves the range of numbers.
pub(crate) fn number_value(number: &str) -> Result<f64> {
    if number.contains([',', '_']) {
        return Err(separators(number));
    }
    let plain = number.replace('−', "-");
    let value: f64 = plain.parse().map_err(|_| {
        QuantityError::new(Wrong::NotANumber, format!("`{number}` is not a number"))
    })?;
    let mantissa = plain.split(['e', 'E']).next().unwrap_or_default();
    if !value.is_finite() {
        Err(out_of_range(number, "large"))
    } else if value.abs() < f64::MIN_POSITIVE
        && mantissa.contains(|c: char| ('1'..='9').contains(&c))
    {
        Err(out_of_range(number, "small"))
    } else {
        Ok(value)
    }
}

/// `1,680`, `0,65`, `1_000`.
fn separators(number: &str) -> QuantityError {
    let error = |what: &str, instead: String| {
        QuantityError::new(Wrong::Separators, format!("`{number}` {what}"))
            .with_hint(format!("write `{instead}`"))
    };
    if number.contains('_') {
        return error("holds an underscore", number.replace(['_', ','], ""));
    }
    let whole = number
        .trim_start_matches(['+', '-', '−'])
        .split('.')
        .next()
        .unwrap_or_default();
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or_default();
    let grouped = (1..=3).contains(&first.len()) && first != "0" && groups.all(|g| g.len() == 3);
    if grouped {
        error("holds a thousands separator", number.replace(',', ""))
    } else if number.matches(',').count() == 1 && !number.contains('.') {
        error("holds a decimal comma", number.replace(',', "."))
    } else {
        error("holds commas", number.replace(',', ""))
    }
}

/// The unit of a kind that `rest` names, or the error that says what it is instead.
fn unit_of(kind: &'static Kind, text: &str, number: &str, rest: &str) -> Result<&'static Unit> {
    if rest.is_empty() {
        // The kind's own example with the person's number in it: `R-6`, `6 ft`.
        let digits = |c: char| c.is_ascii_digit() || c == '.';
        let from = kind.example.find(digits).unwrap_or(0);
        let to = kind.example[from..]
            .find(|c| !digits(c))
            .map_or(kind.example.len(), |length| from + length);
        let before = if number.starts_with(['-', '+', '−']) {
            kind.example[..from].trim_end_matches('-')
        } else {
            &kind.example[..from]
        };
        let example = format!("{before}{number}{}", &kind.example[to..]);
        return Err(
            QuantityError::new(Wrong::NoUnit, format!("`{text}` has no unit"))
                .with_hint(write_like(kind, &example)),
        );
    }
    if let Some(unit) = find(kind, rest) {
        return Ok(unit);
    }
    let second_number = rest
        .trim_start_matches(['-', '+', '/', ' ', '.', ','])
        .starts_with(|c: char| c.is_ascii_digit())
        || rest
            .split_whitespace()
            .skip(1)
            .any(|word| word.starts_with(|c: char| c.is_ascii_digit()));
    if second_number {
        return Err(QuantityError::new(
            Wrong::NotANumber,
            format!("`{text}` holds more than one number"),
        )
        .with_hint(write_like(kind, kind.example)));
    }
    if let Some(other) = KINDS.iter().find(|other| find(other, rest).is_some()) {
        return Err(QuantityError::new(
            Wrong::WrongKind,
            format!("expected {}, found {}: `{text}`", kind.name, other.name),
        )
        .with_hint(write_like(kind, kind.example)));
    }
    let hint = match nearest(kind, rest) {
        Some(near) => format!(
            "did you mean `{number} {near}`? (units: {})",
            kind.unit_list()
        ),
        None => write_like(kind, kind.example),
    };
    Err(QuantityError::new(
        Wrong::UnknownUnit,
        format!("`{rest}` in `{text}` is not a unit of {}", &kind.name),
    )
    .with_hint(hint))
}

/// The unit whose symbol or other spelling is `written`, capitals aside where they do not matter.
pub(crate) fn find(kind: &Kind, written: &str) -> Option<&'static Unit> {
    let written = fold(written);
    kind.units.iter().find(|unit| {
        let same = |name: &str| {
            if unit.strict_case {
                name == written
            } else {
                name.eq_ignore_ascii_case(&written)
            }
        };
        same(&fold(unit.symbol)) || unit.also.iter().any(|name| same(name))
    })
}

/// Symbol of the unit that is spelt most like `written`, if any is near enough.
fn nearest(kind: &Kind, written: &str) -> Option<&'static str> {
    let written = fold(written).to_ascii_lowercase();
    let far = |unit: &Unit| {
        std::iter::once(fold(unit.symbol).as_str())
            .chain(unit.also.iter().copied())
            .map(|name| strsim::damerau_levenshtein(&name.to_ascii_lowercase(), &written))
            .min()
            .unwrap_or(usize::MAX)
    };
    let allowed = 1 + written.chars().count() / 3;
    kind.units
        .iter()
        .map(|unit| (far(unit), unit.symbol))
        .filter(|&(d, _)| d <= allowed)
        .min_by_key(|&(d, _)| d)
        .map(|(_, s)| s)
}

/// One spelling for many: `ft²·°F·h / Btu` and `ft2 F h/Btu`, `in. w.g.` and `in w.g`.
pub(crate) fn fold(unit: &str) -> String {
    let mut out = String::with_capacity(unit.len());
    let mut chars = unit.trim().chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '²' => out.push('2'),
            '³' => out.push('3'),
            '°' | 'º' | '^' | '(' | ')' => {}
            '′' | '’' => out.push('\''),
            '″' | '”' | '“' => out.push('"'),
            '.' if chars.peek().is_none_or(|&n| !n.is_alphanumeric()) => {}
            '/' => {
                out.truncate(out.trim_end().len());
                out.push('/');
            }
            c if c.is_whitespace() || matches!(c, '·' | '⋅' | '*' | '-' | '‐' | '‑') => {
                if !out.is_empty() && !out.ends_with([' ', '/']) {
                    out.push(' ');
                }
            }
            c => out.push(c),
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// `9 ft 6 in`, `9'6"`, `9' 6`, `3 1/2 in`, `1/2"`, in m.
pub(crate) fn feet_and_inches(text: &str) -> Option<Result<f64>> {
    if let Some(value) = with_fraction(text) {
        return Some(value);
    }
    let (feet, rest) = split(text);
    let inches_at = rest.find(|c: char| c.is_ascii_digit())?;
    let (unit, inches) = rest.split_at(inches_at);
    let unit = fold(unit);
    if feet.is_empty()
        || !["ft", "foot", "feet", "'"]
            .iter()
            .any(|name| name.eq_ignore_ascii_case(&unit))
    {
        return None;
    }
    let (number, inch_unit) = split(inches);
    let inches = if inch_unit.is_empty() {
        if unit != "'" {
            return None; // `24 ft2`, `9 ft 6`
        }
        number_value(number).map(|value| value * INCH)
    } else if let Some(value) = with_fraction(inches) {
        value
    } else if find(&LENGTH, inch_unit).is_some_and(|u| u.symbol == "in") {
        number_value(number).map(|value| value * INCH)
    } else {
        return None;
    };
    Some(number_value(feet).and_then(|feet| {
        let inches = inches?;
        if inches >= FOOT {
            return Err(QuantityError::new(
                Wrong::Form,
                format!("`{text}` holds a foot or more of inches"),
            )
            .with_hint("write feet and the inches left over, like `9 ft 6 in`"));
        }
        Ok((feet.abs() * FOOT + inches).copysign(feet))
    }))
}

/// `3 1/2 in`, `3-1/2 in`, `1/2 in`, in m; `None` if there is no fraction.
fn with_fraction(text: &str) -> Option<Result<f64>> {
    let (first, rest) = split(text);
    if first.is_empty() {
        return None;
    }
    let (whole, top, rest) = if let Some(below) = rest.strip_prefix('/') {
        (None, first, below)
    } else {
        let (top, below) = split(rest.trim_start_matches(['-', ' ']));
        (Some(first), top, below.strip_prefix('/')?)
    };
    let (bottom, unit) = split(rest);
    if [top, bottom].iter().any(|part| {
        part.trim_start_matches(['-', '−', '+'])
            .parse::<u32>()
            .is_err()
    }) {
        return None;
    }
    let unit = find(&LENGTH, unit)?;
    let value = || {
        let whole = whole.map_or(Ok(0.0), number_value)?;
        let (top, bottom) = (number_value(top)?, number_value(bottom)?);
        if bottom < 1.0 {
            return Err(QuantityError::new(
                Wrong::NotANumber,
                format!("`{text}` divides by zero"),
            ));
        }
        let negative = first.starts_with(['-', '−']);
        let size = whole.abs() + (top / bottom).abs();
        Ok(unit.to_si(if negative { -size } else { size }))
    };
    Some(value())
}

/// `R-8`, `R 8`, `R8` in ft²·°F·h/Btu, `RSI-1.4` in m²·K/W.
pub(crate) fn r_value(text: &str) -> Option<Result<f64>> {
    let rest = text.strip_prefix(['R', 'r'])?;
    let (rest, si) = match rest.get(..2) {
        Some(si) if si.eq_ignore_ascii_case("si") => (&rest[2..], true),
        _ => (rest, false),
    };
    let (number, rest) = split(rest.trim_start_matches(['-', ' ', '‐', '‑']));
    if number.is_empty() {
        return None;
    }
    Some(if rest.is_empty() {
        let unit = &THERMAL_RESISTANCE.units[usize::from(si)];
        number_value(number).map(|value| unit.to_si(value))
    } else {
        Err(
            QuantityError::new(Wrong::Form, format!("`{text}` holds more than an R-value"))
                .with_hint(write_like(&THERMAL_RESISTANCE, THERMAL_RESISTANCE.example)),
        )
    })
}

/// `$ 12.50` and the plain `12.50`.
pub(crate) fn amount(text: &str) -> Option<Result<f64>> {
    let (bare, dollars) = match text.strip_prefix('$') {
        Some(rest) => (rest.trim_start(), true),
        None => (text, false),
    };
    let (number, rest) = split(bare);
    if number.is_empty() {
        return None;
    }
    if rest.is_empty() {
        return Some(number_value(number));
    }
    dollars.then(|| {
        Err(
            QuantityError::new(Wrong::Form, format!("`{text}` holds more than an amount"))
                .with_hint(write_like(&MONEY, MONEY.example)),
        )
    })
}
