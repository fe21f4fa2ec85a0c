//! The pressure held at a tap that is not at the fan.

use super::balance::{Verdict, evaluate, tap_holds, verdict};
use super::network::{Network, Workspace};
use super::newton::{Effort, begin, descend, factor, fan_influence, newton_step, whole_slope};
use super::types::Status;
use crate::math::ln;

/// Newton with the fan's pressure as one more unknown. `None` when its steps stop helping.
///
/// There is no content to fall here, so a step counts if the sum of imbalances, with the tap's gap turned into
/// a flow, falls.
pub(super) fn hold_tap(
    net: &Network,
    ws: &mut Workspace,
    effort: &mut Effort<'_>,
) -> Option<Verdict> {
    begin(net, ws);
    for _ in 0..net.settings.max_iterations / 2 {
        let found = verdict(net, ws);
        if found.status.is_solved() && tap_holds(net, ws) {
            return Some(found);
        }
        factor(net, ws);
        newton_step(net, ws);
        fan_influence(net, ws);
        effort.iterations += 1;
        let per_pascal = whole_slope(net, ws) / ws.border[net.tap];
        let gap = ws.target - ws.pressure[net.tap];
        let fan_step = (gap - ws.step[net.tap]) / ws.border[net.tap];
        for (step, influence) in ws.step.iter_mut().zip(&ws.border) {
            *step += fan_step * influence;
        }
        let reached = ws.pressure[net.free] + fan_step;
        if reached.is_nan() || reached.abs() > net.settings.farthest_fan_pa {
            return None;
        }
        let before = merit(net, ws, per_pascal);
        let mut part = 1.0;
        loop {
            for node in 0..net.free {
                ws.trial[node] = ws.pressure[node] + part * ws.step[node];
            }
            ws.trial[net.free] = ws.pressure[net.free] + part * fan_step;
            evaluate(net, ws);
            if merit(net, ws, per_pascal) <= (1.0 - 1e-4 * part) * before {
                break;
            }
            let found = verdict(net, ws);
            if found.status.is_solved() && tap_holds(net, ws) {
                break;
            }
            part *= 0.5;
            if part < 1e-3 {
                return None;
            }
        }
        ws.pressure.copy_from_slice(&ws.trial);
    }
    None
}

fn merit(net: &Network, ws: &Workspace, per_pascal: f64) -> f64 {
    let gap = (ws.target - ws.trial[net.tap]).abs();
    let imbalance: f64 = ws.balance.out[..net.free].iter().map(|f| f.abs()).sum();
    imbalance + per_pascal * gap
}

/// Fan pressure at which the tap is within 1e-7 of its own, by bracketed Newton with a full solve at each try.
///
/// The inner solves stop at their own tolerance, so the last digits are left to [`hold_tap`].
pub(super) fn search_fan_pressure(
    net: &Network,
    ws: &mut Workspace,
    effort: &mut Effort<'_>,
) -> Verdict {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let before = effort.iterations;
    loop {
        let found = descend(net, ws, effort);
        ws.trial.copy_from_slice(&ws.pressure);
        let bracketed = low.is_finite() && high.is_finite();
        let closed = bracketed && high - low <= 4.0 * f64::EPSILON * (high.abs() + low.abs());
        let off = (ws.target - ws.pressure[net.tap]).abs();
        let near = off <= 1e-7 * ws.target.abs() || tap_holds(net, ws);
        let spent_up = (effort.iterations - before) as usize > 20 * net.settings.max_iterations;
        let beyond = ws.pressure[net.free].abs() > net.settings.farthest_fan_pa;
        if !found.status.is_solved() || near || closed || spent_up || beyond {
            // Near is not there: the caller goes on from here.
            return Verdict {
                status: Status::NotConverged { node: net.tap },
                ..found
            };
        }
        factor(net, ws);
        fan_influence(net, ws);
        let (now, gap) = (ws.pressure[net.free], ws.target - ws.pressure[net.tap]);
        if gap > 0.0 {
            low = now
        } else {
            high = now
        }
        let next = next_try(now, gap / ws.border[net.tap], low, high, ws.target);
        // Far off, all pressures grow alike.
        let times = next / now;
        if times.is_finite() && times > 0.0 && !(0.5..=2.0).contains(&times) {
            for pressure in &mut ws.pressure[..net.free] {
                *pressure *= times;
            }
        }
        ws.pressure[net.free] = next;
    }
}

/// Next fan pressure inside the bracket: by Newton's step if it stays inside and moves by no more than a thousandfold,
/// else the middle, by order of size where the ends are far apart.
fn next_try(now: f64, step: f64, low: f64, high: f64, target: f64) -> f64 {
    let far = 1e3 * now.abs().max(target.abs()).max(1e-3);
    let next = now + step.clamp(-far, far);
    if next > low && next < high {
        return next;
    }
    if !(low.is_finite() && high.is_finite()) {
        return now + if low.is_finite() { far } else { -far };
    }
    if low * high > 0.0 && ln(high / low).abs() > 3.0 {
        return (low * high).sqrt().copysign(low);
    }
    0.5 * (low + high)
}
