//! Writing quantities: the two unit systems and sensible digits.

use super::{Quantity, QuantityError, QuantityErrorKind};
use crate::math::log10;

/// Units in which answers are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord, Hash)]
pub enum UnitSystem {
    /// Inch-pound: ft, in, cfm, °F. Test pressures stay in Pa, as the trade says them.
    #[default]
    Ip,
    /// SI: m, mm, L/s, °C.
    Si,
}

impl std::str::FromStr for UnitSystem {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        match text.trim() {
            t if t.eq_ignore_ascii_case("ip") => Ok(Self::Ip),
            t if t.eq_ignore_ascii_case("si") => Ok(Self::Si),
            t => Err(QuantityError::new(
                QuantityErrorKind::Form,
                format!("expected `ip` or `si`, found `{t}`"),
            )
            .with_hint("`ip` shows ft, in and cfm; `si` shows m, mm and L/s")),
        }
    }
}

impl std::fmt::Display for UnitSystem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Ip => "ip",
            Self::Si => "si",
        })
    }
}

/// Digits shown when nobody says how many: three, as a good field meter gives.
pub(crate) const USUAL_DIGITS: usize = 3;

/// A number with at least this many significant digits, no exponent, no idle zeros at the end.
///
/// Figures before the point are always whole: 12345 with three digits stays `12345`. What is not finite
/// is shown as `n/a`.
///
/// ```
/// use ductseam::quantity::significant;
/// assert_eq!(significant(0.012345, 3), "0.0123");
/// assert_eq!(significant(24.0, 3), "24");
/// assert_eq!(significant(12345.4, 3), "12345");
/// ```
pub fn significant(x: f64, digits: usize) -> String {
    if !x.is_finite() {
        return "n/a".into();
    }
    let magnitude = if x.abs() > 0.0 {
        log10(x.abs()).floor() as i64
    } else {
        0
    };
    let decimals = (digits as i64 - 1 - magnitude).clamp(0, 340) as usize;
    let mut text = format!("{x:.decimals$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".into() } else { text }
}

/// `263 cfm`: a quantity in the usual unit of a system.
pub(crate) fn show<Q: Quantity>(q: Q, system: UnitSystem, digits: usize) -> String {
    let symbol = (Q::KIND.shown)(q.to_si(), system);
    show_in(q, symbol, digits).unwrap_or_else(|| significant(q.to_si(), digits))
}

/// The same in a named unit; `None` if the quantity has no such unit.
pub(crate) fn show_in<Q: Quantity>(q: Q, symbol: &str, digits: usize) -> Option<String> {
    let unit = Q::KIND.symbol(symbol)?;
    let number = significant(unit.from_si(q.to_si()), digits);
    // A resistance has a short name of its own in the trade.
    Some(if unit.symbol == "ft2·°F·h/Btu" {
        format!("R-{number}")
    } else {
        format!("{number} {symbol}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_before_the_point_are_never_rounded_away() {
        for (x, digits, text) in [
            (0.0, 3, "0"),
            (-0.0, 3, "0"),
            (-0.0004, 1, "-0.0004"),
            (9.996, 3, "10"),
            (263.4, 3, "263"),
            (1680.0, 2, "1680"),
            (0.1, 3, "0.1"),
            (f64::NAN, 3, "n/a"),
            (f64::INFINITY, 3, "n/a"),
        ] {
            assert_eq!(significant(x, digits), text);
        }
    }

    #[test]
    fn a_unit_system_is_read_and_written() {
        assert_eq!("IP".parse::<UnitSystem>(), Ok(UnitSystem::Ip));
        assert_eq!(
            UnitSystem::Si.to_string().parse::<UnitSystem>(),
            Ok(UnitSystem::Si)
        );
        assert!("metric".parse::<UnitSystem>().is_err());
    }
}
