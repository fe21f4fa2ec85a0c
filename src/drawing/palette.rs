//! Colours of the sheet. None carries meaning alone: width, hatch, dash, glyph or words stand beside it.

/// Steps of leakage or pressure, the least first: the viridis colours (public domain, CC0) reversed, from 0.58 to 0, so
/// that more is darker on paper, by about equal steps of lightness, and the palest still has 3 : 1 against it.
pub(super) const STEPS: [&str; 7] = [
    "#20a386", "#21908c", "#2a788e", "#35608d", "#414487", "#482576", "#440154",
];

/// Words, symbols.
pub(super) const INK: &str = "#1c2226";
/// Second words.
pub(super) const SOFT_INK: &str = "#4a555c";
/// Paper.
pub(super) const PAPER: &str = "#ffffff";
/// Outline of supply ducts.
pub(super) const SUPPLY_EDGE: &str = "#44525c";
/// Inside of supply ducts.
pub(super) const SUPPLY: &str = "#f4f8fb";
/// Outline of return ducts.
pub(super) const RETURN_EDGE: &str = "#6e4f2f";
/// Inside of return ducts, beneath the hatch.
pub(super) const RETURN: &str = "#fbf3e6";
/// Lines of the hatch.
pub(super) const HATCH: &str = "#c9a877";
/// Ducts of the level below.
pub(super) const BELOW: &str = "#d3d8dc";
/// Seams that are not the matter of a layer.
pub(super) const QUIET: &str = "#8d979e";
/// Leaders of names: paler than any duct's outline.
pub(super) const LEADER: &str = "#848e95";
/// Flags of what may hang open.
pub(super) const ALARM: &str = "#a3151b";

/// Ground tints of places with the colour of their figure; the figures (dots, lines …) differ too.
pub(super) const PLACES: [(&str, &str); 6] = [
    ("#eef2e6", "#c3cdae"),
    ("#f6ece6", "#d9bfae"),
    ("#e6eef6", "#aebfd4"),
    ("#f1e9f4", "#c7b2d0"),
    ("#f7f3df", "#d6c98f"),
    ("#e4f1ef", "#a6cac4"),
];

/// Joint types. Our own pick of eight hues that differ in lightness too.
pub(super) const TYPES: [&str; 8] = [
    "#0b4f8a", "#b3401f", "#1f7a4d", "#7b3f98", "#8a6a00", "#00788a", "#a3195b", "#444b50",
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of an sRGB colour.
    ///
    /// # Equation
    /// ```text
    /// L = 0.2126 R + 0.7152 G + 0.0722 B,   each c/12.92 up to c = 0.04045, else ((c + 0.055)/1.055)^2.4
    /// ```
    /// "Web Content Accessibility Guidelines (WCAG) 2.2", W3C Recommendation, 2023, "relative luminance".
    fn luminance(colour: &str) -> f64 {
        let part = |k: usize| {
            let byte = u8::from_str_radix(&colour[k..k + 2], 16).expect("two hexadecimal digits");
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    }

    /// (L1 + 0.05)/(L2 + 0.05), the lighter above: WCAG 2.2, "contrast ratio".
    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// CIE 1976 lightness L* of a luminance against white 1 (ISO/CIE 11664-4).
    fn lightness(colour: &str) -> f64 {
        116.0 * luminance(colour).cbrt() - 16.0
    }

    #[test]
    fn the_formula_gives_what_its_source_says() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        // The grey that stands at 4.5 : 1 on white in the source's own notes.
        assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.01);
    }

    #[test]
    fn every_step_is_seen_on_paper_and_in_grey() {
        // 3 : 1 is what WCAG 2.2 asks of graphical objects (success criterion 1.4.11).
        for step in STEPS {
            assert!(contrast(step, PAPER) >= 3.0, "{step}");
        }
        let all = STEPS.map(lightness);
        let mean = (all[0] - all[6]) / 6.0;
        for pair in all.windows(2) {
            let fall = pair[0] - pair[1];
            assert!((fall - mean).abs() < 2.5, "{all:?}");
        }
    }

    #[test]
    fn words_and_signs_are_read() {
        for words in [INK, SOFT_INK, ALARM] {
            assert!(contrast(words, PAPER) >= 4.5, "{words}");
        }
        for sign in TYPES.into_iter().chain([LEADER, SUPPLY_EDGE, RETURN_EDGE]) {
            assert!(contrast(sign, PAPER) >= 3.0, "{sign}");
        }
    }
}
