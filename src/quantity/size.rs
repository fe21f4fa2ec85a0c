//! Duct sections: `20x8 in`, `6 in`, `14x6 in oval`.

use std::f64::consts::PI;

use super::parse::out_of_range;
use super::show::significant;
use super::{Area, Length, QuantityError, QuantityErrorKind as Wrong, UnitSystem};

/// Inside section of a duct or an opening. Sizes read from text are above zero, and an oval is not higher than wide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// Round, by its diameter.
    Round(Length),
    /// Rectangular, by width and height.
    Rect(Length, Length),
    /// Flat oval (two half circles joined by flats), by its long and its short axis.
    Oval(Length, Length),
}

impl Size {
    /// Area of the section.
    ///
    /// ```text
    /// round π d²/4      rectangular w h      flat oval π a²/4 + a (A − a)
    /// ```
    /// where `d` diameter, `w` width, `h` height, `A` long axis, `a` short axis, m.
    pub fn area(self) -> Area {
        Area::new(match self {
            Self::Round(d) => PI * d.si() * d.si() / 4.0,
            Self::Rect(w, h) => w.si() * h.si(),
            Self::Oval(long, short) => {
                let (long, short) = (long.si(), short.si());
                PI * short * short / 4.0 + short * (long - short)
            }
        })
    }

    /// Perimeter of the section: `π d`, `2 (w + h)`, `π a + 2 (A − a)`; symbols at [`Size::area`].
    pub fn perimeter(self) -> Length {
        Length::new(match self {
            Self::Round(d) => PI * d.si(),
            Self::Rect(w, h) => 2.0 * (w.si() + h.si()),
            Self::Oval(long, short) => PI * short.si() + 2.0 * (long.si() - short.si()),
        })
    }

    /// Hydraulic diameter, four times area by perimeter. For a round duct it is the diameter.
    pub fn hydraulic_diameter(self) -> Length {
        match self {
            Self::Round(d) => d,
            _ => Length::new(4.0 * self.area().si() / self.perimeter().si()),
        }
    }

    /// Width across: the diameter of a round duct, the long axis of an oval.
    pub const fn width(self) -> Length {
        match self {
            Self::Round(d) => d,
            Self::Rect(w, _) | Self::Oval(w, _) => w,
        }
    }

    /// Height: the diameter of a round duct, the short axis of an oval.
    pub const fn height(self) -> Length {
        match self {
            Self::Round(d) => d,
            Self::Rect(_, h) | Self::Oval(_, h) => h,
        }
    }

    /// Whether the section is round.
    pub const fn is_round(self) -> bool {
        matches!(self, Self::Round(_))
    }

    /// `20x8 in` or `508x203 mm`; `6 in round`, `14x6 in oval`.
    pub fn show(self, system: UnitSystem) -> String {
        let number = |l: Length| match system {
            UnitSystem::Ip => significant(l.to_in(), 3),
            UnitSystem::Si => significant(l.to_mm(), 3),
        };
        self.written(number, if system == UnitSystem::Ip { "in" } else { "mm" })
    }

    fn written(self, number: impl Fn(Length) -> String, unit: &str) -> String {
        match self {
            Self::Round(d) => format!("{} {unit} round", number(d)),
            Self::Rect(w, h) => format!("{}x{} {unit}", number(w), number(h)),
            Self::Oval(a, b) => format!("{}x{} {unit} oval", number(a), number(b)),
        }
    }
}

impl std::fmt::Display for Size {
    /// In m, all digits, to be read back.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.written(|l| l.si().to_string(), "m"))
    }
}

/// Shape said in words after the numbers.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shape {
    Round,
    Rect,
    Oval,
}

const SHAPES: [(&str, Shape); 8] = [
    ("flat oval", Shape::Oval),
    ("oval", Shape::Oval),
    ("rectangular", Shape::Rect),
    ("rect", Shape::Rect),
    ("diameter", Shape::Round),
    ("dia.", Shape::Round),
    ("dia", Shape::Round),
    ("round", Shape::Round),
];

impl std::str::FromStr for Size {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let size = read(text.trim())?;
        // A side may be held as a number where its square cannot.
        let area = size.area().si();
        if area > 0.0 && area.is_finite() && size.hydraulic_diameter().si() > 0.0 {
            Ok(size)
        } else {
            let how = if area < 1.0 { "small" } else { "large" };
            Err(out_of_range(text.trim(), how))
        }
    }
}

fn read(text: &str) -> Result<Size, QuantityError> {
    if text.is_empty() {
        return Err(form("expected a duct size, found nothing".into()));
    }
    let (body, shape) = strip_shape(text);
    let parts: Vec<&str> = body.split(['x', 'X', '×', '✕']).map(str::trim).collect();
    match (parts.as_slice(), shape) {
        ([d], None | Some(Shape::Round)) => Ok(Size::Round(side(d, text)?)),
        ([_], Some(_)) => Err(form(format!(
            "`{text}` gives one measure where two are needed"
        ))),
        ([_, _], Some(Shape::Round)) => {
            Err(form(format!("`{text}` gives two measures of a round duct")))
        }
        ([first, second], _) => {
            let second_length = side(second, text)?;
            let first_length = side(&with_unit_of(first, second), text)?;
            if shape != Some(Shape::Oval) {
                return Ok(Size::Rect(first_length, second_length));
            }
            let swapped = first_length < second_length;
            let (long, short) = if swapped {
                (second_length, first_length)
            } else {
                (first_length, second_length)
            };
            Ok(Size::Oval(long, short))
        }
        _ => Err(form(format!("`{text}` gives more than two measures"))),
    }
}

fn strip_shape(text: &str) -> (&str, Option<Shape>) {
    for (word, shape) in SHAPES {
        let cut = text.len().wrapping_sub(word.len());
        if text
            .get(cut..)
            .is_some_and(|end| end.eq_ignore_ascii_case(word))
        {
            return (text[..cut].trim_end(), Some(shape));
        }
    }
    (text, None)
}

/// `20` takes the unit of `8 in`; `20 in` keeps its own.
fn with_unit_of(first: &str, second: &str) -> String {
    if !first.ends_with(|c: char| c.is_ascii_digit() || c == '.') {
        return first.into();
    }
    let unit = second.rsplit(|c: char| c.is_ascii_digit()).next();
    format!("{first} {}", unit.unwrap_or_default())
}

fn side(part: &str, text: &str) -> Result<Length, QuantityError> {
    if part.is_empty() {
        return Err(form(format!("`{text}` lacks a measure")));
    }
    Length::parse_positive(part).map_err(|e| match e.kind() {
        Wrong::NoUnit => QuantityError::new(Wrong::NoUnit, format!("`{text}` has no unit"))
            .with_hint(format!(
                "write a duct size like `{text} in` or `500x200 mm`"
            )),
        _ => {
            let message = format!("{} in the duct size `{text}`", e.message());
            QuantityError::new(e.kind(), message).with_hint(e.hint().unwrap_or(LIKE))
        }
    })
}

const LIKE: &str = "write a duct size like `20x8 in`, `6 in round`, `14x6 in oval` or `500x200 mm`";

fn form(message: String) -> QuantityError {
    QuantityError::new(Wrong::Form, message).with_hint(LIKE)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Size {
        text.parse()
            .unwrap_or_else(|e: QuantityError| panic!("{text}: {e}"))
    }

    #[test]
    fn sides_whose_section_is_no_number_are_refused() {
        for (text, how) in [
            ("241e-308'", "small"),
            ("1e-200x1e-200 m", "small"),
            ("1e200 m", "large"),
            ("1e300x1e300 m oval", "large"),
        ] {
            let error = text.parse::<Size>().expect_err(text);
            assert_eq!(error.kind(), Wrong::OutOfRange, "{text}");
            assert!(error.message().contains(&format!("too {how}")), "{error}");
        }
        assert!("1e-30 m".parse::<Size>().is_ok());
    }

    #[test]
    fn one_size_has_many_spellings() {
        let want = Size::Rect(Length::from_in(20.0), Length::from_in(8.0));
        for text in [
            "20x8 in",
            "20 x 8 in",
            "20×8 in",
            "20X8in",
            "20 in x 8 in",
            "20\"x8\"",
            "20x8 inches",
            "20x8 in rectangular",
        ] {
            assert_eq!(read(text), want, "{text}");
        }
        for text in [
            "6 in",
            "6in round",
            "6 in ROUND",
            "6\" dia.",
            "6 in diameter",
        ] {
            assert_eq!(read(text), Size::Round(Length::from_in(6.0)), "{text}");
        }
        for text in ["14x6 in oval", "14 x 6 in flat oval", "6x14 in oval"] {
            assert_eq!(
                read(text),
                Size::Oval(Length::from_in(14.0), Length::from_in(6.0)),
                "{text}"
            );
        }
        let odd = Size::Rect(Length::from_in(3.25), Length::from_in(10.5));
        assert_eq!(read("3 1/4x10 1/2 in"), odd);
        assert_eq!(read("150 mm"), Size::Round(Length::new(0.15)));
        assert_eq!(
            read("500x200 mm"),
            Size::Rect(Length::new(0.5), Length::new(0.2))
        );
    }

    #[test]
    fn sections_agree_with_hand_geometry() {
        // By hand: 20 x 8 in has 160 in2, 56 in round, 4*160/56 = 11.428571 in.
        let rect = read("20x8 in");
        assert!((rect.area().to_in2() - 160.0).abs() < 1e-9);
        assert!((rect.perimeter().to_in() - 56.0).abs() < 1e-9);
        assert!((rect.hydraulic_diameter().to_in() - 80.0 / 7.0).abs() < 1e-9);
        // An oval of equal axes is a circle; a stretched one adds a rectangle: 14x6 = circle 6 + 6x8.
        let oval = read("14x6 in oval");
        let circle = read("6 in");
        assert!((oval.area().to_in2() - circle.area().to_in2() - 48.0).abs() < 1e-9);
        assert!((oval.perimeter().to_in() - circle.perimeter().to_in() - 16.0).abs() < 1e-9);
        assert!((circle.area().to_in2() - 28.274_333_882_308_138).abs() < 1e-9); // 9π
        assert_eq!(circle.hydraulic_diameter(), Length::from_in(6.0));
    }

    #[test]
    fn what_is_not_a_size_is_refused_with_a_hint() {
        for (text, kind) in [
            ("20x8", Wrong::NoUnit),
            ("6", Wrong::NoUnit),
            ("", Wrong::Form),
            ("20x8x6 in", Wrong::Form),
            ("20x8 in round", Wrong::Form),
            ("6 in oval", Wrong::Form),
            ("20x0 in", Wrong::Sign),
            ("-20x8 in", Wrong::Sign),
            ("20x8 cfm", Wrong::WrongKind),
            ("x8 in", Wrong::Form),
            ("20x in", Wrong::NotANumber),
            ("1,680x8 in", Wrong::Separators),
        ] {
            let error = text.parse::<Size>().unwrap_err();
            assert_eq!(error.kind(), kind, "{text}: {error}");
            assert!(error.hint().is_some(), "{text}");
        }
        let bare = "20x8".parse::<Size>().unwrap_err();
        assert_eq!(bare.to_string(), "`20x8` has no unit");
        assert_eq!(
            bare.hint(),
            Some("write a duct size like `20x8 in` or `500x200 mm`")
        );
    }

    #[test]
    fn a_size_is_written_so_that_it_can_be_read() {
        for text in ["20x8 in", "6 in round", "14x6 in oval"] {
            assert_eq!(read(text).show(UnitSystem::Ip), text);
            assert_eq!(read(&read(text).to_string()), read(text));
        }
        assert_eq!(read("20x8 in").show(UnitSystem::Si), "508x203 mm");
    }
}
