//! Layers of numbered discs with a table: the leakiest seams, the steps of the plan.

use super::ask::Layer;
use super::free_columns::free_columns;
use super::label::{Label, Placed, Rect};
use super::layer::{MARKS, Pen, mark, open_seam, quiet, reach};
use super::legend::{Column, Entry};
use super::palette as ink;
use super::scene::{Asked, Scene, mm};
use super::seams_layer::{at_pressure, said};
use super::spots::{Frame, Spot};
use super::svg::{Line, Svg, num, polyline};
use super::text::measure;
use super::words::{band, basis, counted, flow_unit, number, percent};
use crate::allocate::Allocation;
use crate::said::plan::{basis as plan_basis, hours};
use crate::said::words::reach as reach_word;
use crate::seal::Plan;

/// Draws the leakiest seams.
pub(super) fn top(svg: &mut Svg, pen: &Pen<'_, '_>, allocation: &Allocation, first: bool) -> usize {
    let scene = pen.scene;
    let units = scene.ask.units;
    let seams: Vec<usize> = allocation
        .leakiest_first()
        .into_iter()
        .take(scene.ask.top)
        .collect();
    let which = match seams.len() {
        0 => "No seam is numbered.".to_owned(),
        1 => format!("The leakiest of {} seams.", allocation.seams.len()),
        n => format!("The {n} leakiest of {} seams.", allocation.seams.len()),
    };
    let words = format!("{which} {}", basis(scene.facts.system, allocation));
    pen.open(svg, Layer::Top, first, &words);
    let entries: Vec<Entry> = seams
        .iter()
        .map(|&seam| {
            let s = &allocation.seams[seam];
            let band = band(&s.test_m3_s, units);
            Entry {
                name: s.id.clone(),
                figure: percent(s.share),
                rest: format!("{band} {}, {}", flow_unit(units), reach_word(s.reach)),
                short: band,
            }
        })
        .collect();
    let heading = format!(
        "The leakiest seams in {} (90 % band) and part of the leakage of all seams, {}",
        flow_unit(units),
        at_pressure(allocation)
    );
    let missing = table(svg, pen, Layer::Top, allocation, &seams, &heading, &entries);
    pen.close(svg);
    missing
}

/// Draws the plan's steps.
pub(super) fn plan(
    svg: &mut Svg,
    pen: &Pen<'_, '_>,
    plan: &Plan,
    allocation: &Allocation,
    first: bool,
) -> usize {
    let scene = pen.scene;
    let system = scene.facts.system;
    let seams: Vec<usize> = plan.steps.iter().map(|s| s.seam).collect();
    let units = scene.ask.units;
    let words = format!(
        "Sealing plan: {}, {}; {} from {} to {} {}, {}.",
        counted(seams.len(), "step", "steps"),
        hours(plan.minutes),
        plan_basis(plan),
        band(&plan.before_m3_s, units),
        band(&plan.after_m3_s, units),
        flow_unit(units),
        super::words::evidence(system, allocation)
    );
    pen.open(svg, Layer::Plan, first, &words);
    scene.notes.draw_foot(svg, scene.layout.foot, scene.small);
    let entries: Vec<Entry> = plan
        .steps
        .iter()
        .map(|step| {
            let method = system
                .crew
                .methods
                .get(step.method)
                .map_or("", |m| m.words.as_str());
            let minutes = step.minutes + step.set_up_minutes;
            Entry {
                name: system
                    .seams
                    .get(step.seam)
                    .map_or_else(String::new, |s| s.id.clone()),
                figure: if minutes.round() >= 1.0 {
                    number(minutes, 0)
                } else {
                    "<1".into()
                },
                rest: method.to_owned(),
                short: method.to_owned(),
            }
        })
        .collect();
    let is_stopped = scene.notes.stop.is_some();
    let heading = match (seams.is_empty(), is_stopped) {
        (true, true) => "No steps before what stops the work is cleared: see the head of the sheet",
        (true, false) => "No steps: within what was asked nothing is left to seal",
        (false, true) => "NOT BEFORE THE STOP IS CLEARED: steps in the order of the work, minutes",
        (false, false) => "Steps in the order of the work, minutes",
    };
    let missing = table(svg, pen, Layer::Plan, allocation, &seams, heading, &entries);
    pen.close(svg);
    missing
}

/// Draws the numbered seams and the table of what they are: in the column at the right, and where that has no room for all
/// in free columns among the ducts, as far as no number loses its place by it. Gives how many numbers found no room.
fn table(
    svg: &mut Svg,
    pen: &Pen<'_, '_>,
    layer: Layer,
    allocation: &Allocation,
    seams: &[usize],
    heading: &str,
    entries: &[Entry],
) -> usize {
    let scene = pen.scene;
    // What the first column holds is not known before it is written: its rows beneath a heading of two lines.
    let first = pen.column(svg);
    let rows = first.rows_left().saturating_sub(3);
    let step = first.step();
    let width = scene.layout.column.x1 - scene.layout.column.x0;
    let more = if entries.len() > rows {
        free_columns(scene, pen.taken, width, LEAST_ROWS * step, MOST_COLUMNS)
    } else {
        Vec::new()
    };
    let discs = Discs::of(scene, seams);
    let place = |more: &[Rect]| {
        let mut taken = pen.taken.to_vec();
        for panel in 0..scene.layout.panels.len() {
            taken.extend(more.iter().map(|r| (Frame::Panel(panel), *r)));
        }
        discs.placed(scene, taken)
    };
    let lost = |placed: &[Option<Placed>]| placed.iter().filter(|p| p.is_none()).count();
    // Only as many columns as the table takes.
    let mut needed = 0;
    let mut held = rows;
    while needed < more.len() && held < entries.len() {
        held += ((more[needed].y1 - more[needed].y0) / step) as usize;
        needed += 1;
    }
    let mut more = more[..needed].to_vec();
    let mut placed = place(&more);
    if !more.is_empty() && lost(&placed) > 0 {
        let without = place(&[]);
        if lost(&without) < lost(&placed) {
            (placed, more) = (without, Vec::new());
        }
    }
    let missing = lost(&placed);
    discs.draw(svg, scene, layer, allocation, &placed);
    // From left to right.
    more.sort_by(|a, b| a.x0.total_cmp(&b.x0).then(a.y0.total_cmp(&b.y0)));
    svg.open("g", &[("class", "legend")]);
    let mut column = pen.column(svg);
    column.head(heading);
    let mut next = column.entries(entries, 0, more.is_empty());
    let missing = pen.left_out(&mut column, missing);
    for (k, rect) in more.iter().enumerate() {
        if next < entries.len() {
            let mut column = Column::new(svg, *rect, scene.small);
            next = column.entries(entries, next, k + 1 == more.len());
        }
    }
    svg.close("g");
    missing
}

/// Fewest rows for which a table is continued elsewhere, and in how many columns at most. Engineering estimates.
const LEAST_ROWS: f64 = 6.0;
const MOST_COLUMNS: usize = 8;

/// The numbered seams: what is asked for, and which step each is.
struct Discs<'s> {
    asked: Vec<Asked>,
    of: Vec<(usize, usize, &'s Spot)>,
    is_numbered: Vec<bool>,
}

impl<'s> Discs<'s> {
    fn of(scene: &'s Scene<'_>, seams: &[usize]) -> Discs<'s> {
        let mut discs = Discs {
            asked: Vec::new(),
            of: Vec::new(),
            is_numbered: vec![false; scene.spots.of.len()],
        };
        // As wide as the widest number.
        let blank = "0".repeat(seams.len().to_string().len().max(2));
        for (k, &seam) in seams.iter().enumerate() {
            let Some(spot) = scene.spots.of.get(seam).and_then(Option::as_ref) else {
                continue;
            };
            discs.is_numbered[seam] = true;
            discs.asked.push(Asked {
                frame: spot.frame,
                label: Label {
                    lines: vec![blank.clone()],
                    size_mm: scene.text * 1.25,
                    bold: true,
                    at: named_at(spot),
                    clear_mm: 1.0,
                    priority: 1000.0 - k as f64,
                    leader: true,
                },
            });
            discs.of.push((k, seam, spot));
        }
        discs
    }

    fn placed(&self, scene: &Scene<'_>, mut taken: Vec<(Frame, Rect)>) -> Vec<Option<Placed>> {
        let wide = |i: usize| if self.is_numbered[i] { 1.1 } else { 0.0 };
        scene.place(&self.asked, &scene.mark_obstacles(wide), &mut taken)
    }

    fn draw(
        &self,
        svg: &mut Svg,
        scene: &Scene<'_>,
        layer: Layer,
        allocation: &Allocation,
        placed: &[Option<Placed>],
    ) {
        quiet(svg);
        svg.open("g", &MARKS);
        for ((k, seam, spot), placed) in self.of.iter().zip(placed) {
            let words = format!("{}. {}", k + 1, said(allocation, *seam, scene.ask.units));
            let stroke = Some(ink::STEPS[5]);
            open_seam(svg, layer, *seam, "seam numbered", stroke, &words);
            mark(svg, spot, "0.9");
            reach(svg, spot, allocation.seams[*seam].reach);
            if let Some(placed) = placed {
                disc(svg, k + 1, scene.text, placed, named_at(spot));
            }
            svg.close("g");
            svg.newline();
        }
        svg.close("g");
    }
}

/// The point that a disc names: the middle of a mark, the upper edge of an outline.
fn named_at(spot: &Spot) -> [f64; 2] {
    match spot.outline {
        Some(r) => [0.5 * (r.x0 + r.x1), r.y0],
        None => spot.at,
    }
}

fn disc(svg: &mut Svg, number: usize, size: f64, placed: &Placed, at: [f64; 2]) {
    let r = placed.rect;
    let centre = [0.5 * (r.x0 + r.x1), 0.5 * (r.y0 + r.y1)];
    let leader = placed.leader.unwrap_or([at, centre]);
    svg.path(
        &polyline(&leader),
        &[
            ("class", "leader"),
            ("stroke", ink::LEADER),
            ("stroke-width", "0.18"),
        ],
    );
    let (w, h) = (num(r.x1 - r.x0), num(r.y1 - r.y0));
    let round = mm(0.5 * (r.y1 - r.y0).min(r.x1 - r.x0));
    svg.leaf(
        "rect",
        &[
            ("class", "disc"),
            ("x", &num(r.x0)),
            ("y", &num(r.y0)),
            ("width", &w),
            ("height", &h),
            ("rx", &round),
            ("fill", ink::STEPS[5]),
            ("stroke", "none"),
        ],
    );
    let words = number.to_string();
    let m = measure(&words, size, true);
    svg.open(
        "g",
        &[
            ("class", "number"),
            ("fill", ink::PAPER),
            ("stroke", "none"),
        ],
    );
    svg.text(Line {
        class: "",
        at: [centre[0] - 0.5 * m.width_mm, centre[1] + 0.36 * size],
        size,
        bold: true,
        words: &words,
        whole: None,
    });
    svg.close("g");
}
