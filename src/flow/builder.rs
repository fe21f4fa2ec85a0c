//! From nodes, branches and seams by name to a network ready to be solved.

use super::branch_law::{BranchLaw, check, element, positive};
use super::error::FlowError;
use super::matrix::{Ordered, Pattern, elimination_order};
use super::network::{Branch, Element, Group, Leak, NONE, Network, Zone};
use super::types::FlowSettings;
use crate::air::{Air, STANDARD_DENSITY};

/// A node of an [`AbstractNetwork`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct NodeId(usize);

impl NodeId {
    /// Number for [`Workspace::node_pressure`](super::Workspace::node_pressure).
    pub fn index(self) -> usize {
        self.0
    }
}

/// A seam of an [`AbstractNetwork`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamAtNode {
    /// Where it leaks from.
    pub node: NodeId,
    /// Part of the house's pressure at which its surroundings are.
    pub house_share: f64,
    /// Added to that pressure, Pa.
    pub fixed_pa: f64,
    /// Part of the seam that takes part, 0 to 1.
    pub part: f64,
}

/// A network described by nodes, branches and seams alone, without a duct system behind it.
///
/// [`assemble`](super::assemble) goes through it. It is public for checks: random networks, hand-worked cases and
/// data of other solvers can be fed straight to [`solve`](super::solve).
#[derive(Debug, Clone)]
pub struct AbstractNetwork {
    air: Air,
    names: Vec<String>,
    branches: Vec<Given>,
    seams: Vec<Option<SeamAtNode>>,
    masks: Vec<Mask>,
    open: Vec<(NodeId, f64)>,
    fan: NodeId,
    tap: NodeId,
    hold_pa: f64,
    house_pa: f64,
}

#[derive(Debug, Clone)]
struct Given {
    name: String,
    tail: NodeId,
    head: NodeId,
    law: BranchLaw,
}

#[derive(Debug, Clone, Copy)]
struct Mask {
    node: NodeId,
    house_share: f64,
    q25: f64,
    n: f64,
}

impl AbstractNetwork {
    /// An empty network in the given air; fan and tap at the first node, held at 25 Pa, house at 0.
    pub fn new(air: Air) -> Self {
        AbstractNetwork {
            air,
            names: Vec::new(),
            branches: Vec::new(),
            seams: Vec::new(),
            masks: Vec::new(),
            open: Vec::new(),
            fan: NodeId(0),
            tap: NodeId(0),
            hold_pa: 25.0,
            house_pa: 0.0,
        }
    }

    /// Adds a node.
    pub fn node(&mut self, name: impl Into<String>) -> NodeId {
        self.names.push(name.into());
        NodeId(self.names.len() - 1)
    }

    /// Adds a branch.
    pub fn branch(&mut self, name: impl Into<String>, tail: NodeId, head: NodeId, law: BranchLaw) {
        self.branches.push(Given {
            name: name.into(),
            tail,
            head,
            law,
        });
    }

    /// Adds a seam and returns its index in [`SeamLaws`](super::SeamLaws).
    pub fn seam(&mut self, seam: SeamAtNode) -> usize {
        let takes_part = seam.part > 0.0;
        self.seams.push(takes_part.then_some(seam));
        self.seams.len() - 1
    }

    /// Keeps a place in [`SeamLaws`](super::SeamLaws) for a seam that takes no part.
    pub fn absent_seam(&mut self) -> usize {
        self.seams.push(None);
        self.seams.len() - 1
    }

    /// Adds a leak with a fixed law that is no seam: a mask, a plug, a barrier. `q25` in m³/s at 25 Pa.
    pub fn mask(&mut self, node: NodeId, house_share: f64, q25: f64, n: f64) {
        self.masks.push(Mask {
            node,
            house_share,
            q25,
            n,
        });
    }

    /// Puts the fan and the tap at nodes and holds a gauge pressure at the tap, Pa; below zero pulls down.
    pub fn hold(&mut self, fan: NodeId, tap: NodeId, pressure_pa: f64) {
        (self.fan, self.tap, self.hold_pa) = (fan, tap, pressure_pa);
    }

    /// Opens a node to a held gauge pressure, Pa: an unmasked register. Its flow counts as fan flow.
    pub fn open_to(&mut self, node: NodeId, pressure_pa: f64) {
        self.open.push((node, pressure_pa));
    }

    /// Holds the house at a gauge pressure, Pa.
    pub fn house(&mut self, pressure_pa: f64) {
        self.house_pa = pressure_pa;
    }

    /// Checks the network and readies it: lossless links merged, dead ends without leaks dropped, order of
    /// elimination found.
    ///
    /// # Errors
    /// [`FlowError::Island`] for a node that no branch joins to the fan, [`FlowError::BadFigure`],
    /// [`FlowError::TapOutside`], [`FlowError::TooMeshed`].
    pub fn build(&self, settings: &FlowSettings) -> Result<Network, FlowError> {
        self.check_boundary()?;
        let elements = self.elements(settings)?;
        let mut merged = Merged::new(self.names.len());
        for (given, element) in self.branches.iter().zip(&elements) {
            if element.is_none() {
                merged.join(given.tail.0, given.head.0);
            }
        }
        let root: Vec<usize> = (0..self.names.len()).map(|i| merged.root(i)).collect();
        self.check_islands(&root, &elements)?;
        let (alive, stands_for) = self.drop_dead_ends(&root, &elements);
        self.number(settings, &root, elements, &alive, &stands_for)
    }

    fn check_boundary(&self) -> Result<(), FlowError> {
        let finite = [
            ("pressure at the tap", self.hold_pa),
            ("house pressure", self.house_pa),
        ];
        for (name, value) in finite {
            check(name, value, "a finite figure", value.is_finite())?;
        }
        let air = self.air;
        check(
            "air density",
            air.density,
            "a figure above zero",
            positive(air.density),
        )?;
        check(
            "air viscosity",
            air.viscosity,
            "a figure above zero",
            positive(air.viscosity),
        )?;
        for seam in self.seams.iter().flatten() {
            let name = &self.names[seam.node.0];
            let fine =
                seam.house_share.is_finite() && seam.fixed_pa.is_finite() && seam.part <= 1.0;
            check(name, seam.part, "a seam's part between 0 and 1", fine)?;
        }
        for mask in &self.masks {
            let fine = positive(mask.q25) && mask.n > 0.0 && mask.n <= 1.0;
            check(
                &self.names[mask.node.0],
                mask.q25,
                "a mask leak above zero",
                fine,
            )?;
        }
        Ok(())
    }

    /// Element of each branch; `None` for a lossless link.
    fn elements(&self, settings: &FlowSettings) -> Result<Vec<Option<Element>>, FlowError> {
        self.branches
            .iter()
            .map(|given| element(&given.name, given.law, self.air, settings.lossless_pa))
            .collect()
    }

    /// Finds nodes that no branch joins to the fan.
    fn check_islands(&self, root: &[usize], elements: &[Option<Element>]) -> Result<(), FlowError> {
        let mut parts = Merged::new(self.names.len());
        for (node, &at) in root.iter().enumerate() {
            parts.join(node, at);
        }
        for (given, element) in self.branches.iter().zip(elements) {
            if element.is_some() {
                parts.join(given.tail.0, given.head.0);
            }
        }
        let fan = parts.root(self.fan.0);
        if parts.root(self.tap.0) != fan {
            return Err(FlowError::TapOutside {
                place: self.names[self.tap.0].clone(),
            });
        }
        for given in &self.branches {
            if parts.root(given.tail.0) != fan {
                return Err(FlowError::Island {
                    piece: given.name.clone(),
                });
            }
        }
        let seams = self.seams.iter().flatten().map(|seam| seam.node);
        for node in seams.chain(self.masks.iter().map(|mask| mask.node)) {
            if parts.root(node.0) != fan {
                return Err(FlowError::Island {
                    piece: self.names[node.0].clone(),
                });
            }
        }
        Ok(())
    }

    /// Which roots and branches stay, and which node's pressure a dropped one has.
    fn drop_dead_ends(
        &self,
        root: &[usize],
        elements: &[Option<Element>],
    ) -> (Vec<bool>, Vec<usize>) {
        let n = self.names.len();
        let mut kept_for = vec![false; n];
        kept_for[root[self.fan.0]] = true;
        kept_for[root[self.tap.0]] = true;
        for seam in self.seams.iter().flatten() {
            kept_for[root[seam.node.0]] = true;
        }
        for &(node, _) in &self.open {
            kept_for[root[node.0]] = true;
        }
        for mask in &self.masks {
            kept_for[root[mask.node.0]] = true;
        }
        let mut touching: Vec<Vec<usize>> = vec![Vec::new(); n];
        let mut alive = vec![false; self.branches.len()];
        for (at, (given, element)) in self.branches.iter().zip(elements).enumerate() {
            let (a, b) = (root[given.tail.0], root[given.head.0]);
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
            .filter(|&i| degree[i] == 1 && !kept_for[i])
            .collect();
        while let Some(end) = ends.pop() {
            let Some(&at) = touching[end].iter().find(|&&at| alive[at]) else {
                continue;
            };
            alive[at] = false;
            let (a, b) = (
                root[self.branches[at].tail.0],
                root[self.branches[at].head.0],
            );
            let other = if a == end { b } else { a };
            stands_for[end] = other;
            degree[other] -= 1;
            if degree[other] == 1 && !kept_for[other] {
                ends.push(other);
            }
        }
        (alive, stands_for)
    }

    /// Numbers what is left in the order of elimination.
    fn number(
        &self,
        settings: &FlowSettings,
        root: &[usize],
        elements: Vec<Option<Element>>,
        alive: &[bool],
        stands_for: &[usize],
    ) -> Result<Network, FlowError> {
        let mut held = vec![root[self.fan.0]];
        let mut open = Vec::new();
        for &(node, pressure) in &self.open {
            let at = root[node.0];
            check(
                &self.names[node.0],
                pressure,
                "one held pressure",
                !held.contains(&at),
            )?;
            held.push(at);
            open.push(pressure);
        }
        let mut number = vec![NONE; self.names.len()];
        let mut nodes = Vec::new();
        let branches: Vec<(usize, usize, Element, usize)> = self
            .branches
            .iter()
            .zip(elements)
            .enumerate()
            .filter(|&(at, _)| alive[at])
            .filter_map(|(at, (given, element))| {
                Some((root[given.tail.0], root[given.head.0], element?, at))
            })
            .collect();
        for end in branches.iter().flat_map(|&(a, b, ..)| [a, b]) {
            if !held.contains(&end) && number[end] == NONE {
                number[end] = nodes.len() as u32;
                nodes.push(end);
            }
        }
        let free = nodes.len();
        let edges: Vec<(u32, u32)> = branches
            .iter()
            .filter(|(a, b, ..)| !held.contains(a) && !held.contains(b))
            .map(|&(a, b, ..)| (number[a], number[b]))
            .collect();
        let ordered: Ordered = elimination_order(free, &edges)?;
        let pattern = Pattern::new(&ordered);
        let mut names = Vec::with_capacity(free + 1);
        for (step, &node) in ordered.order.iter().enumerate() {
            number[nodes[node as usize]] = step as u32;
            names.push(self.names[nodes[node as usize]].clone());
        }
        for (more, &node) in held.iter().enumerate() {
            number[node] = (free + more) as u32;
            names.push(self.names[node].clone());
        }
        let mut branches: Vec<Branch> = branches
            .into_iter()
            .map(|(a, b, law, _)| {
                let (tail, head) = (number[a], number[b]);
                let held = tail.max(head) as usize >= free;
                Branch {
                    tail,
                    head,
                    slot: if held { NONE } else { pattern.slot(tail, head) },
                    law,
                }
            })
            .collect();
        // In the order in which the matrix is walked; stable, so parallel branches keep theirs.
        branches.sort_by_key(|b| (b.tail.min(b.head), b.tail.max(b.head)));
        let node_of = (0..self.names.len())
            .map(|node| {
                let mut at = root[node];
                while stands_for[at] != at {
                    at = stands_for[at];
                }
                number[at]
            })
            .collect();
        let (zones, groups, leaks) = self.leaks(root, &number);
        Ok(Network {
            settings: *settings,
            free,
            open,
            branches,
            groups,
            leaks,
            zones,
            pattern,
            tap: number[root[self.tap.0]] as usize,
            hold_pa: self.hold_pa,
            house_pa: self.house_pa,
            sense: if self.hold_pa < 0.0 { -1.0 } else { 1.0 },
            seams: self.seams.len(),
            counted: self.seams.iter().map(Option::is_some).collect(),
            ln_density_ratio: (self.air.density / STANDARD_DENSITY).ln(),
            ln_viscosity_ratio: (self.air.viscosity / Air::standard().viscosity).ln(),
            names,
            node_of,
        })
    }

    /// Zones, and leaks grouped by node and zone.
    fn leaks(&self, root: &[usize], number: &[u32]) -> (Vec<Zone>, Vec<Group>, Vec<Leak>) {
        let seams = self.seams.iter().enumerate().filter_map(|(index, seam)| {
            let seam = (*seam)?;
            let zone = Zone {
                house_share: seam.house_share,
                fixed_pa: seam.fixed_pa,
            };
            let leak = Leak {
                seam: index as u32,
                ln_part: seam.part.ln(),
                mask: (0.0, 0.5),
            };
            Some((seam.node, zone, leak))
        });
        let masks = self.masks.iter().map(|mask| {
            let zone = Zone {
                house_share: mask.house_share,
                fixed_pa: 0.0,
            };
            let leak = Leak {
                seam: NONE,
                ln_part: 0.0,
                mask: (mask.q25.ln(), mask.n),
            };
            (mask.node, zone, leak)
        });
        let mut zones: Vec<Zone> = Vec::new();
        let mut all: Vec<(u32, u32, Leak)> = Vec::new();
        for (node, zone, leak) in seams.chain(masks) {
            let same = |z: &Zone| {
                z.house_share.total_cmp(&zone.house_share).is_eq()
                    && z.fixed_pa.total_cmp(&zone.fixed_pa).is_eq()
            };
            let at = zones.iter().position(same).unwrap_or_else(|| {
                zones.push(zone);
                zones.len() - 1
            });
            all.push((number[root[node.0]], at as u32, leak));
        }
        all.sort_by_key(|&(node, zone, _)| (node, zone));
        let mut groups: Vec<Group> = Vec::new();
        for (at, &(node, zone, _)) in all.iter().enumerate() {
            match groups.last_mut() {
                Some(last) if (last.node, last.zone) == (node, zone) => last.end += 1,
                _ => groups.push(Group {
                    node,
                    zone,
                    start: at as u32,
                    end: at as u32 + 1,
                }),
            }
        }
        (
            zones,
            groups,
            all.into_iter().map(|(.., leak)| leak).collect(),
        )
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
