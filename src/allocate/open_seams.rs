//! What hangs open, from weighted draws.

use super::prior::Prior;
use super::record::Recorded;
use super::rto::Draw;
use super::types::GrossCandidate;
use super::weights::{self, band};
use crate::catalog::opening::opening_area;

/// Groups less likely than this are not listed.
const LEAST_CHANCE: f64 = 0.03;
/// Groups that the evidence has not made this much likelier are not listed.
const LEAST_RISE: f64 = 1.5;
/// Relative difference of effects on the readings below which two seams cannot be told apart.
const ALIKE: f64 = 0.1;
/// Most groups listed.
const MOST: usize = 12;

/// How one seam acts on each reading, and what the looks have said of it: seams with like signatures cannot be told
/// apart.
pub(crate) type Signature = Vec<f64>;

/// Seams of a draw that hang open at the stage of the answer: work on a seam puts it together.
fn still_open(prior: &Prior, recorded: &Recorded, draw: &Draw) -> impl Iterator<Item = usize> {
    let stage = recorded.layout.stage;
    draw.case
        .open
        .seams()
        .filter(move |&seam| stage < prior.stages_open(seam))
}

/// Chance that nothing hangs open.
pub(crate) fn nothing_open(prior: &Prior, posterior: &Recorded) -> f64 {
    let none: Vec<f64> = posterior
        .draws
        .iter()
        .map(|d| f64::from(u8::from(still_open(prior, posterior, d).count() == 0)))
        .collect();
    weights::mean(&none, &posterior.weights)
}

/// Chance of each seam to hang open.
pub(crate) fn chances(prior: &Prior, recorded: &Recorded) -> Vec<f64> {
    let mut chances = vec![0.0; recorded.layout.n_seams];
    let sum: f64 = recorded.weights.iter().sum();
    for (draw, weight) in recorded.draws.iter().zip(&recorded.weights) {
        for seam in still_open(prior, recorded, draw) {
            chances[seam] += weight;
        }
    }
    if sum > 0.0 {
        chances.iter_mut().for_each(|c| *c /= sum);
    }
    chances
}

/// Candidates, likeliest first.
pub(crate) fn candidates(
    prior: &Prior,
    posterior: &Recorded,
    signatures: &[Signature],
) -> Vec<GrossCandidate> {
    let chances = chances(prior, posterior);
    let mut order: Vec<usize> = (0..prior.n_seams())
        .filter(|&i| prior.open_law(i).is_some() && posterior.layout.stage < prior.stages_open(i))
        .collect();
    order.sort_by(|&a, &b| chances[b].total_cmp(&chances[a]).then(a.cmp(&b)));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for seam in order {
        match groups
            .iter_mut()
            .find(|g| alike(&signatures[g[0]], &signatures[seam]))
        {
            Some(group) => group.push(seam),
            None => groups.push(vec![seam]),
        }
    }
    let mut found: Vec<GrossCandidate> = groups
        .into_iter()
        .map(|seams| candidate(prior, posterior, seams))
        .collect();
    found.sort_by(|a, b| b.chance.total_cmp(&a.chance).then(a.seams.cmp(&b.seams)));
    let mut kept: Vec<GrossCandidate> = found
        .into_iter()
        .filter(|c| c.chance >= LEAST_CHANCE && c.chance >= LEAST_RISE * c.prior_chance)
        .collect();
    kept.truncate(MOST);
    kept
}

fn alike(a: &Signature, b: &Signature) -> bool {
    a.iter()
        .zip(b)
        .all(|(a, b)| (a - b).abs() <= ALIKE * a.abs().max(b.abs()))
}

fn candidate(prior: &Prior, posterior: &Recorded, seams: Vec<usize>) -> GrossCandidate {
    let layout = posterior.layout;
    let (mut flows, mut openings, mut some) = (Vec::new(), Vec::new(), Vec::new());
    let mut any = Vec::with_capacity(posterior.draws.len());
    for ((draw, row), weight) in posterior
        .draws
        .iter()
        .zip(posterior.rows())
        .zip(&posterior.weights)
    {
        let open: Vec<usize> = still_open(prior, posterior, draw)
            .filter(|s| seams.contains(s))
            .collect();
        any.push(f64::from(u8::from(!open.is_empty())));
        if !open.is_empty() && *weight > 0.0 {
            let sum = |column: usize| open.iter().map(|s| row[column + s]).sum::<f64>();
            flows.push(sum(layout.test()));
            openings.push(opening_area(sum(layout.q25()), 25.0));
            some.push(*weight);
        }
    }
    let mut pairs = Vec::new();
    let none: f64 = seams
        .iter()
        .filter_map(|&i| prior.open_law(i))
        .map(|law| 1.0 - law.chance)
        .product();
    GrossCandidate {
        chance: weights::mean(&any, &posterior.weights),
        prior_chance: 1.0 - none,
        test_m3_s: if some.is_empty() {
            super::types::Band::default()
        } else {
            band(&flows, &some, &mut pairs)
        },
        opening_m2: if some.is_empty() {
            super::types::Band::default()
        } else {
            band(&openings, &some, &mut pairs)
        },
        seams,
    }
}
