//! What heating and cooling take and cost, and the air round the ducts.

use super::super::span::{Marked, Span};
use crate::quantity::{AirChange, DegreeDays, Duration, Fraction, Power, Temperature};

/// What the sketch says of heating, cooling, climate and prices.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Energy {
    /// Place of the whole section; `None` where the sketch has none.
    pub at: Option<Span>,
    /// Year of the prices.
    pub year: Option<Marked<f64>>,
    /// Word for the money: `USD`, `EUR`.
    pub currency: Option<Marked<String>>,
    /// Heating.
    pub heating: Option<Conditioning>,
    /// Cooling.
    pub cooling: Option<Conditioning>,
    /// Climate and indoor temperatures.
    pub climate: Climate,
    /// Heat that the house loses at an outdoor temperature.
    pub heating_load: Option<Marked<LoadAt>>,
    /// Heat that the house gains at an outdoor temperature.
    pub cooling_load: Option<Marked<LoadAt>>,
    /// Hours of the year by outdoor temperature.
    pub bins: Vec<Bin>,
    /// Natural infiltration with the air handler off.
    pub infiltration: Option<Marked<AirChange>>,
    /// Electric power of the running fan.
    pub fan: Option<Marked<Power>>,
}

/// Heating or cooling.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Conditioning {
    /// What makes the heat; of heating only.
    pub kind: Option<Marked<HeaterKind>>,
    /// Fuel; of heating only.
    pub fuel: Option<Marked<Fuel>>,
    /// Price of energy.
    pub price: Option<Marked<Price>>,
    /// What the year's heating or cooling costs, in the currency.
    pub bill: Option<Marked<f64>>,
    /// Heat delivered for each unit of energy bought; 0.8 for 80 %, 3 for a coefficient of performance of 3.
    pub efficiency: Option<Marked<f64>>,
    /// Temperature at the supply plenum while running.
    pub supply_air: Option<Marked<Temperature>>,
}

/// Climate and indoor temperatures.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Climate {
    /// Heating degree-days of a year.
    pub heating_degree_days: Option<Marked<DegreeDays>>,
    /// Cooling degree-days of a year.
    pub cooling_degree_days: Option<Marked<DegreeDays>>,
    /// Mean outdoor temperature of the heating season.
    pub winter: Option<Marked<Temperature>>,
    /// Mean outdoor temperature while cooling is on.
    pub summer: Option<Marked<Temperature>>,
    /// Indoor temperature when heated.
    pub indoors_winter: Option<Marked<Temperature>>,
    /// Indoor temperature when cooled.
    pub indoors_summer: Option<Marked<Temperature>>,
}

/// The air of a place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlaceAir {
    /// Mean temperature in the heating season.
    pub winter: Option<Marked<Temperature>>,
    /// Mean temperature while cooling is on.
    pub summer: Option<Marked<Temperature>>,
    /// Part of the ducts' losses there that comes back to the house.
    pub regain: Option<Marked<Fraction>>,
}

/// A load at an outdoor temperature: `40 kBtu/h at 5 F`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadAt {
    /// Load.
    pub load: Power,
    /// Outdoor temperature.
    pub outdoors: Temperature,
}

/// Hours at an outdoor temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Bin {
    /// Outdoor temperature, the middle of the bin.
    pub outdoor: Marked<Temperature>,
    /// Hours of the year.
    pub hours: Marked<Duration>,
}

/// A price of energy: `1.45 per therm`.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Money for one unit.
    pub money: f64,
    /// Joules in the unit.
    pub unit_j: f64,
    /// Symbol of the unit.
    pub unit: &'static str,
}

/// What makes heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeaterKind {
    /// Burns fuel.
    Furnace,
    /// Moves heat by a compressor.
    HeatPump,
    /// Electric resistance.
    Electric,
}

/// What is bought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fuel {
    /// Natural gas.
    Gas,
    /// Liquefied gas.
    Propane,
    /// Heating oil.
    Oil,
    /// Wood, pellets.
    Wood,
    /// Electricity.
    Electricity,
}
