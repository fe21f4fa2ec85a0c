//! Round ticks and where values lie between them.

use super::{LETTERS, NARROWEST, width};
use crate::math::{log10, powi};
use crate::report::figures::number;

/// Most ticks of a scale.
const MOST_TICKS: usize = 7;

/// A linear scale between two round figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    low: f64,
    high: f64,
    step: f64,
    decimals: usize,
    /// Where the scale begins and ends, as parts of the chart's width.
    span: (f64, f64),
}

impl Scale {
    /// A scale over values, zero always in it; what is not finite is passed over. `span` is where it begins and ends, as
    /// parts of the chart's width or height.
    pub fn over(values: impl Iterator<Item = f64>, span: (f64, f64)) -> Scale {
        let (mut low, mut high) = (0.0_f64, 0.0_f64);
        for value in values.filter(|value| value.is_finite()) {
            (low, high) = (low.min(value), high.max(value));
        }
        if high - low <= 0.0 {
            high = 1.0;
        }
        for most in (2..=MOST_TICKS).rev() {
            let scale = Scale::with(low, high, most, span);
            if most == 2 || scale.fits() {
                return scale;
            }
        }
        unreachable!("the scale with two ticks is taken whatever its width")
    }

    fn with(low: f64, high: f64, most: usize, span: (f64, f64)) -> Scale {
        let step = round_step(high - low, most);
        let decimals = (-log10(step).floor()).max(0.0) as usize;
        Scale {
            low: (low / step).floor() * step,
            high: (high / step).ceil() * step,
            step,
            decimals,
            span,
        }
    }

    /// Whether the ticks' figures stand apart on the narrowest chart.
    fn fits(&self) -> bool {
        let ticks = self.ticks();
        let widest = ticks
            .iter()
            .map(|(_, text)| width(text))
            .fold(0.0, f64::max);
        let room = NARROWEST * (self.span.1 - self.span.0).abs() / (ticks.len().max(2) - 1) as f64;
        widest + LETTERS <= room
    }

    /// Position of a value as a part of the chart's width; what lies off the scale stands at its end.
    pub fn at(&self, value: f64) -> f64 {
        let part = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        let part = if part.is_nan() { 0.0 } else { part };
        self.span.0 + part * (self.span.1 - self.span.0)
    }

    /// Values of the ticks and their figures.
    pub fn ticks(&self) -> Vec<(f64, String)> {
        let count = ((self.high - self.low) / self.step).round() as usize;
        (0..=count)
            .map(|k| {
                let value = self.low + k as f64 * self.step;
                (value, number(value, self.decimals))
            })
            .collect()
    }
}

/// A step of 1, 2 or 5 times a power of ten, so that at most `most` of them cover a span.
pub fn round_step(span: f64, most: usize) -> f64 {
    let rough = span / most.max(1) as f64;
    let power = powi(10.0, log10(rough).floor() as i32);
    // A hair of room for what is exact but for rounding.
    let found = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|factor| factor * power >= rough * (1.0 - 1e-9));
    found.unwrap_or(10.0) * power
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_cover_the_span() {
        for (span, most, step) in [
            (10.0, 5, 2.0),
            (0.7, 7, 0.1),
            (31.0, 4, 10.0),
            (1234.0, 6, 500.0),
        ] {
            let found = round_step(span, most);
            assert!((found - step).abs() < 1e-9 * step, "{span}: {found}");
        }
    }

    #[test]
    fn zero_is_on_every_scale_and_ends_are_round() {
        let scale = Scale::over([3.2, 18.7, f64::NAN].into_iter(), (0.0, 1.0));
        let ticks = scale.ticks();
        assert_eq!(ticks[0].1, "0");
        assert!(ticks.last().expect("ticks").0 >= 18.7);
        assert!((scale.at(0.0)).abs() < 1e-12 && scale.at(1e9) <= 1.0 && scale.at(-5.0) >= 0.0);
        assert!(scale.at(f64::NAN).is_finite());
        let below = Scale::over([-7.0, 4.0].into_iter(), (0.1, 0.9));
        assert!(below.ticks()[0].0 <= -7.0 && below.at(-7.0) >= 0.1 && below.at(4.0) <= 0.9);
        let nothing = Scale::over(std::iter::empty(), (0.0, 1.0));
        assert!(nothing.ticks().len() > 1);
    }

    #[test]
    fn figures_of_ticks_never_touch_on_a_telephone() {
        for high in [0.003, 1.0, 12_345.0, 9.9e6] {
            let scale = Scale::over([high].into_iter(), (0.02, 0.98));
            assert!(scale.fits() || scale.ticks().len() <= 3, "{high}");
        }
    }
}
