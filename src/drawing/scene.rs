//! Everything that a sheet's layers share: where ducts, marks and names are.

use super::ask::{DrawAsk, DrawnFacts, View};
use super::base::LEVEL_MM;
use super::geometry::{Bit, bits};
use super::label::grown;
use super::label::{Label, Obstacle, Placed, Rect, Shape, place_labels};
use super::levels::Levels;
use super::notes::Notes;
use super::sheet::{LARGE, Layout, lay_out, small_mm};
use super::spots::{Frame, Ground, Spots, spots};
use super::svg::{Line, Svg, num, polyline};
use super::symbols::register_box;
use super::tracks::{Lines, RISER_R, lines};
use super::unit_box::{Detail, UnitPart, bounds, detail, parts};
use crate::allocate::Allocation;
use crate::math::hypot;

/// What is drawn, laid out.
pub(super) struct Scene<'a> {
    pub facts: &'a DrawnFacts<'a>,
    /// Stop and cautions.
    pub notes: Notes,
    pub ask: DrawAsk,
    pub bits: Vec<Bit>,
    /// Where each junction is drawn, m.
    pub node_at: Vec<[f64; 3]>,
    pub levels: Levels,
    pub layout: Layout,
    pub lines: Lines,
    pub detail: Detail,
    pub unit: Vec<UnitPart>,
    pub spots: Spots,
    /// Width of each seam's line, mm.
    pub widths: Vec<f64>,
    /// Em of names, mm.
    pub text: f64,
    /// Em of tables and keys, mm.
    pub small: f64,
}

/// A label that belongs somewhere.
pub(super) struct Asked {
    pub frame: Frame,
    pub label: Label,
}

/// Widest and narrowest line of a seam, mm.
const WIDTHS: [f64; 2] = [0.35, 2.2];

/// Width of a line by the square root of the flow, mm.
///
/// # Equation
/// ```text
/// w = 0.35 + 1.85·√(q / q_max)
/// ```
pub(super) fn width_mm(q: f64, q_max: f64) -> f64 {
    let part = if q_max > 0.0 && q.is_finite() {
        (q / q_max).max(0.0)
    } else {
        0.0
    };
    WIDTHS[0] + (WIDTHS[1] - WIDTHS[0]) * part.sqrt()
}

/// The largest mean flow of a seam in the test set-up, m³/s.
pub(super) fn largest(allocation: &Allocation) -> f64 {
    allocation
        .seams
        .iter()
        .map(|s| s.test_m3_s.mean)
        .filter(|q| q.is_finite())
        .fold(0.0, f64::max)
}

impl<'a> Scene<'a> {
    /// Lays everything out.
    pub fn new(
        facts: &'a DrawnFacts<'a>,
        ask: &DrawAsk,
        allocation: Option<&Allocation>,
    ) -> Scene<'a> {
        let system = facts.system;
        let (bits, node_at) = bits(system);
        let levels = match ask.view {
            View::Plan => Levels::of(system, &bits),
            View::Isometric => Levels::one(system),
        };
        let notes = Notes::of(facts, &ask.layers);
        let layout = lay_out(ask.sheet, ask.units, ask.view, &bits, &levels, &notes);
        let lines = lines(system, &bits, &levels, &layout, ask.view);
        let detail = detail(&layout);
        let unit = parts(system, &layout.panels[levels.unit], ask.view);
        let widths: Vec<f64> = match allocation {
            Some(a) => {
                let most = largest(a);
                a.seams
                    .iter()
                    .map(|s| width_mm(s.test_m3_s.mean, most))
                    .collect()
            }
            None => vec![0.5; system.seams.len()],
        };
        let unit_boxes = unit
            .iter()
            .flat_map(|part| part.faces.iter().map(|face| bounds(face)))
            .collect();
        let spots = spots(&Ground {
            system,
            view: ask.view,
            catalog: facts.catalog,
            bits: &bits,
            node_at: &node_at,
            levels: &levels,
            layout: &layout,
            lines: &lines,
            detail: &detail,
            unit: (levels.unit, unit_boxes),
            widths: &widths,
        });
        let large = layout.width > LARGE;
        let small = small_mm(layout.width);
        Scene {
            facts,
            notes,
            ask: ask.clone(),
            bits,
            node_at,
            levels,
            layout,
            lines,
            detail,
            unit,
            spots,
            widths,
            text: if large { 2.5 } else { 2.3 },
            small,
        }
    }

    /// Where an opening is.
    pub fn opening_at(&self, opening: usize) -> (usize, [f64; 2]) {
        let node = self.facts.system.openings[opening].node;
        let panel = self.levels.of_node[node.index()];
        let at = self.layout.panels[panel].point(self.node_at[node.index()]);
        (panel, at)
    }

    /// All frames in which names are placed.
    pub fn frames(&self) -> Vec<Frame> {
        let mut all: Vec<Frame> = (0..self.layout.panels.len()).map(Frame::Panel).collect();
        all.push(Frame::Detail);
        all
    }

    /// Edge within which a frame's names stay.
    fn bounds(&self, frame: Frame) -> Rect {
        match frame {
            Frame::Panel(panel) => grown(self.layout.panels[panel].cell, -0.5),
            Frame::Detail => grown(self.detail.rect, -0.3),
        }
    }

    /// What names keep off, whatever the layer.
    fn ground(&self, frame: Frame) -> Vec<Obstacle> {
        let hard = |shape| Obstacle { shape, cost: None };
        let mut all = Vec::new();
        match frame {
            Frame::Panel(panel) => {
                let cell = self.layout.panels[panel].cell;
                all.push(hard(Shape::Box(Rect {
                    y1: cell.y0 + 4.4,
                    x1: cell.x0 + LEVEL_MM.min(cell.x1 - cell.x0),
                    ..cell
                })));
                for duct in self.lines.ducts.iter().filter(|d| d.panel == panel) {
                    for pair in duct.points.windows(2) {
                        all.push(Obstacle {
                            shape: Shape::Line {
                                a: pair[0],
                                b: pair[1],
                                half_mm: duct.half + 0.9,
                            },
                            cost: Some(0.3),
                        });
                    }
                }
                for (i, opening) in self.facts.system.openings.iter().enumerate() {
                    let (on, at) = self.opening_at(i);
                    if on == panel {
                        all.push(hard(Shape::Box(grown(
                            register_box(opening, at, &self.layout),
                            1.3,
                        ))));
                    }
                }
                for riser in &self.lines.risers {
                    for (on, at) in [riser.from, riser.to] {
                        if on == panel {
                            let r = RISER_R + 0.3;
                            all.push(hard(Shape::Box(Rect {
                                x0: at[0] - r,
                                y0: at[1] - r,
                                x1: at[0] + r,
                                y1: at[1] + r,
                            })));
                        }
                    }
                }
                for ladder in self.spots.ladders.iter().filter(|l| l.panel == panel) {
                    all.push(hard(Shape::Line {
                        a: ladder.from,
                        b: ladder.to,
                        half_mm: 2.0,
                    }));
                }
                if panel == self.levels.unit {
                    for part in &self.unit {
                        for face in &part.faces {
                            all.push(hard(Shape::Box(grown(bounds(face), 0.6))));
                        }
                    }
                }
            }
            Frame::Detail => {
                let d = &self.detail;
                all.push(hard(Shape::Box(Rect {
                    y1: d.rect.y0 + 5.2,
                    ..d.rect
                })));
                all.push(hard(Shape::Box(grown(d.supply, 1.6))));
                all.push(hard(Shape::Box(grown(d.cabinet, 1.9))));
                all.push(hard(Shape::Box(grown(d.back, 1.6))));
                all.push(hard(Shape::Box(Rect {
                    x0: d.forgot[1].x0 - 1.0,
                    y0: d.forgot[0].y0 - 1.0,
                    x1: d.forgot[0].x1 + 1.0,
                    y1: d.rect.y1,
                })));
            }
        }
        all
    }

    /// Places labels, frame by frame. `taken` are boxes that nothing may touch and gets those of the placed ones.
    ///
    /// At first no name may stand on the middle of a duct, nor may a leader cross one without a price; what finds no spot so,
    /// or one far away only, is asked again without that.
    pub fn place(
        &self,
        asked: &[Asked],
        marks: &[(Frame, Obstacle)],
        taken: &mut Vec<(Frame, Rect)>,
    ) -> Vec<Option<Placed>> {
        let mut placed: Vec<Option<Placed>> = vec![None; asked.len()];
        for frame in self.frames() {
            for strict in [true, false] {
                let of: Vec<usize> = (0..asked.len())
                    .filter(|&i| asked[i].frame == frame && placed[i].is_none())
                    .collect();
                if of.is_empty() {
                    continue;
                }
                let labels: Vec<Label> = of.iter().map(|&i| asked[i].label.clone()).collect();
                let mut obstacles = self.ground(frame);
                if strict {
                    obstacles.extend(self.middles(frame));
                }
                obstacles.extend(marks.iter().filter(|m| m.0 == frame).map(|m| m.1));
                obstacles.extend(taken.iter().filter(|t| t.0 == frame).map(|t| Obstacle {
                    shape: Shape::Box(t.1),
                    cost: None,
                }));
                let found = place_labels(&labels, &obstacles, self.bounds(frame));
                for (&i, spot) in of.iter().zip(found.placed) {
                    let spot = spot.filter(|spot| !(strict && is_far(spot)));
                    if let Some(spot) = &spot {
                        taken.push((frame, grown(spot.rect, 0.25)));
                    }
                    placed[i] = spot;
                }
            }
        }
        self.tie(asked, &mut placed);
        placed
    }

    /// Points in a frame that bear a name on one layer or another.
    fn named_points(&self, frame: Frame) -> Vec<[f64; 2]> {
        let Frame::Panel(panel) = frame else {
            return Vec::new();
        };
        let openings = (0..self.facts.system.openings.len()).map(|i| self.opening_at(i));
        let risers = self.lines.risers.iter().flat_map(|r| [r.from, r.to]);
        openings
            .chain(risers)
            .filter(|(on, _)| *on == panel)
            .map(|(_, at)| at)
            .collect()
    }

    /// Ties a name to its point where something else that bears a name is nearer to the name.
    fn tie(&self, asked: &[Asked], placed: &mut [Option<Placed>]) {
        for frame in self.frames() {
            let mut points = self.named_points(frame);
            points.extend(
                asked
                    .iter()
                    .filter(|a| a.frame == frame)
                    .map(|a| a.label.at),
            );
            for (one, spot) in asked.iter().zip(placed.iter_mut()) {
                let Some(spot) = spot
                    .as_mut()
                    .filter(|_| one.frame == frame && one.label.leader)
                else {
                    continue;
                };
                let at = one.label.at;
                let own = apart(at, spot.rect);
                let is_other = |p: &[f64; 2]| hypot(p[0] - at[0], p[1] - at[1]) > 0.5;
                let is_nearer = points
                    .iter()
                    .any(|p| is_other(p) && apart(*p, spot.rect) < own);
                if spot.leader.is_none() && own > 0.0 && is_nearer {
                    spot.leader = Some([at, nearest(at, spot.rect)]);
                }
            }
        }
    }

    /// The middle lines of ducts.
    fn middles(&self, frame: Frame) -> Vec<Obstacle> {
        self.lines
            .ducts
            .iter()
            .filter(|d| Frame::Panel(d.panel) == frame)
            .flat_map(|d| d.points.windows(2))
            .map(|pair| Obstacle {
                shape: Shape::Line {
                    a: pair[0],
                    b: pair[1],
                    half_mm: 0.1,
                },
                cost: None,
            })
            .collect()
    }

    /// The marks as obstacles: wide lines hard, thin ones soft.
    pub fn mark_obstacles(&self, widths: impl Fn(usize) -> f64) -> Vec<(Frame, Obstacle)> {
        let mut all = Vec::new();
        for (i, spot) in self.spots.of.iter().enumerate() {
            let Some(spot) = spot else { continue };
            let width = widths(i);
            if width <= 0.0 || spot.outline.is_some() {
                continue;
            }
            let shape = Shape::Line {
                a: spot.ends[0],
                b: spot.ends[1],
                half_mm: 0.5 * width + 0.3,
            };
            let cost = (width < 1.0).then_some(0.6);
            all.push((spot.frame, Obstacle { shape, cost }));
        }
        all
    }
}

/// The point of a box that is nearest to another point.
fn nearest(p: [f64; 2], r: Rect) -> [f64; 2] {
    [p[0].clamp(r.x0, r.x1), p[1].clamp(r.y0, r.y1)]
}

/// Distance of a point from a box, mm.
fn apart(p: [f64; 2], r: Rect) -> f64 {
    let q = nearest(p, r);
    hypot(p[0] - q[0], p[1] - q[1])
}

/// Length of a leader that is too long to follow among ducts, mm. Engineering estimate.
const FAR_MM: f64 = 16.0;

fn is_far(spot: &Placed) -> bool {
    spot.leader
        .is_some_and(|[a, b]| hypot(b[0] - a[0], b[1] - a[1]) > FAR_MM)
}

/// How a line begins that says a seam may hang open.
pub(super) const HANGS: &str = "may hang open";

/// Writes what found its place as one group of a class, leaders in `tint`; calls `missing` with the position of each label
/// that found none.
pub(super) fn write_labels(
    svg: &mut Svg,
    class: &str,
    asked: &[Asked],
    placed: &[Option<Placed>],
    tint: Option<&str>,
    mut missing: impl FnMut(usize),
) {
    svg.open(
        "g",
        &[
            ("class", class),
            ("paint-order", "stroke"),
            ("stroke", super::palette::PAPER),
            ("stroke-width", "0.5"),
            ("stroke-linejoin", "round"),
        ],
    );
    for (k, (asked, placed)) in asked.iter().zip(placed).enumerate() {
        match placed {
            Some(placed) => write_label(svg, &asked.label, placed, tint),
            None => missing(k),
        }
    }
    svg.close("g");
}

/// Writes a placed label with its leader. `tint` colours the line that begins with [`HANGS`].
fn write_label(svg: &mut Svg, label: &Label, placed: &Placed, tint: Option<&str>) {
    if let Some(leader) = placed.leader {
        svg.path(
            &polyline(&leader),
            &[
                ("class", "leader"),
                ("fill", "none"),
                ("stroke", super::palette::LEADER),
                ("stroke-width", "0.15"),
            ],
        );
    }
    for (words, at) in label.lines.iter().zip(&placed.baselines) {
        let line = Line {
            class: "",
            at: *at,
            size: label.size_mm,
            bold: label.bold,
            words,
            whole: None,
        };
        match tint.filter(|_| words.starts_with(HANGS)) {
            Some(tint) => {
                svg.open("g", &[("class", "alarm"), ("fill", tint)]);
                svg.text(line);
                svg.close("g");
            }
            None => svg.text(line),
        }
    }
}

/// A line of text at a place, shortened to a width with its whole words as a title.
pub(super) fn write_short(
    svg: &mut Svg,
    at: [f64; 2],
    size: f64,
    bold: bool,
    words: &str,
    width: f64,
    class: &str,
) {
    let short = super::svg::shortened(words, size, bold, width);
    let whole = (short != words).then_some(words);
    svg.text(Line {
        class,
        at,
        size,
        bold,
        words: &short,
        whole,
    });
}

/// `stroke-width` and such.
pub(super) fn mm(x: f64) -> String {
    num(x)
}
