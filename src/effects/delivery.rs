//! Delivery effectiveness and distribution efficiency: the equations alone.
//!
//! Symbols: `a_s`, `a_r` parts of the fan's flow that are not leaked to or drawn from outside the conditioned space;
//! `B_s`, `B_r` conduction factors; `ΔT_e` rise over the equipment, K, below zero when it cools; `ΔT_s`, `ΔT_r`
//! indoors less surroundings of the supply and of the return ducts, K.
//!
//! # Source
//! ASHRAE 152 (2004, 2014), form from memory, rebuilt from a steady heat balance: conduction into the return duct, its
//! leak, equipment, conduction of the supply duct, its leak. One thing is more general here: the return ducts' leak may
//! come from places at another temperature than the mean one round their surface.

use crate::math::{exp, ln};

/// Specific heat of air, J/(kg·K). Dry air at room temperature, common handbook figure.
pub const CP: f64 = 1006.0;

/// What the equations need of one state of a duct system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ducts {
    /// Part of the fan's flow that the supply ducts do not lose, `a_s`.
    pub a_s: f64,
    /// Part of the fan's flow that the return ducts do not draw from outside the conditioned space, `a_r`.
    pub a_r: f64,
    /// Conduction factor of the supply ducts, see [`conduction_factor`].
    pub b_s: f64,
    /// Conduction factor of the return ducts.
    pub b_r: f64,
    /// Rise over the equipment, K; below zero when it cools.
    pub rise_k: f64,
    /// Indoors less the surroundings of the supply ducts, K.
    pub supply_k: f64,
    /// Indoors less the surroundings of the return ducts' surface, K.
    pub return_k: f64,
    /// Indoors less what the return leaks draw, K.
    pub drawn_k: f64,
}

impl Ducts {
    /// Indoors less the air that enters the equipment, K.
    ///
    /// ```text
    /// L = a_r·(1 − B_r)·ΔT_r + (1 − a_r)·ΔT_l
    /// ```
    /// where `ΔT_l` indoors less what the leaks draw; (1 − a_r·B_r)·ΔT_r where both are one.
    #[must_use]
    pub fn return_loss_k(&self) -> f64 {
        self.a_r * (1.0 - self.b_r) * self.return_k + (1.0 - self.a_r) * self.drawn_k
    }
}

/// Conduction factor of a duct: the part of a temperature difference against its surroundings that air keeps from end
/// to end.
///
/// ```text
/// B = exp(−UA / (ṁ·c_p))
/// ```
/// where `UA` sum of surface over resistance, W/K; `ṁ` mass flow, kg/s; `c_p` [`CP`].
#[must_use]
pub fn conduction_factor(ua_w_k: f64, mass_kg_s: f64) -> f64 {
    exp(-ua_w_k / (mass_kg_s * CP))
}

/// Heat (or cold) that reaches the rooms over what the equipment puts into the air; sensible heat.
///
/// # Equation
/// ```text
/// DE = a_s·B_s·(1 − L/ΔT_e) − a_s·(1 − B_s)·ΔT_s/ΔT_e
/// ```
/// with `L` of [`Ducts::return_loss_k`]. Right for heating and, below zero all through, for sensible cooling.
///
/// # Limits
/// Steady; every duct of a side lumped into one; may fall below 0 with very leaky ducts.
///
/// # Source
/// ASHRAE 152, see the module.
#[must_use]
pub fn delivery_effectiveness(ducts: &Ducts) -> f64 {
    let Ducts {
        a_s,
        b_s,
        rise_k,
        supply_k,
        ..
    } = *ducts;
    a_s * b_s * (1.0 - ducts.return_loss_k() / rise_k) - a_s * (1.0 - b_s) * supply_k / rise_k
}

/// The same for cooling with moisture, by enthalpies.
///
/// # Equation
/// ```text
/// DE = (a_s·ṁ/E)·[ E/ṁ + (1 − a_r)·(h_l − h_in) + a_r·c_p·(B_r − 1)·ΔT_r + c_p·(B_s − 1)·(T_sp − T_s) ]
/// ```
/// where `E` capacity, W, below zero; `h_l`, `h_in` enthalpies of what the return leaks draw and of indoor air, J/kg;
/// `T_sp` air in the supply plenum; `T_s` surroundings of the supply ducts. The `a_r` beside `ΔT_r` follows from the
/// heat balance.
///
/// # Source
/// ASHRAE 152, see the module.
#[must_use]
pub fn delivery_effectiveness_by_enthalpy(
    ducts: &Ducts,
    drawn_less_indoor_j_kg: f64,
    plenum_less_surroundings_k: f64,
) -> f64 {
    let capacity_j_kg = CP * ducts.rise_k;
    let sum = capacity_j_kg
        + (1.0 - ducts.a_r) * drawn_less_indoor_j_kg
        + ducts.a_r * CP * (ducts.b_r - 1.0) * ducts.return_k
        + CP * (ducts.b_s - 1.0) * plenum_less_surroundings_k;
    ducts.a_s * sum / capacity_j_kg
}

/// Delivery effectiveness with what comes back of the losses.
///
/// # Equation
/// ```text
/// DE' = DE + F_s·(1 − DE) − [ F_s·L − F_r·(1 − B_r)·ΔT_r ] / ΔT_e
/// ```
/// where `F_s`, `F_r` parts of the supply ducts' losses and of the return ducts' conduction that come back. With one
/// temperature round the return ducts the bracket is [F_s − F_r − B_r·(a_r·F_s − F_r)]·ΔT_r. The published form counts
/// the return ducts' conduction at the fan's whole flow, not at `a_r` of it; so it is kept.
///
/// # Source
/// ASHRAE 152, see the module.
#[must_use]
pub fn with_regain(ducts: &Ducts, delivery: f64, supply_regain: f64, return_regain: f64) -> f64 {
    let bracket =
        supply_regain * ducts.return_loss_k() - return_regain * (1.0 - ducts.b_r) * ducts.return_k;
    delivery + supply_regain * (1.0 - delivery) - bracket / ducts.rise_k
}

/// Factor of a refrigerant circuit with an expansion valve when the air is another part of what it is rated for.
///
/// ```text
/// F = 1.62 − 0.62·r + 0.647·ln r      r flow over rated flow
/// ```
/// 1 at r = 1.
///
/// # Source
/// Coefficients of ASHRAE 152 as public implementations have them (second hand).
#[must_use]
pub fn expansion_valve_factor(flow_ratio: f64) -> f64 {
    1.62 - 0.62 * flow_ratio + 0.647 * ln(flow_ratio)
}

/// Part of the load that is left when the running fan changes infiltration.
///
/// ```text
/// F = 1 − ρ·c_p·(T_in − T_out)·(Q_total − Q_nat)/E
/// ```
/// where `Q_total` infiltration with the fan on and `Q_nat` with it off, m³/s at 1.204 kg/m³; `E` capacity, W, below zero
/// when it cools.
///
/// # Source
/// ASHRAE 152, sensible form (from memory).
#[must_use]
pub fn load_factor(indoors_less_outdoors_k: f64, more_m3_s: f64, capacity_w: f64) -> f64 {
    1.0 - crate::air::STANDARD_DENSITY * CP * indoors_less_outdoors_k * more_m3_s / capacity_w
}

/// Energy that equipment takes in a season by degree-days, J.
///
/// ```text
/// E = UA·D / (η·η_dist)
/// ```
/// where `UA` loss of the house, W/K; `D` degree-days, K·s; `η` efficiency or coefficient of performance; `η_dist`
/// distribution efficiency.
///
/// # Source
/// Degree-day method of the ASHRAE Handbook of Fundamentals (from memory).
#[must_use]
pub fn degree_day_energy_j(
    ua_w_k: f64,
    degree_days_k_s: f64,
    efficiency: f64,
    distribution: f64,
) -> f64 {
    ua_w_k * degree_days_k_s / (efficiency * distribution)
}
