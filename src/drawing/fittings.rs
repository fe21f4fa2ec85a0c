//! The unit, risers, caps, dampers, registers, and the enlarged view of the unit without its marks.

use super::geometry::{Bit, across, off};
use super::label::Rect;
use super::palette as ink;
use super::scene::{Scene, write_short};
use super::svg::{Line, Svg, polygon, polyline};
use super::symbols::{box_path, damper, register_box, register_path, riser};
use crate::system::{PieceKind, Side};

pub(super) fn unit(svg: &mut Svg, scene: &Scene<'_>) {
    svg.open(
        "g",
        &[
            ("class", "unit"),
            ("stroke", ink::INK),
            ("stroke-width", "0.35"),
            ("stroke-linejoin", "round"),
        ],
    );
    for part in &scene.unit {
        let (class, fill) = match part.side {
            Some(Side::Supply) => ("plenum supply", ink::SUPPLY),
            Some(Side::Return) => ("plenum return", "url(#pd-return)"),
            None => ("cabinet", ink::PAPER),
        };
        for face in &part.faces {
            svg.path(&polygon(face), &[("class", class), ("fill", fill)]);
        }
    }
    svg.close("g");
}

pub(super) fn ladders(svg: &mut Svg, scene: &Scene<'_>) {
    let d: String = scene
        .spots
        .ladders
        .iter()
        .map(|l| polyline(&[l.from, l.to]))
        .collect();
    svg.path(
        &d,
        &[
            ("class", "ladder"),
            ("fill", "none"),
            ("stroke", ink::SOFT_INK),
            ("stroke-width", "0.25"),
            ("stroke-dasharray", "0.7 0.5"),
        ],
    );
}

/// Risers, caps, dampers.
pub(super) fn fittings(svg: &mut Svg, scene: &Scene<'_>) {
    svg.open(
        "g",
        &[
            ("class", "fittings"),
            ("fill", ink::PAPER),
            ("stroke", ink::INK),
            ("stroke-width", "0.3"),
        ],
    );
    for r in &scene.lines.risers {
        riser(svg, r.from.1, Some(r.rise_m > 0.0));
        riser(svg, r.to.1, None);
    }
    let mut caps = String::new();
    let mut dampers = String::new();
    for bit in &scene.bits {
        let Some(on) = scene.lines.on[bit.edge.index()] else {
            continue;
        };
        let track = &scene.lines.tracks[on.track];
        if is_damper(scene, bit) {
            let s = on.from.max(track.low + 1.0).min(track.length());
            let (at, along) = track.at(s);
            dampers.push_str(&damper(at, along, track.half_at(s)));
        }
    }
    for run in dead_ends(scene) {
        let Some((_, last)) = scene.lines.of_run[run] else {
            continue;
        };
        let track = &scene.lines.tracks[last];
        let (at, along) = track.at(track.length());
        let half = track.half_at(track.length());
        caps.push_str(&polyline(&[
            off(at, across(along), half),
            off(at, across(along), -half),
        ]));
    }
    svg.path(&caps, &[("class", "cap"), ("stroke-width", "0.6")]);
    svg.path(&dampers, &[("class", "damper")]);
    svg.close("g");
}

/// Whether a piece is a damper that is drawn.
pub(super) fn is_damper(scene: &Scene<'_>, bit: &Bit) -> bool {
    let id = &scene.facts.system.graph[bit.edge].id;
    bit.kind == PieceKind::Inline
        && scene.lines.on[bit.edge.index()].is_some()
        && id
            .rsplit('/')
            .next()
            .is_some_and(|w| w.starts_with("damper"))
}

/// Runs that end in a cap: at no register, and with nothing that begins or joins there.
pub(super) fn dead_ends(scene: &Scene<'_>) -> Vec<usize> {
    let system = scene.facts.system;
    // Per junction: whether a piece begins there, and how many end there.
    let n = system.graph.node_count();
    let (mut begins, mut ends) = (vec![false; n], vec![0_usize; n]);
    let mut last: Vec<Option<&Bit>> = vec![None; system.runs.len()];
    for bit in &scene.bits {
        begins[bit.tail_node.index()] = true;
        ends[bit.head_node.index()] += 1;
        if let Some(run) = bit.run {
            last[run] = Some(bit);
        }
    }
    let is_end = |run: usize| {
        let has_line = scene.lines.of_run[run]
            .is_some_and(|(_, track)| scene.lines.tracks[track].length() > 0.0);
        let is_closed = last[run].is_some_and(|last| {
            let head = last.head_node.index();
            !last.is_link() && !begins[head] && ends[head] == 1
        });
        has_line && is_closed && system.runs[run].opening.is_none()
    };
    (0..system.runs.len()).filter(|&run| is_end(run)).collect()
}

pub(super) fn registers(svg: &mut Svg, scene: &Scene<'_>) {
    svg.open(
        "g",
        &[
            ("class", "registers"),
            ("fill", ink::PAPER),
            ("stroke", ink::INK),
            ("stroke-width", "0.25"),
        ],
    );
    for (i, opening) in scene.facts.system.openings.iter().enumerate() {
        let (_, at) = scene.opening_at(i);
        let r = register_box(opening, at, &scene.layout);
        let class = if opening.side == Side::Supply {
            "register"
        } else {
            "grille"
        };
        svg.path(
            &register_path(r, opening.side, opening.leads_to),
            &[("class", class)],
        );
    }
    svg.close("g");
}

/// The enlarged view of the unit, without its marks.
pub(super) fn detail(svg: &mut Svg, scene: &Scene<'_>) {
    let d = &scene.detail;
    svg.open(
        "g",
        &[
            ("class", "unit-detail"),
            ("stroke", ink::INK),
            ("stroke-width", "0.3"),
        ],
    );
    svg.path(
        &polyline(&[[d.rect.x0, d.rect.y0], [d.rect.x1, d.rect.y0]]),
        &[("class", "rule"), ("stroke-width", "0.2")],
    );
    svg.path(
        &box_path(d.supply),
        &[("class", "plenum supply"), ("fill", ink::SUPPLY)],
    );
    svg.path(
        &box_path(d.back),
        &[("class", "plenum return"), ("fill", "url(#pd-return)")],
    );
    svg.path(
        &box_path(d.cabinet),
        &[("class", "cabinet"), ("fill", ink::PAPER)],
    );
    let middle = d.middle();
    svg.path(
        &polyline(&[[d.cabinet.x0, middle], [d.cabinet.x1, middle]]),
        &[
            ("class", "cabinet"),
            ("stroke-width", "0.2"),
            ("stroke-dasharray", "0.8 0.6"),
        ],
    );
    for r in d.forgot {
        svg.path(
            &box_path(r),
            &[
                ("class", "forgot"),
                ("fill", ink::PAPER),
                ("stroke-width", "0.2"),
            ],
        );
    }
    svg.close("g");
    let size = scene.small;
    write_short(
        svg,
        [d.rect.x0, d.rect.y0 + 4.0],
        size,
        true,
        "The unit enlarged, not to scale: air goes upwards",
        d.rect.x1 - d.rect.x0,
        "",
    );
    let mut centred = |words: &str, r: Rect, y: f64| {
        let width = super::text::measure(words, 1.9, false).width_mm;
        let x = 0.5 * (r.x0 + r.x1 - width);
        svg.text(Line {
            class: "",
            at: [x, y],
            size: 1.9,
            bold: false,
            words,
            whole: None,
        });
    };
    centred("supply", d.supply, d.supply.y1 - 0.9);
    centred("return", d.back, d.back.y1 - 0.9);
    centred("unit", d.cabinet, middle + 4.0);
    centred("S", d.forgot[0], d.forgot[0].y1 - 1.3);
    centred("R", d.forgot[1], d.forgot[1].y1 - 1.3);
    let words = "not in sketch";
    let width = super::text::measure(words, 1.9, false).width_mm;
    svg.text(Line {
        class: "",
        at: [
            0.5 * (d.forgot[1].x1 + d.forgot[0].x0 - width),
            d.forgot[0].y1 - 1.3,
        ],
        size: 1.9,
        bold: false,
        words,
        whole: None,
    });
}
