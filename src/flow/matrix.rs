//! Elimination of a grounded Laplacian without subtraction.
//!
//! The Newton matrix of a duct network is Bᵀ·G·B + diag(s) with branch conductances g > 0 and ground
//! conductances s ≥ 0. Eliminating a node is the star-mesh rule: with D = s + Σg every pair of neighbours
//! gains g_a·g_b/D and each neighbour's ground gains g_a·s/D. Only sums of positive terms occur, so
//! nothing cancels however far the conductances lie apart, and a tree fills nothing in.

use super::error::FlowError;

/// Most entries allowed per node before a network counts as too meshed.
const MOST_ENTRIES_PER_NODE: usize = 50;

/// Order of elimination and places of the entries: made once, filled often.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    /// First entry of each node; one more than nodes.
    start: Vec<u32>,
    /// Later neighbour of each entry.
    later: Vec<u32>,
    /// Where g_a·g_b/D of each pair of a node's entries goes, pairs in order (0,1), (0,2), (1,2), …
    fill: Vec<u32>,
}

/// Numbers of one factorisation.
#[derive(Debug, Clone, Default)]
pub(super) struct Numbers {
    /// Conductance of each entry; after factoring its share g/D.
    pub(super) g: Vec<f64>,
    /// Ground conductance of each node, kept as summed by the elimination.
    pub(super) ground: Vec<f64>,
    /// 1/D of each node.
    inverse: Vec<f64>,
}

/// Neighbours beyond which a node counts as a hub, at least; and as a multiple of the root of the number of nodes.
const HUB_DEGREE: (f64, f64) = (32.0, 10.0);

/// Order in which to eliminate the nodes of a graph: always one with fewest neighbours left.
///
/// Leaves come first, so that trees cost one pass. Ties go to the node that fell to that count last; the order
/// depends on the input alone. `edges` may repeat. Hubs (a house or an attic that thousands of seams leak into)
/// come last, whatever else: before that they would tie all their neighbours together.
pub(super) fn elimination_order(n: usize, edges: &[(u32, u32)]) -> Result<Ordered, FlowError> {
    let mut degree = vec![0u32; n];
    for &(a, b) in edges {
        degree[a as usize] += 1;
        degree[b as usize] += 1;
    }
    let limit = HUB_DEGREE.0.max(HUB_DEGREE.1 * (n as f64).sqrt());
    let hubs: Vec<u32> = (0..n as u32)
        .filter(|&node| f64::from(degree[node as usize]) > limit)
        .collect();
    if hubs.is_empty() {
        return order_of_fewest(n, edges);
    }
    let mut entries = hubs.len() * hubs.len() / 2;
    let most = MOST_ENTRIES_PER_NODE * n.max(20);
    if entries > most {
        return Err(FlowError::TooMeshed {
            nodes: n,
            nonzeros: entries,
        });
    }
    let is_hub = |node: u32| hubs.binary_search(&node).is_ok();
    let inner: Vec<(u32, u32)> = edges
        .iter()
        .copied()
        .filter(|&(a, b)| !is_hub(a) && !is_hub(b))
        .collect();
    let whole = order_of_fewest(n, &inner)?;
    // Hubs stand alone in `inner`; take them out and put them last.
    let (order, later): (Vec<u32>, Vec<Vec<u32>>) = whole
        .order
        .into_iter()
        .zip(whole.later)
        .filter(|(node, _)| !is_hub(*node))
        .unzip();
    let mut touches: Vec<Vec<u32>> = vec![Vec::new(); n];
    for &(a, b) in edges {
        for (node, hub) in [(a, b), (b, a)] {
            if is_hub(hub) && !is_hub(node) {
                touches[node as usize].push(hub);
            }
        }
    }
    let mut ordered = Ordered { order, later };
    for at in 0..ordered.order.len() {
        let mut own = std::mem::take(&mut touches[ordered.order[at] as usize]);
        own.sort_unstable();
        own.dedup();
        // A node that goes passes its hubs on to those it was tied to.
        for &next in &ordered.later[at] {
            touches[next as usize].extend_from_slice(&own);
        }
        ordered.later[at].extend_from_slice(&own);
        entries += ordered.later[at].len();
        if entries > most {
            return Err(FlowError::TooMeshed {
                nodes: n,
                nonzeros: entries,
            });
        }
    }
    for (at, &hub) in hubs.iter().enumerate() {
        ordered.order.push(hub);
        ordered.later.push(hubs[at + 1..].to_vec());
    }
    Ok(ordered)
}

fn order_of_fewest(n: usize, edges: &[(u32, u32)]) -> Result<Ordered, FlowError> {
    let mut near: Vec<Vec<u32>> = vec![Vec::new(); n];
    for &(a, b) in edges {
        near[a as usize].push(b);
        near[b as usize].push(a);
    }
    for list in &mut near {
        list.sort_unstable();
        list.dedup();
    }
    let mut buckets: Vec<Vec<u32>> = vec![Vec::new(); 4];
    let file = |buckets: &mut Vec<Vec<u32>>, node: u32, degree: usize| {
        if buckets.len() <= degree {
            buckets.resize(degree + 1, Vec::new());
        }
        buckets[degree].push(node);
    };
    for node in (0..n as u32).rev() {
        file(&mut buckets, node, near[node as usize].len());
    }
    let mut done = vec![false; n];
    let mut order = Vec::with_capacity(n);
    let mut later = Vec::with_capacity(n);
    let mut entries = 0;
    let mut low = 0;
    while order.len() < n {
        let Some(node) = buckets[low].pop() else {
            low += 1;
            continue;
        };
        let i = node as usize;
        if done[i] || near[i].len() != low {
            continue;
        }
        done[i] = true;
        let neighbours = std::mem::take(&mut near[i]);
        entries += neighbours.len();
        if entries > MOST_ENTRIES_PER_NODE * n.max(20) {
            return Err(FlowError::TooMeshed {
                nodes: n,
                nonzeros: entries,
            });
        }
        for &a in &neighbours {
            let list = &mut near[a as usize];
            if let Ok(at) = list.binary_search(&node) {
                list.remove(at);
            }
            for &b in &neighbours {
                if a != b
                    && let Err(at) = list.binary_search(&b)
                {
                    list.insert(at, b);
                }
            }
            let degree = list.len();
            file(&mut buckets, a, degree);
            low = low.min(degree);
        }
        order.push(node);
        later.push(neighbours);
    }
    Ok(Ordered { order, later })
}

/// Result of [`elimination_order`].
pub(super) struct Ordered {
    /// Node eliminated at each step.
    pub(super) order: Vec<u32>,
    /// Its neighbours left at that step.
    later: Vec<Vec<u32>>,
}

impl Pattern {
    /// Pattern for nodes numbered by their step in `ordered`.
    pub(super) fn new(ordered: &Ordered) -> Self {
        let n = ordered.order.len();
        let mut step = vec![0u32; n];
        for (at, &node) in ordered.order.iter().enumerate() {
            step[node as usize] = at as u32;
        }
        let mut start = Vec::with_capacity(n + 1);
        let mut later = Vec::new();
        for list in &ordered.later {
            start.push(later.len() as u32);
            let first = later.len();
            later.extend(list.iter().map(|&node| step[node as usize]));
            later[first..].sort_unstable();
        }
        start.push(later.len() as u32);
        let mut pattern = Pattern {
            start,
            later,
            fill: Vec::new(),
        };
        for node in 0..n {
            let own = pattern.range(node);
            for b in own.clone() {
                for a in own.start..b {
                    let (low, high) = (pattern.later[a], pattern.later[b]);
                    let slot = pattern.slot(low, high);
                    pattern.fill.push(slot);
                }
            }
        }
        pattern
    }

    /// Entry of the edge between two nodes that are joined.
    ///
    /// # Panics
    /// If they are not joined: the caller built the pattern from the same edges.
    pub(super) fn slot(&self, a: u32, b: u32) -> u32 {
        let (low, high) = (a.min(b), a.max(b));
        let range = self.range(low as usize);
        let at = self.later[range.clone()]
            .binary_search(&high)
            .expect("edges of the network are in the pattern made from them");
        (range.start + at) as u32
    }

    pub(super) fn numbers(&self) -> Numbers {
        let n = self.start.len() - 1;
        Numbers {
            g: vec![0.0; self.later.len()],
            ground: vec![0.0; n],
            inverse: vec![0.0; n],
        }
    }

    /// Factors the conductances in `numbers` in place.
    pub(super) fn factor(&self, numbers: &mut Numbers) {
        let mut pair = 0;
        for node in 0..numbers.inverse.len() {
            let own = self.range(node);
            let ground = numbers.ground[node];
            let whole = ground + numbers.g[own.clone()].iter().sum::<f64>();
            let inverse = 1.0 / whole;
            numbers.inverse[node] = inverse;
            for b in own.clone() {
                let g_b = numbers.g[b];
                // The earlier entries hold their shares already.
                for a in own.start..b {
                    numbers.g[self.fill[pair] as usize] += numbers.g[a] * g_b;
                    pair += 1;
                }
                let share = g_b * inverse;
                numbers.g[b] = share;
                numbers.ground[self.later[b] as usize] += share * ground;
            }
        }
    }

    /// Solves in place: inflow at every node in, pressure out.
    pub(super) fn solve(&self, numbers: &Numbers, x: &mut [f64]) {
        let n = numbers.inverse.len();
        for node in 0..n {
            let flow = x[node];
            for entry in self.range(node) {
                x[self.later[entry] as usize] += numbers.g[entry] * flow;
            }
            x[node] = flow * numbers.inverse[node];
        }
        for node in (0..n).rev() {
            let mut sum = x[node];
            for entry in self.range(node) {
                sum += numbers.g[entry] * x[self.later[entry] as usize];
            }
            x[node] = sum;
        }
    }

    fn range(&self, node: usize) -> std::ops::Range<usize> {
        self.start[node] as usize..self.start[node + 1] as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use rand::{RngExt, SeedableRng};

    /// Random connected graph: a tree and some extra edges.
    fn random_graph(n: usize, extra: usize, seed: u64) -> (Vec<(u32, u32)>, rand_pcg::Pcg64) {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(seed);
        let mut edges: Vec<(u32, u32)> =
            (1..n as u32).map(|i| (i, rng.random_range(0..i))).collect();
        for _ in 0..extra {
            let (a, b) = (rng.random_range(0..n as u32), rng.random_range(0..n as u32));
            if a != b {
                edges.push((a, b));
            }
        }
        (edges, rng)
    }

    #[test]
    fn agrees_with_dense_cholesky_on_random_graphs() {
        for seed in 0..60 {
            let n = 2 + (seed as usize * 7) % 50;
            let (edges, mut rng) = random_graph(n, seed as usize % 17, seed);
            let ordered = elimination_order(n, &edges).expect("small");
            let pattern = Pattern::new(&ordered);
            let mut step = vec![0u32; n];
            for (at, &node) in ordered.order.iter().enumerate() {
                step[node as usize] = at as u32;
            }
            let mut numbers = pattern.numbers();
            let mut dense = DMatrix::zeros(n, n);
            for &(a, b) in &edges {
                let g = 10f64.powf(rng.random_range(-2.0..2.0));
                let (a, b) = (step[a as usize], step[b as usize]);
                numbers.g[pattern.slot(a, b) as usize] += g;
                let (a, b) = (a as usize, b as usize);
                dense[(a, a)] += g;
                dense[(b, b)] += g;
                dense[(a, b)] -= g;
                dense[(b, a)] -= g;
            }
            for i in 0..n {
                let s = rng.random_range(0.01..1.0);
                numbers.ground[i] = s;
                dense[(i, i)] += s;
            }
            let rhs = DVector::from_fn(n, |_, _| rng.random_range(-1.0..1.0));
            let expected = dense.cholesky().expect("positive definite").solve(&rhs);
            pattern.factor(&mut numbers);
            let mut x: Vec<f64> = rhs.iter().copied().collect();
            pattern.solve(&numbers, &mut x);
            let scale = expected.amax();
            for (got, want) in x.iter().zip(expected.iter()) {
                assert!((got - want).abs() < 1e-11 * scale, "seed {seed}");
            }
        }
    }

    /// A tree whose every node is tied to one of two hubs as well.
    #[test]
    fn hubs_go_last_and_the_answer_stays() {
        let n = 3000;
        let (mut edges, mut rng) = random_graph(n - 2, 20, 7);
        for node in 0..n as u32 - 2 {
            edges.push((node, n as u32 - 2 + rng.random_range(0..2u32)));
        }
        let ordered = elimination_order(n, &edges).expect("hubs are no mesh");
        assert_eq!(&ordered.order[n - 2..], &[n as u32 - 2, n as u32 - 1]);
        let pattern = Pattern::new(&ordered);
        assert!(pattern.later.len() < 5 * n, "{}", pattern.later.len());
        let mut step = vec![0u32; n];
        for (at, &node) in ordered.order.iter().enumerate() {
            step[node as usize] = at as u32;
        }
        let mut numbers = pattern.numbers();
        let mut sums = vec![0.0; n];
        let truth: Vec<f64> = (0..n).map(|_| rng.random_range(-1.0..1.0)).collect();
        for &(a, b) in &edges {
            let g = 10f64.powf(rng.random_range(-2.0..2.0));
            let (a, b) = (step[a as usize], step[b as usize]);
            numbers.g[pattern.slot(a, b) as usize] += g;
            let flow = g * (truth[a as usize] - truth[b as usize]);
            sums[a as usize] += flow;
            sums[b as usize] -= flow;
        }
        for i in 0..n {
            numbers.ground[i] = 0.5;
            sums[i] += 0.5 * truth[i];
        }
        pattern.factor(&mut numbers);
        pattern.solve(&numbers, &mut sums);
        for (got, want) in sums.iter().zip(&truth) {
            assert!((got - want).abs() < 1e-9, "{got} {want}");
        }
    }

    #[test]
    fn balance_holds_however_small_the_leaks_are() {
        let n = 400;
        for decades in [3, 9, 15] {
            let (edges, mut rng) = random_graph(n, 8, decades);
            let ordered = elimination_order(n, &edges).expect("sparse");
            let pattern = Pattern::new(&ordered);
            let mut step = vec![0u32; n];
            for (at, &node) in ordered.order.iter().enumerate() {
                step[node as usize] = at as u32;
            }
            let mut numbers = pattern.numbers();
            for &(a, b) in &edges {
                let slot = pattern.slot(step[a as usize], step[b as usize]);
                numbers.g[slot as usize] += rng.random_range(0.5..2.0);
            }
            let small = 10f64.powi(-(decades as i32));
            let ground: Vec<f64> = (0..n).map(|_| small * rng.random_range(0.5..2.0)).collect();
            numbers.ground.copy_from_slice(&ground);
            pattern.factor(&mut numbers);
            let mut x = vec![0.0; n];
            x[0] = 1.0;
            pattern.solve(&numbers, &mut x);
            let out: f64 = x.iter().zip(&ground).map(|(p, s)| p * s).sum();
            assert!((out - 1.0).abs() < 1e-12, "leaks 1e-{decades}: {out}");
        }
    }

    #[test]
    fn a_tree_fills_nothing_in() {
        let (edges, _) = random_graph(500, 0, 1);
        let pattern = Pattern::new(&elimination_order(500, &edges).expect("tree"));
        assert_eq!(pattern.later.len(), 499);
        assert!(pattern.fill.is_empty());
    }

    #[test]
    fn a_dense_mesh_is_refused() {
        let n = 400u32;
        let edges: Vec<(u32, u32)> = (0..n).flat_map(|a| (0..a).map(move |b| (a, b))).collect();
        let refused = elimination_order(n as usize, &edges);
        assert!(matches!(refused, Err(FlowError::TooMeshed { .. })));
    }
}
