//! Flow through a sharp opening of known area.

/// Discharge coefficient of a sharp opening, dimensionless. Common practice; handbooks give 0.60 to 0.65.
pub const DISCHARGE_COEFFICIENT: f64 = 0.6;

/// Density of the air that the catalogue's figures refer to, kg/m³: dry, 20 °C, 101325 Pa.
pub const REFERENCE_DENSITY: f64 = crate::air::STANDARD_DENSITY;

/// Flow through a sharp opening, m³/s.
///
/// # Equation
/// ```text
/// Q = Cd · A · √(2 Δp / ρ)
/// ```
/// where `Cd` 0.6; `A` area, m²; `Δp` pressure difference, Pa, ≥ 0; `ρ` 1.204 kg/m³.
///
/// # Limits
/// A negative pressure gives NaN: take the size first. A duct pulled off is an opening of its full area.
///
/// # Source
/// Orifice equation of any handbook of fluid flow.
///
/// # Examples
/// ```
/// // a slot 1 mm wide and 1 m long at 25 Pa: 3.87 L/s
/// let q = ductseam::catalog::opening::opening_flow(1e-3, 25.0);
/// assert!((q * 1e3 - 3.87).abs() < 0.005);
/// ```
pub fn opening_flow(area_m2: f64, dp_pa: f64) -> f64 {
    DISCHARGE_COEFFICIENT * area_m2 * (2.0 * dp_pa / REFERENCE_DENSITY).sqrt()
}

/// The area of a sharp opening that passes a flow at a pressure, m²: the inverse of [`opening_flow`].
///
/// # Limits
/// Zero pressure gives infinity for a flow, NaN for none.
///
/// # Examples
/// ```
/// // 307 cfm at 25 Pa is about 58 square inches
/// let area = ductseam::catalog::opening::opening_area(307.0 * 4.719474432e-4, 25.0);
/// assert!((area / 0.0254 / 0.0254 - 58.0).abs() < 0.5);
/// ```
pub fn opening_area(flow_m3_s: f64, dp_pa: f64) -> f64 {
    flow_m3_s / (DISCHARGE_COEFFICIENT * (2.0 * dp_pa / REFERENCE_DENSITY).sqrt())
}
