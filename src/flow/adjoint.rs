//! How the fan flow answers to each seam, to the house and to the tap.

use super::network::{NONE, Network, Workspace};
use super::newton::whole_slope;
use super::seam_law::SWITCH_PA;
use super::types::SeamLaws;
use super::whole::{close, flows_of, pull, ready};
use crate::math::ln;

/// Answer of a reading to the pressures held, its unit per Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// d(reading)/d(house pressure).
    pub house_pa: f64,
    /// d(reading)/d(tap pressure).
    pub tap_pa: f64,
}

/// d(fan flow)/d(ln q25) and d(fan flow)/d(n) of every seam, at the solution that `ws` holds.
///
/// Call it after [`solve`](super::solve) with the same network, laws and workspace. Slices are in the order of
/// the system's seams; seams that take no part get 0. At a fixed exponent the flow at 25 Pa stays what it is.
/// Flows in m³/s; the answer to pressures is in the sign of the reported flow.
///
/// # Method
/// Let K be the matrix of slopes over *all* nodes, the fan's included, grounded by the leaks. A change that
/// lets cᵢ more out at seam i's node, while the tap stays at its pressure and the fan's flow Q follows, obeys
/// ```text
/// K·dp − e_fan·dQ = −cᵢ·eᵢ,   e_tapᵀ·dp = 0
/// ```
/// Multiply by y with K·y = μ·e_tap and y_fan = 1: the first term is μ·dp_tap = 0, so
/// ```text
/// dQ = yᵢ·cᵢ
/// ```
/// One y serves every seam. With the fan's node held and the rest eliminated it is y = w + S·z/w_tap, where w
/// is dp/d(fan pressure), z the column of the inverse for the tap, and S = Σ slope·w; with the tap at the fan
/// y = w alone. No term is ever subtracted. Raising the tap by 1 Pa raises Q by S/w_tap; raising a zone
/// acts like lowering the slope times y at each of its leaks.
///
/// Where velocity pressures or losses by flow ratio z = g(q) act, y holds them still; the rest is the slope of Q
/// to them, carried through the transpose of the whole fixed point: (I − A)ᵀ·v = dQ/dz, A = dg/dz, and Σ vₖ·gₖ is
/// one more goal.
///
/// # Panics
/// If a slice is shorter than the system's seams.
pub fn sensitivities(
    net: &Network,
    laws: SeamLaws<'_>,
    ws: &mut Workspace,
    d_ln_q25: &mut [f64],
    d_n: &mut [f64],
) -> Sensitivity {
    assert!(
        laws.n.len() >= net.seams && laws.ln_q25.len() >= net.seams,
        "laws of all seams are given"
    );
    ready(net, ws);
    let mut tap_pa = weigh_nodes(net, ws);
    if !net.lags.is_empty() {
        tap_pa += follow_lags(net, ws, tap_pa);
    }
    let lagged = &mut ws.lagged;
    for slope in lagged.weights.iter_mut().chain(&mut lagged.q_bar) {
        *slope *= net.sense;
    }
    let house_pa = house_slope(net, ws);
    seam_slopes(net, ws, d_ln_q25, d_n);
    Sensitivity {
        house_pa,
        tap_pa: net.sense * tap_pa,
    }
}

/// Slopes of a goal to every seam, from the weights of the nodes and, in `l_bar`, its direct slopes to leak flows.
pub(super) fn seam_slopes(net: &Network, ws: &Workspace, d_ln_q25: &mut [f64], d_n: &mut [f64]) {
    d_ln_q25[..net.seams].fill(0.0);
    d_n[..net.seams].fill(0.0);
    for (at, group) in net.groups.iter().enumerate() {
        let weight = group_weight(ws, at, group.node, group.zone_node);
        let dp = ws.pressure[group.node as usize]
            - ws.lagged.offset[at]
            - ws.zone_pa[group.zone as usize];
        let ln_dp = (dp.abs() >= SWITCH_PA).then(|| ln(dp.abs()));
        for leak in group.start as usize..group.end as usize {
            let (seam, air) = (net.leaks[leak].seam, net.leaks[leak].air);
            if seam == NONE {
                continue;
            }
            let pivot = net.airs[air as usize].ln_pivot();
            let flow = ws.balance.leaks[leak];
            d_ln_q25[seam as usize] = weight * flow;
            d_n[seam as usize] = weight
                * match ln_dp {
                    Some(ln) => flow * (ln - pivot),
                    None => ws.laws[leak].d_exponent(dp, pivot),
                };
        }
    }
}

/// What one more m³/s out of a group's leaks does to the goal.
fn group_weight(ws: &Workspace, at: usize, node: u32, zone_node: u32) -> f64 {
    let weights = &ws.lagged.weights;
    let zone = if zone_node == NONE {
        0.0
    } else {
        weights[zone_node as usize]
    };
    ws.lagged.l_bar[at] + weights[node as usize] - zone
}

/// d(goal)/d(house pressure) through zones and held nodes that move with the house.
pub(super) fn house_slope(net: &Network, ws: &Workspace) -> f64 {
    let share = |node: u32| {
        let held = (node as usize).checked_sub(net.free + 1);
        held.map_or(0.0, |at| net.held[at].house_share)
    };
    let mut slope = 0.0;
    for (at, (group, response)) in net.groups.iter().zip(&ws.balance.groups).enumerate() {
        let zone = if group.zone_node == NONE {
            net.zones[group.zone as usize].house_share
        } else {
            share(group.zone_node)
        };
        let rise = share(group.node) - zone;
        slope += group_weight(ws, at, group.node, group.zone_node) * response.slope * rise;
    }
    for (at, (branch, response)) in net.branches.iter().zip(&ws.balance.branches).enumerate() {
        let rise = share(branch.tail) - share(branch.head);
        if rise.abs() > 0.0 {
            let weights = &ws.lagged.weights;
            let weight =
                ws.lagged.q_bar[at] + weights[branch.tail as usize] - weights[branch.head as usize];
            slope += weight * response.slope * rise;
        }
    }
    slope
}

/// Fills the weights with y and returns d(fan flow)/d(tap pressure); no direct slopes remain.
fn weigh_nodes(net: &Network, ws: &mut Workspace) -> f64 {
    let whole = whole_slope(net, ws);
    let per_pascal = if net.tap == net.free {
        whole
    } else {
        whole / ws.border[net.tap]
    };
    let lagged = &mut ws.lagged;
    lagged.l_bar.fill(0.0);
    lagged.q_bar.fill(0.0);
    lagged.weights.fill(0.0);
    lagged.weights[net.free] = 1.0;
    for (y, (w, column)) in lagged
        .weights
        .iter_mut()
        .zip(ws.border.iter().zip(&lagged.column))
    {
        // The column is nothing where the fan itself is held.
        *y = w + per_pascal * column;
    }
    per_pascal
}

/// Adds to the weights what the lagged pressures do; returns what they add to d(fan flow)/d(tap pressure).
fn follow_lags(net: &Network, ws: &mut Workspace, tap_pa: f64) -> f64 {
    slopes_to_lags(net, ws, tap_pa);
    close(net, ws);
    let v = std::mem::take(&mut ws.lagged.step);
    flows_of(ws, &v);
    ws.lagged.step = v;
    ws.lagged.l_bar.fill(0.0);
    ws.lagged.nodes.fill(0.0);
    let pulled = pull(net, ws);
    let lagged = &mut ws.lagged;
    for (weight, x) in lagged.weights.iter_mut().zip(&lagged.nodes) {
        *weight -= x;
    }
    pulled.tap
}

/// d(fan flow)/d(lagged pressures) with the others held, into `z_bar`, from the weights y.
fn slopes_to_lags(net: &Network, ws: &mut Workspace, tap_pa: f64) {
    use super::lag::Act;
    let weights = &ws.lagged.weights;
    for (z_bar, lag) in ws.lagged.z_bar.iter_mut().zip(&net.lags) {
        *z_bar = lag
            .acts
            .iter()
            .map(|act| match *act {
                Act::Branch(branch) => {
                    let ends = &net.branches[branch as usize];
                    let y = weights[ends.tail as usize] - weights[ends.head as usize];
                    ws.balance.branches[branch as usize].slope * y
                }
                Act::Group(group) => {
                    let ends = &net.groups[group as usize];
                    let mut y = weights[ends.node as usize];
                    if ends.zone_node != NONE {
                        y -= weights[ends.zone_node as usize];
                    }
                    -ws.balance.groups[group as usize].slope * y
                }
                Act::Tap => tap_pa,
            })
            .sum();
    }
}
