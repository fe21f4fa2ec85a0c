//! One house's part: ln of its likelihood given the population, and the slope of that.

use nalgebra::{Cholesky, DMatrix, DVector};
use rand::RngExt;
use rand_pcg::Pcg64;

use super::climb::Theta;
use crate::allocate::{LookLaw, Sight};
use crate::batch::HouseEvidence;
use crate::math::{StandardNormal, exp, ln, ln_1p, square};

/// Pairs of draws for the moments of a house's readings.
const PAIRS: usize = 16;
/// Standard deviation of ln of a reading that speaks of something else: a factor of two, as for wrong set-ups.
const WIDE_SD: f64 = std::f64::consts::LN_2;

/// A house's part of the climb.
pub(super) struct Term {
    /// ln of its likelihood.
    pub ln_z: f64,
    /// Slopes of that in the population's parameters it depends on: position, slope.
    pub score: Vec<(usize, f64)>,
}

/// A house with its latent coordinates laid out, all standard normal before any evidence: workmanship, a habit a row, the
/// own spread of a sum a cell, an offset an observer.
struct Laid<'a> {
    house: &'a HouseEvidence,
    /// Rows of the population that the house's habits belong to.
    rows: Vec<usize>,
    dim: usize,
    /// ln of each cell's level over its mean; last what hangs open, where that is supposed.
    cells: Vec<Form>,
    /// Of each reading: cells that take part, and their flows at their means.
    flows: Vec<Vec<(usize, f64)>>,
    looks: Vec<(LookLaw, Form)>,
}

/// A linear form in the latent coordinates.
struct Form {
    constant: f64,
    slopes: Vec<(usize, f64)>,
}

impl Form {
    fn away(&self, x: &DVector<f64>) -> f64 {
        self.slopes.iter().map(|(i, s)| s * x[*i]).sum()
    }
}

/// What a house says of the population. `index` chooses its draws.
pub(super) fn term(house: &HouseEvidence, theta: &Theta, index: usize) -> Option<Term> {
    let laid = Laid::new(house, theta, false);
    let sure = |chance: f64| chance.clamp(0.0, 1.0 - 1e-9);
    let (wrong, open) = (sure(house.wrong), sure(house.open.chance));
    let moments = laid.moments(theta.seed, index);
    let mut cases = vec![(ln_1p(-wrong) + ln_1p(-open), laid.after(&moments, false)?)];
    // Without a reading nothing else can explain it.
    if !house.readings.is_empty() {
        if wrong > 0.0 {
            cases.push((ln(wrong), laid.after(&moments, true)?));
        }
        if open > 0.0 {
            let laid = Laid::new(house, theta, true);
            let moments = laid.moments(theta.seed, index);
            cases.push((ln_1p(-wrong) + ln(open), laid.after(&moments, false)?));
        }
    }
    Some(laid.term(theta, &cases))
}

/// First and second moments of the readings and the latent coordinates before any evidence.
struct Moments {
    /// Mean of ln of each reading's flow.
    mean: DVector<f64>,
    /// Covariance of ln flow (row) and coordinates (column).
    with: DMatrix<f64>,
    /// Covariance of what of ln flow is no linear form of the coordinates.
    rest: DMatrix<f64>,
}

/// What is believed of the coordinates after the evidence, and ln of the chance of the evidence.
struct After {
    ln_z: f64,
    mean: DVector<f64>,
    variance: DVector<f64>,
}

impl<'a> Laid<'a> {
    /// `open`: something hangs open, and every reading passes it.
    fn new(house: &'a HouseEvidence, theta: &Theta, open: bool) -> Self {
        let row_of: Vec<usize> = house.cells.iter().map(|cell| theta.row_of(cell)).collect();
        let mut rows = row_of.clone();
        rows.sort_unstable();
        rows.dedup();
        let habit = |row: usize| 1 + rows.binary_search(&row).unwrap_or(0);
        let mut dim = 1 + rows.len();
        let (mut own_at, mut cells) = (Vec::new(), Vec::new());
        // What all seams of a cell owe to their crew.
        let owed = |cell: usize| {
            let row = row_of[cell];
            let mut slopes = vec![(habit(row), theta.habit_sd(row))];
            if house.cells[cell].field_made {
                slopes.push((0, theta.workmanship_sd()));
            }
            slopes
        };
        for (at, cell) in house.cells.iter().enumerate() {
            let mut slopes = owed(at);
            own_at.push(dim);
            if cell.own_sd > 0.0 {
                slopes.push((dim, cell.own_sd));
                dim += 1;
            }
            cells.push(Form {
                constant: theta.shift(row_of[at]) - 0.5 * square(cell.own_sd),
                slopes,
            });
        }
        let look = |seen: &crate::batch::SeamSeen| {
            let mut slopes = owed(seen.cell);
            if house.cells[seen.cell].own_sd > 0.0 {
                slopes.push((own_at[seen.cell], seen.tie));
            }
            if let Some((observer, sd)) = seen.observer {
                slopes.push((dim + observer, sd));
            }
            let sight = match (seen.lower, seen.upper) {
                (Some(lo), Some(hi)) if hi <= lo => Sight::Gap(lo),
                (lo, hi) => {
                    Sight::Between(lo.unwrap_or(f64::NEG_INFINITY), hi.unwrap_or(f64::INFINITY))
                }
            };
            let law = LookLaw {
                seam: 0,
                stage: 0,
                sight,
                sd: seen.sd,
                observer: None,
                ln_pressure: 0.0,
                ln_amount: 0.0,
            };
            let constant = seen.ln_median + theta.shift(row_of[seen.cell]);
            (law, Form { constant, slopes })
        };
        let looks: Vec<_> = house.looks.iter().map(look).collect();
        let observers = house.looks.iter().filter_map(|seen| seen.observer);
        dim += observers.map(|(at, _)| at + 1).max().unwrap_or(0);
        let mut flows: Vec<Vec<(usize, f64)>> = house
            .readings
            .iter()
            .map(|read| read.flows.clone())
            .collect();
        if open {
            flows
                .iter_mut()
                .for_each(|flows| flows.push((cells.len(), 1.0)));
            cells.push(Form {
                constant: house.open.ln_flow,
                slopes: vec![(dim, house.open.sd)],
            });
            dim += 1;
        }
        Laid {
            house,
            rows,
            dim,
            cells,
            flows,
            looks,
        }
    }

    /// Moments of ln Σ a·exp(form) by pairs of draws ±x, with the second-order expansion as control: what is drawn is only
    /// the remainder of fourth order. The covariance with the coordinates is E[softmax]-weighted slopes (Stein's identity).
    fn moments(&self, seed: u64, index: usize) -> Moments {
        let n = self.flows.len();
        let mut random = Pcg64::new(u128::from(seed) << 64 | 0x5eed, index as u128);
        // Of each reading: flows of its cells where all coordinates are 0, their sum, their parts.
        let still: Vec<(f64, Vec<f64>)> = self
            .flows
            .iter()
            .map(|read| {
                let flows: Vec<f64> = read
                    .iter()
                    .map(|(cell, a)| a * exp(self.cells[*cell].constant))
                    .collect();
                let sum: f64 = flows.iter().sum();
                (ln(sum), flows.iter().map(|flow| flow / sum).collect())
            })
            .collect();
        let mut parts: Vec<Vec<f64>> = self
            .flows
            .iter()
            .map(|read| vec![0.0; read.len()])
            .collect();
        let mut draws: Vec<(DVector<f64>, Vec<f64>)> = Vec::with_capacity(2 * PAIRS);
        let mut remainder = vec![0.0; n];
        let mut away = vec![0.0; self.cells.len()];
        for _ in 0..PAIRS {
            let x = DVector::from_fn(self.dim, |_, _| random.sample::<f64, _>(StandardNormal));
            for sign in [1.0, -1.0] {
                let x = sign * &x;
                for (away, form) in away.iter_mut().zip(&self.cells) {
                    *away = form.away(&x);
                }
                let mut values = Vec::with_capacity(n);
                for (k, read) in self.flows.iter().enumerate() {
                    let (ln_still, p0) = &still[k];
                    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
                    for ((cell, _), p) in read.iter().zip(p0) {
                        let d = away[*cell];
                        sum += p * exp(d);
                        first += p * d;
                        second += p * d * d;
                    }
                    for (((cell, _), p), part) in read.iter().zip(p0).zip(&mut parts[k]) {
                        *part += p * exp(away[*cell]) / sum / (2 * PAIRS) as f64;
                    }
                    let value = ln(sum);
                    remainder[k] +=
                        (value - first - 0.5 * (second - first * first)) / (2 * PAIRS) as f64;
                    values.push(ln_still + value);
                }
                draws.push((x, values));
            }
        }
        let mut moments = Moments {
            mean: DVector::zeros(n),
            with: DMatrix::zeros(n, self.dim),
            rest: DMatrix::zeros(n, n),
        };
        for (k, read) in self.flows.iter().enumerate() {
            let (ln_still, p0) = &still[k];
            let mut slope = vec![0.0; self.dim];
            let mut spread = 0.0;
            for ((cell, _), p) in read.iter().zip(p0) {
                for (i, s) in &self.cells[*cell].slopes {
                    slope[*i] += p * s;
                    spread += p * s * s;
                }
            }
            let common: f64 = slope.iter().map(|s| s * s).sum();
            moments.mean[k] = ln_still + 0.5 * (spread - common) + remainder[k];
            for ((cell, _), part) in read.iter().zip(&parts[k]) {
                for (i, s) in &self.cells[*cell].slopes {
                    moments.with[(k, *i)] += part * s;
                }
            }
        }
        for (x, values) in &draws {
            let linear = &moments.with * x;
            let left = DVector::from_fn(n, |k, _| values[k] - moments.mean[k] - linear[k]);
            moments.rest += &left * left.transpose() / draws.len() as f64;
        }
        moments
    }

    /// The coordinates after readings (a linear update, exact in first and second moments before them) and looks (each by
    /// its exact moments in turn). `None` where figures are not finite.
    fn after(&self, moments: &Moments, wide: bool) -> Option<After> {
        let n = self.house.readings.len();
        let mut whole = &moments.with * moments.with.transpose() + &moments.rest;
        for (k, read) in self.house.readings.iter().enumerate() {
            whole[(k, k)] += square(read.sd) + if wide { square(WIDE_SD) } else { 0.0 };
        }
        let factor = Cholesky::new(whole)?;
        let off = DVector::from_fn(n, |k, _| self.house.readings[k].ln_flow - moments.mean[k]);
        let pull = factor.solve(&off);
        let mut ln_z = -0.5 * off.dot(&pull);
        let lower = factor.l_dirty();
        for k in 0..n {
            ln_z -= ln(lower[(k, k)]);
        }
        let mut mean = moments.with.transpose() * pull;
        let mut covariance = DMatrix::identity(self.dim, self.dim)
            - moments.with.transpose() * factor.solve(&moments.with);
        for (law, form) in &self.looks {
            let mut with = DVector::zeros(self.dim);
            for (i, s) in &form.slopes {
                with.axpy(*s, &covariance.column(*i), 1.0);
            }
            let variance = form.away(&with);
            if variance.is_nan() || variance <= 0.0 {
                continue;
            }
            let u = form.constant + form.away(&mean);
            let (ln_chance, seen, left) = law.moments(u, variance);
            ln_z += ln_chance;
            mean.axpy((seen - u) / variance, &with, 1.0);
            covariance.ger(-(variance - left) / square(variance), &with, &with, 1.0);
        }
        let variance = covariance.diagonal();
        let sound = ln_z.is_finite() && mean.iter().chain(variance.iter()).all(|x| x.is_finite());
        sound.then_some(After {
            ln_z,
            mean,
            variance,
        })
    }

    fn term(&self, theta: &Theta, cases: &[(f64, After)]) -> Term {
        let most = cases
            .iter()
            .map(|(ln_chance, case)| ln_chance + case.ln_z)
            .fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = cases
            .iter()
            .map(|(ln_chance, case)| exp(ln_chance + case.ln_z - most))
            .collect();
        let sum: f64 = weights.iter().sum();
        let over = |pick: &dyn Fn(&After) -> f64| -> f64 {
            let both = weights.iter().zip(cases);
            both.map(|(weight, (_, case))| weight * pick(case))
                .sum::<f64>()
                / sum
        };
        let first = |i: usize| over(&|case| case.mean[i]);
        let second = |i: usize| over(&|case| square(case.mean[i]) + case.variance[i]);
        let mut score = vec![(Theta::WORKMANSHIP, second(0) - 1.0)];
        for (i, &row) in self.rows.iter().enumerate() {
            if let Some((shift, spread)) = theta.places(row) {
                score.push((shift, first(1 + i) / theta.habit_sd(row)));
                if theta.learns_spread(row) {
                    score.push((spread, second(1 + i) - 1.0));
                }
            }
        }
        Term {
            ln_z: most + ln(sum),
            score,
        }
    }
}
