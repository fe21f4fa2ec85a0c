//! The climb to the best population, and the bands at its top.

use std::collections::BTreeMap;
use std::io;

use nalgebra::{Cholesky, DMatrix, DVector};

use super::Houses;
use super::house::{Term, term};
use super::population::{Estimate, Habits, RowHabit};
use crate::allocate::{PriorKnobs, map_in_order};
use crate::batch::evidence::{Cell, HouseEvidence};
use crate::catalog::{Catalog, Work};
use crate::math::{exp, ln, square};

/// Most steps of the climb; usual are eight to fifteen.
const MOST_STEPS: usize = 60;
/// The climb has settled when a step would gain less than half of this of ln posterior: no figure is then off by more than
/// a tenth of its standard deviation.
const LEAST_GAIN: f64 = 1e-2;
/// Normal 95 % quantile.
const Z95: f64 = 1.644_853_626_951_472_7;

/// What is believed of the population before any system. All are engineering estimates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beliefs {
    /// Standard deviation of ln of how far all population means lie from the catalogue's together; default ln 2.
    pub common_sd: f64,
    /// The same of one row beside the others; default ln 1.5.
    pub row_sd: f64,
    /// Standard deviation of ln of a row's spread between systems, about the usual habit; default 0.5.
    pub habit_ln_sd: f64,
    /// Standard deviation of ln of the workmanship's spread, about the usual one; default 0.5.
    pub workmanship_ln_sd: f64,
    /// Usual spreads.
    pub usual: PriorKnobs,
    /// Chooses the draws of the houses' integrals; default 1.
    pub seed: u64,
}

impl Default for Beliefs {
    fn default() -> Self {
        Beliefs {
            common_sd: std::f64::consts::LN_2,
            row_sd: ln(1.5),
            habit_ln_sd: 0.5,
            workmanship_ln_sd: 0.5,
            usual: PriorKnobs::default(),
            seed: 1,
        }
    }
}

/// Parameters of a population: ln ω, then μ and ln τ of each row.
#[derive(Clone)]
pub(super) struct Theta<'a> {
    pub seed: u64,
    rows: &'a Rows,
    field_made: Vec<bool>,
    own_habit_sd: f64,
    values: Vec<f64>,
}

/// Rows by joint type and workmanship.
type Rows = BTreeMap<(String, Work), Row>;

/// What is known of a row before the climb.
#[derive(Clone)]
struct Row {
    at: usize,
    field_made: bool,
    usual_sd: f64,
    systems: usize,
    looked: usize,
    seams: usize,
}

impl Theta<'_> {
    /// Position of ln ω.
    pub const WORKMANSHIP: usize = 0;

    /// The row of a cell; those whose figures are a sketch's own share one of two rows that are not learned.
    pub fn row_of(&self, cell: &Cell) -> usize {
        let learned = Work::from_word(&cell.work)
            .and_then(|work| self.rows.get(&(cell.joint_type.clone(), work)))
            .filter(|_| cell.from_catalogue);
        match learned {
            Some(row) => row.at,
            None => self.rows.len() + usize::from(!cell.field_made),
        }
    }

    /// Positions of μ and ln τ of a row that is learned.
    pub fn places(&self, row: usize) -> Option<(usize, usize)> {
        (row < self.rows.len()).then_some((1 + 2 * row, 2 + 2 * row))
    }

    /// Whether how much systems differ in this row is learned: for factory-made parts it stays the catalogue's spread.
    pub fn learns_spread(&self, row: usize) -> bool {
        self.field_made
            .get(row)
            .is_some_and(|field_made| *field_made)
    }

    /// μ.
    pub fn shift(&self, row: usize) -> f64 {
        self.places(row)
            .map_or(0.0, |(shift, _)| self.values[shift])
    }

    /// τ.
    pub fn habit_sd(&self, row: usize) -> f64 {
        match self.places(row) {
            Some((_, spread)) => exp(self.values[spread]),
            None if row == self.rows.len() => self.own_habit_sd,
            None => 0.0,
        }
    }

    /// ω.
    pub fn workmanship_sd(&self) -> f64 {
        exp(self.values[Self::WORKMANSHIP])
    }
}

/// Learns the habits of the crews behind these systems. `catalog` is the one that they were answered with.
///
/// # Errors
/// When a house cannot be read.
pub fn learn(houses: &mut dyn Houses, catalog: &Catalog, beliefs: &Beliefs) -> io::Result<Habits> {
    let (rows, systems) = rows(houses, catalog, beliefs)?;
    let mut theta = Theta {
        seed: beliefs.seed,
        rows: &rows,
        // In the order of their positions.
        field_made: rows.values().map(|row| row.field_made).collect(),
        own_habit_sd: beliefs.usual.habit_sd,
        values: vec![0.0; 1 + 2 * rows.len()],
    };
    let before = Before::new(&rows, beliefs);
    theta.values.clone_from(&before.centre);
    let mut here = height(houses, &theta, &before)?;
    let mut steps = 0;
    while steps < MOST_STEPS && here.gain() > LEAST_GAIN {
        steps += 1;
        let Some(step) = &here.step else {
            break;
        };
        let mut part = 1.0;
        let better = loop {
            let mut tried = theta.clone();
            for (value, change) in tried.values.iter_mut().zip(step.iter()) {
                // A spread changes by a factor of e at most in one step.
                *value += (part * change).clamp(-1.0, 1.0);
            }
            let there = height(houses, &tried, &before)?;
            // The slope is that of the exact likelihood at the moments found, so it may vanish a little beside the top.
            if there.ln_posterior > here.ln_posterior || there.gain() < 0.5 * here.gain() {
                break Some((tried, there));
            }
            part *= 0.5;
            if part < 1e-3 {
                break None;
            }
        };
        match better {
            Some((tried, there)) => (theta, here) = (tried, there),
            None => break,
        }
    }
    let settled = here.gain() <= LEAST_GAIN;
    Ok(habits(
        &theta, &here, catalog, beliefs, systems, steps, settled,
    ))
}

/// What is believed of the parameters before any system: a normal law.
struct Before {
    centre: Vec<f64>,
    precision: DMatrix<f64>,
}

impl Before {
    /// All means may lie off together, and each by itself; spreads are believed one by one.
    fn new(rows: &Rows, beliefs: &Beliefs) -> Before {
        let n = 1 + 2 * rows.len();
        let mut centre = vec![0.0; n];
        let mut precision = DMatrix::zeros(n, n);
        centre[0] = ln(beliefs.usual.workmanship_sd);
        precision[(0, 0)] = 1.0 / square(beliefs.workmanship_ln_sd);
        let (common, own) = (square(beliefs.common_sd), square(beliefs.row_sd));
        // The inverse of own·I + common·11ᵀ.
        let shared = common / (own * (own + rows.len() as f64 * common));
        for row in rows.values() {
            let (shift, spread) = (1 + 2 * row.at, 2 + 2 * row.at);
            centre[spread] = ln(row.usual_sd);
            precision[(spread, spread)] = 1.0 / square(beliefs.habit_ln_sd);
            for other in rows.values() {
                precision[(shift, 1 + 2 * other.at)] = -shared;
            }
            precision[(shift, shift)] += 1.0 / own;
        }
        Before { centre, precision }
    }
}

/// ln posterior of a population (up to a constant), its slope, and the information about it.
struct Height {
    ln_posterior: f64,
    slope: DVector<f64>,
    information: DMatrix<f64>,
    /// The step that would bring the slope to nothing.
    step: Option<DVector<f64>>,
}

impl Height {
    /// What that step would gain of ln posterior, doubled.
    fn gain(&self) -> f64 {
        let step = self.step.as_ref();
        step.map_or(f64::INFINITY, |step| step.dot(&self.slope))
    }
}

fn height(houses: &mut dyn Houses, theta: &Theta<'_>, before: &Before) -> io::Result<Height> {
    let n = theta.values.len();
    let away = DVector::from_fn(n, |i, _| theta.values[i] - before.centre[i]);
    let pull = &before.precision * &away;
    let mut found = Height {
        ln_posterior: -0.5 * away.dot(&pull),
        slope: -pull,
        information: before.precision.clone(),
        step: None,
    };
    let mut index = 0;
    houses.pass(&mut |some: Vec<HouseEvidence>| {
        let terms = map_in_order(some.len(), |i| term(&some[i], theta, index + i));
        index += some.len();
        for Term { ln_z, score } in terms.into_iter().flatten() {
            found.ln_posterior += ln_z;
            for (i, a) in &score {
                found.slope[*i] += a;
                for (j, b) in &score {
                    found.information[(*i, *j)] += a * b;
                }
            }
        }
    })?;
    found.step = Cholesky::new(found.information.clone()).map(|factor| factor.solve(&found.slope));
    Ok(found)
}

/// The rows that the houses speak of, and how many houses there are.
fn rows(
    houses: &mut dyn Houses,
    catalog: &Catalog,
    beliefs: &Beliefs,
) -> io::Result<(Rows, usize)> {
    let mut rows = Rows::new();
    let mut systems = 0;
    houses.pass(&mut |some: Vec<HouseEvidence>| {
        for house in &some {
            systems += 1;
            let mut seen: Vec<(String, Work)> = Vec::new();
            for cell in house.cells.iter().filter(|cell| cell.from_catalogue) {
                let (Some(work), Some(joint)) =
                    (Work::from_word(&cell.work), catalog.joint(&cell.joint_type))
                else {
                    continue;
                };
                let key = (cell.joint_type.clone(), work);
                let row = rows.entry(key.clone()).or_insert_with(|| Row {
                    at: 0,
                    field_made: cell.field_made,
                    usual_sd: if cell.field_made {
                        beliefs.usual.habit_sd
                    } else {
                        ln(joint.state(work).gsd)
                    },
                    systems: 0,
                    looked: 0,
                    seams: 0,
                });
                row.seams += cell.seams;
                if !seen.contains(&key) {
                    row.systems += 1;
                    seen.push(key);
                }
            }
            let mut looked: Vec<(String, Work)> = house
                .looks
                .iter()
                .map(|look| &house.cells[look.cell])
                .filter(|cell| cell.from_catalogue)
                .filter_map(|cell| Some((cell.joint_type.clone(), Work::from_word(&cell.work)?)))
                .collect();
            looked.sort_unstable();
            looked.dedup();
            for key in looked {
                if let Some(row) = rows.get_mut(&key) {
                    row.looked += 1;
                }
            }
        }
    })?;
    for (at, row) in rows.values_mut().enumerate() {
        row.at = at;
    }
    Ok((rows, systems))
}

fn habits(
    theta: &Theta<'_>,
    top: &Height,
    catalog: &Catalog,
    beliefs: &Beliefs,
    systems: usize,
    steps: usize,
    settled: bool,
) -> Habits {
    let n = theta.values.len();
    let covariance = Cholesky::new(top.information.clone())
        .map_or_else(|| DMatrix::zeros(n, n), |factor| factor.inverse());
    // A figure that is exp of a linear form in the parameters near the top.
    let estimate = |ln_best: f64, form: &[(usize, f64)]| {
        let variance: f64 = form
            .iter()
            .flat_map(|(i, a)| form.iter().map(move |(j, b)| (*i, *j, a * b)))
            .map(|(i, j, ab)| ab * covariance[(i, j)])
            .sum();
        let sd = variance.max(0.0).sqrt();
        Estimate {
            best: exp(ln_best),
            p05: exp(ln_best - Z95 * sd),
            p95: exp(ln_best + Z95 * sd),
        }
    };
    // A geometric standard deviation exp(τ): its band is that of ln τ.
    let gsd = |at: usize| {
        let of = estimate(theta.values[at], &[(at, 1.0)]);
        Estimate {
            best: exp(of.best),
            p05: exp(of.p05),
            p95: exp(of.p95),
        }
    };
    let omega2 = square(theta.workmanship_sd());
    let usual = square(beliefs.usual.workmanship_sd) + square(beliefs.usual.habit_sd);
    let rows = theta
        .rows
        .iter()
        .map(|((joint_type, work), row)| {
            let (shift, spread) = (1 + 2 * row.at, 2 + 2 * row.at);
            let tau2 = square(exp(theta.values[spread]));
            let mut form = vec![(shift, 1.0)];
            let mut ln_factor = theta.values[shift];
            let mut whole2 = tau2;
            if row.field_made {
                form.extend([(spread, tau2), (Theta::WORKMANSHIP, omega2)]);
                ln_factor = theta.values[shift] + 0.5 * (omega2 + tau2 - usual);
                let own2 = catalog
                    .joint(joint_type)
                    .map_or(0.0, |joint| square(ln(joint.state(*work).gsd)) - usual);
                whole2 = omega2 + tau2 + own2.max(0.0);
            }
            RowHabit {
                joint_type: joint_type.clone(),
                work: work.word().to_owned(),
                field_made: row.field_made,
                systems: row.systems,
                looked: row.looked,
                seams: row.seams,
                mean_factor: estimate(ln_factor, &form),
                habit_gsd: if row.field_made {
                    gsd(spread)
                } else {
                    let whole = exp(row.usual_sd);
                    Estimate {
                        best: whole,
                        p05: whole,
                        p95: whole,
                    }
                },
                whole_gsd: exp(whole2.sqrt()),
                informed: (1.0
                    - covariance[(shift, shift)]
                        / (square(beliefs.common_sd) + square(beliefs.row_sd)))
                .clamp(0.0, 1.0),
            }
        })
        .collect();
    Habits {
        systems,
        workmanship_gsd: gsd(Theta::WORKMANSHIP),
        rows,
        ln_posterior: top.ln_posterior,
        steps,
        settled,
    }
}
