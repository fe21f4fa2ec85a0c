//! Small charts as SVG inside a page: one layout for every width, because positions along the scale are in per cent of the
//! width and letters are not scaled with it.
//!
//! Every chart has a title, a description and the unit in its axis; its figures stand in a table beside or beneath it.
//! Colours, and what a dark page makes of them, stand in the page's style; marks differ by shape too.

mod intervals;
mod scale;
mod step;

pub(crate) use intervals::{Intervals, Row, intervals};
pub(crate) use step::{Point, Step, step};

use crate::drawing::measure;

/// Size of the letters, CSS pixels.
const LETTERS: f64 = 13.0;
/// Narrowest chart, CSS pixels: a telephone less the page's margins.
const NARROWEST: f64 = 320.0;

/// Width of a text, CSS pixels.
fn width(text: &str) -> f64 {
    measure(text, LETTERS, false).width_mm
}

/// A text cut to a width with `…` in its middle, so that its start and its number stay readable.
fn shortened(text: &str, room: f64) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let letters: Vec<char> = text.chars().collect();
    for kept in (2..letters.len()).rev() {
        let head: String = letters[..kept / 2].iter().collect();
        let tail: String = letters[letters.len() - (kept - kept / 2)..]
            .iter()
            .collect();
        let short = format!("{head}…{tail}");
        if width(&short) <= room {
            return short;
        }
    }
    "…".to_owned()
}

/// A position in per cent of the chart's width.
fn percent(part: f64) -> String {
    format!("{:.2}%", 100.0 * part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_cut_in_its_middle_until_it_fits() {
        let name = "a very long name of a run that nobody would write/adjustable elbow 12";
        let short = shortened(name, 150.0);
        assert!(width(&short) <= 150.0, "{short}");
        assert!(
            short.starts_with("a ve") && short.ends_with(" 12"),
            "{short}"
        );
        assert_eq!(shortened("den", 150.0), "den");
        assert_eq!(shortened("den", 0.0), "…");
    }
}
