//! Seams and house from weighted draws.

use super::draws::map_in_order;
use super::open_seams;
use super::prior::Prior;
use super::record::Recorded;
use super::settings::AllocateSettings;
use super::types::{Band, House, SeamResult};
use super::weights::{self, band};
use crate::catalog::opening::opening_area;
use crate::math::exp;
use crate::system::{Setup, Side, System};

/// Standard normal quantile at 95 % (tables).
const Z95: f64 = 1.644_853_626_951_472_2;
/// Pressure of the equivalent opening, Pa.
const OPENING_PA: f64 = 25.0;

/// One result per seam, in the order of the system.
pub(crate) fn seams(
    system: &System,
    prior: &Prior,
    recorded: &Recorded,
    settings: &AllocateSettings,
) -> Vec<SeamResult> {
    let layout = recorded.layout;
    let open = open_seams::chances(prior, recorded);
    let shares = mean_shares(recorded, layout.test());
    let outside_shares = mean_shares(recorded, layout.outside());
    let chances = top_chances(recorded, settings.top);
    map_in_order(system.seams.len(), |i| {
        let seam = &system.seams[i];
        let (mut values, mut pairs) = (Vec::new(), Vec::new());
        let mut at = |column: usize| {
            recorded.column(column + i, &mut values);
            band(&values, &recorded.weights, &mut pairs)
        };
        let (q25, test, outside) = (at(layout.q25()), at(layout.test()), at(layout.outside()));
        let mut mean_of = |column: usize| {
            recorded.column(column + i, &mut values);
            weights::mean(&values, &recorded.weights)
        };
        SeamResult {
            seam: i,
            id: seam.id.clone(),
            run: seam.run.clone(),
            piece: seam.piece.clone(),
            what: seam.what.clone(),
            joint_type: seam.joint_type.clone(),
            joint_name: seam.joint_name.clone(),
            side: seam.side,
            place: system.places[seam.place].name.clone(),
            reach: seam.reach,
            work: seam.work,
            amount: seam.amount,
            basis: seam.basis,
            n: mean_of(layout.exponents()),
            prior_q25_m3_s: lognormal_band(prior.lognormal(i, layout.stage)),
            q25_m3_s: q25,
            test_pa: mean_of(layout.test_pa()),
            test_m3_s: test,
            share: shares[i],
            to_outside_m3_s: outside,
            to_outside_share: outside_shares[i],
            running_m3_s: None,
            top_chance: chances[i],
            gross_chance: open[i],
            prior_gross_chance: prior
                .open_law(i)
                .filter(|_| layout.stage < prior.stages_open(i))
                .map_or(0.0, |law| law.chance),
        }
    })
}

/// Whole-house figures.
pub(crate) fn house(
    system: &System,
    setup: &Setup,
    posterior: &Recorded,
    prior: &Recorded,
) -> House {
    let layout = posterior.layout;
    let total = total_band(posterior, layout.test(), |_| true);
    let on = |side: Side| move |i: usize| system.seams[i].side == side;
    let mut masks = Vec::new();
    posterior.column(layout.test_mask(), &mut masks);
    let at_opening_pressure = (setup.pressure_pa - OPENING_PA).abs() < 1e-6;
    House {
        test_pressure_pa: setup.pressure_pa,
        total_m3_s: total,
        prior_total_m3_s: total_band(prior, layout.test(), |_| true),
        supply_m3_s: total_band(posterior, layout.test(), on(Side::Supply)),
        return_m3_s: total_band(posterior, layout.test(), on(Side::Return)),
        to_outside_m3_s: total_band(posterior, layout.outside(), |_| true),
        mask_leak_m3_s: weights::mean(&masks, &posterior.weights),
        equivalent_opening_m2: at_opening_pressure
            .then(|| scaled(total, opening_area(1.0, OPENING_PA))),
    }
}

/// Band of a sum over some seams.
pub(crate) fn total_band(
    recorded: &Recorded,
    column: usize,
    belongs: impl Fn(usize) -> bool,
) -> Band {
    let sums: Vec<f64> = recorded
        .rows()
        .map(|row| {
            let seams = &row[column..][..recorded.layout.n_seams];
            seams
                .iter()
                .enumerate()
                .filter(|(i, _)| belongs(*i))
                .map(|(_, q)| q)
                .sum()
        })
        .collect();
    band(&sums, &recorded.weights, &mut Vec::new())
}

fn scaled(band: Band, by: f64) -> Band {
    Band {
        mean: band.mean * by,
        p05: band.p05 * by,
        p50: band.p50 * by,
        p95: band.p95 * by,
    }
}

/// Closed form of the prior.
fn lognormal_band((median_ln, sd): (f64, f64)) -> Band {
    Band {
        mean: exp(median_ln + 0.5 * sd * sd),
        p05: exp(median_ln - Z95 * sd),
        p50: exp(median_ln),
        p95: exp(median_ln + Z95 * sd),
    }
}

/// E[qᵢ/Σq] over outward flows, for every seam. Flow that comes in through a seam has no share, and draws without any
/// outward flow count for nothing.
fn mean_shares(recorded: &Recorded, column: usize) -> Vec<f64> {
    let n_seams = recorded.layout.n_seams;
    let mut shares = vec![0.0; n_seams];
    let mut weight_sum = 0.0;
    for (row, weight) in recorded.rows().zip(&recorded.weights) {
        let flows = &row[column..][..n_seams];
        let total: f64 = flows.iter().map(|flow| flow.max(0.0)).sum();
        if *weight > 0.0 && total > 0.0 {
            weight_sum += weight;
            for (share, flow) in shares.iter_mut().zip(flows) {
                *share += weight * flow.max(0.0) / total;
            }
        }
    }
    if weight_sum > 0.0 {
        shares.iter_mut().for_each(|share| *share /= weight_sum);
    }
    shares
}

/// Weighted chance of each seam to be among the `top` largest test flows; a seam without flow never is.
fn top_chances(recorded: &Recorded, top: usize) -> Vec<f64> {
    let n_seams = recorded.layout.n_seams;
    let mut chances = vec![0.0; n_seams];
    let mut weight_sum = 0.0;
    let mut order: Vec<usize> = (0..n_seams).collect();
    let top = top.min(n_seams);
    for (row, weight) in recorded.rows().zip(&recorded.weights) {
        if !(*weight > 0.0) {
            continue;
        }
        weight_sum += weight;
        let flows = &row[recorded.layout.test()..][..n_seams];
        if top > 0 && top < n_seams {
            order.select_nth_unstable_by(top - 1, |&a, &b| {
                flows[b].total_cmp(&flows[a]).then(a.cmp(&b))
            });
        }
        for &i in order[..top].iter().filter(|&&i| flows[i] > 0.0) {
            chances[i] += weight;
        }
    }
    if weight_sum > 0.0 {
        chances.iter_mut().for_each(|chance| *chance /= weight_sum);
    }
    chances
}
