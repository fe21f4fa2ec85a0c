//! A series of flows at several pressures, fitted to Q = C·Δpⁿ.

use super::series_faults::unusual;
pub use super::series_faults::{SeriesError, SeriesWarning};
use super::student::{chance_below, t_95};
use crate::math::{exp, ln, square};

/// Least and largest exponent that a fit may have; beyond, the readings are not of one set of leaks.
///
/// # Source
/// Engineering estimate: 0.5 is turbulent and 1 laminar flow; the ends leave room for scatter round both. A test standard
/// asks for 0.5 to 1 (ISO 9972, read second-hand).
pub const EXPONENT_RANGE: (f64, f64) = (0.45, 1.05);
/// Exponents that leaks of ducts usually have.
///
/// # Source
/// Engineering estimate.
pub const USUAL_EXPONENT: (f64, f64) = (0.5, 0.75);
/// Largest pressure of a test of ducts, Pa. Engineering estimate: classes of the highest pressure are tested to some 2000 Pa.
pub(super) const MOST_PA: f64 = 5000.0;
/// Least r² of a good fit. ISO 9972, from memory.
pub(super) const LEAST_R2: f64 = 0.98;
/// Least number of points of a good series. ASTM E779 and ISO 9972; read and from memory.
pub(super) const GOOD_POINTS: usize = 5;
/// Least ratio of largest to least pressure. Engineering estimate.
pub(super) const LEAST_RATIO: f64 = 2.0;
/// Curvature that matters: how far the parabola's ends leave the straight line, as part of the flow. Engineering estimate.
const CURVED_PART: f64 = 0.02;
/// Least number of points that can show a bend: with fewer, two degrees of freedom are left and scatter looks like one.
/// Engineering estimate.
const BENT_POINTS: usize = 6;
/// How sure the bend must be, one tail: two-sided 99 %, so that one good series in a hundred is doubted. Engineering estimate.
const CURVED_SURE: f64 = 0.995;
/// Rounds of the weighted fit at most; each makes the change some hundred times smaller.
const ROUNDS: usize = 50;

/// One point: a flow at a pressure, with one standard deviation of each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Pressure difference, Pa; a magnitude.
    pub pressure_pa: f64,
    /// Its standard deviation, Pa.
    pub pressure_sd_pa: f64,
    /// Flow, m³/s.
    pub flow_m3_s: f64,
    /// Its standard deviation, m³/s.
    pub flow_sd_m3_s: f64,
}

/// How a fit was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weights {
    /// All points alike: the published procedure.
    Alike,
    /// By each point's own errors.
    ByError {
        /// Rounds until the exponent stood still.
        rounds: usize,
        /// Sum of squared weighted residuals; about the degrees of freedom where the errors are right.
        chi_square: f64,
    },
}

/// A fitted power law.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Exponent n, dimensionless.
    pub n: f64,
    /// Its standard error.
    pub n_se: f64,
    /// ln C, C in m³/(s·Paⁿ).
    pub ln_c: f64,
    /// Its standard error.
    pub ln_c_se: f64,
    /// Coefficient of determination.
    pub r2: f64,
    /// Points.
    pub points: usize,
    /// Two-sided 95 % factor of Student's law with N − 2 degrees of freedom.
    pub t: f64,
    /// How the points were weighed.
    pub weights: Weights,
    /// What makes it doubtful.
    pub warnings: Vec<SeriesWarning>,
    /// Mean of ln Δp, weighted.
    mean_x: f64,
    /// Variance of the line at `mean_x`.
    mean_variance: f64,
}

impl Fit {
    /// Degrees of freedom.
    #[must_use]
    pub fn freedom(&self) -> f64 {
        self.points as f64 - 2.0
    }

    /// C, m³/(s·Paⁿ).
    #[must_use]
    pub fn c(&self) -> f64 {
        exp(self.ln_c)
    }

    /// Flow at a pressure, m³/s.
    #[must_use]
    pub fn flow(&self, pressure_pa: f64) -> f64 {
        exp(self.ln_c + self.n * ln(pressure_pa))
    }

    /// Standard error of ln Q at a pressure.
    ///
    /// C and n hang on each other: this is not what their own errors would give if they were independent.
    #[must_use]
    pub fn ln_flow_se(&self, pressure_pa: f64) -> f64 {
        let off = ln(pressure_pa) - self.mean_x;
        (self.mean_variance + square(self.n_se * off)).sqrt()
    }

    /// 95 % band of the flow at a pressure, m³/s. It holds the scatter of this series: no wind drift, no bias of the
    /// instruments.
    #[must_use]
    pub fn band(&self, pressure_pa: f64) -> (f64, f64) {
        let half = exp(self.t * self.ln_flow_se(pressure_pa));
        let flow = self.flow(pressure_pa);
        (flow / half, flow * half)
    }
}

/// Sums of a weighted line.
struct Line {
    slope: f64,
    intercept: f64,
    mean_x: f64,
    sum_w: f64,
    /// Σ w (x − x̄)²
    sxx: f64,
    /// Σ w (residual)²
    residual: f64,
    r2: f64,
}

fn line(xs: &[f64], ys: &[f64], ws: &[f64]) -> Line {
    let sum_w: f64 = ws.iter().sum();
    let mean = |vs: &[f64]| vs.iter().zip(ws).map(|(v, w)| v * w).sum::<f64>() / sum_w;
    let (mean_x, mean_y) = (mean(xs), mean(ys));
    let (mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0);
    for ((x, y), w) in xs.iter().zip(ys).zip(ws) {
        let (dx, dy) = (x - mean_x, y - mean_y);
        sxx += w * dx * dx;
        sxy += w * dx * dy;
        syy += w * dy * dy;
    }
    let slope = sxy / sxx;
    // Residuals one by one: the difference of sums loses its digits where the points lie on the line.
    let residual = xs
        .iter()
        .zip(ys)
        .zip(ws)
        .map(|((x, y), w)| w * square(y - mean_y - slope * (x - mean_x)))
        .sum::<f64>();
    Line {
        slope,
        intercept: mean_y - slope * mean_x,
        mean_x,
        sum_w,
        sxx,
        residual,
        r2: if syy > 0.0 { 1.0 - residual / syy } else { 1.0 },
    }
}

/// Fits all points alike: the published procedure for tests of envelopes, usable for ducts.
///
/// # Equation
/// ```text
/// x = ln Δp, y = ln Q;   n = Sxy/Sxx;   ln C = ȳ − n x̄;   s² = Σ(y − ln C − n x)²/(N − 2)
/// s_n = s/√Σ(x − x̄)²;   s_lnC = s_n √(Σx²/N);   s_y(x) = s_n √(Σ(x − x̄)²/N + (x − x̄)²)
/// ```
/// where `Δp` Pa, `Q` m³/s, `N` points; 95 % limits are ± t·s, `t` Student's two-sided factor with N − 2 degrees of freedom.
///
/// # Errors
/// [`SeriesError`].
///
/// # Limits
/// The band is of the scatter within this series: wind drift and bias of the instruments come on top.
///
/// # Source
/// Ordinary least squares; the set as in ASTM E779 and ISO 9972, annexes (from memory).
///
/// # Examples
/// ```
/// use ductseam::limits::{Point, fit};
/// let point = |pressure_pa: f64| Point {
///     pressure_pa, pressure_sd_pa: 0.3, flow_m3_s: 0.04 * pressure_pa.powf(0.6), flow_sd_m3_s: 0.001,
/// };
/// let fit = fit(&[point(10.0), point(25.0), point(40.0)]).unwrap();
/// assert!((fit.n - 0.6).abs() < 1e-12 && (fit.flow(25.0) - 0.27595).abs() < 1e-5);
/// ```
pub fn fit(points: &[Point]) -> Result<Fit, SeriesError> {
    let (xs, ys) = logarithms(points)?;
    let n = points.len() as f64;
    let ws = vec![1.0; points.len()];
    let line = line(&xs, &ys, &ws);
    let variance = line.residual / (n - 2.0);
    let fit = finished(&line, variance, points, Weights::Alike, &xs, &ys);
    check(fit)
}

/// Fits by each point's own errors of flow and pressure: effective variance, iterated.
///
/// # Equation
/// ```text
/// w = 1/((s_Q/Q)² + (n s_p/Δp)²), with n of the round before;   covariance (Σ w …)⁻¹ · max(1, χ²/(N − 2))
/// ```
/// The last factor widens the errors where the scatter is larger than the stated errors allow, and never narrows them.
///
/// # Errors
/// [`SeriesError`]; a point without any error cannot be weighed and counts as [`SeriesError::NotPositive`].
///
/// # Source
/// Weighted least squares with effective variance (general statistics, from memory); studies of envelope tests ask for it
/// where both readings have errors (abstracts read).
pub fn fit_weighted(points: &[Point]) -> Result<Fit, SeriesError> {
    let (xs, ys) = logarithms(points)?;
    let weights = |n: f64| -> Vec<f64> {
        points
            .iter()
            .map(|p| {
                let flow = p.flow_sd_m3_s / p.flow_m3_s;
                let pressure = n * p.pressure_sd_pa / p.pressure_pa;
                1.0 / (flow * flow + pressure * pressure)
            })
            .collect()
    };
    if let Some(bare) = points
        .iter()
        .position(|p| !(p.flow_sd_m3_s > 0.0 || p.pressure_sd_pa > 0.0))
    {
        return Err(SeriesError::NotPositive(bare + 1));
    }
    let mut now = line(&xs, &ys, &weights(super::USUAL_DUCT_EXPONENT));
    let mut rounds = 1;
    while rounds < ROUNDS {
        let next = line(&xs, &ys, &weights(now.slope));
        let moved = (next.slope - now.slope).abs();
        now = next;
        rounds += 1;
        if moved <= 1e-14 {
            break;
        }
    }
    let chi_square = now.residual;
    let variance = (chi_square / (points.len() as f64 - 2.0)).max(1.0);
    let weights = Weights::ByError { rounds, chi_square };
    check(finished(&now, variance, points, weights, &xs, &ys))
}

fn logarithms(points: &[Point]) -> Result<(Vec<f64>, Vec<f64>), SeriesError> {
    if points.is_empty() {
        return Err(SeriesError::NoPoints);
    }
    let is_good = |value: f64| value > 0.0 && value.is_finite();
    if let Some(bad) = points
        .iter()
        .position(|p| !(is_good(p.pressure_pa) && is_good(p.flow_m3_s)))
    {
        return Err(SeriesError::NotPositive(bad + 1));
    }
    if points.len() < 3 {
        return Err(SeriesError::TooFew(points.len()));
    }
    let (least, most) = pressures(points);
    // A thousandth is less than any gauge tells apart.
    if most / least < 1.001 {
        return Err(SeriesError::EqualPressures(least));
    }
    let xs = points.iter().map(|p| ln(p.pressure_pa)).collect();
    let ys = points.iter().map(|p| ln(p.flow_m3_s)).collect();
    Ok((xs, ys))
}

/// Least and largest pressure, Pa.
pub(super) fn pressures(points: &[Point]) -> (f64, f64) {
    points
        .iter()
        .fold((f64::INFINITY, 0.0), |(least, most), p| {
            (p.pressure_pa.min(least), p.pressure_pa.max(most))
        })
}

fn finished(
    line: &Line,
    variance: f64,
    points: &[Point],
    weights: Weights,
    xs: &[f64],
    ys: &[f64],
) -> Fit {
    let n_se = (variance / line.sxx).sqrt();
    let mean_variance = variance / line.sum_w;
    let freedom = points.len() as f64 - 2.0;
    let (least, most) = pressures(points);
    let mut warnings = Vec::new();
    if unusual(line.slope) {
        warnings.push(SeriesWarning::Exponent(line.slope));
    }
    if line.r2 < LEAST_R2 {
        warnings.push(SeriesWarning::Scatter(line.r2));
    }
    if points.len() < GOOD_POINTS {
        warnings.push(SeriesWarning::Few(points.len()));
    }
    if most / least < LEAST_RATIO {
        warnings.push(SeriesWarning::Narrow(most / least));
    }
    warnings.extend(curvature(line, xs, ys));
    Fit {
        n: line.slope,
        n_se,
        ln_c: line.intercept,
        ln_c_se: (mean_variance + square(n_se * line.mean_x)).sqrt(),
        r2: line.r2,
        points: points.len(),
        t: t_95(Some(freedom)),
        weights,
        warnings,
        mean_x: line.mean_x,
        mean_variance,
    }
}

/// Whether a parabola fits surely better: its term, made independent of the line, against its own standard error.
fn curvature(line: &Line, xs: &[f64], ys: &[f64]) -> Option<SeriesWarning> {
    let count = xs.len();
    if count < BENT_POINTS {
        return None;
    }
    let us: Vec<f64> = xs.iter().map(|x| x - line.mean_x).collect();
    let mean = |vs: &[f64]| vs.iter().sum::<f64>() / vs.len() as f64;
    let squares: Vec<f64> = us.iter().map(|u| u * u).collect();
    let ones = vec![1.0; count];
    let by = self::line(&us, &squares, &ones);
    let bent: Vec<f64> = us
        .iter()
        .zip(&squares)
        .map(|(u, s)| s - by.intercept - by.slope * u)
        .collect();
    let plain = self::line(&us, ys, &ones);
    let left: Vec<f64> = us
        .iter()
        .zip(ys)
        .map(|(u, y)| y - plain.intercept - plain.slope * u)
        .collect();
    let sum: f64 = bent.iter().map(|b| b * b).sum();
    // Two distinct pressures have no bend to speak of.
    if sum <= 1e-12 * square(mean(&squares)) * count as f64 {
        return None;
    }
    let term = bent.iter().zip(&left).map(|(b, l)| b * l).sum::<f64>() / sum;
    let residual: f64 = bent
        .iter()
        .zip(&left)
        .map(|(b, l)| square(l - term * b))
        .sum();
    let freedom = count as f64 - 3.0;
    let se = (residual / freedom / sum).sqrt();
    let ends = bent.iter().fold(0.0_f64, |most, b| most.max(b.abs()));
    let part = (term * ends).abs();
    let sure = se <= 0.0 || chance_below(term.abs() / se, Some(freedom)) > CURVED_SURE;
    (part > CURVED_PART && sure).then_some(SeriesWarning::Curved(part))
}

fn check(fit: Fit) -> Result<Fit, SeriesError> {
    match fit.n {
        n if n < 0.0 => Err(SeriesError::Falls(n)),
        n if n < EXPONENT_RANGE.0 => Err(SeriesError::Low(n)),
        n if n > EXPONENT_RANGE.1 => Err(SeriesError::High(n)),
        _ => Ok(fit),
    }
}
