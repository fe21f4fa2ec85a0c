//! A sketch to begin with, and what forms offer to choose from.

use serde::Serialize;

use super::refused::Refused;
use crate::sketch::{Choices, choices};

/// Round duct of the trade by its diameter, in. Common practice: what supply houses stock.
const ROUND_IN: [u32; 9] = [4, 5, 6, 7, 8, 9, 10, 12, 14];
/// Round duct by its diameter, mm: EN 1506:2007, recommended diameters (from memory).
const ROUND_MM: [u32; 8] = [100, 125, 160, 200, 250, 315, 400, 500];
/// Rectangular duct, in. Common practice.
const RECT_IN: [&str; 9] = [
    "8x8 in", "10x8 in", "12x8 in", "14x8 in", "16x8 in", "20x8 in", "24x8 in", "14x10 in",
    "20x10 in",
];
/// Rectangular duct, mm: EN 1505:1997, recommended sides (from memory).
const RECT_MM: [&str; 7] = [
    "200x200 mm",
    "250x200 mm",
    "300x200 mm",
    "400x200 mm",
    "500x200 mm",
    "400x250 mm",
    "500x250 mm",
];
/// Register boots, in. Common practice.
const BOOT_IN: [&str; 7] = [
    "10x4 in", "12x4 in", "10x6 in", "12x6 in", "14x6 in", "6x6 in", "8x8 in",
];
/// Register boots, mm. Engineering estimate: the sizes in inches, rounded.
const BOOT_MM: [&str; 5] = [
    "250x100 mm",
    "300x100 mm",
    "250x150 mm",
    "300x150 mm",
    "200x200 mm",
];
/// Return boxes, in. Common practice.
const BOX_IN: [&str; 6] = [
    "14x8 in", "20x10 in", "20x12 in", "20x20 in", "25x16 in", "25x20 in",
];
/// Return boxes, mm. Engineering estimate: the sizes in inches, rounded.
const BOX_MM: [&str; 4] = ["350x200 mm", "500x300 mm", "500x500 mm", "625x400 mm"];

/// What forms offer.
#[derive(Debug, Serialize)]
pub(super) struct Offered {
    #[serde(flatten)]
    words: Choices,
    round_sizes: Sizes,
    rect_sizes: Sizes,
    boot_sizes: Sizes,
    box_sizes: Sizes,
}

/// Usual sizes in each units.
#[derive(Debug, Serialize)]
struct Sizes {
    ip: Vec<String>,
    si: Vec<String>,
}

/// The words of the tables and the usual sizes.
pub(super) fn offered() -> Offered {
    let own = |list: &[&str]| list.iter().map(|size| (*size).to_owned()).collect();
    Offered {
        words: choices(),
        round_sizes: Sizes {
            ip: ROUND_IN.iter().map(|d| format!("{d} in")).collect(),
            si: ROUND_MM.iter().map(|d| format!("{d} mm")).collect(),
        },
        rect_sizes: Sizes {
            ip: own(&RECT_IN),
            si: own(&RECT_MM),
        },
        boot_sizes: Sizes {
            ip: own(&BOOT_IN),
            si: own(&BOOT_MM),
        },
        box_sizes: Sizes {
            ip: own(&BOX_IN),
            si: own(&BOX_MM),
        },
    }
}

/// A sketch with a unit and no run, to be drawn on.
pub(super) fn blank(title: &str, units: &str) -> Result<String, Refused> {
    let (units, supply, back, length) = match units {
        "" | "ip" => ("ip", "20x16 in", "20x14 in", "3 ft"),
        "si" => ("si", "500x400 mm", "500x350 mm", "1 m"),
        other => {
            return Err(Refused::new(
                format!("`{other}` is no choice of units"),
                "choose `ip` or `si`",
            ));
        }
    };
    let title = title.trim();
    let title = if title.is_empty() { "My house" } else { title };
    let title: String = title
        .chars()
        .filter(|c| !c.is_control())
        .take(120)
        .collect();
    // In double quotes both marks that mean something there are escaped.
    let title = title.replace('\\', "\\\\").replace('"', "\\\"");
    Ok(format!(
        "\
# Drawn on the board; `ductseam check` reads it too. Every value carries its unit.
ductseam: 1
title: \"{title}\"
units: {units}                         # how answers are shown: ip or si
suspect tape: not checked         # none seen | suspected | not checked: old white or grey tape or wrap may hold asbestos, leave it alone

places:                           # what surrounds the ducts: inside, outside, or a buffer between
  basement: buffer
  attic: outside
  inside: inside

air handler:
  place: basement
  supply plenum: {{size: {supply}, length: {length}}}
  return plenum: {{size: {back}, length: {length}}}

usual:                            # how things are built unless a run or a step says otherwise
  all: {{place: basement, reach: open, work: unsealed}}

runs: []
"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_offered_size_is_read() {
        let offered = offered();
        for sizes in [
            &offered.round_sizes,
            &offered.rect_sizes,
            &offered.boot_sizes,
            &offered.box_sizes,
        ] {
            for size in sizes.ip.iter().chain(&sizes.si) {
                assert!(size.parse::<crate::quantity::Size>().is_ok(), "{size}");
            }
        }
    }

    #[test]
    fn a_blank_sketch_lacks_runs_and_nothing_else() {
        for units in ["ip", "si"] {
            let text = blank("A \"quoted\" \\ title", units).expect("known units");
            let found = crate::sketch::read(&text, "blank").expect_err("no runs");
            assert_eq!(found.count(), 1, "{found}");
            assert_eq!(found.items[0].title, "the sketch has no runs");
            let pan = if units == "ip" { "6 in" } else { "160 mm" };
            let whole = text.replace(
                "runs: []",
                &format!("runs: [{{id: a, from: supply plenum, size: {pan}, walk: [cap]}}]"),
            );
            assert!(crate::sketch::read(&whole, "blank").is_ok());
        }
    }
}
