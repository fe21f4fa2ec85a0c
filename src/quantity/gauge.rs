//! Sheet-metal gauge numbers.

use super::kinds::{self, Kind, Quantity};
use super::{Length, QuantityError, QuantityErrorKind, UnitSystem, parse};

/// Nominal thickness of galvanized sheet with its zinc, in, by gauge number.
///
/// Source: the galvanized sheet gauge of steel handbooks, from memory. It is not the wire gauge, nor the
/// gauge of bare or stainless sheet, which differ by 5 to 10 %.
const GALVANIZED: [(u8, f64); 16] = [
    (8, 0.1681),
    (10, 0.1382),
    (12, 0.1084),
    (14, 0.0785),
    (16, 0.0635),
    (18, 0.0516),
    (19, 0.0456),
    (20, 0.0396),
    (21, 0.0366),
    (22, 0.0336),
    (23, 0.0306),
    (24, 0.0276),
    (25, 0.0247),
    (26, 0.0217),
    (28, 0.0187),
    (30, 0.0157),
];

/// Thickness of a metal sheet, m. Read from `26 ga` (galvanized), `26 gauge` or a thickness, `0.55 mm`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Gauge(f64);

impl Gauge {
    /// From a thickness in m.
    pub const fn new(si: f64) -> Self {
        Self(si)
    }

    /// Thickness in m.
    pub const fn si(self) -> f64 {
        self.0
    }

    /// Galvanized sheet of a gauge number; `None` if the table has no such number.
    pub fn from_number(number: u8) -> Option<Self> {
        GALVANIZED
            .iter()
            .find(|row| row.0 == number)
            .map(|row| Self(Length::from_in(row.1).si()))
    }

    /// Thickness.
    pub const fn thickness(self) -> Length {
        Length::new(self.0)
    }

    /// The galvanized gauge number whose thickness is within 2 % of this one.
    pub fn number(self) -> Option<u8> {
        let near = |row: &&(u8, f64)| (self.0 / Length::from_in(row.1).si() - 1.0).abs() < 0.02;
        GALVANIZED.iter().find(near).map(|row| row.0)
    }

    /// `26 ga` in inch-pound where the table has the number, else the thickness.
    pub fn show(self, system: UnitSystem) -> String {
        match (system, self.number()) {
            (UnitSystem::Ip, Some(number)) => format!("{number} ga"),
            _ => self.thickness().show(system),
        }
    }
}

impl Quantity for Gauge {
    const KIND: &'static Kind = &kinds::GAUGE;

    fn from_si(si: f64) -> Self {
        Self(si)
    }

    fn to_si(self) -> f64 {
        self.0
    }
}

impl std::fmt::Display for Gauge {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.thickness())
    }
}

impl std::str::FromStr for Gauge {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        let (number, unit) = parse::split(text);
        if !number.is_empty() && parse::find(&kinds::GAUGE, unit).is_some() {
            return number
                .parse()
                .ok()
                .and_then(Self::from_number)
                .ok_or_else(|| {
                    let known: Vec<String> =
                        GALVANIZED.iter().map(|row| row.0.to_string()).collect();
                    QuantityError::new(
                        QuantityErrorKind::OutOfRange,
                        format!("no galvanized sheet has the gauge `{number}`"),
                    )
                    .with_hint(format!(
                        "known gauges: {}; or write the thickness, like `0.55 mm`",
                        known.join(", ")
                    ))
                });
        }
        let as_thickness = Length::parse_positive(text).map(|t| Self(t.si()));
        as_thickness
            .map_err(|e| e.with_hint("write a gauge like `26 ga` or a thickness like `0.55 mm`"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gauge_number_and_its_thickness_are_the_same_sheet() {
        let sheet: Gauge = "26 ga".parse().unwrap();
        // Hand value: 0.0217 in = 0.55118 mm.
        assert!((sheet.thickness().to_mm() - 0.551_18).abs() < 1e-9);
        assert_eq!("0.55 mm".parse::<Gauge>().unwrap().number(), Some(26));
        assert_eq!(sheet.show(UnitSystem::Ip), "26 ga");
        assert_eq!(sheet.show(UnitSystem::Si), "0.551 mm");
        assert_eq!("26 Gauge".parse::<Gauge>(), Ok(sheet));
    }

    #[test]
    fn thickness_falls_as_the_number_rises() {
        assert!(
            GALVANIZED
                .windows(2)
                .all(|w| w[0].0 < w[1].0 && w[0].1 > w[1].1)
        );
    }

    #[test]
    fn a_gauge_nobody_rolls_is_refused_with_the_list() {
        for text in ["27 ga", "26.5 ga", "0 ga", "-1 mm", "26", "26 cfm"] {
            let error = text.parse::<Gauge>().unwrap_err();
            assert!(error.hint().is_some(), "{text}");
        }
    }
}
