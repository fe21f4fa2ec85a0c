//! A sheet as pixels.

use std::sync::Arc;

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{self, fontdb};
use thiserror::Error;

/// Pixels that a picture may have: an A2 sheet at 8 pixels a millimetre has 16 million (engineering estimate; 4 bytes each).
const MOST_PIXELS: u64 = 100_000_000;
/// Longest side, pixels: longer than the painter can address safely.
const MOST_SIDE: f64 = 30_000.0;
/// Pixels of a millimetre as the reader of the SVG counts them: 96 to the inch (CSS Values and Units, W3C).
const READ_PER_MM: f64 = 96.0 / 25.4;
/// Finest and coarsest picture, pixels a millimetre (engineering estimate: a legible one has 4 to 24).
const PER_MM: (f64, f64) = (0.1, 200.0);

/// Why there are no pixels.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PngError {
    /// More pixels than a picture may have.
    #[error("{width} × {height} pixels are too many; 100 million is the most")]
    TooLarge {
        /// Width.
        width: u64,
        /// Height.
        height: u64,
    },
    /// Pixels a millimetre that no picture has.
    #[error("{0} pixels a millimetre make no picture; from 0.1 to 200 do")]
    Resolution(f64),
    /// The SVG could not be read.
    #[error("the drawing cannot be read: {0}")]
    Unreadable(String),
}

/// Turns a drawing into a PNG file's bytes, with the embedded font and no other, on white.
///
/// The picture has `pixels_per_mm` times the drawing's millimetres, rounded up to whole pixels, and says so in the file: a
/// print of it is to scale.
///
/// # Errors
/// [`PngError`].
pub fn png(svg: &str, pixels_per_mm: f64) -> Result<Vec<u8>, PngError> {
    if !(PER_MM.0..=PER_MM.1).contains(&pixels_per_mm) {
        return Err(PngError::Resolution(pixels_per_mm));
    }
    let tree = usvg::Tree::from_str(svg, &options())
        .map_err(|error| PngError::Unreadable(error.to_string()))?;
    let scale = pixels_per_mm / READ_PER_MM;
    let (width, height) = (
        pixels(f64::from(tree.size().width()) * scale),
        pixels(f64::from(tree.size().height()) * scale),
    );
    let too_large = || PngError::TooLarge {
        width: width as u64,
        height: height as u64,
    };
    if width > MOST_SIDE
        || height > MOST_SIDE
        || (width as u64).saturating_mul(height as u64) > MOST_PIXELS
    {
        return Err(too_large());
    }
    let mut picture = Pixmap::new(width as u32, height as u32).ok_or_else(too_large)?;
    picture.fill(Color::WHITE);
    resvg::render(
        &tree,
        Transform::from_scale(scale as f32, scale as f32),
        &mut picture.as_mut(),
    );
    let bytes = picture
        .encode_png()
        .map_err(|error| PngError::Unreadable(error.to_string()))?;
    Ok(with_size(&bytes, pixels_per_mm))
}

/// Puts the chunk `pHYs` behind the header, so that the picture is printed to scale.
///
/// # Source
/// Portable Network Graphics (PNG) Specification, W3C: signature of 8 bytes, header chunk of 25, `pHYs` with pixels a metre.
fn with_size(file: &[u8], pixels_per_mm: f64) -> Vec<u8> {
    const HEADER_ENDS: usize = 8 + 25;
    let per_m = ((1000.0 * pixels_per_mm).round() as u32).to_be_bytes();
    let mut chunk = b"pHYs".to_vec();
    chunk.extend(per_m);
    chunk.extend(per_m);
    chunk.push(1); // the unit is the metre
    let mut out = file[..HEADER_ENDS.min(file.len())].to_vec();
    out.extend((chunk.len() as u32 - 4).to_be_bytes());
    out.extend(&chunk);
    out.extend(check(&chunk).to_be_bytes());
    out.extend(&file[HEADER_ENDS.min(file.len())..]);
    out
}

/// Cyclic redundancy check of a chunk's name and data: polynomial 0xEDB88320, all bits set before and turned after (same
/// specification, annex on the CRC).
fn check(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |mut crc, &byte| {
        crc ^= u32::from(byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                0xEDB8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            };
        }
        crc
    })
}

/// Whole pixels; sizes are kept as single precision by the reader, so what is whole but for that stays.
fn pixels(size: f64) -> f64 {
    (size - 0.01).ceil().max(1.0)
}

/// The embedded font stands for every family.
fn options() -> usvg::Options<'static> {
    let mut fonts = fontdb::Database::new();
    for bytes in [notosans::REGULAR_TTF, notosans::BOLD_TTF] {
        fonts.load_font_source(fontdb::Source::Binary(Arc::new(bytes)));
    }
    fonts.set_sans_serif_family("Noto Sans");
    usvg::Options {
        font_family: "Noto Sans".to_owned(),
        fontdb: Arc::new(fonts),
        ..usvg::Options::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(inside: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 40 30\" width=\"40mm\" height=\"30mm\">{inside}</svg>"
        )
    }

    fn painted(svg: &str, per_mm: f64) -> Pixmap {
        let bytes = png(svg, per_mm).expect("a picture");
        assert_eq!(bytes[..8], *b"\x89PNG\r\n\x1a\n");
        Pixmap::decode_png(&bytes).expect("a PNG file")
    }

    fn dark(picture: &Pixmap) -> usize {
        let pixels = picture.pixels();
        pixels.iter().filter(|pixel| pixel.red() < 128).count()
    }

    #[test]
    fn a_picture_has_the_size_asked_and_shows_what_is_drawn() {
        for (per_mm, width, height) in [(8.0, 320, 240), (2.5, 100, 75), (0.11, 5, 4)] {
            let picture = painted(
                &sheet("<rect x=\"10\" y=\"5\" width=\"20\" height=\"20\"/>"),
                per_mm,
            );
            assert_eq!((picture.width(), picture.height()), (width, height));
        }
        // 20 mm × 20 mm at 8 pixels a millimetre, black on white
        let picture = painted(
            &sheet("<rect x=\"10\" y=\"5\" width=\"20\" height=\"20\"/>"),
            8.0,
        );
        assert_eq!(dark(&picture), 160 * 160);
        assert!(picture.pixels().iter().all(|pixel| pixel.is_opaque()));
        let corner = picture.pixel(0, 0).expect("inside");
        assert_eq!(
            (corner.red(), corner.green(), corner.blue()),
            (255, 255, 255)
        );
    }

    #[test]
    fn text_is_painted_in_every_family_and_weight() {
        assert_eq!(dark(&painted(&sheet(""), 8.0)), 0);
        let text = |attributes: &str| {
            let svg = sheet(&format!(
                "<text x=\"2\" y=\"15\" font-size=\"5\" {attributes}>kitchen</text>"
            ));
            dark(&painted(&svg, 8.0))
        };
        let plain = text("font-family=\"Noto Sans\"");
        assert!(plain > 500, "{plain}");
        assert_eq!(text("font-family=\"No Such Face, sans-serif\""), plain);
        assert_eq!(text(""), plain);
        assert!(text("font-weight=\"bold\"") > plain + plain / 10);
    }

    #[test]
    fn text_length_sets_the_width() {
        let last = |length: &str| {
            let picture = painted(
                &sheet(&format!(
                    "<text x=\"2\" y=\"15\" font-size=\"5\" {length}>kitchen</text>"
                )),
                8.0,
            );
            let width = picture.width() as usize;
            let columns = picture.pixels().iter().enumerate();
            columns
                .filter(|(_, pixel)| pixel.red() < 128)
                .map(|(k, _)| k % width)
                .max()
                .expect("painted")
        };
        let stretched = last("textLength=\"30\" lengthAdjust=\"spacingAndGlyphs\"");
        assert!((245..=256).contains(&stretched), "{stretched}"); // 2 mm + 30 mm at 8 pixels
        assert!(last("") < 200);
    }

    #[test]
    fn the_file_says_how_large_a_pixel_is() {
        // The last chunk of every PNG file, `IEND`, holds nothing and ends in AE 42 60 82 (known from any such file).
        assert_eq!(check(b"IEND"), 0xAE42_6082);
        let bytes = png(&sheet(""), 8.0).expect("a picture");
        assert_eq!(bytes[37..41], *b"pHYs");
        assert_eq!(bytes[41..45], 8000_u32.to_be_bytes());
        assert_eq!(bytes[49], 1);
        assert!(Pixmap::decode_png(&bytes).is_ok());
    }

    #[test]
    fn too_many_pixels_are_refused() {
        let wide = sheet("")
            .replace("40mm", "4000mm")
            .replace("30mm", "3000mm");
        assert_eq!(
            png(&wide, 8.0),
            Err(PngError::TooLarge {
                width: 32_000,
                height: 24_000
            })
        );
        for odd in [0.0, -3.0, f64::NAN, f64::INFINITY, 1e9] {
            assert!(matches!(png(&sheet(""), odd), Err(PngError::Resolution(_))));
        }
        assert!(matches!(png("<svg", 8.0), Err(PngError::Unreadable(_))));
    }
}
