//! Measured leakage held against limits: a series fitted, a reading moved to 25 Pa, every form side by side, and how it
//! stands to each limit given its error.
//!
//! ```text
//! System.readings, a series ─► AtPressure ─► At25 ─► forms, judge ─► Answer
//! ```
//!
//! A flow as read ([`AtPressure`]) and a flow at 25 Pa ([`At25`]) are two types; both carry scope and stage. Nothing here
//! knows a screen or a file.
//!
//! # Example
//!
//! ```
//! use ductseam::limits::{Point, fit};
//!
//! // A series at four pressures, made from q = 0.004·p^0.6 (m³/s, Pa): the fit finds it again.
//! let points: Vec<Point> = [10.0, 20.0, 30.0, 50.0_f64]
//!     .map(|pressure_pa| Point {
//!         pressure_pa,
//!         pressure_sd_pa: 0.5,
//!         flow_m3_s: 0.004 * pressure_pa.powf(0.6),
//!         flow_sd_m3_s: 0.001,
//!     })
//!     .to_vec();
//! let found = fit(&points).unwrap();
//! assert!((found.n - 0.6).abs() < 1e-6);
//! ```

mod answer;
mod applied;
mod checks;
mod contradictions;
mod density;
mod forms;
mod group;
mod hold;
mod judge;
mod measured;
mod series;
mod series_faults;
mod student;
mod table;
mod table_columns;

pub use answer::{Answer, Asked, Found, Held, answer};
pub use applied::{Unknown, duct_surface_m2, flow_at_25_pa};
pub use checks::{
    Part, baseline_warnings, outside_warning, repeats_warning, side_alone, split, split_warning,
};
pub use density::Density;
pub use forms::{BySurface, Equivalent, Forms, OfAirflow, forms, opening_of};
pub use group::{Group, group};
pub use judge::{Judged, NotComparable, Verdict, judge};
pub use measured::{
    AT_25_PA, At25, AtPressure, Basis, How, MixedBasis, USUAL_DUCT_EXPONENT, USUAL_EXPONENT_SD,
    at_25, is_one_pressure, one_point, two_points,
};
pub use series::{
    EXPONENT_RANGE, Fit, Point, SeriesError, SeriesWarning, USUAL_EXPONENT, Weights, fit,
    fit_weighted,
};
pub use student::{Freedom, chance_below, t_95};
pub use table::{SeriesTable, read_series};
