//! Seeded random networks, kept as plain lists so that they can be shuffled, scaled, changed and checked from outside.

use std::f64::consts::FRAC_PI_4;

use ductseam::air::Air;
use ductseam::flow::{
    AbstractNetwork, BlowerCurve, BranchForm, BranchId, BranchLaw, DuctShape, FlowError,
    FlowSettings, JunctionLaw, Network, NodeId, SeamAtNode, SeamLaws, Stream, Takeoff,
};
use rand::RngExt;
use rand_pcg::Pcg64;

/// The air to which leak coefficients are referred, so that they hold as they stand.
pub const AIR: Air = Air {
    density: 1.204,
    viscosity: 1.813_405_882_15e-5,
};

/// A branch.
#[derive(Clone)]
pub struct Leg {
    pub tail: usize,
    pub head: usize,
    pub law: BranchLaw,
}

/// A seam; `zone` is a node, else the zone has a pressure of `share`·house + `fixed_pa`.
#[derive(Clone)]
pub struct Slit {
    pub node: usize,
    pub zone: Option<usize>,
    pub share: f64,
    pub fixed_pa: f64,
    /// Branch and area of the stream that it lies beside.
    pub beside: Option<(usize, f64)>,
}

/// A leak that is no seam.
#[derive(Clone)]
pub struct Cover {
    pub node: usize,
    pub zone: Option<usize>,
    pub share: f64,
    pub q25: f64,
    pub n: f64,
}

/// A takeoff: tee or wye, areas of common leg and branch.
#[derive(Clone)]
pub struct Fork {
    pub form: BranchForm,
    pub stream: Stream,
    pub area_c: f64,
    pub area_b: f64,
    pub branch: usize,
    pub common: usize,
    pub straight: Option<usize>,
}

/// A network by its parts.
#[derive(Clone, Default)]
pub struct Plan {
    pub nodes: usize,
    pub legs: Vec<Leg>,
    pub slits: Vec<Slit>,
    pub ln_q25: Vec<f64>,
    pub n: Vec<f64>,
    pub covers: Vec<Cover>,
    /// Nodes held at a pressure.
    pub held: Vec<(usize, f64)>,
    pub forks: Vec<Fork>,
    pub fan: usize,
    pub tap: usize,
    pub tap_beside: Option<(usize, f64)>,
    pub pressure: f64,
    pub house: f64,
}

/// How wild a random network is.
#[derive(Clone, Copy)]
pub struct Wild {
    /// Half the decades over which conductances spread.
    pub decades: f64,
    /// Whether seams may be sealed.
    pub sealed: bool,
    /// Whether some nodes are rooms and attics that seams leak into.
    pub zones: bool,
    /// Whether the house's pressure is other than 0.
    pub house: bool,
    /// Whether other nodes are held open.
    pub open: bool,
}

/// A network as it may stand in a house.
pub const TAME: Wild = Wild {
    decades: 1.0,
    sealed: false,
    zones: false,
    house: false,
    open: false,
};

impl Plan {
    /// The same as a network description.
    pub fn described(&self) -> AbstractNetwork {
        let mut network = AbstractNetwork::new(AIR);
        let nodes: Vec<NodeId> = (0..self.nodes)
            .map(|i| network.node(format!("node {i}")))
            .collect();
        let legs: Vec<BranchId> = (self.legs.iter().enumerate())
            .map(|(i, leg)| {
                let (tail, head) = (nodes[leg.tail], nodes[leg.head]);
                network.branch(format!("branch {i}"), tail, head, leg.law.clone())
            })
            .collect();
        for slit in &self.slits {
            network.seam(SeamAtNode {
                node: nodes[slit.node],
                house_share: slit.share,
                fixed_pa: slit.fixed_pa,
                part: 1.0,
            });
            if let Some(zone) = slit.zone {
                network.seam_into(nodes[zone]);
            }
            if let Some((leg, area)) = slit.beside {
                network.seam_beside(network.stream(legs[leg], area));
            }
        }
        for cover in &self.covers {
            match cover.zone {
                Some(zone) => network.mask_into(nodes[cover.node], nodes[zone], cover.q25, cover.n),
                None => network.mask(nodes[cover.node], cover.share, cover.q25, cover.n),
            }
        }
        for &(node, pressure) in &self.held {
            network.open_to(nodes[node], pressure);
        }
        for fork in &self.forks {
            network.takeoff(Takeoff {
                law: JunctionLaw::new(fork.form, fork.stream, fork.area_c, fork.area_b, None, AIR),
                branch: legs[fork.branch],
                common: legs[fork.common],
                straight: fork.straight.map(|leg| legs[leg]),
                against: fork.stream == Stream::Converging,
            });
        }
        network.hold(nodes[self.fan], nodes[self.tap], self.pressure);
        if let Some((leg, area)) = self.tap_beside {
            network.tap_beside(network.stream(legs[leg], area));
        }
        network.house(self.house);
        network
    }

    /// Built; the error is the builder's.
    pub fn build(&self, settings: &FlowSettings) -> Result<Network, FlowError> {
        self.described().build(settings)
    }

    /// Seam laws.
    pub fn laws(&self) -> SeamLaws<'_> {
        SeamLaws {
            ln_q25: &self.ln_q25,
            n: &self.n,
        }
    }

    /// Adds a seam.
    pub fn slit(&mut self, node: usize, zone: Option<usize>, q25: f64, n: f64) {
        self.slits.push(Slit {
            node,
            zone,
            share: 0.0,
            fixed_pa: 0.0,
            beside: None,
        });
        self.ln_q25.push(q25.ln());
        self.n.push(n);
    }

    /// Adds a branch and returns its number.
    pub fn leg(&mut self, tail: usize, head: usize, law: BranchLaw) -> usize {
        self.legs.push(Leg { tail, head, law });
        self.legs.len() - 1
    }

    /// Adds a node and returns its number.
    pub fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }
}

/// 10 to a random power of at most `decades` either way.
pub fn spread(rng: &mut Pcg64, decades: f64) -> f64 {
    if decades > 0.0 {
        10f64.powf(rng.random_range(-decades..decades))
    } else {
        1.0
    }
}

/// Exponents of 1/2 and 1 too, not only between.
pub fn exponent(rng: &mut Pcg64) -> f64 {
    match rng.random_range(0..6) {
        0 => 0.5,
        1 => 1.0,
        _ => rng.random_range(0.5..1.0),
    }
}

/// A round duct.
pub fn duct(d: f64, length_m: f64, loss: f64) -> DuctShape {
    DuctShape {
        area_m2: FRAC_PI_4 * d * d,
        hydraulic_diameter_m: d,
        length_m,
        roughness_m: 9e-5_f64.min(0.1 * d),
        friction_factor: 1.0,
        loss,
    }
}

/// Any branch that is no blower.
pub fn random_law(rng: &mut Pcg64, decades: f64) -> BranchLaw {
    match rng.random_range(0..10) {
        0 => BranchLaw::Component {
            dp_pa: 40.0 * spread(rng, 0.5 * decades),
            q_m3_s: 0.5 * spread(rng, 0.5 * decades),
            m: rng.random_range(1.0..2.5),
        },
        1 => BranchLaw::Lossless,
        2 | 3 => BranchLaw::Path {
            q_m3_s: 0.02 * spread(rng, decades),
            dp_pa: 4.0,
            n: exponent(rng),
        },
        kind => {
            let d = 0.15 * spread(rng, decades / 6.0);
            BranchLaw::Duct(DuctShape {
                roughness_m: d * 10f64.powf(rng.random_range(-5.0..-1.5)),
                friction_factor: rng.random_range(1.0..6.0),
                ..duct(
                    d,
                    if kind == 4 {
                        0.0
                    } else {
                        rng.random_range(0.1..10.0)
                    },
                    if kind < 7 {
                        rng.random_range(0.01..20.0)
                    } else {
                        0.0
                    },
                )
            })
        }
    }
}

/// Ducts in a random tree with some loops and dead ends, seams, covers; a test fan at node 0.
pub fn random_ducts(rng: &mut Pcg64, nodes: usize, wild: Wild) -> Plan {
    let mut plan = Plan {
        nodes,
        pressure: [25.0, -25.0, 50.0, 3.0][rng.random_range(0..4)],
        ..Plan::default()
    };
    // Bushy, or long and thin.
    let back = if rng.random_range(0..2) == 0 {
        nodes
    } else {
        3
    };
    for head in 1..nodes {
        let tail = rng.random_range(head.saturating_sub(back)..head);
        let law = random_law(rng, wild.decades);
        if rng.random_range(0..2) == 0 {
            plan.leg(tail, head, law);
        } else {
            plan.leg(head, tail, law);
        }
    }
    for _ in 0..rng.random_range(0..=(nodes / 12).clamp(2, 12)) {
        let (a, b) = (rng.random_range(0..nodes), rng.random_range(0..nodes));
        let law = random_law(rng, wild.decades);
        plan.leg(a, b, law);
    }
    let rooms: Vec<usize> = (0..if wild.zones {
        rng.random_range(1..5)
    } else {
        0
    })
        .map(|_| {
            let room = plan.node();
            // Joined to the ducts or to outdoors by something that cannot be sealed.
            match rng.random_range(0..3) {
                0 => {
                    let law = random_law(rng, wild.decades);
                    plan.leg(room, rng.random_range(0..nodes), law);
                }
                kind => {
                    let zone = (kind == 1).then(|| rng.random_range(0..nodes));
                    plan.covers.push(Cover {
                        node: room,
                        zone: Some(zone.unwrap_or(0)),
                        share: 0.0,
                        q25: 1e-3 * spread(rng, wild.decades),
                        n: exponent(rng),
                    });
                    plan.slit(room, None, 0.02 * spread(rng, wild.decades), 0.65);
                }
            }
            room
        })
        .collect();
    for _ in 0..rng.random_range(1..=2 * nodes) {
        let node = rng.random_range(0..nodes);
        let room = rooms.get(rng.random_range(0..rooms.len() + 1)).copied();
        let q25 = if wild.sealed && rng.random_range(0..8) == 0 {
            0.0
        } else {
            1e-3 * spread(rng, wild.decades)
        };
        let n = exponent(rng);
        plan.slit(node, room, q25, n);
        if let Some(slit) = plan.slits.last_mut() {
            slit.share = [0.0, 0.0, 1.0, 0.4][rng.random_range(0..4)];
        }
    }
    for _ in 0..rng.random_range(0..4) {
        plan.covers.push(Cover {
            node: rng.random_range(0..nodes),
            zone: None,
            share: [0.0, 1.0][rng.random_range(0..2)],
            q25: 1e-4 * spread(rng, wild.decades),
            n: 0.65,
        });
    }
    if wild.house {
        plan.house = [25.0, -25.0, 3.0, -50.0][rng.random_range(0..4)];
    }
    if wild.open && nodes > 3 && rng.random_range(0..2) == 0 {
        // Behind an opening, so that it is never one with another held node.
        let open = plan.node();
        let law = BranchLaw::Path {
            q_m3_s: 0.02 * spread(rng, wild.decades),
            dp_pa: 4.0,
            n: exponent(rng),
        };
        plan.leg(nodes - 1, open, law);
        let pressure = [0.0, 10.0, -40.0][rng.random_range(0..3)];
        plan.held.push((open, pressure));
    }
    plan
}

/// A blower of usual size, or one that hardly differs from a constant flow.
pub fn random_blower(rng: &mut Pcg64, flow: f64, rise: f64) -> BlowerCurve {
    let points = match rng.random_range(0..3) {
        0 => vec![(0.0, 1.3 * flow), (rise, flow), (2.0 * rise, 0.4 * flow)],
        1 => vec![(0.0, flow), (2.0 * rise, flow)],
        _ => vec![
            (0.2 * rise, 1.1 * flow),
            (0.8 * rise, 1.05 * flow),
            (1.5 * rise, 0.9 * flow),
            (2.5 * rise, 0.0),
        ],
    };
    BlowerCurve::new(&points).expect("a falling curve")
}

/// A running system sized as ducts are: a blower, supply and return trees, registers into a house that floats on its
/// envelope, an attic, leaks on static pressure, takeoffs with losses by flow ratio.
#[derive(Clone, Copy)]
pub struct Running {
    /// Registers, 1 or more.
    pub registers: usize,
    /// Velocity for which the mains are sized, m/s.
    pub velocity: f64,
    /// Whether leaks feel static pressure.
    pub leaks_on_static: bool,
    /// Whether takeoffs lose by flow ratio.
    pub forks: bool,
    /// Decades of leaks either way.
    pub decades: f64,
}

/// Node numbers of a running system that tests ask for.
pub const OUTDOORS: usize = 0;
/// The house.
pub const HOUSE: usize = 1;
/// The attic.
pub const ATTIC: usize = 2;
/// Suction side of the blower.
pub const INLET: usize = 3;
/// Pressure side of the blower.
pub const OUTLET: usize = 4;
/// Branch number of the blower.
pub const BLOWER: usize = 0;

/// Makes it. Outdoors is the held node, at 0.
pub fn running_system(rng: &mut Pcg64, how: Running) -> Plan {
    let mut plan = Plan {
        nodes: 5,
        fan: OUTDOORS,
        tap: OUTDOORS,
        ..Plan::default()
    };
    let each = rng.random_range(0.03..0.06);
    let flow = each * how.registers as f64;
    let rise = rng.random_range(120.0..250.0);
    let curve = random_blower(rng, flow, rise);
    plan.leg(INLET, OUTLET, BranchLaw::Blower(curve));
    let envelope = |rng: &mut Pcg64| BranchLaw::Path {
        q_m3_s: rng.random_range(0.05..0.5) * (0.3 + flow),
        dp_pa: 4.0,
        n: 0.65,
    };
    let law = envelope(rng);
    plan.leg(HOUSE, OUTDOORS, law);
    let law = envelope(rng);
    plan.leg(ATTIC, OUTDOORS, law);
    plan.leg(
        HOUSE,
        ATTIC,
        BranchLaw::Path {
            q_m3_s: 0.02,
            dp_pa: 4.0,
            n: 0.65,
        },
    );
    let coil = BranchLaw::Component {
        dp_pa: rng.random_range(20.0..60.0),
        q_m3_s: flow,
        m: 1.8,
    };
    let plenum = plan.node();
    plan.leg(OUTLET, plenum, coil);
    grow(
        rng,
        &mut plan,
        how,
        plenum,
        each,
        Stream::Diverging,
        how.registers,
    );
    let filter = BranchLaw::Component {
        dp_pa: rng.random_range(20.0..60.0),
        q_m3_s: flow,
        m: 1.5,
    };
    let plenum = plan.node();
    plan.leg(plenum, INLET, filter);
    let grilles = rng.random_range(1..=how.registers.div_ceil(4));
    let each = flow / grilles as f64;
    grow(
        rng,
        &mut plan,
        how,
        plenum,
        each,
        Stream::Converging,
        grilles,
    );
    plan
}

/// A main with takeoffs, walked away from the unit, an opening into the house at the end of each.
fn grow(
    rng: &mut Pcg64,
    plan: &mut Plan,
    how: Running,
    plenum: usize,
    each: f64,
    stream: Stream,
    openings: usize,
) {
    let mut at = plenum;
    for left in (1..=openings).rev() {
        let area = left as f64 * each / how.velocity;
        let d = (area / FRAC_PI_4).sqrt();
        let next = plan.node();
        let main = plan.leg(
            at,
            next,
            BranchLaw::Duct(duct(
                d,
                rng.random_range(0.5..4.0),
                rng.random_range(0.0..0.3),
            )),
        );
        leaks(rng, plan, how, next, main, area);
        let area_b = each / (how.velocity * rng.random_range(0.6..1.0));
        let end = plan.node();
        let shape = duct((area_b / FRAC_PI_4).sqrt(), rng.random_range(1.0..6.0), 0.5);
        let branch = plan.leg(next, end, BranchLaw::Duct(shape));
        leaks(rng, plan, how, end, branch, area_b);
        plan.leg(
            end,
            HOUSE,
            BranchLaw::Component {
                dp_pa: rng.random_range(5.0..25.0),
                q_m3_s: each,
                m: 2.0,
            },
        );
        if how.forks && left > 1 {
            plan.forks.push(Fork {
                form: match rng.random_range(0..3) {
                    0 => BranchForm::TEE,
                    1 => BranchForm::LOW_TEE,
                    _ => BranchForm::wye(45.0),
                },
                stream,
                area_c: area,
                area_b,
                branch,
                common: main,
                // The main goes on with the next branch added.
                straight: Some(plan.legs.len()),
            });
        }
        at = next;
    }
}

fn leaks(rng: &mut Pcg64, plan: &mut Plan, how: Running, node: usize, leg: usize, area: f64) {
    for _ in 0..rng.random_range(1..4) {
        let zone = [None, Some(HOUSE), Some(ATTIC)][rng.random_range(0..3)];
        let (q25, n) = (1e-3 * spread(rng, how.decades), rng.random_range(0.5..0.8));
        plan.slit(node, zone, q25, n);
        if how.leaks_on_static
            && let Some(slit) = plan.slits.last_mut()
        {
            slit.beside = Some((leg, area));
        }
    }
}
