//! Solves one large network from a file and prints how long it took; see `benches/peers/README.md`.
//!
//! `cargo run --release --example solve_network -- FILE ANSWER [REPEATS]`

use std::error::Error;
use std::time::Instant;

use ductseam::air::Air;
use ductseam::flow::{
    AbstractNetwork, BranchLaw, Disturbance, DuctShape, FlowSettings, NodeId, Outcome, SeamAtNode,
    SeamLaws, solve,
};

/// What a network file holds, column by column.
struct Columns {
    nodes: usize,
    held: usize,
    air: Air,
    hold_pa: f64,
    tail: Vec<usize>,
    head: Vec<usize>,
    /// Area, hydraulic diameter, length, roughness, factor on friction, loss.
    duct: [Vec<f64>; 6],
    seam_node: Vec<usize>,
    /// Surroundings, flow at 25 Pa, exponent.
    seam: [Vec<f64>; 3],
}

/// Reads little-endian numbers one after the other.
struct Reader<'a>(&'a [u8]);

impl Reader<'_> {
    fn take<const N: usize>(&mut self) -> Result<[u8; N], String> {
        let (first, rest) = self
            .0
            .split_first_chunk()
            .ok_or("the file ends before the network does")?;
        self.0 = rest;
        Ok(*first)
    }

    fn whole(&mut self) -> Result<usize, String> {
        Ok(u32::from_le_bytes(self.take()?) as usize)
    }

    fn real(&mut self) -> Result<f64, String> {
        Ok(f64::from_le_bytes(self.take()?))
    }

    fn wholes(&mut self, count: usize) -> Result<Vec<usize>, String> {
        (0..count).map(|_| self.whole()).collect()
    }

    fn columns<const N: usize>(&mut self, count: usize) -> Result<[Vec<f64>; N], String> {
        let mut columns = [const { Vec::new() }; N];
        for column in &mut columns {
            *column = (0..count).map(|_| self.real()).collect::<Result<_, _>>()?;
        }
        Ok(columns)
    }
}

fn read(file: &str) -> Result<Columns, Box<dyn Error>> {
    let bytes = std::fs::read(file)?;
    let mut reader = Reader(&bytes);
    if reader.take()? != *b"AIRNET01" {
        return Err(format!("{file}: not a network file").into());
    }
    let (nodes, ducts) = (reader.whole()?, reader.whole()?);
    let (seams, held) = (reader.whole()?, reader.whole()?);
    let air = Air {
        density: reader.real()?,
        viscosity: reader.real()?,
    };
    Ok(Columns {
        nodes,
        held,
        air,
        hold_pa: reader.real()?,
        tail: reader.wholes(ducts)?,
        head: reader.wholes(ducts)?,
        duct: reader.columns(ducts)?,
        seam_node: reader.wholes(seams)?,
        seam: reader.columns(seams)?,
    })
}

fn network(columns: &Columns) -> (AbstractNetwork, Vec<NodeId>) {
    let mut network = AbstractNetwork::new(columns.air);
    let nodes: Vec<NodeId> = (0..columns.nodes)
        .map(|i| network.node(i.to_string()))
        .collect();
    let [area, diameter, length, roughness, factor, loss] = &columns.duct;
    for i in 0..columns.tail.len() {
        let shape = DuctShape {
            area_m2: area[i],
            hydraulic_diameter_m: diameter[i],
            length_m: length[i],
            roughness_m: roughness[i],
            friction_factor: factor[i],
            loss: loss[i],
        };
        network.branch(
            i.to_string(),
            nodes[columns.tail[i]],
            nodes[columns.head[i]],
            BranchLaw::Duct(shape),
        );
    }
    for (&node, &zone) in columns.seam_node.iter().zip(&columns.seam[0]) {
        network.seam(SeamAtNode {
            node: nodes[node],
            house_share: 0.0,
            fixed_pa: zone,
            part: 1.0,
        });
    }
    let fan = nodes[columns.held];
    network.hold(fan, fan, columns.hold_pa);
    (network, nodes)
}

/// Most memory that the process has held, MB; `None` where the system does not say.
fn most_memory_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1000.0)
}

fn settled(outcome: Outcome) -> Result<Outcome, String> {
    if outcome.status.is_solved() {
        Ok(outcome)
    } else {
        Err(format!("did not settle: {outcome:?}"))
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [file, answer, rest @ ..] = arguments.as_slice() else {
        return Err("usage: solve_network FILE ANSWER [REPEATS]".into());
    };
    let repeats: usize = match rest {
        [] => 5,
        [count, ..] => count.parse()?,
    };
    let columns = read(file)?;
    let (network, nodes) = network(&columns);
    let start = Instant::now();
    let net = network.build(&FlowSettings::default())?;
    let mut ws = net.workspace();
    let prepare = start.elapsed().as_secs_f64();

    let n = &columns.seam[2];
    let ln_q25: Vec<f64> = columns.seam[1].iter().map(|q| q.ln()).collect();
    let shifted = |by: f64| -> Vec<f64> {
        let signs = [by, -by].into_iter().cycle();
        ln_q25.iter().zip(signs).map(|(ln, by)| ln + by).collect()
    };
    let moved = [shifted(0.02), shifted(-0.02)];

    let (mut cold, mut warm) = (f64::INFINITY, f64::INFINITY);
    let (mut cold_steps, mut warm_steps) = (0, 0);
    let laws = SeamLaws { ln_q25: &ln_q25, n };
    for _ in 0..repeats {
        ws.clear_start();
        let start = Instant::now();
        let outcome = solve(&net, laws, Disturbance::default(), &mut ws);
        cold = cold.min(start.elapsed().as_secs_f64());
        cold_steps = settled(outcome)?.iterations;
    }
    let mut pressures = Vec::with_capacity(8 * nodes.len());
    for node in &nodes {
        let pressure = ws
            .node_pressure(node.index())
            .ok_or("a node has no pressure")?;
        pressures.extend(pressure.to_le_bytes());
    }
    std::fs::write(answer, pressures)?;
    for i in 0..2 * repeats {
        let laws = SeamLaws {
            ln_q25: &moved[i % 2],
            n,
        };
        let start = Instant::now();
        let outcome = solve(&net, laws, Disturbance::default(), &mut ws);
        let took = start.elapsed().as_secs_f64();
        // The first one moves by half as much as the others.
        if i > 0 {
            warm = warm.min(took);
            warm_steps = warm_steps.max(settled(outcome)?.iterations);
        }
    }
    let memory = most_memory_mb().unwrap_or(f64::NAN);
    println!(
        "prepare={prepare:e} cold={cold:e} cold_steps={cold_steps} warm={warm:e} warm_steps={warm_steps} memory={memory}"
    );
    Ok(())
}
