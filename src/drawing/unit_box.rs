//! The unit: its boxes in the plan, and the enlarged view beside it with a place for each of its seams.

use super::ask::View;
use super::label::Rect;
use super::sheet::{Layout, Panel};
use super::svg::{num, polyline};
use super::symbols::box_path;
use crate::system::{Seam, SeamAt, SeamRole, Side, System};

/// Where the boxes of the unit lie along y, m from the supply plenum: the parts stand a third of a metre apart in the
/// walk's frame, which is a drawing and no survey.
const SUPPLY_Y: [f64; 2] = [-0.2, 0.25];
const CABINET_Y: [f64; 2] = [-0.8, -0.2];
const RETURN_Y: [f64; 2] = [-1.25, -0.8];
/// Half the height of the boxes in an isometric view, m.
const HALF_HIGH: f64 = 0.3;

/// One box of the unit on a panel.
#[derive(Debug, Clone)]
pub(super) struct UnitPart {
    pub side: Option<Side>,
    /// Faces, the nearest last.
    pub faces: Vec<Vec<[f64; 2]>>,
}

/// How near the unit's middle is to the eye, m.
pub(super) fn nearness(system: &System) -> f64 {
    let [x, y, z] = super::geometry::position(system, system.unit.supply_plenum);
    let middle = 0.5 * (CABINET_Y[0] + CABINET_Y[1]);
    super::project::nearness(View::Isometric, [x, y + middle, z])
}

/// The boxes of the unit: return plenum, cabinet, supply plenum, the farthest from the eye first.
pub(super) fn parts(system: &System, panel: &Panel, view: View) -> Vec<UnitPart> {
    let width = |edge| {
        system.graph.edge_weight(edge).map_or(0.5, |piece| {
            super::geometry::width_m(piece.section).clamp(0.3, 3.0)
        })
    };
    let supply = width(system.unit.outlet_piece);
    let back = width(system.unit.inlet_piece);
    let at = super::geometry::position(system, system.unit.supply_plenum);
    let z = at[2];
    let mut parts = [
        (Some(Side::Return), back, RETURN_Y),
        (None, supply.max(back), CABINET_Y),
        (Some(Side::Supply), supply, SUPPLY_Y),
    ];
    if view == View::Isometric {
        // Seen from the south-east: the northernmost is the farthest.
        parts.reverse();
    }
    parts
        .into_iter()
        .map(|(side, w, [y0, y1])| {
            let p = |x: f64, y: f64, z: f64| panel.point([at[0] + x, at[1] + y, z]);
            let (l, r) = (-0.5 * w, 0.5 * w);
            let faces = match view {
                View::Plan => vec![vec![p(l, y0, z), p(r, y0, z), p(r, y1, z), p(l, y1, z)]],
                View::Isometric => {
                    let (b, t) = (z - HALF_HIGH, z + HALF_HIGH);
                    vec![
                        vec![p(l, y0, b), p(r, y0, b), p(r, y0, t), p(l, y0, t)],
                        vec![p(r, y0, b), p(r, y1, b), p(r, y1, t), p(r, y0, t)],
                        vec![p(l, y0, t), p(r, y0, t), p(r, y1, t), p(l, y1, t)],
                    ]
                }
            };
            UnitPart { side, faces }
        })
        .collect()
}

/// The box round points.
pub(super) fn bounds(points: &[[f64; 2]]) -> Rect {
    let mut r = Rect {
        x0: f64::INFINITY,
        y0: f64::INFINITY,
        x1: f64::NEG_INFINITY,
        y1: f64::NEG_INFINITY,
    };
    for p in points {
        r.x0 = r.x0.min(p[0]);
        r.x1 = r.x1.max(p[0]);
        r.y0 = r.y0.min(p[1]);
        r.y1 = r.y1.max(p[1]);
    }
    r
}

/// The enlarged view.
#[derive(Debug, Clone, Copy)]
pub(super) struct Detail {
    pub rect: Rect,
    pub supply: Rect,
    pub cabinet: Rect,
    pub back: Rect,
    pub forgot: [Rect; 2],
}

/// Room for a name beside the boxes, mm.
pub(super) fn name_room(layout: &Layout) -> f64 {
    0.5 * (layout.column.x1 - layout.column.x0) - 5.5 - 3.0
}

/// Half the room of the words between the boxes of what the sketch forgot, mm.
const FORGOT_MM: f64 = 7.5;

/// Height of the enlarged view with its title, mm.
pub(super) const DETAIL_MM: f64 = 55.0;

/// Lays the enlarged view out at the foot of the legend.
pub(super) fn detail(layout: &Layout) -> Detail {
    let c = layout.column;
    let rect = Rect {
        x0: c.x0,
        y0: c.y1 - DETAIL_MM,
        x1: c.x1,
        y1: c.y1,
    };
    // Names stand at both sides.
    let centre = 0.5 * (rect.x0 + rect.x1);
    let (x0, x1) = (centre - 5.5, centre + 5.5);
    let y = rect.y0 + 6.0;
    let part = |from: f64, to: f64| Rect {
        x0,
        y0: y + from,
        x1,
        y1: y + to,
    };
    let foot = rect.y1 - 1.5;
    // The supply's at the right, the return's at the left of their name.
    let forgot = |from: f64| Rect {
        x0: centre + from,
        y0: foot - 4.0,
        x1: centre + from + 5.0,
        y1: foot,
    };
    Detail {
        rect,
        supply: part(0.0, 12.0),
        cabinet: part(13.0, 28.0),
        back: part(29.0, 41.0),
        forgot: [forgot(FORGOT_MM), forgot(-FORGOT_MM - 5.0)],
    }
}

impl Detail {
    /// The middle of the cabinet: inlet section below, outlet section above.
    pub fn middle(&self) -> f64 {
        0.5 * (self.cabinet.y0 + self.cabinet.y1)
    }

    /// A seam of the unit, or of what the sketch forgot: its path and its two ends; `None` for one that has no place of
    /// its own.
    pub fn mark(&self, system: &System, seam: &Seam) -> Option<(String, [[f64; 2]; 2])> {
        let side = usize::from(seam.side == Side::Return);
        match seam.role {
            SeamRole::Unsketched => {
                let r = self.forgot[side];
                return Some((box_path(r), [[r.x0, r.y0], [r.x1, r.y0]]));
            }
            SeamRole::CabinetInlet => {
                return Some(upright(
                    self.cabinet.x0,
                    self.middle() + 0.8,
                    self.cabinet.y1 - 0.8,
                ));
            }
            SeamRole::CabinetOutlet => {
                return Some(upright(
                    self.cabinet.x0,
                    self.cabinet.y0 + 0.8,
                    self.middle() - 0.8,
                ));
            }
            SeamRole::FilterSlot => {
                return Some(upright(
                    self.cabinet.x1,
                    self.cabinet.y1 - 4.2,
                    self.cabinet.y1 - 1.0,
                ));
            }
            SeamRole::Duct | SeamRole::BootGap(_) => {}
        }
        let id = seam.id.strip_prefix("unit/")?;
        let plenum = if side == 0 { self.supply } else { self.back };
        match id {
            "supply connection" => Some(level(plenum, self.supply.y1 + 0.5)),
            "return connection" => Some(level(plenum, self.back.y0 - 0.5)),
            "line entry" => {
                let at_outlet = seam.at == SeamAt::Junction(system.unit.cabinet_outlet);
                let y = if at_outlet {
                    self.cabinet.y0 + 3.6
                } else {
                    self.middle() + 2.0
                };
                let (a, b) = (self.cabinet.x1 - 0.8, self.cabinet.x1 + 1.4);
                let d: String = [-1.0, 0.0, 1.0]
                    .map(|k| polyline(&[[a, y + k], [b, y + k]]))
                    .concat();
                Some((d, [[a, y], [b, y]]))
            }
            _ => {
                let plenum_id = id.strip_prefix(if side == 0 {
                    "supply plenum "
                } else {
                    "return plenum "
                })?;
                let joint = plenum_id
                    .strip_prefix("joint ")
                    .and_then(|k| k.parse::<u32>().ok());
                match joint {
                    Some(k @ 1..=3) => {
                        let part = f64::from(k) / 4.0;
                        Some(level(plenum, plenum.y0 + part * (plenum.y1 - plenum.y0)))
                    }
                    Some(_) => None,
                    None => Some(upright(plenum.x0, plenum.y0 + 1.0, plenum.y1 - 1.0)),
                }
            }
        }
    }

    /// Where a seam without a place of its own is put: in a row under the return plenum.
    pub fn spare(&self, k: usize) -> (String, [[f64; 2]; 2]) {
        let x = self.back.x0 + 1.4 * (k % 10) as f64;
        let y = self.back.y1 + 0.3;
        let ends = [[x, y], [x, y + 1.2]];
        (polyline(&ends), ends)
    }
}

fn upright(x: f64, y0: f64, y1: f64) -> (String, [[f64; 2]; 2]) {
    (
        format!("M{} {}V{}", num(x), num(y0), num(y1)),
        [[x, y1], [x, y0]],
    )
}

fn level(r: Rect, y: f64) -> (String, [[f64; 2]; 2]) {
    let (a, b) = (r.x0 - 0.7, r.x1 + 0.7);
    (
        format!("M{} {}H{}", num(a), num(y), num(b)),
        [[a, y], [b, y]],
    )
}
