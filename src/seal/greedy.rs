//! The plan that always takes the seam with the most cut a minute: what a good technician would do without a search.

use super::choices::Choices;
use super::so_far::SoFar;

/// What stops a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounds {
    /// Most minutes.
    pub minutes: f64,
    /// Most money.
    pub money: f64,
    /// Stops once this mean cut is reached.
    pub enough: f64,
}

/// Tolerance of sums that come out of the same figures in another order.
pub(super) const ROUNDING: f64 = 1e-9;

/// Picks, in the order taken. A set-up counts at the first seam that needs it.
pub(super) fn greedy(choices: &Choices, bounds: Bounds) -> Vec<usize> {
    let mut picked: Vec<usize> = Vec::new();
    let mut so_far = SoFar::of(choices, &picked);
    let mut refused = vec![false; choices.all.len()];
    let (mut minutes, mut cut) = (0.0, 0.0);
    while cut < bounds.enough {
        let best = (0..choices.all.len())
            .filter(|&c| !refused[c] && !so_far.has(choices, c))
            .map(|c| {
                let added = so_far.added_minutes(choices, c);
                (c, added, choices.all[c].cut / added.max(1e-6))
            })
            .max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.cmp(&a.0)));
        let Some((c, added, _)) = best else { break };
        if minutes + added > bounds.minutes + ROUNDING {
            refused[c] = true;
            continue;
        }
        picked.push(c);
        if bounds.money.is_finite() && choices.money(&picked) > bounds.money + ROUNDING {
            picked.pop();
            refused[c] = true;
            continue;
        }
        minutes += added;
        cut += choices.all[c].cut;
        so_far.add(choices, c);
    }
    picked
}
