//! Spots that a label tries, the same for every label, in units of its own letters.

use std::f64::consts::PI;
use std::sync::OnceLock;

use super::{Label, Placed, Rect};
use crate::drawing::text::measure;
use crate::math::{cos, sin};

/// From baseline to baseline, em (common practice of typesetting).
const PITCH_EM: f64 = 1.2;
/// Distances beyond the one to be kept that need no leader, em.
const NEAR_EM: [f64; 4] = [0.0, 0.4, 0.9, 1.5];
/// Cost of one em of distance without a leader.
const NEAR_COST: f64 = 0.7;
/// Distances with a leader, em, and how many directions are tried at each.
const RINGS: [(f64, usize); 12] = [
    (1.6, 16),
    (2.4, 16),
    (3.4, 24),
    (4.7, 24),
    (6.3, 24),
    (8.4, 32),
    (11.0, 32),
    (14.5, 32),
    (19.0, 32),
    (25.0, 40),
    (33.0, 40),
    (43.0, 48),
];
/// Cost of any leader, and of each em of it.
const LEADER_COST: (f64, f64) = (2.0, 0.25);

/// A label as a block of text.
#[derive(Debug, Clone)]
pub(super) struct Block {
    at: [f64; 2],
    clear_mm: f64,
    em_mm: f64,
    widths: Vec<f64>,
    width: f64,
    height: f64,
    ascent: f64,
}

/// One way of standing to a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pattern {
    way: Way,
    /// What it costs at the least.
    pub cost: f64,
}

#[derive(Debug, Clone, Copy)]
enum Way {
    /// On the point.
    On,
    /// Beside it: -1 left or above, 0 in the middle, 1 right or below.
    Beside { x: i8, y: i8, away_em: f64 },
    /// Beside it and shifted along that side, by half its length times -1 to 1.
    Along {
        x: i8,
        y: i8,
        shift: f64,
        away_em: f64,
    },
    /// With a leader, which ends at this distance and direction.
    Led { away_em: f64, angle: f64 },
}

/// A spot of one label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub rect: Rect,
    pub leader: Option<[[f64; 2]; 2]>,
    /// -1: lines flush left, 0: centred, 1: flush right.
    side: i8,
}

/// Every pattern, the cheapest first.
pub(super) fn patterns() -> &'static [Pattern] {
    static ALL: OnceLock<Vec<Pattern>> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut all = vec![Pattern {
            way: Way::On,
            cost: 0.0,
        }];
        for away_em in NEAR_EM {
            all.extend(beside(away_em));
        }
        for (away_em, directions) in RINGS {
            all.extend((0..directions).map(|k| led(away_em, k, directions)));
        }
        all.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        all
    })
}

/// Sixteen positions; the right side reads best, above better than below.
fn beside(away_em: f64) -> impl Iterator<Item = Pattern> {
    let corners = [
        (1, 0, 0.05),
        (1, -1, 0.15),
        (1, 1, 0.20),
        (-1, 0, 0.35),
        (-1, -1, 0.40),
        (-1, 1, 0.45),
        (0, -1, 0.50),
        (0, 1, 0.60),
    ];
    let shifted = [
        (1, 0, -0.9, 0.12),
        (1, 0, 0.9, 0.17),
        (-1, 0, -0.9, 0.42),
        (-1, 0, 0.9, 0.47),
        (0, -1, 0.8, 0.55),
        (0, -1, -0.8, 0.58),
        (0, 1, 0.8, 0.65),
        (0, 1, -0.8, 0.68),
    ];
    let cost = move |side: f64| side + NEAR_COST * away_em;
    corners
        .into_iter()
        .map(move |(x, y, side)| Pattern {
            way: Way::Beside { x, y, away_em },
            cost: cost(side),
        })
        .chain(shifted.into_iter().map(move |(x, y, shift, side)| Pattern {
            way: Way::Along {
                x,
                y,
                shift,
                away_em,
            },
            cost: cost(side),
        }))
}

fn led(away_em: f64, k: usize, directions: usize) -> Pattern {
    let angle = 2.0 * PI * k as f64 / directions as f64;
    // To the right 0, upright 0.4, to the left 0.3: small beside the length.
    let side = 0.25 * sin(angle).abs() + 0.15 * (1.0 - cos(angle));
    Pattern {
        way: Way::Led { away_em, angle },
        cost: LEADER_COST.0 + LEADER_COST.1 * away_em + side,
    }
}

impl Block {
    /// `None` where nothing is to be seen or the measures are not finite.
    pub fn new(label: &Label) -> Option<Block> {
        let sizes: Vec<_> = label
            .lines
            .iter()
            .map(|line| measure(line, label.size_mm, label.bold))
            .collect();
        let widths: Vec<f64> = sizes.iter().map(|size| size.width_mm).collect();
        let width = widths.iter().copied().fold(0.0, f64::max);
        let pitch = PITCH_EM * label.size_mm;
        let (first, last) = (sizes.first()?, sizes.last()?);
        let height = first.ascent_mm + pitch * (sizes.len() - 1) as f64 + last.descent_mm;
        let finite = [label.at[0], label.at[1], label.clear_mm, width, height]
            .iter()
            .all(|v| v.is_finite());
        (finite && width > 0.0 && label.size_mm > 0.0).then_some(Block {
            at: label.at,
            clear_mm: label.clear_mm,
            em_mm: label.size_mm,
            width,
            height,
            ascent: first.ascent_mm,
            widths,
        })
    }

    pub fn at(&self) -> [f64; 2] {
        self.at
    }

    pub fn em_mm(&self) -> f64 {
        self.em_mm
    }

    pub fn clear_mm(&self) -> f64 {
        self.clear_mm.max(0.0)
    }

    /// The spot that a pattern makes of this label; `None` where the pattern is not for it.
    pub fn spot(&self, pattern: &Pattern, leader: bool) -> Option<Spot> {
        let [px, py] = self.at;
        let (half_w, half_h) = (0.5 * self.width, 0.5 * self.height);
        let reach = |away_em: f64| self.clear_mm() + away_em * self.em_mm;
        let spot = |cx: f64, cy: f64, side: i8, end: Option<[f64; 2]>| Spot {
            rect: Rect {
                x0: cx - half_w,
                y0: cy - half_h,
                x1: cx + half_w,
                y1: cy + half_h,
            },
            leader: end.map(|end| [self.at, end]),
            side,
        };
        match pattern.way {
            Way::On => (self.clear_mm < 0.0).then(|| spot(px, py, 0, None)),
            Way::Beside { x, y, away_em } => {
                let mut away = reach(away_em);
                if x != 0 && y != 0 {
                    away *= 0.5_f64.sqrt();
                }
                let (x_sign, y_sign) = (f64::from(x), f64::from(y));
                Some(spot(
                    px + x_sign * (away + half_w),
                    py + y_sign * (away + half_h),
                    -x,
                    None,
                ))
            }
            Way::Along {
                x,
                y,
                shift,
                away_em,
            } => {
                let away = reach(away_em);
                let (x_sign, y_sign) = (f64::from(x), f64::from(y));
                let (dx, dy) = if x == 0 {
                    (shift * half_w, y_sign * (away + half_h))
                } else {
                    (x_sign * (away + half_w), shift * half_h)
                };
                Some(spot(px + dx, py + dy, -x, None))
            }
            Way::Led { away_em, angle } => leader
                .then(|| {
                    let (cos, sin) = (cos(angle), sin(angle));
                    let end = [px + reach(away_em) * cos, py + reach(away_em) * sin];
                    // Steep leaders end under or over the middle of the text, others at the middle of its side.
                    if cos.abs() < 0.4 {
                        spot(end[0], end[1] + half_h * sin.signum(), 0, Some(end))
                    } else {
                        let side = if cos > 0.0 { -1 } else { 1 };
                        spot(end[0] + half_w * cos.signum(), end[1], side, Some(end))
                    }
                })
                .filter(|spot| {
                    super::shape::point_to_box(self.at, spot.rect) >= self.clear_mm() - 1e-9
                }),
        }
    }

    /// A spot with its lines of text.
    pub fn placed(&self, spot: &Spot) -> Placed {
        let baselines = self
            .widths
            .iter()
            .enumerate()
            .map(|(line, width)| {
                let x = match spot.side {
                    -1 => spot.rect.x0,
                    0 => spot.rect.x0 + 0.5 * (self.width - width),
                    _ => spot.rect.x1 - width,
                };
                let y = spot.rect.y0 + self.ascent + PITCH_EM * self.em_mm * line as f64;
                [x, y]
            })
            .collect();
        Placed {
            rect: spot.rect,
            baselines,
            widths: self.widths.clone(),
            leader: spot.leader,
        }
    }
}
