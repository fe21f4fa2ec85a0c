//! Ducts as ASHRAE 152 sees them: one lump a side, in places of their own temperature.

use super::defaults::Defaults;
use super::delivery::{CP, Ducts, conduction_factor};
use super::surroundings::Around;
use crate::air::STANDARD_DENSITY;
use crate::flow::FlowState;
use crate::quantity::{ThermalResistance, UnitSystem};
use crate::system::{Piece, Side, System};

/// Resistance of the air film on the inside, m²·K/W: moving air of 3 to 5 m/s. Engineering estimate.
const INSIDE_FILM: f64 = 0.06;
/// Resistance of the film outside, m²·K/W: still air on an upright surface, ASHRAE Handbook of Fundamentals (from
/// memory).
const OUTSIDE_FILM: f64 = 0.12;
/// Insulation of flexible duct when nobody says, the least that is commonly sold. Common practice, from memory.
const FLEX: f64 = ThermalResistance::from_r(4.2).si();
/// Resistance of fibrous-glass duct board when nobody says, board of 1 in. Common practice, from memory.
const BOARD: f64 = ThermalResistance::from_r(4.3).si();
/// Part of the heat that ducts of sheet metal lose by cycling, and flexible duct or duct board. ASHRAE 152 (from memory).
const CYCLING: (f64, f64) = (0.05, 0.02);
/// Smallest part of the fan's flow that may be left in the equations: beyond it they mean nothing.
const LEAST_PART: f64 = 0.02;

/// Surface and insulation of one side outside the conditioned space.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lump {
    /// Surface over resistance at each place, W/K.
    pub ua_w_k: Vec<f64>,
    /// Surface outside the conditioned space, m².
    pub outside_m2: f64,
    /// Surface inside it, m².
    pub inside_m2: f64,
    /// Part of the heat lost by cycling.
    pub cycling: f64,
}

impl Lump {
    /// Surface over resistance, W/K.
    pub fn ua(&self) -> f64 {
        self.ua_w_k.iter().sum()
    }
}

fn insulation(piece: &Piece, units: UnitSystem, defaults: &mut Defaults) -> f64 {
    if piece.insulation_m2_k_w > 0.0 {
        return piece.insulation_m2_k_w;
    }
    let mut usual = |about: &str, found: f64, words: &str| {
        let taken = format!("insulation {}", ThermalResistance::new(found).show(units));
        defaults.assume(about, &taken, words);
        found
    };
    if is_flex(piece) {
        usual(
            "flexible duct",
            FLEX,
            "common practice, from memory: the least that is commonly sold",
        )
    } else if is_board(piece) {
        usual(
            "duct board",
            BOARD,
            "common practice, from memory: board of 1 in",
        )
    } else {
        defaults.assume(
            "other ducts outside the conditioned space",
            "no insulation",
            "the sketch states none",
        );
        0.0
    }
}

fn is_flex(piece: &Piece) -> bool {
    piece.made_of.contains("flex")
}

fn is_board(piece: &Piece) -> bool {
    piece.made_of.contains("board")
}

/// Both sides: supply, return.
pub fn lumps(system: &System, defaults: &mut Defaults) -> [Lump; 2] {
    let mut lumps = [Side::Supply, Side::Return].map(|_| Lump {
        ua_w_k: vec![0.0; system.places.len()],
        ..Lump::default()
    });
    for piece in system.graph.edge_weights() {
        let lump = &mut lumps[usize::from(piece.side == Side::Return)];
        if !(piece.surface_m2 > 0.0) {
            continue;
        }
        if !system.places[piece.place].unconditioned {
            lump.inside_m2 += piece.surface_m2;
            continue;
        }
        let films = INSIDE_FILM + OUTSIDE_FILM;
        let resistance = insulation(piece, system.units, defaults) + films;
        lump.ua_w_k[piece.place] += piece.surface_m2 / resistance;
        lump.outside_m2 += piece.surface_m2;
        let soft = is_flex(piece) || is_board(piece);
        lump.cycling += piece.surface_m2 * if soft { CYCLING.1 } else { CYCLING.0 };
    }
    for lump in &mut lumps {
        let all = lump.outside_m2 + lump.inside_m2;
        if all > 0.0 {
            lump.cycling /= all;
        }
    }
    if lumps.iter().any(|lump| lump.outside_m2 > 0.0) {
        defaults.assume(
            "ducts outside the conditioned space",
            "air films of 0.06 m2K/W inside and 0.12 m2K/W outside beside the insulation",
            "inside an engineering estimate, outside the ASHRAE Handbook of Fundamentals (from memory)",
        );
        defaults.assume(
            "cycling",
            "losses of 5 % (sheet metal) or 2 % (flexible duct, duct board) of what lies outside",
            "ASHRAE 152 (from memory)",
        );
    }
    lumps
}

/// Net leakage of each side at each place, m³/s, above zero in the usual direction: supply out, return in.
pub fn leaks_by_place(system: &System, state: &FlowState) -> [Vec<f64>; 2] {
    let mut found = [
        vec![0.0; system.places.len()],
        vec![0.0; system.places.len()],
    ];
    for (seam, flow) in system.seams.iter().zip(&state.seam_m3_s) {
        match seam.side {
            Side::Supply => found[0][seam.place] += flow,
            Side::Return => found[1][seam.place] -= flow,
        }
    }
    found
}

/// Part of the blower's flow that each side leaks outside the conditioned space, 0 or more.
pub fn outside_parts(system: &System, state: &FlowState) -> [f64; 2] {
    let fan = state.blower_m3_s.unwrap_or(f64::NAN);
    leaks_by_place(system, state).map(|leaks| {
        let sum: f64 = leaks
            .iter()
            .zip(&system.places)
            .filter(|(_, place)| place.unconditioned)
            .map(|(leak, _)| *leak)
            .sum();
        (sum / fan).max(0.0)
    })
}

/// A season's air round the ducts, as temperatures at each place, K.
#[derive(Debug, Clone, Copy)]
pub struct Weather<'a> {
    /// Indoors, K.
    pub indoors_k: f64,
    /// Outdoors less the season's mean, K.
    pub more_k: f64,
    /// Places.
    pub around: &'a [Around],
}

/// The equations' figures of one state, with the regain of both sides, (low, high).
#[derive(Debug, Clone, Copy)]
pub struct State {
    /// Figures.
    pub ducts: Ducts,
    /// Regain of the supply side.
    pub supply_regain: (f64, f64),
    /// Regain of the return side's conduction.
    pub return_regain: (f64, f64),
}

/// Figures of a state when the equipment puts `capacity_w` into the air, or when its supply air is given.
pub fn ducts(
    system: &System,
    state: &FlowState,
    lumps: &[Lump; 2],
    weather: Weather<'_>,
    heat: Heat,
) -> State {
    let mass = STANDARD_DENSITY * state.blower_m3_s.unwrap_or(f64::NAN).max(1e-9);
    let parts = outside_parts(system, state);
    let leaks = leaks_by_place(system, state);
    let keeps = |part: f64| (1.0 - part).clamp(LEAST_PART, 1.0);
    let below = |place: usize| weather.indoors_k - weather.around[place].at(weather.more_k);
    let mut ducts = Ducts {
        a_s: keeps(parts[0]),
        a_r: keeps(parts[1]),
        b_s: conduction_factor(lumps[0].ua(), mass),
        b_r: conduction_factor(lumps[1].ua(), mass),
        rise_k: f64::NAN,
        supply_k: mean(&lumps[0].ua_w_k, below),
        return_k: mean(&lumps[1].ua_w_k, below),
        drawn_k: 0.0,
    };
    let outside = |leaks: &[f64]| -> Vec<f64> {
        leaks
            .iter()
            .zip(&system.places)
            .map(|(leak, place)| {
                if place.unconditioned {
                    leak.max(0.0)
                } else {
                    0.0
                }
            })
            .collect()
    };
    ducts.drawn_k = mean(&outside(&leaks[1]), below);
    ducts.rise_k = match heat {
        Heat::Capacity(capacity_w) => capacity_w / (mass * CP),
        Heat::SupplyAir(k) => k - weather.indoors_k + ducts.return_loss_k(),
    };
    let plenum_k = weather.indoors_k - ducts.return_loss_k() + ducts.rise_k;
    let blown = outside(&leaks[0]);
    let loss = |place: usize| {
        let out = weather.indoors_k - below(place);
        let conducted = lumps[0].ua_w_k[place] * (plenum_k - out).abs();
        let leaked = STANDARD_DENSITY * CP * blown[place] * (plenum_k - weather.indoors_k).abs();
        conducted + leaked
    };
    let losses: Vec<f64> = (0..system.places.len()).map(loss).collect();
    let both = |weights: &[f64]| {
        (
            mean(weights, |place| weather.around[place].regain.0),
            mean(weights, |place| weather.around[place].regain.1),
        )
    };
    State {
        ducts,
        supply_regain: both(&losses),
        return_regain: both(&lumps[1].ua_w_k),
    }
}

/// What the equipment does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heat {
    /// Puts this into the air, W; below zero when it cools.
    Capacity(f64),
    /// Brings the supply plenum to this temperature, K.
    SupplyAir(f64),
}

/// Weighted mean over places; 0 without any weight.
fn mean(weights: &[f64], value: impl Fn(usize) -> f64) -> f64 {
    let sum: f64 = weights.iter().sum();
    if !(sum > 0.0) {
        return 0.0;
    }
    let weighted = weights.iter().enumerate().map(|(at, w)| w * value(at));
    weighted.sum::<f64>() / sum
}
