//! Names that stand on every layer.

use super::ask::View;
use super::base::used_places;
use super::label::point_to_segment;
use super::label::{Label, Obstacle, Rect};
use super::scene::{Asked, Scene, write_labels};
use super::spots::Frame;
use super::svg::Svg;
use super::symbols::register_box;
use super::tracks::Duct;
use super::words::height;
use crate::math::hypot;
use crate::system::LeadsTo;

/// Em of the names of places, mm.
const PLACE_MM: f64 = 2.0;

/// Names of registers, runs, risers, places and the unit.
pub(super) fn names(svg: &mut Svg, scene: &Scene<'_>) -> (Vec<(Frame, Rect)>, usize) {
    let mut asked = Vec::new();
    let system = scene.facts.system;
    let label = |lines: Vec<String>, at, clear_mm: f64, priority: f64, leader: bool| Label {
        lines: lines
            .into_iter()
            .map(|line| super::svg::shortened(&line, scene.text, false, 42.0))
            .collect(),
        size_mm: scene.text,
        bold: false,
        at,
        clear_mm,
        priority,
        leader,
    };
    for (i, opening) in system.openings.iter().enumerate() {
        let (panel, at) = scene.opening_at(i);
        let r = register_box(opening, at, &scene.layout);
        let run = &system.runs[opening.run];
        let mut lines = vec![run.id.clone()];
        if let Some(room) = run.room.as_ref().filter(|room| differs(&run.id, room)) {
            lines.push(format!("({room})"));
        }
        if opening.leads_to == LeadsTo::Outdoors {
            lines.push("(outdoors)".into());
        }
        let clear = 0.5 * (r.x1 - r.x0).max(r.y1 - r.y0) + 1.2;
        asked.push(Asked {
            frame: Frame::Panel(panel),
            label: label(lines, at, clear, 20.0, true),
        });
    }
    for riser in &scene.lines.risers {
        let way = if riser.rise_m > 0.0 { "up" } else { "down" };
        let lines = vec![
            system.runs[riser.run].id.clone(),
            format!("{way} {}", height(riser.rise_m, scene.ask.units)),
        ];
        asked.push(Asked {
            frame: Frame::Panel(riser.from.0),
            label: label(lines, riser.from.1, 2.2, 18.0, true),
        });
    }
    for (run, tracks) in scene.lines.of_run.iter().enumerate() {
        let Some((first, last)) = tracks else {
            continue;
        };
        if system.runs[run].opening.is_some() {
            continue;
        }
        let longest = (*first..=*last).max_by(|&a, &b| {
            scene.lines.tracks[a]
                .length()
                .total_cmp(&scene.lines.tracks[b].length())
                .then(b.cmp(&a))
        });
        if let Some(track) = longest.map(|t| &scene.lines.tracks[t]) {
            let (at, _) = track.at(0.5 * track.length());
            let clear = track.half_at(0.5 * track.length()) + 1.0;
            let mut asked_label = label(vec![system.runs[run].id.clone()], at, clear, 15.0, true);
            asked_label.bold = true;
            asked.push(Asked {
                frame: Frame::Panel(track.panel),
                label: asked_label,
            });
        }
    }
    if scene.ask.view == View::Plan || scene.layout.panels.len() == 1 {
        let cabinet: Vec<[f64; 2]> = scene
            .unit
            .iter()
            .filter(|p| p.side.is_none())
            .flat_map(|p| p.faces.concat())
            .collect();
        let r = super::unit_box::bounds(&cabinet);
        let at = [0.5 * (r.x0 + r.x1), 0.5 * (r.y0 + r.y1)];
        let mut asked_label = label(
            vec!["unit".into()],
            at,
            0.5 * (r.x1 - r.x0) + 0.9,
            30.0,
            true,
        );
        asked_label.bold = true;
        asked.push(Asked {
            frame: Frame::Panel(scene.levels.unit),
            label: asked_label,
        });
    }
    let n_needed = asked.len();
    for place in used_places(scene) {
        for panel in 0..scene.layout.panels.len() {
            let words = system.places[place].name.to_uppercase();
            let Some((at, clear)) = free_spot(scene, panel, place, &words) else {
                continue;
            };
            let mut asked_label = label(vec![words], at, clear, 8.0, true);
            asked_label.size_mm = PLACE_MM;
            asked.push(Asked {
                frame: Frame::Panel(panel),
                label: asked_label,
            });
        }
    }
    let mut taken = Vec::new();
    // Marks by their area: these names stand on every layer.
    let marks: Vec<(Frame, Obstacle)> = scene
        .mark_obstacles(|i| scene.widths[i])
        .into_iter()
        .map(|(frame, obstacle)| {
            let cost = Some(0.6);
            (frame, Obstacle { cost, ..obstacle })
        })
        .collect();
    let placed = scene.place(&asked, &marks, &mut taken);
    let mut left_out = 0;
    // A place's name stands in the key too.
    write_labels(svg, "names", &asked, &placed, None, |k| {
        left_out += usize::from(k < n_needed);
    });
    (taken, left_out)
}

/// Where along the ducts of a place its name finds most room, and the distance to keep from there.
fn free_spot(
    scene: &Scene<'_>,
    panel: usize,
    place: usize,
    words: &str,
) -> Option<([f64; 2], f64)> {
    let width = super::text::measure(words, PLACE_MM, false).width_mm;
    let half = [0.5 * width, 0.6 * PLACE_MM];
    let mut best: Option<(f64, [f64; 2], f64)> = None;
    for duct in scene
        .lines
        .ducts
        .iter()
        .filter(|d| d.panel == panel && d.place == place)
    {
        let clear = duct.half + 0.8;
        for pair in duct.points.windows(2) {
            for part in [0.5, 0.3, 0.7, 0.15, 0.85] {
                let at = [
                    pair[0][0] + part * (pair[1][0] - pair[0][0]),
                    pair[0][1] + part * (pair[1][1] - pair[0][1]),
                ];
                // Beside the duct: right, left, above, below; a long duct is a little better.
                let beside = [
                    [clear + half[0], 0.0],
                    [-clear - half[0], 0.0],
                    [0.0, -clear - half[1]],
                    [0.0, clear + half[1]],
                ];
                for by in beside {
                    let centre = [at[0] + by[0], at[1] + by[1]];
                    let cost = crowd(scene, panel, centre, half) - 0.02 * span(pair).min(40.0);
                    if best.is_none_or(|b| cost < b.0 - 1e-9) {
                        best = Some((cost, at, clear));
                    }
                }
            }
        }
    }
    best.map(|(_, at, clear)| (at, clear))
}

/// How much of a box is covered, by ducts and registers, as a number of its nine points.
fn crowd(scene: &Scene<'_>, panel: usize, centre: [f64; 2], half: [f64; 2]) -> f64 {
    let cell = scene.layout.panels[panel].cell;
    let mut cost = 0.0;
    for i in -1..=1 {
        for j in -1..=1 {
            let p = [
                centre[0] + f64::from(i) * half[0],
                centre[1] + f64::from(j) * half[1],
            ];
            if p[0] < cell.x0 || p[0] > cell.x1 || p[1] < cell.y0 || p[1] > cell.y1 {
                cost += 5.0;
            }
            let on_duct = scene
                .lines
                .ducts
                .iter()
                .filter(|d| d.panel == panel)
                .any(|d| {
                    d.points
                        .windows(2)
                        .any(|w| point_to_segment(p, [w[0], w[1]]) < d.half + 0.9)
                });
            let near_register = (0..scene.facts.system.openings.len()).any(|o| {
                let (on, at) = scene.opening_at(o);
                on == panel && hypot(p[0] - at[0], p[1] - at[1]) < 6.0
            });
            let on_ladder = scene
                .spots
                .ladders
                .iter()
                .any(|l| l.panel == panel && point_to_segment(p, [l.from, l.to]) < 2.5);
            cost += f64::from(u8::from(on_duct)) + 0.5 * f64::from(u8::from(near_register));
            cost += f64::from(u8::from(on_ladder));
        }
    }
    cost
}

fn span(pair: &[[f64; 2]]) -> f64 {
    hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1])
}

pub(super) fn length(duct: &Duct) -> f64 {
    duct.points.windows(2).map(span).sum()
}

/// Whether the room adds something to the run's id.
fn differs(id: &str, room: &str) -> bool {
    let (id, room) = (id.to_lowercase(), room.to_lowercase());
    !id.contains(&room) && !room.contains(&id)
}
