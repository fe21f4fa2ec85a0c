//! What a branch is given as, checked and turned into an element.

use super::blower::BlowerCurve;
use super::element::{DuctLaw, DuctShape};
use super::error::FlowError;
use super::network::{AirRatio, Element};
use super::seam_law::PowerLaw;
use crate::air::{Air, STANDARD_DENSITY};

/// What a branch does to the air.
#[derive(Debug, Clone)]
pub enum BranchLaw {
    /// Nothing: its two nodes are one.
    Lossless,
    /// Friction and local losses.
    Duct(DuctShape),
    /// Component: Δp = `dp_pa`·(Q/`q_m3_s`)^`m` in air of 1.204 kg/m³, Q at the air's own density; the loss goes
    /// with density. Below 0.01 Pa it follows the cubic of [`PowerLaw`].
    Component {
        /// Loss at the reference flow, Pa.
        dp_pa: f64,
        /// Reference flow, m³/s.
        q_m3_s: f64,
        /// Exponent of the flow, 1 to 3.
        m: f64,
    },
    /// Opening or crack between two spaces: Q = `q_m3_s`·(Δp/`dp_pa`)^`n` in standard air, in other air as a seam of
    /// that exponent.
    Path {
        /// Flow at the reference pressure, m³/s.
        q_m3_s: f64,
        /// Reference pressure, Pa.
        dp_pa: f64,
        /// Exponent, 0.5 to 1.
        n: f64,
    },
    /// Blower from its suction side (tail) to its pressure side (head).
    Blower(BlowerCurve),
}

/// Element of one branch; `None` for a lossless link.
pub(super) fn element(
    name: &str,
    law: &BranchLaw,
    air: Air,
    lossless_pa: f64,
) -> Result<Option<Element>, FlowError> {
    let ratio = air.density / STANDARD_DENSITY;
    match *law {
        BranchLaw::Lossless => Ok(None),
        BranchLaw::Duct(ref shape) => {
            check_shape(name, shape)?;
            if shape.length_m > 0.0 {
                let duct = DuctLaw::new(shape, air);
                let drop = duct.pressure_drop(10.0 * shape.area_m2);
                return Ok((drop >= lossless_pa).then_some(Element::Duct(duct)));
            }
            let dp = 0.5 * shape.loss * air.density * 100.0;
            let at_10_m_s = 10.0 * shape.area_m2 * ratio;
            Ok((dp >= lossless_pa).then(|| Element::Power(PowerLaw::through(at_10_m_s, dp, 0.5))))
        }
        BranchLaw::Component { dp_pa, q_m3_s, m } => {
            let finite = dp_pa.is_finite() && dp_pa >= 0.0;
            check(name, dp_pa, "a loss not below zero", finite)?;
            check(
                name,
                q_m3_s,
                "a reference flow above zero",
                positive(q_m3_s),
            )?;
            check(
                name,
                m,
                "an exponent of the flow from 1 to 3",
                (1.0..=3.0).contains(&m),
            )?;
            Ok((dp_pa >= lossless_pa)
                .then(|| Element::Power(PowerLaw::through(q_m3_s * ratio, dp_pa * ratio, 1.0 / m))))
        }
        BranchLaw::Path { q_m3_s, dp_pa, n } => {
            let above = "a flow above zero at a pressure above zero";
            check(name, q_m3_s, above, positive(q_m3_s))?;
            check(name, dp_pa, above, positive(dp_pa))?;
            let fine = (0.5..=1.0).contains(&n);
            check(name, n, "an exponent from 0.5 to 1", fine)?;
            let mut law = PowerLaw::through(q_m3_s, dp_pa, n);
            law.ln_c += AirRatio::of(air).ln_factor(n);
            Ok(Some(Element::Power(law)))
        }
        BranchLaw::Blower(ref curve) => Ok(Some(Element::Blower(curve.in_air(air)))),
    }
}

fn check_shape(name: &str, shape: &DuctShape) -> Result<(), FlowError> {
    let above = "an area and a hydraulic diameter above zero";
    check(name, shape.area_m2, above, positive(shape.area_m2))?;
    let d = shape.hydraulic_diameter_m;
    check(name, d, above, positive(d))?;
    let not_below = |v: f64| v.is_finite() && v >= 0.0;
    let rough = shape.roughness_m;
    check(
        name,
        shape.length_m,
        "a length not below zero",
        not_below(shape.length_m),
    )?;
    check(
        name,
        rough,
        "a roughness not below zero and below half the hydraulic diameter",
        not_below(rough) && rough < 0.5 * d,
    )?;
    let factor = shape.friction_factor;
    check(
        name,
        factor,
        "a friction factor above zero",
        positive(factor),
    )?;
    check(
        name,
        shape.loss,
        "a loss coefficient not below zero",
        not_below(shape.loss),
    )
}

pub(super) fn positive(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

pub(super) fn check(
    name: &str,
    value: f64,
    needs: &'static str,
    fine: bool,
) -> Result<(), FlowError> {
    if fine {
        return Ok(());
    }
    Err(FlowError::BadFigure {
        name: name.to_owned(),
        needs,
        found: value.to_string(),
    })
}
