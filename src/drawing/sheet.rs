//! Paper, scale and the places of panels and legend on it.

use super::ask::{Sheet, View};
use super::geometry::Bit;
use super::label::Rect;
use super::levels::Levels;
use super::notes::Notes;
use super::project::project;
use crate::math::powi;
use crate::quantity::UnitSystem;

/// Edge of the sheet kept free, mm.
const MARGIN: f64 = 7.0;
/// Width beyond which letters and legend are a little larger, mm.
pub(super) const LARGE: f64 = 350.0;
/// Height of the title, mm.
const TITLE: f64 = 13.0;
/// Height of the strip with the scale bar, mm.
const STRIP: f64 = 9.0;
/// Height of a panel's own title, mm.
const PANEL_TITLE: f64 = 5.0;
/// Room kept for names left and right, and above and below, of the ducts, mm.
const NAMES: [f64; 2] = [15.0, 8.0];
/// What every level takes beside its ducts, mm.
const KEPT: [f64; 2] = [2.0 * NAMES[0], PANEL_TITLE + 2.0 * NAMES[1]];
/// What a level spans at least, m: a system without a length is drawn too. Engineering estimate.
const SMALLEST_M: f64 = 1.5;

/// One level's drawing.
#[derive(Debug, Clone)]
pub(super) struct Panel {
    /// Level.
    pub level: usize,
    /// Its part of the sheet.
    pub cell: Rect,
    /// Sheet point of the plane's origin, mm.
    origin: [f64; 2],
    mm_per_m: f64,
    view: View,
}

impl Panel {
    /// Where a point of space is on the sheet, mm.
    pub fn point(&self, p: [f64; 3]) -> [f64; 2] {
        let [x, y] = project(self.view, p);
        [
            self.origin[0] + x * self.mm_per_m,
            self.origin[1] - y * self.mm_per_m,
        ]
    }
}

/// Everything's place on the paper.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub width: f64,
    pub height: f64,
    /// One to so many.
    pub scale: f64,
    /// The scale as it is said: `1 : 50 on A4`, `1/4 in = 1 ft (1:48) on letter`.
    pub scale_words: String,
    pub mm_per_m: f64,
    /// Whether the system has a length at all.
    pub to_scale: bool,
    /// One for each level, in the order of the levels.
    pub panels: Vec<Panel>,
    /// The framed stop, of no height where there is none.
    pub stop: Rect,
    /// Title.
    pub title: Rect,
    /// All panels.
    pub area: Rect,
    /// Cautions, of no height where there are none.
    pub foot: Rect,
    /// Scale bar and arrow.
    pub strip: Rect,
    /// Legend.
    pub column: Rect,
}

/// Em of tables and keys on a sheet of a width, mm.
pub(super) fn small_mm(width: f64) -> f64 {
    if width > LARGE { 2.3 } else { 2.1 }
}

/// What a paper is called.
fn name(sheet: Sheet) -> &'static str {
    match sheet {
        Sheet::A4 | Sheet::Fit => "A4",
        Sheet::A3 => "A3",
        Sheet::Letter => "letter",
        Sheet::Tabloid => "tabloid",
    }
}

/// Width and height of a paper, mm.
fn paper(sheet: Sheet) -> [f64; 2] {
    match sheet {
        Sheet::A4 | Sheet::Fit => [297.0, 210.0],
        Sheet::A3 => [420.0, 297.0],
        Sheet::Letter => [279.4, 215.9],
        Sheet::Tabloid => [431.8, 279.4],
    }
}

/// The person's own paper, the smaller first.
pub(super) fn papers(units: UnitSystem) -> [Sheet; 2] {
    match units {
        UnitSystem::Ip => [Sheet::Letter, Sheet::Tabloid],
        UnitSystem::Si => [Sheet::A4, Sheet::A3],
    }
}

/// Whether marks and names have room: 2 mm of duct a seam, 24 registers at most, no scale beyond 1:160. Engineering estimate,
/// from looking at drawings.
pub(super) fn is_legible(layout: &Layout, bits: &[Bit], n_seams: usize, n_openings: usize) -> bool {
    let length_m: f64 = bits.iter().map(Bit::level_m).sum();
    let per_seam = length_m * layout.mm_per_m / (n_seams.max(1) as f64);
    (per_seam >= 2.0 || n_seams < 20) && n_openings <= 24 && layout.scale <= 160.0
}

/// Lays a sheet out; one that is to fit is A4 or letter.
pub(super) fn lay_out(
    sheet: Sheet,
    units: UnitSystem,
    view: View,
    bits: &[Bit],
    levels: &Levels,
    notes: &Notes,
) -> Layout {
    let sheet = match sheet {
        Sheet::Fit => papers(units)[0],
        other => other,
    };
    let [width, height] = paper(sheet);
    let column_width = if width > LARGE { 66.0 } else { 56.0 };
    let (left, right) = (MARGIN, width - MARGIN);
    let (top, bottom) = (MARGIN, height - MARGIN);
    let stop = Rect {
        x0: left,
        y0: top,
        x1: right,
        y1: top + notes.head_mm(right - left),
    };
    let title = Rect {
        y0: stop.y1,
        y1: stop.y1 + TITLE,
        ..stop
    };
    let column = Rect {
        x0: right - column_width,
        y0: title.y1 + 1.0,
        x1: right,
        y1: bottom,
    };
    let strip = Rect {
        x0: left,
        y0: bottom - STRIP,
        x1: column.x0 - 4.0,
        y1: bottom,
    };
    let foot = Rect {
        y0: strip.y0 - notes.foot_mm(strip.x1 - strip.x0, small_mm(width)),
        y1: strip.y0,
        ..strip
    };
    let area = Rect {
        x0: left,
        y0: title.y1 + 1.0,
        x1: strip.x1,
        y1: foot.y0,
    };

    let frames = frames(view, bits, levels);
    let to_scale = bits
        .iter()
        .any(|b| b.run.is_some() && (b.level_m() > 0.0 || b.rise_m().abs() > 0.0));
    let n = frames.len();
    let grid = (1..=n)
        .map(|columns| Grid::new(&frames, columns, area))
        .max_by(|a, b| {
            a.mm_per_m
                .total_cmp(&b.mm_per_m)
                .then(b.columns.cmp(&a.columns))
        })
        .unwrap_or_else(|| Grid::new(&frames, 1, area));
    let (scale, words) = super::scale::scale(1000.0 / grid.mm_per_m, units);
    // A page may show the sheet smaller: the number holds on its own paper.
    let scale_words = format!("{words} on {}", name(sheet));
    let mm_per_m = 1000.0 / scale;
    let panels = (0..n)
        .map(|level| {
            let cell = grid.cell(level, area, mm_per_m);
            let centre = [
                0.5 * (cell.x0 + cell.x1),
                0.5 * (cell.y0 + PANEL_TITLE + cell.y1),
            ];
            let middle = frames[level].middle;
            Panel {
                level,
                cell,
                origin: [
                    centre[0] - middle[0] * mm_per_m,
                    centre[1] + middle[1] * mm_per_m,
                ],
                mm_per_m,
                view,
            }
        })
        .collect();
    Layout {
        width,
        height,
        scale,
        scale_words,
        mm_per_m,
        to_scale,
        panels,
        stop,
        title,
        area,
        foot,
        strip,
        column,
    }
}

/// What a level spans on its plane, m.
#[derive(Debug, Clone, Copy)]
struct Frame {
    size: [f64; 2],
    middle: [f64; 2],
}

/// The spans of all levels, each of its own pieces.
fn frames(view: View, bits: &[Bit], levels: &Levels) -> Vec<Frame> {
    let n = levels.heights.len().max(1);
    let mut spans = vec![([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]); n];
    for bit in bits {
        let half = 0.5 * bit.width_m;
        for (level, p) in [(levels.tail(bit), bit.tail), (levels.head(bit), bit.head)] {
            let p = project(view, p);
            let (low, high) = &mut spans[level];
            for i in 0..2 {
                low[i] = low[i].min(p[i] - half);
                high[i] = high[i].max(p[i] + half);
            }
        }
    }
    spans
        .into_iter()
        .map(|(low, high)| {
            let (low, high) = if low[0].is_finite() {
                (low, high)
            } else {
                ([0.0; 2], [0.0; 2])
            };
            Frame {
                size: std::array::from_fn(|i| (high[i] - low[i]).max(SMALLEST_M)),
                middle: std::array::from_fn(|i| 0.5 * (low[i] + high[i])),
            }
        })
        .collect()
}

/// Levels in columns and rows.
struct Grid {
    columns: usize,
    n_levels: usize,
    /// Widths of the columns and heights of the rows, m.
    spans: [Vec<f64>; 2],
    /// The largest scale at which they have room.
    mm_per_m: f64,
}

impl Grid {
    fn new(frames: &[Frame], columns: usize, area: Rect) -> Grid {
        let n = frames.len();
        let rows = n.div_ceil(columns);
        let mut spans = [vec![0.0_f64; columns], vec![0.0_f64; rows]];
        for (level, frame) in frames.iter().enumerate() {
            let spot = Grid::spot(level, n, columns);
            for i in 0..2 {
                let span = &mut spans[i][spot[i]];
                *span = span.max(frame.size[i]);
            }
        }
        let room = [area.x1 - area.x0, area.y1 - area.y0];
        let fit = |i: usize| {
            let kept = KEPT[i] * spans[i].len() as f64;
            (room[i] - kept).max(5.0) / spans[i].iter().sum::<f64>().max(SMALLEST_M)
        };
        Grid {
            columns,
            n_levels: n,
            mm_per_m: fit(0).min(fit(1)),
            spans,
        }
    }

    /// Column and row of a level. Stacked, the highest stands on top; side by side, the lowest to the left.
    fn spot(level: usize, n: usize, columns: usize) -> [usize; 2] {
        let spot = if columns < n { n - 1 - level } else { level };
        [spot % columns, spot / columns]
    }

    /// A level's part of the sheet at a scale: what it takes and its share of what is over.
    fn cell(&self, level: usize, area: Rect, mm_per_m: f64) -> Rect {
        let spot = Grid::spot(level, self.n_levels, self.columns);
        let room = [area.x1 - area.x0, area.y1 - area.y0];
        let edge = |i: usize, upto: usize| {
            let of = &self.spans[i];
            let taken: f64 = of.iter().map(|m| m * mm_per_m + KEPT[i]).sum();
            let over = (room[i] - taken) / of.len() as f64;
            of[..upto]
                .iter()
                .map(|m| m * mm_per_m + KEPT[i] + over)
                .sum::<f64>()
        };
        Rect {
            x0: area.x0 + edge(0, spot[0]),
            y0: area.y0 + edge(1, spot[1]),
            x1: area.x0 + edge(0, spot[0] + 1),
            y1: area.y0 + edge(1, spot[1] + 1),
        }
    }
}

/// A round length for the scale bar, m, with its words, about a sixth of the strip.
pub(super) fn bar(layout: &Layout, units: UnitSystem) -> (f64, String) {
    let target = 40.0 / layout.mm_per_m;
    let (unit_m, word) = match units {
        UnitSystem::Ip => (crate::quantity::Length::from_ft(1.0).si(), "ft"),
        UnitSystem::Si => (1.0, "m"),
    };
    let wanted = target / unit_m;
    let mut best = 0.1;
    for power in -1..=5 {
        for digit in [1.0, 2.0, 5.0] {
            let length = digit * powi(10.0, power);
            if length <= wanted {
                best = length;
            }
        }
    }
    (
        best * unit_m,
        format!("{} {word}", crate::quantity::significant(best, 1)),
    )
}
