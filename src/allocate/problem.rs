//! The posterior that is drawn from: prior, readings, and the whitened rows they make.

use super::error_law::{ErrorLaw, ReadingLaw};
use super::prior::Prior;
use super::readout::{Disturbance, Readings, Readout};

/// Prior, readings and their model. Reading k is set-up k of the readout.
#[derive(Debug)]
pub struct Problem<'a, R: Readout> {
    /// Prior.
    pub prior: &'a Prior,
    /// Readings.
    pub readings: &'a [ReadingLaw],
    /// Error law (for the chance of a wrong set-up).
    pub error_law: ErrorLaw,
    /// Model of the readings.
    pub readout: R,
    /// Standard deviations of what disturbs each reading and is not in x, Pa.
    pub disturbance_sd: &'a [Disturbance],
}

/// Which readings are taken to have had a wrong set-up: bit k for reading k.
pub(crate) type WrongSet = u64;

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
    /// Seam laws.
    pub ln_q25: Vec<f64>,
    /// Exponents.
    pub n: Vec<f64>,
    d_ln_q25: Vec<f64>,
    d_n: Vec<f64>,
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
            ln_q25: vec![0.0; n_seams],
            n: vec![0.0; n_seams],
            d_ln_q25: vec![0.0; n_seams],
            d_n: vec![0.0; n_seams],
        }
    }
}

impl<R: Readout> Problem<'_, R> {
    /// Fills values of the rows at x (not their slopes). False when a solve did not settle or a value is not finite.
    pub(crate) fn values(
        &self,
        x: &[f64],
        wrong: WrongSet,
        disturbances: &[Disturbance],
        rows: &mut Rows,
        work: &mut R::Work,
    ) -> bool {
        self.values_roughly(x, wrong, disturbances, 0.0, rows, work)
    }

    /// As [`values`](Self::values), with flows only to about `part` of themselves.
    pub(crate) fn values_roughly(
        &self,
        x: &[f64],
        wrong: WrongSet,
        disturbances: &[Disturbance],
        part: f64,
        rows: &mut Rows,
        work: &mut R::Work,
    ) -> bool {
        self.prior.laws(x, &mut rows.ln_q25, &mut rows.n);
        let mut fine = true;
        for (k, law) in self.readings.iter().enumerate() {
            let read =
                self.readout
                    .read_roughly(k, &rows.ln_q25, &rows.n, disturbances[k], part, work);
            let factor = law.gauge.map_or(1.0, |(at, s)| (s * x[at]).exp());
            rows.h[k] = read.flow_m3_s * factor;
            let residual = law.residual(rows.h[k], is_wrong(wrong, k));
            rows.r[k] = residual.r;
            rows.dr_dh[k] = residual.slope;
            rows.readings[k] = read;
            fine &= read.settled && residual.r.is_finite() && residual.slope.is_finite();
        }
        fine
    }

    /// Fills slopes of the rows at the x of the last [`values`](Self::values).
    pub(crate) fn slopes(&self, x: &[f64], rows: &mut Rows, work: &mut R::Work) {
        let dim = self.prior.dim();
        for (k, law) in self.readings.iter().enumerate() {
            self.readout.slopes(
                k,
                &rows.ln_q25,
                &rows.n,
                work,
                &mut rows.d_ln_q25,
                &mut rows.d_n,
            );
            let row = &mut rows.slopes[k * dim..(k + 1) * dim];
            self.prior.pull_back(x, &rows.d_ln_q25, &rows.d_n, row);
            let factor = law.gauge.map_or(1.0, |(at, s)| (s * x[at]).exp()) * rows.dr_dh[k];
            for slope in row.iter_mut() {
                *slope *= factor;
            }
            if let Some((at, s)) = law.gauge {
                row[at] = s * rows.h[k] * rows.dr_dh[k];
            }
        }
    }

    /// ln of the prior chance of a set of wrong set-ups.
    pub(crate) fn ln_prior_chance(&self, wrong: WrongSet) -> f64 {
        let p = self.error_law.wide_chance;
        (0..self.readings.len())
            .map(|k| {
                if is_wrong(wrong, k) {
                    p.ln()
                } else {
                    (1.0 - p).ln()
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

/// Whether reading k belongs to the set.
pub(crate) fn is_wrong(wrong: WrongSet, k: usize) -> bool {
    wrong >> k & 1 == 1
}

/// Largest number of readings for which every set of wrong set-ups is looked at.
const ALL_SETS_UP_TO: usize = 4;

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
