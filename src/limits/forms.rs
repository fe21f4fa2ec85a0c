//! One flow at 25 Pa in every form people give it in, side by side.

use super::applied::{Unknown, duct_surface_m2};
use super::measured::At25;
use crate::air::STANDARD_DENSITY;
use crate::catalog::class::{leakage_class, leakage_class_si};
use crate::catalog::opening::DISCHARGE_COEFFICIENT;
use crate::catalog::{Catalog, ClassRow};
use crate::system::{AirflowBy, System, TEST_PRESSURE_PA};

/// A flow as part of the fan's airflow: never without its divisor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OfAirflow {
    /// Part, 0 to 1 or more.
    pub part: f64,
    /// The divisor, m³/s.
    pub airflow_m3_s: f64,
    /// How the divisor was got.
    pub by: AirflowBy,
}

/// Leakage by duct surface.
///
/// A measured flow cannot leave out the cabinet, the filter slot and the gaps round boots, which the class of a duct
/// construction standard does not count: all that was read is in these classes. A computed class may leave them out, and
/// says so.
#[derive(Debug, Clone, PartialEq)]
pub struct BySurface<'c> {
    /// Surface of the sketched ducts that the flow speaks of, m².
    pub surface_m2: f64,
    /// Inch-pound leakage class.
    pub class_ip: f64,
    /// SI leakage class, mL/(s·m²) at 1 Pa.
    pub class_si: f64,
    /// The tightest class that is reached; `None` where none is.
    pub tightness: Option<&'c ClassRow>,
}

/// An opening that would pass the flow. An area means nothing without its pressure and coefficient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equivalent {
    /// What it is called.
    pub name: &'static str,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Discharge coefficient.
    pub coefficient: f64,
    /// Flow at that pressure, m³/s.
    pub flow_m3_s: f64,
    /// Area, m².
    pub area_m2: f64,
    /// Source of pressure and coefficient.
    pub source: &'static str,
}

/// A flow at 25 Pa in every form.
#[derive(Debug, Clone, PartialEq)]
pub struct Forms<'c> {
    /// By the conditioned floor area served, m³/s per m², and that area, m².
    pub by_floor: Result<(f64, f64), Unknown>,
    /// As part of the fan's airflow.
    pub of_airflow: Result<OfAirflow, Unknown>,
    /// By duct surface.
    pub by_surface: Result<BySurface<'c>, Unknown>,
    /// As openings.
    pub openings: [Equivalent; 3],
}

/// Pressure, coefficient and name of the openings.
const OPENINGS: [(&str, f64, f64, &str); 3] = [
    (
        "hole at the test pressure",
        TEST_PRESSURE_PA,
        DISCHARGE_COEFFICIENT,
        "practice of duct tests, from memory",
    ),
    (
        "effective leakage area",
        4.0,
        1.0,
        "ASTM E779 and ASHRAE Fundamentals, from memory",
    ),
    (
        "equivalent leakage area",
        10.0,
        0.611,
        "CAN/CGSB-149.10, from memory",
    ),
];

/// Area of an opening that passes a flow at a pressure with a discharge coefficient, m².
///
/// # Equation
/// ```text
/// A = ṁ/(Cd √(2 Δp ρ)),   ṁ = 1.204 Q
/// ```
/// where `Q` flow at 1.204 kg/m³, m³/s; `ρ` of the air in the opening, kg/m³; `Cd` discharge coefficient.
///
/// # Source
/// Orifice equation of any handbook of fluid flow.
#[must_use]
pub fn opening_of(flow_m3_s: f64, pressure_pa: f64, coefficient: f64, kg_m3: f64) -> f64 {
    STANDARD_DENSITY * flow_m3_s / (coefficient * (2.0 * pressure_pa * kg_m3).sqrt())
}

/// Every form of a flow at 25 Pa, all at 1.204 kg/m³; openings for the air in the leaks, `leak_kg_m3`. What is missing for a
/// form is said in its place.
#[must_use]
pub fn forms<'c>(at: &At25, leak_kg_m3: f64, system: &System, catalog: &'c Catalog) -> Forms<'c> {
    let flow = at.flow_m3_s();
    let surface_m2 = duct_surface_m2(system, at.basis().scope);
    Forms {
        by_floor: system
            .floor_area_m2
            .map(|floor| (flow / floor, floor))
            .ok_or(Unknown::FloorArea),
        of_airflow: system
            .unit
            .airflow_m3_s
            .map(|(airflow_m3_s, by)| OfAirflow {
                part: flow / airflow_m3_s,
                airflow_m3_s,
                by,
            })
            .ok_or(Unknown::Airflow),
        by_surface: if surface_m2 > 0.0 {
            let class_ip = leakage_class(flow, surface_m2, TEST_PRESSURE_PA);
            Ok(BySurface {
                surface_m2,
                class_ip,
                class_si: leakage_class_si(flow, surface_m2, TEST_PRESSURE_PA),
                tightness: catalog.tightness_class(class_ip),
            })
        } else {
            Err(Unknown::Surface)
        },
        openings: OPENINGS.map(|(name, pressure_pa, coefficient, source)| {
            let flow_m3_s = at.flow_at(pressure_pa);
            Equivalent {
                name,
                pressure_pa,
                coefficient,
                flow_m3_s,
                area_m2: opening_of(flow_m3_s, pressure_pa, coefficient, leak_kg_m3),
                source,
            }
        }),
    }
}
