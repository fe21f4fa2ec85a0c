//! Many random networks through the flow solver: each must end solved, or be refused with a name.
//!
//! `cargo run --release --example flow_sweep -- [COUNT] [SEED]`
//!
//! 100000 networks by default, one family after the other, 2 to 3000 nodes. Prints what became of each family, and the
//! numbers of the cases that did not settle: `flow_sweep -- case NUMBER [SEED]` looks at one alone. The result does not
//! depend on the number of threads.

#[path = "../tests/common/balance_audit.rs"]
mod balance_audit;
#[path = "../tests/common/random_networks.rs"]
#[allow(dead_code)] // the tests use the rest
mod random_networks;

use ductseam::air::Air;
use ductseam::flow::{
    AbstractNetwork, BranchId, BranchLaw, Disturbance, FlowError, FlowSettings, NodeId,
    SeamPressure, Status, solve,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use random_networks::{
    ATTIC, BLOWER, Cover, HOUSE, OUTDOORS, Plan, Running, TAME, Wild, random_blower, random_ducts,
    running_system, spread,
};
use rayon::prelude::*;

/// What kind of network a case is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Family {
    TapAtFan,
    TapElsewhere,
    Floating,
    Blower,
    Reversed,
    NoFlow,
    Static,
    StaticTap,
    Takeoffs,
    Running,
    Fast,
    Faulty,
}

const FAMILIES: [(Family, &str); 12] = [
    (Family::TapAtFan, "tap at the fan, 12 decades"),
    (Family::TapElsewhere, "tap elsewhere, 12 decades"),
    (Family::Floating, "floating zones, 12 decades"),
    (Family::Blower, "blower and floating house"),
    (Family::Reversed, "blowers driven backwards"),
    (Family::NoFlow, "sealed, or nothing drives"),
    (Family::Static, "leaks on static pressure"),
    (Family::StaticTap, "static leaks, static tap elsewhere"),
    (Family::Takeoffs, "takeoffs by flow ratio"),
    (Family::Running, "running: static leaks and takeoffs"),
    (Family::Fast, "the same, too fast for its pressures"),
    (Family::Faulty, "faulty"),
];

impl Family {
    /// Whether flows of the same solve feed back into pressures: a solution need not exist.
    fn lagged(self) -> bool {
        matches!(
            self,
            Family::Static | Family::StaticTap | Family::Takeoffs | Family::Running | Family::Fast
        )
    }
}

/// Fan pressure beyond which a case counts as out of any fan's reach, Pa.
const BEYOND_ANY_FAN: f64 = 1e7;

/// What became of a case.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum End {
    Converged,
    RoundingLimited,
    /// Refused by `build`: which error.
    Refused(&'static str),
    NotConverged,
    /// Solved, but an outside check fails.
    Wrong,
}

#[derive(Clone, Copy)]
struct Found {
    number: u64,
    end: End,
    nodes: usize,
    iterations: u32,
    rounds: u32,
    /// Largest velocity pressure at a static leak or tap as part of the static pressure, lags held at 0.
    fast: f64,
    absurd: bool,
}

fn size(rng: &mut Pcg64) -> usize {
    // Logarithmic, the small ones oftener.
    let u: f64 = rng.random_range(0.0..1.0);
    (2.0 * 1500f64.powf(u.powf(1.4))) as usize
}

const WILD: Wild = Wild {
    decades: 6.0,
    sealed: true,
    zones: false,
    house: true,
    open: true,
};

fn plan_of(family: Family, rng: &mut Pcg64) -> Plan {
    let nodes = size(rng);
    match family {
        Family::TapAtFan => random_ducts(rng, nodes, WILD),
        Family::TapElsewhere => {
            // Nothing but the fan drives, or the tap's pressure may be out of reach.
            let wild = Wild {
                house: false,
                open: false,
                zones: rng.random_range(0..3) == 0,
                ..WILD
            };
            let mut plan = random_ducts(rng, nodes, wild);
            plan.tap = rng.random_range(0..nodes);
            plan
        }
        Family::Floating => random_ducts(
            rng,
            nodes,
            Wild {
                zones: true,
                ..WILD
            },
        ),
        Family::Blower => blown(rng, nodes, 6.0),
        Family::Reversed => {
            let mut plan = blown(rng, nodes, 3.0);
            // One more blower, far weaker, fed by the first against its direction; or a fan that holds more than either.
            let (flow, rise) = (0.2 * spread(rng, 1.0), 20.0 * spread(rng, 0.5));
            let curve = random_blower(rng, flow, rise);
            let law = BranchLaw::Blower(curve);
            match rng.random_range(0..3) {
                0 => {
                    plan.leg(random_networks::OUTLET, random_networks::INLET, law);
                }
                1 => {
                    plan.leg(random_networks::OUTLET, HOUSE, law);
                }
                _ => {
                    plan.held.push((random_networks::OUTLET, 3000.0));
                }
            }
            plan
        }
        Family::NoFlow => {
            let zones = rng.random_range(0..2) == 0;
            let mut plan = random_ducts(rng, nodes, Wild { zones, ..WILD });
            match rng.random_range(0..3) {
                0 => {
                    (plan.pressure, plan.house) = (0.0, 0.0);
                    plan.held.iter_mut().for_each(|h| h.1 = 0.0);
                }
                1 => plan.ln_q25.fill(f64::NEG_INFINITY),
                _ => plan.pressure = 0.0,
            }
            plan
        }
        Family::Static | Family::StaticTap | Family::Takeoffs | Family::Running | Family::Fast => {
            let how = Running {
                registers: (nodes / 10).clamp(1, 60),
                velocity: if family == Family::Fast {
                    rng.random_range(6.0..15.0)
                } else {
                    rng.random_range(2.0..5.0)
                },
                leaks_on_static: family != Family::Takeoffs,
                forks: !matches!(family, Family::Static | Family::StaticTap),
                decades: if family == Family::Fast { 2.0 } else { 1.0 },
            };
            let mut plan = running_system(rng, how);
            if family == Family::StaticTap {
                tested(rng, &mut plan);
            }
            plan
        }
        Family::Faulty => random_ducts(rng, nodes.min(60), TAME),
    }
}

/// Ducts round a blower, with a house and an attic that float; outdoors is held at 0.
fn blown(rng: &mut Pcg64, nodes: usize, decades: f64) -> Plan {
    let mut plan = running_system(
        rng,
        Running {
            registers: (nodes / 12).clamp(1, 200),
            velocity: 4.0,
            leaks_on_static: false,
            forks: false,
            decades,
        },
    );
    for leg in &mut plan.legs[BLOWER + 1..] {
        let factor = spread(rng, decades / 3.0);
        match &mut leg.law {
            BranchLaw::Path { q_m3_s, .. } | BranchLaw::Component { q_m3_s, .. } => {
                *q_m3_s *= factor
            }
            _ => {}
        }
    }
    for _ in 0..rng.random_range(0..3) {
        plan.covers.push(Cover {
            node: rng.random_range(3..plan.nodes),
            zone: Some([HOUSE, ATTIC][rng.random_range(0..2)]),
            share: 0.0,
            q25: 1e-4 * spread(rng, decades),
            n: 0.65,
        });
    }
    plan
}

/// Turns a running system into one under a test fan in the blower's place, registers masked, the tap out in the ducts.
fn tested(rng: &mut Pcg64, plan: &mut Plan) {
    plan.legs[BLOWER].law = BranchLaw::Component {
        dp_pa: 5.0,
        q_m3_s: 0.5,
        m: 2.0,
    };
    let grilles: Vec<usize> = (4..plan.legs.len())
        .filter(|&at| plan.legs[at].head == HOUSE)
        .collect();
    for at in grilles {
        plan.legs[at].law = BranchLaw::Path {
            q_m3_s: 2e-4,
            dp_pa: 25.0,
            n: 0.6,
        };
    }
    plan.held.push((OUTDOORS, 0.0));
    plan.fan = random_networks::OUTLET;
    plan.pressure = [25.0, -25.0][rng.random_range(0..2)];
    // A main of the supply side: legs 1 to 3 are the house's, 4 the coil.
    let mains: Vec<usize> = (5..plan.legs.len())
        .filter(|&at| plan.legs[at].head != HOUSE)
        .collect();
    let at = mains[rng.random_range(0..mains.len().div_ceil(3))];
    plan.tap = plan.legs[at].head;
    if let BranchLaw::Duct(shape) = &plan.legs[at].law {
        plan.tap_beside = Some((at, shape.area_m2));
    }
}

/// Breaks a description in one way; the answer must name a piece of it.
fn broken(rng: &mut Pcg64, plan: &Plan) -> Result<AbstractNetwork, FlowError> {
    let mut plan = plan.clone();
    let path = |q_m3_s: f64| BranchLaw::Path {
        q_m3_s,
        dp_pa: 4.0,
        n: 0.65,
    };
    match rng.random_range(0..9) {
        0 => {
            // A part on its own.
            let (a, b) = (plan.node(), plan.node());
            plan.leg(a, b, path(0.1));
        }
        1 => {
            // A room with nothing but a seam, which may be sealed.
            let room = plan.node();
            plan.slit(0, Some(room), 1e-3, 0.6);
        }
        2 => {
            // The tap on an island of its own.
            plan.tap = plan.node();
        }
        3 => {
            // The tap beyond a node held at another pressure.
            let (open, tap) = (plan.node(), plan.node());
            plan.leg(0, open, path(0.1));
            plan.leg(open, tap, path(0.1));
            plan.slit(tap, None, 1e-3, 0.6);
            plan.held.push((open, 0.0));
            plan.tap = tap;
        }
        4 => {
            // The tap at a node held at another pressure.
            let open = plan.node();
            plan.leg(0, open, path(0.1));
            plan.held.push((open, 0.0));
            plan.tap = open;
        }
        5 => {
            // Two pressures held at one place.
            plan.held.push((0, 3.0));
        }
        6 => {
            let bad = [f64::NAN, -1.0, 0.0, f64::INFINITY][rng.random_range(0..4)];
            let at = plan.node();
            plan.leg(0, at, path(bad));
        }
        7 => {
            // A mesh.
            let first = plan.nodes;
            plan.nodes += 300;
            for a in first..plan.nodes {
                for b in first..a {
                    plan.leg(a, b, path(0.1));
                }
                plan.leg(0, a, path(0.1));
            }
        }
        _ => {
            let mut network = plan.described();
            match rng.random_range(0..4) {
                0 => network.house(f64::NAN),
                1 => network.hold(NodeId::default(), NodeId::default(), f64::INFINITY),
                2 => network.mask(NodeId::default(), 0.0, -1.0, 0.6),
                _ => {
                    let thin = Air {
                        density: -1.0,
                        ..random_networks::AIR
                    };
                    network.branch_in(
                        "thin",
                        NodeId::default(),
                        NodeId::default(),
                        path(0.1),
                        thin,
                    );
                }
            }
            return Ok(network);
        }
    }
    Ok(plan.described())
}

fn refusal(error: &FlowError) -> &'static str {
    match error {
        FlowError::Island { .. } => "island",
        FlowError::FanOutside { .. } => "fan outside",
        FlowError::TapOutside { .. } => "tap outside",
        FlowError::BadFigure { .. } => "bad figure",
        FlowError::TooMeshed { .. } => "too meshed",
        _ => "other",
    }
}

/// Largest velocity pressure over static pressure at static leaks and the tap, all lags at 0.
fn fastness(plan: &Plan) -> f64 {
    let mut still = plan.clone();
    still.forks.clear();
    still.tap_beside = None;
    still.slits.iter_mut().for_each(|s| s.beside = None);
    let Ok(net) = still.build(&FlowSettings::default()) else {
        return f64::INFINITY;
    };
    let mut ws = net.workspace();
    if !solve(&net, still.laws(), Disturbance::default(), &mut ws)
        .status
        .is_solved()
    {
        return f64::INFINITY;
    }
    let ids = branch_ids(&still);
    let velocity = |(leg, area): (usize, f64)| {
        let q = net.branch_flow(&ws, ids[leg]).unwrap_or(0.0);
        0.5 * random_networks::AIR.density * (q / area).powi(2)
    };
    let leaks = (plan.slits.iter().zip(ws.seam_dp())).filter_map(|(slit, dp)| {
        let pv = velocity(slit.beside?);
        Some(pv / (dp - pv).abs().max(1e-3))
    });
    let tap = plan
        .tap_beside
        .map(|beside| velocity(beside) / plan.pressure.abs());
    leaks.chain(tap).fold(0.0, f64::max)
}

/// Whether a fan at [`BEYOND_ANY_FAN`] still leaves the tap below its pressure.
fn out_of_reach(plan: &Plan) -> bool {
    let mut strong = plan.clone();
    strong.tap = plan.fan;
    strong.pressure = BEYOND_ANY_FAN.copysign(plan.pressure);
    let Ok(net) = strong.build(&FlowSettings::default()) else {
        return false;
    };
    let mut ws = net.workspace();
    let nominal = Disturbance::default();
    let settled = solve(&net, strong.laws(), nominal, &mut ws)
        .status
        .is_solved();
    let tap = ws.node_pressure(plan.tap).unwrap_or(f64::NAN);
    settled && tap * plan.pressure.signum() < plan.pressure.abs()
}

/// Branch numbers of a plan, which the builder counts in order.
fn branch_ids(plan: &Plan) -> Vec<BranchId> {
    let mut network = AbstractNetwork::new(random_networks::AIR);
    let node = network.node("");
    (0..plan.legs.len())
        .map(|_| network.branch("", node, node, BranchLaw::Lossless))
        .collect()
}

fn case(number: u64, seed: u64, talk: bool) -> (Family, Found) {
    let mut rng = Pcg64::seed_from_u64(seed.wrapping_mul(1_000_003).wrapping_add(number));
    let (family, _) = FAMILIES[(number % FAMILIES.len() as u64) as usize];
    let plan = plan_of(family, &mut rng);
    let mut found = Found {
        number,
        end: End::NotConverged,
        nodes: plan.nodes,
        iterations: 0,
        rounds: 0,
        fast: 0.0,
        absurd: false,
    };
    let settings = FlowSettings {
        seam_pressure: SeamPressure::Static,
        ..FlowSettings::default()
    };
    let built = if family == Family::Faulty {
        broken(&mut rng, &plan).and_then(|network| network.build(&settings))
    } else {
        plan.build(&settings)
    };
    let net = match built {
        Ok(net) => net,
        Err(error) => {
            if talk {
                println!("{error}");
            }
            let named =
                error.to_string().matches('`').count() >= 2 || refusal(&error) == "too meshed";
            found.end = if family == Family::Faulty && named {
                End::Refused(refusal(&error))
            } else {
                End::Wrong
            };
            return (family, found);
        }
    };
    if family == Family::Faulty {
        if talk {
            println!("built in spite of its fault: {} nodes", net.node_count());
        }
        found.end = End::Wrong;
        return (family, found);
    }
    let mut ws = net.workspace();
    let outcome = solve(&net, plan.laws(), Disturbance::default(), &mut ws);
    (found.iterations, found.rounds) = (outcome.iterations, outcome.lag_rounds);
    if family.lagged() {
        found.fast = fastness(&plan);
    }
    if family == Family::TapElsewhere {
        found.absurd = out_of_reach(&plan);
    }
    let audit = balance_audit::audit(&plan, &net, &ws, &branch_ids(&plan));
    found.end = match outcome.status {
        Status::NotConverged { .. } => End::NotConverged,
        Status::OutOfReach { .. } => End::Refused("out of any fan's reach"),
        _ if !audit.holds(&plan, &outcome) => End::Wrong,
        Status::RoundingLimited => End::RoundingLimited,
        _ => End::Converged,
    };
    if talk {
        println!(
            "{family:?}, {} nodes, {} branches, {} lags",
            plan.nodes,
            plan.legs.len(),
            net.lag_count()
        );
        println!("{outcome:?}");
        println!(
            "largest flow {:e}, worst beyond rounding {:e}, law off {:e}, largest pressure {:e}, leaked {:e}, fast {:e}",
            audit.largest, audit.worst, audit.law_off, audit.pressure, audit.leaked, found.fast
        );
        println!(
            "tap {:?} wanted {}",
            ws.node_pressure(plan.tap),
            plan.pressure
        );
    }
    (family, found)
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let figure = |at: usize, usual: u64| {
        arguments
            .get(at)
            .and_then(|a| a.parse().ok())
            .unwrap_or(usual)
    };
    if arguments.first().is_some_and(|a| a == "case") {
        let (_, found) = case(figure(1, 0), figure(2, 1), true);
        println!("{:?}", found.end);
        return;
    }
    let (count, seed) = (figure(0, 100_000), figure(1, 1));
    let started = std::time::Instant::now();
    let all: Vec<(Family, Found)> = (0..count)
        .into_par_iter()
        .map(|number| case(number, seed, false))
        .collect();
    println!(
        "{count} networks, seed {seed}, {:.0} s",
        started.elapsed().as_secs_f64()
    );
    println!(
        "{:<38} {:>6} {:>9} {:>8} {:>7} {:>9} {:>6} {:>6} {:>6} {:>6}",
        "",
        "cases",
        "converged",
        "rounding",
        "refused",
        "unsettled",
        "wrong",
        "steps",
        "rounds",
        "nodes"
    );
    for (family, name) in FAMILIES {
        let all: Vec<&Found> = all
            .iter()
            .filter(|(f, _)| *f == family)
            .map(|(_, found)| found)
            .collect();
        if family.lagged() {
            for (low, high, note) in [(0.0, 1.0, " pv < ps"), (1.0, f64::INFINITY, " pv > ps")] {
                let part: Vec<&Found> = all
                    .iter()
                    .copied()
                    .filter(|f| {
                        f.fast >= low && f.fast < high
                            || (high.is_infinite() && f.fast.is_infinite())
                    })
                    .collect();
                line(&format!("{name},{note}"), &part);
            }
        } else if family == Family::TapElsewhere {
            let (absurd, usual): (Vec<&Found>, Vec<&Found>) =
                all.into_iter().partition(|f| f.absurd);
            line(name, &usual);
            line("  beyond any fan (over 1e7 Pa)", &absurd);
        } else {
            line(name, &all);
        }
    }
}

fn line(name: &str, all: &[&Found]) {
    let count = |wanted: &dyn Fn(End) -> bool| all.iter().filter(|f| wanted(f.end)).count();
    println!(
        "{:<38} {:>6} {:>9} {:>8} {:>7} {:>9} {:>6} {:>6} {:>6} {:>6}",
        name,
        all.len(),
        count(&|e| e == End::Converged),
        count(&|e| e == End::RoundingLimited),
        count(&|e| matches!(e, End::Refused(_))),
        count(&|e| e == End::NotConverged),
        count(&|e| e == End::Wrong),
        all.iter().map(|f| f.iterations).max().unwrap_or(0),
        all.iter().map(|f| f.rounds).max().unwrap_or(0),
        all.iter().map(|f| f.nodes).max().unwrap_or(0),
    );
    let mut kinds = std::collections::BTreeMap::<&str, usize>::new();
    for found in all {
        if let End::Refused(kind) = found.end {
            *kinds.entry(kind).or_default() += 1;
        }
    }
    if !kinds.is_empty() {
        let list: Vec<String> = kinds
            .iter()
            .map(|(kind, n)| format!("{kind} {n}"))
            .collect();
        println!("    refused: {}", list.join(", "));
    }
    for (end, word) in [(End::NotConverged, "unsettled"), (End::Wrong, "wrong")] {
        let cases: Vec<String> = all
            .iter()
            .filter(|f| f.end == end)
            .take(12)
            .map(|f| f.number.to_string())
            .collect();
        if !cases.is_empty() {
            println!("    {word}: {}", cases.join(" "));
        }
    }
}
