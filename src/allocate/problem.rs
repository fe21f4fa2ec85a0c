//! The posterior that is drawn from: prior, readings, and the whitened rows they make.

use super::case::{Case, WrongSet, is_wrong};
use super::error_law::{ErrorLaw, ReadingLaw};
use super::looks::Looks;
use super::prior::Prior;
use super::readout::{Disturbance, Readings, Readout};
use crate::math::{exp, ln, ln_1p};

/// Prior, evidence and its model. Reading k is set-up k of the readout.
#[derive(Debug)]
pub struct Problem<'a, R: Readout> {
    /// Prior.
    pub prior: &'a Prior,
    /// Readings.
    pub readings: &'a [ReadingLaw],
    /// Looks.
    pub looks: &'a Looks,
    /// Error law (for the chance of a wrong set-up).
    pub error_law: ErrorLaw,
    /// Model of the readings.
    pub readout: R,
    /// Standard deviations of what disturbs each reading and is not in x, Pa.
    pub disturbance_sd: &'a [Disturbance],
}

/// Residual rows at one point: values, and slopes in x when asked for.
pub(crate) struct Rows {
    /// Residuals, one per reading.
    pub r: Vec<f64>,
    /// Modelled flows with the gauge factor, m³/s.
    pub h: Vec<f64>,
    /// What the readout said.
    pub readings: Vec<Readings>,
    /// Slopes of the residuals in x, row by row, `K × D`.
    pub slopes: Vec<f64>,
    /// Slopes dr/dh of the residuals.
    pub dr_dh: Vec<f64>,
    /// Seam laws, stage by stage.
    pub ln_q25: Vec<f64>,
    /// Exponents.
    pub n: Vec<f64>,
    pub(super) d_ln_q25: Vec<f64>,
    pub(super) d_n: Vec<f64>,
}

impl Rows {
    pub(crate) fn new(prior: &Prior, n_readings: usize) -> Self {
        let n_seams = prior.n_seams();
        Rows {
            r: vec![0.0; n_readings],
            h: vec![0.0; n_readings],
            readings: vec![Readings::default(); n_readings],
            slopes: vec![0.0; n_readings * prior.dim()],
            dr_dh: vec![0.0; n_readings],
            ln_q25: vec![0.0; n_seams * prior.n_stages()],
            n: vec![0.0; n_seams * prior.n_stages()],
            d_ln_q25: vec![0.0; n_seams],
            d_n: vec![0.0; n_seams],
        }
    }
}

impl<'a, R: Readout> Problem<'a, R> {
    /// The same evidence read off another model.
    pub(crate) fn on<S: Readout>(&self, readout: S) -> Problem<'a, S> {
        Problem {
            prior: self.prior,
            readings: self.readings,
            looks: self.looks,
            error_law: self.error_law,
            readout,
            disturbance_sd: self.disturbance_sd,
        }
    }

    /// Laws of the seams at a stage, from laws of all stages.
    fn at_stage<'l>(&self, laws: &'l [f64], stage: usize) -> &'l [f64] {
        let n = self.prior.n_seams();
        &laws[stage * n..(stage + 1) * n]
    }

    /// Fills values of the rows at x (not their slopes). False when a solve did not settle or a value is not finite.
    pub(crate) fn values(
        &self,
        x: &[f64],
        case: Case,
        disturbances: &[Disturbance],
        rows: &mut Rows,
        work: &mut R::Work,
    ) -> bool {
        self.prior
            .laws_if(x, case.open, &mut rows.ln_q25, &mut rows.n);
        let mut fine = true;
        for (k, law) in self.readings.iter().enumerate() {
            let (ln_q25, n) = (
                self.at_stage(&rows.ln_q25, law.stage),
                self.at_stage(&rows.n, law.stage),
            );
            let read = self.readout.read(k, ln_q25, n, disturbances[k], work);
            let factor = law.gauge.map_or(1.0, |(at, s)| exp(s * x[at]));
            rows.h[k] = read.value * factor;
            let residual = law.residual(rows.h[k], is_wrong(case.wrong, k));
            rows.r[k] = residual.r;
            rows.dr_dh[k] = residual.slope;
            rows.readings[k] = read;
            fine &= read.settled && residual.r.is_finite() && residual.slope.is_finite();
        }
        fine
    }

    /// Fills slopes of the rows at the x of the last [`values`](Self::values).
    pub(crate) fn slopes(&self, x: &[f64], case: Case, rows: &mut Rows, work: &mut R::Work) {
        let dim = self.prior.dim();
        for (k, law) in self.readings.iter().enumerate() {
            self.readout.slopes(
                k,
                self.at_stage(&rows.ln_q25, law.stage),
                self.at_stage(&rows.n, law.stage),
                work,
                &mut rows.d_ln_q25,
                &mut rows.d_n,
            );
            let row = &mut rows.slopes[k * dim..(k + 1) * dim];
            self.prior
                .pull_back(x, case.open, law.stage, &rows.d_ln_q25, &rows.d_n, row);
            let factor = law.gauge.map_or(1.0, |(at, s)| exp(s * x[at])) * rows.dr_dh[k];
            for slope in row.iter_mut() {
                *slope *= factor;
            }
            if let Some((at, s)) = law.gauge {
                row[at] = s * rows.h[k] * rows.dr_dh[k];
            }
        }
    }

    /// ln of the prior odds that a seam hangs open.
    pub(crate) fn ln_odds(&self, seam: usize) -> f64 {
        let chance = self.prior.open_law(seam).map_or(0.0, |law| law.chance);
        ln(chance) - ln_1p(-chance)
    }

    /// ln of the prior chance of a hypothesis, up to a constant shared by all.
    pub(crate) fn ln_chance(&self, case: Case) -> f64 {
        self.ln_prior_chance(case.wrong)
            + case.open.seams().map(|s| self.ln_odds(s)).sum::<f64>()
            + self.looks.ln_claims(self.prior, case.open)
    }

    /// ln of the prior chance of a set of wrong set-ups.
    pub(crate) fn ln_prior_chance(&self, wrong: WrongSet) -> f64 {
        let p = self.error_law.wide_chance;
        (0..self.readings.len())
            .map(|k| {
                if is_wrong(wrong, k) {
                    ln(p)
                } else {
                    ln(1.0 - p)
                }
            })
            .sum()
    }

    /// Sum of what the rows leave out of the readings' chances, at the modelled flows in `rows`.
    pub(crate) fn ln_left_out(&self, wrong: WrongSet, rows: &Rows) -> f64 {
        self.readings
            .iter()
            .zip(&rows.h)
            .enumerate()
            .map(|(k, (law, &h))| law.ln_left_out(h, is_wrong(wrong, k)))
            .sum()
    }
}

/// Largest number of readings for which every set of wrong set-ups is looked at.
pub(crate) const ALL_SETS_UP_TO: usize = 4;

/// The sets of wrong set-ups that are looked at: all of them for few readings, else those with at most two.
///
/// Leaving out three and more at once changes the prior by 1.2 % of its chance at ten readings (binomial, 5 %).
pub(crate) fn wrong_sets(n_readings: usize, wide_chance: f64) -> Vec<WrongSet> {
    if !(wide_chance > 0.0) {
        return vec![0];
    }
    if n_readings <= ALL_SETS_UP_TO {
        return (0..1 << n_readings).collect();
    }
    let n = n_readings.min(WrongSet::BITS as usize);
    let mut sets = vec![0];
    sets.extend((0..n).map(|k| 1 << k));
    for a in 0..n {
        sets.extend((a + 1..n).map(|b| 1 << a | 1 << b));
    }
    sets
}
