//! What looks say of seams: smoke as an ordinal report, gaps as a measured width, claims about what hangs open.

use super::case::Open;
use super::prior::Prior;
use crate::math::{exp, ln, ln_1p, normal, square};

/// What was seen at a seam, in terms of u, the logarithm of its flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sight {
    /// u with the looker's error lies in this range: a smoke report. Bounds may be infinite.
    Between(f64, f64),
    /// ln of the flow at 25 Pa that a gap of the width seen would pass, m³/s.
    Gap(f64),
}

/// One look at one seam.
///
/// # Equation
/// ```text
/// u = ln q25ᵢ + shift + s_o·x_observer
/// smoke:  chance = Φ((hi − u)/s) − Φ((lo − u)/s)
/// gap:    density = N(ln q_gap; ln q25ᵢ, s²)
/// ```
/// `shift` turns the flow at 25 Pa into that per metre (or each) at the pressure during the look:
/// n·ln(p/25) − ln(amount), with the nominal exponent. The chance is an ordinal probit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookLaw {
    /// Seam.
    pub seam: usize,
    /// Steps of sealing done before it.
    pub stage: usize,
    /// What was seen.
    pub sight: Sight,
    /// s, the standard deviation of one look's error.
    pub sd: f64,
    /// Observer and the standard deviation of their offset.
    pub observer: Option<(usize, f64)>,
    /// ln(p/25) during the look.
    pub ln_pressure: f64,
    /// ln of metres of joint, or of the count.
    pub ln_amount: f64,
}

/// A claim that a seam hangs open, or is sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Claim {
    /// Seam.
    pub seam: usize,
    /// Steps of sealing done before it.
    pub stage: usize,
    /// Chance of the claim if the seam hangs open.
    pub if_open: f64,
    /// Chance of the claim if not.
    pub if_not: f64,
}

/// All that was seen.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Looks {
    /// Looks that speak of flow.
    pub looks: Vec<LookLaw>,
    /// Looks that speak of what hangs open.
    pub claims: Vec<Claim>,
}

impl LookLaw {
    /// u as a constant and slopes in x.
    pub(crate) fn form(&self, prior: &Prior, open: Open) -> (f64, Vec<(usize, f64)>) {
        let (mut constant, mut slopes) = prior.form(self.seam, self.stage, open);
        if let Sight::Between(..) = self.sight {
            constant +=
                prior.nominal_n(self.seam, self.stage, open) * self.ln_pressure - self.ln_amount;
        }
        if let Some((observer, sd)) = self.observer {
            slopes.push((prior.observer_at(observer), sd));
        }
        (constant, slopes)
    }

    /// u at given seam laws of all stages and x.
    pub(crate) fn u(&self, prior: &Prior, open: Open, ln_q25: &[f64], x: &[f64]) -> f64 {
        let mut u = ln_q25[self.stage * prior.n_seams() + self.seam];
        if let Sight::Between(..) = self.sight {
            u += prior.nominal_n(self.seam, self.stage, open) * self.ln_pressure - self.ln_amount;
        }
        if let Some((observer, sd)) = self.observer {
            u += sd * x[prior.observer_at(observer)];
        }
        u
    }

    /// ln of the chance (or density, without its constant) of what was seen, at u.
    pub(crate) fn ln_chance(&self, u: f64) -> f64 {
        match self.sight {
            Sight::Between(lo, hi) => ln_between((lo - u) / self.sd, (hi - u) / self.sd),
            Sight::Gap(ln_gap) => -0.5 * square((ln_gap - u) / self.sd),
        }
    }

    /// Its slope in u.
    pub(crate) fn slope(&self, u: f64) -> f64 {
        match self.sight {
            Sight::Between(lo, hi) => {
                let (a, b) = ((lo - u) / self.sd, (hi - u) / self.sd);
                let ln_z = ln_between(a, b);
                (ratio(a, ln_z) - ratio(b, ln_z)) / self.sd
            }
            Sight::Gap(ln_gap) => (ln_gap - u) / (self.sd * self.sd),
        }
    }

    /// ln of the mean chance, mean and variance of u after the look, for u ~ N(mean, variance) before it.
    pub(crate) fn moments(&self, mean: f64, variance: f64) -> (f64, f64, f64) {
        let whole = variance + self.sd * self.sd;
        let part = variance / whole;
        match self.sight {
            Sight::Gap(ln_gap) => (
                -0.5 * (square(ln_gap - mean) / whole + ln(whole / (self.sd * self.sd))),
                mean + part * (ln_gap - mean),
                variance * (1.0 - part),
            ),
            Sight::Between(lo, hi) => {
                let sd = whole.sqrt();
                let (a, b) = ((lo - mean) / sd, (hi - mean) / sd);
                let ln_z = ln_between(a, b);
                let (at_a, at_b) = (ratio(a, ln_z), ratio(b, ln_z));
                let first = at_a - at_b;
                let edge = |x: f64, r: f64| if x.is_finite() { x * r } else { 0.0 };
                let second = 1.0 + edge(a, at_a) - edge(b, at_b) - first * first;
                (
                    ln_z,
                    mean + part * sd * first,
                    variance * (1.0 - part * (1.0 - second)),
                )
            }
        }
    }
}

/// Standard normal density at x over exp(ln_z).
fn ratio(x: f64, ln_z: f64) -> f64 {
    if x.is_finite() {
        exp(-0.5 * x * x - 0.5 * ln(2.0 * std::f64::consts::PI) - ln_z)
    } else {
        0.0
    }
}

/// ln(Φ(b) − Φ(a)) for a < b, far out in either tail too.
pub(crate) fn ln_between(a: f64, b: f64) -> f64 {
    let (a, b) = if a + b > 0.0 { (-b, -a) } else { (a, b) };
    if b == f64::INFINITY {
        // Then a is −∞ too: everything.
        return 0.0;
    }
    let upper = normal::ln_cdf(b);
    if a == f64::NEG_INFINITY {
        return upper;
    }
    upper + ln_1p(-exp(normal::ln_cdf(a) - upper))
}

impl Looks {
    /// ln of the chance of all claims under a hypothesis.
    pub(crate) fn ln_claims(&self, prior: &Prior, open: Open) -> f64 {
        self.claims
            .iter()
            .map(|claim| {
                let is_open = open.has(claim.seam) && claim.stage < prior.stages_open(claim.seam);
                ln(if is_open { claim.if_open } else { claim.if_not })
            })
            .sum()
    }

    /// Whether nothing was seen.
    pub fn is_empty(&self) -> bool {
        self.looks.is_empty() && self.claims.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn look(sight: Sight) -> LookLaw {
        LookLaw {
            seam: 0,
            stage: 0,
            sight,
            sd: 0.7,
            observer: None,
            ln_pressure: 0.0,
            ln_amount: 0.0,
        }
    }

    /// Moments against plain sums over a fine grid of u.
    #[test]
    fn moments_agree_with_sums_over_a_grid() {
        let sights = [
            Sight::Between(f64::NEG_INFINITY, -8.8),
            Sight::Between(-8.8, -7.1),
            Sight::Between(-7.1, f64::INFINITY),
            Sight::Gap(-6.0),
        ];
        for sight in sights {
            let look = look(sight);
            for (mean, variance) in [(-8.0, 0.8), (-5.0, 2.0), (-12.0, 0.3)] {
                let (ln_z, m, v) = look.moments(mean, variance);
                let (mut z, mut first, mut second) = (0.0, 0.0, 0.0);
                let step = 1e-3;
                for i in -20_000..20_000 {
                    let u = mean + f64::from(i) * step;
                    let w = (look.ln_chance(u) - 0.5 * (u - mean).powi(2) / variance).exp() * step
                        / (2.0 * std::f64::consts::PI * variance).sqrt();
                    z += w;
                    first += w * u;
                    second += w * u * u;
                }
                first /= z;
                second = second / z - first * first;
                assert!(
                    (ln_z - f64::ln(z)).abs() < 1e-6,
                    "{sight:?} {ln_z} {}",
                    z.ln()
                );
                assert!((m - first).abs() < 1e-5, "{sight:?} {m} {first}");
                assert!((v - second).abs() < 1e-4 * v, "{sight:?} {v} {second}");
            }
        }
    }

    #[test]
    fn slopes_agree_with_finite_differences() {
        for sight in [
            Sight::Between(f64::NEG_INFINITY, -8.8),
            Sight::Between(-8.8, -7.1),
            Sight::Between(-7.1, f64::INFINITY),
            Sight::Gap(-6.0),
        ] {
            let look = look(sight);
            for u in [-20.0, -9.0, -8.0, -6.0, 5.0] {
                let d = (look.ln_chance(u + 1e-5) - look.ln_chance(u - 1e-5)) / 2e-5;
                assert!(
                    (look.slope(u) - d).abs() < 1e-5 * (1.0 + d.abs()),
                    "{sight:?} {u}"
                );
            }
        }
    }

    #[test]
    fn chances_of_all_reports_add_up_to_one_and_stay_finite_far_out() {
        for u in [-30.0, -8.0, 2.0_f64] {
            let ends = [f64::NEG_INFINITY, -8.8, -7.1, f64::INFINITY];
            let sum: f64 = ends
                .windows(2)
                .map(|e| look(Sight::Between(e[0], e[1])).ln_chance(u).exp())
                .sum();
            assert!((sum - 1.0).abs() < 1e-12, "{u}: {sum}");
        }
        assert!(
            look(Sight::Between(-7.1, f64::INFINITY))
                .ln_chance(-60.0)
                .is_finite()
        );
    }
}
