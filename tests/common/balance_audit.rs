//! Mass balance of a solved network taken from outside, node by node, from its flows.

use ductseam::flow::{BranchId, BranchLaw, DuctLaw, Network, Outcome, PowerLaw, Warm, Workspace};

use super::random_networks::{AIR, Plan};

/// Sets of nodes that lossless links make one.
fn merged(plan: &Plan, flows: &[Option<f64>]) -> Vec<usize> {
    let mut set: Vec<usize> = (0..plan.nodes).collect();
    fn root(set: &mut [usize], mut at: usize) -> usize {
        while set[at] != at {
            set[at] = set[set[at]];
            at = set[at];
        }
        at
    }
    for (leg, flow) in plan.legs.iter().zip(flows) {
        if flow.is_none() {
            let (a, b) = (root(&mut set, leg.tail), root(&mut set, leg.head));
            set[a.max(b)] = a.min(b);
        }
    }
    (0..plan.nodes).map(|at| root(&mut set, at)).collect()
}

/// What a network's flows leave over.
pub struct Audit {
    /// Flow that each node (the lowest of a merged set) sends out; near 0 but where air is given.
    pub out: Vec<f64>,
    /// Nodes where air is given: the fan's and those held, as numbered in `out`.
    pub given: Vec<usize>,
    /// Largest flow of a branch or leak.
    pub largest: f64,
    /// Largest size of a pressure.
    pub pressure: f64,
    /// Worst |out| of a node where none is given, with its own allowance for rounding of pressures taken off.
    pub worst: f64,
    /// Largest departure of a seam's flow from its law at the pressures reported, as part of the flow allowed for it.
    pub law_off: f64,
    /// How far the total pressure at the tap is from what is held there; 0 where the tap is a static one.
    pub tap_off: f64,
    /// Flow that leaks to zones of given pressure.
    pub leaked: f64,
}

/// Index of a branch as the builder counts.
fn branch_id(net: &Network, ws: &Workspace, ids: &[BranchId], at: usize) -> Option<f64> {
    net.branch_flow(ws, ids[at])
}

/// d(flow)/d(pressure difference) of a branch without its lagged pressures.
fn slope(law: &BranchLaw, dp: f64) -> f64 {
    match law {
        BranchLaw::Lossless => 0.0,
        BranchLaw::Duct(shape) if shape.length_m > 0.0 => {
            let law = DuctLaw::new(shape, AIR);
            law.response(dp, &mut Warm::default()).slope
        }
        BranchLaw::Duct(shape) => {
            let loss = 0.5 * shape.loss * AIR.density * 100.0;
            let law = PowerLaw::through(10.0 * shape.area_m2, loss, 0.5);
            law.flow_and_slope(dp).1
        }
        &BranchLaw::Component { dp_pa, q_m3_s, m } => {
            let law = PowerLaw::through(q_m3_s, dp_pa, 1.0 / m);
            law.flow_and_slope(dp).1
        }
        &BranchLaw::Path { q_m3_s, dp_pa, n } => {
            let law = PowerLaw::through(q_m3_s, dp_pa, n);
            law.flow_and_slope(dp).1
        }
        BranchLaw::Blower(curve) => curve.in_air(AIR).response(dp).slope,
    }
}

/// Adds up every node's flows. `ids` are the branches of the plan in order.
pub fn audit(plan: &Plan, net: &Network, ws: &Workspace, ids: &[BranchId]) -> Audit {
    let flows: Vec<Option<f64>> = (0..plan.legs.len())
        .map(|at| branch_id(net, ws, ids, at))
        .collect();
    let set = merged(plan, &flows);
    let pressure = |node: usize| ws.node_pressure(node).unwrap_or(f64::NAN);
    let mut out = vec![0.0; plan.nodes];
    let mut slopes = vec![0.0; plan.nodes];
    let (mut largest, mut most) = (0.0f64, plan.house.abs());
    for node in 0..plan.nodes {
        if let Some(p) = ws.node_pressure(node) {
            most = most.max(p.abs());
        }
    }
    for (leg, flow) in plan.legs.iter().zip(&flows) {
        let flow = flow.unwrap_or(0.0);
        let (tail, head) = (set[leg.tail], set[leg.head]);
        if tail != head {
            out[tail] += flow;
            out[head] -= flow;
            largest = largest.max(flow.abs());
            let slope = slope(&leg.law, pressure(leg.tail) - pressure(leg.head));
            slopes[tail] += slope;
            slopes[head] += slope;
        }
    }
    let mut leaked = 0.0;
    let mut law_off = 0.0f64;
    let rounding = 8.0 * f64::EPSILON * most;
    let mut leak = |node: usize, zone: Option<usize>, flow: f64, slope: f64| {
        let node = set[node];
        match zone.map(|zone| set[zone]) {
            Some(zone) if zone == node => return,
            Some(zone) => {
                out[zone] -= flow;
                slopes[zone] += slope;
            }
            None => leaked += flow,
        }
        out[node] += flow;
        slopes[node] += slope;
        largest = largest.max(flow.abs());
    };
    for (at, slit) in plan.slits.iter().enumerate() {
        let (dp, flow) = (ws.seam_dp()[at], ws.seam_flow()[at]);
        let law = PowerLaw::through(plan.ln_q25[at].exp(), 25.0, plan.n[at]);
        let (expected, slope) = law.flow_and_slope(dp);
        leak(slit.node, slit.zone, flow, slope);
        if slit.beside.is_none() && slit.zone.is_none_or(|zone| set[zone] != set[slit.node]) {
            let zone = slit
                .zone
                .map_or(slit.share * plan.house + slit.fixed_pa, pressure);
            let apart = (pressure(slit.node) - zone - dp).abs();
            law_off = law_off.max(apart / rounding.max(f64::MIN_POSITIVE));
        }
        let allowed = 1e-11 * expected.abs() + f64::MIN_POSITIVE;
        law_off = law_off.max((flow - expected).abs() / allowed);
    }
    for cover in &plan.covers {
        let zone = cover.zone.map_or(cover.share * plan.house, pressure);
        let law = PowerLaw::through(cover.q25, 25.0, cover.n);
        let (flow, slope) = law.flow_and_slope(pressure(cover.node) - zone);
        leak(cover.node, cover.zone, flow, slope);
    }
    let mut given: Vec<usize> = plan.held.iter().map(|h| set[h.0]).collect();
    given.push(set[plan.fan]);
    let mut worst = 0.0f64;
    for node in 0..plan.nodes {
        if set[node] == node && !given.contains(&node) {
            let beyond = out[node].abs() - 4.0 * rounding * slopes[node];
            worst = if beyond > worst || beyond.is_nan() {
                beyond
            } else {
                worst
            };
        }
    }
    Audit {
        out,
        given,
        largest,
        pressure: most,
        worst,
        law_off,
        tap_off: if plan.tap_beside.is_none() {
            (pressure(plan.tap) - plan.pressure).abs()
        } else {
            0.0
        },
        leaked,
    }
}

impl Audit {
    /// Whether every node balances within 1e-9 of the largest flow or rounding, every seam's flow follows its law, the tap is at its
    /// pressure, and
    /// what the fan gives is what leaks and leaves elsewhere.
    pub fn holds(&self, plan: &Plan, outcome: &Outcome) -> bool {
        let sense = if plan.pressure < 0.0 { -1.0 } else { 1.0 };
        let fan = self.given[self.given.len() - 1];
        let apart = (sense * outcome.fan_flow_m3_s - self.out[fan]).abs();
        // Rounding of many terms of the largest size, and the imbalances of all nodes.
        let many = 1e-9 * self.largest * (self.out.len() as f64).sqrt() + 1e-12 * self.largest;
        let inner: f64 = (self.out.iter().enumerate())
            .filter(|(node, _)| !self.given.contains(node))
            .map(|(_, out)| out.abs())
            .sum();
        let tap = self.tap_off <= 1e-6 * plan.pressure.abs().max(1e-3);
        tap && self.worst <= 1e-9 * self.largest && self.law_off <= 1.0 && apart <= many + inner
    }
}
