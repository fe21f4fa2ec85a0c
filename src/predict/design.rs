//! Friction, velocity and static pressure of the running design, held against common practice.

use super::types::{Design, FastPiece, PracticeRow, Register};
use crate::air::STANDARD_DENSITY;
use crate::flow::{FlowState, SeamLaws, running_state};
use crate::system::{BlowerKind, PieceKind, Side, System};

/// External static pressure that many units are rated at: 0.5 in. w.g.
const STATIC: PracticeRow = PracticeRow {
    value: 125.0,
    source: "common rating of residential units, 0.5 in. w.g., from memory; the nameplate decides",
};
/// Friction that ducts are usually sized for: 0.1 in. w.g. per 100 ft.
const FRICTION: PracticeRow = PracticeRow {
    value: 0.817,
    source: "0.08 to 0.1 in. w.g. per 100 ft, common practice, from memory",
};
/// Velocity in supply trunks: 900 ft/min.
const SUPPLY_TRUNK: PracticeRow = PracticeRow {
    value: 4.572,
    source: "900 ft/min in a supply trunk, common practice for quiet houses, from memory",
};
/// Velocity in supply branches and in returns: 700 ft/min.
const BRANCH_OR_RETURN: PracticeRow = PracticeRow {
    value: 3.556,
    source: "700 ft/min in a supply branch or a return, common practice for quiet houses, from memory",
};
/// Part by which a velocity may pass the usual one before it is told: the usual one is round. Engineering estimate.
const FASTER: f64 = 1.03;
/// Rows of fast pieces that are kept.
const FAST: usize = 5;

/// The design while running, every seam at its prior mean; `None` where it cannot be solved.
pub(super) fn design(system: &System) -> Option<Design> {
    let found = running(system)?;
    let (supply, back) = (found.supply_plenum_pa?, found.return_plenum_pa?);
    let mut pieces: Vec<FastPiece> = straight(system, &found);
    pieces.sort_by(|a, b| b.friction_pa_m.total_cmp(&a.friction_pa_m));
    let steepest = pieces.first().cloned();
    pieces.retain(|piece| piece.velocity_m_s > FASTER * piece.practice.value);
    pieces.sort_by(|a, b| {
        let over = |p: &FastPiece| p.velocity_m_s / p.practice.value;
        over(b).total_cmp(&over(a))
    });
    pieces.truncate(FAST);
    let is_solved = found.outcome.status.is_solved();
    Some(Design {
        airflow_m3_s: found.blower_m3_s?,
        airflow_stated: system.unit.airflow_for_curve_m3_s().is_some(),
        own_curve: system.unit.blower.kind == BlowerKind::Points,
        static_pa: supply - back,
        static_practice: STATIC,
        fast: pieces,
        steepest,
        friction_practice: FRICTION,
        registers: registers(system, &found),
        doubt: if is_solved {
            String::new()
        } else {
            "the running design did not settle: its figures are the last ones reached".to_owned()
        },
    })
}

/// Static pressure from plenum to plenum of the running design, Pa.
pub(super) fn static_pa(system: &System) -> Option<f64> {
    let found = running(system)?;
    let settled = found.outcome.status.is_solved();
    let (supply, back) = (found.supply_plenum_pa?, found.return_plenum_pa?);
    settled.then_some(supply - back)
}

fn running(system: &System) -> Option<FlowState> {
    let (ln_q25, n) = system.prior_laws();
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    running_state(system, laws).ok()
}

/// Straight duct with velocity and friction; what is lost by turns and velocity changes at its ends is left out.
fn straight(system: &System, found: &FlowState) -> Vec<FastPiece> {
    let has_branches = |piece: &crate::system::Piece| {
        // A trunk is what others leave: a run with no register of its own at the end.
        piece
            .run
            .is_some_and(|run| system.runs[run].opening.is_none())
    };
    system
        .graph
        .edge_weights()
        .zip(&found.pieces)
        .filter(|(piece, _)| piece.kind == PieceKind::Straight && piece.length_m > 0.0)
        .filter_map(|(piece, state)| {
            let state = (*state)?;
            let velocity = state.velocity_m_s?.abs();
            let lost = (state.tail_pa - state.head_pa).abs();
            let by_turns = piece.loss.max(0.0) * 0.5 * STANDARD_DENSITY * velocity * velocity;
            Some(FastPiece {
                id: piece.id.clone(),
                side: piece.side,
                velocity_m_s: velocity,
                practice: if piece.side == Side::Supply && has_branches(piece) {
                    SUPPLY_TRUNK
                } else {
                    BRANCH_OR_RETURN
                },
                friction_pa_m: (lost - by_turns).max(0.0) / piece.length_m,
            })
        })
        .collect()
}

/// The supply register that gets least of what is meant, then the one with the longest loss; one row where they are one.
fn registers(system: &System, found: &FlowState) -> Vec<Register> {
    let Some(plenum) = found.supply_plenum_pa else {
        return Vec::new();
    };
    let all: Vec<Register> = system
        .openings
        .iter()
        .enumerate()
        .filter(|(_, opening)| opening.side == Side::Supply)
        .filter_map(|(index, opening)| {
            let state = found.openings[index];
            Some(Register {
                opening: index,
                loss_pa: plenum - state.behind_pa?,
                flow_m3_s: state.into_room_m3_s,
                meant_m3_s: system.runs[opening.run].design_flow_m3_s,
            })
        })
        .collect();
    let part = |r: &Register| r.meant_m3_s.filter(|m| *m > 0.0).map(|m| r.flow_m3_s / m);
    let short = all
        .iter()
        .filter(|r| part(r).is_some())
        .min_by(|a, b| part(a).unwrap_or(1.0).total_cmp(&part(b).unwrap_or(1.0)));
    let far = all.iter().max_by(|a, b| a.loss_pa.total_cmp(&b.loss_pa));
    let mut kept: Vec<Register> = Vec::new();
    for row in short.into_iter().chain(far) {
        if !kept.iter().any(|k| k.opening == row.opening) {
            kept.push(row.clone());
        }
    }
    kept
}
