//! Every seam by its joint type.

use super::ask::Layer;
use super::layer::{MARKS, Pen, open_seam, quiet};
use super::letters::letter_path;
use super::palette as ink;
use super::seams_layer::{at_pressure, said};
use super::svg::{Svg, circle, tenth};
use super::words::{basis, flow, percent};
use crate::allocate::Allocation;

/// Height of the letters on the ducts, mm: seams stand about so close (engineering estimate, looked at on drawings).
const HIGH_MM: f64 = 1.6;
/// Letters of the types, those that are taken for a figure left out.
const LETTERS: [char; 24] = [
    'A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'K', 'L', 'M', 'N', 'P', 'Q', 'R', 'S', 'T', 'U',
    'V', 'W', 'X', 'Y', 'Z',
];

/// Draws the layer: every type a letter, the leakiest `A`; the least put together as one where the legend has no room for all.
pub(super) fn draw(
    svg: &mut Svg,
    pen: &Pen<'_, '_>,
    allocation: &Allocation,
    first: bool,
) -> usize {
    let scene = pen.scene;
    let units = scene.ask.units;
    let words = format!(
        "Every seam by its joint type. {}",
        basis(scene.facts.system, allocation)
    );
    pen.open(svg, Layer::Types, first, &words);
    quiet(svg);
    let groups = &allocation.by_joint_type;
    let n_own = own_signs(pen, svg, groups.len());
    svg.open("defs", &[]);
    for (t, letter) in LETTERS.iter().enumerate().take(n_own) {
        let id = format!("pd-type{t}");
        svg.path(&letter_path(*letter, HIGH_MM), &[("id", id.as_str())]);
    }
    svg.close("defs");
    svg.open("g", &MARKS);
    for (t, group) in groups.iter().enumerate() {
        let mut attrs = vec![("class", "type"), ("data-type", group.id.as_str())];
        attrs.extend(paint(t, n_own));
        svg.open("g", &attrs);
        for (i, spot) in scene.spots.of.iter().enumerate() {
            let (Some(spot), true) = (spot, allocation.seams[i].joint_type == group.id) else {
                continue;
            };
            open_seam(
                svg,
                Layer::Types,
                i,
                "seam",
                None,
                &said(allocation, i, units),
            );
            sign(svg, t, n_own, spot.at);
            svg.close("g");
        }
        svg.close("g");
        svg.newline();
    }
    svg.close("g");
    svg.open("g", &[("class", "legend")]);
    let mut column = pen.column(svg);
    column.head(&heading(allocation));
    let room = column.x1 - column.x0 - 4.0 - 2.0;
    let row = |count: usize, name: &str, figures: &str, size: f64| {
        let count = format!("{count} × ");
        let width = |words: &str| super::text::measure(words, size, false).width_mm;
        let left = room - width(figures) - width(&count) - 0.3;
        let name = super::svg::shortened(name, size, false, left);
        format!("{count}{name}{figures}")
    };
    let mut words: Vec<String> = groups[..n_own]
        .iter()
        .map(|g| {
            let figures = format!(
                ": {}, {}",
                flow(g.test_m3_s.mean, units),
                percent(g.share.mean)
            );
            row(g.count, &g.name, &figures, column.size)
        })
        .collect();
    let others = &groups[n_own..];
    if !others.is_empty() {
        // Means add up.
        let figures = format!(
            ": {}, {}",
            flow(others.iter().map(|g| g.test_m3_s.mean).sum(), units),
            percent(others.iter().map(|g| g.share.mean).sum())
        );
        let name = format!("other, {} types", others.len());
        let count = others.iter().map(|g| g.count).sum();
        words.push(row(count, &name, &figures, column.size));
    }
    column.list(&words, 4.0, |svg, t, at| {
        svg.open("g", &paint(t, n_own));
        sign(svg, t, n_own, at);
        svg.close("g");
    });
    let missing = pen.left_out(&mut column, 0);
    svg.close("g");
    pen.close(svg);
    missing
}

fn heading(allocation: &Allocation) -> String {
    format!(
        "Joint types: seams, mean leakage, part of all seams' leakage; {}",
        at_pressure(allocation)
    )
}

/// How many types have a letter of their own: all, or as many as leave the legend a row for the others.
fn own_signs(pen: &Pen<'_, '_>, svg: &mut Svg, n: usize) -> usize {
    let column = pen.column(svg);
    // Heading and the room above it.
    let used = 0.6 + 2.0 * column.step();
    let rows = ((column.y1 - column.y - used) / column.key_step()).max(0.0) as usize;
    match rows.min(LETTERS.len()) {
        most if n <= most => n,
        most => most.saturating_sub(1),
    }
}

/// How a type's sign is painted: a letter with a pale rim, or a ring.
fn paint(t: usize, n_own: usize) -> Vec<(&'static str, &'static str)> {
    if t < n_own {
        vec![
            ("fill", ink::TYPES[t % ink::TYPES.len()]),
            ("stroke", ink::PAPER),
            ("stroke-width", "0.4"),
            ("paint-order", "stroke"),
        ]
    } else {
        vec![
            ("fill", ink::PAPER),
            ("stroke", ink::INK),
            ("stroke-width", "0.25"),
        ]
    }
}

/// The sign of the t-th type.
fn sign(svg: &mut Svg, t: usize, n_own: usize, at: [f64; 2]) {
    if t >= n_own {
        svg.path(&circle(at, 0.6), &[("class", "mark")]);
        return;
    }
    let [x, y] = at.map(tenth);
    let href = format!("#pd-type{t}");
    svg.leaf(
        "use",
        &[
            ("class", "mark"),
            ("href", href.as_str()),
            ("x", &x),
            ("y", &y),
        ],
    );
}
