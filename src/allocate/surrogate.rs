//! A cheap model of the readings near one point: what steers draws and chains between solves of the true one.

use super::case::Case;
use super::problem::{Problem, Rows};
use super::readout::{Disturbance, Readings, Readout};
use crate::math::exp;

/// Largest change of ln q25 that is followed; beyond it the model would say nothing anyway.
const FARTHEST: f64 = 40.0;

/// Readings as plain sums over seams, exact in value and slope at one point.
///
/// # Equation
/// ```text
/// h(λ, n) ≈ h₀ + Σᵢ ∂h/∂λᵢ·(exp(λᵢ − λᵢ₀) − 1) + Σᵢ ∂h/∂nᵢ·(nᵢ − nᵢ₀) + ∂h/∂d·d
/// ```
/// With pressures that do not move, leaks add up just so; what moves them is taken to first order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Surrogate {
    rows: Vec<Row>,
}

#[derive(Debug, Clone)]
struct Row {
    value: f64,
    /// (seam, λ₀, n₀, ∂h/∂λ, ∂h/∂n) of the seams that count.
    seams: Vec<(u32, f64, f64, f64, f64)>,
    house: f64,
    tap: f64,
}

/// What the last reads left behind.
#[derive(Debug, Clone)]
pub(crate) struct SurrogateWork {
    /// exp(λ − λ₀) of the seams that count, row by row.
    grown: Vec<Vec<f64>>,
    /// Factor on each reading.
    pub factor: Vec<f64>,
    /// Addition to each reading.
    pub addition: Vec<f64>,
}

impl SurrogateWork {
    /// For this many readings.
    pub(crate) fn new(readings: usize) -> Self {
        SurrogateWork {
            grown: vec![Vec::new(); readings],
            factor: vec![1.0; readings],
            addition: vec![0.0; readings],
        }
    }
}

impl Surrogate {
    /// Fits to a problem at the point where `rows` and `work` stand, values and all.
    pub(crate) fn at<R: Readout>(
        problem: &Problem<'_, R>,
        rows: &mut Rows,
        work: &mut R::Work,
    ) -> Self {
        let n = problem.prior.n_seams();
        let fitted = (0..problem.readings.len())
            .map(|k| {
                let from = problem.readings[k].stage * n;
                let Rows {
                    ln_q25,
                    n: exponents,
                    d_ln_q25,
                    d_n,
                    readings,
                    ..
                } = rows;
                let (l, e) = (&ln_q25[from..from + n], &exponents[from..from + n]);
                problem.readout.slopes(k, l, e, work, d_ln_q25, d_n);
                Row {
                    value: readings[k].value,
                    seams: (0..n)
                        .filter(|&i| d_ln_q25[i] != 0.0 || d_n[i] != 0.0)
                        .map(|i| (i as u32, l[i], e[i], d_ln_q25[i], d_n[i]))
                        .collect(),
                    house: 0.0,
                    tap: 0.0,
                }
            })
            .collect();
        Surrogate { rows: fitted }
    }

    /// Slope of each reading to each seam's flow at 25 Pa over the reading's error: one list a seam.
    pub(crate) fn effects<R: Readout>(&self, problem: &Problem<'_, R>) -> Vec<Vec<f64>> {
        let mut found = vec![vec![0.0; self.rows.len()]; problem.prior.n_seams()];
        for (k, row) in self.rows.iter().enumerate() {
            for &(i, l, _, d_l, _) in &row.seams {
                found[i as usize][k] = d_l / exp(l) / problem.readings[k].sigma;
            }
        }
        found
    }

    /// Adds how readings answer to disturbances, by differences of one standard deviation at `x`.
    pub(crate) fn add_disturbances<R: Readout>(
        &mut self,
        problem: &Problem<'_, R>,
        x: &[f64],
        case: Case,
        work: &mut R::Work,
    ) {
        let mut rows = Rows::new(problem.prior, problem.readings.len());
        let none = vec![Disturbance::default(); problem.readings.len()];
        let mut differ = |pick: fn(&Disturbance) -> Disturbance| -> Option<Vec<f64>> {
            let pushed: Vec<Disturbance> = problem.disturbance_sd.iter().map(pick).collect();
            if pushed == none {
                return None;
            }
            let mut sides = [Vec::new(), Vec::new()];
            for (side, sign) in sides.iter_mut().zip([1.0, -1.0]) {
                let pushed: Vec<Disturbance> = pushed
                    .iter()
                    .map(|d| Disturbance {
                        house_pa: sign * d.house_pa,
                        tap_pa: sign * d.tap_pa,
                    })
                    .collect();
                if !problem.values(x, case, &pushed, &mut rows, work) {
                    return None;
                }
                *side = rows.readings.iter().map(|r| r.value).collect();
            }
            Some(
                sides[0]
                    .iter()
                    .zip(&sides[1])
                    .map(|(a, b)| 0.5 * (a - b))
                    .collect(),
            )
        };
        let house = differ(|d| Disturbance {
            house_pa: d.house_pa,
            tap_pa: 0.0,
        });
        let tap = differ(|d| Disturbance {
            house_pa: 0.0,
            tap_pa: d.tap_pa,
        });
        let over = |change: &Option<Vec<f64>>, k: usize, sd: f64| {
            change
                .as_ref()
                .map_or(0.0, |c| if sd > 0.0 { c[k] / sd } else { 0.0 })
        };
        for (k, row) in self.rows.iter_mut().enumerate() {
            row.house = over(&house, k, problem.disturbance_sd[k].house_pa);
            row.tap = over(&tap, k, problem.disturbance_sd[k].tap_pa);
        }
    }

    /// Slopes of reading k to house and tap pressure.
    pub(crate) fn disturbance_slopes(&self, k: usize) -> (f64, f64) {
        (self.rows[k].house, self.rows[k].tap)
    }

    /// Takes over how another one's readings answer to disturbances, in proportion to the readings.
    pub(crate) fn take_disturbances(&mut self, from: &Surrogate) {
        for (row, other) in self.rows.iter_mut().zip(&from.rows) {
            let factor = row.value / other.value;
            if factor.is_finite() && factor > 0.0 {
                row.house = other.house * factor;
                row.tap = other.tap * factor;
            }
        }
    }
}

impl Readout for &Surrogate {
    type Work = SurrogateWork;

    fn work(&self) -> SurrogateWork {
        SurrogateWork::new(self.rows.len())
    }

    fn restart(&self, work: &mut SurrogateWork) {
        work.factor.fill(1.0);
        work.addition.fill(0.0);
    }

    fn keep_start(&mut self, _: &SurrogateWork) {}

    fn read(
        &self,
        setup: usize,
        ln_q25: &[f64],
        n: &[f64],
        disturbance: Disturbance,
        work: &mut SurrogateWork,
    ) -> Readings {
        let row = &self.rows[setup];
        let mut value = row.value + row.house * disturbance.house_pa + row.tap * disturbance.tap_pa;
        work.grown[setup].resize(row.seams.len(), 1.0);
        for (grown, &(i, l0, n0, d_l, d_n)) in work.grown[setup].iter_mut().zip(&row.seams) {
            let i = i as usize;
            *grown = exp((ln_q25[i] - l0).min(FARTHEST));
            value += d_l * (*grown - 1.0) + d_n * (n[i] - n0);
        }
        let value = work.factor[setup] * value + work.addition[setup];
        Readings {
            value,
            settled: value.is_finite(),
            ..Readings::default()
        }
    }

    fn slopes(
        &self,
        setup: usize,
        _: &[f64],
        _: &[f64],
        work: &mut SurrogateWork,
        d_ln_q25: &mut [f64],
        d_n: &mut [f64],
    ) {
        d_ln_q25.fill(0.0);
        d_n.fill(0.0);
        let row = &self.rows[setup];
        for (grown, &(i, _, _, d_l, d_e)) in work.grown[setup].iter().zip(&row.seams) {
            d_ln_q25[i as usize] = work.factor[setup] * d_l * grown;
            d_n[i as usize] = work.factor[setup] * d_e;
        }
    }

    fn seam_flows(&self, _: usize, _: &SurrogateWork, flows: &mut [f64]) {
        flows.fill(0.0);
    }

    fn seam_pressures(&self, _: usize, _: &SurrogateWork, pressures: &mut [f64]) {
        pressures.fill(0.0);
    }
}
