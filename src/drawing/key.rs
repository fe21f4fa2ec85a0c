//! Scale bar, arrow to the north, and the key of what stands on every layer.

use super::ask::View;
use super::base::used_places;
use super::fittings::{dead_ends, is_damper};
use super::geometry::{across, off};
use super::label::Rect;
use super::legend::Column;
use super::palette as ink;
use super::scene::{Scene, write_short};
use super::svg::{Line, Svg, num, polygon, polyline};
use super::symbols::{box_path, damper, register_path, riser};
use crate::system::{LeadsTo, Side};

/// Scale bar, scale, arrow to the north.
pub(super) fn strip(svg: &mut Svg, scene: &Scene<'_>) {
    let r = scene.layout.strip;
    let y = r.y1 - 2.2;
    let mut x = r.x0;
    svg.open(
        "g",
        &[
            ("class", "scale"),
            ("stroke", ink::INK),
            ("stroke-width", "0.3"),
            ("fill", ink::INK),
        ],
    );
    let (length, words) = super::sheet::bar(&scene.layout, scene.ask.units);
    let bar = length * scene.layout.mm_per_m;
    if scene.layout.to_scale {
        svg.path(
            &format!(
                "M{} {}v1.6h{}v-1.6M{} {}v1.6",
                num(x),
                num(y - 0.6),
                num(bar),
                num(x + 0.5 * bar),
                num(y - 0.6)
            ),
            &[("fill", "none")],
        );
    }
    let n = [r.x1 - 6.0, r.y0 + 4.4];
    let way = match scene.ask.view {
        View::Plan => [0.0, -1.0],
        View::Isometric => [0.866, -0.5],
    };
    let side = across(way);
    let tip = off(n, way, 3.2);
    svg.path(
        &polygon(&[
            tip,
            off(off(n, way, -2.4), side, 1.5),
            off(n, way, -1.4),
            off(off(n, way, -2.4), side, -1.5),
        ]),
        &[("class", "north"), ("stroke", "none")],
    );
    svg.close("g");
    svg.text(Line {
        class: "",
        at: [n[0] - 5.2, n[1] + 1.0],
        size: 3.0,
        bold: true,
        words: "N",
        whole: None,
    });
    let size = scene.text;
    let scale = if scene.layout.to_scale {
        svg.text(Line {
            class: "",
            at: [x, y - 1.5],
            size,
            bold: false,
            words: &words,
            whole: None,
        });
        x += bar + 4.0;
        let note = match scene.ask.view {
            View::Plan => "",
            View::Isometric => " along the three axes",
        };
        format!("{}{note}", scene.layout.scale_words)
    } else {
        "not to scale".to_owned()
    };
    let assumed = scene
        .facts
        .system
        .defaults
        .iter()
        .filter(|d| d.taken.contains("first heading") || d.taken.contains("drawn straight ahead"))
        .count();
    let words = if assumed > 0 {
        let runs = super::words::counted(assumed, "heading is", "headings are");
        format!("{scale}. Drawn from the walks, no survey; {runs} assumed.")
    } else {
        format!("{scale}. Drawn from the walks, no survey.")
    };
    write_short(svg, [x, y + 1.0], size, false, &words, n[0] - 8.0 - x, "");
}

/// Where the signs of places begin; below are those of ducts and fittings.
const PLACE: usize = 10;

/// Signs of what is drawn, with their words.
fn drawn(scene: &Scene<'_>) -> Vec<(usize, String)> {
    let system = scene.facts.system;
    let (lines, risers) = (&scene.lines, &scene.lines.risers);
    let has_duct = |side| lines.ducts.iter().any(|d| d.side == side);
    let has_opening = |side, outdoors: bool| {
        system.openings.iter().any(|o| {
            system.runs[o.run].side == side && (o.leads_to == LeadsTo::Outdoors) == outdoors
        })
    };
    let laid = scene
        .bits
        .iter()
        .filter(|bit| lines.on[bit.edge.index()].is_some_and(|on| on.upright))
        .map(|bit| bit.rise_m().abs())
        .fold(0.0, f64::max);
    let laid = match laid {
        m if m > 0.0 => format!(
            "riser laid flat, up to {}; or short duct",
            super::words::height(m, scene.ask.units)
        ),
        _ => "short duct, drawn longer beside it".to_owned(),
    };
    let is_outdoors = has_opening(Side::Supply, true) || has_opening(Side::Return, true);
    [
        (0, has_duct(Side::Supply), "supply duct".to_owned()),
        (1, has_duct(Side::Return), "return duct".to_owned()),
        (
            2,
            has_opening(Side::Supply, false),
            "supply register".into(),
        ),
        (3, has_opening(Side::Return, false), "return grille".into()),
        (6, is_outdoors, "opening to outdoors".into()),
        (4, !risers.is_empty(), "duct goes up or down".into()),
        (7, !dead_ends(scene).is_empty(), "capped end".into()),
        (
            8,
            scene.bits.iter().any(|b| is_damper(scene, b)),
            "damper".into(),
        ),
        (9, !lines.links.is_empty(), "joined to another run".into()),
        (5, !scene.spots.ladders.is_empty(), laid),
    ]
    .into_iter()
    .filter(|(_, is_drawn, _)| *is_drawn)
    .map(|(sign, _, words)| (sign, words))
    .collect()
}

/// The key of what stands on every layer; gives where it ends.
pub(super) fn key(svg: &mut Svg, scene: &Scene<'_>) -> f64 {
    svg.open("g", &[("class", "key")]);
    let mut column = Column::new(svg, scene.layout.column, scene.small);
    let mut words: Vec<String> = Vec::new();
    let mut signs = Vec::new();
    for (sign, said) in drawn(scene) {
        words.push(said);
        signs.push(sign);
    }
    let places = used_places(scene);
    for &place in &places {
        let p = &scene.facts.system.places[place];
        words.push(p.name.clone());
        signs.push(PLACE + place);
    }
    column.keys(&words, 7.0, |svg, i, at| {
        let r = Rect {
            x0: at[0] - 3.5,
            y0: at[1] - 1.1,
            x1: at[0] + 3.5,
            y1: at[1] + 1.1,
        };
        let small = Rect {
            x0: at[0] - 1.6,
            y0: at[1] - 1.1,
            x1: at[0] + 1.6,
            y1: at[1] + 1.1,
        };
        let line = polyline(&[[r.x0, at[1]], [r.x1, at[1]]]);
        match signs[i] {
            0 => {
                svg.path(
                    &line,
                    &[
                        ("class", "edge"),
                        ("stroke", ink::SUPPLY_EDGE),
                        ("stroke-width", "2"),
                    ],
                );
                svg.path(
                    &line,
                    &[
                        ("class", "inside"),
                        ("stroke", ink::SUPPLY),
                        ("stroke-width", "1.5"),
                    ],
                );
            }
            1 => {
                svg.path(
                    &line,
                    &[
                        ("class", "edge"),
                        ("stroke", ink::RETURN_EDGE),
                        ("stroke-width", "2"),
                        ("stroke-dasharray", "1.6 0.5"),
                    ],
                );
                let inside = Rect {
                    x0: r.x0,
                    y0: at[1] - 0.75,
                    x1: r.x1,
                    y1: at[1] + 0.75,
                };
                svg.path(
                    &box_path(inside),
                    &[("class", "inside"), ("fill", "url(#pd-return)")],
                );
            }
            2 | 3 | 6 => {
                let side = if signs[i] == 2 {
                    Side::Supply
                } else {
                    Side::Return
                };
                let leads_to = if signs[i] == 6 {
                    LeadsTo::Outdoors
                } else {
                    LeadsTo::Room
                };
                svg.path(
                    &register_path(small, side, leads_to),
                    &[
                        ("fill", ink::PAPER),
                        ("stroke", ink::INK),
                        ("stroke-width", "0.25"),
                    ],
                );
            }
            4 => {
                svg.open(
                    "g",
                    &[
                        ("fill", ink::PAPER),
                        ("stroke", ink::INK),
                        ("stroke-width", "0.3"),
                    ],
                );
                riser(svg, at, Some(true));
                svg.close("g");
            }
            5 => svg.path(
                &line,
                &[
                    ("stroke", ink::SOFT_INK),
                    ("stroke-width", "0.25"),
                    ("stroke-dasharray", "0.7 0.5"),
                ],
            ),
            7 => svg.path(
                &format!("{line}{}", polyline(&[[r.x1, r.y0], [r.x1, r.y1]])),
                &[
                    ("stroke", ink::INK),
                    ("stroke-width", "0.5"),
                    ("fill", "none"),
                ],
            ),
            8 => svg.path(
                &format!("{line}{}", damper(at, [1.0, 0.0], 0.8)),
                &[
                    ("stroke", ink::INK),
                    ("stroke-width", "0.3"),
                    ("fill", "none"),
                ],
            ),
            9 => svg.path(
                &line,
                &[
                    ("stroke", ink::SOFT_INK),
                    ("stroke-width", "0.3"),
                    ("stroke-dasharray", "1 0.6"),
                ],
            ),
            place => svg.path(
                &box_path(r),
                &[
                    ("fill", &format!("url(#pd-place{})", place - PLACE)),
                    ("stroke", ink::BELOW),
                    ("stroke-width", "0.15"),
                ],
            ),
        }
    });
    let y = column.y;
    svg.close("g");
    y
}
