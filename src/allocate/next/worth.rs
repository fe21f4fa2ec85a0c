//! What one candidate would be worth, from draws of the posterior.

use rand::RngExt;

use super::super::advice_types::{Action, CLEAR};
use super::super::draws::map_in_order;
use super::super::evidence::{disturbance_sd, smoke_law};
use super::super::looks::LookLaw;
use super::super::network_readout::{NetworkReadout, Wanted};
use super::super::readout::{Disturbance, Readout};
use super::super::run::Run;
use super::super::scratch::{Purpose, stream};
use super::Target;
use super::candidates::Offer;
use crate::math::{StandardNormal, exp, ln, ln_1p, square};
use crate::sketch::Smoke;
use crate::system::Reach;

/// A target below this is nothing, m³/s.
const LEAST_TARGET_M3_S: f64 = 1e-6;
/// A gain below this part of what the plan catches already is none (engineering estimate).
const LEAST_GAIN: f64 = 0.005;
/// Seams in reach that a plan may choose from: those with the largest flows in the mean of squares.
const CHOSEN_FROM: usize = 80;
/// A squared correlation below this over the number of draws is taken for chance: about three standard errors.
const LEAST_TOLD: f64 = 9.0;

/// Equal draws of the posterior.
pub(super) struct Draws {
    /// Number of each draw in the run.
    rows: Vec<usize>,
    /// Test flows of the seams in reach, draw by draw.
    reach_flow: Vec<Vec<f64>>,
    /// ln of the target, draw by draw: its doubt is a part of itself, and a few great leaks do not drown it.
    target: Vec<f64>,
    plan: usize,
    /// Flow caught at each draw by the plan that is best without anything new, judged by the other draws.
    caught: Vec<f64>,
}

/// What a candidate would bring.
pub(super) struct Gain {
    pub variance: f64,
    pub caught_m3_s: f64,
    /// Monte Carlo standard error of `caught_m3_s`; 0 where that is 0.
    pub caught_error_m3_s: f64,
}

impl Draws {
    /// Draws evenly over the weights.
    pub(super) fn of(
        run: &Run<'_>,
        target: Target,
        reached: Vec<usize>,
        plan: usize,
        count: usize,
    ) -> Self {
        let posterior = &run.posterior;
        let layout = posterior.layout;
        let sum: f64 = posterior.weights.iter().sum();
        let mut rows = Vec::with_capacity(count);
        let (mut at, mut reached_weight) = (0, posterior.weights.first().copied().unwrap_or(0.0));
        for j in 0..count {
            let wanted = (j as f64 + 0.5) / count as f64 * sum;
            while reached_weight < wanted && at + 1 < posterior.weights.len() {
                at += 1;
                reached_weight += posterior.weights[at];
            }
            if sum > 0.0 {
                rows.push(at);
            }
        }
        let row = |r: usize| &posterior.records[r * layout.len()..(r + 1) * layout.len()];
        let hidden: Vec<usize> = (0..layout.n_seams)
            .filter(|&i| matches!(run.system.seams[i].reach, Reach::BehindFinish | Reach::None))
            .collect();
        let target = rows
            .iter()
            .map(|&r| {
                let test = &row(r)[layout.test()..][..layout.n_seams];
                let flow: f64 = match target {
                    Target::Total => test.iter().sum(),
                    Target::Hidden => hidden.iter().map(|&i| test[i]).sum(),
                    Target::Outside => row(r)[layout.outside()..][..layout.n_seams].iter().sum(),
                };
                ln(flow.max(LEAST_TARGET_M3_S))
            })
            .collect();
        let squares = |i: usize| -> f64 {
            rows.iter()
                .map(|&r| square(row(r)[layout.test() + i].max(0.0)))
                .sum()
        };
        let mut reached: Vec<(f64, usize)> = reached.into_iter().map(|i| (squares(i), i)).collect();
        reached.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        reached.truncate(CHOSEN_FROM.max(2 * plan));
        let reached: Vec<usize> = reached.into_iter().map(|r| r.1).collect();
        let reach_flow: Vec<Vec<f64>> = rows
            .iter()
            .map(|&r| {
                let test = &row(r)[layout.test()..];
                reached.iter().map(|&i| test[i].max(0.0)).collect()
            })
            .collect();
        let mut draws = Draws {
            rows,
            reach_flow,
            target,
            plan,
            caught: Vec::new(),
        };
        let even = vec![0.0; draws.count()];
        draws.caught = draws.judge(|_| even.clone()).1;
        draws
    }

    pub(super) fn count(&self) -> usize {
        self.rows.len()
    }

    pub(super) fn caught_now(&self) -> f64 {
        self.caught.iter().sum::<f64>() / self.count().max(1) as f64
    }

    /// Mean of what more is caught and its standard error, where it stands out of its own Monte Carlo error; else 0.
    fn clear_gain(&self, caught: &[f64]) -> (f64, f64) {
        let gains: Vec<f64> = caught
            .iter()
            .zip(&self.caught)
            .map(|(c, now)| c - now)
            .collect();
        let count = gains.len().max(2) as f64;
        let mean = gains.iter().sum::<f64>() / count;
        let variance = gains.iter().map(|g| square(g - mean)).sum::<f64>() / (count - 1.0);
        let error = (variance / count).sqrt();
        let least = LEAST_GAIN * self.caught_now();
        if mean > CLEAR * error && mean > least {
            (mean, error)
        } else {
            (0.0, 0.0)
        }
    }

    /// What a plan would catch that knew everything.
    pub(super) fn caught_at_best(&self) -> f64 {
        let sum: f64 = self
            .reach_flow
            .iter()
            .map(|flows| {
                let mut sorted = flows.clone();
                sorted.sort_by(|a, b| b.total_cmp(a));
                sorted.iter().take(self.plan).sum::<f64>()
            })
            .sum();
        sum / self.count().max(1) as f64
    }

    /// Mean variance of the target that is left, and flow caught at each draw, when the outcome made up from draw s has
    /// these ln chances under every draw.
    fn judge(&self, outcome: impl Fn(usize) -> Vec<f64> + Sync + Send) -> (f64, Vec<f64>) {
        let judged = map_in_order(self.count(), |s| {
            let ln_chances = outcome(s);
            let largest = ln_chances
                .iter()
                .enumerate()
                .filter(|(j, l)| self.rows[*j] != self.rows[s] && !l.is_nan())
                .fold(f64::NEG_INFINITY, |a, (_, l)| a.max(*l));
            if largest == f64::NEG_INFINITY {
                return None;
            }
            let mut sum = 0.0;
            let mut first = 0.0;
            let mut flows = vec![0.0; self.reach_flow.first().map_or(0, Vec::len)];
            for (j, l) in ln_chances.iter().enumerate() {
                let weight = exp(l - largest);
                if self.rows[j] == self.rows[s] || !(weight > 1e-12) {
                    continue;
                }
                sum += weight;
                first += weight * self.target[j];
                for (flow, q) in flows.iter_mut().zip(&self.reach_flow[j]) {
                    *flow += weight * q;
                }
            }
            let mean = first / sum;
            let mut order: Vec<usize> = (0..flows.len()).collect();
            let plan = self.plan.min(flows.len());
            if plan > 0 && plan < flows.len() {
                order.select_nth_unstable_by(plan - 1, |&a, &b| {
                    flows[b].total_cmp(&flows[a]).then(a.cmp(&b))
                });
            }
            let caught: f64 = order[..plan].iter().map(|&i| self.reach_flow[s][i]).sum();
            let miss = self.target[s] - mean;
            Some((miss * miss, caught))
        });
        let known: Vec<f64> = judged.iter().flatten().map(|f| f.0).collect();
        let caught = judged
            .iter()
            .enumerate()
            .map(|(s, f)| f.map_or_else(|| self.caught.get(s).copied().unwrap_or(0.0), |f| f.1))
            .collect();
        (
            known.iter().sum::<f64>() / known.len().max(1) as f64,
            caught,
        )
    }

    /// As [`judge`](Self::judge) for a reading that would be `values` without error, by straight lines; `made_up` gives
    /// the reading made up from a draw and the variance of its error.
    fn judge_lines(
        &self,
        values: &[f64],
        made_up: impl Fn(usize) -> (f64, f64),
    ) -> (f64, Vec<f64>) {
        let usable: Vec<usize> = (0..self.count())
            .filter(|&j| values[j].is_finite())
            .collect();
        let readings: Vec<(f64, f64)> = usable.iter().map(|&j| made_up(j)).collect();
        let noise = readings.iter().map(|r| r.1).sum::<f64>() / readings.len().max(1) as f64;
        let seams = self.reach_flow.first().map_or(0, Vec::len);
        let mut caught = self.caught.clone();
        let (mut left, mut judged) = (0.0, 0.0);
        for half in 0..2 {
            let fitted: Vec<usize> = usable
                .iter()
                .copied()
                .filter(|&j| self.rows[j] % 2 == half)
                .collect();
            let count = fitted.len() as f64;
            if fitted.len() < 10 {
                continue;
            }
            let mean = |f: &dyn Fn(usize) -> f64| fitted.iter().map(|&j| f(j)).sum::<f64>() / count;
            let h = mean(&|j| values[j]);
            let var_h = mean(&|j| square(values[j] - h));
            // Slope of a figure in the reading, and the part of its variance that the line takes away.
            let line = |f: &dyn Fn(usize) -> f64| -> (f64, f64, f64) {
                let centre = mean(f);
                let with_h = mean(&|j| (f(j) - centre) * (values[j] - h));
                let var = mean(&|j| square(f(j) - centre));
                let told = with_h * with_h / (var * var_h);
                if !(told > LEAST_TOLD / count) {
                    return (centre, 0.0, 0.0);
                }
                let slope = with_h / (var_h + noise);
                (centre, slope, told * var_h / (var_h + noise))
            };
            let lines: Vec<(f64, f64, f64)> = (0..seams)
                .map(|i| line(&|j| self.reach_flow[j][i]))
                .collect();
            let (_, _, told) = line(&|j| self.target[j]);
            let plan = self.plan.min(seams);
            for (&s, (y, _)) in usable.iter().zip(&readings) {
                if self.rows[s] % 2 == half {
                    continue;
                }
                let expected: Vec<f64> = lines.iter().map(|l| l.0 + l.1 * (y - h)).collect();
                let known: Vec<f64> = lines.iter().map(|l| l.0).collect();
                let sealed = |by: &[f64]| -> f64 {
                    let mut order: Vec<usize> = (0..seams).collect();
                    order.sort_by(|&a, &b| by[b].total_cmp(&by[a]).then(a.cmp(&b)));
                    order[..plan].iter().map(|&i| self.reach_flow[s][i]).sum()
                };
                caught[s] += sealed(&expected) - sealed(&known);
                left += 1.0 - told;
                judged += 1.0;
            }
        }
        if judged > 0.0 {
            (self.variance() * left / judged, caught)
        } else {
            (self.variance(), caught)
        }
    }

    fn variance(&self) -> f64 {
        let count = self.count().max(1) as f64;
        let mean = self.target.iter().sum::<f64>() / count;
        self.target.iter().map(|t| square(t - mean)).sum::<f64>() / count
    }
}

/// What an offer is worth.
///
/// # Errors
/// Words, where it cannot be judged.
pub(super) fn gain(run: &Run<'_>, draws: &Draws, offer: &Offer) -> Result<Gain, String> {
    let (variance, caught) = match &offer.action {
        Action::Smoke { seams, .. } => smoke(run, draws, seams, &offer.pressures_pa),
        Action::Test {
            setup, observable, ..
        } => {
            let wanted = Wanted {
                name: offer.action.words(),
                setup,
                observable: *observable,
                stage: run.posterior.layout.stage,
            };
            test(run, draws, wanted, offer)?
        }
    };
    let whole = draws.variance();
    let (caught_m3_s, caught_error_m3_s) = draws.clear_gain(&caught);
    Ok(Gain {
        variance: if whole > 0.0 {
            (1.0 - variance / whole).clamp(0.0, 1.0)
        } else {
            0.0
        },
        caught_m3_s,
        caught_error_m3_s,
    })
}

/// Nodes and weights of the five-point Gauss-Hermite rule for a standard normal looker's offset (tables).
const OFFSETS: [(f64, f64); 5] = [
    (-2.856_970_013_872_806, 0.011_257_411_327_720_7),
    (-1.355_626_179_974_266, 0.222_075_922_005_612_6),
    (0.0, 0.533_333_333_333_333_3),
    (1.355_626_179_974_266, 0.222_075_922_005_612_6),
    (2.856_970_013_872_806, 0.011_257_411_327_720_7),
];

const REPORTS: [Smoke; 3] = [Smoke::None, Smoke::Wisp, Smoke::Strong];

fn smoke(run: &Run<'_>, draws: &Draws, seams: &[usize], pressures: &[f64]) -> (f64, Vec<f64>) {
    let layout = run.posterior.layout;
    // u at each seam under each draw, and the laws of the three reports.
    let offset = run
        .settings
        .observer_sd
        .unwrap_or(run.system.look_figures.observer_sd);
    let seen: Vec<([LookLaw; 3], Vec<f64>)> = seams
        .iter()
        .zip(pressures)
        .map(|(&seam, &pressure)| {
            let laws = REPORTS.map(|report| {
                let at = (seam, layout.stage);
                smoke_law(run.system, run.settings, at, report, None, pressure)
            });
            let prior = &run.evidence.prior;
            let u = draws
                .rows
                .iter()
                .map(|&r| {
                    let row = &run.posterior.records[r * layout.len()..];
                    let open = run.posterior.draws[r].case.open;
                    ln(row[layout.q25() + seam])
                        + prior.nominal_n(seam, layout.stage, open) * laws[0].ln_pressure
                        - laws[0].ln_amount
                })
                .collect();
            (laws, u)
        })
        .collect();
    // ln chance of each report: by node of the looker's offset, seam and draw.
    let table: Vec<Vec<Vec<[f64; 3]>>> = map_in_order(OFFSETS.len(), |node| {
        let shift = OFFSETS[node].0 * offset;
        seen.iter()
            .map(|(laws, u)| {
                u.iter()
                    .map(|u| laws.map(|law| law.ln_chance(u + shift)))
                    .collect()
            })
            .collect()
    });
    draws.judge(|s| {
        let mut random = stream(run.settings.seed, Purpose::MadeUp, draws.rows[s] * 4096 + s);
        // One looker for all seams of the offer.
        let looker: f64 = random.sample(StandardNormal);
        let reports: Vec<usize> = seen
            .iter()
            .map(|(laws, u)| {
                let mut at: f64 = random.random();
                laws.iter()
                    .position(|law| {
                        at -= exp(law.ln_chance(u[s] + looker * offset));
                        at < 0.0
                    })
                    .unwrap_or(2)
            })
            .collect();
        let mut ln_chances = vec![f64::NEG_INFINITY; draws.count()];
        for (node, (_, weight)) in table.iter().zip(&OFFSETS) {
            let mut sums = vec![ln(*weight); draws.count()];
            for (at_seam, report) in node.iter().zip(&reports) {
                for (sum, chances) in sums.iter_mut().zip(at_seam) {
                    *sum += chances[*report];
                }
            }
            for (all, one) in ln_chances.iter_mut().zip(sums) {
                let (high, low) = if *all > one { (*all, one) } else { (one, *all) };
                if high > f64::NEG_INFINITY {
                    *all = high + ln_1p(exp(low - high));
                }
            }
        }
        ln_chances
    })
}

fn test(
    run: &Run<'_>,
    draws: &Draws,
    wanted: Wanted<'_>,
    offer: &Offer,
) -> Result<(f64, Vec<f64>), String> {
    let layout = run.posterior.layout;
    let readout = NetworkReadout::new(run.system, [wanted], &run.settings.flow)
        .map_err(|error| error.to_string())?;
    let sd = disturbance_sd(wanted.setup, run.settings);
    let read = |r: usize, disturbance: Disturbance, work: &mut _| {
        let row = &run.posterior.records[r * layout.len()..(r + 1) * layout.len()];
        let ln_q25: Vec<f64> = row[layout.q25()..][..layout.n_seams]
            .iter()
            .map(|q| ln(*q))
            .collect();
        let n = &row[layout.exponents()..][..layout.n_seams];
        let read = readout.read(0, &ln_q25, n, disturbance, work);
        if read.settled { read.value } else { f64::NAN }
    };
    let values = map_in_order(draws.count(), |j| {
        read(draws.rows[j], Disturbance::default(), &mut readout.work())
    });
    if values.iter().all(|v| v.is_nan()) {
        return Err("its set-up could not be solved".to_owned());
    }
    // What the pressures of the set-up do to the reading, at three draws.
    let looked: Vec<usize> = (0..3).map(|i| (2 * i + 1) * draws.count() / 6).collect();
    let pushed = |pick: Disturbance| {
        let sum: f64 = looked
            .iter()
            .map(|&j| {
                let there = read(draws.rows[j], pick, &mut readout.work());
                let part = (there - values[j]) / values[j];
                if part.is_finite() { part * part } else { 0.0 }
            })
            .sum();
        sum / looked.len().max(1) as f64
    };
    let by_pressure = pushed(Disturbance {
        house_pa: sd.house_pa,
        tap_pa: 0.0,
    }) + pushed(Disturbance {
        house_pa: 0.0,
        tap_pa: sd.tap_pa,
    });
    let sigma = |h: f64| {
        ((square(offer.relative_sd) + by_pressure) * h * h + square(offer.floor_sd)).sqrt()
    };
    // Flows are skewed as leaks are: lines are drawn in their logarithms. Pressures may be of either sign.
    let in_logarithms = values.iter().all(|v| v.is_nan() || *v > 0.0) && offer.is_flow();
    let scale = |h: f64| if in_logarithms { ln(h) } else { h };
    let shown: Vec<f64> = values.iter().map(|h| scale(*h)).collect();
    Ok(draws.judge_lines(&shown, |s| {
        let mut random = stream(
            run.settings.seed,
            Purpose::MadeUp,
            draws.rows[s] * 4096 + 2048 + s,
        );
        let error: f64 = random.sample(StandardNormal);
        let sd = sigma(values[s]) / if in_logarithms { values[s] } else { 1.0 };
        (shown[s] + error * sd, sd * sd)
    }))
}
