//! Minutes against leakage.

use super::choices::{Choices, flow};
use super::draws::Left;
use super::greedy::{Bounds, greedy};
use super::search::{Goal, search};
use super::types::{Frontier, PlanAsk, Rival, SealError};
use crate::math::powf;

/// Plans for more and more minutes, up to all that can be sealed. Cuts are taken as adding up.
pub(super) fn frontier(
    left: &Left<'_>,
    choices: &Choices,
    before: &[f64],
    ask: &PlanAsk,
    running_pa: Option<&[f64]>,
) -> Result<Vec<Frontier>, SealError> {
    let all = choices.all_that_shows();
    let longest = choices.minutes(&all);
    if ask.frontier == 0 || all.is_empty() || longest <= 0.0 {
        return Ok(Vec::new());
    }
    let shortest = (0..choices.all.len())
        .map(|c| choices.minutes(&[c]))
        .fold(f64::INFINITY, f64::min);
    let points = ask.frontier;
    let mut found: Vec<Frontier> = Vec::with_capacity(points);
    let mut last: Vec<usize> = Vec::new();
    for k in 1..=points {
        // Closer together where an hour buys most, and the whole work last.
        let part = powf(k as f64 / points as f64, 1.5);
        let minutes = if k == points {
            longest
        } else {
            (shortest + part * (longest - shortest)).round()
        };
        let goal = Goal::Most {
            minutes,
            money: f64::INFINITY,
        };
        let Some(mut best) = search(choices, goal, ask.nodes)? else {
            continue;
        };
        // The point before serves here too, and at the end all that shows, where the search stopped short of them.
        let others = [&last, &all];
        for other in &others[..if k == points { 2 } else { 1 }] {
            if choices.cut(&best.picked) < choices.cut(other) {
                best.picked.clone_from(other);
            }
        }
        last.clone_from(&best.picked);
        let bounds = Bounds {
            minutes,
            money: f64::INFINITY,
            enough: f64::INFINITY,
        };
        let rival = greedy(choices, bounds);
        let after: Vec<f64> = before
            .iter()
            .enumerate()
            .map(|(draw, before)| {
                let cut: f64 = best
                    .picked
                    .iter()
                    .map(|&c| {
                        let choice = &choices.all[c];
                        flow(left, ask.basis, running_pa, draw, choice.seam)
                            * (1.0 - left.part(draw, choice.seam, choice.method))
                    })
                    .sum();
                (before - cut).max(0.0)
            })
            .collect();
        found.push(Frontier {
            minutes,
            used_minutes: choices.minutes(&best.picked),
            steps: best.picked.len(),
            cut_m3_s: choices.cut(&best.picked),
            after_m3_s: left.band(&after),
            greedy: Rival {
                minutes: choices.minutes(&rival),
                cut_m3_s: choices.cut(&rival),
                steps: rival.len(),
            },
            gap: best.gap,
        });
    }
    Ok(found)
}
