//! How the fan flow answers to each seam, to the house and to the tap.

use super::balance::evaluate;
use super::network::{NONE, Network, Workspace};
use super::newton::{factor, fan_influence, whole_slope};
use super::seam_law::{REFERENCE_PA, SWITCH_PA};
use super::types::SeamLaws;

/// Answer of the fan flow to the pressures held, m³/(s·Pa), in the sign of the reported flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// d(fan flow)/d(house pressure).
    pub house_pa: f64,
    /// d(fan flow)/d(tap pressure).
    pub tap_pa: f64,
}

/// d(fan flow)/d(ln q25) and d(fan flow)/d(n) of every seam, at the solution that `ws` holds.
///
/// Call it after [`solve`](super::solve) with the same network, laws and workspace. Slices are in the order of
/// the system's seams; seams that take no part get 0. At a fixed exponent the flow at 25 Pa stays what it is.
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
    d_ln_q25[..net.seams].fill(0.0);
    d_n[..net.seams].fill(0.0);
    if !ws.settled {
        ws.trial.copy_from_slice(&ws.pressure);
        evaluate(net, ws);
    }
    factor(net, ws);
    fan_influence(net, ws);
    let per_pascal = weigh_nodes(net, ws);
    let pivot = REFERENCE_PA.ln() - net.ln_density_ratio + 2.0 * net.ln_viscosity_ratio;
    let mut house_pa = 0.0;
    for (group, response) in net.groups.iter().zip(&ws.balance.groups) {
        let node = group.node as usize;
        let weight = net.sense * ws.weight(node);
        let zone = group.zone as usize;
        house_pa -= weight * response.slope * net.zones[zone].house_share;
        let dp = ws.pressure[node] - ws.zone_pa[zone];
        let ln_dp = (dp.abs() >= SWITCH_PA).then(|| dp.abs().ln());
        for leak in group.start as usize..group.end as usize {
            let seam = net.leaks[leak].seam;
            if seam == NONE {
                continue;
            }
            let flow = ws.balance.leaks[leak];
            d_ln_q25[seam as usize] = weight * flow;
            d_n[seam as usize] = weight
                * match ln_dp {
                    Some(ln) => flow * (ln - pivot),
                    None => ws.laws[leak].d_exponent(dp, pivot),
                };
        }
    }
    Sensitivity {
        house_pa,
        tap_pa: net.sense * per_pascal,
    }
}

/// Turns `ws.border` from w into y and returns d(fan flow)/d(tap pressure).
fn weigh_nodes(net: &Network, ws: &mut Workspace) -> f64 {
    let whole = whole_slope(net, ws);
    if net.tap == net.free {
        return whole;
    }
    let per_pascal = whole / ws.border[net.tap];
    ws.step.fill(0.0);
    ws.step[net.tap] = per_pascal;
    net.pattern.solve(&ws.numbers, &mut ws.step);
    for (y, more) in ws.border.iter_mut().zip(&ws.step) {
        *y += more;
    }
    per_pascal
}
