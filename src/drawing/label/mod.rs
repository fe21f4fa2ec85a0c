//! Where names go: a real placement step, so that no label overlaps another, the ducts' marks or the sheet's edge.
//!
//! # Method
//! Labels choose in order of priority, each the cheapest free spot among sixteen positions round its point at a few
//! distances, then, with a leader line, among rings further away ([`pattern`]). Rounds of local improvement follow: a
//! label without a spot may push up to two others to spots of their own, leaders that cross are asked again in the other
//! order, every label looks once more for a cheaper spot ([`improve`]). All limits are counts, never a clock, and nothing is
//! drawn at random: same input, same answer.
//!
//! A box never overlaps another, never touches a hard obstacle, never leaves the frame, never lies on another label's
//! leader; a leader never runs through another label's box nor through a hard rectangle (a text, a table) other than
//! the one it starts in. Everything else is a cost ([`spot`]).
//!
//! # Source
//! Positions round a point ranked by preference, and their improvement one by one, as compared in "An empirical study of
//! algorithms for point-feature label placement", ACM Transactions on Graphics 14, 1995 (from memory); rings, leaders and
//! costs are our own (engineering estimates).

mod improve;
mod pattern;
mod shape;
mod spot;
#[cfg(test)]
mod tests;

use improve::Board;
pub(super) use shape::{grown, point_to_segment};
use spot::Ground;

/// A rectangle, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Left.
    pub x0: f64,
    /// Top.
    pub y0: f64,
    /// Right.
    pub x1: f64,
    /// Bottom.
    pub y1: f64,
}

/// What a label must or should keep off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// A rectangle.
    Box(Rect),
    /// A thick line with round ends; a disc where both ends are one point.
    Line {
        /// One end, mm.
        a: [f64; 2],
        /// Other end, mm.
        b: [f64; 2],
        /// Half its width, mm.
        half_mm: f64,
    },
}

/// A thing on the sheet. One whose measures are not finite is passed over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Obstacle {
    /// Shape.
    pub shape: Shape,
    /// `None`: a label never touches it. `Some(cost)`: it may, at this cost per mm² covered. For scale: a leader costs 2 and
    /// a quarter for every em of its length, the worst side of a point 1 more than the best. So 0.2 keeps names off where
    /// there is room, 0.02 only breaks ties.
    pub cost: Option<f64>,
}

/// A name that wants a spot.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Lines of text.
    pub lines: Vec<String>,
    /// Size of the letters (em), mm.
    pub size_mm: f64,
    /// Bold.
    pub bold: bool,
    /// Point that it names, mm.
    pub at: [f64; 2],
    /// Distance to keep from that point, mm. Below zero the label may stand on its point, in the middle.
    pub clear_mm: f64,
    /// Labels of higher priority choose first.
    pub priority: f64,
    /// Whether it may stand away from its point with a leader line.
    pub leader: bool,
}

/// Where a label went.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Box of the whole label.
    pub rect: Rect,
    /// Start of each line's baseline (text anchored at its start), mm.
    pub baselines: Vec<[f64; 2]>,
    /// Width of each line, mm: to be written as `textLength`.
    pub widths: Vec<f64>,
    /// From the point to the label, where it stands away.
    pub leader: Option<[[f64; 2]; 2]>,
}

/// All labels of one sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Labelled {
    /// In the order asked; `None` where no free spot was found.
    pub placed: Vec<Option<Placed>>,
}

/// Places labels. No two boxes of the answer overlap, none touches a hard obstacle or leaves `frame`; same input, same
/// answer. Labels without letters, of no size or at no finite point find no spot.
///
/// # Accuracy
/// Not the best arrangement, a good one: 400 labels among 4000 obstacles take a fraction of a second.
///
/// # Examples
/// ```
/// use ductseam::drawing::{Label, Rect, place_labels};
///
/// let label = Label {
///     lines: vec!["kitchen".to_owned()],
///     size_mm: 2.5,
///     bold: false,
///     at: [50.0, 40.0],
///     clear_mm: 1.0,
///     priority: 1.0,
///     leader: true,
/// };
/// let sheet = Rect { x0: 0.0, y0: 0.0, x1: 100.0, y1: 80.0 };
/// let answer = place_labels(&[label], &[], sheet);
/// let spot = answer.placed[0].as_ref().unwrap();
/// assert!((spot.rect.x0 - 51.0).abs() < 1e-9); // to the right of its point
/// assert!(spot.leader.is_none());
/// ```
#[must_use]
pub fn place_labels(labels: &[Label], obstacles: &[Obstacle], frame: Rect) -> Labelled {
    let ground = Ground::new(labels, obstacles, frame);
    let mut board = Board::new(&ground, labels);
    board.fill();
    board.improve();
    Labelled {
        placed: board.placed(),
    }
}
