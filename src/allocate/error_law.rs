//! How a reading may miss the truth: the meter's error, its shared part, and the wrong set-up.

use super::error::AllocateError;
use crate::math::{exp, hypot, ln, normal, square};
use crate::system::{Measured, Relation};

/// Spread of a reading whose set-up was wrong (a mask fell off, a damper stood shut, the wrong range was read).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WideError {
    /// Adds an error of this standard deviation in the logarithm of the reading: σ_wide² = σ² + (s·y)².
    LnSd(f64),
    /// Multiplies the meter's own standard deviation.
    TimesSigma(f64),
}

/// Error law of readings.
///
/// # Equation
/// ```text
/// y = h·exp(s_g·x_g) + e,     e ~ (1−p)·N(0, σ²) + p·N(0, σ_wide²)
/// σ² = (1−c)·(rel·y)² + floor²,     s_g² = c·rel²
/// ```
/// `p` [`wide_chance`](Self::wide_chance), `c` [`gauge_shared`](Self::gauge_shared) (0 for a gauge that took one
/// reading only), `y` the value read: σ is fixed from it. A bound `below y` has the chance Φ((y−h)/σ).
///
/// All figures are engineering estimates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorLaw {
    /// Chance that a reading's set-up was wrong; default 0.05.
    pub wide_chance: f64,
    /// Spread if it was; default a logarithmic standard deviation of ln 2.
    pub wide: WideError,
    /// Part of the relative variance that readings on one gauge share (its calibration); default 0.5.
    pub gauge_shared: f64,
}

impl Default for ErrorLaw {
    fn default() -> Self {
        ErrorLaw {
            wide_chance: 0.05,
            wide: WideError::LnSd(ln(2.0)),
            gauge_shared: 0.5,
        }
    }
}

/// One reading as the sampler sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingLaw {
    /// Value or upper bound.
    pub relation: Relation,
    /// Value read, in the reading's unit as all that follows.
    pub y: f64,
    /// σ of an ordinary error, without the shared part.
    pub sigma: f64,
    /// σ if the set-up was wrong.
    pub sigma_wide: f64,
    /// Relative part of `sigma`.
    pub own_relative_sd: f64,
    /// Part of `sigma_wide` that does not hang on the value read.
    pub sigma_wide_floor: f64,
    /// Steps of sealing done before it.
    pub stage: usize,
    /// Position of the gauge's calibration in x and its standard deviation in the logarithm.
    pub gauge: Option<(usize, f64)>,
}

/// A whitened residual row of one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Value.
    pub r: f64,
    /// Slope in the modelled flow, s/m³.
    pub slope: f64,
}

impl ErrorLaw {
    /// Makes the law of one reading. `gauge` is the position in x of a shared calibration, if any.
    ///
    /// # Errors
    /// [`AllocateError::BadReading`] when no positive σ or no finite flow comes out.
    pub fn reading(
        &self,
        id: &str,
        relation: Relation,
        y: f64,
        relative_sd: f64,
        floor_sd: f64,
        gauge: Option<usize>,
    ) -> Result<ReadingLaw, AllocateError> {
        let bad = |what: &'static str, found: f64| {
            Err(AllocateError::BadReading {
                reading: id.to_owned(),
                what,
                found,
            })
        };
        if !y.is_finite() {
            return bad("a finite value", y);
        }
        let shared = self.gauge_shared_with(gauge.is_some());
        let sigma = ((1.0 - shared) * square(relative_sd * y) + square(floor_sd)).sqrt();
        if !(sigma > 0.0 && sigma.is_finite()) {
            return bad("an error above zero", sigma);
        }
        let sigma_wide = match self.wide {
            WideError::LnSd(s) => hypot(sigma, s * y),
            WideError::TimesSigma(times) => times * sigma,
        };
        let gauge = gauge.map(|at| (at, shared.sqrt() * relative_sd));
        Ok(ReadingLaw {
            relation,
            y,
            sigma,
            sigma_wide,
            own_relative_sd: (1.0 - shared).sqrt() * relative_sd,
            sigma_wide_floor: 0.0,
            stage: 0,
            gauge,
        })
    }

    /// Part of the relative variance that is shared, for a reading that shares its gauge or not.
    fn gauge_shared_with(&self, shares: bool) -> f64 {
        if shares { self.gauge_shared } else { 0.0 }
    }

    /// Checks the figures.
    ///
    /// # Errors
    /// [`AllocateError::BadSetting`].
    pub fn validate(&self) -> Result<(), AllocateError> {
        let part = |setting: &'static str, found: f64, open: bool| {
            if found >= 0.0 && (found < 1.0 || (!open && found <= 1.0)) {
                Ok(())
            } else {
                Err(AllocateError::BadSetting {
                    setting,
                    what: "a part of 1",
                    found,
                })
            }
        };
        part("wide_chance", self.wide_chance, true)?;
        part("gauge_shared", self.gauge_shared, true)?;
        let (found, least) = match self.wide {
            WideError::LnSd(s) => (s, 0.0),
            WideError::TimesSigma(t) => (t, 1.0),
        };
        if found > least && found.is_finite() {
            Ok(())
        } else {
            Err(AllocateError::BadSetting {
                setting: "wide",
                what: "a wider error than the meter's",
                found,
            })
        }
    }
}

impl ReadingLaw {
    /// The same law with the gauge's part put back into σ, for one reading looked at alone.
    pub(crate) fn whole(&self) -> ReadingLaw {
        let shared = self.gauge.map_or(0.0, |(_, s)| s * self.y);
        ReadingLaw {
            sigma: hypot(self.sigma, shared),
            sigma_wide: hypot(self.sigma_wide, shared),
            gauge: None,
            ..self.clone()
        }
    }

    /// The same law for another value read.
    ///
    /// # Errors
    /// As [`ErrorLaw::reading`].
    pub(crate) fn of_value(
        &self,
        value: f64,
        measured: &Measured,
        error_law: &ErrorLaw,
    ) -> Result<ReadingLaw, AllocateError> {
        let mut law = error_law.reading(
            &measured.id,
            measured.relation,
            value,
            self.own_relative_sd,
            measured.floor_sd,
            None,
        )?;
        if self.sigma_wide_floor > 0.0 {
            law.sigma_wide = hypot(law.sigma_wide, self.sigma_wide_floor);
        }
        Ok(law)
    }

    /// σ under a hypothesis, m³/s.
    pub fn sigma_if(&self, wide: bool) -> f64 {
        if wide { self.sigma_wide } else { self.sigma }
    }

    /// Residual row at a modelled flow `h` (gauge factor included), m³/s: a straight line in h.
    ///
    /// # Equation
    /// ```text
    /// a value:  r = (h − y)/σ
    /// a bound:  r = (h − y/2)/√((y/2)² + σ²)
    /// ```
    /// A bound's row only guides the proposal: it keeps draws near 0 … y. Its true chance Φ((y−h)/σ) comes back in
    /// full through [`ln_left_out`](Self::ln_left_out); on 0 … y the two differ by a factor of 1.65 at most.
    pub fn residual(&self, h: f64, wide: bool) -> Residual {
        let sigma = self.row_sigma(wide);
        Residual {
            r: (h - self.row_centre()) / sigma,
            slope: 1.0 / sigma,
        }
    }

    /// Modelled flow at which the row is 0, m³/s.
    pub fn row_centre(&self) -> f64 {
        match self.relation {
            Relation::Equals => self.y,
            Relation::Below => 0.5 * self.y,
        }
    }

    /// Standard deviation of the row, m³/s.
    fn row_sigma(&self, wide: bool) -> f64 {
        match self.relation {
            Relation::Equals => self.sigma_if(wide),
            Relation::Below => hypot(0.5 * self.y, self.sigma_if(wide)),
        }
    }

    /// ln of the reading's chance minus the −½r² of its row: −ln σ for a value, ln Φ((y−h)/σ) + ½r² for a bound.
    pub fn ln_left_out(&self, h: f64, wide: bool) -> f64 {
        let sigma = self.sigma_if(wide);
        match self.relation {
            Relation::Equals => -ln(sigma),
            Relation::Below => {
                let r = self.residual(h, wide).r;
                normal::ln_cdf((self.y - h) / sigma) + 0.5 * r * r
            }
        }
    }

    /// Slope of [`ln_left_out`](Self::ln_left_out) in `h`.
    pub(crate) fn left_out_slope(&self, h: f64, wide: bool) -> f64 {
        match self.relation {
            Relation::Equals => 0.0,
            Relation::Below => {
                let sigma = self.sigma_if(wide);
                let z = (self.y - h) / sigma;
                let ln_density = -0.5 * z * z - 0.5 * ln(2.0 * std::f64::consts::PI);
                let row = self.residual(h, wide);
                row.r * row.slope - exp(ln_density - normal::ln_cdf(z)) / sigma
            }
        }
    }

    /// Chances that a reading would come out at or below `y`, and above it, if the flow (gauge factor included)
    /// were `h`: the wide part counted.
    pub fn tails(&self, h: f64, wide_chance: f64) -> (f64, f64) {
        let below = |sigma: f64| normal::cdf((self.y - h) / sigma);
        let above = |sigma: f64| normal::cdf((h - self.y) / sigma);
        let mix = |f: &dyn Fn(f64) -> f64| {
            (1.0 - wide_chance) * f(self.sigma) + wide_chance * f(self.sigma_wide)
        };
        (mix(&below), mix(&above))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law(relation: Relation) -> ReadingLaw {
        ErrorLaw::default()
            .reading("a", relation, 0.1, 0.03, 0.001, None)
            .unwrap()
    }

    #[test]
    fn sigmas_follow_their_formula() {
        // √((0.03·0.1)² + 0.001²) = 0.00316228; with ln 2 of 0.1: √(1e-5 + 0.0693147²) = 0.0693868.
        let law = law(Relation::Equals);
        assert!((law.sigma - 0.003_162_277_7).abs() < 1e-9);
        assert!((law.sigma_wide - 0.069_386_8).abs() < 1e-6);
    }

    #[test]
    fn row_and_left_out_factor_make_up_the_whole_chance() {
        for (relation, h) in [
            (Relation::Equals, 0.12),
            (Relation::Below, 0.05),
            (Relation::Below, 0.3),
        ] {
            let law = law(relation);
            for wide in [false, true] {
                let r = law.residual(h, wide).r;
                let z = (0.1 - h) / law.sigma_if(wide);
                let want = match relation {
                    Relation::Equals => -0.5 * z * z - law.sigma_if(wide).ln(),
                    Relation::Below => normal::ln_cdf(z),
                };
                let got = law.ln_left_out(h, wide) - 0.5 * r * r;
                assert!((got - want).abs() < 1e-9 * (1.0 + want.abs()));
            }
        }
    }

    #[test]
    fn a_shared_gauge_splits_the_variance_without_adding_any() {
        let alone = ErrorLaw::default()
            .reading("a", Relation::Equals, 0.1, 0.03, 0.0, None)
            .unwrap();
        let shared = ErrorLaw::default()
            .reading("a", Relation::Equals, 0.1, 0.03, 0.0, Some(3))
            .unwrap();
        let (at, s) = shared.gauge.unwrap();
        assert_eq!(at, 3);
        assert!((shared.sigma.powi(2) + (0.1 * s).powi(2) - alone.sigma.powi(2)).abs() < 1e-15);
    }

    #[test]
    fn a_reading_without_error_is_refused() {
        let error = ErrorLaw::default()
            .reading("a", Relation::Equals, 0.1, 0.0, 0.0, None)
            .unwrap_err();
        assert!(matches!(error, AllocateError::BadReading { .. }));
    }
}
