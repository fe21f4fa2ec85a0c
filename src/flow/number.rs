//! From named nodes and branches to the numbered network that is solved.

use super::branch_law::check;
use super::builder::AbstractNetwork;
use super::error::FlowError;
use super::lag::Act;
use super::leaks::Streams;
use super::matrix::{Ordered, Pattern, elimination_order};
use super::network::{Branch, Element, NONE, Network, Zone};
use super::types::FlowSettings;

/// A network on its way to being numbered.
pub(super) struct Numbering<'a> {
    pub(super) given: &'a AbstractNetwork,
    elements: Vec<Option<Element>>,
    /// Node that each node is one with.
    pub(super) root: Vec<usize>,
    /// Branches that stay.
    alive: Vec<bool>,
    /// Which node's pressure a dropped one has.
    stands_for: Vec<usize>,
}

impl<'a> Numbering<'a> {
    pub(super) fn new(
        given: &'a AbstractNetwork,
        elements: Vec<Option<Element>>,
    ) -> Result<Self, FlowError> {
        let mut merged = Merged::new(given.names.len());
        for (branch, element) in given.branches.iter().zip(&elements) {
            if element.is_none() {
                merged.join(branch.tail.0, branch.head.0);
            }
        }
        let root: Vec<usize> = (0..given.names.len()).map(|i| merged.root(i)).collect();
        let mut numbering = Numbering {
            given,
            elements,
            root,
            alive: Vec::new(),
            stands_for: Vec::new(),
        };
        numbering.check_islands()?;
        numbering.drop_dead_ends();
        Ok(numbering)
    }

    /// Finds parts that no branch joins to a held pressure.
    fn check_islands(&self) -> Result<(), FlowError> {
        let given = self.given;
        // Where another pressure is held the fan's influence ends.
        let mut is_held = vec![false; given.names.len()];
        for held in &given.held {
            is_held[self.root[held.0.0]] = true;
        }
        let mut parts = Merged::new(given.names.len());
        let mut reach = Merged::new(given.names.len());
        let mut join = |a: usize, b: usize| {
            parts.join(a, b);
            if !is_held[self.root[a]] && !is_held[self.root[b]] {
                reach.join(a, b);
            }
        };
        for (node, &at) in self.root.iter().enumerate() {
            join(node, at);
        }
        for (branch, element) in given.branches.iter().zip(&self.elements) {
            if element.is_some() {
                join(branch.tail.0, branch.head.0);
            }
        }
        // A mask or plug always leaks a little, a seam may be sealed.
        for mask in &given.masks {
            if let Some(zone) = mask.zone {
                join(mask.node.0, zone.0);
            }
        }
        let at_fan = self.root[given.tap.0] == self.root[given.fan.0];
        if !at_fan && reach.root(given.tap.0) != reach.root(given.fan.0) {
            return Err(FlowError::TapOutside {
                place: given.names[given.tap.0].clone(),
            });
        }
        let mut grounded = vec![false; given.names.len()];
        for node in given.held.iter().map(|h| h.0).chain([given.fan]) {
            grounded[parts.root(node.0)] = true;
        }
        for branch in &given.branches {
            if !grounded[parts.root(branch.tail.0)] {
                return Err(FlowError::Island {
                    piece: branch.name.clone(),
                });
            }
        }
        let seams = given.seams.iter().flatten();
        let seams = seams.flat_map(|seam| [Some(seam.at.node), seam.zone]);
        let masks = given.masks.iter();
        let masks = masks.flat_map(|mask| [Some(mask.node), mask.zone]);
        for node in seams.chain(masks).flatten() {
            if !grounded[parts.root(node.0)] {
                return Err(FlowError::Island {
                    piece: given.names[node.0].clone(),
                });
            }
        }
        Ok(())
    }

    /// Nodes whose pressure matters to something else than branches.
    fn wanted(&self) -> Vec<bool> {
        let given = self.given;
        let mut wanted = vec![false; given.names.len()];
        let mut want = |node: usize| wanted[self.root[node]] = true;
        want(given.fan.0);
        want(given.tap.0);
        for seam in given.seams.iter().flatten() {
            want(seam.at.node.0);
            if let Some(zone) = seam.zone {
                want(zone.0);
            }
        }
        for &(node, ..) in &given.held {
            want(node.0);
        }
        for mask in &given.masks {
            want(mask.node.0);
            if let Some(zone) = mask.zone {
                want(zone.0);
            }
        }
        // Without flow these still hold a pressure difference.
        for takeoff in &given.takeoffs {
            for leg in [Some(takeoff.branch), takeoff.straight]
                .into_iter()
                .flatten()
            {
                want(given.branches[leg.0].tail.0);
                want(given.branches[leg.0].head.0);
            }
        }
        for (branch, element) in given.branches.iter().zip(&self.elements) {
            if matches!(element, Some(Element::Blower(_))) {
                want(branch.tail.0);
                want(branch.head.0);
            }
        }
        wanted
    }

    fn drop_dead_ends(&mut self) {
        let n = self.given.names.len();
        let wanted = self.wanted();
        let mut touching: Vec<Vec<usize>> = vec![Vec::new(); n];
        let mut alive = vec![false; self.elements.len()];
        for (at, (branch, element)) in self.given.branches.iter().zip(&self.elements).enumerate() {
            let (a, b) = (self.root[branch.tail.0], self.root[branch.head.0]);
            // A branch whose ends are one node has no pressure difference.
            if element.is_some() && a != b {
                alive[at] = true;
                touching[a].push(at);
                touching[b].push(at);
            }
        }
        let mut degree: Vec<usize> = touching.iter().map(Vec::len).collect();
        let mut stands_for: Vec<usize> = (0..n).collect();
        let mut ends: Vec<usize> = (0..n)
            .rev()
            .filter(|&i| degree[i] == 1 && !wanted[i])
            .collect();
        while let Some(end) = ends.pop() {
            let Some(&at) = touching[end].iter().find(|&&at| alive[at]) else {
                continue;
            };
            alive[at] = false;
            let (a, b) = (
                self.root[self.given.branches[at].tail.0],
                self.root[self.given.branches[at].head.0],
            );
            let other = if a == end { b } else { a };
            stands_for[end] = other;
            degree[other] -= 1;
            if degree[other] == 1 && !wanted[other] {
                ends.push(other);
            }
        }
        self.alive = alive;
        self.stands_for = stands_for;
    }

    /// Nodes whose pressure is held, the fan's first.
    fn held_nodes(&self) -> Result<(Vec<usize>, Vec<Zone>), FlowError> {
        let given = self.given;
        let mut nodes = vec![self.root[given.fan.0]];
        let mut zones = Vec::new();
        for &(node, house_share, fixed_pa) in &given.held {
            let at = self.root[node.0];
            let one = "one held pressure";
            check(&given.names[node.0], fixed_pa, one, !nodes.contains(&at))?;
            nodes.push(at);
            zones.push(Zone {
                house_share,
                fixed_pa,
                node: NONE,
            });
        }
        Ok((nodes, zones))
    }

    /// Numbers what is left in the order of elimination.
    pub(super) fn network(self, settings: &FlowSettings) -> Result<Network, FlowError> {
        let given = self.given;
        let (held_nodes, held) = self.held_nodes()?;
        let mut number = vec![NONE; given.names.len()];
        let mut is_held = vec![false; given.names.len()];
        for &node in &held_nodes {
            is_held[node] = true;
        }
        let mut nodes = Vec::new();
        let legs = given.branches.iter().zip(&self.alive);
        let legs: Vec<(usize, usize)> = legs
            .filter(|(_, alive)| **alive)
            .map(|(b, _)| (self.root[b.tail.0], self.root[b.head.0]))
            .collect();
        let seams = given.seams.iter().flatten();
        let seams = seams.filter_map(|seam| Some((seam.at.node.0, seam.zone?.0)));
        let masks = given.masks.iter();
        let masks = masks.filter_map(|mask| Some((mask.node.0, mask.zone?.0)));
        let leaks: Vec<(usize, usize)> = seams
            .chain(masks)
            .map(|(a, b)| (self.root[a], self.root[b]))
            .collect();
        // A room may hang on a mask's leak alone, without a branch.
        for end in legs.iter().chain(&leaks).flat_map(|&(a, b)| [a, b]) {
            if !is_held[end] && number[end] == NONE {
                number[end] = nodes.len() as u32;
                nodes.push(end);
            }
        }
        let free = nodes.len();
        let edges: Vec<(u32, u32)> = legs
            .into_iter()
            .chain(leaks)
            .filter(|&(a, b)| a != b && !is_held[a] && !is_held[b])
            .map(|(a, b)| (number[a], number[b]))
            .collect();
        let ordered: Ordered = elimination_order(free, &edges)?;
        let pattern = Pattern::new(&ordered);
        let mut names = Vec::with_capacity(free + 1);
        for (step, &node) in ordered.order.iter().enumerate() {
            number[nodes[node as usize]] = step as u32;
            names.push(given.names[nodes[node as usize]].clone());
        }
        for (more, &node) in held_nodes.iter().enumerate() {
            number[node] = (free + more) as u32;
            names.push(given.names[node].clone());
        }
        let (branches, branch_of) = self.branches(&number, free, &pattern);
        let mut streams = Streams::default();
        let (airs, zones, groups, leaks) =
            self.leaks(&number, free, &pattern, &branch_of, &mut streams);
        let node_of = (0..given.names.len())
            .map(|node| {
                let mut at = self.root[node];
                while self.stands_for[at] != at {
                    at = self.stands_for[at];
                }
                number[at]
            })
            .collect();
        let lags = self.lags(streams, &branch_of);
        Ok(Network {
            settings: *settings,
            free,
            held,
            floating: zones.iter().any(|zone| zone.node != NONE),
            driven: branches
                .iter()
                .any(|branch| matches!(branch.law, Element::Blower(_))),
            has_sources: lags
                .iter()
                .any(|lag| lag.acts.iter().any(|act| matches!(act, Act::Branch(_)))),
            branches,
            groups,
            leaks,
            zones,
            pattern,
            tap: number[self.root[given.tap.0]] as usize,
            hold_pa: given.hold_pa,
            house_pa: given.house_pa,
            sense: if given.hold_pa < 0.0 { -1.0 } else { 1.0 },
            seams: given.seams.len(),
            counted: given.seams.iter().map(Option::is_some).collect(),
            airs,
            lags,
            names,
            node_of,
            dead_end: self.dead_ends(),
            branch_of,
        })
    }

    /// Branches that stay, in the order in which the matrix is walked, and the number of each one given.
    fn branches(&self, number: &[u32], free: usize, pattern: &Pattern) -> (Vec<Branch>, Vec<u32>) {
        let mut branches: Vec<(usize, Branch)> = Vec::new();
        for (at, (given, element)) in self.given.branches.iter().zip(&self.elements).enumerate() {
            let Some(law) = element.as_ref().filter(|_| self.alive[at]) else {
                continue;
            };
            let (tail, head) = (
                number[self.root[given.tail.0]],
                number[self.root[given.head.0]],
            );
            let held = tail.max(head) as usize >= free;
            let branch = Branch {
                tail,
                head,
                slot: if held { NONE } else { pattern.slot(tail, head) },
                law: law.clone(),
            };
            branches.push((at, branch));
        }
        // Stable, so parallel branches keep their order.
        branches.sort_by_key(|(_, b)| (b.tail.min(b.head), b.tail.max(b.head)));
        let mut branch_of = vec![NONE; self.given.branches.len()];
        for (number, (at, _)) in branches.iter().enumerate() {
            branch_of[*at] = number as u32;
        }
        let branches = branches.into_iter().map(|(_, branch)| branch).collect();
        (branches, branch_of)
    }

    /// Branches that were dropped though they lose pressure.
    fn dead_ends(&self) -> Vec<bool> {
        let branches = self.elements.iter().zip(&self.alive);
        branches
            .map(|(element, alive)| element.is_some() && !alive)
            .collect()
    }
}

/// Sets of nodes that are one.
struct Merged {
    parent: Vec<usize>,
}

impl Merged {
    fn new(n: usize) -> Self {
        Merged {
            parent: (0..n).collect(),
        }
    }

    fn root(&mut self, mut at: usize) -> usize {
        while self.parent[at] != at {
            self.parent[at] = self.parent[self.parent[at]];
            at = self.parent[at];
        }
        at
    }

    /// The lower number stays the root, so that names do not depend on the order of joining.
    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b)] = a.min(b);
    }
}
