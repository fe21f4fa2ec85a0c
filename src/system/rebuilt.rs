//! The same system built otherwise.

use super::types::{PieceKind, PlaceIdx, Seam, SeamAt, SeamRole, Side, System};
use super::variant::Change;
use crate::catalog::{Catalog, JointType, Work};

impl System {
    /// This system as its sketch builds it, before any test: no readings, looks or sealing, and nothing that follows from
    /// them.
    #[must_use]
    pub fn before_any_test(&self) -> System {
        let mut system = self.clone();
        for (i, seam) in system.before_looks.drain(..) {
            system.seams[i] = seam;
        }
        system.readings.clear();
        system.looks.clear();
        system.sealing.clear();
        system
    }

    /// This system with some things built otherwise; sketch, readings and looks stay as they are.
    ///
    /// A seam that changes its workmanship or joint type keeps its length and what its sheet thickness does to it, and
    /// takes mean, spread and exponent of the catalogue's other row; one with a person's own figure stays. What the sketch
    /// forgot keeps its part of the side's seams. Pressure losses of fittings stay as they are.
    #[must_use]
    pub fn built_otherwise(&self, catalog: &Catalog, changes: &[Change]) -> System {
        let mut system = self.clone();
        swap_joints(&mut system.seams, catalog, changes);
        // Where several places change, what lies there follows where it lay at first.
        let new_place = |was: PlaceIdx| {
            let to = changes.iter().find_map(|change| match change {
                Change::Move { from, to } if *from == was => Some(*to),
                _ => None,
            });
            to.unwrap_or(was)
        };
        for seam in &mut system.seams {
            seam.place = new_place(seam.place);
        }
        for piece in system.graph.edge_weights_mut() {
            piece.place = new_place(piece.place);
        }
        system.unit.place = new_place(system.unit.place);
        for change in changes {
            match change {
                Change::Work { seams, work } => {
                    for &i in seams {
                        let seam = &mut system.seams[i];
                        if let Some(joint) = catalog.joint(&seam.joint_type) {
                            remake(seam, catalog, joint, *work);
                        }
                    }
                }
                Change::Swap { .. } | Change::Move { .. } => {}
                Change::Shorter { runs, by } => shorten(&mut system, catalog, runs, 1.0 - by),
            }
        }
        keep_forgotten_part(&self.seams, &mut system.seams);
        system
    }
}

/// Gives every seam the joint type that takes the place of its own; where several change, each follows what it was at
/// first.
pub(super) fn swap_joints(seams: &mut [Seam], catalog: &Catalog, changes: &[Change]) {
    for seam in seams {
        let to = changes.iter().find_map(|change| match change {
            Change::Swap { from, to } if *from == seam.joint_type => catalog.joint(to),
            _ => None,
        });
        if let Some(joint) = to {
            let work = seam.work;
            remake(seam, catalog, joint, work);
        }
    }
}

/// Gives a seam the figures of a joint type in a workmanship; its amount, its factor for its sheet and a person's own
/// figure stay.
pub(super) fn remake(seam: &mut Seam, catalog: &Catalog, joint: &JointType, work: Work) {
    let Some(was) = catalog.joint(&seam.joint_type) else {
        return;
    };
    if seam.own_figure || seam.role == SeamRole::Unsketched {
        return;
    }
    let (was, now) = (was.state(seam.work), joint.state(work));
    seam.mean_q25_m3_s *= now.mean_q25 / was.mean_q25;
    seam.gsd = now.gsd;
    seam.n = now.n;
    seam.work = work;
    if seam.joint_type != joint.id {
        seam.joint_type.clone_from(&joint.id);
        seam.joint_name.clone_from(&joint.name);
        seam.field_made = joint.field_made;
        seam.gross_chance = joint.gross_chance;
    }
}

/// Shortens the straight duct of runs, with the lengthwise seams and the joints between lengths that lie on it: counted
/// in proportion, not by whole lengths.
fn shorten(system: &mut System, catalog: &Catalog, runs: &[usize], part: f64) {
    let is_ours = |run: Option<usize>| run.is_some_and(|run| runs.contains(&run));
    let graph = &system.graph;
    for seam in &mut system.seams {
        let SeamAt::Piece(edge, _) = seam.at else {
            continue;
        };
        let piece = &graph[edge];
        let brings = catalog
            .joint(&seam.joint_type)
            .is_some_and(|joint| matches!(joint.group.as_str(), "seam" | "joint" | "cavity"));
        if brings && piece.kind == PieceKind::Straight && is_ours(piece.run) {
            seam.amount *= part;
            seam.mean_q25_m3_s *= part;
        }
    }
    for piece in system.graph.edge_weights_mut() {
        if piece.kind == PieceKind::Straight && is_ours(piece.run) {
            piece.length_m *= part;
            piece.surface_m2 *= part;
        }
    }
    for &run in runs {
        if let Some(run) = system.runs.get_mut(run) {
            run.length_m *= part;
        }
    }
}

/// Scales what the sketch forgot on each side as the side's seams were scaled.
fn keep_forgotten_part(was: &[Seam], now: &mut [Seam]) {
    let known = |seams: &[Seam], side: Side| -> f64 {
        seams
            .iter()
            .filter(|s| s.side == side && s.role != SeamRole::Unsketched)
            .map(|s| s.mean_q25_m3_s)
            .fold(0.0, |sum, q| sum + q)
    };
    for side in [Side::Supply, Side::Return] {
        let (before, after) = (known(was, side), known(now, side));
        if before > 0.0 {
            for seam in now
                .iter_mut()
                .filter(|s| s.side == side && s.role == SeamRole::Unsketched)
            {
                seam.mean_q25_m3_s *= after / before;
            }
        }
    }
}
