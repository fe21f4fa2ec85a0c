//! Flow through a duct piece as a function of its own pressure difference.

use std::f64::consts::LN_10;

use super::friction::{Blend, RE_LAMINAR, RE_TURBULENT, colebrook_white};
use super::quadrature::integrate;
use crate::air::{Air, STANDARD_DENSITY};
use crate::math::{exp, ln, log10, powi};

/// Shape and losses of a duct piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DuctShape {
    /// Area of the section, m².
    pub area_m2: f64,
    /// Hydraulic diameter 4·area/perimeter, m.
    pub hydraulic_diameter_m: f64,
    /// Length, m.
    pub length_m: f64,
    /// Absolute roughness, m.
    pub roughness_m: f64,
    /// Factor on friction (flex compression), 1 or more.
    pub friction_factor: f64,
    /// Sum of local loss coefficients on this section's velocity pressure.
    pub loss: f64,
}

/// Flow and slope of an element.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Response {
    /// Flow from tail to head, m³/s at 1.204 kg/m³.
    pub flow: f64,
    /// d(flow)/d(Δp), m³/(s·Pa), above zero.
    pub slope: f64,
}

/// Where the last inversion of a duct ended, so that the next one starts close by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Warm {
    dp: f64,
    x: f64,
    x_slope: f64,
}

/// Duct with friction, and local losses on the same velocity.
///
/// # Equation
/// ```text
/// Δp = (f(Re)·φ·L/D + ΣC) · ρV²/2,   Re = V·D/ν,   q = V·A·ρ/ρ₀
/// ```
/// where `f` is [`friction_factor`](super::friction_factor); `φ` factor on friction; `L` length, m; `D`
/// hydraulic diameter, m; `V` mean velocity, m/s; `ρ₀` = 1.204 kg/m³. Solved for V at given Δp:
///
/// * laminar (Re ≤ 2000): a quadratic;
/// * turbulent (Re ≥ 4000): with s = V√f, friction is k·s² and V = −2 s log₁₀(ε/(3.7 D) + 2.51 ν/(D s)), explicit;
///   with local losses Newton in s on a convex rising function;
/// * between: Newton in ln Re, kept inside the interval.
///
/// # Accuracy
/// 1e-13 relative in V, the regimes meet with equal value and slope. Usually one or two steps with [`Warm`].
///
/// # Source
/// ASHRAE Handbook, Fundamentals 2021, ch. 21; the explicit direction is own algebra from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DuctLaw {
    /// A·ρ/ρ₀, m².
    area: f64,
    /// Laminar loss per velocity 32 μ φ L/D², Pa·s/m.
    linear: f64,
    /// Local loss ΣC·ρ/2, Pa·s²/m².
    local: f64,
    /// ρ φ L/(2 D), Pa·s²/m²: friction is `k`·f·V².
    k: f64,
    rough: f64,
    /// 2.51 ν/D, m/s.
    viscous: f64,
    /// ν/D, m/s: velocity at Re 1.
    v_unit: f64,
    blend: Blend,
    at_laminar: Corner,
    at_turbulent: Corner,
}

/// End of a regime.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Corner {
    v: f64,
    dp: f64,
    /// V√f.
    s: f64,
    /// ∫₀^V Δp dV.
    work: f64,
}

impl DuctLaw {
    /// Law of a duct of positive length in the given air.
    ///
    /// The fields of `shape` must be finite, `area`, `hydraulic_diameter`, `length` and `friction_factor`
    /// above zero, the rest not below; builders check that.
    pub fn new(shape: &DuctShape, air: Air) -> Self {
        let d = shape.hydraulic_diameter_m;
        let length = shape.friction_factor * shape.length_m;
        let nu = air.viscosity / air.density;
        let relative = shape.roughness_m / d;
        let mut law = DuctLaw {
            area: shape.area_m2 * air.density / STANDARD_DENSITY,
            linear: 32.0 * air.viscosity * length / (d * d),
            local: 0.5 * shape.loss * air.density,
            k: 0.5 * air.density * length / d,
            rough: relative / 3.7,
            viscous: 2.51 * nu / d,
            v_unit: nu / d,
            blend: Blend::new(relative),
            at_laminar: Corner::default(),
            at_turbulent: Corner::default(),
        };
        let v = RE_LAMINAR * law.v_unit;
        law.at_laminar = Corner {
            v,
            dp: v * (law.linear + law.local * v),
            s: v * (64.0 / RE_LAMINAR).sqrt(),
            work: law.work_laminar(v),
        };
        let v = RE_TURBULENT * law.v_unit;
        let f = colebrook_white(RE_TURBULENT, relative);
        law.at_turbulent = Corner {
            v,
            dp: (law.k * f + law.local) * v * v,
            s: v * f.sqrt(),
            work: law.at_laminar.work + law.work_blend(ln(RE_TURBULENT)),
        };
        law
    }

    /// Flow and slope at a pressure difference, Pa; odd in `dp`.
    pub fn response(&self, dp: f64, warm: &mut Warm) -> Response {
        let size = dp.abs();
        let (v, dv) = self.velocity(size, warm);
        Response {
            flow: (self.area * v).copysign(dp),
            slope: self.area * dv,
        }
    }

    /// Pressure difference at a flow, Pa; the inverse of [`response`](Self::response).
    pub fn pressure_drop(&self, flow: f64) -> f64 {
        let v = flow.abs() / self.area;
        let dp = if v <= self.at_laminar.v {
            v * (self.linear + self.local * v)
        } else {
            let re = v / self.v_unit;
            let f = if v < self.at_turbulent.v {
                exp(self.blend.at(ln(re)).0)
            } else {
                colebrook_white(re, self.rough * 3.7)
            };
            (self.k * f + self.local) * v * v
        };
        dp.copysign(flow)
    }

    /// Content ∫₀^Δp q dΔp, Pa·m³/s; even in Δp, convex.
    ///
    /// Taken as Δp·q − A∫Δp dV; the second part in closed form where flow is laminar, by quadrature in ln Re or
    /// ln s elsewhere (error below 1e-12).
    pub fn content(&self, dp: f64) -> f64 {
        let size = dp.abs();
        let mut warm = Warm::default();
        let (v, _) = self.velocity(size, &mut warm);
        let work = if size <= self.at_laminar.dp {
            self.work_laminar(v)
        } else if size < self.at_turbulent.dp {
            self.at_laminar.work + self.work_blend(warm.x)
        } else {
            self.at_turbulent.work + self.work_turbulent(warm.x)
        };
        self.area * (size * v - work)
    }

    /// Velocity and its slope at a pressure difference not below zero.
    fn velocity(&self, dp: f64, warm: &mut Warm) -> (f64, f64) {
        if dp <= self.at_laminar.dp {
            let root = (self.linear * self.linear + 4.0 * self.local * dp).sqrt();
            (2.0 * dp / (self.linear + root), 1.0 / root)
        } else if dp < self.at_turbulent.dp {
            self.velocity_blend(dp, warm)
        } else {
            self.velocity_turbulent(dp, warm)
        }
    }

    fn velocity_turbulent(&self, dp: f64, warm: &mut Warm) -> (f64, f64) {
        let local = self.local > 0.0;
        let mut s = if !local {
            (dp / self.k).sqrt()
        } else if warm.dp >= self.at_turbulent.dp && (dp - warm.dp).abs() < 0.5 * warm.dp {
            (warm.x + warm.x_slope * (dp - warm.dp)).max(self.at_turbulent.s)
        } else {
            let guess = (dp / (self.k + self.local)).sqrt().max(self.at_turbulent.s);
            let ratio = -2.0 * log10(self.rough + self.viscous / guess);
            (dp / (self.k + self.local * ratio * ratio)).sqrt()
        };
        // Convex and rising in s. Each step is to the root of the parabola through value, slope and curvature:
        // v'' = 2/ln 10·(t/a)²/s, t = thin. What it leaves is the cube of the step times a small third derivative
        // (logarithms only), 1e-15 for the last step allowed.
        let (mut v, mut dv_ds, mut dp_ds) = (0.0, 0.0, 0.0);
        for _ in 0..30 {
            let thin = self.viscous / s;
            let a = self.rough + thin;
            let ratio = -2.0 / LN_10 * ln(a);
            v = s * ratio;
            dv_ds = ratio + 2.0 / LN_10 * thin / a;
            dp_ds = 2.0 * (self.k * s + self.local * v * dv_ds);
            if !local {
                break;
            }
            let d2v = 2.0 / LN_10 * (thin / a) * (thin / a) / s;
            let d2p = 2.0 * (self.k + self.local * (dv_ds * dv_ds + v * d2v));
            let off = self.k * s * s + self.local * v * v - dp;
            // At least the vertex of the parabola when it stays above zero.
            let root = (dp_ds * dp_ds - 2.0 * d2p * off).max(0.0).sqrt();
            let step = -2.0 * off / (dp_ds + root);
            s += step;
            v += step * (dv_ds + 0.5 * step * d2v);
            dv_ds += step * d2v;
            dp_ds += step * d2p;
            if step.abs() <= 2e-5 * s {
                break;
            }
        }
        *warm = Warm {
            dp,
            x: s,
            x_slope: 1.0 / dp_ds,
        };
        (v, dv_ds / dp_ds)
    }

    fn velocity_blend(&self, dp: f64, warm: &mut Warm) -> (f64, f64) {
        let (low, high) = (ln(RE_LAMINAR), ln(RE_TURBULENT));
        let ln_dp = ln(dp);
        let mut u = if warm.dp > self.at_laminar.dp && warm.dp < self.at_turbulent.dp {
            warm.x + warm.x_slope * (dp - warm.dp)
        } else {
            let (a, b) = (ln(self.at_laminar.dp), ln(self.at_turbulent.dp));
            low + (high - low) * (ln_dp - a) / (b - a)
        }
        .clamp(low, high);
        let (mut v, mut dp_du) = (0.0, 0.0);
        for _ in 0..60 {
            v = self.v_unit * exp(u);
            let (ln_f, m) = self.blend.at(u);
            let kf = self.k * exp(ln_f);
            let now = (kf + self.local) * v * v;
            dp_du = (kf * (m + 2.0) + 2.0 * self.local) * v * v;
            // ln Δp is nearly straight in ln Re: Newton on its logarithm.
            let step = ln(now / dp) * now / dp_du;
            let next = (u - step).clamp(low, high);
            let moved = next - u;
            u = next;
            if moved.abs() <= 1e-7 {
                v *= 1.0 + moved;
                break;
            }
        }
        *warm = Warm {
            dp,
            x: u,
            x_slope: 1.0 / dp_du,
        };
        (v, v / dp_du)
    }

    fn work_laminar(&self, v: f64) -> f64 {
        v * v * (0.5 * self.linear + self.local * v / 3.0)
    }

    /// ∫Δp dV from Re 2000 to exp(`ln_re`).
    fn work_blend(&self, ln_re: f64) -> f64 {
        integrate(ln(RE_LAMINAR), ln_re, 0.4, |u| {
            let v = self.v_unit * exp(u);
            (self.k * exp(self.blend.at(u).0) + self.local) * v * v * v
        })
    }

    /// ∫Δp dV from Re 4000 to the velocity at `s`.
    fn work_turbulent(&self, s: f64) -> f64 {
        let start = self.at_turbulent;
        let ratio = -2.0 / LN_10 * ln(self.rough + self.viscous / s);
        let v = s * ratio;
        let friction = integrate(ln(start.s), ln(s), 0.5, |u| {
            let s = exp(u);
            let thin = self.viscous / s;
            let a = self.rough + thin;
            let dv_ds = 2.0 / LN_10 * (thin / a - ln(a));
            self.k * s * s * s * dv_ds
        });
        friction + self.local * (powi(v, 3) - powi(start.v, 3)) / 3.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const AIR: Air = Air {
        density: 1.204,
        viscosity: 1.8134e-5,
    };

    fn ducts() -> Vec<DuctLaw> {
        let base = DuctShape {
            area_m2: 0.0182,
            hydraulic_diameter_m: 0.152,
            length_m: 4.0,
            roughness_m: 9e-5,
            friction_factor: 1.0,
            loss: 0.0,
        };
        [
            base,
            DuctShape { loss: 1.3, ..base },
            DuctShape {
                roughness_m: 0.0,
                loss: 0.2,
                ..base
            },
            DuctShape {
                roughness_m: 9e-4,
                friction_factor: 5.1,
                loss: 30.0,
                ..base
            },
        ]
        .map(|shape| DuctLaw::new(&shape, AIR))
        .to_vec()
    }

    fn pressures(law: &DuctLaw) -> Vec<f64> {
        let (a, b) = (law.at_laminar.dp, law.at_turbulent.dp);
        vec![
            1e-7,
            0.3 * a,
            0.999_999 * a,
            1.000_001 * a,
            0.5 * (a + b),
            0.999_999 * b,
            1.000_001 * b,
            3.0 * b,
            40.0,
            400.0,
        ]
    }

    #[test]
    fn flow_and_drop_invert_each_other_in_every_regime() {
        for law in ducts() {
            let mut warm = Warm::default();
            for dp in pressures(&law) {
                let flow = law.response(dp, &mut warm).flow;
                let back = law.pressure_drop(flow);
                assert!((back / dp - 1.0).abs() < 1e-12, "{dp} {back}");
            }
        }
    }

    #[test]
    fn a_warm_start_changes_nothing() {
        for law in ducts() {
            let mut warm = Warm::default();
            for dp in pressures(&law).into_iter().rev() {
                for near in [dp, dp * 1.01, dp * 0.7] {
                    let with = law.response(near, &mut warm);
                    let without = law.response(near, &mut Warm::default());
                    assert!((with.flow / without.flow - 1.0).abs() < 1e-13, "{near}");
                    assert!((with.slope / without.slope - 1.0).abs() < 1e-6, "{near}");
                }
            }
        }
    }

    #[test]
    fn flow_is_odd_in_the_pressure_difference() {
        for law in ducts() {
            let forth = law.response(3.0, &mut Warm::default());
            let back = law.response(-3.0, &mut Warm::default());
            assert!((forth.flow + back.flow).abs() < f64::EPSILON);
            assert!((forth.slope - back.slope).abs() < f64::EPSILON);
        }
    }

    #[test]
    fn slope_is_the_derivative_of_flow_and_flow_of_content() {
        for law in ducts() {
            for dp in pressures(&law) {
                let h = 1e-5 * dp;
                let flow = |dp: f64| law.response(dp, &mut Warm::default()).flow;
                let at = law.response(dp, &mut Warm::default());
                let slope = (flow(dp + h) - flow(dp - h)) / (2.0 * h);
                assert!((slope / at.slope - 1.0).abs() < 2e-5, "{dp} {slope} {at:?}");
                let content = (law.content(dp + h) - law.content(dp - h)) / (2.0 * h);
                assert!((content / at.flow - 1.0).abs() < 2e-6, "{dp}");
            }
        }
    }

    #[test]
    fn laminar_flow_in_a_round_duct_follows_hagen_poiseuille() {
        let (d, length, dp) = (0.1, 10.0, 1e-3);
        let area = std::f64::consts::PI * d * d / 4.0;
        let law = DuctLaw::new(
            &DuctShape {
                area_m2: area,
                hydraulic_diameter_m: d,
                length_m: length,
                roughness_m: 0.0,
                friction_factor: 1.0,
                loss: 0.0,
            },
            AIR,
        );
        // q = π d⁴ Δp/(128 μ L)
        let expected = std::f64::consts::PI * d.powi(4) * dp / (128.0 * AIR.viscosity * length);
        let got = law.response(dp, &mut Warm::default()).flow;
        assert!((got / expected - 1.0).abs() < 1e-13);
    }
}
