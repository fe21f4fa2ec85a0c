//! Small symbols: registers, grilles, risers, dampers, and the box of a word.

use super::geometry::{across, off};
use super::label::Rect;
use super::sheet::Layout;
use super::svg::{Svg, circle, polygon, polyline};
use super::tracks::RISER_R;
use crate::system::{LeadsTo, Opening, Side};

/// Size of a register on the sheet, mm, to scale within bounds.
pub(super) fn register_mm(opening: &Opening, layout: &Layout) -> [f64; 2] {
    let side = |m: f64| {
        let mm = m * layout.mm_per_m;
        if mm.is_finite() {
            mm.clamp(2.6, 9.0)
        } else {
            2.6
        }
    };
    [
        side(opening.size.width().si()),
        side(opening.size.height().si()),
    ]
}

/// The box of a register at a point.
pub(super) fn register_box(opening: &Opening, at: [f64; 2], layout: &Layout) -> Rect {
    let [w, h] = register_mm(opening, layout);
    Rect {
        x0: at[0] - 0.5 * w,
        y0: at[1] - 0.5 * h,
        x1: at[0] + 0.5 * w,
        y1: at[1] + 0.5 * h,
    }
}

/// A rectangle as a path.
pub(super) fn box_path(r: Rect) -> String {
    polygon(&[[r.x0, r.y0], [r.x1, r.y0], [r.x1, r.y1], [r.x0, r.y1]])
}

/// A supply register (crossed box), a return grille (barred box) or an intake (box with a triangle), as a path.
pub(super) fn register_path(r: Rect, side: Side, leads_to: LeadsTo) -> String {
    let mut d = box_path(r);
    match (leads_to, side) {
        (LeadsTo::Outdoors, _) => d.push_str(&polygon(&[
            [r.x0, r.y1],
            [0.5 * (r.x0 + r.x1), r.y0],
            [r.x1, r.y1],
        ])),
        (_, Side::Supply) => {
            d.push_str(&polyline(&[[r.x0, r.y0], [r.x1, r.y1]]));
            d.push_str(&polyline(&[[r.x1, r.y0], [r.x0, r.y1]]));
        }
        (_, Side::Return) => {
            for k in 1..4 {
                let y = r.y0 + 0.25 * f64::from(k) * (r.y1 - r.y0);
                d.push_str(&polyline(&[[r.x0, y], [r.x1, y]]));
            }
        }
    }
    d
}

/// A riser: a circle with an arrow up or down; `None`, where one arrives from another level, a dot.
pub(super) fn riser(svg: &mut Svg, at: [f64; 2], up: Option<bool>) {
    svg.path(&circle(at, RISER_R), &[("class", "riser")]);
    let [x, y] = at;
    match up {
        Some(up) => {
            let s = if up { 1.0 } else { -1.0 };
            let arrow = polygon(&[
                [x, y - s],
                [x + 0.75, y + 0.55 * s],
                [x - 0.75, y + 0.55 * s],
            ]);
            svg.path(
                &arrow,
                &[
                    ("class", "riser-arrow"),
                    ("fill", super::palette::INK),
                    ("stroke", "none"),
                ],
            );
        }
        None => svg.path(
            &circle(at, 0.5),
            &[
                ("class", "riser-arrow"),
                ("fill", super::palette::INK),
                ("stroke", "none"),
            ],
        ),
    }
}

/// A damper: a slanted blade across the duct.
pub(super) fn damper(at: [f64; 2], along: [f64; 2], half: f64) -> String {
    let (h, a) = (half + 0.5, across(along));
    let p = off(off(at, a, h), along, 0.6 * h);
    let q = off(off(at, a, -h), along, -0.6 * h);
    let mut d = polyline(&[p, q]);
    d.push_str(&circle(at, 0.35));
    d
}

/// The mark at the end of a seam for its reach: nothing, a ring, a square, a cross.
pub(super) fn reach_glyph(reach: crate::system::Reach, at: [f64; 2]) -> String {
    use crate::system::Reach;
    let [x, y] = at;
    match reach {
        Reach::Open => String::new(),
        Reach::UnderInsulation => circle(at, 0.5),
        Reach::BehindFinish => box_path(Rect {
            x0: x - 0.4,
            y0: y - 0.4,
            x1: x + 0.4,
            y1: y + 0.4,
        }),
        Reach::None => {
            let mut d = polyline(&[[x - 0.5, y - 0.5], [x + 0.5, y + 0.5]]);
            d.push_str(&polyline(&[[x - 0.5, y + 0.5], [x + 0.5, y - 0.5]]));
            d
        }
    }
}
