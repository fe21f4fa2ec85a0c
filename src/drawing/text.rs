//! How wide a text is, in the font that pictures are drawn with.
//!
//! Advance widths are added up, without kerning: a picture's text carries its measured width as `textLength`, so that any
//! other font is fitted into the same room.

use std::sync::OnceLock;

use ttf_parser::Face;

/// Highest of the letters that every line may hold (`b`, `d`, `l`): asked of the font once more for every text, which may
/// hold a higher one (an accent on a capital).
const TALL: [char; 3] = ['H', 'd', 'l'];
/// Lowest of the usual letters.
const LOW: [char; 3] = ['g', 'p', 'Q'];
/// A letter that the font does not have stands in one em (wide letters do; engineering estimate), as high as this part of it.
const UNKNOWN_ASCENT_EM: f64 = 0.88;

/// Size of a line of text, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextSize {
    /// Width.
    pub width_mm: f64,
    /// From baseline to the highest letters; never less than for a `d`.
    pub ascent_mm: f64,
    /// From baseline to the lowest letters; never less than for a `g`.
    pub descent_mm: f64,
}

/// Measures a line of text in the font that pictures are drawn with; `size_mm` is the em.
///
/// A letter that the font does not have counts one em; a control character nothing.
///
/// ```
/// use ductseam::drawing::measure;
///
/// let (narrow, wide) = (measure("ill", 2.5, false), measure("www", 2.5, false));
/// assert!(narrow.width_mm < wide.width_mm);
/// ```
#[must_use]
pub fn measure(text: &str, size_mm: f64, bold: bool) -> TextSize {
    let font = font(bold);
    let mut size = TextSize {
        width_mm: 0.0,
        ascent_mm: font.ascent_em * size_mm,
        descent_mm: font.descent_em * size_mm,
    };
    for letter in text.chars().filter(|letter| !letter.is_control()) {
        let glyph = font.glyph(letter);
        size.width_mm += glyph.width_em * size_mm;
        size.ascent_mm = size.ascent_mm.max(glyph.ascent_em * size_mm);
        size.descent_mm = size.descent_mm.max(glyph.descent_em * size_mm);
    }
    size
}

/// The font that pictures are drawn with.
pub(super) fn face(bold: bool) -> &'static Face<'static> {
    &font(bold).face
}

/// A letter, in ems.
#[derive(Clone, Copy)]
struct Glyph {
    width_em: f64,
    ascent_em: f64,
    descent_em: f64,
}

struct Font {
    face: Face<'static>,
    per_unit: f64,
    ascent_em: f64,
    descent_em: f64,
}

impl Font {
    fn read(bytes: &'static [u8]) -> Font {
        let face = Face::parse(bytes, 0).expect("the embedded font is whole; a test reads it");
        let mut font = Font {
            per_unit: 1.0 / f64::from(face.units_per_em().max(1)),
            face,
            ascent_em: 0.0,
            descent_em: 0.0,
        };
        font.ascent_em = TALL
            .iter()
            .fold(0.0, |most, &letter| font.glyph(letter).ascent_em.max(most));
        font.descent_em = LOW
            .iter()
            .fold(0.0, |most, &letter| font.glyph(letter).descent_em.max(most));
        font
    }

    fn glyph(&self, letter: char) -> Glyph {
        let Some(id) = self.face.glyph_index(letter) else {
            return Glyph {
                width_em: 1.0,
                ascent_em: UNKNOWN_ASCENT_EM,
                descent_em: 0.0,
            };
        };
        let ink = self.face.glyph_bounding_box(id);
        let em = |units: i16| f64::from(units) * self.per_unit;
        Glyph {
            width_em: f64::from(self.face.glyph_hor_advance(id).unwrap_or(0)) * self.per_unit,
            ascent_em: ink.map_or(0.0, |ink| em(ink.y_max)),
            descent_em: ink.map_or(0.0, |ink| -em(ink.y_min)),
        }
    }
}

fn font(bold: bool) -> &'static Font {
    static REGULAR: OnceLock<Font> = OnceLock::new();
    static BOLD: OnceLock<Font> = OnceLock::new();
    if bold {
        BOLD.get_or_init(|| Font::read(notosans::BOLD_TTF))
    } else {
        REGULAR.get_or_init(|| Font::read(notosans::REGULAR_TTF))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_as_wide_as_the_fonts_own_table_says() {
        // Advance widths of the font's `hmtx` table, read byte by byte with a script of its own: 1171 of 2048 units for
        // every figure in both weights, 532 for the space.
        for bold in [false, true] {
            for figure in '0'..='9' {
                let width = measure(&figure.to_string(), 1.0, bold).width_mm;
                assert!((width - 1171.0 / 2048.0).abs() < 1e-9, "{figure} {width}");
            }
            assert!((measure(" ", 1.0, bold).width_mm - 532.0 / 2048.0).abs() < 1e-9);
        }
    }

    #[test]
    fn width_grows_with_size_and_letters() {
        let text = "kitchen/tab collar 6 %";
        let one = measure(text, 1.0, false);
        let two = measure(text, 2.0, false);
        assert!((two.width_mm - 2.0 * one.width_mm).abs() < 1e-9);
        let parts: f64 = text
            .split_inclusive(' ')
            .map(|part| measure(part, 1.0, false).width_mm)
            .sum();
        assert!((parts - one.width_mm).abs() < 1e-9);
        assert!(measure(text, 1.0, true).width_mm > one.width_mm);
    }

    #[test]
    fn what_the_font_lacks_counts_an_em() {
        // two ideographs, which a font for Latin, Greek and Cyrillic does not hold
        assert!((measure("\u{6f0f}\u{6c23}", 3.0, false).width_mm - 6.0).abs() < 1e-9);
        assert!(measure("\t\n", 3.0, false).width_mm.abs() < 1e-12);
        assert!(measure("", 3.0, false).width_mm.abs() < 1e-12);
    }

    #[test]
    fn an_accent_makes_a_line_higher() {
        let plain = measure("Etage", 10.0, false);
        let accent = measure("Étage", 10.0, false);
        assert!(accent.ascent_mm > plain.ascent_mm);
        assert!(plain.ascent_mm > 7.0 && plain.ascent_mm < 8.5, "{plain:?}");
        assert!(
            plain.descent_mm > 2.0 && plain.descent_mm < 3.0,
            "{plain:?}"
        );
    }
}
