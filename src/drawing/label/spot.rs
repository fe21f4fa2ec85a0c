//! What a spot costs on the sheet: obstacles, other points, other labels.

use std::f64::consts::PI;

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::pattern::{Block, Spot};
use super::shape::{
    bounds, common, cross, grown, holds, inside, point_to_box, point_to_segment, segment_to_box,
    segment_to_segment, shape_bounds, touch,
};
use super::{Label, Obstacle, Rect, Shape};
use crate::math::hypot;

/// Room between a label and a hard obstacle, mm (engineering estimate: about a printed hairline).
const KEEP_MM: f64 = 0.15;
/// Room between two labels, mm (engineering estimate).
const GAP_MM: f64 = 0.4;
/// Room between a leader and a label that is not its own, mm (engineering estimate).
const LEADER_GAP_MM: f64 = 0.3;
/// A thin soft line counts as wide as this, mm: also a hairline through a name harms it.
const THINNEST_MM: f64 = 0.3;
/// Parallel lines that stand for a thick one where its area under a label is asked.
const STRIPS: usize = 5;
/// Cost of lying on another label's point, and of a leader that passes one within [`PASSING_MM`].
const ON_POINT: f64 = 2.5;
const PAST_POINT: f64 = 0.8;
const PASSING_MM: f64 = 0.5;
/// Cost of a leader over a hard line, and of two leaders that cross.
const OVER_LINE: f64 = 1.0;
const CROSSING: f64 = 4.0;

type Tree = RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>;

/// What stands still while labels are placed.
pub(super) struct Ground {
    frame: Rect,
    obstacles: Vec<Obstacle>,
    tree: Tree,
    points: Tree,
    /// Labels as blocks, in the order asked.
    pub blocks: Vec<Option<Block>>,
}

impl Ground {
    pub fn new(labels: &[Label], obstacles: &[Obstacle], frame: Rect) -> Ground {
        let boxed = obstacles
            .iter()
            .enumerate()
            .filter_map(|(k, obstacle)| Some(leaf(shape_bounds(&obstacle.shape)?, k)))
            .collect();
        let blocks: Vec<Option<Block>> = labels.iter().map(Block::new).collect();
        let points = blocks
            .iter()
            .enumerate()
            .filter_map(|(k, block)| {
                let at = block.as_ref()?.at();
                Some(leaf(bounds([at, at]), k))
            })
            .collect();
        Ground {
            frame,
            obstacles: obstacles.to_vec(),
            tree: RTree::bulk_load(boxed),
            points: RTree::bulk_load(points),
            blocks,
        }
    }

    /// What a spot costs whatever the other labels do; infinite where it cannot be.
    pub fn cost(&self, block: &Block, spot: &Spot) -> f64 {
        if !holds(self.frame, spot.rect) {
            return f64::INFINITY;
        }
        let mut cost = 0.0;
        for leaf in self
            .tree
            .locate_in_envelope_intersecting(envelope(grown(spot.rect, KEEP_MM)))
        {
            cost += box_cost(spot.rect, &self.obstacles[leaf.data]);
        }
        if cost.is_infinite() {
            return cost;
        }
        if let Some(leader) = spot.leader {
            for leaf in self
                .tree
                .locate_in_envelope_intersecting(envelope(bounds(leader)))
            {
                cost += leader_cost(leader, block.clear_mm(), &self.obstacles[leaf.data]);
            }
            if cost.is_infinite() {
                return cost;
            }
        }
        cost + self.points_cost(block, spot)
    }

    /// Other labels' points under a label or beside its leader.
    fn points_cost(&self, block: &Block, spot: &Spot) -> f64 {
        let own = block.at();
        let is_other = |p: [f64; 2]| hypot(p[0] - own[0], p[1] - own[1]) > 1e-6;
        let others = |around: Rect| {
            self.points
                .locate_in_envelope_intersecting(envelope(around))
                .map(|leaf| leaf.geom().lower())
                .filter(|&p| is_other(p))
        };
        let around = grown(spot.rect, 0.1 * block.em_mm());
        let mut cost = ON_POINT * others(around).count() as f64;
        if let Some(leader) = spot.leader {
            let near = others(grown(bounds(leader), PASSING_MM))
                .filter(|&p| point_to_segment(p, leader) < PASSING_MM)
                .count();
            cost += PAST_POINT * near as f64;
        }
        cost
    }
}

/// What two labels cost each other; infinite where they cannot both be.
pub(super) fn between(a: &Spot, b: &Spot) -> f64 {
    if touch(grown(a.rect, GAP_MM), b.rect) {
        return f64::INFINITY;
    }
    for (leader, rect) in [(a.leader, b.rect), (b.leader, a.rect)] {
        if leader.is_some_and(|leader| inside(grown(rect, LEADER_GAP_MM), leader).is_some()) {
            return f64::INFINITY;
        }
    }
    match (a.leader, b.leader) {
        (Some(one), Some(other)) if is_crossing(one, other) => CROSSING,
        _ => 0.0,
    }
}

/// Leaders from one point do not cross: they part there.
fn is_crossing(one: [[f64; 2]; 2], other: [[f64; 2]; 2]) -> bool {
    let start = hypot(one[0][0] - other[0][0], one[0][1] - other[0][1]);
    start > 1e-6 && cross(one, other)
}

fn box_cost(rect: Rect, obstacle: &Obstacle) -> f64 {
    match (obstacle.shape, obstacle.cost) {
        (Shape::Box(_), None) => f64::INFINITY,
        (Shape::Box(other), Some(cost)) => per_mm2(cost) * common(rect, bounds(corners(other))),
        (Shape::Line { a, b, half_mm }, None) => {
            if segment_to_box([a, b], rect) <= half_mm.max(0.0) + KEEP_MM {
                f64::INFINITY
            } else {
                0.0
            }
        }
        (Shape::Line { a, b, half_mm }, Some(cost)) => {
            let half = half_mm.max(0.5 * THINNEST_MM);
            per_mm2(cost) * covered(rect, [a, b], half)
        }
    }
}

/// Area of a thick line under a box: the line as [`STRIPS`] parallel ones, its round ends left out; a disc as the square of
/// its area.
fn covered(rect: Rect, [a, b]: [[f64; 2]; 2], half: f64) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = hypot(d[0], d[1]);
    if length < 1e-9 {
        return common(rect, grown(bounds([a, b]), half * (0.25 * PI).sqrt()));
    }
    let across = [-d[1] / length, d[0] / length];
    let width = 2.0 * half / STRIPS as f64;
    (0..STRIPS)
        .filter_map(|k| {
            let off = (k as f64 + 0.5) * width - half;
            let moved = |p: [f64; 2]| [p[0] + off * across[0], p[1] + off * across[1]];
            inside(rect, [moved(a), moved(b)])
        })
        .sum::<f64>()
        * width
}

fn leader_cost(leader: [[f64; 2]; 2], clear_mm: f64, obstacle: &Obstacle) -> f64 {
    if obstacle.cost.is_some() {
        return 0.0;
    }
    match obstacle.shape {
        Shape::Box(rect) => {
            let rect = bounds(corners(rect));
            let starts_there = point_to_box(leader[0], rect) <= clear_mm + KEEP_MM;
            if !starts_there && inside(rect, leader).is_some() {
                f64::INFINITY
            } else {
                0.0
            }
        }
        Shape::Line { a, b, half_mm } => {
            let starts_there = point_to_segment(leader[0], [a, b]) <= half_mm + clear_mm + KEEP_MM;
            if !starts_there && segment_to_segment(leader, [a, b]) <= half_mm {
                OVER_LINE
            } else {
                0.0
            }
        }
    }
}

fn per_mm2(cost: f64) -> f64 {
    if cost.is_nan() { 0.0 } else { cost.max(0.0) }
}

fn corners(rect: Rect) -> [[f64; 2]; 2] {
    [[rect.x0, rect.y0], [rect.x1, rect.y1]]
}

fn leaf(rect: Rect, data: usize) -> GeomWithData<Rectangle<[f64; 2]>, usize> {
    GeomWithData::new(Rectangle::from_aabb(envelope(rect)), data)
}

fn envelope(rect: Rect) -> AABB<[f64; 2]> {
    AABB::from_corners([rect.x0, rect.y0], [rect.x1, rect.y1])
}
