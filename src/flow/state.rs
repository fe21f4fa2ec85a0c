//! A solved system as people see it: pieces, openings, rooms, plenums, seams.

use super::builder::BranchId;
use super::map::Prepared;
use super::network::Workspace;
use super::newton::solve;
use super::probe::{Against, Probe, Section, read};
use super::reading::{Observable, Reading};
use super::types::{Disturbance, Outcome, SeamLaws, Status};
use crate::air::STANDARD_DENSITY;
use crate::math::{exp, ln};
use crate::system::{LeadsTo, Side, System};

/// A system solved in one set-up.
///
/// Pressures are gauge against outdoors, Pa; flows m³/s at 1.204 kg/m³. Flows of pieces count from tail to head, that
/// is away from the unit: on a running return side they are below zero.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowState {
    /// How the solve went.
    pub outcome: Outcome,
    /// What the set-up reads, m³/s or Pa; `None` where it cannot be read.
    pub reading: Option<f64>,
    /// Whether `reading` is a pressure.
    pub reading_is_pressure: bool,
    /// Pieces of the graph in its order; `None` for one that takes no part.
    pub pieces: Vec<Option<PieceState>>,
    /// Openings in the system's order.
    pub openings: Vec<OpeningState>,
    /// Rooms in the system's order: pressure and the flow that its supplies bring less what its grilles take.
    pub rooms: Vec<RoomState>,
    /// Pressure of each place that seams touch; a share of the house's where it is no node.
    pub places_pa: Vec<Option<f64>>,
    /// Pressure of the house.
    pub house_pa: f64,
    /// Static pressure at the supply plenum, where it takes part.
    pub supply_plenum_pa: Option<f64>,
    /// Static pressure at the return plenum, where it takes part.
    pub return_plenum_pa: Option<f64>,
    /// Flow through the running blower.
    pub blower_m3_s: Option<f64>,
    /// Rise of pressure over the running blower: of total pressure, and of static pressure as far as its inlet and
    /// outlet have the same section, which is taken here.
    pub blower_rise_pa: Option<f64>,
    /// Factor on the blower's curve, see [`match_airflow`].
    pub blower_factor: f64,
    /// Pressure across each seam, duct (static) less place.
    pub seam_pa: Vec<f64>,
    /// Flow through each seam, positive out of the duct.
    pub seam_m3_s: Vec<f64>,
    /// Where the result leaves the range of what it rests on.
    pub notes: Vec<StateNote>,
}

impl FlowState {
    /// Pressure of a place against outdoors: its own where it is known, else its share of the house's, Pa.
    #[must_use]
    pub fn place_pa(&self, system: &System, place: crate::system::PlaceIdx) -> f64 {
        let own = self.places_pa.get(place).copied().flatten();
        own.unwrap_or(system.places[place].house_share * self.house_pa)
    }
}

/// A piece in the solved system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceState {
    /// Total pressure at its tail.
    pub tail_pa: f64,
    /// Total pressure at its head.
    pub head_pa: f64,
    /// Static pressure at its head; the total one where its flow is not known.
    pub head_static_pa: f64,
    /// Flow at its head, `None` for a link without loss.
    pub flow_m3_s: Option<f64>,
    /// Mean velocity there, m/s of actual air.
    pub velocity_m_s: Option<f64>,
}

/// An opening in the solved system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpeningState {
    /// Total pressure behind it; `None` outside the part under test.
    pub behind_pa: Option<f64>,
    /// Flow into the room (below zero at a return); 0 where masked.
    pub into_room_m3_s: f64,
    /// Whether it stands open.
    pub open: bool,
}

/// A room in the solved system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomState {
    /// Pressure; the house's for a room with an open door.
    pub pressure_pa: f64,
    /// What supplies bring.
    pub supplied_m3_s: f64,
    /// What grilles take.
    pub returned_m3_s: f64,
    /// Whether it stands apart from the house, its door closed.
    pub apart: bool,
}

/// The result leaves a range.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StateNote {
    /// A takeoff's loss is used outside its correlation.
    Takeoff {
        /// Piece, as number of the graph's edge.
        piece: usize,
        /// What is outside.
        what: &'static str,
    },
    /// The blower works outside the points of its curve.
    BlowerOutside {
        /// Above the highest point (else below the lowest).
        above: bool,
    },
    /// Air runs backwards through the blower.
    BlowerReversed,
    /// The house has no known envelope: it is taken as at outdoor pressure.
    NoEnvelope,
}

/// Solves and reads everything off.
///
/// # Panics
/// If the slices of `laws` are shorter than the system's seams.
pub fn state(system: &System, prepared: &Prepared, laws: SeamLaws<'_>) -> FlowState {
    let mut ws = prepared.network.workspace();
    let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
    read_state(system, prepared, &ws, outcome)
}

/// As [`state()`], starting from the last solution that a workspace holds: quick where the laws differ little from those
/// of that solve.
///
/// # Panics
/// If the slices of `laws` are shorter than the system's seams, or the workspace is another network's.
pub fn state_from(
    system: &System,
    prepared: &Prepared,
    laws: SeamLaws<'_>,
    ws: &mut Workspace,
) -> FlowState {
    let outcome = solve(&prepared.network, laws, Disturbance::default(), ws);
    read_state(system, prepared, ws, outcome)
}

/// Scales the blower's curve so that its flow becomes the airflow found on the job, m³/s.
///
/// Returns the state, its `blower_factor` the factor on all flows of the curve. Secant steps in the factor, each a
/// solve; at most 30. A flow that cannot be met leaves the last factor and the status not converged.
///
/// # Panics
/// If the slices of `laws` are shorter than the system's seams.
pub fn match_airflow(
    system: &System,
    prepared: &mut Prepared,
    laws: SeamLaws<'_>,
    airflow_m3_s: f64,
) -> FlowState {
    let mut ws = prepared.network.workspace();
    let mut factor = 1.0_f64;
    let mut last: Option<(f64, f64)> = None;
    for _ in 0..30 {
        let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
        let found = prepared
            .map
            .blower
            .and_then(|blower| prepared.network.branch_flow(&ws, blower));
        let Some(found) = found.filter(|_| outcome.status.is_solved()) else {
            break;
        };
        let off = ln(found / airflow_m3_s);
        if off.is_nan() || off.abs() <= 1e-9 {
            break;
        }
        // In logarithms: the flow goes nearly with the factor.
        let slope = match last {
            Some((before, was)) if (ln(factor) - before).abs() > 1e-14 => {
                ((off - was) / (ln(factor) - before)).clamp(0.05, 2.0)
            }
            _ => 1.0,
        };
        last = Some((ln(factor), off));
        let next = factor * exp((-off / slope).clamp(-1.5, 1.5));
        prepared.network.scale_blower(next / factor);
        // The branches' flows are those of the old curve.
        ws.settled = false;
        factor = next;
    }
    ws.clear_start();
    let outcome = solve(&prepared.network, laws, Disturbance::default(), &mut ws);
    let mut state = read_state(system, prepared, &ws, outcome);
    state.blower_factor = factor;
    let met = state
        .blower_m3_s
        .is_some_and(|found| (found / airflow_m3_s - 1.0).abs() < 1e-6);
    if !met && state.outcome.status.is_solved() {
        state.outcome.status = Status::NotConverged { node: 0 };
    }
    state
}

fn read_state(system: &System, prepared: &Prepared, ws: &Workspace, outcome: Outcome) -> FlowState {
    let (net, map) = (&prepared.network, &prepared.map);
    let node = |at: super::builder::NodeId| ws.node_pressure(at.index());
    let house_pa = map.house.and_then(node).unwrap_or(net.house_pa);
    let pieces = system
        .graph
        .edge_indices()
        .map(|edge| {
            let (_, last) = map.pieces[edge.index()]?;
            let (_, head) = system.graph.edge_endpoints(edge)?;
            let piece = &system.graph[edge];
            let head_pa = node(map.junctions[head.index()])?;
            let flow = net.branch_flow(ws, last);
            let section = prepared.section(last, piece.section.area().si());
            let velocity = flow.map(|q| section.velocity(q));
            Some(PieceState {
                tail_pa: map.tails[edge.index()].and_then(node).unwrap_or(head_pa),
                head_pa,
                head_static_pa: head_pa - flow.map_or(0.0, |q| section.velocity_pressure(q)),
                flow_m3_s: flow,
                velocity_m_s: velocity,
            })
        })
        .collect();
    let openings: Vec<OpeningState> = system
        .openings
        .iter()
        .zip(&map.openings)
        .map(|(opening, branch)| OpeningState {
            behind_pa: node(map.junctions[opening.node.index()]),
            into_room_m3_s: branch.and_then(|b| net.branch_flow(ws, b)).unwrap_or(0.0),
            open: branch.is_some(),
        })
        .collect();
    let rooms = (0..system.rooms.len())
        .map(|room| {
            let at = map.rooms.get(room).copied().flatten();
            let own = system
                .openings
                .iter()
                .zip(&openings)
                .filter(|(opening, _)| {
                    opening.room_index == Some(room) && opening.leads_to == LeadsTo::Room
                });
            let sum = |side: Side| -> f64 {
                own.clone()
                    .filter(|(opening, _)| opening.side == side)
                    .map(|(_, state)| state.into_room_m3_s)
                    .sum()
            };
            RoomState {
                pressure_pa: at.and_then(node).unwrap_or(house_pa),
                supplied_m3_s: sum(Side::Supply),
                returned_m3_s: -sum(Side::Return),
                apart: at.is_some(),
            }
        })
        .collect();
    let mut touched = vec![false; system.places.len()];
    for seam in &system.seams {
        touched[seam.place] = true;
    }
    let places_pa = system
        .places
        .iter()
        .enumerate()
        .map(|(at, place)| {
            let own = map.places.get(at).copied().flatten();
            touched[at].then(|| own.and_then(node).unwrap_or(place.house_share * house_pa))
        })
        .collect();
    let plenum = |side: Side| match prepared.reading_of(system, Observable::PlenumStatic(side))? {
        Reading::Probe(Probe::Pressure { at, still, .. }) => {
            let against = Against::Outdoors;
            read(net, ws, Probe::Pressure { at, against, still })
        }
        Reading::Probe(_) | Reading::FanFlow => None,
    };
    let unit = &system.unit;
    let blower_m3_s = map.blower.and_then(|b| net.branch_flow(ws, b));
    let blower_rise_pa = map.blower.and_then(|_| {
        let outlet = node(map.junctions[unit.cabinet_outlet.index()])?;
        let inlet = node(map.junctions[unit.cabinet_inlet.index()])?;
        Some(outlet - inlet)
    });
    let mut state = FlowState {
        reading: prepared.reading(ws, &outcome),
        reading_is_pressure: matches!(prepared.reads, Reading::Probe(Probe::Pressure { .. })),
        outcome,
        pieces,
        openings,
        rooms,
        places_pa,
        house_pa,
        supply_plenum_pa: plenum(Side::Supply),
        return_plenum_pa: plenum(Side::Return),
        blower_m3_s,
        blower_rise_pa,
        blower_factor: 1.0,
        seam_pa: ws.seam_dp().to_vec(),
        seam_m3_s: ws.seam_flow().to_vec(),
        notes: Vec::new(),
    };
    state.notes = notes(system, prepared, ws, &state);
    state
}

fn notes(
    system: &System,
    prepared: &Prepared,
    ws: &Workspace,
    state: &FlowState,
) -> Vec<StateNote> {
    let (net, map) = (&prepared.network, &prepared.map);
    let mut notes = Vec::new();
    if let (Some(flow), Some(rise)) = (state.blower_m3_s, state.blower_rise_pa) {
        let (lowest, highest) = net.blower_range().unwrap_or((rise, rise));
        if flow < 0.0 {
            notes.push(StateNote::BlowerReversed);
        } else if rise > highest || rise < lowest {
            let above = rise > highest;
            notes.push(StateNote::BlowerOutside { above });
        }
    }
    if map.house.is_some() && system.envelope.is_none() {
        notes.push(StateNote::NoEnvelope);
    }
    for takeoff in &map.takeoffs {
        let flow = |branch: BranchId| net.branch_flow(ws, branch).map(|q| takeoff.sign * q);
        if let (Some(q_b), Some(q_c)) = (flow(takeoff.branch), flow(takeoff.common))
            && let Some(what) = takeoff.law.range_note(q_b, q_c)
        {
            notes.push(StateNote::Takeoff {
                piece: takeoff.piece,
                what,
            });
        }
    }
    notes
}

impl Section {
    /// Mean velocity at a flow of the branch, m/s of actual air.
    pub fn velocity(&self, flow_m3_s: f64) -> f64 {
        // ½ρ₀²/ρ over ½ρ₀ is ρ₀/ρ.
        flow_m3_s * self.half_density / (0.5 * STANDARD_DENSITY) / self.area_m2
    }

    /// Velocity pressure at a flow of the branch, Pa.
    pub fn velocity_pressure(&self, flow_m3_s: f64) -> f64 {
        self.factor() * flow_m3_s * flow_m3_s
    }
}
