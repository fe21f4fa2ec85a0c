//! Elementary functions that give the same bits on every machine.
//!
//! The standard library hands `f64::exp` and its like to the C library of the system, and systems differ in the last bits:
//! the same sketch and seed would print other digits on another machine, or in a browser. Here they come from `libm`, which is
//! plain Rust. Addition, multiplication, division, `sqrt`, `mul_add`, `abs`, `floor`, `round` and `rem_euclid` are exact by
//! IEEE 754 and stay the standard library's. So could `powi` for most uses, but its precision is not promised, and a compiler
//! may work out a constant one by the C library of the machine it runs on: [`square`] and [`powi`] are multiplications.
//!
//! The lints of the library forbid the standard ones (`clippy.toml`).

pub(crate) mod normal;
mod normal_draw;

pub(crate) use normal_draw::StandardNormal;

/// eˣ.
#[inline]
pub(crate) fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm.
#[inline]
pub(crate) fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// ln(1 + x), accurate near 0.
#[inline]
pub(crate) fn ln_1p(x: f64) -> f64 {
    libm::log1p(x)
}

/// Logarithm to base 10; whole for whole powers of ten.
#[inline]
pub(crate) fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// xʸ; a last bit may be off even for a power of ten, for which [`powi`] is exact up to 10²² and 10⁻²².
#[inline]
pub(crate) fn powf(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// x².
#[inline]
pub(crate) fn square(x: f64) -> f64 {
    x * x
}

/// xⁿ by repeated squaring, the inverse of the positive power for a negative n.
#[inline]
pub(crate) fn powi(x: f64, n: i32) -> f64 {
    let (mut left, mut factor, mut power) = (n.unsigned_abs(), x, 1.0);
    loop {
        if left & 1 == 1 {
            power *= factor;
        }
        left >>= 1;
        if left == 0 {
            break;
        }
        factor *= factor;
    }
    if n < 0 { 1.0 / power } else { power }
}

/// √(x² + y²) without overflow.
#[inline]
pub(crate) fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// Sine of an angle in radians.
#[inline]
pub(crate) fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
#[inline]
pub(crate) fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Sine and cosine of an angle in radians.
#[inline]
pub(crate) fn sin_cos(x: f64) -> (f64, f64) {
    libm::sincos(x)
}

/// ln Γ(x) for x > 0.
#[inline]
pub(crate) fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Scales and decimals are chosen by `floor(log10(x))`: a last bit missing at 1000 would show.
    #[test]
    fn powers_of_ten_are_exact() {
        for n in -300..=300_i32 {
            let ten: f64 = format!("1e{n}").parse().unwrap();
            assert!((log10(ten) - f64::from(n)).abs() == 0.0, "log10 1e{n}");
            if n.abs() <= 22 {
                assert!((powi(10.0, n) - ten).abs() == 0.0, "powi 10^{n}");
            }
        }
    }

    #[test]
    fn they_agree_with_the_standard_library_but_for_last_bits() {
        for i in 1..20_000 {
            let x = 1e-3 * f64::from(i) * 1.000_1;
            for (name, ours, theirs) in [
                ("exp", exp(x - 10.0), (x - 10.0).exp()),
                ("ln", ln(x), x.ln()),
                ("ln_1p", ln_1p(x), x.ln_1p()),
                ("log10", log10(x), x.log10()),
                ("powf", powf(x, 0.65), x.powf(0.65)),
                ("powi", powi(x, -3), x.powi(-3)),
                ("hypot", hypot(x, 3.0), x.hypot(3.0)),
                ("sin", sin(x), x.sin()),
                ("cos", cos(x), x.cos()),
                ("sincos", sin_cos(x).0 + sin_cos(x).1, x.sin() + x.cos()),
            ] {
                let apart = (ours - theirs).abs();
                assert!(
                    apart <= 4e-16 * theirs.abs().max(1.0),
                    "{name} {x}: {ours:e} {theirs:e}"
                );
            }
        }
    }

    #[test]
    fn ends_of_the_range_are_those_of_the_standard_library() {
        for x in [
            0.0,
            -0.0,
            1.0,
            -1.0,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NAN,
            800.0,
            -800.0,
            5e-324,
        ] {
            for (name, ours, theirs) in [
                ("exp", exp(x), x.exp()),
                ("ln", ln(x), x.ln()),
                ("ln_1p", ln_1p(x), x.ln_1p()),
                ("log10", log10(x), x.log10()),
                ("powf", powf(x, 0.65), x.powf(0.65)),
                ("hypot", hypot(x, 1.0), x.hypot(1.0)),
            ] {
                let same = (ours - theirs).abs() <= 4e-16 * theirs.abs()
                    || ours.to_bits() == theirs.to_bits()
                    || (ours.is_nan() && theirs.is_nan());
                assert!(same, "{name} {x}: {ours:e} {theirs:e}");
            }
        }
    }
}
