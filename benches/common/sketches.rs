//! Sketches of any size for the benchmarks; invented.

use std::fmt::Write;

/// The bungalow of the models with trunks added until `branches` more branches hang on them, eight a trunk.
pub fn large(bungalow: &str, branches: usize) -> String {
    let (head, tail) = bungalow
        .split_once("\nreadings:")
        .expect("the bungalow has readings");
    let mut text = head.to_owned();
    for b in 0..branches {
        let trunk = b / 8;
        if b % 8 == 0 {
            write!(
                text,
                "\n  - {{id: trunk {trunk}, side: supply, from: supply plenum, size: 14x8 in, walk: [east 36 ft, cap]}}"
            )
            .expect("a string takes all");
        }
        let (at, hand) = (4 * (b % 8) + 2, ["left", "right"][b % 2]);
        write!(
            text,
            "\n  - {{id: branch {b}, from: trunk {trunk} at {at} ft {hand}, size: 6 in, walk: [side tap, 8 ft, adjustable elbow up, 2 ft, end boot 10x4 in]}}"
        )
        .expect("a string takes all");
    }
    text.push_str("\n\nreadings:");
    text.push_str(tail);
    text
}
