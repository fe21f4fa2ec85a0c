//! Readings with their basis. A flow as read, at whatever pressure, and a flow at 25 Pa are two types; both carry which
//! leakage and which stage they speak of, and figures of different bases are never compared.

use super::series::{Fit, LEAST_RATIO, MOST_PA, Point, SeriesError, fit, pressures};
use super::student::{Freedom, t_95};
use crate::catalog::{Limit, Scope, Stage};
use crate::math::{exp, hypot, ln, powf, powi, square};
use crate::system::TEST_PRESSURE_PA;

/// Flow exponent of ducts where none was measured.
///
/// # Source
/// Convention of duct tests (ANSI/RESNET/ICC 380, from memory; a factor table for ducts, read second-hand).
pub const USUAL_DUCT_EXPONENT: f64 = 0.60;
/// Its standard deviation. Engineering estimate.
pub const USUAL_EXPONENT_SD: f64 = 0.05;
/// Pressures within this ratio are one pressure, read again. Engineering estimate.
const SAME_PRESSURE: f64 = 1.25;
/// Pressures within this of 25 Pa need no word about a conversion, Pa. Engineering estimate: what a gauge tells apart.
pub const AT_25_PA: f64 = 0.25;

/// Which leakage, and when in a building's life.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Basis {
    /// Which leakage.
    pub scope: Scope,
    /// Stage; `None` where not said.
    pub stage: Option<Stage>,
}

/// Two figures that do not speak of the same thing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MixedBasis {
    /// Different scopes.
    #[error("one speaks of {}, the other of {}", said(.0), said(.1))]
    Scopes(Scope, Scope),
    /// Different stages.
    #[error("it is for the stage {0}, the test was made at the stage {1}")]
    Stages(String, &'static str),
    /// A stage that is not said.
    #[error(
        "it is for the stage {0}, and the stage of the test is not stated: write `record: {{stage: {1}}}` in the sketch, or \
         `--stage \"{1}\"`"
    )]
    StageUnsaid(String, &'static str),
}

fn said(scope: &Scope) -> String {
    match scope {
        Scope::Total => "total leakage".to_owned(),
        Scope::Outside => "leakage to outside".to_owned(),
        side => format!("leakage of the {} side", side.words()),
    }
}

impl Basis {
    /// Whether figures of two bases may be compared.
    ///
    /// # Errors
    /// [`MixedBasis`]; an unsaid stage agrees with an unsaid one only.
    pub fn same(self, other: Basis) -> Result<(), MixedBasis> {
        if self.scope != other.scope {
            return Err(MixedBasis::Scopes(self.scope, other.scope));
        }
        match (self.stage, other.stage) {
            (a, b) if a == b => Ok(()),
            (Some(a), Some(b)) => Err(MixedBasis::Stages(a.words().to_owned(), b.words())),
            (Some(a), None) | (None, Some(a)) => {
                Err(MixedBasis::StageUnsaid(a.words().to_owned(), a.words()))
            }
            (None, None) => Ok(()),
        }
    }

    /// Whether a limit speaks of this.
    ///
    /// # Errors
    /// [`MixedBasis`].
    pub fn meets(self, limit: &Limit) -> Result<(), MixedBasis> {
        if self.scope != limit.scope {
            return Err(MixedBasis::Scopes(limit.scope, self.scope));
        }
        let words = || {
            let words: Vec<&str> = limit.stages.iter().map(|stage| stage.words()).collect();
            words.join(" or ")
        };
        match (self.stage, limit.stages.first()) {
            (_, None) => Ok(()),
            (Some(stage), Some(_)) if limit.is_for(stage) => Ok(()),
            (Some(stage), Some(_)) => Err(MixedBasis::Stages(words(), stage.words())),
            (None, Some(first)) => Err(MixedBasis::StageUnsaid(words(), first.words())),
        }
    }
}

/// A flow as read, at whatever pressure was held.
#[derive(Debug, Clone, PartialEq)]
pub struct AtPressure {
    /// Its id.
    pub id: String,
    /// What it speaks of.
    pub basis: Basis,
    /// Flow and pressure with their errors.
    pub point: Point,
    /// Part of the flow by which the instrument may be off alike at all points, one standard deviation; the rest of
    /// the flow's error is this point's own.
    pub shared_part_sd: f64,
    /// Whether only an upper bound was read.
    pub is_bound: bool,
}

impl AtPressure {
    /// The flow's own error as part of it: what it does not share with the other points.
    fn own_flow_part(&self) -> f64 {
        let part = self.point.flow_sd_m3_s / self.point.flow_m3_s;
        (part * part - square(self.shared_part_sd)).max(0.0).sqrt()
    }

    /// The pressure's error as part of the flow.
    fn pressure_part(&self, n: f64) -> f64 {
        n * self.point.pressure_sd_pa / self.point.pressure_pa
    }

    /// The same flow by a meter that reads otherwise by a factor.
    #[must_use]
    pub fn scaled(mut self, factor: f64) -> Self {
        self.point.flow_m3_s *= factor;
        self.point.flow_sd_m3_s *= factor;
        self
    }
}

/// How a flow at 25 Pa was had from what was read.
#[derive(Debug, Clone, PartialEq)]
pub enum How {
    /// One reading, moved by an assumed exponent.
    OnePoint {
        /// Pressure it was read at, Pa.
        pressure_pa: f64,
    },
    /// Readings whose pressures are too close to give an exponent, each moved by an assumed one, and their mean.
    Repeats {
        /// How many.
        count: usize,
        /// Least pressure, Pa.
        least_pa: f64,
        /// Largest pressure, Pa.
        most_pa: f64,
    },
    /// Two readings at two pressures, which give the exponent.
    TwoPoints {
        /// Larger pressure over smaller one.
        ratio: f64,
    },
    /// A fitted series.
    Series(Box<Fit>),
}

/// A flow at 25 Pa. It can only be had from readings, by the functions here.
#[derive(Debug, Clone, PartialEq)]
pub struct At25 {
    flow_m3_s: f64,
    sd_m3_s: f64,
    freedom: Freedom,
    n: f64,
    n_sd: f64,
    basis: Basis,
    is_bound: bool,
    is_at_most: bool,
    how: How,
}

impl At25 {
    /// Flow, m³/s.
    #[must_use]
    pub fn flow_m3_s(&self) -> f64 {
        self.flow_m3_s
    }

    /// One standard deviation, m³/s.
    #[must_use]
    pub fn sd_m3_s(&self) -> f64 {
        self.sd_m3_s
    }

    /// What its error rests on.
    #[must_use]
    pub fn freedom(&self) -> Freedom {
        self.freedom
    }

    /// Half-width of its 95 % band, m³/s.
    #[must_use]
    pub fn half_95_m3_s(&self) -> f64 {
        t_95(self.freedom) * self.sd_m3_s
    }

    /// Exponent, and its standard deviation.
    #[must_use]
    pub fn exponent(&self) -> (f64, f64) {
        (self.n, self.n_sd)
    }

    /// What it speaks of.
    #[must_use]
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// Whether it is an upper bound only.
    #[must_use]
    pub fn is_bound(&self) -> bool {
        self.is_bound
    }

    /// Whether the true flow is at most this, within its error: something that does not count is in it.
    #[must_use]
    pub fn is_at_most(&self) -> bool {
        self.is_at_most
    }

    /// The same as the most that can be.
    #[must_use]
    pub fn at_most(&self) -> Self {
        Self {
            is_at_most: true,
            ..self.clone()
        }
    }

    /// Less a flow that is in it and does not count, m³/s, with the error of what is left.
    #[must_use]
    pub fn less(&self, m3_s: f64, sd_m3_s: f64) -> Self {
        Self {
            flow_m3_s: self.flow_m3_s - m3_s,
            sd_m3_s,
            ..self.clone()
        }
    }

    /// How it was had.
    #[must_use]
    pub fn how(&self) -> &How {
        &self.how
    }

    /// The flow at another pressure by its own exponent, m³/s.
    #[must_use]
    pub fn flow_at(&self, pressure_pa: f64) -> f64 {
        self.flow_m3_s * powf(pressure_pa / TEST_PRESSURE_PA, self.n)
    }

    /// The same at a stage that is said elsewhere.
    #[must_use]
    pub fn at_stage(&self, stage: Option<Stage>) -> Self {
        Self {
            basis: Basis {
                stage,
                ..self.basis
            },
            ..self.clone()
        }
    }
}

/// One reading moved to 25 Pa by an assumed exponent.
///
/// # Equation
/// ```text
/// Q25 = Q (25/Δp)ⁿ;   (u_Q25/Q25)² = (u_Q/Q)² + (n u_p/Δp)² + (ln(25/Δp) u_n)²
/// ```
///
/// # Errors
/// [`SeriesError::NotPositive`] for a pressure or a flow that is not above zero.
///
/// # Source
/// Derived; the step and its exponent are common practice where 25 Pa cannot be reached.
pub fn one_point(reading: &AtPressure, n: f64, n_sd: f64) -> Result<At25, SeriesError> {
    let p = &reading.point;
    let is_good = |value: f64| value > 0.0 && value.is_finite();
    if !(is_good(p.pressure_pa) && is_good(p.flow_m3_s)) {
        return Err(SeriesError::NotPositive(1));
    }
    let ratio = TEST_PRESSURE_PA / p.pressure_pa;
    let part = hypot(
        hypot(
            p.flow_sd_m3_s / p.flow_m3_s,
            n * p.pressure_sd_pa / p.pressure_pa,
        ),
        ln(ratio) * n_sd,
    );
    let flow_m3_s = p.flow_m3_s * powf(ratio, n);
    Ok(At25 {
        flow_m3_s,
        sd_m3_s: part * flow_m3_s,
        freedom: None,
        n,
        n_sd,
        basis: reading.basis,
        is_bound: reading.is_bound,
        is_at_most: false,
        how: How::OnePoint {
            pressure_pa: p.pressure_pa,
        },
    })
}

/// Two readings at two pressures.
///
/// # Equation
/// ```text
/// n = ln(Q1/Q2)/ln(p1/p2);   u_n = √((u_Q1/Q1)² + (u_Q2/Q2)²)/ln(p1/p2)
/// ln Q25 = (1 − λ) ln Q1 + λ ln Q2,   λ = ln(25/p1)/ln(p2/p1)
/// ```
/// with the errors of the pressures carried as n·u_p/p. In ln Q25 each point's own error weighs 1 − λ or λ; what the gauge is
/// off by at both alike weighs with their sum.
///
/// # Errors
/// [`SeriesError`] for equal pressures, values not above zero, and an exponent that no set of leaks has.
///
/// # Source
/// Derived; two-point method as in ASTM E1827, from memory.
pub fn two_points(a: &AtPressure, b: &AtPressure) -> Result<At25, SeriesError> {
    for (k, reading) in [a, b].into_iter().enumerate() {
        let p = &reading.point;
        if !(p.pressure_pa > 0.0 && p.flow_m3_s > 0.0) {
            return Err(SeriesError::NotPositive(k + 1));
        }
    }
    let (p1, p2) = (&a.point, &b.point);
    let apart = ln(p2.pressure_pa / p1.pressure_pa);
    if apart.abs() < 1e-3 {
        return Err(SeriesError::EqualPressures(p1.pressure_pa));
    }
    let n = ln(p2.flow_m3_s / p1.flow_m3_s) / apart;
    let (low, high) = super::series::EXPONENT_RANGE;
    if n < 0.0 {
        return Err(SeriesError::Falls(n));
    } else if n < low {
        return Err(SeriesError::Low(n));
    } else if n > high {
        return Err(SeriesError::High(n));
    }
    let part = |p: &Point| {
        hypot(
            p.flow_sd_m3_s / p.flow_m3_s,
            n * p.pressure_sd_pa / p.pressure_pa,
        )
    };
    let (u1, u2) = (part(p1), part(p2));
    let along = ln(TEST_PRESSURE_PA / p1.pressure_pa) / apart;
    let flow_m3_s = exp((1.0 - along) * ln(p1.flow_m3_s) + along * ln(p2.flow_m3_s));
    let weights = [1.0 - along, along];
    let sd_part = hypot(
        own_part(&[a, b], &weights, n),
        shared_part(&[a, b], &weights),
    );
    Ok(At25 {
        flow_m3_s,
        sd_m3_s: sd_part * flow_m3_s,
        freedom: None,
        n,
        n_sd: hypot(u1, u2) / apart.abs(),
        basis: a.basis,
        is_bound: a.is_bound || b.is_bound,
        is_at_most: false,
        how: How::TwoPoints {
            ratio: exp(apart.abs()),
        },
    })
}

/// Readings of one set-up, brought to 25 Pa: one by an assumed exponent; two at a ratio of pressures below 2, or several at
/// about one pressure, each by the assumed exponent, and their mean; two pressures further apart by the two-point method,
/// three points or more by a fit.
///
/// A bound says less than a value: where there is a value, bounds are left out first. What the gauge may be off by at all
/// points alike, and each point's own error, weigh as they move ln Q25. A fit's error holds its scatter, or the points' own
/// errors where those are larger; its degrees of freedom follow (Welch and Satterthwaite).
///
/// # Errors
/// [`SeriesError`].
pub fn at_25(readings: &[AtPressure], n: f64, n_sd: f64) -> Result<At25, SeriesError> {
    if let Some(high) = readings.iter().find(|r| r.point.pressure_pa > MOST_PA) {
        return Err(SeriesError::Pressure(high.point.pressure_pa));
    }
    let values: Vec<&AtPressure> = readings.iter().filter(|r| !r.is_bound).collect();
    if values.is_empty() {
        return least_bound(readings, n, n_sd);
    }
    let points: Vec<Point> = values.iter().map(|reading| reading.point).collect();
    match values[..] {
        [one] => one_point(one, n, n_sd),
        _ if is_one_pressure(&points) => repeats(&values, n, n_sd),
        [_, _] if is_narrow(&points) => repeats(&values, n, n_sd),
        [a, b] => two_points(a, b),
        _ => series(&values, &points),
    }
}

/// Whether points are at one pressure, read again.
#[must_use]
pub fn is_one_pressure(points: &[Point]) -> bool {
    let (least, most) = pressures(points);
    most < SAME_PRESSURE * least
}

/// Whether two pressures are too close to give an exponent worth having.
fn is_narrow(points: &[Point]) -> bool {
    let (least, most) = pressures(points);
    most < LEAST_RATIO * least
}

fn least_bound(readings: &[AtPressure], n: f64, n_sd: f64) -> Result<At25, SeriesError> {
    let mut least: Option<At25> = None;
    for reading in readings {
        let one = one_point(reading, n, n_sd)?;
        if least
            .as_ref()
            .is_none_or(|known| one.flow_m3_s < known.flow_m3_s)
        {
            least = Some(one);
        }
    }
    least.ok_or(SeriesError::NoPoints)
}

/// What the gauge is off by alike, as part of a flow whose logarithm moves with the readings' by `weights`.
fn shared_part(readings: &[&AtPressure], weights: &[f64]) -> f64 {
    let parts = readings.iter().zip(weights);
    parts.map(|(r, w)| w * r.shared_part_sd).sum::<f64>().abs()
}

/// The points' own errors, flow and pressure, as part of such a flow.
fn own_part(readings: &[&AtPressure], weights: &[f64], n: f64) -> f64 {
    let parts = readings.iter().zip(weights);
    parts.fold(0.0_f64, |sum, (r, w)| {
        hypot(sum, w * hypot(r.own_flow_part(), r.pressure_part(n)))
    })
}

/// By how much ln Q25 of a fit of all points alike moves with each ln Q: 1/N + (x25 − x̄)(x − x̄)/Sxx; they add up to 1.
fn leverages(points: &[Point]) -> Vec<f64> {
    let count = points.len() as f64;
    let mean = points.iter().map(|p| ln(p.pressure_pa)).sum::<f64>() / count;
    let off: Vec<f64> = points.iter().map(|p| ln(p.pressure_pa) - mean).collect();
    let sxx: f64 = off.iter().map(|x| x * x).sum();
    let at = ln(TEST_PRESSURE_PA) - mean;
    off.iter().map(|x| 1.0 / count + at * x / sxx).collect()
}

fn series(readings: &[&AtPressure], points: &[Point]) -> Result<At25, SeriesError> {
    let fit = fit(points)?;
    let weights = leverages(points);
    let scatter = fit.ln_flow_se(TEST_PRESSURE_PA);
    let own = own_part(readings, &weights, fit.n);
    let part = hypot(scatter.max(own), shared_part(readings, &weights));
    // Errors that are stated rest on nothing counted here.
    let freedom = (scatter > own).then(|| fit.freedom() * powi(part / scatter, 4));
    let flow_m3_s = fit.flow(TEST_PRESSURE_PA);
    Ok(At25 {
        flow_m3_s,
        sd_m3_s: part * flow_m3_s,
        freedom,
        n: fit.n,
        n_sd: fit.n_se,
        basis: readings[0].basis,
        is_bound: false,
        is_at_most: false,
        how: How::Series(Box::new(fit)),
    })
}

/// Mean of repeats. What gauge, held pressure and exponent are off by is theirs together and does not fall with their
/// number; their scatter does, or the flows' own errors where those are larger.
fn repeats(readings: &[&AtPressure], n: f64, n_sd: f64) -> Result<At25, SeriesError> {
    let all: Vec<At25> = readings
        .iter()
        .map(|reading| one_point(reading, n, n_sd))
        .collect::<Result<_, _>>()?;
    let count = all.len() as f64;
    let flow_m3_s = all.iter().map(|one| one.flow_m3_s).sum::<f64>() / count;
    let (mut shared, mut own, mut scatter) = (0.0, 0.0_f64, 0.0);
    for (one, reading) in all.iter().zip(readings) {
        let moved = ln(TEST_PRESSURE_PA / reading.point.pressure_pa) * n_sd;
        let together = hypot(
            hypot(reading.shared_part_sd, reading.pressure_part(n)),
            moved,
        );
        shared += together * one.flow_m3_s / count;
        own = hypot(own, reading.own_flow_part() * one.flow_m3_s / count);
        scatter += square(one.flow_m3_s - flow_m3_s);
    }
    let scatter = (scatter / (count - 1.0) / count).sqrt();
    let whole = hypot(shared, scatter.max(own));
    let points: Vec<Point> = readings.iter().map(|reading| reading.point).collect();
    let (least_pa, most_pa) = pressures(&points);
    Ok(At25 {
        flow_m3_s,
        sd_m3_s: whole,
        freedom: (scatter > own.max(1e-9 * shared))
            .then(|| (count - 1.0) * powi(whole / scatter, 4)),
        how: How::Repeats {
            count: all.len(),
            least_pa,
            most_pa,
        },
        ..all[0].clone()
    })
}
