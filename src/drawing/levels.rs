//! Levels: heights that belong together.

use super::geometry::{Bit, position};
use crate::quantity::UnitSystem;
use crate::system::System;

/// A gap of height larger than this begins a new level, m. Engineering estimate: less than any storey, more than any
/// change of height within one.
const GAP_M: f64 = 1.2;
/// Most levels that are drawn; the nearest are put together beyond that.
const MOST: usize = 6;

/// The levels, from below.
#[derive(Debug, Clone)]
pub(super) struct Levels {
    /// Level of every junction.
    pub of_node: Vec<usize>,
    /// Height of each above the unit, m.
    pub heights: Vec<f64>,
    /// Level that the unit is drawn on.
    pub unit: usize,
    /// Whether the unit itself stands higher (+) or lower (−) than the level it is drawn on, m.
    pub unit_off_m: f64,
}

impl Levels {
    /// Everything on one level, as an isometric view shows it.
    pub fn one(system: &System) -> Levels {
        Levels {
            of_node: vec![0; system.graph.node_count()],
            heights: vec![0.0],
            unit: 0,
            unit_off_m: 0.0,
        }
    }

    /// Sorts the junctions by height.
    pub fn of(system: &System, bits: &[Bit]) -> Levels {
        let z: Vec<f64> = system
            .graph
            .node_indices()
            .map(|node| position(system, node)[2])
            .collect();
        let mut sorted = z.clone();
        sorted.sort_by(f64::total_cmp);
        // Each level from its lowest to its highest junction.
        let mut spans: Vec<(f64, f64)> = Vec::new();
        for &z in &sorted {
            match spans.last_mut() {
                Some(span) if z - span.1 <= GAP_M => span.1 = z,
                _ => spans.push((z, z)),
            }
        }
        if spans.is_empty() {
            return Levels::one(system);
        }
        let find = |spans: &[(f64, f64)], z: f64| {
            let above = spans.partition_point(|span| span.1 < z);
            above.min(spans.len() - 1)
        };
        // A level without a level duct or a register is a landing: it goes to its nearest neighbour.
        while spans.len() > 1 {
            let mut used = vec![false; spans.len()];
            for bit in bits.iter().filter(|b| b.run.is_some() && b.level_m() > 0.3) {
                used[find(&spans, bit.tail[2])] = true;
                used[find(&spans, bit.head[2])] = true;
            }
            for opening in &system.openings {
                used[find(&spans, position(system, opening.node)[2])] = true;
            }
            let idle = used.iter().position(|used| !used);
            let at = match idle {
                Some(i) => {
                    let below = i.checked_sub(1).map(|b| spans[i].0 - spans[b].1);
                    let above = spans.get(i + 1).map(|a| a.0 - spans[i].1);
                    match (below, above) {
                        (Some(b), Some(a)) if b <= a => i - 1,
                        (Some(_), None) => i - 1,
                        _ => i,
                    }
                }
                None if spans.len() > MOST => (0..spans.len() - 1)
                    .min_by(|&a, &b| {
                        let gap = |i: usize| spans[i + 1].0 - spans[i].1;
                        gap(a).total_cmp(&gap(b))
                    })
                    .unwrap_or(0),
                None => break,
            };
            spans[at].1 = spans[at + 1].1;
            spans.remove(at + 1);
        }
        let of_node: Vec<usize> = z.iter().map(|&z| find(&spans, z)).collect();
        let unit = of_node[system.unit.supply_plenum.index()];
        let unit_z = z[system.unit.supply_plenum.index()];
        let heights: Vec<f64> = (0..spans.len())
            .map(|level| height(system, bits, &of_node, level, spans[level].0) - unit_z)
            .collect();
        Levels {
            unit_off_m: -heights[unit],
            of_node,
            heights,
            unit,
        }
    }

    /// Level of a piece's tail.
    pub fn tail(&self, bit: &Bit) -> usize {
        self.of_node[bit.tail_node.index()]
    }

    /// Level of a piece's head.
    pub fn head(&self, bit: &Bit) -> usize {
        self.of_node[bit.head_node.index()]
    }

    /// What a level is called.
    pub fn title(&self, level: usize, units: UnitSystem) -> String {
        let height = self.heights[level];
        let words = |m: f64| super::words::height(m, units);
        let base = if height.abs() < 0.75 {
            "unit's level".to_owned()
        } else if height > 0.0 {
            format!("{} above the unit", words(height))
        } else {
            format!("{} below the unit", words(height))
        };
        if level == self.unit && self.unit_off_m.abs() >= 0.75 {
            let which = if self.unit_off_m > 0.0 {
                "above"
            } else {
                "below"
            };
            return format!("{base}; the unit, which stands {which}, is drawn in");
        }
        base
    }
}

/// Height of most of a level's duct, m; `lowest` where it has none.
fn height(system: &System, bits: &[Bit], of_node: &[usize], level: usize, lowest: f64) -> f64 {
    let mut heights: Vec<(f64, f64)> = bits
        .iter()
        .filter(|b| b.run.is_some() && of_node[b.tail_node.index()] == level)
        .filter(|b| of_node[b.head_node.index()] == level && b.level_m() > 0.1)
        .map(|b| (0.5 * (b.tail[2] + b.head[2]), b.level_m()))
        .collect();
    for opening in &system.openings {
        if of_node[opening.node.index()] == level && heights.is_empty() {
            heights.push((position(system, opening.node)[2], 1.0));
        }
    }
    heights.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * heights.iter().map(|h| h.1).sum::<f64>();
    let mut sum = 0.0;
    for (z, length) in &heights {
        sum += length;
        if sum >= half {
            return *z;
        }
    }
    lowest
}
