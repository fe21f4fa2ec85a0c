//! Flow of the system's own blower against the pressure rise that it has to make.

use std::sync::Arc;

use super::branch_law::check;
use super::element::Response;
use super::error::FlowError;
use crate::air::{Air, STANDARD_DENSITY};

/// Least steepness everywhere, as a part of (flow at the first point)/(rise at the last). Keeps the flow strictly
/// falling where a constant-flow blower is flat. Own choice: far below any curve's own doubt.
const LEAST_STEEPNESS: f64 = 1e-6;
/// Least steepness below the first point, in the same measure. Own choice.
const LEAST_BELOW: f64 = 1e-3;

/// Name of the blower in errors.
const NAME: &str = "blower";

/// Blower curve through given points, in standard air.
///
/// # Equation
/// ```text
/// Q(x) = H(x) − ε·(x − x₁),   ε = 1e-6·Q₁/xₙ
/// ```
/// where `x` static pressure rise, Pa; `Q` volume flow, m³/s; (x₁, Q₁) … (xₙ, Qₙ) the points; `H` the monotone
/// piecewise cubic Hermite interpolant: with steps hₖ and secants δₖ the slope at an inner point is 0 if the secants
/// beside it do not agree in sign, else (w₁ + w₂)/(w₁/δₖ₋₁ + w₂/δₖ) with w₁ = 2hₖ + hₖ₋₁, w₂ = hₖ + 2hₖ₋₁; at the ends
/// the three-point formula, held to the sign of the secant and to three times its size. Two points give a line.
/// Beyond the points H goes on straight: above xₙ with slope −max(|H′(xₙ)|, Qₙ/xₙ), through zero into reverse flow;
/// below x₁ with slope −max(|H′(x₁)|, 1e-3·Q₁/xₙ).
///
/// # Limits
/// Flow falls strictly with rise everywhere, which is what makes a network's solution unique. Value continuous; slope
/// continuous but at the first and the last point, where it jumps when the outer line is the steeper one. Outside the
/// points the lines are a guess that keeps the solver going: compare
/// [`BlowerLaw::lowest_point_rise_pa`] and [`BlowerLaw::highest_point_rise_pa`].
///
/// # Source
/// Slopes: Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238, with the weighted harmonic mean of Fritsch and
/// Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory); checked against an independent general library.
/// Outer lines and least slope: own choice.
#[derive(Debug, Clone, PartialEq)]
pub struct BlowerCurve {
    shape: Arc<Shape>,
}

#[derive(Debug, PartialEq)]
struct Shape {
    /// Rise at each point, ascending.
    knots: Vec<f64>,
    /// The line below the first point, the cubics between, the line beyond the last: one more than points.
    parts: Vec<Part>,
    /// Integral from the first point to a rise of 0.
    work_at_zero: f64,
}

/// Cubic in t = x − `x0`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Part {
    x0: f64,
    /// ∫Q dx from the first point to `x0`.
    work: f64,
    y: f64,
    slope: f64,
    c2: f64,
    c3: f64,
}

impl Part {
    fn line(x0: f64, y: f64, slope: f64, work: f64) -> Self {
        Part {
            x0,
            work,
            y,
            slope,
            c2: 0.0,
            c3: 0.0,
        }
    }

    fn flow_and_slope(&self, x: f64) -> (f64, f64) {
        let t = x - self.x0;
        (
            self.y + t * (self.slope + t * (self.c2 + t * self.c3)),
            self.slope + t * (2.0 * self.c2 + t * 3.0 * self.c3),
        )
    }

    fn work(&self, x: f64) -> f64 {
        let t = x - self.x0;
        self.work + t * (self.y + t * (self.slope / 2.0 + t * (self.c2 / 3.0 + t * self.c3 / 4.0)))
    }
}

impl BlowerCurve {
    /// Curve through points (static rise Pa, flow m³/s at actual volume in air of 1.204 kg/m³), rise ascending.
    ///
    /// # Errors
    /// [`FlowError::BadFigure`] for fewer than two points, a figure that is not finite, a rise below zero or not
    /// above the one before, a flow below zero or above the one before, and a first flow or last rise of zero.
    ///
    /// # Examples
    /// ```
    /// use ductseam::air::Air;
    /// use ductseam::flow::BlowerCurve;
    ///
    /// let curve = BlowerCurve::new(&[(0.0, 0.6), (200.0, 0.4)])?;
    /// let law = curve.in_air(Air::standard());
    /// // Half way: 100 Pa against the flow, that is a pressure difference of −100 Pa from inlet to outlet.
    /// assert!((law.response(-100.0).flow - 0.5).abs() < 1e-6);
    /// # Ok::<(), ductseam::flow::FlowError>(())
    /// ```
    pub fn new(points: &[(f64, f64)]) -> Result<Self, FlowError> {
        check_points(points)?;
        let ((first_rise, first_flow), (last_rise, last_flow)) =
            (points[0], points[points.len() - 1]);
        let scale = first_flow / last_rise;
        let least = LEAST_STEEPNESS * scale;
        let knots: Vec<f64> = points.iter().map(|p| p.0).collect();
        let slopes = slopes(points);
        let (low, high) = (slopes[0], slopes[slopes.len() - 1]);

        let below = -low.abs().max(LEAST_BELOW * scale) - least;
        let mut parts = vec![Part::line(first_rise, first_flow, below, 0.0)];
        let mut work = 0.0;
        for (pair, slope) in points.windows(2).zip(slopes.windows(2)) {
            let h = pair[1].0 - pair[0].0;
            let secant = (pair[1].1 - pair[0].1) / h;
            let part = Part {
                x0: pair[0].0,
                work,
                y: pair[0].1 - least * (pair[0].0 - first_rise),
                slope: slope[0] - least,
                c2: (3.0 * secant - 2.0 * slope[0] - slope[1]) / h,
                c3: (slope[0] + slope[1] - 2.0 * secant) / (h * h),
            };
            work = part.work(pair[1].0);
            parts.push(part);
        }
        let beyond = -high.abs().max(last_flow / last_rise) - least;
        let y = last_flow - least * (last_rise - first_rise);
        parts.push(Part::line(last_rise, y, beyond, work));

        let mut shape = Shape {
            knots,
            parts,
            work_at_zero: 0.0,
        };
        shape.work_at_zero = shape.part(0.0).work(0.0);
        Ok(BlowerCurve {
            shape: Arc::new(shape),
        })
    }

    /// The blower at work in other air: at equal volume flow its rise goes with density.
    ///
    /// ```text
    /// rise = (ρ/ρ₀)·x,   q = Q·ρ/ρ₀
    /// ```
    /// The fan law of density; the speed is taken as the same.
    pub fn in_air(&self, air: Air) -> BlowerLaw {
        BlowerLaw {
            shape: Arc::clone(&self.shape),
            ratio: air.density / STANDARD_DENSITY,
            factor: 1.0,
        }
    }
}

/// Blower as an element of a network, from its inlet (tail) to its outlet (head).
///
/// Δp = p_tail − p_head is minus the rise, so flow grows with Δp as in any other element.
///
/// # Equation
/// ```text
/// q(Δp) = s·r·Q(−Δp/r),   r = ρ/ρ₀
/// ```
/// where `Q` the [`BlowerCurve`]; `s` the factor of [`scaled`](Self::scaled), else 1.
#[derive(Debug, Clone, PartialEq)]
pub struct BlowerLaw {
    shape: Arc<Shape>,
    ratio: f64,
    factor: f64,
}

impl BlowerLaw {
    /// Flow from inlet to outlet, m³/s at 1.204 kg/m³, and its slope, at a pressure difference, Pa. Allocates nothing.
    pub fn response(&self, dp: f64) -> Response {
        let x = -dp / self.ratio;
        let (flow, slope) = self.shape.part(x).flow_and_slope(x);
        Response {
            flow: self.factor * self.ratio * flow,
            slope: -self.factor * slope,
        }
    }

    /// Content ∫₀^Δp q dΔp, Pa·m³/s; convex, below zero for Δp below zero as long as the air runs forward.
    pub fn content(&self, dp: f64) -> f64 {
        let x = -dp / self.ratio;
        let work = self.shape.part(x).work(x) - self.shape.work_at_zero;
        -self.factor * self.ratio * self.ratio * work
    }

    /// Pressure difference at a flow, Pa: minus the rise; the inverse of [`response`](Self::response).
    ///
    /// # Accuracy
    /// The flow at the result differs from the wanted one by rounding. Where the curve is flat, the pressure itself is
    /// that much less sharp. Newton kept inside the interval, 100 steps at most.
    pub fn pressure_drop(&self, flow: f64) -> f64 {
        let wanted = flow / (self.factor * self.ratio);
        -self.ratio * self.shape.rise_at(wanted)
    }

    /// The same blower with all flows times `factor`, which must be above zero.
    pub fn scaled(&self, factor: f64) -> Self {
        BlowerLaw {
            shape: Arc::clone(&self.shape),
            ratio: self.ratio,
            factor: self.factor * factor,
        }
    }

    /// Rise of the curve's first point in this air, Pa. Below it the law is a guess.
    pub fn lowest_point_rise_pa(&self) -> f64 {
        self.ratio * self.shape.knots[0]
    }

    /// Rise of the curve's last point in this air, Pa. Above it the law is a guess.
    pub fn highest_point_rise_pa(&self) -> f64 {
        self.ratio * self.shape.knots[self.shape.knots.len() - 1]
    }
}

impl Shape {
    /// The part that holds at a rise.
    fn part(&self, x: f64) -> &Part {
        &self.parts[self.knots.partition_point(|&knot| knot <= x)]
    }

    /// Rise at a flow: in the lines outright, in a cubic by Newton kept inside its interval.
    fn rise_at(&self, flow: f64) -> f64 {
        // Flow falls from part to part; `parts[i].y` for i ≥ 1 is the flow at point i − 1.
        let i = self.parts[1..].partition_point(|part| part.y >= flow);
        let part = &self.parts[i];
        if i == 0 || i == self.knots.len() {
            return part.x0 + (flow - part.y) / part.slope;
        }
        let (mut low, mut high) = (self.knots[i - 1], self.knots[i]);
        let mut x = 0.5 * (low + high);
        for _ in 0..100 {
            let (y, slope) = part.flow_and_slope(x);
            if y > flow {
                low = x;
            } else {
                high = x;
            }
            let newton = x + (flow - y) / slope;
            let inside = newton > low && newton < high;
            let next = if inside { newton } else { 0.5 * (low + high) };
            let moved = (next - x).abs();
            x = next;
            if moved <= 1e-15 * high {
                break;
            }
        }
        x
    }
}

/// Slopes of the monotone cubic at the points; at least two points.
fn slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let n = points.len();
    let h: Vec<f64> = points.windows(2).map(|p| p[1].0 - p[0].0).collect();
    let secant: Vec<f64> = points
        .windows(2)
        .map(|p| (p[1].1 - p[0].1) / (p[1].0 - p[0].0))
        .collect();
    if n == 2 {
        return vec![secant[0]; 2];
    }
    let inner = (1..n - 1).map(|k| {
        let (before, after) = (secant[k - 1], secant[k]);
        if before * after <= 0.0 {
            return 0.0;
        }
        let (w1, w2) = (2.0 * h[k] + h[k - 1], h[k] + 2.0 * h[k - 1]);
        (w1 + w2) / (w1 / before + w2 / after)
    });
    let mut slopes = vec![end_slope(h[0], h[1], secant[0], secant[1])];
    slopes.extend(inner);
    slopes.push(end_slope(h[n - 2], h[n - 3], secant[n - 2], secant[n - 3]));
    slopes
}

/// Three-point slope at an end, `near` the secant beside it, held to keep the shape.
fn end_slope(h_near: f64, h_far: f64, near: f64, far: f64) -> f64 {
    let slope = ((2.0 * h_near + h_far) * near - h_near * far) / (h_near + h_far);
    if slope * near <= 0.0 {
        0.0
    } else if near * far <= 0.0 && slope.abs() > 3.0 * near.abs() {
        3.0 * near
    } else {
        slope
    }
}

fn check_points(points: &[(f64, f64)]) -> Result<(), FlowError> {
    if points.len() < 2 {
        return Err(FlowError::BadFigure {
            name: NAME.to_owned(),
            needs: "at least two points",
            found: points.len().to_string(),
        });
    }
    let (mut rise_before, mut flow_before) = (f64::NEG_INFINITY, f64::INFINITY);
    for &(rise, flow) in points {
        let rise_fine = rise.is_finite() && rise >= 0.0 && rise > rise_before;
        check(
            NAME,
            rise,
            "rises not below zero, each above the one before",
            rise_fine,
        )?;
        let flow_fine = flow.is_finite() && flow >= 0.0 && flow <= flow_before;
        check(
            NAME,
            flow,
            "flows not below zero, none above the one before",
            flow_fine,
        )?;
        (rise_before, flow_before) = (rise, flow);
    }
    let first = points[0].1;
    check(
        NAME,
        first,
        "a flow above zero at its first point",
        first > 0.0,
    )
}

#[cfg(test)]
#[path = "blower_tests.rs"]
mod tests;
