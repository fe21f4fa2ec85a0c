//! What stands on every layer: places, ducts, unit, registers, names, scale.

use super::ask::{Layer, View};
use super::fittings::{detail, fittings, ladders, registers, unit};
use super::key::strip;
use super::label::Rect;
use super::layer::reach_defs;
use super::names::{length, names};
use super::palette as ink;
use super::scene::{Scene, mm, write_short};
use super::spots::Frame;
use super::svg::{Svg, polygon, polyline};
use super::symbols::box_path;
use super::taper::corners;
use super::tracks::{Duct, rank};

/// Hatches and place patterns.
pub(super) fn defs(svg: &mut Svg, scene: &Scene<'_>) {
    svg.open("defs", &[]);
    svg.open(
        "pattern",
        &[
            ("id", "pd-return"),
            ("width", "1.1"),
            ("height", "1.1"),
            ("patternUnits", "userSpaceOnUse"),
        ],
    );
    svg.leaf(
        "rect",
        &[("width", "1.1"), ("height", "1.1"), ("fill", ink::RETURN)],
    );
    svg.path(
        "M-.3 .3L.3-.3M0 1.1L1.1 0M.8 1.4L1.4 .8",
        &[
            ("stroke", ink::HATCH),
            ("stroke-width", "0.2"),
            ("fill", "none"),
        ],
    );
    svg.close("pattern");
    for place in used_places(scene) {
        let (ground, figure) = ink::PLACES[place % ink::PLACES.len()];
        let id = format!("pd-place{place}");
        svg.open(
            "pattern",
            &[
                ("id", &id),
                ("width", "3"),
                ("height", "3"),
                ("patternUnits", "userSpaceOnUse"),
            ],
        );
        svg.leaf("rect", &[("width", "3"), ("height", "3"), ("fill", ground)]);
        // A seventh place has the first's ground with another figure.
        let kind = (place + place / ink::PLACES.len()) % 6;
        let d = match kind {
            0 => "M1 1h.5M2.5 2.5h.5",
            1 => "M0 1.5h3",
            2 => "M1.5 0v3",
            3 => "M0 3L3 0",
            4 => "M1.5 1v1M1 1.5h1",
            _ => "M0 0L3 3",
        };
        svg.path(
            d,
            &[
                ("stroke", figure),
                ("stroke-width", if kind == 0 { "0.5" } else { "0.22" }),
                ("fill", "none"),
            ],
        );
        svg.close("pattern");
    }
    for panel in scene.layout.panels.iter().filter(|p| p.level > 0) {
        svg.open(
            "clipPath",
            &[("id", format!("pd-cell{}", panel.level).as_str())],
        );
        svg.path(&box_path(panel.cell), &[]);
        svg.close("clipPath");
    }
    reach_defs(svg);
    let is_quiet = [Layer::Top, Layer::Plan, Layer::Types]
        .iter()
        .any(|layer| scene.ask.layers.contains(layer));
    if !is_quiet {
        svg.close("defs");
        return;
    }
    let quiet: String = scene
        .spots
        .of
        .iter()
        .flatten()
        .map(|s| s.d.as_str())
        .collect();
    svg.path(&quiet, &[("id", "pd-quiet")]);
    svg.close("defs");
}

/// Places that a duct or the unit lies in, in order.
pub(super) fn used_places(scene: &Scene<'_>) -> Vec<usize> {
    let mut used = vec![false; scene.facts.system.places.len()];
    for bit in &scene.bits {
        if let Some(used) = used.get_mut(bit.place) {
            *used = true;
        }
    }
    (0..used.len()).filter(|&i| used[i]).collect()
}

/// Draws the base and places its names; gives their boxes and how many found no room.
pub(super) fn base(svg: &mut Svg, scene: &Scene<'_>) -> (Vec<(Frame, Rect)>, usize) {
    svg.open("g", &[("class", "base")]);
    scene.notes.draw_stop(svg, scene.layout.stop);
    let title = scene.layout.title;
    write_short(
        svg,
        [title.x0, title.y0 + 4.6],
        4.6,
        true,
        &scene.facts.system.title,
        title.x1 - title.x0,
        "title",
    );
    for panel in &scene.layout.panels {
        places(svg, scene, panel.level);
    }
    svg.newline();
    for panel in &scene.layout.panels {
        if panel.level > 0 {
            below(svg, scene, panel.level);
        }
    }
    links(svg, scene);
    for panel in &scene.layout.panels {
        ducts(svg, scene, panel.level);
        if panel.level == scene.levels.unit && scene.ask.view == View::Plan {
            unit(svg, scene);
        }
        svg.newline();
    }
    ladders(svg, scene);
    fittings(svg, scene);
    registers(svg, scene);
    for panel in &scene.layout.panels {
        if scene.layout.panels.len() > 1 || scene.ask.view == View::Plan {
            let words = match scene.ask.view {
                View::Plan => level_title(scene, panel.level),
                View::Isometric => String::new(),
            };
            let at = [panel.cell.x0, panel.cell.y0 + 3.2];
            write_short(
                svg,
                at,
                scene.text + 0.3,
                true,
                &words,
                LEVEL_MM.min(panel.cell.x1 - panel.cell.x0),
                "level",
            );
        }
    }
    detail(svg, scene);
    let names = names(svg, scene);
    strip(svg, scene);
    svg.close("g");
    svg.newline();
    names
}

/// Most width of a level's title, mm: names keep off so much.
pub(super) const LEVEL_MM: f64 = 90.0;
/// Most names of places in a level's title.
const PLACES_SAID: usize = 3;

/// Height and places of a level: `9 ft above the unit (wall, joists, garage)`.
fn level_title(scene: &Scene<'_>, panel: usize) -> String {
    let height = scene.levels.title(panel, scene.ask.units);
    let of = |place: usize| -> f64 {
        let there = |d: &&Duct| d.panel == panel && d.place == place;
        scene.lines.ducts.iter().filter(there).map(length).sum()
    };
    let mut places: Vec<(usize, f64)> = used_places(scene)
        .into_iter()
        .map(|place| (place, of(place)))
        .filter(|(_, mm)| *mm > 0.0)
        .collect();
    places.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let names: Vec<&str> = places
        .iter()
        .take(PLACES_SAID)
        .map(|(place, _)| scene.facts.system.places[*place].name.as_str())
        .collect();
    match (names.is_empty(), places.len() > PLACES_SAID) {
        (true, _) => height,
        (false, false) => format!("{height} ({})", names.join(", ")),
        (false, true) => format!("{height} ({}, …)", names.join(", ")),
    }
}

/// Soft ground round the pieces of each place.
fn places(svg: &mut Svg, scene: &Scene<'_>, panel: usize) {
    svg.open(
        "g",
        &[
            ("class", "places"),
            ("fill", "none"),
            ("stroke-linecap", "round"),
            ("stroke-linejoin", "round"),
        ],
    );
    // The places with most duct lie beneath, so that none is hidden by a large neighbour.
    let mut order = used_places(scene);
    let most = |place: usize| -> f64 {
        scene
            .lines
            .ducts
            .iter()
            .filter(|d| d.place == place)
            .map(length)
            .sum()
    };
    order.sort_by(|&a, &b| most(b).total_cmp(&most(a)).then(a.cmp(&b)));
    for place in order {
        let stroke = format!("url(#pd-place{place})");
        let class = format!("place place{}", place % 6);
        // One path for each width, to spare weight.
        let mut by_width: std::collections::BTreeMap<String, String> =
            std::collections::BTreeMap::new();
        for duct in scene
            .lines
            .ducts
            .iter()
            .filter(|d| d.panel == panel && d.place == place)
        {
            let width = mm(2.0 * duct.half + 6.0);
            by_width
                .entry(width)
                .or_default()
                .push_str(&polyline(&duct.points));
        }
        if panel == scene.levels.unit && scene.facts.system.unit.place == place {
            for part in &scene.unit {
                for face in &part.faces {
                    by_width
                        .entry("6".into())
                        .or_default()
                        .push_str(&polygon(face));
                }
            }
        }
        for (width, d) in by_width {
            svg.path(
                &d,
                &[
                    ("class", &class),
                    ("stroke", &stroke),
                    ("stroke-width", &width),
                ],
            );
        }
    }
    svg.close("g");
}

/// The ducts of the level below, for orientation.
fn below(svg: &mut Svg, scene: &Scene<'_>, panel: usize) {
    let clip = format!("url(#pd-cell{panel})");
    svg.open(
        "g",
        &[
            ("class", "below"),
            ("clip-path", &clip),
            ("fill", "none"),
            ("stroke-linejoin", "round"),
        ],
    );
    let (here, there) = (&scene.layout.panels[panel], &scene.layout.panels[panel - 1]);
    let (a, b) = (here.point([0.0; 3]), there.point([0.0; 3]));
    let moved = |duct: &Duct| {
        let points: Vec<[f64; 2]> = duct
            .points
            .iter()
            .map(|p| [p[0] + a[0] - b[0], p[1] + a[1] - b[1]])
            .collect();
        polyline(&points)
    };
    for (grow, stroke) in [(0.0, ink::BELOW), (-0.36, ink::PAPER)] {
        svg.open("g", &[("stroke", stroke)]);
        for duct in scene.lines.ducts.iter().filter(|d| d.panel == panel - 1) {
            svg.path(
                &moved(duct),
                &[("stroke-width", &mm(2.0 * duct.half + grow))],
            );
        }
        svg.close("g");
    }
    svg.close("g");
}

fn links(svg: &mut Svg, scene: &Scene<'_>) {
    let d: String = scene
        .lines
        .links
        .iter()
        .map(|(_, ends)| polyline(ends))
        .collect();
    svg.path(
        &d,
        &[
            ("class", "link"),
            ("fill", "none"),
            ("stroke", ink::SOFT_INK),
            ("stroke-width", "0.3"),
            ("stroke-dasharray", "1 0.6"),
        ],
    );
}

/// Ducts of a panel, the farthest first, each with a pale halo; those of one side and height melt into one another.
fn ducts(svg: &mut Svg, scene: &Scene<'_>, panel: usize) {
    let mut groups: std::collections::BTreeMap<(i64, bool), Vec<&Duct>> =
        std::collections::BTreeMap::new();
    for duct in scene.lines.ducts.iter().filter(|d| d.panel == panel) {
        let key = duct.rank(scene.ask.view);
        groups.entry(key).or_default().push(duct);
    }
    // In an isometric view the unit stands among the ducts, before what is nearer to the eye.
    let mut unit_rank =
        (scene.ask.view == View::Isometric && panel == scene.levels.unit).then(|| {
            rank(
                super::unit_box::nearness(scene.facts.system),
                scene.ask.view,
            )
        });
    for ((depth, supply), group) in groups {
        if unit_rank.is_some_and(|unit| unit < depth) {
            unit_rank = None;
            unit(svg, scene);
        }
        let class = if supply {
            "ducts supply"
        } else {
            "ducts return"
        };
        svg.open(
            "g",
            &[
                ("class", class),
                ("fill", "none"),
                ("stroke-linejoin", "round"),
            ],
        );
        let layers: [(&str, f64, &str); 3] = if supply {
            [
                ("halo", 0.9, ink::PAPER),
                ("edge", 0.0, ink::SUPPLY_EDGE),
                ("inside", -0.5, ink::SUPPLY),
            ]
        } else {
            [
                ("halo", 0.9, ink::PAPER),
                ("edge", 0.0, ink::RETURN_EDGE),
                ("inside", -0.5, "url(#pd-return)"),
            ]
        };
        for (class, grow, stroke) in layers {
            let mut attrs = vec![("class", class), ("stroke", stroke)];
            if class == "edge" && !supply {
                attrs.push(("stroke-dasharray", "1.6 0.5"));
            }
            svg.open("g", &attrs);
            let mut by_width: std::collections::BTreeMap<String, String> =
                std::collections::BTreeMap::new();
            for duct in &group {
                let width = mm((2.0 * duct.half + grow).max(0.3));
                by_width
                    .entry(width)
                    .or_default()
                    .push_str(&polyline(&duct.points));
            }
            for (width, d) in by_width {
                svg.path(&d, &[("stroke-width", &width)]);
            }
            let tapers: String = group
                .iter()
                .filter_map(|duct| duct.taper)
                .map(|taper| polygon(&corners(taper, 0.5 * grow)))
                .collect();
            svg.path(&tapers, &[("fill", stroke), ("stroke", "none")]);
            svg.close("g");
        }
        svg.close("g");
    }
    if unit_rank.is_some() {
        unit(svg, scene);
    }
}
