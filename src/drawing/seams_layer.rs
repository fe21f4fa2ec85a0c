//! Every seam by its leakage.

use super::ask::Layer;
use super::label::Label;
use super::layer::{MARKS, Pen, REACHES, UNDER, mark, open_seam, reach};
use super::palette as ink;
use super::scene::{Asked, HANGS, largest, mm, width_mm, write_labels};
use super::svg::{Svg, circle, num, polyline, shortened};
use super::symbols::{box_path, reach_glyph};
use super::words::{band, basis, chance, flow_number, flow_unit, percent};
use crate::allocate::Allocation;
use crate::math::{hypot, log10, powi};
use crate::quantity::UnitSystem;
use crate::said::words::reach as reach_word;
use crate::system::SeamRole;

/// A chance to hang open above which a seam is flagged. Engineering estimate.
const FLAG: f64 = 0.05;
/// Names asked for on A4 or letter, and at most on a larger sheet.
const ASKED: [usize; 2] = [10, 20];
/// By how much a collar is wider than its mark to be drawn, mm: less is not seen on paper. Engineering estimate.
const SEEN: f64 = 0.2;
/// Widest collar, mm.
const WIDEST: f64 = 4.5;

/// Thresholds of the steps, the largest last, in the person's unit: numbers of the series 1, 2, 5 from the largest flow down.
pub(super) fn thresholds(most: f64) -> [f64; 6] {
    let mut all = [0.0; 6];
    if !(most.is_finite() && most > 0.0) {
        return all;
    }
    let mut power = log10(most).floor();
    let digits = [1.0, 2.0, 5.0];
    let lead = most / powi(10.0, power as i32);
    let mut digit = digits
        .iter()
        .rposition(|d| *d <= lead * 1.000_001)
        .unwrap_or(0);
    for step in all.iter_mut().rev() {
        *step = digits[digit] * powi(10.0, power as i32);
        if digit == 0 {
            digit = 2;
            power -= 1.0;
        } else {
            digit -= 1;
        }
    }
    all
}

/// Step of a figure, 0 to 6.
pub(super) fn step(x: f64, thresholds: &[f64; 6]) -> usize {
    thresholds
        .iter()
        .filter(|t| **t > 0.0 && x >= **t * 0.999_999)
        .count()
}

/// What a step means: `5 to 10 cfm`.
pub(super) fn step_words(k: usize, thresholds: &[f64; 6], unit: &str) -> String {
    let n = |x: f64| crate::quantity::significant(x, 3);
    if thresholds[5] <= 0.0 {
        return format!("0 {unit}");
    }
    match k {
        0 => format!("below {} {unit}", n(thresholds[0])),
        6 => format!("{} {unit} and more", n(thresholds[5])),
        k => format!("{} to {} {unit}", n(thresholds[k - 1]), n(thresholds[k])),
    }
}

/// What is said of a seam: `kitchen/tab collar: 12.3 (3.1 to 29.8) cfm, 4.2 %`.
pub(super) fn said(allocation: &Allocation, seam: usize, units: UnitSystem) -> String {
    let s = &allocation.seams[seam];
    format!(
        "{}: {} {}, {}",
        s.id,
        band(&s.test_m3_s, units),
        flow_unit(units),
        percent(s.share)
    )
}

/// Draws the layer; gives how many names found no room.
pub(super) fn draw(
    svg: &mut Svg,
    pen: &Pen<'_, '_>,
    allocation: &Allocation,
    first: bool,
) -> usize {
    let scene = pen.scene;
    let units = scene.ask.units;
    let most = largest(allocation);
    let limits = thresholds(flow_number(most, units));
    let width = |seam: usize| width_mm(allocation.seams[seam].test_m3_s.mean, most);
    pen.open(
        svg,
        Layer::Seams,
        first,
        &format!(
            "Every seam by its leakage. {}",
            basis(scene.facts.system, allocation)
        ),
    );
    // The leakiest at the bottom, so that none hides another; outlines round registers below all, since the joints of a
    // register stand on them.
    let order = allocation.leakiest_first();
    let mut bottom_up = order.clone();
    bottom_up
        .sort_by_key(|&seam| !matches!(scene.facts.system.seams[seam].role, SeamRole::BootGap(_)));
    svg.open("g", &MARKS);
    let mut painted = None;
    for &seam in &bottom_up {
        let Some(spot) = &scene.spots.of[seam] else {
            continue;
        };
        let s = &allocation.seams[seam];
        let k = step(flow_number(s.test_m3_s.mean, units), &limits);
        // One colour after another: the order is that of the steps.
        if painted != Some(k) {
            if painted.is_some() {
                svg.close("g");
            }
            svg.open("g", &[("stroke", ink::STEPS[k])]);
            painted = Some(k);
        }
        let class = format!("seam k{k}");
        open_seam(
            svg,
            Layer::Seams,
            seam,
            &class,
            None,
            &said(allocation, seam, units),
        );
        let wide = width_mm(s.test_m3_s.p95, most).min(WIDEST);
        if wide > width(seam) + SEEN {
            svg.path(
                &spot.d,
                &[
                    ("class", "doubt"),
                    ("stroke-width", &mm(wide)),
                    ("opacity", ".22"),
                ],
            );
        }
        mark(svg, spot, &mm(width(seam)));
        reach(svg, spot, s.reach);
        svg.close("g");
        svg.newline();
    }
    if painted.is_some() {
        svg.close("g");
    }
    svg.close("g");

    // Names.
    let mut asked = Vec::new();
    let large = scene.layout.width > super::sheet::LARGE;
    let mut flagged: Vec<usize> = order
        .iter()
        .copied()
        .filter(|&i| allocation.seams[i].gross_chance > FLAG)
        .collect();
    flagged.sort_by(|&a, &b| {
        let of = |i: usize| allocation.seams[i].gross_chance;
        of(b).total_cmp(&of(a)).then(a.cmp(&b))
    });
    for (rank, &seam) in order.iter().enumerate() {
        let s = &allocation.seams[seam];
        let is_flagged = flagged.iter().take(ASKED[0]).any(|&i| i == seam);
        let is_asked = rank < ASKED[0] || (large && rank < ASKED[1] && s.share >= 0.01);
        if !(is_asked || is_flagged) || s.test_m3_s.mean <= 0.0 {
            continue;
        }
        let Some(spot) = &scene.spots.of[seam] else {
            continue;
        };
        let in_detail = spot.frame == super::spots::Frame::Detail;
        let id = s.id.strip_prefix("unit/").filter(|_| in_detail);
        let share = percent(s.share);
        let id = id.unwrap_or(&s.id);
        let mut lines = if in_detail {
            // Narrow room beside the boxes.
            let room = super::unit_box::name_room(&scene.layout);
            named(&narrow(id, scene.small, room), &share, scene.small, room)
        } else {
            named(&in_two(id, scene.text), &share, scene.text, 60.0)
        };
        // Names in the enlarged view stand beside the boxes, not beside the marks.
        let [a, b] = spot.ends;
        let clear_mm = match (b[0] - a[0]).abs() {
            wide if in_detail && wide > 1.0 => 1.2 + 0.5 * wide,
            _ if in_detail => 2.1,
            _ => 1.2 + 0.5 * distance(spot.ends),
        };
        if is_flagged {
            lines.push(format!("{HANGS} {}", chance(s.gross_chance)));
        }
        asked.push(Asked {
            frame: spot.frame,
            label: Label {
                lines,
                size_mm: if in_detail { scene.small } else { scene.text },
                bold: false,
                at: spot.at,
                clear_mm,
                priority: 100.0 - rank as f64
                    + if rank < ASKED[0] || is_flagged {
                        1000.0
                    } else {
                        0.0
                    },
                leader: true,
            },
        });
    }
    let mut taken = pen.taken.to_vec();
    let placed = scene.place(&asked, &scene.mark_obstacles(width), &mut taken);
    let mut missing = 0;
    write_labels(svg, "labels", &asked, &placed, Some(ink::ALARM), |_| {
        missing += 1
    });
    for &seam in &flagged {
        if let Some(spot) = &scene.spots.of[seam] {
            flag(svg, spot.ends[0]);
        }
    }

    // Legend.
    svg.open("g", &[("class", "legend")]);
    let mut column = pen.column(svg);
    column.head(&format!(
        "Mean leakage of a seam, {}",
        at_pressure(allocation)
    ));
    let mut used = [false; 7];
    for s in &allocation.seams {
        used[step(flow_number(s.test_m3_s.mean, units), &limits)] = true;
    }
    let steps: Vec<usize> = (0..7).rev().filter(|k| used[*k]).collect();
    let words: Vec<String> = steps
        .iter()
        .map(|&k| step_words(k, &limits, flow_unit(units)))
        .collect();
    let biggest = flow_number(most, units);
    column.keys(&words, 9.0, |svg, i, at| {
        let k = steps[i];
        let typical = if k == 0 {
            0.4 * limits[0]
        } else {
            limits[k - 1]
        };
        svg.path(
            &polyline(&[[at[0] - 4.0, at[1]], [at[0] + 4.0, at[1]]]),
            &[
                ("class", &format!("k{k} mark")),
                ("stroke", ink::STEPS[k]),
                ("stroke-width", &mm(width_mm(typical, biggest))),
            ],
        );
    });
    column.keys(
        &["pale collar: upper end of the 90 % band".into()],
        9.0,
        |svg, _, at| {
            let d = polyline(&[[at[0] - 4.0, at[1]], [at[0] + 4.0, at[1]]]);
            svg.path(
                &d,
                &[
                    ("stroke", ink::STEPS[4]),
                    ("stroke-width", "2.4"),
                    ("opacity", ".22"),
                ],
            );
            svg.path(&d, &[("stroke", ink::STEPS[4]), ("stroke-width", "0.9")]);
        },
    );
    column.words("% = part of the leakage of all seams");
    column.head("At a mark's end: its reach");
    let words: Vec<String> = std::iter::once("open (no sign)".to_owned())
        .chain(REACHES.iter().map(|r| reach_word(*r).to_owned()))
        .collect();
    column.keys(&words, 9.0, |svg, i, at| {
        svg.path(
            &polyline(&[[at[0] - 4.0, at[1]], [at[0] + 1.0, at[1]]]),
            &[("stroke", ink::STEPS[4]), ("stroke-width", "0.7")],
        );
        if i > 0 {
            svg.path(
                &reach_glyph(REACHES[i - 1], [at[0] + 2.0, at[1]]),
                &[
                    ("stroke", ink::INK),
                    ("stroke-width", "0.25"),
                    ("fill", "none"),
                ],
            );
        }
    });
    let mut words: Vec<String> = vec![
        "joint".into(),
        "lengthwise seam".into(),
        "collar, fitting".into(),
        "elbow, boot".into(),
        "gap round a boot".into(),
        "hole, shaft".into(),
    ];
    words.push("under a higher duct".into());
    if !flagged.is_empty() {
        words.push(format!("{HANGS}: above {}", percent(FLAG)));
    }
    column.head("Marks");
    column.keys(&words, 9.0, |svg, i, [x, y]| {
        let edge = [
            ("stroke", ink::SUPPLY_EDGE),
            ("stroke-width", "0.2"),
            ("fill", "none"),
        ];
        if i != 4 && i < 6 {
            svg.path(
                &format!(
                    "M{0} {1}h8M{0} {2}h8",
                    num(x - 4.0),
                    num(y - 0.7),
                    num(y + 0.7)
                ),
                &edge,
            );
        }
        let d = match i {
            0 => polyline(&[[x, y - 1.2], [x, y + 1.2]]),
            1 => polyline(&[[x - 2.5, y + 0.8], [x + 2.5, y + 0.8]]),
            2 => polyline(&[
                [x + 0.8, y - 1.2],
                [x, y - 1.2],
                [x, y + 1.2],
                [x + 0.8, y + 1.2],
            ]),
            3 => format!(
                "M{0} {1}Q{2} {3} {0} {4}",
                num(x),
                num(y - 1.2),
                num(x + 1.4),
                num(y),
                num(y + 1.2)
            ),
            4 => box_path(super::label::Rect {
                x0: x - 1.6,
                y0: y - 1.2,
                x1: x + 1.6,
                y1: y + 1.2,
            }),
            5 => circle([x, y + 0.7], 0.5),
            6 => polyline(&[[x - 4.0, y], [x + 4.0, y]]),
            _ => {
                flag(svg, [x, y + 1.2]);
                return;
            }
        };
        let mut attrs = vec![
            ("stroke", ink::STEPS[4]),
            ("stroke-width", "0.5"),
            ("fill", "none"),
        ];
        if i == 6 {
            attrs[1].1 = "1";
            attrs.push(("stroke-dasharray", UNDER));
        }
        svg.path(&d, &attrs);
    });
    let missing = pen.left_out(&mut column, missing);
    svg.close("g");
    pen.close(svg);
    missing
}

/// `at 25 Pa`.
pub(super) fn at_pressure(allocation: &Allocation) -> String {
    format!(
        "total set-up at {} Pa",
        crate::quantity::significant(allocation.house.test_pressure_pa, 3)
    )
}

/// A long name in two lines, parted after the run; each shortened to a width.
fn in_two(id: &str, size: f64) -> Vec<String> {
    let is_long = super::text::measure(id, size, false).width_mm > 20.0;
    match id.split_once('/').filter(|_| is_long) {
        Some((run, joint)) => vec![
            shortened(&format!("{run}/"), size, false, 46.0),
            shortened(joint, size, false, 46.0),
        ],
        None => vec![shortened(id, size, false, 46.0)],
    }
}

/// A name over lines of a width.
fn narrow(id: &str, size: f64, room: f64) -> Vec<String> {
    match id.split_once('/') {
        Some((run, joint)) if super::text::measure(id, size, false).width_mm > room - 1.0 => {
            let mut lines = super::svg::wrapped(&format!("{run}/"), size, room);
            lines.extend(super::svg::wrapped(joint, size, room));
            lines
        }
        _ => super::svg::wrapped(id, size, room),
    }
}

/// A name with its share behind it, on a line of its own where the last has no room.
fn named(lines: &[String], share: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines = lines.to_vec();
    let Some(last) = lines.last_mut() else {
        return vec![share.to_owned()];
    };
    let whole = format!("{last}, {share}");
    if super::text::measure(&whole, size, false).width_mm <= room {
        *last = whole;
    } else {
        last.push(',');
        lines.push(share.to_owned());
    }
    lines
}

fn distance(ends: [[f64; 2]; 2]) -> f64 {
    hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1])
}

/// A small flag on a pole.
fn flag(svg: &mut Svg, [x, y]: [f64; 2]) {
    svg.path(
        &format!("M{0} {1}v-3.2l2 .8l-2 .8", num(x), num(y)),
        &[
            ("class", "flag"),
            ("fill", ink::ALARM),
            ("stroke", ink::ALARM),
            ("stroke-width", "0.3"),
            ("stroke-linejoin", "round"),
        ],
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_go_down_by_one_two_five() {
        let t = thresholds(38.0);
        for (found, meant) in t.iter().zip([0.5, 1.0, 2.0, 5.0, 10.0, 20.0]) {
            assert!((found - meant).abs() < 1e-9, "{t:?}");
        }
        assert_eq!(step(38.0, &t), 6);
        assert_eq!(step(5.0, &t), 4);
        assert_eq!(step(0.1, &t), 0);
        assert_eq!(step(0.0, &thresholds(0.0)), 0);
        assert_eq!(step_words(5, &t, "cfm"), "10 to 20 cfm");
    }
}
