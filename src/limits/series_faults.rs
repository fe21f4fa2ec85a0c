//! Why a series cannot be fitted, and what makes a fit doubtful, in words.

use super::series::{EXPONENT_RANGE, GOOD_POINTS, LEAST_R2, MOST_PA, USUAL_EXPONENT};
use crate::math::powi;

/// Exponents within this are one. Engineering estimate: far below what any series tells apart.
const SAME_EXPONENT: f64 = 1e-3;

/// Why a series cannot be fitted. The words say what to do.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SeriesError {
    /// Nothing to fit.
    #[error("the series has no points")]
    NoPoints,
    /// Too few for a fit.
    #[error("a fit needs three points or more, the series has {0}")]
    TooFew(usize),
    /// A pressure or a flow that is not above zero.
    #[error("point {0}: pressure and flow must be above zero")]
    NotPositive(usize),
    /// All pressures alike.
    #[error("all points are at one pressure, {0:.1} Pa: no exponent can be had from them")]
    EqualPressures(f64),
    /// Flow falls while pressure rises.
    #[error("the flow falls as the pressure rises (exponent {0:.2})")]
    Falls(f64),
    /// Below the range.
    #[error("the exponent {n} lies below {low}: no set of leaks has it", n = apart(*.0, EXPONENT_RANGE.0), low = EXPONENT_RANGE.0)]
    Low(f64),
    /// Above the range.
    #[error("the exponent {n} lies above {high}: no set of leaks has it", n = apart(*.0, EXPONENT_RANGE.1), high = EXPONENT_RANGE.1)]
    High(f64),
    /// A pressure that no test of ducts has, Pa.
    #[error("{0:.0} Pa is no pressure of a duct test: at most {most:.0} Pa", most = MOST_PA)]
    Pressure(f64),
}

impl SeriesError {
    /// What to do.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            SeriesError::NoPoints | SeriesError::TooFew(_) => {
                "take five points or more, spread evenly in pressure, the highest at least twice the lowest"
            }
            SeriesError::NotPositive(_) => {
                "write pressures and flows as magnitudes, baseline subtracted, and leave out a point that reads zero"
            }
            SeriesError::Pressure(_) => {
                "look at the figure and its unit: ducts are tested at 25 to some 2000 Pa"
            }
            SeriesError::EqualPressures(_) => {
                "give readings at one pressure as repeats of one reading, or take points at other pressures"
            }
            SeriesError::Falls(_) => {
                "look whether columns or rows are exchanged, whether the fan's range was changed without saying so, and \
                 whether a mask came off; then take the series again"
            }
            SeriesError::Low(_) => {
                "look for a mask or panel that opens with pressure only at low points, a fan at the end of its range or a \
                 baseline not subtracted; take the series again, or use one reading with `--exponent 0.6`"
            }
            SeriesError::High(_) => {
                "look for a mask or a damper that gives way as pressure rises, a fan at the end of its range or a baseline \
                 not subtracted; take the series again, or use one reading with `--exponent 0.6`"
            }
        }
    }
}

/// What makes a fit doubtful.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum SeriesWarning {
    /// The exponent is unusual for ducts.
    Exponent(f64),
    /// The points lie off the line.
    Scatter(f64),
    /// Few points.
    Few(usize),
    /// The pressures are close together.
    Narrow(f64),
    /// The points bend away from a power law, as part of the flow at the ends.
    Curved(f64),
}

impl SeriesWarning {
    /// Stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            SeriesWarning::Exponent(_) => "exponent-unusual",
            SeriesWarning::Scatter(_) => "series-scatter",
            SeriesWarning::Few(_) => "series-few-points",
            SeriesWarning::Narrow(_) => "series-narrow",
            SeriesWarning::Curved(_) => "series-curved",
        }
    }

    /// In words, with what to do.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            SeriesWarning::Exponent(n) if *n > 1.0 => format!(
                "the exponent {} lies above 1, laminar flow: only scatter can bring it there; look for a mask or a damper \
                 that gives way as pressure rises, and take more points",
                apart(*n, 1.0)
            ),
            SeriesWarning::Exponent(n) => format!(
                "the exponent {} lies outside {} to {}, where leaks of ducts usually lie: look for masks, panels or \
                 dampers that move with pressure, and for a baseline that was not subtracted",
                apart(
                    *n,
                    if *n < USUAL_EXPONENT.0 {
                        USUAL_EXPONENT.0
                    } else {
                        USUAL_EXPONENT.1
                    }
                ),
                USUAL_EXPONENT.0,
                USUAL_EXPONENT.1
            ),
            SeriesWarning::Scatter(r2) => format!(
                "r2 is {r2:.3}, below {LEAST_R2}: repeat the points that lie off the line; wind and a drifting baseline are \
                 the usual causes"
            ),
            SeriesWarning::Few(count) => format!(
                "{count} points: the band is wide and rests on little; {GOOD_POINTS} or more are usual"
            ),
            SeriesWarning::Narrow(ratio) => format!(
                "the highest pressure is only {ratio:.1} times the lowest: the exponent is worth little; take one point at \
                 half the lowest pressure or less"
            ),
            SeriesWarning::Curved(part) => format!(
                "the points bend away from a power law, by {:.0} % of the flow at the ends: something moved with pressure, or \
                 the fan's range was changed on the way; repeat the series downwards",
                100.0 * part
            ),
        }
    }
}

/// An exponent with as many decimals, two at least, as tell it from a bound.
fn apart(n: f64, bound: f64) -> String {
    let enough = |decimals: &usize| {
        let unit = powi(10.0, *decimals as i32);
        (n * unit).round() != (bound * unit).round()
    };
    let decimals = (2..6).find(enough).unwrap_or(6);
    format!("{n:.decimals$}")
}

/// Whether an exponent is one that leaks of ducts seldom have.
#[must_use]
pub(super) fn unusual(n: f64) -> bool {
    n < USUAL_EXPONENT.0 - SAME_EXPONENT || n > USUAL_EXPONENT.1 + SAME_EXPONENT
}
