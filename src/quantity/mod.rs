//! Quantities with their units: reading what people write, keeping SI, writing it back.
//!
//! Every quantity is a newtype over one private `f64` in SI, so that a length is never added to a flow.
//! Text is read with [`str::parse`] (`"24 ft".parse::<Length>()`), shown with `show`, and converted by
//! the factors of one table (`units.rs`), each with its source. Units exist only here.
//!
//! ```
//! use ductseam::quantity::{Flow, Length, Size, Stated, UnitSystem};
//!
//! let trunk: Length = "24 ft".parse().unwrap();
//! assert!((trunk.si() - 7.3152).abs() < 1e-12);
//! assert_eq!("24".parse::<Length>().unwrap_err().to_string(), "`24` has no unit");
//!
//! let size: Size = "20x8 in".parse().unwrap();
//! assert!((size.area().to_in2() - 160.0).abs() < 1e-9);
//!
//! let read: Stated<Flow> = "263 cfm at 25 Pa ± 3 %".parse().unwrap();
//! assert_eq!(read.value.show(UnitSystem::Ip), "263 cfm");
//! ```

mod error;
mod gauge;
mod kinds;
mod parse;
mod schema;
mod show;
mod size;
mod stated;
mod types;
mod units;

pub(crate) use error::clip;
pub use error::{QuantityError, QuantityErrorKind};
pub use gauge::Gauge;
pub use kinds::{Kind, Quantity};
pub use show::{UnitSystem, significant};
pub use size::Size;
pub use stated::{Parts, SIGMAS_OF_95_PERCENT, Stated};
pub use types::{
    AirChange, AirChangeAt50Pa, Area, DegreeDays, Duration, Energy, Flow, Fraction, Length, Money,
    Power, Pressure, Temperature, TemperatureDifference, ThermalResistance, Velocity, Volume,
};
pub use units::Unit;

#[cfg(test)]
mod tests;
