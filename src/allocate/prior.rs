//! What is believed of the seams before any reading: a hierarchical lognormal law in whitened coordinates.

use super::error::AllocateError;
use crate::catalog::{HABIT_GSD, WORKMANSHIP_GSD};

/// Smallest and largest flow exponent of a leak: an orifice and a laminar crack (flow theory).
pub const EXPONENT_RANGE: (f64, f64) = (0.5, 1.0);

/// Spreads shared by many seams. All are engineering estimates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PriorKnobs {
    /// Standard deviation of the logarithm of the whole system's workmanship factor; default ln 1.7.
    pub workmanship_sd: f64,
    /// Standard deviation of the logarithm of the crew's factor with one joint type; default ln 1.3.
    pub habit_sd: f64,
    /// Standard deviation of the exponent shift of one joint type; default 0.04.
    pub exponent_sd: f64,
}

impl Default for PriorKnobs {
    fn default() -> Self {
        PriorKnobs {
            workmanship_sd: WORKMANSHIP_GSD.ln(),
            habit_sd: HABIT_GSD.ln(),
            exponent_sd: 0.04,
        }
    }
}

/// What the prior needs to know of one seam.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamPrior {
    /// Readable id, for messages.
    pub id: String,
    /// Joint type id; seams of one type share a habit factor and an exponent shift.
    pub joint_type: String,
    /// Arithmetic mean of the flow at 25 Pa, m³/s.
    pub mean_q25_m3_s: f64,
    /// Whole geometric standard deviation.
    pub gsd: f64,
    /// Flow exponent.
    pub n: f64,
    /// Whether it shares the workmanship and habit factors.
    pub field_made: bool,
}

/// The prior in whitened coordinates x ~ N(0, I).
///
/// # Equation
/// ```text
/// ln q25ᵢ = mᵢ + fᵢ·(s_w·x_w + s_t·x_habit(i)) + s_e,i·x_i,     mᵢ = ln(meanᵢ) − sᵢ²/2,   sᵢ = ln gsdᵢ
/// s_e,i²  = sᵢ² − fᵢ·(s_w² + s_t²) > 0
/// nᵢ      = clamp(nᵢ + s_n·x_type(i), 0.5, 1)
/// ```
/// `fᵢ` 1 for field-made seams, else 0. The covariance is diagonal plus low rank and is never formed.
///
/// Layout of x: workmanship, one habit per joint type with a field-made seam, one exponent shift per joint
/// type, one calibration per shared gauge, one own term per seam.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    knobs: PriorKnobs,
    /// Joint types in alphabetical order.
    types: Vec<String>,
    n_habits: usize,
    n_gauges: usize,
    median_ln: Vec<f64>,
    whole_sd: Vec<f64>,
    own_sd: Vec<f64>,
    n: Vec<f64>,
    type_of: Vec<usize>,
    /// Position in x of the seam's habit; `None` when the seam is not field-made.
    habit_at: Vec<Option<usize>>,
}

impl Prior {
    /// Builds the prior of these seams, with room for `n_gauges` shared gauge calibrations.
    ///
    /// # Errors
    /// [`AllocateError::SpreadTooSmall`] where a spread leaves nothing for the seam itself,
    /// [`AllocateError::BadSeam`] for a mean that is not positive or an exponent out of range.
    pub fn new(
        seams: &[SeamPrior],
        knobs: PriorKnobs,
        n_gauges: usize,
    ) -> Result<Self, AllocateError> {
        let mut types: Vec<String> = seams.iter().map(|s| s.joint_type.clone()).collect();
        types.sort();
        types.dedup();
        let mut made: Vec<&str> = seams
            .iter()
            .filter(|s| s.field_made)
            .map(|s| s.joint_type.as_str())
            .collect();
        made.sort_unstable();
        made.dedup();

        let shared = knobs.workmanship_sd.powi(2) + knobs.habit_sd.powi(2);
        let mut prior = Prior {
            knobs,
            n_habits: made.len(),
            n_gauges,
            median_ln: Vec::with_capacity(seams.len()),
            whole_sd: Vec::with_capacity(seams.len()),
            own_sd: Vec::with_capacity(seams.len()),
            n: Vec::with_capacity(seams.len()),
            type_of: Vec::with_capacity(seams.len()),
            habit_at: Vec::with_capacity(seams.len()),
            types,
        };
        for seam in seams {
            check_seam(seam)?;
            let s = seam.gsd.ln();
            let own = s * s - if seam.field_made { shared } else { 0.0 };
            // Written so that NaN is refused too.
            if !(own > 0.0) {
                return Err(AllocateError::SpreadTooSmall {
                    seam: seam.id.clone(),
                    joint_type: seam.joint_type.clone(),
                    gsd: seam.gsd,
                    least: if seam.field_made {
                        shared.sqrt().exp()
                    } else {
                        1.0
                    },
                });
            }
            prior.median_ln.push(seam.mean_q25_m3_s.ln() - 0.5 * s * s);
            prior.whole_sd.push(s);
            prior.own_sd.push(own.sqrt());
            prior.n.push(seam.n);
            let of = prior.types.binary_search(&seam.joint_type).unwrap_or(0);
            prior.type_of.push(of);
            prior.habit_at.push(if seam.field_made {
                made.binary_search(&seam.joint_type.as_str())
                    .ok()
                    .map(|h| 1 + h)
            } else {
                None
            });
        }
        Ok(prior)
    }

    /// Number of whitened coordinates.
    pub fn dim(&self) -> usize {
        self.own_at(self.n_seams())
    }

    /// Number of seams.
    pub fn n_seams(&self) -> usize {
        self.median_ln.len()
    }

    /// Joint types in the order of their exponent shifts.
    pub fn types(&self) -> &[String] {
        &self.types
    }

    /// Position in x of a joint type's exponent shift.
    pub fn exponent_at(&self, joint_type: usize) -> usize {
        1 + self.n_habits + joint_type
    }

    /// Position in x of a gauge's calibration.
    pub fn gauge_at(&self, gauge: usize) -> usize {
        1 + self.n_habits + self.types.len() + gauge
    }

    /// Position in x of a seam's own term.
    pub fn own_at(&self, seam: usize) -> usize {
        1 + self.n_habits + self.types.len() + self.n_gauges + seam
    }

    /// Median of ln q25 and its whole standard deviation, for closed-form prior bands.
    pub fn lognormal(&self, seam: usize) -> (f64, f64) {
        (self.median_ln[seam], self.whole_sd[seam])
    }

    /// Seam laws at x: ln q25 (m³/s) and exponents, one entry per seam.
    pub fn laws(&self, x: &[f64], ln_q25: &mut [f64], n: &mut [f64]) {
        let workmanship = self.knobs.workmanship_sd * x[0];
        let own = &x[self.own_at(0)..];
        for i in 0..self.n_seams() {
            let mut value = self.median_ln[i] + self.own_sd[i] * own[i];
            if let Some(habit) = self.habit_at[i] {
                value += workmanship + self.knobs.habit_sd * x[habit];
            }
            ln_q25[i] = value;
            n[i] = self.shifted(i, x).clamp(EXPONENT_RANGE.0, EXPONENT_RANGE.1);
        }
    }

    /// Carries slopes in the seam laws back to slopes in x; entries of gauges are set to 0.
    ///
    /// Where an exponent is held by its range its slope is 0.
    pub fn pull_back(&self, x: &[f64], d_ln_q25: &[f64], d_n: &[f64], row: &mut [f64]) {
        let first_own = self.own_at(0);
        row[..first_own].fill(0.0);
        for i in 0..self.n_seams() {
            row[first_own + i] = self.own_sd[i] * d_ln_q25[i];
            if let Some(habit) = self.habit_at[i] {
                row[0] += self.knobs.workmanship_sd * d_ln_q25[i];
                row[habit] += self.knobs.habit_sd * d_ln_q25[i];
            }
            let shifted = self.shifted(i, x);
            if shifted > EXPONENT_RANGE.0 && shifted < EXPONENT_RANGE.1 {
                row[self.exponent_at(self.type_of[i])] += self.knobs.exponent_sd * d_n[i];
            }
        }
    }

    fn shifted(&self, seam: usize, x: &[f64]) -> f64 {
        self.n[seam] + self.knobs.exponent_sd * x[self.exponent_at(self.type_of[seam])]
    }
}

fn check_seam(seam: &SeamPrior) -> Result<(), AllocateError> {
    let bad = |what: &'static str, found: f64| {
        Err(AllocateError::BadSeam {
            seam: seam.id.clone(),
            what,
            found,
        })
    };
    if !(seam.mean_q25_m3_s > 0.0 && seam.mean_q25_m3_s.is_finite()) {
        return bad("a positive mean leak", seam.mean_q25_m3_s);
    }
    if !(seam.n >= EXPONENT_RANGE.0 && seam.n <= EXPONENT_RANGE.1) {
        return bad("an exponent between 0.5 and 1", seam.n);
    }
    if !(seam.gsd >= 1.0 && seam.gsd.is_finite()) {
        return bad("a geometric standard deviation of at least 1", seam.gsd);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seam(joint_type: &str, gsd: f64, field_made: bool) -> SeamPrior {
        SeamPrior {
            id: "a".into(),
            joint_type: joint_type.into(),
            mean_q25_m3_s: 2e-3,
            gsd,
            n: 0.6,
            field_made,
        }
    }

    #[test]
    fn the_coordinates_add_up_to_the_whole_spread_and_the_mean() {
        let prior = Prior::new(&[seam("crimp", 3.0, true)], PriorKnobs::default(), 1).unwrap();
        let unit = |at: usize| {
            let mut x = vec![0.0; prior.dim()];
            x[at] = 1.0;
            let (mut l, mut n) = ([0.0], [0.0]);
            prior.laws(&x, &mut l, &mut n);
            l[0]
        };
        let median = (2e-3_f64).ln() - 0.5 * 3.0_f64.ln().powi(2);
        let variance: f64 = (0..prior.dim()).map(|at| (unit(at) - median).powi(2)).sum();
        assert!((variance.sqrt() - 3.0_f64.ln()).abs() < 1e-12);
    }

    #[test]
    fn a_spread_smaller_than_the_shared_part_is_refused_by_joint_type() {
        // ln² 1.7 + ln² 1.3 = 0.2816 + 0.0688: a gsd of exp(0.592) = 1.807 leaves nothing.
        let error = Prior::new(&[seam("crimp", 1.8, true)], PriorKnobs::default(), 0).unwrap_err();
        assert!(
            matches!(&error, AllocateError::SpreadTooSmall { joint_type, .. } if joint_type == "crimp")
        );
        assert!(Prior::new(&[seam("crimp", 1.82, true)], PriorKnobs::default(), 0).is_ok());
        assert!(Prior::new(&[seam("hole", 1.2, false)], PriorKnobs::default(), 0).is_ok());
    }

    #[test]
    fn pulled_back_slopes_agree_with_finite_differences() {
        let seams = [
            seam("crimp", 2.5, true),
            seam("slip", 3.0, true),
            seam("crimp", 2.2, false),
        ];
        let prior = Prior::new(&seams, PriorKnobs::default(), 2).unwrap();
        let x: Vec<f64> = (0..prior.dim()).map(|i| 0.3 * (i as f64 - 4.0)).collect();
        // An arbitrary smooth readout: Σ aᵢ·exp(ln q25ᵢ)·2^nᵢ.
        let a = [1.0, 2.0, 3.0];
        let value = |x: &[f64]| {
            let (mut l, mut n) = ([0.0; 3], [0.0; 3]);
            prior.laws(x, &mut l, &mut n);
            (0..3).map(|i| a[i] * l[i].exp() * n[i].exp2()).sum::<f64>()
        };
        let (mut l, mut n) = ([0.0; 3], [0.0; 3]);
        prior.laws(&x, &mut l, &mut n);
        let d_l: Vec<f64> = (0..3).map(|i| a[i] * l[i].exp() * n[i].exp2()).collect();
        let d_n: Vec<f64> = d_l.iter().map(|d| d * 2.0_f64.ln()).collect();
        let mut row = vec![9.0; prior.dim()];
        prior.pull_back(&x, &d_l, &d_n, &mut row);
        for at in 0..prior.dim() {
            let step = 1e-5;
            let (mut up, mut down) = (x.clone(), x.clone());
            up[at] += step;
            down[at] -= step;
            let slope = (value(&up) - value(&down)) / (2.0 * step);
            assert!(
                (slope - row[at]).abs() < 1e-9 + 1e-6 * slope.abs(),
                "{at}: {slope} {}",
                row[at]
            );
        }
    }
}
