//! Room for a table among the ducts: columns of the sheet in which nothing stands.

use super::base::LEVEL_MM;
use super::label::Rect;
use super::label::grown;
use super::scene::Scene;
use super::spots::Frame;
use super::symbols::register_box;
use super::unit_box::bounds;

/// Step in which a column is moved to the right in search of room, mm.
const STEP_MM: f64 = 2.0;
/// Room between a table and what stands beside it, mm.
const APART_MM: f64 = 2.0;

/// At most `most` columns of a width within the panels' area, each at least `least_mm` high, the highest first.
pub(super) fn free_columns(
    scene: &Scene<'_>,
    taken: &[(Frame, Rect)],
    width: f64,
    least_mm: f64,
    most: usize,
) -> Vec<Rect> {
    let mut full = stands(scene);
    full.extend(taken.iter().filter(|t| t.0 != Frame::Detail).map(|t| t.1));
    let area = scene.layout.area;
    let mut found: Vec<Rect> = Vec::new();
    while found.len() < most {
        let mut best: Option<Rect> = None;
        let mut x = area.x0;
        while x + width <= area.x1 {
            let gap = highest_gap(&full, x - APART_MM, x + width + APART_MM, area);
            if gap.1 - gap.0 > best.map_or(least_mm, |b| b.y1 - b.y0) + 1e-6 {
                best = Some(Rect {
                    x0: x,
                    y0: gap.0,
                    x1: x + width,
                    y1: gap.1,
                });
            }
            x += STEP_MM;
        }
        let Some(best) = best else { break };
        full.push(best);
        found.push(best);
    }
    found
}

/// The highest part of a strip in which nothing stands: from and to, mm.
fn highest_gap(full: &[Rect], x0: f64, x1: f64, area: Rect) -> (f64, f64) {
    let mut spans: Vec<(f64, f64)> = full
        .iter()
        .filter(|r| r.x0 < x1 && r.x1 > x0)
        .map(|r| (r.y0 - APART_MM, r.y1 + APART_MM))
        .collect();
    spans.push((area.y1, area.y1));
    spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let (mut y, mut best) = (area.y0, (area.y0, area.y0));
    for (from, to) in spans {
        let from = from.min(area.y1);
        if from - y > best.1 - best.0 {
            best = (y, from);
        }
        y = y.max(to);
    }
    best
}

/// Boxes of everything that stands in the panels.
fn stands(scene: &Scene<'_>) -> Vec<Rect> {
    let at = |p: [f64; 2], by: f64| Rect {
        x0: p[0] - by,
        y0: p[1] - by,
        x1: p[0] + by,
        y1: p[1] + by,
    };
    let mut all = Vec::new();
    for duct in &scene.lines.ducts {
        for pair in duct.points.windows(2) {
            all.push(grown(bounds(pair), duct.half + 1.0));
        }
    }
    for (i, opening) in scene.facts.system.openings.iter().enumerate() {
        let (_, p) = scene.opening_at(i);
        all.push(register_box(opening, p, &scene.layout));
    }
    for riser in &scene.lines.risers {
        all.extend([riser.from.1, riser.to.1].map(|p| at(p, 2.0)));
    }
    for ladder in &scene.spots.ladders {
        all.push(grown(bounds(&[ladder.from, ladder.to]), 2.0));
    }
    for (_, ends) in &scene.lines.links {
        all.push(bounds(ends));
    }
    for part in &scene.unit {
        all.extend(part.faces.iter().map(|face| bounds(face)));
    }
    for spot in scene.spots.of.iter().flatten() {
        if spot.frame != Frame::Detail {
            all.push(grown(bounds(&spot.ends), 0.8));
        }
    }
    for panel in &scene.layout.panels {
        all.push(Rect {
            x1: panel.cell.x0 + LEVEL_MM.min(panel.cell.x1 - panel.cell.x0),
            y1: panel.cell.y0 + 4.4,
            ..panel.cell
        });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_highest_gap_is_found_between_and_beside() {
        let r = |x0, y0, x1, y1| Rect { x0, y0, x1, y1 };
        let area = r(0.0, 0.0, 100.0, 100.0);
        let full = [r(0.0, 10.0, 50.0, 20.0), r(0.0, 70.0, 50.0, 72.0)];
        assert_eq!(highest_gap(&full, 10.0, 40.0, area), (22.0, 68.0));
        assert_eq!(highest_gap(&full, 60.0, 90.0, area), (0.0, 100.0));
        let all = [r(0.0, -5.0, 100.0, 120.0)];
        let gap = highest_gap(&all, 10.0, 40.0, area);
        assert!(gap.1 - gap.0 <= 0.0, "{gap:?}");
    }
}
