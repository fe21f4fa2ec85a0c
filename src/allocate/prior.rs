//! What is believed of the seams before any reading: a hierarchical lognormal law in whitened coordinates.

use super::case::Open;
use super::error::AllocateError;
use crate::catalog::{HABIT_GSD, WORKMANSHIP_GSD};
use crate::math::{exp, hypot, ln, square};

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
    /// Added to the variance of the logarithm of every field-made row, its mean kept; default 0. Makes room where the
    /// shared spreads are widened.
    pub added_variance: f64,
}

impl Default for PriorKnobs {
    fn default() -> Self {
        PriorKnobs {
            workmanship_sd: ln(WORKMANSHIP_GSD),
            habit_sd: ln(HABIT_GSD),
            exponent_sd: 0.04,
            added_variance: 0.0,
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

/// What a seam is if it hangs open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenLaw {
    /// Chance before any evidence.
    pub chance: f64,
    /// Median flow at 25 Pa when open, m³/s.
    pub median_q25_m3_s: f64,
    /// Standard deviation of its logarithm.
    pub ln_sd: f64,
    /// Flow exponent when open.
    pub n: f64,
}

/// What one step of sealing leaves of the leakage of its seams.
#[derive(Debug, Clone, PartialEq)]
pub struct SealedLaw {
    /// Seams and the median part of each one's leakage that remains.
    pub seams: Vec<(usize, f64)>,
    /// Standard deviation of the logarithm of a factor that the whole step shares.
    pub shared_sd: f64,
    /// The same of each seam alone.
    pub own_sd: f64,
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
/// A seam that hangs open ([`OpenLaw`], [`Open`]) has instead
/// ```text
/// ln q25ᵢ = ln(median open) + s_open·xᵢ,     nᵢ = n_open
/// ```
/// and owes nothing to the crew. After each step of sealing ([`SealedLaw`]) a seam of that step has
/// ```text
/// ln q25ᵢ' = ln q25ᵢ + ln(remains) + s_shared·x_step + s_own·x_step,i
/// ```
/// where an open seam is taken to be put together first: it goes on from its ordinary law. Seam laws are therefore
/// kept stage by stage, stage 0 before any sealing.
///
/// Layout of x: workmanship, one habit per joint type with a field-made seam, one exponent shift per joint
/// type, one calibration per shared gauge, one offset per observer, for each step of sealing its shared term and one
/// per seam, one own term per seam.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    knobs: PriorKnobs,
    /// Joint types in alphabetical order.
    types: Vec<String>,
    n_habits: usize,
    n_gauges: usize,
    median_ln: Vec<f64>,
    own_sd: Vec<f64>,
    n: Vec<f64>,
    type_of: Vec<usize>,
    /// Position in x of the seam's habit; `None` when the seam is not field-made.
    habit_at: Vec<Option<usize>>,
    n_observers: usize,
    open: Vec<Option<OpenLaw>>,
    sealed: Vec<SealedLaw>,
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

        let shared = square(knobs.workmanship_sd) + square(knobs.habit_sd);
        let mut prior = Prior {
            knobs,
            n_habits: made.len(),
            n_gauges,
            median_ln: Vec::with_capacity(seams.len()),
            own_sd: Vec::with_capacity(seams.len()),
            n: Vec::with_capacity(seams.len()),
            type_of: Vec::with_capacity(seams.len()),
            habit_at: Vec::with_capacity(seams.len()),
            n_observers: 0,
            open: vec![None; seams.len()],
            sealed: Vec::new(),
            types,
        };
        for seam in seams {
            check_seam(seam)?;
            let added = if seam.field_made {
                knobs.added_variance
            } else {
                0.0
            };
            let s = hypot(ln(seam.gsd), added.sqrt());
            let own = s * s - if seam.field_made { shared } else { 0.0 };
            // Written so that NaN is refused too.
            if !(own > 0.0) {
                return Err(AllocateError::SpreadTooSmall {
                    seam: seam.id.clone(),
                    joint_type: seam.joint_type.clone(),
                    gsd: seam.gsd,
                    least: if seam.field_made {
                        exp(shared.sqrt())
                    } else {
                        1.0
                    },
                });
            }
            prior.median_ln.push(ln(seam.mean_q25_m3_s) - 0.5 * s * s);
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

    /// Adds what each seam is if it hangs open; `None` for those that cannot.
    ///
    /// # Panics
    /// If the list is not as long as the seams.
    #[must_use]
    pub fn with_open(mut self, open: Vec<Option<OpenLaw>>) -> Self {
        assert_eq!(open.len(), self.n_seams(), "one entry a seam");
        self.open = open;
        self
    }

    /// Adds offsets of observers.
    #[must_use]
    pub fn with_observers(mut self, n_observers: usize) -> Self {
        self.n_observers = n_observers;
        self
    }

    /// Adds steps of sealing, in the order of the work.
    #[must_use]
    pub fn with_sealing(mut self, sealed: Vec<SealedLaw>) -> Self {
        self.sealed = sealed;
        self
    }

    /// Number of stages: one more than steps of sealing.
    pub fn n_stages(&self) -> usize {
        self.sealed.len() + 1
    }

    /// What a seam is if it hangs open.
    pub fn open_law(&self, seam: usize) -> Option<&OpenLaw> {
        self.open[seam].as_ref()
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

    /// Position in x of an observer's offset.
    pub fn observer_at(&self, observer: usize) -> usize {
        1 + self.n_habits + self.types.len() + self.n_gauges + observer
    }

    /// Position in x of the shared term of a step of sealing; its seams' own terms follow.
    pub fn step_at(&self, step: usize) -> usize {
        let before = self.sealed[..step].iter().map(|s| 1 + s.seams.len());
        self.observer_at(self.n_observers) + before.sum::<usize>()
    }

    /// Position in x of a seam's own term.
    pub fn own_at(&self, seam: usize) -> usize {
        self.step_at(self.sealed.len()) + seam
    }

    /// Median of ln q25 at a stage and its whole standard deviation, for closed-form prior bands of a seam that does not
    /// hang open.
    pub fn lognormal(&self, seam: usize, stage: usize) -> (f64, f64) {
        let (constant, slopes) = self.form(seam, stage, Open::default());
        let variance: f64 = slopes.iter().map(|(_, s)| s * s).sum();
        (constant, variance.sqrt())
    }

    /// Seam laws at x with nothing open: ln q25 (m³/s) and exponents, one entry per seam, stage by stage.
    pub fn laws(&self, x: &[f64], ln_q25: &mut [f64], n: &mut [f64]) {
        self.laws_if(x, Open::default(), ln_q25, n);
    }

    /// As [`laws`](Self::laws) with some seams open.
    pub fn laws_if(&self, x: &[f64], open: Open, ln_q25: &mut [f64], n: &mut [f64]) {
        let workmanship = self.knobs.workmanship_sd * x[0];
        let n_seams = self.n_seams();
        let own = &x[self.own_at(0)..];
        for i in 0..n_seams {
            let mut value = self.median_ln[i] + self.own_sd[i] * own[i];
            if let Some(habit) = self.habit_at[i] {
                value += workmanship + self.knobs.habit_sd * x[habit];
            }
            ln_q25[i] = value;
            n[i] = self.shifted(i, x).clamp(EXPONENT_RANGE.0, EXPONENT_RANGE.1);
        }
        for (step, sealed) in self.sealed.iter().enumerate() {
            let (from, to) = (step * n_seams, (step + 1) * n_seams);
            ln_q25.copy_within(from..to, to);
            n.copy_within(from..to, to);
            let at = self.step_at(step);
            let shared = sealed.shared_sd * x[at];
            for (j, &(seam, remains)) in sealed.seams.iter().enumerate() {
                ln_q25[to + seam] += ln(remains) + shared + sealed.own_sd * x[at + 1 + j];
            }
        }
        for (seam, law) in self.laws_of(open) {
            for stage in 0..self.stages_open(seam) {
                ln_q25[stage * n_seams + seam] = ln(law.median_q25_m3_s) + law.ln_sd * own[seam];
                n[stage * n_seams + seam] = law.n;
            }
        }
    }

    /// Open seams with their laws.
    fn laws_of(&self, open: Open) -> impl Iterator<Item = (usize, &OpenLaw)> {
        open.seams()
            .filter_map(|seam| Some((seam, self.open[seam].as_ref()?)))
    }

    /// In how many stages a seam that was found open stays so: until the first step that works on it.
    pub(crate) fn stages_open(&self, seam: usize) -> usize {
        let worked_on = |s: &SealedLaw| s.seams.iter().any(|(i, _)| *i == seam);
        self.sealed
            .iter()
            .position(worked_on)
            .unwrap_or(self.sealed.len())
            + 1
    }

    /// Carries slopes in the seam laws of one stage back to slopes in x; entries of gauges and observers are set to 0.
    ///
    /// Where an exponent is held by its range its slope is 0.
    pub fn pull_back(
        &self,
        x: &[f64],
        open: Open,
        stage: usize,
        d_ln_q25: &[f64],
        d_n: &[f64],
        row: &mut [f64],
    ) {
        let first_own = self.own_at(0);
        row[..first_own].fill(0.0);
        for i in 0..self.n_seams() {
            if open.has(i)
                && let Some(law) = &self.open[i]
                && stage < self.stages_open(i)
            {
                row[first_own + i] = law.ln_sd * d_ln_q25[i];
                continue;
            }
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
        for (step, sealed) in self.sealed[..stage].iter().enumerate() {
            let at = self.step_at(step);
            for (j, &(seam, _)) in sealed.seams.iter().enumerate() {
                if open.has(seam) && stage < self.stages_open(seam) {
                    continue;
                }
                row[at] += sealed.shared_sd * d_ln_q25[seam];
                row[at + 1 + j] += sealed.own_sd * d_ln_q25[seam];
            }
        }
    }

    /// The linear form of ln q25 of a seam at a stage: constant and (position, slope) pairs.
    pub(crate) fn form(&self, seam: usize, stage: usize, open: Open) -> (f64, Vec<(usize, f64)>) {
        if open.has(seam)
            && let Some(law) = &self.open[seam]
            && stage < self.stages_open(seam)
        {
            return (
                ln(law.median_q25_m3_s),
                vec![(self.own_at(seam), law.ln_sd)],
            );
        }
        let mut constant = self.median_ln[seam];
        let mut slopes = vec![(self.own_at(seam), self.own_sd[seam])];
        if let Some(habit) = self.habit_at[seam] {
            slopes.push((0, self.knobs.workmanship_sd));
            slopes.push((habit, self.knobs.habit_sd));
        }
        for (step, sealed) in self.sealed[..stage].iter().enumerate() {
            if let Some(j) = sealed.seams.iter().position(|(i, _)| *i == seam) {
                constant += ln(sealed.seams[j].1);
                slopes.push((self.step_at(step), sealed.shared_sd));
                slopes.push((self.step_at(step) + 1 + j, sealed.own_sd));
            }
        }
        (constant, slopes)
    }

    /// Nominal exponent of a seam.
    pub(crate) fn nominal_n(&self, seam: usize, stage: usize, open: Open) -> f64 {
        match &self.open[seam] {
            Some(law) if open.has(seam) && stage < self.stages_open(seam) => law.n,
            _ => self.n[seam],
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
#[path = "prior_tests.rs"]
mod tests;
