//! Whether chains agree, and what their draws are worth.

use super::record::Layout;
use crate::math::{ln, square};

/// What is watched of one draw: side totals, modelled readings, ln of the target.
pub(crate) type Trace = WatchedFigures;

/// Figures of one draw.
#[derive(Debug, Clone)]
pub(crate) struct WatchedFigures(Vec<f64>);

impl WatchedFigures {
    /// From a record.
    pub(crate) fn of(record: &[f64], layout: Layout, ln_target: f64) -> Self {
        let n = layout.n_seams;
        let test = &record[layout.test()..][..n];
        let ln = |x: f64| ln(x.max(1e-12));
        let mut figures = vec![ln_target, ln(test.iter().sum())];
        // Halves and thirds of the seams stand for everything that is summed over some of them.
        for parts in [2, 3] {
            for part in 0..parts {
                figures.push(ln(test.iter().skip(part).step_by(parts).sum()));
            }
        }
        figures.push(ln(test.iter().fold(0.0, |a: f64, b| a.max(*b))));
        figures.push(ln(record[layout.outside()..][..n].iter().sum()));
        for k in 0..layout.n_readings {
            figures.push(record[layout.modelled(k)]);
        }
        WatchedFigures(figures)
    }

    #[cfg(test)]
    pub(crate) fn plain(figures: Vec<f64>) -> Self {
        WatchedFigures(figures)
    }
}

/// Largest split R̂ and least effective number of draws over all watched figures.
///
/// # Equation
/// Each chain is cut in halves; with m half-chains of n draws, W the mean of their variances and B/n the variance of
/// their means,
/// ```text
/// R̂ = √((n−1)/n + (B/n)/W),     n_eff = m·n/(1 + 2·Σ ρₜ)
/// ```
/// ρₜ the pooled autocorrelation, summed in pairs while the pairs stay positive.
///
/// # Source
/// "Inference from iterative simulation using multiple sequences", Statistical Science 7 (1992), split form and
/// initial positive sequence ("Practical Markov chain Monte Carlo", same issue): from memory.
pub(crate) fn converged(chains: &[Vec<Trace>]) -> (f64, f64) {
    let length = chains.iter().map(Vec::len).min().unwrap_or(0) / 2;
    if chains.len() < 2 || length < 4 {
        return (f64::NAN, 0.0);
    }
    let figures = chains[0][0].0.len();
    let (mut worst, mut least) = (0.0_f64, f64::INFINITY);
    for f in 0..figures {
        let halves: Vec<Vec<f64>> = chains
            .iter()
            .flat_map(|chain| {
                let values: Vec<f64> = chain.iter().map(|t| t.0[f]).collect();
                let from = values.len() - length;
                [values[..length].to_vec(), values[from..].to_vec()]
            })
            .collect();
        let (r_hat, effective) = figure(&halves);
        // Written so that NaN is the worst.
        if !(r_hat <= worst) {
            worst = r_hat;
        }
        if !(effective >= least) {
            least = effective;
        }
    }
    (worst, least)
}

fn figure(halves: &[Vec<f64>]) -> (f64, f64) {
    let (m, n) = (halves.len() as f64, halves[0].len() as f64);
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let means: Vec<f64> = halves.iter().map(|h| mean(h)).collect();
    let all = mean(&means);
    let between = means.iter().map(|x| square(x - all)).sum::<f64>() / (m - 1.0);
    let within = halves
        .iter()
        .zip(&means)
        .map(|(h, mu)| h.iter().map(|x| square(x - mu)).sum::<f64>() / (n - 1.0))
        .sum::<f64>()
        / m;
    if within <= 1e-24 * all * all {
        // A figure that does not move: a reading that nothing acts on.
        return if between <= 1e-24 * all * all {
            (1.0, f64::INFINITY)
        } else {
            (f64::INFINITY, 0.0)
        };
    }
    let whole = (n - 1.0) / n * within + between;
    let r_hat = (whole / within).sqrt();
    let lag = |t: usize| {
        let spread = halves
            .iter()
            .map(|h| {
                let pairs = h.len() - t;
                (0..pairs).map(|i| square(h[i + t] - h[i])).sum::<f64>() / pairs as f64
            })
            .sum::<f64>()
            / m;
        1.0 - spread / (2.0 * whole)
    };
    let mut sum = 0.0;
    let mut t = 1;
    while t + 1 < halves[0].len() {
        let pair = lag(t) + lag(t + 1);
        if !(pair > 0.0) {
            break;
        }
        sum += pair;
        t += 2;
    }
    (r_hat, m * n / (1.0 + 2.0 * sum))
}

#[cfg(test)]
mod tests {
    use super::super::scratch::{Purpose, stream};
    use super::*;
    use rand::RngExt;
    use rand_distr::StandardNormal;

    fn chains(count: usize, length: usize, keep: f64, apart: f64) -> Vec<Vec<Trace>> {
        (0..count)
            .map(|c| {
                let mut random = stream(5, Purpose::Chain, c);
                let mut x = 0.0;
                (0..length)
                    .map(|_| {
                        let e: f64 = random.sample(StandardNormal);
                        x = keep * x + (1.0 - keep * keep).sqrt() * e;
                        WatchedFigures::plain(vec![x + apart * c as f64])
                    })
                    .collect()
            })
            .collect()
    }

    #[test]
    fn independent_chains_agree_and_are_worth_their_number() {
        let (r_hat, effective) = converged(&chains(8, 500, 0.0, 0.0));
        assert!(r_hat < 1.01, "{r_hat}");
        // The sum of pairs stops at the first that is not positive, so noise counts a little against the draws.
        assert!((0.7..1.1).contains(&(effective / 4000.0)), "{effective}");
    }

    /// An autoregression with coefficient a is worth (1 − a)/(1 + a) of its length.
    #[test]
    fn sticky_chains_are_worth_less() {
        let (_, effective) = converged(&chains(8, 2000, 0.8, 0.0));
        assert!(
            (effective / (16_000.0 / 9.0) - 1.0).abs() < 0.2,
            "{effective}"
        );
    }

    #[test]
    fn chains_in_different_places_do_not_agree() {
        let (r_hat, _) = converged(&chains(4, 400, 0.0, 0.3));
        assert!(r_hat > 1.03, "{r_hat}");
    }
}
